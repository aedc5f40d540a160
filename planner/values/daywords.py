"""
Days as she says them, and days as they are said back to her.

A day typed without its year, or by its weekday alone, is taken in the direction the
command looks: backwards for what has happened, forwards for what is due.  What can be
read in two ways (``5/12``; ``sat`` typed on a Saturday) is asked, never guessed.
"""

from __future__ import annotations

import re
from datetime import date, timedelta
from typing import Final, Literal, NoReturn

from planner.errors import Absurd, Ambiguous, Unreadable
from planner.values.text import check_typed, quoted

Direction = Literal["past", "future"]

FURTHEST_YEARS: Final = 10
"""A day further off than this many years is a slip of the finger."""

WEEKDAYS: Final = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
MONTHS: Final = (
    "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
)  # fmt: skip
_WEEKDAY_NAMES = (
    "Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday",
)  # fmt: skip
_MONTH_NAMES = (
    "January", "February", "March", "April", "May", "June", "July", "August",
    "September", "October", "November", "December",
)  # fmt: skip

WEEKDAY_OF: Final[dict[str, int]] = {
    **{name.lower(): at for at, name in enumerate(WEEKDAYS)},
    **{name.lower(): at for at, name in enumerate(_WEEKDAY_NAMES)},
    "tues": 1, "weds": 2, "thur": 3, "thurs": 3,
}  # fmt: skip
_MONTH_OF: Final[dict[str, int]] = {
    **{name.lower(): at for at, name in enumerate(MONTHS, start=1)},
    **{name.lower(): at for at, name in enumerate(_MONTH_NAMES, start=1)},
    "sept": 9,
}  # fmt: skip

_INSTEAD = 'Type a day such as "today", "sat", "last sat", "12 dec" or "2026-12-12".'
_NAMED: Final = {"yesterday": -1, "today": 0, "tomorrow": 1}
_ISO = r"([0-9]{4})-([0-9]{2})-([0-9]{2})"
_NUMBERS = r"([0-9]{1,4})[/.-]([0-9]{1,2})(?:[/.-]([0-9]{1,4}))?"
_DAY_MONTH = r"([0-9]{1,2})(?:st|nd|rd|th)?[ -]?([a-z]+)(?:[ -]([0-9]+))?"
_MONTH_DAY = r"([a-z]+)[ -]?([0-9]{1,2})(?:st|nd|rd|th)?(?:[ ]([0-9]+))?"
_AWAY = r"(in )?([0-9]{1,4}|an?) (day|week)s?( ago)?"


def parse_day(text: str, *, today: date, direction: Direction = "future") -> date:
    """
    Read a day such as ``sat``, ``last sat``, ``12 dec``, ``in 3 days``, ``2026-12-12``.

    A weekday alone is the nearest one in `direction`, ``next sat`` the first Saturday
    after `today`, ``last sat`` the last one before it; a day and month without a year
    is the nearest in `direction`, today included.  Raises `Ambiguous` for figures
    alone (``5/12``) and for today's own weekday, `Unreadable` for junk and days that
    don't exist, `Absurd` for days more than ten years off.
    """
    bare = check_typed(text, what="a day", longest=60, instead=_INSTEAD)
    plain = " ".join(bare.lower().replace(",", " ").replace("\u00a0", " ").split())
    day = _read(plain, typed=bare, today=today, direction=direction)
    return check_near(day, today=today, typed=bare)


def counts_from_today(text: str) -> bool:
    """Tell whether words such as ``tomorrow`` or ``in 2 days`` count from now."""
    plain = " ".join(text.lower().split())
    return plain in _NAMED or re.fullmatch(_AWAY, plain) is not None


def is_day_and_month(text: str) -> bool:
    """Tell whether words are a day and month without their year: ``sat 28 nov``."""
    first, _, rest = " ".join(text.lower().split()).partition(" ")
    plain = rest if first in WEEKDAY_OF else f"{first} {rest}".strip()
    found = re.fullmatch(_DAY_MONTH, plain) or re.fullmatch(_MONTH_DAY, plain)
    return found is not None and found[3] is None


