"""Facts folded without a log come to what the log's own fold comes to."""

from __future__ import annotations

import os

from hypothesis import given, settings
from hypothesis import strategies as st

from planner.events.bench import BowsFinished
from planner.events.notes import EntryCorrected
from planner.fold import fold_facts
from planner.ledgers import laws
from planner.ledgers.codes import newest

from .cells import balances
from .facts import ANYTHING, moments
from .telling import ZONE, Telling

LONG = bool(os.environ.get("BOWS_LONG"))
ENTRIES = st.tuples(st.lists(ANYTHING, min_size=1, max_size=3), moments)


@settings(max_examples=1000 if LONG else 50, deadline=None)
@given(
    history=st.lists(ENTRIES, min_size=1, max_size=10),
    undone=st.lists(st.integers(1, 14), max_size=4),
)
def test_corrections_count_as_in_the_log(
    history: list[tuple[list[object], str]], undone: list[int]
) -> None:
    """Entries taken back, and corrections taken back, whatever they held."""
    telling = Telling()
    for events, happened in history:
        telling.tell(events, happened)  # type: ignore[arg-type]
    for entry in undone:
        if entry <= telling.entries:
            telling.take_back(entry)
    alone, folded = fold_facts(telling.facts, zone=ZONE), telling.folded()

    assert balances(alone) == balances(folded)
    assert laws.fingerprint(alone) == laws.fingerprint(folded)
    assert (alone.voided, alone.given) == (folded.voided, folded.given)


def test_a_batch_taken_back_is_not_there_and_keeps_its_code() -> None:
    """Three finished bows less three: none at home, and B1 stays taken."""
    telling = Telling()
    batch = BowsFinished(batch="B1", made="bow:navy", revision=1, count=3)
    telling.tell(batch, "2026-11-10")
    telling.tell(EntryCorrected(entries=(1,)), "2026-11-11")
    led = fold_facts(telling.facts, zone=ZONE)

    assert led.bows.balance("bow:navy").accounts == {}
    assert newest(led, "B") == 1
