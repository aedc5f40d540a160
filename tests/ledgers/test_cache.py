"""Out of a cache and its tail come the ledgers of a full fold, whatever was typed."""

from __future__ import annotations

import os
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from planner.events.bench import SittingLogged
from planner.events.selling import CostPaid
from planner.ledgers.keeping import CROWDED, PARTS, SHELF, SHELVES, read_head
from planner.ledgers.keeping_rows import NOUNS, REGISTRIES, RUNS
from planner.ledgers.resting import RESTS
from planner.ledgers.state import Ledgers
from planner.rules.base import next_code

from .cells import (
    Memory,
    balances,
    bring_up,
    everything,
    laid_bare,
    lay_down,
    resume,
    today,
)  # fmt: skip
from .facts import ANYTHING, DAYS, moments
from .telling import Telling

LONG = bool(os.environ.get("BOWS_LONG"))
ENTRIES = st.tuples(st.lists(ANYTHING, min_size=1, max_size=3), moments)
HISTORIES = st.lists(st.lists(ENTRIES, max_size=8), min_size=2, max_size=4)


@settings(max_examples=3000 if LONG else 150, deadline=None)
@given(
    history=HISTORIES,
    looks=st.lists(st.booleans(), min_size=4, max_size=4),
    undone=st.lists(st.integers(1, 30), max_size=2),
)
def test_a_cache_and_its_tail_are_a_full_fold(
    history: list[list[tuple[list[object], str]]],
    looks: list[bool],
    undone: list[int],
) -> None:
    """Brought up again and again, looked at in between or not, nothing differs."""
    telling, cells = Telling(), Memory()
    for events, happened in history[0]:
        telling.tell(events, happened)  # type: ignore[arg-type]
    for entry in undone:
        if entry <= telling.entries:
            telling.take_back(entry)
    lay_down(cells, telling.folded())
    for stretch, look in zip(history[1:], looks, strict=False):
        for events, happened in stretch:
            telling.tell(events, happened)  # type: ignore[arg-type]
        led = resume(cells, telling, upto=len(telling.rows))
        if look:
            balances(led)
        bring_up(cells, led)

    whole = telling.folded()
    assert everything(resume(cells, telling, upto=len(telling.rows))) == everything(
        whole
    )
    led = resume(cells, telling, upto=len(telling.rows))
    assert today(led) == today(whole)
    assert laid_bare(led) == laid_bare(whole)


NOT_KEPT = {
    "zone", "head_seq", "head_entry", "head_hash", "events", "late_newest",
    "given", "hypothetical", "memo", "plain", "told_voided", "pages", "row", "read",
    "look",
    "event",
}  # fmt: skip
"""What stands in the cache's head, is kept by other means, or is of one process."""


def test_every_registry_of_the_ledgers_is_kept() -> None:
    """A new one that isn't would be empty whenever the cache is used."""
    led = Ledgers()
    books = {book.name for book in led.books}

    assert set(vars(led)) - NOT_KEPT - books == {*REGISTRIES, *RUNS} - {"whole_counts"}


def test_what_is_worked_out_rests_on_parts_there_are() -> None:
    """A slip in a name would let it hold for ever."""
    led = Ledgers()
    for part in {part for parts in RESTS.values() for part in parts}:
        noun = part.removeprefix("pages.")
        assert noun in NOUNS if noun != part else hasattr(led, part), part


def test_worked_out_values_hold_until_what_they_rest_on_changes() -> None:
    """Counted: how often something is worked out anew."""
    telling, cells, made = Telling(), Memory(), list[int]()

    def ask(led: Ledgers) -> Any:
        def make() -> int:
            made.append(1)
            return len(led.sittings)

        return led.worked_out("hours worked", make)

    def sit(code: str) -> None:
        telling.tell(SittingLogged(sitting=code, minutes=30), DAYS[0])

    sit("T1")
    first = telling.folded()
    assert (ask(first), ask(first), len(made)) == (1, 1, 1)
    lay_down(cells, first)
    telling.tell(CostPaid(what="tape", amount=1), DAYS[0])
    led = resume(cells, telling, upto=2)
    assert (ask(led), len(made)) == (1, 1)
    bring_up(cells, led)
    sit("T2")
    led = resume(cells, telling, upto=3)
    assert (ask(led), len(made)) == (2, 2)
    bring_up(cells, resume(cells, telling, upto=3))
    assert (ask(resume(cells, telling, upto=3)), len(made)) == (2, 3)


