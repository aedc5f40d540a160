"""
Each order's chance of being ready when due, and its early, likely and late finish.

Read off the draws of `engines.draws`, worked through by the policy of
`engines.chances`.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

import numpy as np
from numpy.typing import NDArray

from planner.engines.chances import Ints, off_bench, running
from planner.engines.draws import ALMOST, Draws
from planner.engines.forecast import Floats
from planner.engines.materials import needs_of
from planner.engines.sequence import Job
from planner.engines.work import Ahead, Draft, Task, Work, gone_by
from planner.ledgers.catalogue import catalogue

EARLY, LIKELY, LATE = 0.1, 0.5, 0.9
"""What early, likely and late finishes stand for."""
KEPT = 4
"""Plans whose draws are kept for the next that differs in its due days only."""


@dataclass(frozen=True, slots=True)
class Odds:
    """
    How an order's finish is spread.

    `chance` of leaving the bench in time, None without a due day; early, likely and
    late finishes, None where it may be beyond the days looked at; `finish` is, by
    day, P(ready that day, in time) and P(ready that day, late), which add up to less
    than 1 by the chance of being later still.
    """

    chance: float | None
    early: datetime | None = None
    likely: datetime | None = None
    late: datetime | None = None
    finish: tuple[tuple[date, float, float], ...] = ()


def odds(draws: Draws, plan: Draft) -> dict[str, Odds]:
    """Give the odds of every order of a plan."""
    column = leaving(draws, plan)
    return {work.order.code: _of_order(draws, work, column) for work in plan.works}


def chances(draws: Draws, plan: Draft) -> dict[str, float | None]:
    """Give only the chance of every order of a plan."""
    column = leaving(draws, plan)
    return {w.order.code: _chance(draws, w, column) for w in plan.works}


def leaving(draws: Draws, plan: Draft) -> Mapping[str, Floats]:
    """
    Give the clock minute each task leaves the bench in each draw, by its job's key.

    Plans that differ in their due days only are worked out once.
    """
    tasks = sorted(plan.tasks, key=lambda task: task.job.off_bench)
    left = tuple(sum(s.left for s in h) for h in plan.stock.ribbons.values())
    key = (tuple(t._replace(job=_undated(t.job)) for t in tasks), left)
    known = draws.kept.get(key)
    if known is None:
        off = _off_bench(draws, plan, tasks)
        known = {task.job.key: off[i] for i, task in enumerate(tasks)}
        while len(draws.kept) >= KEPT:
            draws.kept.pop(next(iter(draws.kept)))
        draws.kept[key] = known
    return known


def _undated(job: Job) -> Job:
    return replace(job, due=math.inf)


def _off_bench(draws: Draws, plan: Draft, tasks: Sequence[Task]) -> Floats:
    if not tasks:
        return np.empty((0, draws.size))
    work, extra = draws.tasks(tasks)
    off = off_bench(draws.bench, work, _releases(draws, tasks))
    _never_without_ribbon(draws.ahead, plan, tasks, extra, off)
    return off


def _releases(draws: Draws, tasks: Sequence[Task]) -> Ints:
    """Give the sitting from which each task may be worked on, in each draw."""
    none = np.zeros(draws.size, dtype=np.int64)
    if all(task.job.release <= 0 for task in tasks):
        return np.broadcast_to(none, (len(tasks), draws.size))
    rows = [
        draws.arrivals.get(task.job.release, none) if task.job.release > 0 else none
        for task in tasks
    ]
    return np.array(rows)


def _never_without_ribbon(
    ahead: Ahead, plan: Draft, tasks: Sequence[Task], extra: Ints, off: Floats
) -> None:
    """Put off for ever what lacks ribbon, as bows spoiled so far took what was left."""
    needs: dict[str, Floats] = {}
    for at, task in enumerate(tasks):
        for (ribbon, _, length), each in needs_of(
            catalogue(ahead.led), task.kind
        ).parts:
            row = needs.setdefault(ribbon, np.zeros(len(tasks)))
            row[at] += length * each
    most = extra.max(axis=1)
    for ribbon, row in needs.items():
        left = sum(one.left for one in plan.stock.ribbons.get(ribbon, ()))
        if most @ row > left:
            gone = running(extra * row[:, None])
            off[(gone > left) & (extra > 0) & (row[:, None] > 0)] = np.inf


def _never(work: Work) -> bool:
    return any(wait.expected is None for wait in work.waits)


def _in_time(work: Work, column: Mapping[str, Floats]) -> NDArray[np.bool_]:
    """Say in which draws every bow of an order leaves the bench in time."""
    first, *more = (
        column[task.job.key] <= task.job.off_bench + ALMOST for task in work.tasks
    )
    for other in more:
        first &= other
    return first


def _chance(draws: Draws, work: Work, column: Mapping[str, Floats]) -> float | None:
    """Give an order's chance; what is ready is in time unless its day has gone by."""
    if work.order.due is None:
        return None
    if _never(work):
        return 0.0
    if not work.tasks:
        return 0.0 if gone_by(work.order, draws.ahead.clock) else 1.0
    return float(_in_time(work, column).mean())


def _of_order(draws: Draws, work: Work, column: Mapping[str, Floats]) -> Odds:
    if _never(work) or not work.tasks:
        clock, chance = draws.ahead.clock, _chance(draws, work, column)
        if _never(work):
            return Odds(chance)
        now = clock.now
        return Odds(chance, now, now, now, ((clock.first, 1.0, 0.0),))
    return _of_tasks(draws, work, column)


def _of_tasks(draws: Draws, work: Work, column: Mapping[str, Floats]) -> Odds:
    """Read off what is still to be made: its chance, quantiles and finish by day."""
    met, ready = _in_time(work, column), _ready(work, column)
    count, rising = int(np.count_nonzero(met)), np.sort(ready)
    timely = rising[:count]  # with one due time the earliest are those in time
    if len({task.job.due for task in work.tasks}) > 1:
        timely = np.sort(ready[met])
    early, likely, late = (draws.ahead.clock.moment(m) for m in quantiles(rising))
    chance = None if work.order.due is None else count / draws.size
    return Odds(chance, early, likely, late, _by_day(draws, rising, timely))


def _ready(work: Work, column: Mapping[str, Floats]) -> Floats:
    """Give when all of an order has left the bench and set."""
    first, *more = (column[task.job.key] + task.job.setting for task in work.tasks)
    for other in more:
        np.maximum(first, other, out=first)
    return first


def quantiles(rising: Floats) -> tuple[float, float, float]:
    """Give the early, likely and late of sorted moments: draws, not points between."""
    early, likely, late = (
        float(rising[max(math.ceil(share * len(rising)) - 1, 0)])
        for share in (EARLY, LIKELY, LATE)
    )
    return early, likely, late


def _by_day(
    draws: Draws, rising: Floats, timely: Floats
) -> tuple[tuple[date, float, float], ...]:
    """Give P(ready in time) and P(ready late) of each day that either can be."""
    each, good = _daily(draws, rising), _daily(draws, timely)
    days, size = np.flatnonzero(each), rising.size
    late = (each - good)[days] / size
    return tuple(
        zip(
            [draws.days[at] for at in days],
            (good[days] / size).tolist(), late.tolist(), strict=True,
        )
    )  # fmt: skip


def _daily(draws: Draws, moments: Floats) -> Ints:
    """Count the sorted moments that lie on each day."""
    upto = np.searchsorted(moments, draws.midnights)
    upto[1:] -= upto[:-1].copy()
    return upto
