"""
Whole plans from patterns in parts: keep what is whole, solve again for the rest.
"""

from __future__ import annotations

from collections.abc import Sequence
from random import Random

import numpy as np
from scipy import optimize, sparse

from planner.engines.cutting_bounds import Demand, Pattern, Watch
from planner.engines.cutting_columns import Floats, Pool, in_parts
from planner.engines.cutting_fits import best_fit, first_fit, fullest_first

ALMOST = 1e-6
TOP = 0.25
"""A dive takes one of the patterns this near to the one cut most."""


def quick(demand: Demand, counts: Sequence[int] | None = None) -> list[Pattern]:
    """Give the best of the quick ways of cutting."""
    plans = [first_fit(demand, counts), best_fit(demand, counts)]
    plans += [fullest_first(demand, counts, keen=keen) for keen in (0, 10, 60)]
    return min(plans, key=len)


def dive(
    demand: Demand, pool: Pool, watch: Watch, *, below: int, chance: Random
) -> list[Pattern] | None:
    """
    Settle some rolls, solve the linear program for the rest, and so on.

    Gives a plan of fewer than `below` rolls, or None where this way leads to none.
    """
    settled: list[Pattern] = []
    left = np.array(demand.counts)
    while left.any():
        rest = Demand(demand.lengths, tuple(int(n) for n in left), demand.room)
        end = quick(rest)
        if len(settled) + len(end) < below:
            return settled + end
        inner = pool.within(rest.counts)
        found = in_parts(rest, inner, watch, enough=below - len(settled))
        pool.add(inner.patterns)
        if len(settled) + found.bound >= below or not watch.left():
            return None
        for pattern in _chosen(inner.patterns, found.times, chance):
            if (left >= pattern).all():
                settled.append(pattern)
                left = left - pattern
    return settled if len(settled) < below else None


def _chosen(
    patterns: Sequence[Pattern], times: Floats, chance: Random
) -> list[Pattern]:
    """Give the rolls to settle now: all that are whole, or one that nearly is."""
    whole = np.floor(times + ALMOST).astype(int)
    if whole.any():
        pairs = zip(patterns, whole.tolist(), strict=True)
        return [pattern for pattern, n in pairs for _ in range(n)]
    near = np.flatnonzero(times >= times.max() * (1 - TOP * chance.random()))
    return [patterns[int(chance.choice(near.tolist()))]]


def from_pool(
    demand: Demand, pool: Pool, watch: Watch, *, at_least: int
) -> list[Pattern] | None:
    """Choose whole numbers of the patterns made so far, by whole-number program."""
    rows = sparse.csc_array(np.array(pool.patterns, dtype=float).T)
    counts = np.array(demand.counts, dtype=float)
    ones = np.ones(len(pool.patterns))
    found = optimize.milp(
        ones,
        integrality=ones,
        bounds=optimize.Bounds(0, float(max(demand.counts))),
        constraints=[
            optimize.LinearConstraint(rows, counts, np.inf),
            optimize.LinearConstraint(ones, at_least, np.inf),
        ],
        options=watch.solver(watch.left() / 4),
    )
    watch.tick(found.mip_node_count)
    if found.x is None:
        return None
    times = np.rint(found.x).astype(int).tolist()
    rolls = [p for p, n in zip(pool.patterns, times, strict=True) for _ in range(n)]
    return without_more(demand, rolls)


def without_more(demand: Demand, rolls: Sequence[Pattern]) -> list[Pattern] | None:
    """Leave out what is cut beyond the demand; None where something is missing."""
    left = list(demand.counts)
    kept = []
    for roll in rolls:
        cut = tuple(min(n, m) for n, m in zip(roll, left, strict=True))
        left = [m - n for n, m in zip(cut, left, strict=True)]
        kept += [cut] if any(cut) else []
    return kept if not any(left) else None
