"""Read the days of a fair with their opening hours, as she types them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date, timedelta

from planner.errors import Absurd, Refusal, Unreadable
from planner.events.fair import (
    FairDay,
)
from planner.ledgers.fairs import Fair
from planner.rules.pricing import day_words
from planner.values.daywords import (
    MONTHS,
    Direction,
    counts_from_today,
    format_day,
    is_day_and_month,
    parse_day,
)
from planner.values.durations import parse_clock
from planner.values.text import check_typed, quoted

_CLOCK = r"\d{1,2}(?:[:.]\d{2})?(?: ?[ap]\.?m\.?)?|noon"


_DAY = rf"(?P<day>.+?) (?P<opens>{_CLOCK}) ?(?:-|\u2013|to) ?(?P<closes>{_CLOCK})"


_DAYS_INSTEAD = 'Type days such as "sat 28 nov 10:00-16:00, sun 11-15".'


FAR_OFF = timedelta(days=300)
"""A fair further ahead than this whose year wasn't typed may be meant for the past."""


def read_days(text: str, *, today: date) -> tuple[FairDay, ...]:
    """
    Read the days of a fair with their hours: ``sat 28 nov 10:00-16:00, sun 11-15``.

    Bare hours are of the 24-hour clock; a weekday alone is the first one after the
    day before it, ``tomorrow`` and the like count from `today`.  A day and month
    that begin a fair not over yet are this year's.  Raises Unreadable, Ambiguous or
    Absurd.
    """
    bare = check_typed(text, what="days of a fair", longest=400, instead=_DAYS_INSTEAD)
    begun = _begun(bare, today=today)
    return begun or _in_order(_days(bare, today=today, first="future"), bare)


def _begun(typed: str, *, today: date) -> tuple[FairDay, ...]:
    """Read days of which the first is a date that has been; none unless it lasts."""
    first = _clauses(typed)[:1]
    if not first or not is_day_and_month(_clause(first[0])["day"]):
        return ()
    try:
        days = _in_order(_days(typed, today=today, first="past"), typed)
    except Refusal:
        return ()
    return days if days[-1].day >= today.isoformat() else ()


def _days(typed: str, *, today: date, first: Direction) -> list[FairDay]:
    days: list[FairDay] = []
    after, way = today, first
    for clause in _clauses(typed):
        days.append(_day(clause, after=after, today=today, direction=way))
        after, way = date.fromisoformat(days[-1].day), "future"
    return days


def far_off(typed: str, days: Sequence[FairDay], *, today: date) -> list[str]:
    """Remark on a fair placed many months ahead by a date typed without its year."""
    if not days or re.search(r"\d{4}", typed):
        return []
    first = date.fromisoformat(days[0].day)
    if first - today <= FAR_OFF:
        return []
    other = f"{first.day} {MONTHS[first.month - 1].lower()} {first.year - 1}"
    return [
        f"it begins on {format_day(first, today=today)}; for another year type it "
        f"as well, as in {other}"
    ]


def day_of_fair(
    text: str, days: Sequence[tuple[str, str, str]], *, today: date
) -> date | None:
    """
    Find the day of a fair named by its weekday or its date: ``sat``, ``28 nov``.

    Of several the last that has begun, else the first.  None where it names no day
    of the fair, or counts from today.
    """
    plain = text.strip().lower()
    if counts_from_today(plain) or plain.startswith(("last ", "next ")):
        return None
    every = [date.fromisoformat(day) for day, _, _ in days]
    named = [day for day in every if _names(plain, day)]
    begun = [day for day in named if day <= today]
    return begun[-1] if begun else next(iter(named), None)


def _names(plain: str, day: date) -> bool:
    # From the day before, a weekday or a date is the nearest one: this very day or not.
    try:
        return parse_day(plain, today=day - timedelta(days=1)) == day
    except Refusal:
        return False


def _clauses(typed: str) -> list[str]:
    return [c.strip() for c in re.split("[,;]", typed) if c.strip()]


def _clause(clause: str) -> re.Match[str]:
    found = re.fullmatch(_DAY, " ".join(clause.lower().split()))
    if found is None:
        raise Unreadable(
            f"{quoted(clause)} can't be read as a day with its hours.",
            instead=_DAYS_INSTEAD,
        )
    return found


def _day(clause: str, *, after: date, today: date, direction: Direction) -> FairDay:
    found = _clause(clause)
    since = today if counts_from_today(found["day"]) else after
    day = parse_day(found["day"], today=since, direction=direction)
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


def days_words(days: Sequence[tuple[str, str, str]]) -> str:
    """Say a fair's days with their hours."""
    return ", ".join(f"{day_words(d)} {opens}-{closes}" for d, opens, closes in days)


def no_day_of(fair: Fair, day: str) -> list[str]:
    """Remark on a day that is none of a fair's."""
    if any(d == day for d, _, _ in fair.days):
        return []
    return [f"{day_words(day)} is no day of {fair.name} ({days_words(fair.days)})"]


def out_of_hours(fair: Fair, day: str, at: str | None) -> list[str]:
    """Remark on an hour at which a fair's day isn't on."""
    return [
        f"{at} is outside that day's hours, {opens} to {closes}"
        for on, opens, closes in fair.days
        if at and on == day and not opens <= at <= closes
    ]
