"""
Whether a log is what was once written: what `bows check` finds in the file itself.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass

from planner.errors import Damaged
from planner.log import old_hashes, schema
from planner.log.chain import COLUMNS, GENESIS, START, Head, Row, read_hash, row_hash
from planner.log.codec import Registry, decode, parse
from planner.log.draft import head_of
from planner.log.faults import UNREADABLE
from planner.log.ids import is_id
from planner.log.people import seals_in, verify_seal
from planner.log.stamps import is_happened, is_recorded
from planner.log.store import Log

Private = tuple[object, object, object, object]

_TYPES = (int, str, int, str, int, str, str, bytes, bytes, bytes)
_LEAST = 36 + 10 + 24 + 2 + 32 + 32
"""Bytes that the columns of an event take at least."""

_UNANCHORED = (
    "Nothing inside the file can show that events were cut off at its end: "
    "compare it with a printed report by --against and the digits at its foot."
)


@dataclass(frozen=True, slots=True)
class Fault:
    """
    One thing that is wrong.

    `seq` is the event's, 0 when it isn't about events; `last` is the last one's when it
    is about several in a row, else 0.
    """

    seq: int
    what: str
    last: int = 0

    def __str__(self) -> str:
        if self.last:
            return f"Events {self.seq} to {self.last}: {self.what}."
        if self.seq:
            return f"Event {self.seq}: {self.what}."
        return f"{self.what[:1].upper()}{self.what[1:]}."


@dataclass(frozen=True, slots=True)
class CheckReport:
    """
    What was looked at and what is wrong.

    `extends` counts the events since the report whose hash was given; None when no hash
    was given, or when the log behind that report isn't a beginning of this one.  `lost`
    are events that were lost before the log was rescued.
    """

    events: int
    entries: int
    head: Head
    faults: tuple[Fault, ...]
    against: str | None
    extends: int | None
    lost: tuple[int, ...] = ()

    @property
    def whole(self) -> bool:
        """Say whether nothing is wrong, the anchor included."""
        return not self.faults and (self.against is None or self.extends is not None)

    def lines(self) -> tuple[str, ...]:
        """Say it in sentences."""
        looked = (
            f"Looked at {self.events:,} events in {self.entries:,} entries, those "
            "taken back among them."
        )
        found = tuple(map(str, self.faults)) or ("Each is as it was written.",)
        return (looked, *found, *self._lost(), self._anchor())

    def _lost(self) -> Iterator[str]:
        if self.lost:
            first = ", ".join(map(str, self.lost[:20]))
            more = f" and {len(self.lost) - 20} more" if len(self.lost) > 20 else ""
            yield f"Lost before the log was rescued: event {first}{more}."

    def _anchor(self) -> str:
        if self.against is None:
            return _UNANCHORED
        if self.extends is None:
            return (
                f"{self.against} is not found: the log behind that report "
                "is not a beginning of this one."
            )
        if self.extends == 0:
            return f"The log ends where that report was made ({self.against})."
        return f"Today's log extends that of the report by {self.extends} events."


def check_log(
    log: Log, using: Registry | None = None, *, against: str | None = None
) -> CheckReport:
    """
    Look at every event, the chain, the guards, the file and the private texts.

    `against` is the hash at the foot of a printed report.  Raises Unreadable when it
    is no hash.
    """
    look = _Look(using or log.registry, against)
    before = log.db.text_factory
    # Bytes that are no text are to be named, not to stop the search for others.
    log.db.text_factory = lambda raw: raw.decode("utf-8", "backslashreplace")
    try:
        # Read first: what another window adds meanwhile comes with its event.
        private = _private_rows(log.db)
        last = last_seq(log.db)
        for found in all_rows(log.db, last):
            look.at(found)
        look.missing_before(last + 1)
        look.before_rescues(log.db)
        look.faults += _file_faults(log.db)
        look.faults += look.private(private)
    finally:
        log.db.text_factory = before
    return look.report()


def row_faults(row: Row, before: Head, using: Registry) -> list[str]:
    """Name what is wrong with one event that should follow a head."""
    wrong = _type_faults(row)
    if wrong:
        return wrong
    return [
        *_place_faults(row, before),
        *_form_faults(row),
        *_hash_faults(row, before),
        *_body_faults(row, using),
    ]


class _Look:
    """Goes through a log event by event and remembers what it found."""

    def __init__(self, using: Registry, against: str | None) -> None:
        self.using, self.against = using, against
        self.events, self.entries, self.head = 0, 0, START
        self.faults: list[Fault] = []
        self.ids: set[str] = set()
        self.seals: dict[str, str] = {}
        self.rescues: dict[int, old_hashes.Rescued] = {}
        # A log with nothing in it is a beginning of every log.
        self.digits = read_hash(against) if against else None
        self.anchored: int | None = None
        self._anchor(0, GENESIS)

    def at(self, found: Row | Fault) -> None:
        if isinstance(found, Fault):
            self.missing_before(found.seq)
            self.faults.append(found)
            self.head = _unknown(found.seq)
            return
        self.missing_before(found[0])
        wrong = row_faults(found, self.head, self.using)
        self.faults += [Fault(found[0], what) for what in wrong]
        self.events += 1
        if _type_faults(found) or found[0] <= self.head.seq:
            self.head = _unknown(max(found[0], self.head.seq))
        else:
            self._remember(found)

    def missing_before(self, seq: int) -> None:
        first, last = self.head.seq + 1, seq - 1
        if first <= last:
            self.faults.append(
                Fault(first, "missing", last=last if last > first else 0)
            )
            self.head = _unknown(last)

    def _remember(self, row: Row) -> None:
        if row[1] in self.ids:
            self.faults.append(Fault(row[0], "its id stands twice"))
        self.ids.add(row[1])
        self.entries += row[2] != self.head.entry
        self.head = head_of(row)
        with suppress(ValueError, RecursionError):  # named as unreadable already
            self.seals.update(seals_in(row[7]))
            if row[3] == old_hashes.KIND:
                rescued = self.rescues.setdefault(row[2], old_hashes.Rescued())
                rescued.add(parse(row[7]))
        self._anchor(row[0], row[9])

    def _anchor(self, seq: int, digest: bytes) -> None:
        # What follows a broken link isn't what stood behind the report.
        if self.digits and not self.faults and digest.hex().startswith(self.digits):
            self.anchored = seq

    def before_rescues(self, db: sqlite3.Connection) -> None:
        """Hold events against the hashes they had before the log was rescued."""
        if self.faults:
            return

        def rows(first: int, last: int) -> list[Row]:
            return _select(db, "seq BETWEEN ? AND ? ORDER BY seq", first, last)

        rescues = list(self.rescues.values())
        self.faults += [
            Fault(seq, "it doesn't fit the hash it had before the log was rescued")
            for seq in old_hashes.misfits(rescues, rows)
        ]
        if self.digits and self.anchored is None and not self.faults:
            self.anchored = old_hashes.anchored(rescues, self.digits)

    def private(self, kept: list[Private] | Fault) -> Iterator[Fault]:
        if isinstance(kept, Fault):
            yield kept
            return
        for key, field, text, salt in kept:
            if key not in self.seals:
                yield Fault(0, f"the private text {key} belongs to no event")
            elif not _fits(self.seals[key], salt, text):
                yield Fault(0, f"the {field} kept as {key} isn't what was sealed")

    def report(self) -> CheckReport:
        extends = None if self.anchored is None else self.head.seq - self.anchored
        return CheckReport(
            events=self.events,
            entries=self.entries,
            head=self.head,
            faults=tuple(dict.fromkeys(self.faults)),
            against=self.against,
            extends=extends,
            lost=tuple(sorted(self._lost())),
        )

    def _lost(self) -> set[int]:
        return {seq for one in self.rescues.values() for seq in one.lost}


def _unknown(seq: int) -> Head:
    """Stand for an event that can't be read: nothing can be held against the next."""
    return Head(seq=seq, entry=0, hash=b"")