def check_near(day: date, *, today: date, typed: str) -> date:
    """Give the day back, or raise `Absurd` when it is more than ten years off."""
    if abs(day - today) > timedelta(days=366 * FURTHEST_YEARS):
        years = abs(day.year - today.year)
        raise Absurd(
            f"{quoted(typed)} is {spoken(day)}, about {years} years off.",
            instead=f"Type a day within {FURTHEST_YEARS} years of today.",
        )
    return day


def _read(plain: str, *, typed: str, today: date, direction: Direction) -> date:
    if plain in _NAMED:
        return today + timedelta(days=_NAMED[plain])
    if found := re.fullmatch(_ISO, plain):
        return _exists(int(found[1]), int(found[2]), int(found[3]), typed=typed)
    if re.fullmatch(_NUMBERS, plain):
        _ask_figures(plain, typed=typed, today=today)
    if found := re.fullmatch(_AWAY, plain):
        return _away(found, typed=typed, today=today)
    return _weekday_or_date(plain, typed=typed, today=today, direction=direction)


def _weekday_or_date(
    plain: str, *, typed: str, today: date, direction: Direction
) -> date:
    first, _, rest = plain.partition(" ")
    if plain in WEEKDAY_OF:
        return _nearest_weekday(WEEKDAY_OF[plain], typed, today, direction)
    if first in {"next", "last"} and rest in WEEKDAY_OF:
        return _beyond(WEEKDAY_OF[rest], today=today, ahead=first == "next")
    if first in WEEKDAY_OF:
        day = _dated(rest, typed=typed, today=today, direction=direction)
        return _same_weekday(day, WEEKDAY_OF[first], typed=typed)
    return _dated(plain, typed=typed, today=today, direction=direction)


def _refuse(typed: str) -> NoReturn:
    raise Unreadable(f"{quoted(typed)} can't be read as a day.", instead=_INSTEAD)


def _ask_figures(plain: str, *, typed: str, today: date) -> NoReturn:
    parts = [int(part) for part in re.split("[/.-]", plain)]
    pairs = [(parts[0], parts[1]), (parts[1], parts[0])]
    real = [
        date(today.year, month, day)
        for day, month in dict.fromkeys(pairs)
        if 1 <= month <= 12 and 1 <= day <= _days_in(today.year, month)
    ]
    said = [f'"{day.day} {MONTHS[day.month - 1].lower()}"' for day in real]
    iso = f'"{real[0]}"' if real else f'"{today}"'
    raise Ambiguous(
        f"{quoted(typed)} doesn't say which figure is the month.",
        instead=f"Type {' or '.join([*said, iso])}.",
    )


def _away(found: re.Match[str], *, typed: str, today: date) -> date:
    ahead, ago = bool(found[1]), bool(found[4])
    if ahead == ago:
        _refuse(typed)
    count = 1 if found[2].startswith("a") else int(found[2])
    days = count * (7 if found[3] == "week" else 1)
    return today + timedelta(days=days if ahead else -days)


def _nearest_weekday(
    weekday: int, typed: str, today: date, direction: Direction
) -> date:
    if weekday == today.weekday():
        other = "next" if direction == "future" else "last"
        raise Ambiguous(
            f"Today is {_WEEKDAY_NAMES[weekday]}, so {quoted(typed)} could be today "
            f"or a week {'on' if direction == 'future' else 'ago'}.",
            instead=f'Type "today" or "{other} {WEEKDAYS[weekday].lower()}".',
        )
    return _beyond(weekday, today=today, ahead=direction == "future")


def _beyond(weekday: int, *, today: date, ahead: bool) -> date:
    if ahead:
        return today + timedelta(days=(weekday - today.weekday() - 1) % 7 + 1)
    return today - timedelta(days=(today.weekday() - weekday - 1) % 7 + 1)


