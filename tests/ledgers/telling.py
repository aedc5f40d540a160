"""Telling a history to the ledgers: entries with two times, folded in any view."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from planner.events.base import Event, Fact
from planner.events.notes import EntryCorrected
from planner.fold import Folder, Hypothetical, LogRow, voided_entries
from planner.ledgers.state import Ledgers
from planner.log.bodies import read_bodies
from planner.log.codec import decode_many, encode

ZONE = "America/New_York"
HERE = ZoneInfo(ZONE)
INCH = 25_400_000
YARD = 914_400_000
START = datetime(2026, 11, 11, 17, 0, tzinfo=UTC)


@dataclass
class Telling:
    """A log kept in a list: each entry is typed a minute after the one before."""

    rows: list[LogRow] = field(default_factory=list)
    facts: list[tuple[int, Fact]] = field(default_factory=list)
    clock: datetime = START

    @property
    def entries(self) -> int:
        """How many entries were typed."""
        return self.rows[-1][2] if self.rows else 0

    def tell(
        self,
        events: Event | Sequence[Event],
        happened: str,
        *,
        typed: str | None = None,
    ) -> int:
        """Type one entry; gives its number."""
        if typed is not None:
            self.clock = datetime.fromisoformat(typed).replace(tzinfo=HERE)
        self.clock += timedelta(minutes=1)
        entry = self.entries + 1
        for event in [events] if isinstance(events, Event) else events:
            self.keep(entry, Fact(event, happened))
        return entry

    def keep(self, entry: int, fact: Fact) -> None:
        """Type a fact of an entry now, by the clock."""
        event, seq = fact.event, len(self.rows) + 1
        recorded = self.clock.astimezone(UTC).isoformat(timespec="milliseconds")
        self.rows.append(
            (seq, f"id-{seq}", entry, event.kind, event.version, fact.happened,
             recorded, encode(event), b"", b"hash %d" % seq)
        )  # fmt: skip
        self.facts.append((entry, fact))

    def take_back(self, *entries: int, typed: str | None = None) -> int:
        """Type a correction; gives its own number, so that it can be taken back."""
        return self.tell(EntryCorrected(entries=entries), "2026-11-11", typed=typed)

    def rows_known(self, known_on: date | None) -> list[LogRow]:
        """Give the rows up to the first that was recorded after a day."""
        rows: list[LogRow] = []
        for row in self.rows:
            there = datetime.fromisoformat(row[6]).astimezone(HERE).date()
            if known_on is not None and there > known_on:
                break
            rows.append(row)
        return rows

    def voided(self, known_on: date | None = None) -> frozenset[int]:
        """Say which entries are out of force, as known on a day."""
        last = len(self.rows_known(known_on))
        return voided_entries(
            (entry, fact.event.entries)
            for entry, fact in self.facts[:last]
            if isinstance(fact.event, EntryCorrected)
        )

    def folded(
        self,
        *,
        as_of: date | None = None,
        known_on: date | None = None,
        upto: int | None = None,
        chunk: int = 7,
        suppose: Iterable[Hypothetical] = (),
    ) -> Ledgers:
        """Fold the rows in small chunks, all of them or a prefix."""
        folder = Folder(
            zone=ZONE, decode=decode_many, bodies=read_bodies,
            voided=self.voided(known_on), as_of=as_of, known_on=known_on,
        )  # fmt: skip
        rows = self.rows[:upto]
        for first in range(0, len(rows), chunk):
            folder.feed(rows[first : first + chunk])
        folder.suppose(suppose)
        return folder.ledgers


def told(*facts: tuple[Event, str]) -> Ledgers:
    """Fold facts given in the order they were typed, an entry each."""
    telling = Telling()
    for event, happened in facts:
        telling.tell(event, happened)
    return telling.folded()
