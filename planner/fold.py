"""
Fold the log into ledgers, as of a day or as known on a day.

`as_of` leaves out what happened after the end of that day; `known_on` leaves out what
was recorded after it: the longest prefix of the log whose running maximum of
`recorded` still lies on or before that day, so that a clock set back hides nothing.
Entries taken back are passed over, wherever their correction stands.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from planner.events.base import Body, Event, Fact, body_of
from planner.ledgers import bows, codes, fairs, money, paged, ribbon, supplies
from planner.ledgers.state import At, Ledgers, Spot
from planner.values.moments import day_of, end_of_day, instant, noon
from planner.values.quiet import no_collecting

LogRow = tuple[int, str, int, str, int, str, str, bytes, bytes, bytes]
"""A row as the log keeps it: seq, id, entry, kind, version, happened, recorded, ..."""

Decoder = Callable[[Sequence[LogRow]], list[Event]]
"""Turns rows into events, in order, strictly."""

Reader = Callable[[Sequence[LogRow]], list[Body]]
"""Turns rows into the bodies alone, in order."""

_READINGS = frozenset({"spool-read", "stock-counted", "supply-counted", "parts-counted",
                       "fair-day-closed"})  # fmt: skip
"""Kinds whose bare day means the end of it; a movement's bare day means noon."""

_CATALOGUE = frozenset(
    {
        "colours", "ribbons", "supplies", "patterns", "colourways", "sets", "retired",
        "prices",
    }
)  # fmt: skip
"""Nouns whose pages the catalogue is read from."""


_NAMING = frozenset(
    {
        "shop-set-up", "colour-named", "ribbon-named", "supply-named",
        "pattern-revised", "colourway-named", "set-named",
    }
)  # fmt: skip
"""Kinds that first give a thing its name; they post nothing."""


_Day = tuple[int, str, str]
"""A day in the shop: its end, in µs and as it is recorded; the day."""


def _handlers() -> Mapping[str, tuple[Callable[[Ledgers, Body, Spot], None], ...]]:
    found: dict[str, list[Callable[[Ledgers, Body, Spot], None]]] = {}
    for module in (ribbon, bows, supplies, money, paged, fairs):
        for kind, post in module.POSTS.items():
            found.setdefault(kind, []).append(post)
    return {kind: tuple(posts) for kind, posts in found.items()}


HANDLERS = _handlers()
"""Kind -> what each ledger does with it."""


@dataclass(frozen=True, slots=True)
class Hypothetical:
    """
    An event that might happen, laid over the log for one question.

    Its type is not `Fact`, so that nothing can append it by mistake.
    """

    event: Event
    happened: str


def voided_entries(corrections: Iterable[tuple[int, Sequence[int]]]) -> frozenset[int]:
    """
    Say which entries are out of force, given (entry, entries it takes back) in order.

    A correction taken back no longer takes back anything; walked from the newest
    down, each correction's own standing is known before it is applied.
    """
    out: set[int] = set()
    for entry, taken_back in sorted(corrections, reverse=True):
        if entry not in out:
            out.update(taken_back)
    return frozenset(out)


def moment_of(kind: str, happened: str, zone: ZoneInfo) -> int:
    """Give the instant an event is ordered by, in microseconds since 1970 (UTC)."""
    if len(happened) == 10 and kind in _READINGS:
        return end_of_day(date.fromisoformat(happened), zone)
    return instant(happened, zone)


