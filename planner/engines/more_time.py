"""Whom to ask for more time, so that as little as can be is late."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from planner.engines.bench_clock import BenchClock
from planner.engines.sequence import Job, Timeline, fewest_late, preemptive_edd
from planner.engines.work import Ahead, Work, ends
from planner.plans.due import LeastLateness, MoreTime, OrderPlan

KICKS = 60
"""Kicks of the search for the least weighted lateness."""
TRIALS = 500
"""Nodes of the search for whom to ask for more time."""
TINY = 1e-6
"""Bench minutes that are none: sums of fractions of a minute."""


def more_time(
    ahead: Ahead, works: Sequence[Work], plans: Sequence[OrderPlan]
) -> MoreTime | None:
    """Find whom to ask for more time, so that as little as can be is late."""
    late = {one.code for one in plans if one.state == "late" and one.make}
    if not late:
        return None
    line = ahead.clock.line
    jobs = [_whole_job(work) for work in works if work.tasks]
    found = fewest_late(jobs, line, by_weight=True, nodes=TRIALS)
    weight = sum(w.order.weight for w in works if w.order.code in late)
    # Nothing is won by moving others when those late anyway weigh no more.
    asked = late if weight <= found.weight else set(found.keys)
    tasks = [task for work in works for task in work.tasks]
    last = set() if asked == late else asked
    then = preemptive_edd([_put_last(t.job, t.order in last) for t in tasks], line)
    still = {t.order for t in tasks if _beyond(then.off_bench[t.job.key], t.job, line)}
    return MoreTime(
        orders=tuple(w.order.code for w in works if w.order.code in asked),
        proved=found.proved and all(_one_job(work) for work in works),
        ready_on={
            w.order.code: _day(ahead.clock, ends(w, then)[1])
            for w in works if w.order.code in asked
        },
        rest_late=tuple(w.order.code for w in works if w.order.code in still - asked),
    )  # fmt: skip


def least_lateness(
    ahead: Ahead, works: Sequence[Work], plans: Sequence[OrderPlan]
) -> LeastLateness | None:
    """
    Find the order of whole orders with the least weighted lateness, in bench minutes.

    None where nothing is late, or where the named policy can't be bettered.
    """
    if not any(one.state == "late" and one.make for one in plans):
        return None
    from planner.engines.weighted import least_weighted_lateness

    line = ahead.clock.line
    jobs = [_in_bench_minutes(_whole_job(w), line) for w in works if w.tasks]
    found = least_weighted_lateness(jobs, kicks=KICKS)
    now = _lateness(sorted(jobs, key=lambda job: job.off_bench))
    if now - found.cost < 1:
        return None
    return LeastLateness(found.keys, found.cost, now, found.gap)


def _in_bench_minutes(job: Job, line: Timeline) -> Job:
    due = line.to_bench(job.due) if math.isfinite(job.due) else job.due
    return replace(job, due=due, release=line.to_bench(job.release))


def _lateness(jobs: Sequence[Job]) -> float:
    """Add up weight x minutes late of whole jobs one after another."""
    now = total = 0.0
    for job in jobs:
        now = max(now, job.release) + job.minutes
        total += job.weight * max(now - job.off_bench, 0.0)
    return total


def _one_job(work: Work) -> bool:
    """Say whether one job stands for all of an order exactly."""
    return len({(t.job.release, t.job.off_bench) for t in work.tasks}) <= 1


def _whole_job(work: Work) -> Job:
    """Give one job for all of an order, as tight as its tightest task."""
    jobs = [task.job for task in work.tasks]
    return Job(
        work.order.code, sum(job.minutes for job in jobs),
        min(job.off_bench for job in jobs), max(job.release for job in jobs),
        work.order.weight,
    )  # fmt: skip


def _beyond(off: float, job: Job, line: Timeline) -> bool:
    return line.to_bench(off) > line.to_bench(job.off_bench) + TINY or math.isinf(off)


def _put_last(job: Job, asked: bool) -> Job:
    return replace(job, due=math.inf) if asked else job


def _day(clock: BenchClock, minutes: float) -> date | None:
    moment = clock.moment(minutes)
    return moment.date() if moment else None
