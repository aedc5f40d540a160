"""Minutes at the bench, seconds of a step, and times of day."""

from __future__ import annotations

import re
from datetime import time
from fractions import Fraction
from typing import Final, NoReturn

from planner.errors import Absurd, Ambiguous, Unreadable
from planner.values.text import check_typed, quoted

MOST_MINUTES: Final = 24 * 60
"""One stretch of work or of setting longer than a day is a slip of the finger."""
MOST_BENCH_MINUTES: Final = 999 * 60
"""More bench hours than this for one plan are a slip of the finger."""

_HOUR = r"h|hr|hrs|hour|hours"
_MINUTE = r"m|min|mins|minute|minutes"
_SECOND = r"s|sec|secs|second|seconds"
_NUMBER = r"[0-9]+(?:[.,][0-9]+)?"
_HOURS_MINUTES = (
    rf"(?:(?P<h>{_NUMBER}) ?(?:{_HOUR})\.?)? ?"
    rf"(?:(?P<m>{_NUMBER}) ?(?P<unit>{_MINUTE})?\.?)?"
)
_STEP = (
    rf"(?:(?P<h>{_NUMBER}) ?(?:{_HOUR})\.?)? ?(?:(?P<m>{_NUMBER}) ?(?:{_MINUTE})\.?)? ?"
    rf"(?:(?P<s>{_NUMBER}) ?(?:{_SECOND})\.?)?"
)
_COLON = r"[0-9]+[:.][0-9]{2}"
_CLOCK = r"([0-9]{1,2})(?:[:.]([0-9]{2}))?(?: ?([ap])\.?m\.?)?"
_MINUTES_INSTEAD = 'Type minutes such as "95min", "1h35" or "1 h 35 min".'
_HOURS_INSTEAD = 'Type hours such as "5", "2.5", "2h30" or "45min".'
_STEP_INSTEAD = 'Type a time such as "30s", "2 min" or "1.5 min".'
_CLOCK_INSTEAD = 'Type a time of day such as "20:00", "8pm" or "8:30 pm".'


def parse_minutes(text: str) -> int:
    """
    Read a stretch of work such as ``95min``, ``1h35``, ``1 h 35 min`` or ``95``.

    Returns whole minutes.  Raises `Unreadable` for junk and part minutes,
    `Ambiguous` for ``1:35`` (hours or minutes?), `Absurd` for nothing, less, and more
    than 24 hours.
    """
    bare = check_typed(
        text, what="a number of minutes", longest=40, instead=_MINUTES_INSTEAD
    )
    plain = _plain(bare, instead=_MINUTES_INSTEAD)
    total = _stretch(plain, "minutes", typed=bare, instead=_MINUTES_INSTEAD)
    most = MOST_MINUTES
    return _whole(total, "minutes", typed=bare, most=most, instead=_MINUTES_INSTEAD)


def parse_hours(text: str) -> int:
    """
    Read bench time where hours are asked for: ``5``, ``2.5``, ``2h30``, ``45min``.

    Returns whole minutes; a number without its unit means hours.  Raises `Unreadable`
    for junk and part minutes, `Ambiguous` for ``1:35``, `Absurd` for nothing, less,
    and more than 999 hours.
    """
    bare = check_typed(
        text, what="a number of hours", longest=40, instead=_HOURS_INSTEAD
    )
    plain = _plain(bare, instead=_HOURS_INSTEAD)
    hours = f"{plain}h" if re.fullmatch(_NUMBER, plain) else plain
    total = _stretch(hours, "hours", typed=bare, instead=_HOURS_INSTEAD)
    most = MOST_BENCH_MINUTES
    return _whole(total, "minutes", typed=bare, most=most, instead=_HOURS_INSTEAD)


def _stretch(plain: str, what: str, *, typed: str, instead: str) -> Fraction:
    """Read hours and minutes; the result is in minutes."""
    found = re.fullmatch(_HOURS_MINUTES, plain)
    if found is None or not (found["h"] or found["m"]):
        _refuse(typed, what, instead=instead)
    return _sum(found["h"], found["m"], None, typed=typed, instead=instead) / 60


