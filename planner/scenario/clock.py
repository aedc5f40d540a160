"""The shop's clock: local minutes of a day as the log's two times."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo


@dataclass(frozen=True, slots=True)
class Clock:
    """Turns (day, minutes since local midnight) into stamps."""

    zone: ZoneInfo

    def local(self, day: date, minute: float) -> datetime:
        """Give the aware local moment; minutes past midnight run into the next day."""
        days, rest = divmod(int(minute * 60), 86_400)
        clock = (datetime.min + timedelta(seconds=rest)).time()
        return datetime.combine(day + timedelta(days), clock, tzinfo=self.zone)

    def stamp(self, day: date, minute: float) -> str:
        """Write the moment as `happened` wants it: RFC 3339 with the offset."""
        return self.local(day, int(minute)).isoformat(timespec="seconds")

    def utc(self, day: date, minute: float) -> datetime:
        """Give the moment in UTC, as `recorded` wants it."""
        return self.local(day, minute).astimezone(UTC)

    def day_of(self, moment: datetime) -> date:
        """Give the local day of a moment."""
        return moment.astimezone(self.zone).date()


def minute_of(clock: str) -> int:
    """Turn ``HH:MM`` into minutes since midnight."""
    return int(clock[:2]) * 60 + int(clock[3:5])


def clock_at(minute: int) -> str:
    """Turn minutes since midnight into ``HH:MM``."""
    return time(minute // 60, minute % 60).strftime("%H:%M")
