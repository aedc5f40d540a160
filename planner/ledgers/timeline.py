"""
Timelines: what every balance is made of.

An item (a spool, a kind, a supply lot, the till) is a timeline of *movements* between
two of its accounts and of *readings*, which are absolute.  Each movement takes from one
account and gives to another, so that every event posts zero-sum by construction.

A timeline is ordered by (moment, seq).  A reading fixes the balance at its moment; what
it changes goes to *not yet explained*.  A movement typed late but dated before a
reading therefore changes that reading's unexplained difference, not today's balance.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from operator import itemgetter
from typing import TYPE_CHECKING, NamedTuple

from planner.errors import CacheLost
from planner.ledgers.known import (
    LINE,
    LONG_AGO,
    NOTHING,
    READING,
    Known,
    Line,
    added_up,
    carry_on,
)
from planner.ledgers.numbering import Accounts
from planner.ledgers.shelves import Shelf, since
from planner.ledgers.track import Track

if TYPE_CHECKING:
    from planner.ledgers.state import Spot

UNEXPLAINED = "not yet explained"
OPENING = "opening"


class Row(NamedTuple):
    """
    One line of a timeline, in order.

    `when` is microseconds since 1970 (UTC); `amount` what moved from `source` to
    `target`.  For a reading, `reading` is what was read of `target`, and `amount` the
    difference it made, taken from `source` (opening or not yet explained).
    """

    when: int
    seq: int
    source: str
    target: str
    amount: int
    reading: int | None


@dataclass(frozen=True, slots=True)
class Balance:
    """
    The signed accounts of one item at one moment; they sum to nothing.

    `missing` names accounts that the movements alone would leave below nothing: an
    entry is missing.  Their shortfall stands under *not yet explained*, until a late
    entry or a reading clears it.
    """

    accounts: Mapping[str, int]
    missing: Mapping[str, int]

    def __getitem__(self, account: str) -> int:
        return self.accounts.get(account, 0)

    def under(self, prefix: str) -> dict[str, int]:
        """Give the accounts that start with `prefix`, by the rest of the name."""
        cut = len(prefix)
        return {
            name[cut:]: amount
            for name, amount in self.accounts.items()
            if name.startswith(prefix) and amount
        }

    def total(self, prefix: str) -> int:
        """Add up the accounts whose name starts with `prefix`."""
        return sum(self.under(prefix).values())


_pack = LINE.pack


class Timeline:
    """
    The movements and readings of one item, kept compactly (32 bytes a line).

    A long log holds millions of lines: as tuples they would not fit a small machine.
    Of a timeline out of the cache the first `away` lines stay there, in `parts`, until
    something asks for them; `known` is what they come to.
    """

    __slots__ = (
        "away", "book", "kept", "known", "newest", "parts", "saved", "sorted", "tracks",
    )  # fmt: skip

    def __init__(self, book: Book) -> None:
        self.book = book
        self.kept = bytearray()
        self.newest = LONG_AGO
        self.sorted = True
        self.known: Known | None = None
        self.parts: tuple[int, ...] = ()
        self.tracks: dict[int, Track] = {}
        self.away = self.saved = 0

    def add(self, when: int, seq: int, source: int, target: int, amount: int) -> None:
        """Append a movement (or a reading, with `source` READING)."""
        if when < self.newest or (source == self.book.first and len(self)):
            self.sorted = False
        else:
            self.newest = when
        self.kept += _pack(when, seq, source, target, amount)

    def __len__(self) -> int:
        return self.away + len(self.kept) // LINE.size

    def lines(self) -> Iterator[Line]:
        """Walk the raw lines as they were added, those in the cache fetched first."""
        if self.away:
            self.kept[:0] = b"".join(map(self.book.fetch, self.parts))
            self.away = 0
        return LINE.iter_unpack(self.kept)

    def track(self, account: str) -> Track | None:
        """Give an account's track, kept up; none of what readings take from."""
        book = self.book
        if account in (OPENING, UNEXPLAINED):
            return None
        known = book.number_of(account)
        number = NOTHING if known is None else known
        track = self.tracks.setdefault(number, Track(number, book.first))
        counts = since(book.whole_counts, track.counts)
        track.keep_up(self._lines_from(track.length), counts)
        return track

    def _lines_from(self, length: int) -> list[Line]:
        """Give the lines after the first so many, which may stay in the cache."""
        if length < self.away:
            return list(self.lines())[length:]
        return list(LINE.iter_unpack(self.kept[(length - self.away) * LINE.size :]))

    def _columns(self) -> Iterator[Line]:
        """Walk the raw lines in order of (moment, seq), place-wide counts merged in."""
        if not self.book.whole_counts and self.sorted:
            return self.lines()
        merged = list(self.lines())
        if self.book.whole_counts:
            merged += self._zeros(merged)
        return iter(self.book.in_order(merged))

    def _zeros(self, lines: list[Line]) -> list[Line]:
        """Read nothing where a place was counted through and this item not named."""
        named = {(line[1], line[3]) for line in lines if line[2] == READING}
        touched = {line[3] for line in lines} | {line[2] for line in lines}
        return [
            (when, seq, READING, account, 0)
            for when, seq, account in self.book.whole_counts
            if account in touched and (seq, account) not in named
        ]

    def rows(self, *, until: int | None = None) -> Iterator[Row]:
        """Walk the timeline in order, with what each reading changed."""
        names = self.book.names
        held: dict[int, int] = {}
        fresh = self.book.fresh
        opening, unexplained = self.book.opening, self.book.unexplained
        first = self.book.first  # it was there by then, whatever day it is dated
        for when, seq, source, target, amount in self._columns():
            if until is not None and when > until and source != first:
                continue
            if source == READING:
                change = amount - held.get(target, 0)
                fresh = fresh if target == fresh else NOTHING
                giver = unexplained if fresh == NOTHING else opening
                held[target] = amount
                yield Row(when, seq, names[giver], names[target], change, amount)
                continue
            if source != opening:
                fresh = NOTHING
            held[source] = held.get(source, 0) - amount
            held[target] = held.get(target, 0) + amount
            yield Row(when, seq, names[source], names[target], amount, None)

    def current(self) -> Known:
        """Give what the timeline comes to by now, carried on where that is exact."""
        known = self.known
        if known is None or not self._carried_on(known):
            known = added_up(self._columns(), self.book)
            known.length, known.newest = len(self), self.newest
            self.known = known
        return known

    def _carried_on(self, known: Known) -> bool:
        """Add to what is known the lines since; says whether that could be done."""
        if (known.length, known.whole) == (len(self), len(self.book.whole_counts)):
            return True
        return carry_on(known, self._lines_from(known.length), self.book)

    def balance(self) -> Balance:
        """Add the timeline up, shortfalls moved to *not yet explained*."""
        held = self.current().held
        names, stock = self.book.names, self.book.stock_accounts
        missing: dict[str, int] = {}
        accounts: dict[str, int] = {}
        short = 0
        for number, amount in held.items():
            name = names[number]
            if amount < 0 and stock(name):
                missing[name] = -amount
                short += amount
            elif amount:
                accounts[name] = amount
        if short:
            accounts[UNEXPLAINED] = accounts.get(UNEXPLAINED, 0) + short
            if not accounts[UNEXPLAINED]:
                del accounts[UNEXPLAINED]
        return Balance(accounts, missing)


