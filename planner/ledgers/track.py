"""
What one account of a timeline held at any moment, kept up as lines are added.

A line typed late is found its place among the others without walking them all: they
lie in short stretches, each with its sum.
"""

from __future__ import annotations

from bisect import bisect_right, insort
from collections.abc import Iterable, Sequence
from operator import itemgetter

from planner.ledgers.known import LONG_AGO, READING, Line

Mark = tuple[int, int]
"""A place in a timeline: moment and seq, the opening's long before all."""
_MOST = 512
"""A stretch of more lines than these is cut in two."""
_STEP = itemgetter(0, 1)


class Sums:
    """Amounts in order of their marks, added up to any mark."""

    def __init__(self) -> None:
        self._firsts: list[Mark] = []
        self._stretches: list[list[tuple[int, int, int]]] = []
        self._totals: list[int] = []

    def add(self, mark: Mark, amount: int) -> None:
        """Put an amount in its place."""
        if not self._firsts:
            self._firsts, self._stretches, self._totals = [mark], [[]], [0]
        at = max(bisect_right(self._firsts, mark) - 1, 0)
        stretch = self._stretches[at]
        insort(stretch, (*mark, amount))
        self._firsts[at] = stretch[0][:2]
        self._totals[at] += amount
        if len(stretch) > _MOST:
            self._cut(at)

    def _cut(self, at: int) -> None:
        stretch = self._stretches[at]
        halves = [stretch[: _MOST // 2], stretch[_MOST // 2 :]]
        self._stretches[at : at + 1] = halves
        self._firsts[at : at + 1] = [half[0][:2] for half in halves]
        self._totals[at : at + 1] = [sum(one[2] for one in half) for half in halves]

    def upto(self, mark: Mark) -> int:
        """Add up what stands at a mark or before it."""
        at = bisect_right(self._firsts, mark) - 1
        if at < 0:
            return 0
        stretch = self._stretches[at]
        end = bisect_right(stretch, mark, key=_STEP)
        return sum(self._totals[:at]) + sum(one[2] for one in stretch[:end])


class Track:
    """
    One account's movements and readings, as far as `length` lines of a timeline.

    `counts` of the book's place-wide counts were seen: where the item isn't named in
    one of its account, nothing was there.
    """

    def __init__(self, account: int, first: int) -> None:
        self.length = self.counts = 0
        self._touched = False
        self._account, self._first = account, first
        self._moved = Sums()
        self._read: list[tuple[int, int, int]] = []

    def keep_up(
        self, lines: Iterable[Line], counts: Sequence[tuple[int, int, int]]
    ) -> None:
        """Take in the lines and the place-wide counts that were added since."""
        account = self._account
        for when, seq, source, target, amount in lines:
            self.length += 1
            self._touched = self._touched or account in (source, target)
            if source == READING:
                if target == account:
                    insort(self._read, (when, seq, amount))
            elif account in (source, target) and source != target:
                mark = (LONG_AGO if source == self._first else when, seq)
                self._moved.add(mark, amount if target == account else -amount)

        named = {seq for _, seq, _ in self._read} if counts else set[int]()
        for when, seq, counted in counts:
            self.counts += 1
            if counted == account and seq not in named:
                insort(self._read, (when, seq, 0))

    def at(self, moment: int) -> int:
        """Give what the account held just after a moment, readings having their say."""
        last = (moment, 1 << 62)
        held = self._moved.upto(last)
        before = bisect_right(self._read, last, key=_STEP)
        if not before:
            return held
        when, seq, amount = self._read[before - 1]
        return amount + held - self._moved.upto((when, seq))

    def read_after(self, moment: int) -> int | None:
        """Give the moment of the first reading of the account after a moment."""
        if not self._touched:
            return None
        after = bisect_right(self._read, (moment, 1 << 62), key=_STEP)
        return self._read[after][0] if after < len(self._read) else None
