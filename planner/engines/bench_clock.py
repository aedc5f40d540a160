"""
The bench hours ahead as a line of minutes, and when an order's work must be done.

Clock minutes count from now, in real time; bench minutes are those of her sittings.
"""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from planner.engines.sequence import Timeline
from planner.ledgers.fairs import Fair
from planner.values.bench import BenchHours, sittings_between

NOON = time(12)
"""When a bare day counts: what is expected then is here, what sets must have set."""


@dataclass(frozen=True, slots=True)
class BenchClock:
    """
    Sittings from now on as a timeline, with the day each window belongs to.

    A sitting past midnight belongs to the day it starts on.
    """

    now: datetime
    zone: ZoneInfo
    first: date
    last: date
    line: Timeline
    days: tuple[date, ...]

    def at(self, day: date, clock: time = time.min) -> float:
        """Give the clock minutes from now to a local time of a day."""
        return self.minutes(datetime.combine(day, clock, tzinfo=self.zone))

    def minutes(self, moment: datetime) -> float:
        """Give the clock minutes from now to a moment."""
        gone = moment.astimezone(UTC) - self.now.astimezone(UTC)
        return gone / timedelta(minutes=1)

    def moment(self, minutes: float) -> datetime | None:
        """Give the local moment so many clock minutes from now; None for never."""
        if math.isinf(minutes):
            return None
        then = self.now.astimezone(UTC) + timedelta(minutes=minutes)
        return then.astimezone(self.zone)


def bench_clock(
    hours: BenchHours,
    *,
    now: datetime,
    today: date,
    days: int,
    zone: str,
    shut: Collection[date] = (),
) -> BenchClock:
    """
    Lay out the sittings from now through so many days after today.

    `shut` days (fairs) lose their recurring hours; hours told for such a day stay.
    """
    last = today + timedelta(days=days)
    open_hours = replace(hours, off_days=(*hours.off_days, *shut))
    sittings = sittings_between(open_hours, today - timedelta(days=1), last, zone)
    empty = BenchClock(now, ZoneInfo(zone), today, last, Timeline(()), ())
    windows, owners = [], []
    for start, end in sittings:
        if end > now:
            windows.append((max(empty.minutes(start), 0.0), empty.minutes(end)))
            owners.append(start.date())
    return replace(empty, line=Timeline(windows), days=tuple(owners))


def fair_days(fairs: Collection[Fair]) -> dict[date, str]:
    """Give the name of the fair on each of its days."""
    return {
        date.fromisoformat(day): fair.name for fair in fairs for day, _, _ in fair.days
    }


def deadline(
    clock: BenchClock,
    *,
    due: date | None,
    hour: str | None,
    post_days: int,
    setting: float,
    whole_day: bool,
) -> float:
    """
    Give the clock minute by which work for an order must leave the bench.

    By default none of the due day's bench hours count, and what sets must have set
    by its noon; with an hour, both by that hour; else with `whole_day`, by its end.
    What is posted must be off so many days earlier, whatever the hour.
    Infinite without a due day.
    """
    if due is None:
        return math.inf
    day = due - timedelta(days=post_days)
    if hour and not post_days:
        return clock.at(day, time.fromisoformat(hour)) - setting
    if whole_day:
        return clock.at(day + timedelta(days=1)) - setting
    return min(clock.at(day), clock.at(day, NOON) - setting)
