"""
Bench hours: when she can work, as recurring hours with exceptions.

The hours are kept as RFC 5545 recurrence rules in local time and unrolled there, so
that "20:00" stays 20:00 on the clock when the clocks change; how long a sitting lasts
is then counted in UTC.  `benchwords` reads and spells them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from planner.values.recurrence import expand_rule as expand_rule
from planner.values.recurrence import to_utc, unroll

Sitting = tuple[datetime, datetime]
"""A stretch of bench time: aware local start and end."""


@dataclass(frozen=True, slots=True)
class BenchRule:
    """
    Hours that come again: an RFC 5545 rule and the hours of each day it names.

    `start` and `end` are ``HH:MM``; an end at or before the start lies past midnight.
    `first` is the first day the rule can name.
    """

    rule: str
    start: str
    end: str
    first: date


@dataclass(frozen=True, slots=True)
class BenchHours:
    """
    All bench hours: rules, days off, and extra hours (day, start, end).

    A day off takes away the rules' sittings that start that day; extra hours stay.
    """

    rules: tuple[BenchRule, ...] = ()
    off_days: tuple[date, ...] = ()
    extra: tuple[tuple[date, str, str], ...] = ()


def parse_bench_hours(text: str, *, today: date) -> BenchHours:
    """
    Read ``mon-thu 20:00-22:00, sat 9-12, not 24 dec, also 20 dec 10:00-16:00``.

    See `benchwords.read_hours` for the words and what is raised.
    """
    from planner.values.benchwords import read_hours

    return read_hours(text, today=today)


def spell(hours: BenchHours) -> str:
    """Spell bench hours in the words that `parse_bench_hours` reads."""
    from planner.values.benchwords import spell_hours

    return spell_hours(hours)


def sittings_between(
    hours: BenchHours, first: date, last: date, zone: str
) -> list[Sitting]:
    """
    List the sittings that start on the days `first` to `last`, both included.

    Aware local times of `zone`, in order; what overlaps or touches is merged.  Take
    their length with `minutes_of`: the plain difference of two local times is wrong
    on a night when the clocks change.
    """
    place = ZoneInfo(zone)
    spans = [
        (to_utc(start, place), to_utc(end, place))
        for start, end in _local_spans(hours, first, last, place)
    ]
    return [
        (start.astimezone(place), end.astimezone(place))
        for start, end in _merged(spans)
    ]


def minutes_of(sitting: Sitting) -> int:
    """Give the whole minutes that pass in a sitting, also while the clocks change."""
    start, end = sitting
    return (end.astimezone(UTC) - start.astimezone(UTC)) // timedelta(minutes=1)


def _local_spans(
    hours: BenchHours, first: date, last: date, place: ZoneInfo
) -> Iterator[Sitting]:
    off = frozenset(hours.off_days)
    for rule in hours.rules:
        for start in _starts(rule, first, last, place):
            if start.date() not in off:
                yield start, _end_after(start, rule.end)
    for day, begin, end in hours.extra:
        if first <= day <= last:
            start = datetime.combine(day, time.fromisoformat(begin))
            yield start, _end_after(start, end)


def _starts(
    rule: BenchRule, first: date, last: date, place: ZoneInfo
) -> list[datetime]:
    opens = datetime.combine(rule.first, time.fromisoformat(rule.start))
    after = datetime.combine(first, time.min)
    before = datetime.combine(last, time.max)
    return unroll(rule.rule, opens, place).between(after, before, inc=True)


def _end_after(start: datetime, end: str) -> datetime:
    ends = datetime.combine(start.date(), time.fromisoformat(end))
    return ends if ends > start else ends + timedelta(days=1)


def _merged(spans: list[Sitting]) -> list[Sitting]:
    merged: list[Sitting] = []
    for start, end in sorted(spans):
        if merged and start <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(end, merged[-1][1]))
        elif start < end:
            merged.append((start, end))
    return merged