def test_long_lists_of_parts_are_made_one() -> None:
    """Brought up many times, a timeline is still read in a few pieces."""
    telling, cells = Telling(), Memory()
    telling.tell(CostPaid(what="tape", amount=1), DAYS[0])
    lay_down(cells, telling.folded())
    for day in range(2 * PARTS + 5):
        telling.tell(CostPaid(what="tape", amount=1), DAYS[day % 5])
        bring_up(cells, resume(cells, telling, upto=len(telling.rows)))
    led = resume(cells, telling, upto=len(telling.rows))

    assert len(led.money.items["shop"].parts) <= PARTS + 1
    assert laid_bare(led) == laid_bare(telling.folded())


def test_a_crowded_shelf_is_laid_out_anew() -> None:
    """Its cells stay small however many entries come."""
    telling, cells = Telling(), Memory()
    telling.tell(SittingLogged(sitting="T0", minutes=30), DAYS[0])
    lay_down(cells, telling.folded())
    for batch in range(4):
        for code in range(CROWDED):
            sitting = SittingLogged(sitting=f"T{batch * CROWDED + code}", minutes=30)
            telling.tell(sitting, DAYS[0])
        bring_up(cells, resume(cells, telling, upto=len(telling.rows)))
    led = resume(cells, telling, upto=len(telling.rows))

    assert read_head(cells).shelves["sittings"][0] > 1
    assert laid_bare(led) == laid_bare(telling.folded())
    assert next_code(led, "T") == f"T{4 * CROWDED}"


def test_what_was_taken_up_can_be_laid_down_whole_elsewhere() -> None:
    """Not only what changed since: the new cells stand by themselves."""
    telling, cells, other = Telling(), Memory(), Memory()
    for code in range(40):
        telling.tell(SittingLogged(sitting=f"T{code}", minutes=30), DAYS[code % 5])
    lay_down(cells, telling.folded())
    telling.tell(SittingLogged(sitting="T40", minutes=30), DAYS[0])
    lay_down(other, resume(cells, telling, upto=len(telling.rows)))
    cells.held.clear()

    led = resume(other, telling, upto=len(telling.rows))
    assert everything(led) == everything(telling.folded())


def test_one_entry_more_rewrites_only_what_it_touches() -> None:
    """Of a shelf in many cells one is written, whatever else is there."""
    telling, cells = Telling(), Memory()
    for code in range(8 * CROWDED):
        telling.tell(SittingLogged(sitting=f"T{code}", minutes=30), DAYS[0])
    lay_down(cells, telling.folded())
    before = dict(cells.held)
    telling.tell(SittingLogged(sitting="T9999", minutes=30), DAYS[0])
    bring_up(cells, resume(cells, telling, upto=len(telling.rows)))

    buckets = read_head(cells).shelves["sittings"][0]
    renewed = [n for n, cell in cells.held.items() if before.get(n) != cell]
    first = SHELF * (SHELVES.index("sittings") + 1)
    assert buckets > 1
    assert len([n for n in renewed if first <= n < first + buckets]) == 1


def test_a_list_is_kept_in_as_many_pieces_as_it_was_told_in_up_to_a_few() -> None:
    """Then it is made one again; nothing is written twice before."""
    telling, cells, pieces = Telling(), Memory(), list[int]()
    telling.tell(CostPaid(what="tape", amount=1), DAYS[0])
    lay_down(cells, telling.folded())
    for day in range(PARTS + 2):
        telling.tell(CostPaid(what="tape", amount=1), DAYS[day % 5])
        bring_up(cells, resume(cells, telling, upto=len(telling.rows)))
        pieces.append(len(read_head(cells).runs["late"][0]))

    assert pieces[: PARTS - 1] == list(range(2, PARTS + 1))
    assert max(pieces) == PARTS
    assert 1 in pieces[PARTS - 1 :]
    led = resume(cells, telling, upto=len(telling.rows))
    assert list(led.late) == list(telling.folded().late)
