"""The bench days ahead, and which order has which minutes of them."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from datetime import date, timedelta
from itertools import accumulate

from planner.engines.bench_clock import BenchClock
from planner.engines.sequence import Job, Schedule
from planner.plans.due import DayPlan, OrderPlan, Stretch

FEWEST, MOST = 7, 42
"""Days shown at least, and at most."""

Tasks = Mapping[str, tuple[str, str, Job]]
"""By job key: the order, the kind and the job."""


def day_plans(
    clock: BenchClock,
    schedule: Schedule,
    tasks: Tasks,
    orders: Sequence[OrderPlan],
    *,
    fairs: Mapping[date, str],
    off: Collection[date],
) -> tuple[DayPlan, ...]:
    """Lay the schedule out by day, as far as work or due days reach."""
    spans = _spans(clock)
    filled = {day: _stretches(clock, schedule, tasks, span) for day, span in
              spans.items()}  # fmt: skip
    due: dict[date, list[str]] = {}
    for order in orders:
        if order.due is not None:
            due.setdefault(order.due, []).append(order.code)
    busy = [day for day, parts in filled.items() if parts]
    last = _last_shown(clock, [*busy, *due])
    return tuple(
        DayPlan(
            day=day,
            minutes=spans[day][1] - spans[day][0] if day in spans else 0.0,
            stretches=tuple(filled.get(day, ())),
            due=tuple(sorted(due.get(day, ()))),
            note=fairs.get(day, "") or ("off" if day in off else ""),
        )
        for day in _days(min(clock.first, *spans, clock.first), last)
    )


def _spans(clock: BenchClock) -> dict[date, tuple[float, float]]:
    """Give the bench minutes at which each day's sittings begin and end."""
    lengths = [end - start for start, end in clock.line.windows]
    spans: dict[date, tuple[float, float]] = {}
    for day, end, length in zip(clock.days, accumulate(lengths), lengths, strict=True):
        spans[day] = spans.get(day, (end - length, end))[0], end
    return spans


def _stretches(
    clock: BenchClock, schedule: Schedule, tasks: Tasks, span: tuple[float, float]
) -> list[Stretch]:
    first, last = span
    found: list[Stretch] = []
    for part in schedule.segments:
        start, end = max(part.start, first), min(part.end, last)
        order, kind, job = tasks[part.key]
        turns = clock.line.to_bench(job.off_bench)
        for begin, stop, late in ((start, min(end, turns), False),
                                  (max(start, turns), end, True)):  # fmt: skip
            if stop > begin + 1e-9:
                found.append(Stretch(order, kind, begin - first, stop - first, late))
    return found


def _last_shown(clock: BenchClock, days: Collection[date]) -> date:
    most = min(clock.first + timedelta(days=MOST - 1), clock.last)
    wanted = max([clock.first + timedelta(days=FEWEST - 1), *days])
    return min(wanted, most)


def _days(first: date, last: date) -> Iterator[date]:
    for away in range((last - first).days + 1):
        yield first + timedelta(days=away)
