"""
What no order of work can go below in weighted lateness: the time-indexed program.

Each job begins at one unit of time and the bench does one thing at once; that a job
may be cut into shares of itself makes it a bound. Either its capacity is priced and the
prices improved step by step, which is quick, or it is solved, as a flow through time.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from planner.engines.chances import Ints
from planner.engines.forecast import Floats
from planner.engines.sequence import Job

UNITS = 4_000
"""Units of time that the bound is worked out on at most."""
STEPS = 250
"""Steps that the prices of the bound are improved."""
WAIT, KEEP = 20, 0.75
"""Steps without a better bound before they are halved; share of the last one kept."""
BEGINS = 120_000
"""Pairs of job and beginning that the program is solved with at most."""
NEAR = 1e-9
SHY = 1e-7
"""Share of what the solver gives that is taken off, for its tolerance."""


@dataclass(frozen=True, slots=True)
class Table:
    """Jobs as arrays (jobs,), times from the first release on."""

    minutes: Floats
    due: Floats
    weight: Floats
    release: Floats


def table_of(jobs: Sequence[Job], start: float) -> Table:
    """Lay jobs out as arrays."""
    rows = [(j.minutes, j.off_bench - start, j.weight, j.release - start) for j in jobs]
    return Table(*np.array(rows, dtype=np.float64).T)


def lower_bound(table: Table, cost: float, *, steps: int) -> float:
    """
    Give what no order can go below: the time-indexed program, its capacity priced.

    Times are cut into units, UNITS at most; minutes are rounded down to them, which can
    only make an order cheaper. Source: Lagrangian relaxation of the program of Dyer &
    Wolsey 1990 by subgradients.
    """
    unit = max(table.minutes.sum() / UNITS, _grain(table))
    whole = np.floor(table.minutes / unit + NEAR).astype(np.int64)
    begins = np.floor(table.release / unit + NEAR).astype(np.int64)
    span = int(begins.max() + whole.sum())
    at = np.arange(span + 1)
    ends = (at[None, :] + whole[:, None]) * unit
    costs = table.weight[:, None] * np.maximum(ends - table.due[:, None], 0.0)
    costs[(at[None, :] < begins[:, None]) | (at[None, :] + whole[:, None] > span)] = (
        np.inf
    )
    return _rounded(_priced(costs, whole, span, cost, steps), table)


def _grain(table: Table) -> float:
    """Give one where all minutes are whole, else nothing."""
    return 1.0 if (table.minutes == np.round(table.minutes)).all() else 0.0


def _priced(costs: Floats, whole: Ints, span: int, cost: float, steps: int) -> float:
    """
    Improve the price of each unit of time, and give the best bound seen.

    Where no unit can be left free a price may be negative too.
    """
    full = span == int(whole.sum())
    price, held, best, step, stale = np.zeros(span), np.zeros(span), 0.0, 1.0, 0
    way = np.zeros(span)
    place = np.minimum(np.arange(span + 1)[None, :] + whole[:, None], span)
    for _ in range(steps):
        found, over = _at_price(costs, whole, place, price)
        stale = 0 if found > best + NEAR * max(best, 1.0) else stale + 1
        if not stale:
            best, held = found, price
        if stale >= WAIT:
            price, step, stale = held, step / 2, 0
            continue
        way = over + KEEP * way
        size = float(way @ way)
        if size == 0 or cost - best <= NEAR:
            break
        price = price + step * (cost - found) / size * way
        price = price if full else np.maximum(price, 0.0)
    return min(best, cost)


def _at_price(
    costs: Floats, whole: Ints, place: Ints, price: Floats
) -> tuple[float, Floats]:
    """Start each job where it is cheapest; give the bound and what is overused."""
    paid = np.concatenate(([0.0], np.cumsum(price)))
    total = costs + paid[place] - paid[None, :]
    start = total.argmin(axis=1)
    found = float(total[np.arange(len(whole)), start].sum() - price.sum())
    used = np.zeros(len(price) + 1)
    np.add.at(used, start, 1.0)
    np.add.at(used, start + whole, -1.0)
    return found, np.cumsum(used)[:-1] - 1.0


def _rounded(bound: float, table: Table) -> float:
    """Round a bound up where every cost is a whole number."""
    whole = (
        (part == np.round(part)).all()
        for part in (table.minutes, table.due, table.weight, table.release)
    )
    return float(math.ceil(bound - 1e-6)) if all(whole) else bound


def proved_bound(table: Table) -> float:
    """
    Give what no order can go below: the time-indexed program solved as a flow.

    A job is an arc from the unit it begins at to the one it ends at, waiting is an arc
    of one unit, and one unit of flow runs through time using each job once. Minutes are
    rounded down to units, so many that BEGINS suffice. 0 where the solver fails.
    Source: Pessoa and others 2010 (arc-time indexed), by HiGHS' interior point.
    """
    from scipy.optimize import linprog

    unit = max(len(table.due) * table.minutes.sum() / BEGINS, _grain(table) or 1e-3)
    flow = _flow(table, unit)
    found = linprog(
        flow.cost, A_eq=flow.rows(), b_eq=flow.demand(), bounds=(0, None),
        method="highs-ipm",
    )  # fmt: skip
    if found.status != 0:
        return 0.0
    return _rounded(max(float(found.fun) * (1 - SHY) - SHY, 0.0), table)


@dataclass(frozen=True, slots=True)
class _Flow:
    """Arcs through time: which job, from which unit to which, at what cost."""

    jobs: int
    job: Ints
    start: Ints
    end: Ints
    cost: Floats
    span: int

    def rows(self) -> Any:
        """Give the equations (units and jobs, arcs), as a sparse matrix."""
        from scipy import sparse

        real = np.flatnonzero(self.job >= 0)
        arcs, one = np.arange(len(self.job)), np.ones(len(self.job))
        row = np.concatenate([self.start, self.end, self.span + 1 + self.job[real]])
        column = np.concatenate([arcs, arcs, real])
        value = np.concatenate([one, -one, np.ones(len(real))])
        shape = (self.span + 1 + self.jobs, len(self.job))
        return sparse.coo_array((value, (row, column)), shape=shape).tocsr()

    def demand(self) -> Floats:
        """Give what each equation comes to: one flow out and in, each job once."""
        wanted = np.concatenate([np.zeros(self.span + 1), np.ones(self.jobs)])
        wanted[0], wanted[self.span] = 1.0, -1.0
        return wanted


def _flow(table: Table, unit: float) -> _Flow:
    """Lay out the arcs; one job is -1, waiting, where something comes in later."""
    whole = np.floor(table.minutes / unit + NEAR).astype(np.int64)
    begins = np.floor(table.release / unit + NEAR).astype(np.int64)
    span = int(begins.max(initial=0) + whole.sum())
    starts = [np.arange(b, span - m + 1) for b, m in zip(begins, whole, strict=True)]
    job = np.repeat(np.arange(len(whole)), [len(s) for s in starts])
    start = np.concatenate(starts)
    end = start + whole[job]
    late = np.maximum(end * unit - table.due[job], 0.0)
    idle = np.arange(span if begins.any() else 0)
    return _Flow(
        len(whole), np.concatenate([job, np.full(len(idle), -1)]),
        np.concatenate([start, idle]), np.concatenate([end, idle + 1]),
        np.concatenate([table.weight[job] * late, np.zeros(len(idle))]), span,
    )  # fmt: skip
