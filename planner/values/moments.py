"""
When something happened: a day or a date-time, and where it falls in time.

The log keeps either a bare day (``2026-11-28``) or an RFC 3339 date-time with its
offset.  To sort them, a bare day counts as local noon for a movement and as the end
of that day for a reading.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from typing import Final
from zoneinfo import ZoneInfo

from planner.errors import Ambiguous, Unreadable
from planner.values.daywords import Direction, check_near, parse_day
from planner.values.durations import parse_clock
from planner.values.text import check_typed, quoted

_EPOCH: Final = datetime(1970, 1, 1, tzinfo=UTC)
_DAYS: dict[str, int] = {}
_CLOCKS: dict[str, int] = {}
_REST: dict[str, int] = {}
_MANY: Final = 50_000
_PLAIN: Final = re.compile(
    r"\d{4}-\d\d-\d\d[T ]\d\d:\d\d:\d\d[+-]\d\d:\d\d", re.ASCII
).fullmatch
_from_iso = datetime.fromisoformat
_FIRST: Final = _EPOCH.toordinal()
_A_DAY: Final = 86_400_000_000
_MICROSECOND: Final = timedelta(microseconds=1)
_NOON: Final = time(12)
_INSTEAD = (
    'Type a time such as "today", "sat 14:30", "about sat" or "2026-11-28 14:30".'
)
_RFC3339 = (
    r"([0-9]{4}-[0-9]{2}-[0-9]{2})[Tt ]([0-9]{2}:[0-9]{2}:[0-9]{2}(?:\.[0-9]{1,6})?)"
    r"([Zz]|[+-][0-9]{2}:[0-9]{2})"
)
_NAIVE = r"([0-9]{4}-[0-9]{2}-[0-9]{2})t([0-9]{2}:[0-9]{2})(?::00)?"
_ABOUT = r"(?i:about|abt\.?|around|circa|~) *"
_CLOCK_AT_END = (
    r"(?P<day>.*?)(?:(?:^| )at)?(?:^| )"
    r"(?P<clock>[0-9]{1,2}[:.][0-9]{2}(?: ?[ap]\.?m\.?)?|[0-9]{1,2} ?[ap]\.?m\.?|noon)"
)


@dataclass(frozen=True, slots=True)
class When:
    """
    When something happened, as the log keeps it.

    `text` is an ISO day or an RFC 3339 date-time with offset; `about` is true when
    she said it is only about right.
    """

    text: str
    about: bool = False


def parse_when(
    text: str, *, now: datetime, zone: ZoneInfo, direction: Direction = "past"
) -> When:
    """
    Read a day, a day with a time (``sat 14:30``), ``about sat``, ``now`` or RFC 3339.

    `now` is aware; a local time gets the offset that `zone` has then.  Raises
    `Unreadable` for junk and for a local time the clocks skip, `Ambiguous` where a
    local time comes twice or a bare time has not come yet today, `Absurd` more than
    ten years off.
    """
    bare = check_typed(text, what="a day or time", longest=80, instead=_INSTEAD)
    plain = " ".join(bare.replace("\u00a0", " ").split())
    about = re.match(_ABOUT, plain)
    rest = plain[about.end() :] if about else plain
    here = now.astimezone(zone)
    return When(
        _read(rest, bare, here=here, zone=zone, direction=direction), bool(about)
    )


def _read(
    plain: str, typed: str, *, here: datetime, zone: ZoneInfo, direction: Direction
) -> str:
    if plain.lower() == "now":
        return here.isoformat(timespec="seconds")
    if found := re.fullmatch(_RFC3339, plain):
        return _stamp(found, typed=typed, today=here.date())
    lower = re.sub(_NAIVE, r"\1 \2", plain.lower())
    found = re.fullmatch(_CLOCK_AT_END, lower)
    if found is None:
        return parse_day(lower, today=here.date(), direction=direction).isoformat()
    clock = parse_clock(found["clock"])
    if not found["day"]:
        return _today_at(clock, typed, here=here, zone=zone, direction=direction)
    day = parse_day(found["day"], today=here.date(), direction=direction)
    return at_local(day, clock, zone, typed=typed).isoformat()


def _stamp(found: re.Match[str], *, typed: str, today: date) -> str:
    try:
        stamp = datetime.fromisoformat(f"{found[1]}T{found[2]}{found[3].upper()}")
    except ValueError as trouble:
        raise Unreadable(
            f"There is no time {quoted(typed)}.", instead=_INSTEAD
        ) from trouble
    check_near(stamp.date(), today=today, typed=typed)
    return stamp.isoformat()


def _today_at(
    clock: time, typed: str, *, here: datetime, zone: ZoneInfo, direction: Direction
) -> str:
    gone = clock <= here.time()
    if gone == (direction == "past"):
        return at_local(here.date(), clock, zone, typed=typed).isoformat()
    other = "yesterday" if direction == "past" else "tomorrow"
    raise Ambiguous(
        f"Today {clock:%H:%M} {'is over' if gone else 'has not come yet'}.",
        instead=f'Type "today {clock:%H:%M}" or "{other} {clock:%H:%M}".',
    )


def at_local(day: date, clock: time, zone: ZoneInfo, *, typed: str) -> datetime:
    """
    Give the aware local moment of a time of day.

    Raises `Unreadable` when the clocks skip it that day, `Ambiguous` when it comes
    twice; both name the stamp to type.
    """
    local = datetime.combine(day, clock, tzinfo=zone)
    later = local.replace(fold=1)
    if local.utcoffset() == later.utcoffset():
        return local
    back = local.astimezone(UTC).astimezone(zone)
    if back.replace(tzinfo=None) != local.replace(tzinfo=None):
        raise Unreadable(
            f"The clocks skip {clock:%H:%M} on {day}, so {quoted(typed)} never was.",
            instead=f'Type "{day} {back:%H:%M}" or another time.',
        )
    raise Ambiguous(
        f"{clock:%H:%M} comes twice on {day}, when the clocks go back.",
        instead=f'Type "{local.isoformat()}" or "{later.isoformat()}".',
    )


def instant(text: str, zone: ZoneInfo) -> int:
    """
    Give microseconds since 1970 (UTC) of a kept day or date-time, for sorting.

    A bare day counts as noon in `zone`.  Raises `Unreadable` for any other text.
    """
    try:
        # A stamp put together from parts known before costs a third of a fresh one.
        return _DAYS[text[:10]] + _CLOCKS[text[10:16]] + _REST[text[16:]]
    except KeyError:
        pass
    if len(text) == 10:
        return noon(text, zone)
    try:
        if _PLAIN(text):
            return _learned(text[:10], text[10:16], text[16:])
        return _micros(text)
    except (ValueError, TypeError) as trouble:
        raise _not_kept(text) from trouble


def _learned(day: str, clock: str, rest: str) -> int:
    """Put a stamp that ends in an offset together, and remember its parts."""
    if len(_DAYS) + len(_REST) > _MANY:
        _DAYS.clear()
        _REST.clear()
    if day not in _DAYS:
        _DAYS[day] = (date.fromisoformat(day).toordinal() - _FIRST) * _A_DAY
    if clock not in _CLOCKS:
        _CLOCKS[clock] = _micros(f"1970-01-01{clock}:00+00:00")
    if rest not in _REST:
        _REST[rest] = _micros(f"1970-01-01T00:00{rest}")
    return _DAYS[day] + _CLOCKS[clock] + _REST[rest]


def _micros(text: str) -> int:
    return (_from_iso(text) - _EPOCH) // _MICROSECOND


@lru_cache(maxsize=65_536)
def noon(text: str, zone: ZoneInfo) -> int:
    """Give microseconds since 1970 (UTC) of a day's local noon, as `instant` does."""
    try:
        day = date.fromisoformat(text)
    except ValueError as trouble:
        raise _not_kept(text) from trouble
    return (datetime.combine(day, _NOON, tzinfo=zone) - _EPOCH) // _MICROSECOND


def _not_kept(text: str) -> Unreadable:
    return Unreadable(
        f"{quoted(text)} is neither a day nor a date-time with its offset.",
        instead='Give "2026-11-28" or "2026-11-28T14:30:00-05:00".',
    )


def end_of_day(day: date, zone: ZoneInfo) -> int:
    """Give microseconds since 1970 (UTC) of the last microsecond of a local day."""
    midnight = datetime.combine(day + timedelta(days=1), time.min, tzinfo=zone)
    return (midnight - _EPOCH) // _MICROSECOND - 1


def day_of(text: str, zone: ZoneInfo) -> date:
    """
    Give the local day of a kept day or date-time.

    Raises `Unreadable` for any other text.
    """
    try:
        if len(text) == 10:
            return date.fromisoformat(text)
        stamp = datetime.fromisoformat(text)
    except ValueError as trouble:
        raise _not_kept(text) from trouble
    if stamp.tzinfo is None:
        raise _not_kept(text)
    return stamp.astimezone(zone).date()
