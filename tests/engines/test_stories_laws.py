"""The laws of the ribbon, to the nanometre, in every story and in all of them."""

from __future__ import annotations

from collections import defaultdict
from datetime import date
from random import Random

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from planner.engines.audit import story
from planner.ledgers.state import Ledgers
from planner.ledgers.timeline import OPENING
from planner.views.stories_builder import build
from planner.views.story_builder import Told, account_of
from tests.ledgers.facts import BENCH, DAYS, RIBBON, moments
from tests.ledgers.telling import Telling

ENTRIES = st.tuples(
    st.lists(st.one_of(*RIBBON, *BENCH), min_size=1, max_size=3), moments
)


def check_stories(led: Ledgers) -> None:
    """Hold each story to its opening, piece by piece, step by step, in all views."""
    for spool in led.spools:
        told = story(led, spool)
        assert sum(told.accounts.values()) == told.opening
        assert told.opening == -led.ribbon.balance(spool)[OPENING]
        assert all(piece.length > 0 for piece in told.pieces)
        left = sum(step.change for step in told.steps)
        assert left == (told.steps[-1].left if told.steps else 0)
        shown = told.accounts.get("left", 0) - told.missing.get("left", 0)
        assert shown == left