def parse_seconds_step(text: str) -> int:
    """
    Read how long one step takes, such as ``30s``, ``2 min`` or ``1.5 min``.

    Returns whole seconds.  Raises `Unreadable` for junk and part seconds,
    `Ambiguous` for a number without its unit, `Absurd` for nothing, less, and more
    than 24 hours.
    """
    bare = check_typed(
        text, what="the time of a step", longest=40, instead=_STEP_INSTEAD
    )
    plain = _plain(bare, instead=_STEP_INSTEAD)
    if re.fullmatch(_NUMBER, plain):
        raise Ambiguous(
            f"{quoted(bare)} could be seconds or minutes.",
            instead=f'Type "{plain}s" or "{plain} min".',
        )
    found = re.fullmatch(_STEP, plain)
    if found is None or not any(found.groups()):
        _refuse(bare, "the time of a step", instead=_STEP_INSTEAD)
    total = _sum(found["h"], found["m"], found["s"], typed=bare, instead=_STEP_INSTEAD)
    most = MOST_MINUTES * 60
    return _whole(total, "seconds", typed=bare, most=most, instead=_STEP_INSTEAD)


def _plain(bare: str, *, instead: str) -> str:
    plain = " ".join(bare.lower().split())
    if plain.startswith(("-", "\u2212", "\u2013")):
        raise Absurd(f"{quoted(bare)} is less than no time.", instead=instead)
    if re.fullmatch(_COLON, plain) and ":" in plain:
        raise Ambiguous(
            f"{quoted(bare)} could be hours and minutes or minutes and seconds.",
            instead=instead,
        )
    return plain


def _refuse(typed: str, what: str, *, instead: str) -> NoReturn:
    raise Unreadable(f"{quoted(typed)} can't be read as {what}.", instead=instead)


def _sum(
    hours: str | None,
    minutes: str | None,
    seconds: str | None,
    *,
    typed: str,
    instead: str,
) -> Fraction:
    # Below the largest unit given, a number of sixty or more is likely a slip, and so
    # is a broken number above the smallest ("1.5 h 20 min").
    given = [part.replace(",", ".") for part in (hours, minutes, seconds) if part]
    if any("." in part for part in given[:-1]):
        _refuse(typed, "a time", instead=instead)
    if any(Fraction(part) >= 60 for part in given[1:]):
        _refuse(typed, "a time", instead=instead)
    parts = zip((hours, minutes, seconds), (3600, 60, 1), strict=True)
    return sum(
        (Fraction(part.replace(",", ".")) * unit for part, unit in parts if part),
        start=Fraction(0),
    )


def _whole(exact: Fraction, what: str, *, typed: str, most: int, instead: str) -> int:
    if exact == 0:
        raise Absurd(f"{quoted(typed)} is no time at all.", instead=instead)
    if exact > most:
        hours = most // (60 if what == "minutes" else 3600)
        raise Absurd(f"{quoted(typed)} is more than {hours} hours.", instead=instead)
    if exact.denominator != 1:
        raise Unreadable(
            f"{quoted(typed)} is not a whole number of {what}.", instead=instead
        )
    return int(exact)


def parse_clock(text: str) -> time:
    """
    Read a time of day such as ``20:00``, ``8pm``, ``8:30 pm``, ``noon``.

    Raises `Ambiguous` for a bare hour from 1 to 12, `Unreadable` for junk.
    """
    bare = check_typed(text, what="a time of day", longest=40, instead=_CLOCK_INSTEAD)
    plain = " ".join(bare.lower().split())
    if plain in {"noon", "midday"}:
        return time(12)
    if plain == "midnight" or plain in {"24:00", "24.00"}:
        raise Ambiguous(
            f"{quoted(bare)} could begin the day or end it.",
            instead='Type "0:00" for its beginning or "23:59" for its end.',
        )
    found = re.fullmatch(_CLOCK, plain)
    if found is None:
        _refuse(bare, "a time of day", instead=_CLOCK_INSTEAD)
    return _clock(found, typed=bare)


def _clock(found: re.Match[str], *, typed: str) -> time:
    hour, minute, half = int(found[1]), int(found[2] or 0), found[3]
    if half is None and found[2] is None:
        _ask_half(hour, typed=typed)
    if minute > 59 or hour > 23 or (half and not 1 <= hour <= 12):
        raise Unreadable(
            f"There is no time of day {quoted(typed)}.", instead=_CLOCK_INSTEAD
        )
    if half:
        hour = hour % 12 + (12 if half == "p" else 0)
    return time(hour, minute)


def _ask_half(hour: int, *, typed: str) -> NoReturn:
    if hour > 23:
        raise Unreadable(
            f"There is no time of day {quoted(typed)}.", instead=_CLOCK_INSTEAD
        )
    if 1 <= hour <= 12:
        raise Ambiguous(
            f"{quoted(typed)} could be morning or evening.",
            instead=f'Type "{hour}am", "{hour}pm" or "{hour}:00" (of 24 hours).',
        )
    raise Unreadable(f"{quoted(typed)} has no minutes.", instead=f'Type "{hour}:00".')