def _type_faults(row: Row) -> list[str]:
    return [
        f"its {name} is of the wrong type"
        for name, value, wanted in zip(COLUMNS, row, _TYPES, strict=True)
        if type(value) is not wanted
    ]


def _place_faults(row: Row, before: Head) -> Iterator[str]:
    if row[0] > before.seq + 1:
        yield f"event {before.seq + 1} should come before it"
    elif row[0] <= before.seq:
        yield f"it stands after event {before.seq}"
    if before.hash and row[2] not in (before.entry, before.entry + 1):
        yield f"its entry {row[2]} doesn't follow entry {before.entry}"


def _form_faults(row: Row) -> Iterator[str]:
    if not is_id(row[1]):
        yield "its id is malformed"
    if not is_happened(row[5]):
        yield "its day is malformed"
    if not is_recorded(row[6]):
        yield "its moment of recording is malformed"


def _hash_faults(row: Row, before: Head) -> Iterator[str]:
    if before.hash and row[8] != before.hash:
        yield "it doesn't follow the event before it in the chain"
    try:
        if row_hash(row) != row[9]:
            yield "it doesn't fit its hash"
    except UnicodeEncodeError:
        yield "it holds a broken character"


def _body_faults(row: Row, using: Registry) -> Iterator[str]:
    try:
        decode(row[3], row[4], row[7], using=using)
    except Damaged as error:
        yield error.what.rstrip(".")


