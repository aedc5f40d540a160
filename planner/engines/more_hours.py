"""
Where more bench time could go: at the end of her evenings, before a day in trouble.

A day with bench hours is lengthened; one without gets an evening of its own, unless she
told that it is off or a fair is on.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date, datetime, time, timedelta

from planner.engines.bench_clock import BenchClock
from planner.engines.work import Ahead
from planner.plans.taking import Stretch

STEP = 30
"""Minutes in which more bench time is told."""
MOST_A_DAY = 120
"""Minutes that a day is lengthened by at most."""
EVENING = time(20)
"""When a day without bench hours would begin."""

QUARTER = timedelta(minutes=15)
"""What is to begin at once begins on the next quarter of an hour."""
NEARLY = 1e-6

Room = tuple[float, int]
"""A clock minute from now, and for how many minutes from then there is room."""


def room(ahead: Ahead, by: float) -> tuple[Room, ...]:
    """Give where bench time could be added before a clock minute, a day each."""
    found, clock, day = [], ahead.clock, ahead.clock.first
    while clock.at(day) < by and day <= clock.last:
        if day not in ahead.fairs and day not in ahead.off:
            start = _start(clock, day)
            end = min(start + MOST_A_DAY, clock.at(day + timedelta(days=1)), by)
            whole = int((end - start + NEARLY) // STEP) * STEP
            if whole > 0:
                found.append((start, whole))
        day += timedelta(days=1)
    return tuple(found)


def _start(clock: BenchClock, day: date) -> float:
    """Give the clock minute after a day's last sitting, or of its evening."""
    ends = [
        end
        for (_, end), own in zip(clock.line.windows, clock.days, strict=True)
        if own == day
    ]
    return max(ends[-1] if ends else clock.at(day, EVENING), _soon(clock))


def _soon(clock: BenchClock) -> float:
    """Give the clock minute of the next quarter of an hour."""
    midnight = datetime.combine(clock.first, time.min, tzinfo=clock.zone)
    gone = clock.now.astimezone(clock.zone) - midnight
    return clock.minutes(midnight + math.ceil(gone / QUARTER) * QUARTER)


def stretches(
    clock: BenchClock, free: Sequence[Room], minutes: int
) -> tuple[Stretch, ...]:
    """Lay so many minutes into the room there is, the first days first."""
    found, left = [], minutes
    for start, most in free:
        take = min(left, most)
        if take > 0:
            begin, stop = _told(clock, start), _told(clock, start + take)
            found.append((begin.date(), f"{begin:%H:%M}", f"{stop:%H:%M}"))
            left -= take
    return tuple(found)


def _told(clock: BenchClock, minute: float) -> datetime:
    """Give the local time of a clock minute, to the nearest whole one."""
    moment = clock.moment(minute)
    assert moment is not None
    return moment + timedelta(seconds=30)
