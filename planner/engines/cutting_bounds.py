"""
The parts of a cutting question, and bounds below which no plan can go.

Lengths are whole numbers (nanometres, or any unit): every bound is reached in whole
numbers alone, so that no rounding ever proves too much.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

Clock = Callable[[], float]
"""Seconds since any fixed moment, passed in by whoever may look at a clock."""

Pattern = tuple[int, ...]
"""How many of each length are cut from one roll, in the order of the lengths."""

TICK = 0.01
"""Seconds that a round of work counts for where no clock is passed in."""
NODES = 300
"""Nodes of a solver's search that count for a second there."""
LONGEST = 60.0
"""Seconds that one search may take even so."""


class Watch:
    """
    How much of the time allowed is left.

    Without a clock, rounds of work and nodes of a solver's search are counted instead,
    so that the same question always gets the same answer.
    """

    def __init__(self, seconds: float, clock: Clock | None = None) -> None:
        self._clock = clock
        self._counted = 0.0
        self._end = seconds + (clock() if clock else 0.0)

    def tick(self, nodes: int | None = None) -> None:
        """Count one round of work, with the nodes searched in it."""
        self._counted += TICK + (nodes or 0) / NODES

    def left(self) -> float:
        """Give the seconds left; never below nothing."""
        now = self._clock() if self._clock else self._counted
        return max(self._end - now, 0.0)

    def solver(self, seconds: float) -> dict[str, float]:
        """Give a solver the limits of a search that may take so long."""
        if self._clock:
            return {"mip_rel_gap": 0.0, "time_limit": max(seconds, 0.01)}
        nodes = max(int(seconds * NODES), 1)
        return {"mip_rel_gap": 0.0, "time_limit": LONGEST, "node_limit": nodes}


@dataclass(frozen=True, slots=True)
class Demand:
    """
    Different lengths, longest first, how many of each, and the roll's length.

    Raises ValueError for a length below 1, a count below 0, and a length longer than
    the roll.
    """

    lengths: tuple[int, ...]
    counts: tuple[int, ...]
    room: int

    def __post_init__(self) -> None:
        if min((*self.lengths, *(n + 1 for n in self.counts)), default=1) < 1:
            raise ValueError("a length starts at 1, a count at 0")
        if self.lengths and self.lengths[0] > self.room:
            raise ValueError("a part is longer than the roll")

    @classmethod
    def of(cls, wanted: Mapping[int, int], room: int) -> Demand:
        """Put lengths with their counts in order."""
        lengths = tuple(sorted((x for x, n in wanted.items() if n), reverse=True))
        return cls(lengths, tuple(wanted[x] for x in lengths), room)

    @property
    def total(self) -> int:
        """All lengths together."""
        return self.filled(self.counts)

    def filled(self, counts: Sequence[int]) -> int:
        """Give the length of so many of each."""
        return sum(x * n for x, n in zip(self.lengths, counts, strict=True))

    def in_steps(self) -> Demand:
        """Give the same question in the largest unit that divides every length."""
        step = math.gcd(*self.lengths) or 1
        fewer = tuple(x // step for x in self.lengths)
        return Demand(fewer, self.counts, self.room // step)

    def coarser(self, most: int) -> Demand:
        """
        Give an easier question on a roll of at most `most` steps.

        Lengths are rounded down: whatever fits, fits here too, so its bounds hold.
        Parts that come to nothing are left out.
        """
        step = rolls_for(self.room, most)
        kept = [(x // step, n) for x, n in self.pairs() if x >= step]
        lengths, counts = tuple(x for x, _ in kept), tuple(n for _, n in kept)
        return Demand(lengths, counts, self.room // step)

    def tighter(self, most: int) -> Demand:
        """
        Give a harder question on a roll of at most `most` steps, part for part.

        Lengths are rounded up: whatever fits here, fits.
        """
        step = rolls_for(self.room, most)
        room = self.room // step
        longer = tuple(min(rolls_for(x, step), room) for x in self.lengths)
        return Demand(longer, self.counts, room)

    def pairs(self) -> list[tuple[int, int]]:
        """Give each length with its count."""
        return list(zip(self.lengths, self.counts, strict=True))


def rolls_for(length: int, room: int) -> int:
    """Give the whole rolls that a length needs at least."""
    return -(-length // room)


def continuous(demand: Demand) -> int:
    """Give the rolls needed if parts could be cut in pieces."""
    return rolls_for(demand.total, demand.room)


def martello_toth(demand: Demand) -> int:
    """
    Give the bound L2: long parts can't share a roll with each other.

    Source: S. Martello, P. Toth, Knapsack Problems (1990), section 8.3.
    """
    halves = [x for x in demand.lengths if 2 * x <= demand.room]
    return max([_without_short(demand, least) for least in (0, *halves)], default=0)


def _without_short(demand: Demand, least: int) -> int:
    """Give L2's bound where parts shorter than `least` are left out."""
    room = demand.room
    pairs = demand.pairs()
    alone = sum(n for x, n in pairs if x > room - least)
    shared = [(x, n) for x, n in pairs if 2 * x > room and x <= room - least]
    rest = sum(x * n for x, n in pairs if 2 * x <= room and x >= least)
    rolls = sum(n for _, n in shared)
    over = rest - sum((room - x) * n for x, n in shared)
    return alone + rolls + max(rolls_for(over, room), 0)


def dual_feasible(demand: Demand, *, up_to: int = 100) -> int:
    """
    Give the best bound of the rounding functions u(k), k up to `up_to`.

    Source: S. Fekete, J. Schepers, Mathematical Programming 91 (2001) 11-31.
    """
    return max((_rounded(demand, k) for k in range(1, up_to + 1)), default=0)


def _rounded(demand: Demand, k: int) -> int:
    total = 0
    for x, n in demand.pairs():
        steps, odd = divmod((k + 1) * x, demand.room)
        total += n * (steps * demand.room if odd else k * x)
    return rolls_for(total, k * demand.room)


def simple_bound(demand: Demand) -> int:
    """Give the best of the bounds that cost next to nothing."""
    if not demand.lengths:
        return 0
    return max(continuous(demand), martello_toth(demand), dual_feasible(demand))
