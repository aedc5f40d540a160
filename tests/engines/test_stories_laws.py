"""The laws of the ribbon, to the nanometre, in every story and in all of them."""

from __future__ import annotations

import json
from collections import Counter, defaultdict
from collections.abc import Mapping
from datetime import date, timedelta
from random import Random
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from planner.engines.audit import story
from planner.events.base import Fact
from planner.events.shop import ShopSetUp
from planner.fold import fold_facts
from planner.ledgers.state import Ledgers
from planner.ledgers.timeline import OPENING
from planner.scenario import season
from planner.views.stories_builder import build
from planner.views.story_builder import Told, account_of
from tests.ledgers.facts import BENCH, DAYS, RIBBON, moments
from tests.ledgers.telling import START, ZONE, Telling
from tests.scenario.seasons import LAST_DAY, ROOT, numbered


@pytest.fixture(name="harbour", scope="module")
def _harbour() -> Mapping[str, Any]:
    return json.loads((ROOT / "scenarios" / "harbour.json").read_text("utf-8"))


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
        held: dict[str, int] = defaultdict(int)
        wanted: dict[str, int] = defaultdict(int)
        for piece in told.pieces:
            held[piece.account.partition(":")[0]] += piece.length
        for name, nm in told.accounts.items():
            key = "bundle" if name.startswith("bundle:") else name
            wanted[key] += nm
        shown_as = {name: nm for name, nm in wanted.items() if nm > 0}
        summed: dict[str, int] = defaultdict(int)
        for name, nm in shown_as.items():
            summed[name.partition(":")[0]] += nm
        assert held == summed
        below = sum(-nm for nm in wanted.values() if nm < 0)
        assert sum(held.values()) == told.opening + below


def check_all_spools(led: Ledgers) -> None:
    """Hold the view of all spools to the balances: ribbons sum to their openings."""
    view = build(
        led, today=date(2026, 11, 11), made="today",
        event_of=lambda seq: Told(1, "2026-11-11", "spool-read", "2026-11-11"),
    )  # fmt: skip
    for row in view.ribbons:
        assert sum(line.length_nm for line in row.accounts) == row.opening_nm
        assert row.opening_nm == -sum(
            led.ribbon.balance(spool)[OPENING] for spool in row.spools
        )
    found: dict[str, int] = defaultdict(int)
    for spool in led.spools:
        for name, nm in led.ribbon.balance(spool).accounts.items():
            found[account_of(name)] += nm
    shown: dict[str, int] = defaultdict(int)
    for row in view.ribbons:
        for line in row.accounts:
            shown[line.account] += line.length_nm
    found.pop("opening", None)
    assert _not_nothing(found) == _not_nothing(shown)


def _not_nothing(held: Mapping[str, int]) -> dict[str, int]:
    return {name: nm for name, nm in held.items() if nm}


@settings(
    max_examples=60, deadline=None, derandomize=True, database=None,
    suppress_health_check=list(HealthCheck),
)  # fmt: skip
@given(history=st.lists(ENTRIES, min_size=5, max_size=30), seed=st.integers(0, 999))
def test_every_story_keeps_the_laws_whatever_is_typed_and_in_whatever_view(
    history: list, seed: int
) -> None:
    """Now, as of a day, as known on a day, in order and shuffled."""
    opened = ShopSetUp(
        name="Reed", zone="UTC", currency="USD", units="us", paper="letter"
    )
    telling, chance = Telling(), Random(seed)
    telling.tell(opened, "2026-10-01")
    chance.shuffle(history)
    for entry in history:
        telling.clock += timedelta(hours=chance.randint(0, 9))
        telling.tell(*entry)
    day = date.fromisoformat(chance.choice(DAYS))
    known = START.date() + timedelta(days=chance.randint(0, 4))
    for as_of, known_on in ((None, None), (day, None), (None, known), (day, known)):
        led = telling.folded(as_of=as_of, known_on=known_on)
        check_stories(led)
        check_all_spools(led)


def _told(facts: list[tuple[int, Fact]]) -> Ledgers:
    return fold_facts(facts, zone="America/New_York")


@pytest.mark.parametrize("seed", [7, 8])
def test_a_years_stories_keep_the_laws_told_in_order_and_late(
    seed: int, harbour: Mapping[str, Any]
) -> None:
    """An invented year, and the same year with its entries typed in another order."""
    year = season(harbour, last_day=LAST_DAY, seed=seed)
    facts = list(numbered(year.entries))
    # The set-up is always the first entry; all else may be typed in any order.
    rest = facts[len(year.entries[0].entry.facts) :]
    Random(seed).shuffle(rest)
    shuffled = facts[: len(facts) - len(rest)] + rest
    for order in (facts, shuffled):
        led = _told(order)
        check_stories(led)
        check_all_spools(led)
    assert balances(_told(facts)) == balances(_told(late(facts, seed)))


def test_a_years_stories_as_known_on_a_day_are_those_typed_by_then(
    harbour: Mapping[str, Any],
) -> None:
    """What was typed later, or takes back later, is as if it had never been."""
    year = season(harbour, last_day=LAST_DAY, seed=9)
    telling = Telling()
    for number, one in enumerate(year.entries, start=1):
        telling.clock = one.recorded
        for fact in one.entry.facts:
            telling.keep(number, fact)
    for day in (date(2026, 1, 31), date(2026, 5, 14), date(2026, 10, 2)):
        known, rows = telling.folded(known_on=day), telling.rows_known(day)
        void = telling.voided(day)
        first = [one for one in telling.facts[: len(rows)] if one[0] not in void]

        assert 0 < len(rows) < len(telling.rows)
        assert balances(known) == balances(fold_facts(first, zone=ZONE))
        check_stories(known)
        check_all_spools(known)
        check_stories(telling.folded(as_of=day, known_on=day))


def late(facts: list[tuple[int, Fact]], seed: int) -> list[tuple[int, Fact]]:
    """Type a twentieth of the facts that share no moment with others at the end."""
    chance, moments_ = Random(seed), Counter(fact.happened for _, fact in facts)
    later = [
        one for one in facts
        if "T" in one[1].happened and moments_[one[1].happened] == 1
        and one[1].event.kind in MOVEMENTS and chance.random() < 0.5
    ]  # fmt: skip
    assert len(later) > 20
    seqs = {id(one) for one in later}
    return [one for one in facts if id(one) not in seqs] + later


MOVEMENTS = {
    "ribbon-cut", "ribbon-scrapped", "ribbon-sent", "end-kept", "parts-scrapped",
    "spool-read", "bows-finished",
}  # fmt: skip


def balances(led: Ledgers) -> dict[str, dict[str, int]]:
    """Give every spool's accounts."""
    return {s: dict(story(led, s).accounts) for s in sorted(led.spools)}
