"""
The order of work with the least weighted lateness, and how far it can be from best.

Pure numbers; whole jobs one after another, nothing interrupted. What a maker has open
(up to 15 orders, all here) is solved exactly by the dynamic program over sets. More
are searched: moves are found by a dynamic program over swaps and insertions that don't
touch one another (Congram, Potts & van de Velde 2002; Grosso, Della Croce & Tadei
2004), kicks lead out of what they can't improve. A bound from the time-indexed program
(its capacity priced and the prices improved step by step) says how much better any
order could be at most.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from planner.engines.chances import Ints
from planner.engines.forecast import Floats
from planner.engines.sequence import Job
from planner.engines.turns import least_tardiness
from planner.engines.weighted_bounds import (
    NEAR,
    STEPS,
    Table,
    lower_bound,
    proved_bound,
    table_of,
)

EXACT = 15
"""Jobs solved exactly."""
KICKS = 400
"""Kicks tried at most; fewer once nothing has come of so many as PATIENCE."""
PATIENCE = 150
SWAPS = 6
"""Random swaps of one kick."""


@dataclass(frozen=True, slots=True)
class LeastLate:
    """
    An order of jobs, its weighted lateness, and what no order can go below.

    cost and bound are weight x minutes late, added up.
    """

    keys: tuple[str, ...]
    cost: float
    bound: float

    @property
    def proved(self) -> bool:
        """Whether no order can be better."""
        return self.cost - self.bound <= NEAR * max(self.cost, 1.0)

    @property
    def gap(self) -> float:
        """By what share of its cost the order may be worse than the best."""
        return (self.cost - self.bound) / self.cost if self.cost > 0 else 0.0


def least_weighted_lateness(
    jobs: Sequence[Job], *, seed: int = 0, kicks: int = KICKS, steps: int = STEPS,
    proof: bool = False,
) -> LeastLate:  # fmt: skip
    """
    Give the order with the least total of weight x minutes late, or nearly.

    Each job's due time is when it must leave the bench; releases are waited for. The
    same seed gives the same order. proof: whether to solve the program of the bound
    as well where the cheap bound leaves a gap, which takes seconds (`proved_bound`).
    """
    start = min((job.release for job in jobs), default=0.0)
    here = all(job.release == start for job in jobs)
    if here and len(jobs) <= EXACT:
        cost, keys = least_tardiness(jobs)
        return LeastLate(tuple(keys), cost, cost)
    table = table_of(jobs, start)
    search = _Search(table, here=here)
    order, cost = _searched(search, np.random.default_rng(seed), kicks)
    bound = lower_bound(table, cost, steps=steps) if cost > NEAR else cost
    if proof and cost - bound > NEAR * cost:
        bound = min(max(bound, proved_bound(table)), cost)
    return LeastLate(tuple(jobs[i].key for i in order), cost, bound)


@dataclass(frozen=True)
class _Search:
    """A search among the orders of some jobs."""

    table: Table
    here: bool

    def cost(self, order: Ints) -> float:
        t = self.table
        late = self.ends(order) - t.due[order]
        return float((t.weight[order] * np.maximum(late, 0.0)).sum())

    def ends(self, order: Ints) -> Floats:
        t = self.table
        if self.here:
            return np.asarray(np.cumsum(t.minutes[order]))
        now, ends = 0.0, np.empty(len(order))
        for at, i in enumerate(order):
            now = ends[at] = max(now, t.release[i]) + t.minutes[i]
        return ends

    def descend(self, order: Ints) -> tuple[Ints, float]:
        """Improve an order until no set of moves improves it."""
        cost = self.cost(order)
        while True:
            better = self._moved(order) if self.here else self._best_move(order)
            now = self.cost(better)
            if now >= cost - NEAR:
                return order, cost
            order, cost = better, now

    def _moved(self, order: Ints) -> Ints:
        """Make the best set of moves that don't touch one another."""
        gains, kinds = _gains(self.table, order)
        n = len(order)
        best = np.zeros(n + 1)
        come: list[int] = [-1] * (n + 1)
        for last in range(1, n + 1):
            best[last] = best[last - 1]
            ways = best[: last - 1] + gains[: last - 1, last - 1]
            if last > 1 and ways.min() < best[last] - NEAR:
                first = int(ways.argmin())
                best[last], come[last] = ways[first], first
        made, last = order.copy(), n
        while last:
            first = come[last]
            if first < 0:
                last -= 1
                continue
            _move(made, first, last - 1, int(kinds[first, last - 1]))
            last = first
        return made

    def _best_move(self, order: Ints) -> Ints:
        """Make the best single move, releases minded."""
        tried = []
        for first in range(len(order)):
            for last in range(first + 1, len(order)):
                for kind in range(3 if last > first + 1 else 1):
                    made = order.copy()
                    _move(made, first, last, kind)
                    tried.append(made)
        return tried[int(self._costs(np.array(tried)).argmin())]

    def _costs(self, orders: Ints) -> Floats:
        """Give the cost of each of many orders (orders, jobs)."""
        t, now = self.table, np.zeros(len(orders))
        cost = np.zeros(len(orders))
        for at in range(orders.shape[1]):
            job = orders[:, at]
            now = np.maximum(now, t.release[job]) + t.minutes[job]
            cost += t.weight[job] * np.maximum(now - t.due[job], 0.0)
        return cost


