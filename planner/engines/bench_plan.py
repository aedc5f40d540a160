"""The next sittings in order: which bows of which order or fair to make when."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from datetime import date, datetime, timedelta

from planner.engines.bench_clock import BenchClock
from planner.engines.bench_fair import fair_tasks
from planner.engines.due import far_enough
from planner.engines.sequence import Schedule, preemptive_edd
from planner.engines.work import Ahead, Task, draft
from planner.ledgers.state import Ledgers
from planner.plans.bench import BenchPlan, Piece, Sitting
from planner.plans.due import POLICY

DAYS = 7
"""Days shown unless told otherwise."""
NEARLY = 1e-6


def bench_plan(
    led: Ledgers, *, now: datetime, today: date, days: int = DAYS
) -> BenchPlan:
    """
    Lay out the sittings that begin within so many days, today's first.

    Bows that accepted fair plans lack take their turn by the eve of the fair.

    Raises:
        Unknown: when an order names a pattern that doesn't exist.
    """
    ahead = far_enough(led, now=now, today=today)
    last = today + timedelta(days=days - 1)
    made = draft(ahead)
    tasks = [*made.tasks, *fair_tasks(ahead, made, today)]
    schedule = preemptive_edd([task.job for task in tasks], ahead.clock.line)
    pieces = list(_pieces(ahead, tasks, schedule))
    return BenchPlan(
        today=today, last=last, any_hours=ahead.any_hours, policy=POLICY,
        sittings=tuple(_sittings(ahead.clock, pieces, last)),
    )  # fmt: skip


def _sittings(
    clock: BenchClock, pieces: Sequence[Piece], last: date
) -> Iterator[Sitting]:
    for (begin, stop), day in zip(clock.line.windows, clock.days, strict=True):
        start, end = clock.moment(begin), clock.moment(stop)
        if day > last or start is None or end is None:
            continue
        own = tuple(p for p in pieces if start <= p.start < end)
        yield Sitting(day, start, end, stop - begin, own)


def _pieces(ahead: Ahead, some: Sequence[Task], schedule: Schedule) -> Iterator[Piece]:
    """Cut the schedule into what is done in each sitting."""
    tasks = {task.job.key: task for task in some}
    worked = dict.fromkeys(tasks, 0.0)
    for part in schedule.segments:
        for begin, stop in ahead.clock.line.split(part.start, part.end):
            start, end = ahead.clock.moment(begin), ahead.clock.moment(stop)
            if start is None or end is None or stop - begin < NEARLY:
                continue
            task, before = tasks[part.key], worked[part.key]
            worked[part.key] = before + stop - begin
            done = _done(task, worked[part.key]) - _done(task, before)
            yield Piece(
                task.order, task.kind, done, task.bows, start, end, stop - begin,
                task.set_up > 0 and before < task.set_up,
            )  # fmt: skip


def _done(task: Task, minutes: float) -> int:
    """Count the bows finished after so many bench minutes of a task."""
    each = (task.job.minutes - task.set_up) / task.bows
    return min(max(math.floor((minutes - task.set_up) / each + NEARLY), 0), task.bows)
