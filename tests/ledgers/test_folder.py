"""What a folder counts, and an entry looked at ahead as if it stood in the log."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.events.base import Event, Fact
from planner.events.bows import BowsOpening, StockCounted
from planner.events.catalogue import ColourNamed
from planner.fold import Folder, Hypothetical, fold_facts
from planner.ledgers.catalogue import catalogue
from planner.ledgers.state import Ledgers
from planner.log.codec import decode_many

from .cells import everything, laid_bare
from .facts import ANYTHING, DAYS, moments
from .telling import ZONE, Telling, read_bodies

FOUR = BowsOpening(bows=(("classic-4in:navy", 4),))
ENTRIES = st.tuples(st.lists(ANYTHING, min_size=1, max_size=3), moments)


def _untold(led: Ledgers) -> dict[str, object]:
    """Lay all bare but what only a written row has: its hash, and when it was typed."""
    bare = everything(led)
    bare["head"] = bare["head"][:2] + bare["head"][3:]
    return {name: what for name, what in bare.items() if not name.startswith("late")}


@settings(max_examples=60, deadline=None)
@given(st.lists(ENTRIES, max_size=4), st.lists(ENTRIES, min_size=1, max_size=4))
def test_an_entry_looked_at_ahead_counts_as_if_it_stood_in_the_log(
    history: list[tuple[list[object], str]], ahead: list[tuple[list[object], str]]
) -> None:
    """Numbered after its head, one after another, each seen by the next."""
    telling = Telling()
    for events, happened in history:
        telling.tell(events, happened)  # type: ignore[arg-type]
    folder = Folder(zone=ZONE, decode=decode_many, bodies=read_bodies)
    folder.feed(telling.rows)
    for events, happened in ahead:
        folder.advance([Fact(event, happened) for event in events])  # type: ignore[arg-type]
        telling.tell(events, happened)  # type: ignore[arg-type]

    assert _untold(folder.ledgers) == _untold(telling.folded())


@settings(max_examples=60, deadline=None)
@given(st.lists(ENTRIES, max_size=4), ENTRIES, st.sampled_from([None, *DAYS[3:]]))
def test_what_is_supposed_counts_as_if_it_stood_in_the_log(
    history: list[tuple[list[object], str]], ahead: tuple[list[object], str],
    day: str | None,
) -> None:  # fmt: skip
    """By its own day and in its own order, asked as of a day or not."""
    telling, as_of = Telling(), date.fromisoformat(day) if day else None
    for events, happened in history:
        telling.tell(events, happened)  # type: ignore[arg-type]
    (events, happened), before = ahead, telling.folded(as_of=as_of)
    overlay = [Hypothetical(event, happened) for event in events]  # type: ignore[arg-type]
    supposed = telling.folded(as_of=as_of, suppose=overlay)
    telling.tell(events, happened)  # type: ignore[arg-type]
    told = telling.folded(as_of=as_of)

    assert supposed.events == told.events
    assert supposed.hypothetical == told.events - before.events
    assert laid_bare(supposed)["books"] == laid_bare(told)["books"]


def test_a_count_supposed_for_the_day_asked_for_is_of_that_day() -> None:
    """A day's end belongs to the day."""
    telling = Telling()
    telling.tell(FOUR, "2026-11-02")
    count = StockCounted(place="home", counts=(("classic-4in:navy", 1),))
    led = telling.folded(
        as_of=date(2026, 11, 3), suppose=[Hypothetical(count, "2026-11-03")]
    )

    assert led.bows.balance("classic-4in:navy")["at:home"] == 1
    assert led.hypothetical == 1


@settings(max_examples=60, deadline=None)
@given(st.lists(ENTRIES, max_size=6), st.lists(st.integers(1, 6), max_size=2))
def test_facts_folded_without_a_log_are_numbered_as_in_it(
    history: list[tuple[list[object], str]], undone: list[int]
) -> None:
    """Each line of every timeline stands under the same number."""
    telling = Telling()
    for events, happened in history:
        telling.tell(events, happened)  # type: ignore[arg-type]
    for entry in {*undone} & {*range(1, telling.entries + 1)}:
        telling.take_back(entry)

    alone = fold_facts(telling.facts, zone=ZONE)
    assert _untold(alone) == _untold(telling.folded())


def test_the_catalogue_is_read_anew_only_when_it_was_added_to() -> None:
    """Thousands of lines of a file are looked at one after another."""
    red, white = (
        ColourNamed(colour=name, name=name, hex="#ffffff", family=name)
        for name in ("red", "white")
    )
    telling = Telling()
    telling.tell(red, "2026-11-02")
    folder = Folder(zone=ZONE, decode=decode_many, bodies=read_bodies)
    folder.feed(telling.rows)
    before = catalogue(folder.ledgers)
    folder.advance([Fact(FOUR, "2026-11-03")])

    assert catalogue(folder.ledgers) is before
    folder.advance([Fact(white, "2026-11-03"), Fact(FOUR, "2026-11-03")])
    assert set(catalogue(folder.ledgers).colours) == {"red", "white"}


def test_the_events_in_force_are_counted() -> None:
    """Not those taken back, nor those of a later day than asked for; a foot says it."""
    telling = Telling()
    telling.tell([FOUR, FOUR], "2026-11-02")
    telling.tell(FOUR, "2026-11-03")
    telling.tell(FOUR, "2026-11-05")
    telling.take_back(2)

    assert telling.folded().events == 4
    assert telling.folded(as_of=date(2026, 11, 4)).events == 2
    assert Telling().folded().events == 0


@pytest.mark.parametrize(
    ("happened", "typed", "late"),
    [
        # At seven in the evening in Honolulu it is past midnight in New York.
        ("2026-11-02T19:30:00-10:00", "2026-11-03T00:40", False),
        ("2026-11-02T19:30:00-10:00", "2026-11-03T23:50", False),
        ("2026-11-02T19:30:00-10:00", "2026-11-04T00:10", True),
        # And at two in the morning in Athens it is still the day before.
        ("2026-11-03T02:00:00+02:00", "2026-11-02T23:50", False),
        ("2026-11-03T02:00:00+02:00", "2026-11-04T00:10", True),
    ],
)
def test_late_is_what_is_typed_on_a_later_day_of_the_shops(
    happened: str, typed: str, late: bool
) -> None:
    """Wherever it is dated, the shop's own midnight counts."""
    telling = Telling()
    telling.tell(FOUR, happened, typed=typed)

    assert bool(telling.folded().late) is late


@settings(max_examples=60, deadline=None)
@given(st.lists(ENTRIES, min_size=1, max_size=5))
def test_pages_left_in_the_log_say_what_pages_kept_whole_say(
    history: list[tuple[list[object], str]],
) -> None:
    """Each event that a page keeps is found again at its place."""
    telling = Telling()
    for events, happened in history:
        telling.tell(events, happened)  # type: ignore[arg-type]

    def look(seq: int) -> Event:
        return decode_many([telling.rows[seq - 1]])[0]

    folder = Folder(zone=ZONE, decode=decode_many, bodies=read_bodies, look=look)
    folder.feed(telling.rows)
    whole = telling.folded()
    for noun, pages in whole.pages.items():
        for key, page in pages.items():
            left = folder.ledgers.pages[noun][key]
            assert [(one.at, one.event) for one in left] == [
                (one.at, one.event) for one in page
            ]