class Folder:
    """Folds rows into ledgers, chunk by chunk; one use."""

    def __init__(
        self,
        *,
        zone: str,
        decode: Decoder,
        bodies: Reader,
        voided: frozenset[int] = frozenset(),
        as_of: date | None = None,
        known_on: date | None = None,
        ledgers: Ledgers | None = None,
        look: Callable[[int], Event] | None = None,
    ) -> None:
        """
        Prepare an empty fold in the shop's zone, or go on with some ledgers.

        look: gives the event at a seq; what pages keep is then left in the log.
        """
        self.zone = ZoneInfo(zone)
        self.ledgers = ledgers or Ledgers(zone)
        self.ledgers.read, self.ledgers.look = self._read, look
        if ledgers is None:
            self.ledgers.told_voided = lambda: voided
        self.decode, self.bodies = decode, bodies
        self.voided = voided
        self._until = end_of_day(as_of, self.zone) if as_of else None
        self._known = end_of_day(known_on, self.zone) if known_on else None
        self._newest = 0
        self._days: dict[str, _Day] = {}
        self.closed = False

    def feed_all(self, chunks: Iterable[Sequence[LogRow]]) -> Ledgers:
        """Fold chunk after chunk; gives the ledgers."""
        with no_collecting(for_good=True):
            for rows in chunks:
                self.feed(rows)
        return self.ledgers

    def feed(self, rows: Sequence[LogRow]) -> None:
        """Fold the next rows of the log."""
        rows = self._known_by_then(rows)
        if not rows:
            return
        kept = rows
        if self.voided:
            kept = [row for row in rows if row[2] not in self.voided]
            if len(kept) < len(rows):
                self._note_codes(row for row in rows if row[2] in self.voided)
        with no_collecting():
            self._post_read(kept)
        led, last = self.ledgers, rows[-1]
        led.row = None
        led.memo.clear()
        led.head_seq, led.head_entry, led.head_hash = last[0], last[2], last[9]

    def _note_codes(self, passed_over: Iterable[LogRow]) -> None:
        """Note the codes given by entries taken back, which stay taken."""
        givers = [row for row in passed_over if row[3] in codes.KINDS]
        kinds = (row[3] for row in givers)
        codes.note_taken(self.ledgers, zip(kinds, self.bodies(givers), strict=True))

    def _post_read(self, rows: Sequence[LogRow]) -> None:
        """Post rows; what no ledger can take is read strictly, to name the damage."""
        try:
            self._post_all(rows, self.bodies(rows))
        except Exception:
            self.decode(rows)
            raise

    def _post_all(self, rows: Sequence[LogRow], bodies: Sequence[Body]) -> None:
        led, zone, until = self.ledgers, self.zone, self._until
        days, handlers, before, posted = self._days, HANDLERS, "", 0
        for row, body in zip(rows, bodies, strict=True):
            seq, _, entry, kind, _, happened, recorded, _, _, _ = row
            # Events of one entry mostly happened at one time.
            if happened != before:
                before, bare = happened, len(happened) == 10
                ends = days.get(happened[:10]) or self._learn(happened[:10])
                moment = noon(happened, zone) if bare else instant(happened, zone)
            when = ends[0] if bare and kind in _READINGS else moment
            if until is not None and when > until and not self._names(kind, body):
                continue
            if recorded > ends[1] and self._is_late(when, recorded, ends):
                led.note_late(ends[2], seq)
            posted += 1
            led.row = row
            at = when, seq, happened, entry
            for post in handlers[kind]:
                post(led, body, at)
        led.events += posted

    def _names(self, kind: str, body: Body) -> bool:
        """
        Say whether an event first names what it is about.

        Earlier entries may speak of a shop, a colour or a pattern set up only later.
        """
        if kind not in _NAMING:
            return False
        noun, field = paged.NOUNS[kind]
        key = body[field] if field else ""
        return not self.ledgers.pages[noun].get(key)

    def _learn(self, day: str) -> _Day:
        end = end_of_day(date.fromisoformat(day), self.zone)
        text = datetime.fromtimestamp(end // 1_000_000, UTC).isoformat()
        self._days[day] = known = end, text[:19], day
        return known

    def _read(self, kind: str, version: int, body: bytes) -> Event:
        row = (0, "", 0, kind, version, "", "", body, b"", b"")
        return self.decode([row])[0]

    def _is_late(self, when: int, recorded: str, ends: _Day) -> bool:
        """Say whether it was typed on a later day than it happened, in the shop."""
        if when > ends[0]:  # dated in another zone: its own day isn't the shop's
            return day_of(recorded, self.zone) > self._day_of(when)
        return recorded[:19] > ends[1] or instant(recorded, self.zone) > ends[0]

    def _day_of(self, when: int) -> date:
        return datetime.fromtimestamp(when // 1_000_000, self.zone).date()

    def _known_by_then(self, rows: Sequence[LogRow]) -> Sequence[LogRow]:
        if self.closed:
            return ()
        if self._known is None:
            return rows
        for index, row in enumerate(rows):
            self._newest = max(self._newest, instant(row[6], self.zone))
            if self._newest > self._known:
                self.closed = True
                return rows[:index]
        return rows

    def _apply(self, kind: str, event: Event, at: Spot) -> None:
        led = self.ledgers
        led.events += 1
        led.event, body = event, body_of(event)
        for post in HANDLERS.get(kind, ()):
            post(led, body, at)
        led.event = None

    def advance(self, facts: Iterable[Fact]) -> None:
        """
        Fold one more entry as if it stood in the log, numbered after its head.

        For looking at one proposed entry after another: what follows sees its effect.
        The ledgers are the folder's own by then and no longer those of the log.
        """
        led = self.ledgers
        led.head_entry += 1
        kept = led.memo.get("catalogue")
        led.memo.clear()
        for fact in facts:
            led.head_seq += 1
            kind, happened = fact.event.kind, fact.happened
            when = moment_of(kind, happened, self.zone)
            self._apply(
                kind, fact.event, At(when, led.head_seq, happened, led.head_entry)
            )
            if paged.NOUNS.get(kind, ("", ""))[0] in _CATALOGUE:
                kept = None
        # Reading the catalogue anew for each of thousands of entries takes the longest.
        if kept is not None:
            led.memo["catalogue"] = kept

    def suppose(self, overlay: Iterable[Hypothetical]) -> None:
        """Lay hypothetical events over the log, numbered after its head."""
        led = self.ledgers
        led.memo.clear()
        seq = led.head_seq
        for hypothetical in overlay:
            seq += 1
            kind = hypothetical.event.kind
            when = moment_of(kind, hypothetical.happened, self.zone)
            if self._until is None or when <= self._until:
                at = At(when, seq, hypothetical.happened, led.head_entry + 1)
                self._apply(kind, hypothetical.event, at)
                led.hypothetical += 1


def fold_facts(
    facts: Iterable[tuple[int, Fact]], *, zone: str, as_of: date | None = None
) -> Ledgers:
    """Fold facts with their entry numbers, without a log; for rules and tests."""
    told = list(facts)
    voided = voided_entries(_corrections(told))
    folder = Folder(
        zone=zone, decode=_no_rows, bodies=_no_rows, voided=voided, as_of=as_of
    )
    for seq, (entry, fact) in enumerate(told, start=1):
        kind = fact.event.kind
        when = moment_of(kind, fact.happened, folder.zone)
        if entry in voided:
            told_of = [(kind, body_of(fact.event))] * (kind in codes.KINDS)
            codes.note_taken(folder.ledgers, told_of)
        elif folder._until is None or when <= folder._until:
            folder._apply(kind, fact.event, At(when, seq, fact.happened, entry))
        folder.ledgers.head_seq, folder.ledgers.head_entry = seq, entry
    return folder.ledgers


def _no_rows(rows: Sequence[LogRow]) -> list[Any]:
    return []


def _corrections(
    facts: Iterable[tuple[int, Fact]],
) -> Iterator[tuple[int, Sequence[int]]]:
    for entry, fact in facts:
        event: Any = fact.event
        if event.kind == "entry-corrected":
            yield entry, event.entries
