"""What the tests of the scenario share."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from pathlib import Path

from planner.events.base import Fact
from planner.fold import fold_facts, voided_entries
from planner.ledgers.state import Ledgers
from planner.scenario import Told

ROOT = Path(__file__).resolve().parents[2]
LAST_DAY = date(2026, 11, 25)
SEED = 7


def numbered(entries: Iterable[Told]) -> Iterator[tuple[int, Fact]]:
    """Give each fact with the number of its entry."""
    for number, told in enumerate(entries, start=1):
        for fact in told.entry.facts:
            yield number, fact


def fold(entries: Iterable[Told], zone: str, more: Iterable[Fact] = ()) -> Ledgers:
    """Fold entries, those taken back left out, with facts beyond them."""
    facts = list(numbered(entries))
    corrections = [
        (number, fact.event.entries)
        for number, fact in facts
        if fact.event.kind == "entry-corrected"
    ]
    void = voided_entries(corrections)
    kept = [(number, fact) for number, fact in facts if number not in void]
    last = facts[-1][0]
    return fold_facts([*kept, *((last + 1, fact) for fact in more)], zone=zone)
