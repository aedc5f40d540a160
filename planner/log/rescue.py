"""
A new log of all whole events of a damaged file, each under its old number.

An event is whole when it fits its own hash and the next whole one was chained to it.
What the tables don't give is looked for in the bytes of the file.  Where an event is
lost its number is kept by a mark, so that corrections still name the right entries;
those after it are chained anew, and their old hashes kept at the new log's end.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import closing, suppress
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise
from pathlib import Path

from planner.errors import Damaged, LogTrouble, NoShop
from planner.events.base import Event, Fact
from planner.events.notes import EventLost, LogRescued
from planner.log.carving import carved_events, carved_private
from planner.log.chain import GENESIS, Head, Row, row_hash
from planner.log.check import all_rows, check_log, last_seq, row_faults
from planner.log.codec import Registry, parse
from planner.log.draft import Chance, head_of, laid_row
from planner.log.faults import UNREADABLE, told
from planner.log.opening import PATIENCE, connect, settle
from planner.log.people import PrivateRow, seals_in, verify_seal
from planner.log.store import Log

Whole = dict[int, Row]
"""Whole events by seq."""

_PIECE = 1_000
"""Old hashes that one event keeps."""
_ALL_TEXTS = "SELECT key, person, field, text, salt FROM private"


@dataclass(frozen=True, slots=True)
class Rescue:
    """
    What was rescued: where the new log is and ends, how many events of the old are in.

    `lost` are the numbers of those that are not; `texts` counts the private texts kept,
    `texts_lost` those found that no whole event has sealed.
    """

    path: Path
    head: Head
    events: int
    lost: tuple[int, ...]
    texts: int
    texts_lost: int


def rescue(
    path: Path, target: Path, *, using: Registry, recorded: datetime, rand: Chance,
    first: Event | None = None,
) -> Rescue:  # fmt: skip
    """
    Write all whole events of a file to a new log; the old file stays as it is.

    `first` takes the place of the shop's set-up when that is lost.  Raises NoShop,
    Damaged when there is nothing whole or no set-up, LogTrouble when something is at
    the target already.
    """
    if not path.is_file():
        raise NoShop(f"There is no shop at {path}.", instead="bows open")
    with told(path):
        data = path.read_bytes()
        whole = _whole_events(path, data, using)
        texts = _texts(path, data, whole)
    if not whole:
        raise Damaged(
            f"There isn't one whole event in {path}.",
            instead="Put a backup in its place.",
        )
    rows = list(_laid_out(whole, first, recorded, rand, using))
    kept = _sealed(texts, whole)
    Log.create(target, using=using, fill=lambda log: _write(log, rows, kept)).close()
    gone = tuple(seq for seq in range(1, max(whole)) if seq not in whole)
    head = head_of(rows[-1])
    return Rescue(target, head, len(whole), gone, len(kept), len(texts) - len(kept))


# -- what is whole ----------------------------------------------------------------


def _whole_events(path: Path, data: bytes, using: Registry) -> Whole:
    read, sound = _read(path, using)
    if not sound:
        for row in carved_events(data):
            if row not in read.setdefault(row[0], []) and _is_whole(row, using):
                read[row[0]].append(row)
    return _linked(read)


def _read(path: Path, using: Registry) -> tuple[dict[int, list[Row]], bool]:
    """Read the table; says whether it gave one whole event after another."""
    read: dict[int, list[Row]] = {}
    sound = True
    with suppress(*UNREADABLE), closing(_opened(path)) as db:
        for found in all_rows(db, last_seq(db)):
            if isinstance(found, tuple) and _is_whole(found, using):
                read.setdefault(found[0], []).append(found)
            else:
                sound = False
        return read, sound and len(read) == max(read, default=0)
    return read, False


def _opened(path: Path) -> sqlite3.Connection:
    db = connect(path)
    settle(db, PATIENCE, readonly=True)
    db.text_factory = lambda raw: raw.decode("utf-8", "backslashreplace")
    return db


def _is_whole(row: Row, using: Registry) -> bool:
    """Say whether an event is what it was, whatever stands before it."""
    with suppress(TypeError, ValueError, OverflowError):
        before = Head(row[0] - 1, row[2], row[8])
        return not row_faults(row, before, using) and row_hash(row) == row[9]
    return False


def _linked(read: Mapping[int, list[Row]]) -> Whole:
    """Take, from the last down, what the next whole event was chained to."""
    whole: Whole = {}
    for seq in sorted(read, reverse=True):
        after = whole.get(seq + 1)
        fits = [row for row in read[seq] if after is None or row[9] == after[8]]
        if fits:
            whole[seq] = fits[0]
    return dict(sorted(whole.items()))


# -- the new log ------------------------------------------------------------------


def _laid_out(
    whole: Whole, first: Event | None, recorded: datetime, rand: Chance, using: Registry
) -> Iterator[Row]:
    head, moment = Head(0, 0, GENESIS), _first_moment(whole)
    for seq in range(1, max(whole) + 1):
        old = whole.get(seq)
        if old is None:
            fact = Fact(_stand_in(seq, whole, first), moment[:10])
            entry = _entry_of_lost(head.entry, seq, whole)
            at = datetime.fromisoformat(moment)
            row = laid_row(fact, seq, entry, head.hash, at, rand, using)
        else:
            row = _chained(old, head.hash)
            moment = old[6]
        head = head_of(row)
        yield row
    for event in _old_hashes(whole):
        day = recorded.date().isoformat()
        entry = whole[max(whole)][2] + 1
        fact = Fact(event, day)
        row = laid_row(fact, head.seq + 1, entry, head.hash, recorded, rand, using)
        head = head_of(row)
        yield row


def _first_moment(whole: Whole) -> str:
    return next(iter(whole.values()))[6]


def _stand_in(seq: int, whole: Whole, first: Event | None) -> Event:
    """Give what stands for a lost event: for the first, the shop set up once more."""
    if seq > 1:
        return EventLost(hash=_old_hash(seq, whole))
    if first is None:
        raise Damaged(
            "Event 1, by which the shop was set up, is lost.",
            instead="bows rescue new.bows --zone America/Chicago --currency USD",
        )
    return first


def _entry_of_lost(last: int, seq: int, whole: Whole) -> int:
    """Number the entry of a lost event so that all others keep their numbers."""
    coming = next(row[2] for at, row in whole.items() if at > seq)
    return min(last + 1, coming)


def _chained(row: Row, prev: bytes) -> Row:
    if row[8] == prev:
        return row
    new: Row = (*row[:8], prev, b"")
    return (*new[:9], row_hash(new))


def _old_hash(seq: int, whole: Whole) -> str:
    if seq in whole:
        return whole[seq][9].hex()
    return whole[seq + 1][8].hex() if seq + 1 in whole else ""


def _old_hashes(whole: Whole) -> Iterator[LogRescued]:
    last = max(whole)
    first = next((seq for seq in range(1, last) if seq not in whole), last + 1)
    edges = [*range(first, last + 1, _PIECE), last + 1]
    for start, end in pairwise(edges):
        seqs = range(start, end)
        yield LogRescued(
            first=start,
            hashes=tuple(_old_hash(seq, whole) for seq in seqs),
            lost=tuple(seq for seq in seqs if seq not in whole),
        )


def _write(log: Log, rows: list[Row], private: list[PrivateRow]) -> None:
    with log.writing():
        log.insert(rows, private)
    report = check_log(log)
    if report.faults:
        raise LogTrouble(
            f"The new log isn't whole: {report.faults[0]}",
            instead="See that the disk is whole, then rescue it to another.",
        )


# -- texts about people -----------------------------------------------------------


def _texts(path: Path, data: bytes, whole: Whole) -> list[PrivateRow]:
    """Read the private texts; where the table gives none, look in the bytes."""
    with suppress(*UNREADABLE), closing(_opened(path)) as db:
        return db.execute(_ALL_TEXTS).fetchall()
    # What was forgotten stays so, should a trace of it be left in a damaged file.
    gone = {
        parse(row[7])["person"]
        for row in whole.values()
        if row[3] == "person-forgotten"
    }
    found = {row[0]: row for row in carved_private(data) if row[1] not in gone}
    return list(found.values())


def _sealed(texts: list[PrivateRow], whole: Whole) -> list[PrivateRow]:
    """Give the texts that a whole event has sealed."""
    seals: dict[str, str] = {}
    for row in whole.values():
        seals.update(seals_in(row[7]))
    return [row for row in texts if _fits(row, seals.get(row[0], ""))]


def _fits(row: PrivateRow, digest: str) -> bool:
    with suppress(UnicodeEncodeError, TypeError, AttributeError):
        return verify_seal(digest, salt=row[4], text=row[3])
    return False
