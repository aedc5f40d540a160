"""
Quantities when some of those whose colour is gone take another of its family.

Kinds of one family then help each other out, so a kind's bows are no longer worth the
same whatever comes of the others.  From the best choice without turning, single bows
are added, left out or exchanged, by what simulated fairs say of the family they are in,
until no such change does better.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import chain, product
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from planner.engines.counts import Floats
from planner.engines.fair_choice import Choice
from planner.engines.fair_good import Good, Room
from planner.engines.fair_program import gains_of

DRAWN = 1_000
"""Fairs drawn for the search; the same for every change, so that chance cancels."""
MOVES = 200
"""Changes after which the search stops all the same."""
LOOKED_AT = 6
"""Best additions and best omissions that are tried as exchanges."""

Step: TypeAlias = tuple[int, int]
"""A good's index, and a bow more or less of it."""
Move: TypeAlias = tuple[Step, ...]
"""Steps made together."""


@dataclass(frozen=True, slots=True)
class Turning:
    """
    Simulated wishes, shape (fairs, goods), each good's family, the share that turns.

    Goods of one family have numbers alike.
    """

    wanted: Floats
    family: NDArray[np.int64]
    share: float

    def extra(self, brought: Floats) -> Floats:
        """Give the bows of each good sold to those who turned, shape of `wanted`."""
        member = np.equal.outer(self.family, np.unique(self.family)).astype(float)
        left = np.maximum(brought - self.wanted, 0.0)
        turned = self.share * np.maximum(self.wanted - brought, 0.0) @ member
        room = left @ member
        taken = np.minimum(turned, room) / np.maximum(room, 1e-12)
        return np.asarray(left * (taken @ member.T))

    def only(self, goods: Sequence[int]) -> Turning:
        """Give the same fairs for some goods."""
        at = list(goods)
        return Turning(self.wanted[:, at], self.family[at], self.share)


def turn_over(
    choice: Choice,
    goods: Sequence[Good],
    rooms: Sequence[Room],
    turning: Turning,
    *,
    at_least: int,
) -> Choice:
    """
    Change a choice by single bows while that pays, within the limits.

    The limits' worth stays that of the choice given, and its gap that against the best
    without turning: `engines.turning_bound` says how far the best with it can lie.
    """
    search = _Search(goods, rooms, turning, at_least, list(choice.quantities))
    before = search.profit()
    for _ in range(MOVES):
        move = search.best_move()
        if not move:
            break
        search.make(move)
    return replace(
        choice, quantities=tuple(search.quantities), used=search.used(),
        profit=choice.profit + search.profit() - before,
    )  # fmt: skip


class _Search:
    """Quantities as they stand, with what each change of one bow would add."""

    def __init__(
        self, goods: Sequence[Good], rooms: Sequence[Room], turning: Turning,
        at_least: int, quantities: list[int],
    ) -> None:  # fmt: skip
        self.quantities = quantities
        self.least = at_least
        self.items = [good.item(rooms) for good in goods]
        self.room = np.array([float(room.available) for room in rooms])
        self.sums = [
            np.append(0.0, np.cumsum(gains_of(item, len(item.reach) + at_least)))
            for item in self.items
        ]
        # A bow sold after all is one less left; at most the first one's worth is lost.
        self.margin = np.array([good.price - good.salvage for good in goods])
        self.family = turning.family
        self.members = {int(f): np.flatnonzero(turning.family == f).tolist()
                        for f in np.unique(turning.family)}  # fmt: skip
        self.turning = {f: turning.only(at) for f, at in self.members.items()}
        self.now = {f: self._worth(f, ()) for f in self.members}
        self.steps: dict[Step, float] = {}
        for f in self.members:
            self._look(f)

    def profit(self) -> float:
        """Give the expected profit of the quantities as they stand."""
        return sum(self.now.values())

    def used(self) -> tuple[float, ...]:
        """Give what the quantities use of each limit."""
        return tuple(float(x) for x in self._used(()))

    def best_move(self) -> Move:
        """Give the change that adds most and fits; nothing when none adds."""
        least = 1e-6 * max(1.0, abs(self.profit()))
        better = [(gain, move) for move, gain in self._moves() if gain > least]
        better.sort(key=lambda row: (-row[0], row[1]))
        return next((move for _, move in better if self._fits(move)), ())

    def make(self, move: Move) -> None:
        """Change the quantities."""
        for good, bows in move:
            self.quantities[good] += bows
        for f in {int(self.family[good]) for good, _ in move}:
            self.now[f] = self._worth(f, ())
            self._look(f)

    def _moves(self) -> Iterator[tuple[Move, float]]:
        """Walk single steps, and exchanges of two or three of the most promising."""
        for step, gain in self.steps.items():
            yield (step,), gain
        best = sorted(self.steps, key=lambda step: (-self.steps[step], step))
        more = [step for step in best if step[1] > 0][:LOOKED_AT]
        fewer = [step for step in best if step[1] < 0][:LOOKED_AT]
        for move in chain(
            product(more, fewer),
            product(more, more, fewer),
            product(more, fewer, fewer),
        ):
            if self._may_all(move):
                yield move, self._together(move)

    def _may_all(self, move: Move) -> bool:
        """Say whether no good both comes and goes, and all may be so many."""
        moved = _summed(move)
        return sum(map(abs, moved.values())) == len(move) and all(
            self._may_be(good, self.quantities[good] + n) for good, n in moved.items()
        )

    def _together(self, move: Move) -> float:
        gain = 0.0
        for f in {int(self.family[good]) for good, _ in move}:
            here = tuple(step for step in move if int(self.family[step[0]]) == f)
            alone = self.steps.get(here[0]) if len(here) == 1 else None
            gain += self._worth(f, here) - self.now[f] if alone is None else alone
        return gain

    def _look(self, family: int) -> None:
        """Renew what a bow more or less of each good of a family would add."""
        for good in self.members[family]:
            for bows in (1, -1):
                self.steps.pop((good, bows), None)
                if self._may_be(good, self.quantities[good] + bows):
                    gain = self._worth(family, ((good, bows),)) - self.now[family]
                    self.steps[good, bows] = gain

    def _may_be(self, good: int, count: int) -> bool:
        some = max(self.least, 1) <= count <= len(self.items[good].reach)
        return some or count == 0

    def _worth(self, family: int, move: Move) -> float:
        """Give the expected profit of a family after a move."""
        at, moved = self.members[family], _summed(move)
        brought = [self.quantities[good] + moved.get(good, 0) for good in at]
        alone = sum(float(self.sums[i][n]) for i, n in zip(at, brought, strict=True))
        if len(at) == 1:
            return alone
        extra = self.turning[family].extra(np.array(brought, float)).mean(axis=0)
        return alone + float(extra @ self.margin[at])

    def _used(self, move: Move) -> Floats:
        moved = _summed(move)
        parts = [item.used(n + moved.get(i, 0))
                 for i, (item, n) in enumerate(
                     zip(self.items, self.quantities, strict=True))]  # fmt: skip
        return np.asarray(np.sum(parts, axis=0), dtype=np.float64)

    def _fits(self, move: Move) -> bool:
        if all(bows < 0 for _, bows in move):
            return True
        return bool(np.all(self._used(move) <= self.room + 1e-6))


def _summed(move: Move) -> Mapping[int, int]:
    """Give the bows more or less of each good that moves."""
    moved: Counter[int] = Counter()
    for good, bows in move:
        moved[good] += bows
    return moved