_in_order = itemgetter(0, 1)


def _nothing_kept(part: int) -> bytes:
    raise CacheLost(f"no part {part} in a full fold")


class Book(Accounts):
    """
    One ledger of timelines: ribbon by spool, bows by kind, supplies by lot, money.

    `stock` prefixes name the accounts that hold real things and can't be below
    nothing; a reading of the `fresh` account before the first movement corrects the
    opening (what the label or she had said), and not the unexplained.  With `begins`,
    an item's opening comes first whatever day it is dated: a spool read before the day
    it is said to have come was there all the same.
    """

    __slots__ = (
        "_cache", "counted", "fetch", "first", "fresh", "items", "name", "opening",
        "stock", "unexplained", "whole_counts",
    )  # fmt: skip

    def __init__(
        self, name: str, *, stock: tuple[str, ...], fresh: str = "",
        begins: bool = False,
    ) -> None:  # fmt: skip
        super().__init__()
        self.name = name
        self.stock = stock
        self.items: dict[str, Timeline] = {}
        self.whole_counts: list[tuple[int, int, int]] = []
        self.counted = LONG_AGO
        self.fetch: Callable[[int], bytes] = _nothing_kept
        self.opening = self.number(OPENING)
        self.first = self.opening if begins else NOTHING
        self.unexplained = self.number(UNEXPLAINED)
        self.fresh = self.number(fresh) if fresh else NOTHING
        self._cache: dict[str, tuple[int, int, Balance]] = {}

    def live(self) -> Iterable[str]:
        """Give the items that may still hold anything, or miss an entry."""
        items = self.items
        if not isinstance(items, Shelf):
            return items
        grown = [item for item, line in items.at_hand() if len(line) > line.saved]
        return items.live(grown)

    def in_order(self, lines: list[Line]) -> list[Line]:
        """Sort lines by (moment, seq), an item's opening before all else."""
        first = self.first
        lines.sort(key=_in_order)
        if first != NOTHING:
            lines.sort(key=lambda line: line[2] != first)
        return lines

    def stock_accounts(self, name: str) -> bool:
        """Say whether an account holds real things."""
        return name.startswith(self.stock)

    def timeline(self, item: str) -> Timeline:
        """Give an item's timeline, begun if it is new."""
        line = self.items.get(item)
        if line is None:
            line = self.items[item] = Timeline(self)
        return line

    def move(self, item: str, at: Spot, source: str, target: str, amount: int) -> None:
        """Move an amount of an item from one account to another."""
        when, seq, _, _ = at
        numbers = self._numbers
        try:
            line = self.items[item]
            a, b = numbers[source], numbers[target]
        except KeyError:
            line = self.timeline(item)
            a, b = self.number(source), self.number(target)
        # What `Timeline.add` does, written out: this is the fold's busiest place.
        if when < line.newest or (a == self.first and len(line)):
            line.sorted = False
        else:
            line.newest = when
        line.kept += _pack(when, seq, a, b, amount)

    def read(self, item: str, at: Spot, account: str, amount: int) -> None:
        """Note a reading: that an account held this much at that moment."""
        try:
            line, number = self.items[item], self._numbers[account]
        except KeyError:
            line, number = self.timeline(item), self.number(account)
        line.add(at[0], at[1], READING, number, amount)

    def count_through(self, at: Spot, account: str) -> None:
        """Note that an account was counted through: unnamed items had none there."""
        when, seq, _, _ = at
        self.whole_counts.append((when, seq, self.number(account)))
        self.counted = max(self.counted, when)

    def balance(self, item: str) -> Balance:
        """Give an item's balance (kept until the timeline grows)."""
        line = self.items.get(item)
        if line is None:
            return Balance({}, {})
        size = (len(line), len(self.whole_counts))
        kept = self._cache.get(item)
        if kept is not None and kept[:2] == size:
            return kept[2]
        made = line.balance()
        self._cache[item] = (*size, made)
        return made

    def held(self, item: str, account: str) -> int:
        """
        Give what an account of real things holds, nothing where an entry is missing.

        As its `balance` has it, without adding up a spool's thousands of bundles.
        """
        line, number = self.items.get(item), self.number_of(account)
        if line is None or number is None:
            return 0
        return max(line.current().held.get(number, 0), 0)

    def why(self, item: str, account: str) -> list[Row]:
        """Give the lines of an item's timeline that made an account what it is."""
        line = self.items.get(item)
        if line is None:
            return []
        return [row for row in line.rows() if account in (row.source, row.target)]

    def at(self, item: str, account: str, moment: int) -> int:
        """Give what an account held just after a moment, before any normalising."""
        line = self.items.get(item)
        if line is None:
            return 0
        if (track := line.track(account)) is not None:
            return track.at(moment)
        held = 0
        for row in line.rows(until=moment):
            if row.target == account:
                held += row.amount
            elif row.source == account:
                held -= row.amount
        return held
