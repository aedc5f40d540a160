"""
Entries laid out as the rows they will be, before anything is written.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime

from planner.errors import LogTrouble, Unreadable
from planner.events.base import Entry, Event, Fact
from planner.log.chain import Head, Row, event_hash
from planner.log.codec import Registry, encode
from planner.log.ids import is_id, uuid7
from planner.log.stamps import is_happened, milliseconds, recorded_text

Chance = Callable[[int], bytes]
"""Gives that many random bytes (`os.urandom`, or a seeded stand-in)."""
_A_FAULT = "Type it anew; this is a fault of the program."


@dataclass(frozen=True, slots=True)
class Appended:
    """What one entry has become: its events, its number, and the head after it."""

    first_seq: int
    last_seq: int
    entry: int
    head: Head


def lay_out(
    entries: Sequence[Entry],
    *,
    after: Head,
    recorded: datetime | Sequence[datetime],
    rand: Chance,
    using: Registry,
) -> tuple[list[Row], tuple[Appended, ...]]:
    """
    Lay out entries as rows that follow a head, typed at one moment or at one each.

    Raises LogTrouble for an event of no known kind, Unreadable for a malformed time,
    ValueError for an entry without events.
    """
    rows: list[Row] = []
    appended: list[Appended] = []
    head = after
    moments = [recorded] * len(entries) if isinstance(recorded, datetime) else recorded
    for entry, moment in zip(entries, moments, strict=True):
        added = _entry_rows(entry, head, moment, rand, using)
        head = head_of(added[-1])
        appended.append(Appended(added[0][0], head.seq, head.entry, head))
        rows += added
    return rows, tuple(appended)


def head_of(row: Row) -> Head:
    """Give the head of a log that ends with this row."""
    return Head(seq=row[0], entry=row[2], hash=row[9])


def _entry_rows(
    entry: Entry, after: Head, recorded: datetime, rand: Chance, using: Registry
) -> list[Row]:
    if not entry.facts:
        raise ValueError("an entry needs at least one event")
    rows: list[Row] = []
    seq, prev = after.seq, after.hash
    for fact in entry.facts:
        seq += 1
        row = laid_row(fact, seq, after.entry + 1, prev, recorded, rand, using)
        rows.append(row)
        prev = row[9]
    return rows


def laid_row(
    fact: Fact,
    seq: int,
    entry: int,
    prev: bytes,
    recorded: datetime,
    rand: Chance,
    using: Registry,
) -> Row:
    """Lay out one event as the row that follows a hash; raises as `lay_out` does."""
    event = fact.event
    _refuse_unfit(fact, using)
    id = fact.id or uuid7(milliseconds(recorded), rand(10))
    stamp, body = recorded_text(recorded), encode(event)
    columns = (
        seq,
        id,
        entry,
        event.kind,
        event.version,
        fact.happened,
        stamp,
        body,
        prev,
    )
    return (*columns, event_hash(*columns))


def _refuse_unfit(fact: Fact, using: Registry) -> None:
    if not _is_known(fact.event, using):
        name = type(fact.event).__name__
        raise LogTrouble(f"{name} is no kind of event of a log.", instead=_A_FAULT)
    if not is_happened(fact.happened):
        raise Unreadable(
            f"{fact.happened!r} is no day and no moment with its zone.",
            instead="--on 2026-11-28",
        )
    if fact.id and not is_id(fact.id):
        raise LogTrouble(f"{fact.id!r} can't be the id of an event.", instead=_A_FAULT)


def _is_known(event: Event, using: Registry) -> bool:
    # An event of another class with the same kind is what a what-if makes.
    return using.kinds.get(event.kind) is type(event)
