"""Read the days of a fair with their opening hours, as she types them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date, timedelta

from planner.errors import Absurd, Unreadable
from planner.events.fair import (
    FairDay,
)
from planner.values.daywords import parse_day
from planner.values.durations import parse_clock
from planner.values.text import check_typed, quoted

_CLOCK = r"\d{1,2}(?:[:.]\d{2})?(?: ?[ap]\.?m\.?)?|noon"


_DAY = rf"(?P<day>.+?) (?P<opens>{_CLOCK}) ?(?:-|\u2013|to) ?(?P<closes>{_CLOCK})"


_DAYS_INSTEAD = 'Type days such as "sat 28 nov 10:00-16:00, sun 11-15".'


def read_days(text: str, *, today: date) -> tuple[FairDay, ...]:
    """
    Read the days of a fair with their hours: ``sat 28 nov 10:00-16:00, sun 11-15``.

    Bare hours are of the 24-hour clock; a weekday alone is the first one after the
    day before it.  Raises Unreadable, Ambiguous or Absurd.
    """
    bare = check_typed(text, what="days of a fair", longest=400, instead=_DAYS_INSTEAD)
    days: list[FairDay] = []
    after = today
    for clause in (c.strip() for c in re.split("[,;]", bare) if c.strip()):
        days.append(_day(clause, after=after))
        after = date.fromisoformat(days[-1].day)
    return _in_order(days, bare)


def _day(clause: str, *, after: date) -> FairDay:
    found = re.fullmatch(_DAY, " ".join(clause.lower().split()))
    if found is None:
        raise Unreadable(
            f"{quoted(clause)} can't be read as a day with its hours.",
            instead=_DAYS_INSTEAD,
        )
    day = parse_day(found["day"], today=after)
    opens, closes = _clock(found["opens"]), _clock(found["closes"])
    if closes <= opens:
        raise Absurd(
            f"{quoted(clause)} closes at {closes}, before it opens at {opens}.",
            instead='Type hours of 24, as in "10:00-16:00", or "10am-4pm".',
        )
    return FairDay(day=day.isoformat(), opens=opens, closes=closes)


def _clock(text: str) -> str:
    return f"{parse_clock(f'{text}:00' if text.isdigit() else text):%H:%M}"


def _in_order(days: Sequence[FairDay], typed: str) -> tuple[FairDay, ...]:
    named = [day.day for day in days]
    if not days or named != sorted(set(named)):
        raise Unreadable(
            f"The days in {quoted(typed)} are not one after the other.",
            instead=_DAYS_INSTEAD,
        )
    last = date.fromisoformat(named[0]) + timedelta(days=60)
    if date.fromisoformat(named[-1]) > last or len(named) > 31:
        raise Absurd("A fair is at most 31 days within two months.",
                     instead=_DAYS_INSTEAD)  # fmt: skip
    return tuple(days)