def _dated(plain: str, *, typed: str, today: date, direction: Direction) -> date:
    if found := re.fullmatch(_DAY_MONTH, plain):
        day, month, year = found[1], found[2], found[3]
    elif found := re.fullmatch(_MONTH_DAY, plain):
        day, month, year = found[2], found[1], found[3]
    elif found := re.fullmatch(_ISO, plain):
        return _exists(int(found[1]), int(found[2]), int(found[3]), typed=typed)
    else:
        _refuse(typed)
    if month not in _MONTH_OF:
        _refuse(typed)
    if year is None:
        return _nearest(int(day), _MONTH_OF[month], typed, today, direction)
    return _exists(_full_year(year, typed=typed), _MONTH_OF[month], int(day), typed)


def _full_year(year: str, *, typed: str) -> int:
    if len(year) != 4:
        raise Unreadable(
            f"The year in {quoted(typed)} doesn't have four figures.",
            instead='Type the year in full, as in "12 dec 2026".',
        )
    return int(year)


def _nearest(
    day: int, month: int, typed: str, today: date, direction: Direction
) -> date:
    # The leap day may be up to eight years away (1896 to 1904, 2096 to 2104).
    step = 1 if direction == "future" else -1
    for year in range(today.year, today.year + 9 * step, step):
        if day <= _days_in(year, month) and day:
            found = date(year, month, day)
            if found == today or (found > today) == (step > 0):
                return found
    return _exists(today.year, month, day, typed)


def _days_in(year: int, month: int) -> int:
    return (date(year + month // 12, month % 12 + 1, 1) - date(year, month, 1)).days


def _exists(year: int, month: int, day: int, typed: str) -> date:
    try:
        return date(year, month, day)
    except ValueError:
        pass
    if 1 <= year < 9999 and 1 <= month <= 12:
        last = _days_in(year, month)
        raise Unreadable(
            f"There is no day {quoted(typed)}: {_MONTH_NAMES[month - 1]} {year} "
            f"has {last} days.",
            instead=f'Type "{last} {MONTHS[month - 1].lower()} {year}" or another day.',
        )
    _refuse(typed)


def _same_weekday(day: date, weekday: int, *, typed: str) -> date:
    if day.weekday() != weekday:
        raise Unreadable(
            f"{quoted(typed)} doesn't fit: {spoken(day)[4:]} is a "
            f"{_WEEKDAY_NAMES[day.weekday()]}.",
            instead=f'Type "{spoken(day)[4:].lower()}" or the day you mean.',
        )
    return day


def spoken(day: date) -> str:
    """Write a day in full, as in ``Sat 28 Nov 2026``."""
    return f"{short_day(day)} {day.year}"


def spoken_moment(text: str) -> str:
    """Say a day, or a day and its time, as in ``Sat 28 Nov 2026, 14:30``."""
    day = spoken(date.fromisoformat(text[:10])) if text else ""
    return f"{day}, {text[11:16]}" if len(text) > 10 else day


def short_day(day: date) -> str:
    """Write a day for a narrow column, as in ``Sat 28 Nov``."""
    return f"{WEEKDAYS[day.weekday()]} {day.day} {MONTHS[day.month - 1]}"


def format_day(day: date, *, today: date) -> str:
    """Write a day with how far off it is, as in ``Sat 28 Nov 2026 (in 3 days)``."""
    return f"{spoken(day)} ({how_far(day, today=today)})"


def how_far(day: date, *, today: date) -> str:
    """Say how far off a day is: ``today``, ``yesterday``, ``in 3 days``."""
    away = (day - today).days
    near = {-1: "yesterday", 0: "today", 1: "tomorrow"}
    if away in near:
        return near[away]
    return f"in {away} days" if away > 0 else f"{-away} days ago"


def echo_day(text: str, day: date, *, today: date) -> str:
    """
    Say back the day that `text` was read as.

    For ``next sat`` typed in the same week the Saturday after it is named as well,
    since many mean that one.
    """
    said = format_day(day, today=today)
    monday = today - timedelta(days=today.weekday())
    if text.strip().lower().startswith("next ") and (day - monday).days < 7:
        other = day + timedelta(days=7)
        typed = f"{other.day} {MONTHS[other.month - 1].lower()}"
        return f'{said}; for the {WEEKDAYS[other.weekday()]} after it type "{typed}"'
    return said
