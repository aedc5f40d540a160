"""
The ledgers: all that a fold of the log rebuilds.

Four *books* of timelines hold what can be counted (ribbon, bows, supplies, money).
*Registries* hold what cuts, batches and sittings were, compactly, since they are the
bulk of a log.  *Pages* keep the rarer events themselves, by noun and key, and are read
in order of (moment, seq): whatever order they were typed in, the answer is the same.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import (
    Callable,
    Iterable,
    Iterator,
    Mapping,
    Sequence,
)
from datetime import date, timedelta
from functools import cached_property, lru_cache
from marshal import dumps, loads
from typing import TYPE_CHECKING, Any, NamedTuple, TypeVar
from zoneinfo import ZoneInfo

from planner.ledgers.compact import Coded, Compact
from planner.ledgers.resting import RESTS
from planner.ledgers.shelves import Run, Shelf
from planner.ledgers.timeline import Book
from planner.values.moments import day_of, end_of_day

if TYPE_CHECKING:
    from planner.events.base import Body, Event


T = TypeVar("T")


class At(NamedTuple):
    """When an event happened (µs since 1970 and as written), and where it stands."""

    when: int
    seq: int
    happened: str
    entry: int


Spot = tuple[int, int, str, int]
"""An `At` as it is handed to the ledgers: plain, since a fold makes one an event."""


class Spool(NamedTuple):
    """One spool as it came: ribbon, label (nm), lot, supplier, price share."""

    code: str
    ribbon: str
    label: int
    lot: str
    supplier: str
    paid: int
    seq: int
    happened: str
    restock: str | None
    parent: str | None
    part_used: bool


class Bundle(NamedTuple):
    """Parts cut in one go: `count` of `length` nm for `role`, from one spool."""

    code: str
    spool: str
    role: str
    length: int
    count: int  # type: ignore[assignment]
    for_kind: str | None
    seq: int
    when: int
    happened: str
    sitting: str | None


PartRow = tuple[str, int, int, str | None, str | None]
"""A part of a batch: role, length (nm), count, bundle and spool as far as known."""


def part_rows(parts: Iterable[Body]) -> tuple[PartRow, ...]:
    """Give the parts that an event tells as they are kept."""
    return tuple([
        (p["role"], p["length"], p["count"], p.get("bundle"), p.get("spool"))
        for p in parts
    ])  # fmt: skip


class Batch(NamedTuple):
    """Bows finished in one go; `parts` are (role, length, count, bundle, spool)."""

    code: str
    kind: str
    revision: int | None
    count: int  # type: ignore[assignment]
    place: str
    parts: tuple[PartRow, ...]
    supplies: tuple[tuple[str, int], ...]
    sitting: str | None
    minutes: int | None
    order: str | None
    ready: str | None
    seq: int
    when: int
    happened: str


class Sitting(NamedTuple):
    """A stretch of bench time: minutes worked, and planned when told."""

    code: str
    minutes: int
    planned: int | None
    seq: int
    when: int
    happened: str


class Lot(NamedTuple):
    """A lot of a supply as it came."""

    code: str
    supply: str
    units: int
    paid: int
    supplier: str
    seq: int
    happened: str
    restock: str | None


class Arrived(NamedTuple):
    """What came in of a restock: spools of a ribbon (nm on the label), or units."""

    ribbon: bool
    what: str
    count: int  # type: ignore[assignment]
    length: int
    paid: int


class Spoiled(NamedTuple):
    """Bows spoiled at the bench."""

    kind: str
    count: int  # type: ignore[assignment]
    sitting: str | None
    seq: int
    when: int


class Kept:
    """
    An event kept whole, with its time and place in the log.

    Of a log it is kept as bytes and read when somebody asks for it: `read` gives the
    event that stands at `at.seq`, or the one of a kind, version and body.
    """

    __slots__ = ("_at", "_event", "_read")

    def __init__(
        self, at: At | bytes, event: Any, read: Callable[..., Any] | None = None
    ) -> None:
        self._at, self._event, self._read = at, event, read

    @classmethod
    def small(cls, at: Spot, read: Callable[..., Any], *told: Any) -> Kept:
        """Keep an event as bytes: where it stands, and what else `read` is told."""
        return cls(dumps((*at, *told)), None, read)

    @property
    def at(self) -> At:
        """When it happened, and where it stands."""
        at = self._at
        return At(*loads(at)[:4]) if isinstance(at, bytes) else at

    @property
    def event(self) -> Any:
        """The event itself."""
        if self._event is None and self._read is not None:
            at = self._at
            told = loads(at)[4:] if isinstance(at, bytes) else ()
            self._event = self._read(*(told or (self.at.seq,)))
        return self._event


class Pages(Mapping[str, T]):
    """
    Things read off their pages one by one, each when it is first asked for.

    What `read` gives None of isn't there.
    """

    def __init__(
        self, keys: Mapping[str, Any], read: Callable[[str], T | None]
    ) -> None:
        self._keys, self._read = keys, read
        self._made: dict[str, T | None] = {}

    def _one(self, key: str) -> T | None:
        if key not in self._made:
            self._made[key] = self._read(key) if key in self._keys else None
        return self._made[key]

    def __getitem__(self, key: str) -> T:
        made = self._one(key)
        if made is None:
            raise KeyError(key)
        return made

    def __iter__(self) -> Iterator[str]:
        return (key for key in self._keys if self._one(key) is not None)

    def __len__(self) -> int:
        return sum(1 for _ in self)

    def of(self, keys: Iterable[str]) -> Iterator[T]:
        """Walk those of some keys that are there."""
        return (made for made in map(self._one, keys) if made is not None)


class Ledgers:
    """What the log's events add up to; made by `fold`, read by everything else."""

    def __init__(self, zone: str = "UTC") -> None:
        self.zone = zone
        self.ribbon = Book(
            "ribbon", fresh="left", begins=True,
            stock=("left", "ends", "bundle:", "bows", "trimmed", "sent:lent"),
        )  # fmt: skip
        self.bows = Book("bows", stock=("at:",))
        self.supplies = Book("supplies", stock=("left",), begins=True)
        self.money = Book("money", stock=())
        self.spools: dict[str, Spool] = Coded()
        self.wound_early: dict[str, list[str]] = {}
        self.bundles: Compact[Bundle] | Shelf[Bundle] = Compact(Bundle)
        self.batches: Compact[Batch] | Shelf[Batch] = Compact(Batch)
        self.batch_parts: dict[str, list[PartRow]] = {}
        self.untold_parts: dict[str, bool] = {}
        self.sittings: Compact[Sitting] | Shelf[Sitting] = Compact(Sitting)
        self.lots: dict[str, Lot] = Coded()
        self.spoiled: list[Spoiled] = []
        self.last_cut: dict[str, tuple[int, int]] = {}
        self.newest_lot: dict[str, tuple[int, int, str]] = {}
        self.arrived: dict[str, list[Arrived]] = {}
        self.made_for: dict[str, list[str]] = {}
        self.fair_sales: dict[str, dict[str, int]] = {}
        self.fair_sets: dict[str, dict[str, dict[str, int]]] = {}
        self.fair_moves: dict[str, dict[str, int]] = {}
        self.fair_days: dict[str, list[str]] = {}
        self.batch_out: list[tuple[str, str, int, int]] = []
        self.pages: dict[str, dict[str, list[Kept]]] = defaultdict(dict)
        self.row: Sequence[Any] | None = None
        self.event: Event | None = None
        self.read: Callable[[str, int, bytes], Any] | None = None
        self.look: Callable[[int], Any] | None = None
        self.head_seq = 0
        self.head_entry = 0
        self.head_hash = b""
        self.events = 0
        self.late: list[tuple[str, int]] = []
        self.late_newest = ""
        self.given: dict[str, int] = {}
        self.told_voided: Callable[[], frozenset[int]] = frozenset
        self.hypothetical = 0
        self.memo: dict[Any, Any] = {}
        self.plain: Mapping[str, Callable[[], Any]] = {}

    @cached_property
    def voided(self) -> frozenset[int]:
        """The entries out of force."""
        return self.told_voided()

    def parts_of(self, batch: str) -> tuple[PartRow, ...]:
        """Give a batch's parts, those told afterwards in place of unknown ones."""
        told = self.batch_parts.get(batch, [])
        parts = self.batches[batch].parts
        return (*_still_unknown(parts, told), *told) if told else parts

    @property
    def books(self) -> tuple[Book, ...]:
        """All the books of timelines."""
        return self.ribbon, self.bows, self.supplies, self.money

    def day(self, at: Spot) -> str:
        """Give the shop's own day of a moment, whatever zone it was told in."""
        when, _, happened, _ = at
        told = happened[:10]
        if len(happened) == 10:
            return told
        first, last = _span(told, self.zone)
        if first <= when <= last:
            return told
        return day_of(happened, ZoneInfo(self.zone)).isoformat()

    def keep(self, noun: str, key: str, at: Spot) -> None:
        """Write the event being posted on a page, to be read in order later."""
        row, read = self.row, self.read
        if row is not None and self.look is not None:
            kept = Kept.small(at, self.look)
        elif row is not None and read is not None:
            kept = Kept.small(at, read, row[3], row[4], row[7])
        else:
            kept = Kept(At(*at), self.event)
        self.pages[noun].setdefault(key, []).append(kept)

    def page(self, noun: str, key: str) -> list[Kept]:
        """Give the events kept of one thing, in order of (moment, seq)."""
        return sorted(self.pages[noun].get(key, ()), key=_moment)

    def keys(self, noun: str) -> Mapping[str, Any]:
        """Give the things a noun has pages of, in order of first mention."""
        return self.pages[noun]

    def live(self, noun: str) -> Iterable[str]:
        """Give those of a noun's things that may not be over and done with."""
        page = self.pages[noun]
        return page.live() if isinstance(page, Shelf) else page

    def worked_out(self, name: str, make: Callable[[], Any]) -> Any:
        """
        Give what `make` works out of the ledgers, as plain values that JSON knows.

        It is worked out once, and kept in the cache until what it rests on changes.
        """
        known = self.memo.setdefault("worked out", {})
        if name not in known:
            kept = self.plain[name]() if self.holds(name) else None
            if kept is None:
                self.memo.setdefault("worked out anew", set()).add(name)
            known[name] = make() if kept is None else kept
        return known[name]

    def holds(self, name: str) -> bool:
        """Say whether what the cache has worked out still holds."""
        return name in self.plain and not any(map(self._changed, RESTS[name]))

    def _changed(self, part: str) -> bool:
        noun = part.removeprefix("pages.")
        held = getattr(self, part) if noun == part else self.pages[noun]
        if isinstance(held, Run):
            return len(held) > held.stored
        return not isinstance(held, Shelf) or bool(held.touched)

    def all_kept(self, noun: str) -> list[Kept]:
        """Give all events kept under a noun, in order of (moment, seq)."""
        return sorted(
            (kept for page in self.pages[noun].values() for kept in page), key=_moment
        )

    def late_between(self, first: str, last: str) -> int:
        """Count the events of those days that were typed on a later day."""
        return sum(first <= day <= last for day, _ in self.late)

    def late_until(self, last: str) -> int:
        """Count the events of the days up to one that were typed on a later day."""
        if last >= self.late_newest:
            return len(self.late)
        return sum(day <= last for day, _ in self.late)

    def note_late(self, day: str, seq: int) -> None:
        """Note that an event was typed on a later day than it happened."""
        self.late.append((day, seq))
        self.late_newest = max(self.late_newest, day)


@lru_cache(maxsize=512)
def _span(day: str, zone: str) -> tuple[int, int]:
    """Give the first and last microsecond of a local day."""
    here, there = ZoneInfo(zone), date.fromisoformat(day)
    return end_of_day(there - timedelta(days=1), here) + 1, end_of_day(there, here)


def _still_unknown(parts: Iterable[PartRow], told: Iterable[PartRow]) -> list[PartRow]:
    """Take what was told afterwards, by role, off the parts of no known spool."""
    covered: dict[str, int] = {}
    for role, _, count, _, _ in told:
        covered[role] = covered.get(role, 0) + count
    left: list[PartRow] = []
    for role, length, count, bundle, spool in parts:
        take = min(covered.get(role, 0), count) if spool is None else 0
        if take:
            covered[role] -= take
        if count > take:
            left.append((role, length, count - take, bundle, spool))
    return left


def _moment(kept: Kept) -> tuple[int, int]:
    return kept.at.when, kept.at.seq