def _move(order: Ints, first: int, last: int, kind: int) -> None:
    """Swap two places (0), put the first after the last (1), or that before it (2)."""
    part = order[first : last + 1]
    if kind == 0:
        part[[0, -1]] = part[[-1, 0]]
    else:
        part[:] = np.roll(part, -1 if kind == 1 else 1)


def _gains(t: Table, order: Ints) -> tuple[Floats, Ints]:
    """
    Give for places first < last what the best move between them changes, and which.

    Both (jobs, jobs); what is not a move is infinite.
    """
    p, d, w = t.minutes[order], t.due[order], t.weight[order]
    n, ends = len(order), np.cumsum(t.minutes[order])
    now = w * np.maximum(ends - d, 0.0)
    before = np.concatenate(([0.0], np.cumsum(now)))
    span = before[None, 1:] - before[:-1, None]  # cost now of the places first..last

    def late(shift: Floats) -> Floats:
        return np.asarray(w * np.maximum(ends + shift - d, 0.0))

    # The first goes after the last: those between come its minutes sooner.
    sooner = _sums(late(-p[:, None]))
    after = w[:, None] * np.maximum(ends[None, :] - d[:, None], 0.0)
    forward = (
        sooner[:, 1:]
        - np.take_along_axis(sooner, np.arange(1, n + 1)[:, None], axis=1)
        + after
        - span
    )
    # The last goes before the first: those from there on come its minutes later.
    later = _sums(late(p[:, None]))
    begins = ends - p
    early = w[None, :] * np.maximum(begins[:, None] + p[None, :] - d[None, :], 0.0)
    at_last = np.take_along_axis(later, np.arange(n)[:, None], axis=1)
    backward = at_last.T - later[:, :-1].T + early - span
    swap = _swaps(p, d, w, ends, begins) - span
    every = np.stack([swap, forward, backward])
    every[:, ~np.triu(np.ones((n, n), dtype=bool), 1)] = np.inf
    return every.min(axis=0), every.argmin(axis=0)


def _sums(rows: Floats) -> Floats:
    """Give running sums along rows, beginning with nothing."""
    return np.concatenate((np.zeros((len(rows), 1)), np.cumsum(rows, axis=1)), axis=1)


def _swaps(p: Floats, d: Floats, w: Floats, ends: Floats, begins: Floats) -> Floats:
    """Give the cost of the places first..last once those two are swapped."""
    n = len(p)
    shift = p[None, :] - p[:, None]
    moved = np.maximum((ends - d)[None, None, :] + shift[:, :, None], 0.0)
    place = np.arange(n)
    between = (place > place[:, None, None]) & (place < place[None, :, None])
    inner = np.einsum("ijk,k,ijk->ij", moved, w, between)
    first = w[None, :] * np.maximum(begins[:, None] + p[None, :] - d[None, :], 0.0)
    last = w[:, None] * np.maximum(ends[None, :] - d[:, None], 0.0)
    return np.asarray(inner + first + last)


def _searched(
    search: _Search, rng: np.random.Generator, kicks: int
) -> tuple[Ints, float]:
    """Descend from the better of two rules, then kick and descend again."""
    t = search.table
    starts = (np.argsort(t.due), np.argsort(-t.weight / np.maximum(t.minutes, NEAR)))
    best, cost = min((search.descend(one) for one in starts), key=lambda x: x[1])
    held, stale = best, 0
    for _ in range(kicks):
        if cost <= NEAR or stale >= PATIENCE:
            break
        found, now = search.descend(_kicked(held, rng))
        stale += 1
        if now < cost - NEAR:
            best, cost, stale = found, now, 0
        # From a little worse now and then, so as not to kick at one order for ever.
        held = found if now <= cost * 1.02 + NEAR else best
    return best, cost


def _kicked(order: Ints, rng: np.random.Generator) -> Ints:
    made = order.copy()
    for _ in range(SWAPS):
        one, other = rng.integers(0, len(order), 2)
        made[one], made[other] = made[other], made[one]
    return made
