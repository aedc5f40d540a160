"""
What a timeline comes to, carried on with its new lines where that is exact.

The lines of a long timeline stay in the cache: today's balance needs only what they
came to, unless a late line or a reading falls among them.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from struct import Struct
from typing import TYPE_CHECKING

from planner.ledgers.shelves import since

if TYPE_CHECKING:
    from planner.ledgers.timeline import Book

READING = -1
"""Stands in the `source` column of a reading."""
NOTHING = -2
"""The number of no account."""

LINE = Struct("@qqiiq")
"""
A line as it is kept: moment, seq, source, target, amount.

Laid out as the machine likes it, which has no gaps and takes a third of the time.
"""
Line = tuple[int, int, int, int, int]
LONG_AGO, NEVER = -(1 << 62), 1 << 62


class Known:
    """
    A timeline added up to some length and number of place-wide counts.

    `held` are its signed accounts, `fresh` what a first reading would still correct;
    `reading`, `newest` and `counted` the moments of the last reading, of the newest
    line, and of the newest place-wide count seen by then; `read` the last reading of
    each account, and `begun` the moment from which what a reading changes is not yet
    explained, whichever: both are only told where the lines were all walked.
    """

    __slots__ = (
        "begun", "counted", "fresh", "held", "length", "newest", "read", "reading",
        "whole",
    )  # fmt: skip

    def __init__(
        self, length: int, whole: int, held: dict[int, int], fresh: int, reading: int,
        newest: int, counted: int, begun: int = NEVER,
        read: dict[int, int] | None = None,
    ) -> None:  # fmt: skip
        self.length, self.whole, self.held, self.fresh = length, whole, held, fresh
        self.reading, self.newest, self.counted = reading, newest, counted
        self.begun, self.read = begun, read or {}


def added_up(lines: Iterable[Line], book: Book) -> Known:
    """Add up the lines of a timeline, in order, from its beginning."""
    held: dict[int, int] = {}
    get, read, last = held.get, dict[int, int](), LONG_AGO
    fresh, opening, unexplained = book.fresh, book.opening, book.unexplained
    begun = LONG_AGO if fresh == NOTHING else NEVER
    for when, _, source, target, amount in lines:
        if source == READING:
            if target != fresh:
                fresh, begun = NOTHING, min(begun, when)
            giver = unexplained if fresh == NOTHING else opening
            change = amount - get(target, 0)
            held[target] = amount
            held[giver] = get(giver, 0) - change
            last = read[target] = when
        else:
            if fresh != NOTHING and source != opening:
                fresh, begun = NOTHING, when
            held[source] = get(source, 0) - amount
            held[target] = get(target, 0) + amount
    held = {number: amount for number, amount in held.items() if amount}
    for when, _, account in book.whole_counts:  # whatever goes there before is gone
        read[account] = max(read.get(account, LONG_AGO), when)
    whole = len(book.whole_counts)
    return Known(0, whole, held, fresh, last, LONG_AGO, book.counted, begun, read)


def carry_on(known: Known, lines: Sequence[Line], book: Book) -> bool:
    """
    Add new lines to what is known of a timeline; says whether that could be done.

    It can when every new reading comes after all that was there, and every new
    movement after the last reading: then the order of the others doesn't matter.  Of a
    movement before that, an account read since keeps what was read, and what it would
    have lost or won is not yet explained.
    """
    zeros = _new_zeros(known, lines, book)
    if zeros is None or not _in_time(known, [*lines, *zeros], book):
        return False
    for line in book.in_order([*lines, *zeros]):
        _post(known, line, book)
    known.length += len(lines)
    known.whole, known.counted = len(book.whole_counts), book.counted
    return True


def _new_zeros(known: Known, lines: Sequence[Line], book: Book) -> list[Line] | None:
    """Read nothing where a place was counted through since; None if in doubt."""
    counts = since(book.whole_counts, known.whole)
    if counts and book.fresh != NOTHING:
        return None
    named = {(line[1], line[3]) for line in lines if line[2] == READING}
    return [
        (when, seq, READING, account, 0)
        for when, seq, account in counts
        if (seq, account) not in named
    ]


def _in_time(known: Known, lines: Sequence[Line], book: Book) -> bool:
    """Say whether new lines can be added to what is known without the old ones."""
    after_all = max(known.newest, known.counted)
    after_readings = max(known.reading, known.counted)
    unread = after_readings == LONG_AGO
    after_readings = min(after_readings, known.begun)
    return all(
        unread if line[2] == book.first
        else line[0] >= (after_all if line[2] == READING else after_readings)
        for line in lines
    )  # fmt: skip


def _post(known: Known, line: Line, book: Book) -> None:
    """Add one line, as `added_up` does."""
    when, _, source, target, amount = line
    held, read = known.held, known.read
    known.newest = max(known.newest, when)
    if source == READING:
        known.fresh = known.fresh if target == known.fresh else NOTHING
        giver = book.unexplained if known.fresh == NOTHING else book.opening
        held[giver] = held.get(giver, 0) - (amount - held.get(target, 0))
        held[target] = amount
        known.reading = read[target] = when
        return
    if source != book.opening:
        known.fresh = NOTHING
    if when < read.get(source, LONG_AGO):
        source = book.unexplained
    if when < read.get(target, LONG_AGO):
        target = book.unexplained
    held[source] = held.get(source, 0) - amount
    held[target] = held.get(target, 0) + amount