def all_rows(db: sqlite3.Connection, last: int) -> Iterator[Row | Fault]:
    """Read in chunks; where one can't be read, event by event."""
    after = 0
    while True:
        try:
            rows = _select(db, "seq > ? ORDER BY seq LIMIT 1000", after)
        except UNREADABLE:
            yield from _one_by_one(db, after, min(after + 1000, last))
            reached = after + 1000 if after + 1000 < last else after
        else:
            yield from rows
            reached = max((row[0] for row in rows), default=after)
        # Where a damaged file gives the same events again, nothing more is to be had.
        if reached <= after:
            return
        after = reached


def _private_rows(db: sqlite3.Connection) -> list[Private] | Fault:
    try:
        return db.execute("SELECT key, field, text, salt FROM private").fetchall()
    except UNREADABLE as error:
        return Fault(0, f"the private texts can't be read ({error})")


def last_seq(db: sqlite3.Connection) -> int:
    """Find the last event by the table and by an index, for either may be damaged."""
    found = [0]
    for ask in (
        "SELECT max(seq) FROM event",
        "SELECT seq FROM event INDEXED BY event_by_entry"
        " ORDER BY entry DESC, seq DESC LIMIT 1",
    ):
        with suppress(*UNREADABLE):
            found += [seq for (seq,) in db.execute(ask).fetchall() if seq is not None]
    return min(max(found), _room(db))


def _room(db: sqlite3.Connection) -> int:
    """Bound how many events a file of this size can hold, for a seq may be damaged."""
    size = 1
    for name in ("page_count", "page_size"):
        size *= int(db.execute(f"PRAGMA {name}").fetchone()[0])
    return size // _LEAST


def _one_by_one(db: sqlite3.Connection, after: int, end: int) -> Iterator[Row | Fault]:
    for seq in range(after + 1, end + 1):
        try:
            yield from _select(db, "seq = ?", seq)
        except UNREADABLE as error:
            yield Fault(seq, f"the file is damaged where it stands ({error})")


def _select(db: sqlite3.Connection, where: str, *values: int) -> list[Row]:
    ask = f"SELECT {', '.join(COLUMNS)} FROM event WHERE {where}"
    return db.execute(ask, values).fetchall()


def _file_faults(db: sqlite3.Connection) -> list[Fault]:
    try:
        return [*_schema_faults(db), *_integrity_faults(db)]
    except UNREADABLE as error:
        return [Fault(0, f"the file can't be read through ({error})")]


def _schema_faults(db: sqlite3.Connection) -> Iterator[Fault]:
    wanted, made = schema.expected_words(), schema.words_of(db)
    for name in sorted(wanted.keys() | made.keys()):
        if name not in made:
            yield Fault(0, f"the {name} is missing from the file")
        elif name not in wanted:
            yield Fault(0, f"the {name} doesn't belong into the file")
        elif made[name] != wanted[name]:
            yield Fault(0, f"the {name} was changed")


def _integrity_faults(db: sqlite3.Connection) -> Iterator[Fault]:
    for (verdict,) in db.execute("PRAGMA integrity_check").fetchall():
        if verdict != "ok":
            yield Fault(0, f"SQLite says: {verdict}")


def _fits(digest: object, salt: object, text: object) -> bool:
    return (
        isinstance(digest, str)
        and isinstance(salt, bytes)
        and isinstance(text, str)
        and verify_seal(digest, salt=salt, text=text)
    )
