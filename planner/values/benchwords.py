"""
Bench hours in plain words: reading what she types, spelling what is kept.

::

    mon-thu 20:00-22:00, sat 9-12          days of the week and hours of 24
    every other sat 9-12 from 5 dec        every second week, from that day on
    first sun of the month 14-17           once a month (first to fourth, or last)
    not 24 dec, not 24 dec to 2 jan        days off
    also 20 dec 10:00-16:00                hours on top
    [FREQ=WEEKLY;BYDAY=MO] 20:00-22:00     any RFC 5545 rule
"""

from __future__ import annotations

import re
from datetime import date, datetime, time, timedelta
from typing import Final, NoReturn

from planner.errors import Absurd, Ambiguous, Unreadable
from planner.values.bench import BenchHours, BenchRule
from planner.values.daywords import MONTHS, WEEKDAY_OF, WEEKDAYS, parse_day
from planner.values.durations import parse_clock
from planner.values.recurrence import check_comes
from planner.values.text import check_typed, quoted

MOST_DAYS_OFF: Final = 366
MOST_HOURS: Final = 16
"""A sitting longer than this is a slip of the finger (``sat 12-9``)."""

_INSTEAD = (
    'Type bench hours such as "mon-thu 20:00-22:00, sat 9-12, not 24 dec, '
    'also 20 dec 10:00-16:00".'
)
_CODES: Final = tuple(name[:2].upper() for name in WEEKDAYS)
_ORDINALS: Final = {"first": 1, "second": 2, "third": 3, "fourth": 4, "last": -1}
_GROUPS: Final[dict[str, tuple[int, ...]]] = {
    "daily": tuple(range(7)),
    "day": tuple(range(7)),
    "weekdays": tuple(range(5)),
    "weekday": tuple(range(5)),
    "weekends": (5, 6),
    "weekend": (5, 6),
}
_CLOCK = r"[0-9]{1,2}(?:[:.][0-9]{2})?(?: ?[ap]\.?m\.?)?|noon|midnight"
_HOURS = (
    rf"(?P<days>.+?) (?P<start>{_CLOCK}) ?(?:-|\u2013|to) ?(?P<end>{_CLOCK})"
    r"(?: from (?P<first>.+))?"
)
_MONTHLY = (
    r"(?P<nth>first|second|third|fourth|last) (?P<day>[a-z]+)"
    r"(?: of (?:the|each) month)?"
)
_MONTHLY_RULE = r"FREQ=MONTHLY;BYDAY=(-?[1-4])([A-Z]{2})"
_WEEKLY_RULE = r"FREQ=WEEKLY;(?P<other>INTERVAL=2;)?BYDAY=(?P<days>[A-Z,]+)"
_COMMA = r"[,;](?![^\[]*\])"


def read_hours(text: str, *, today: date) -> BenchHours:
    """
    Read bench hours from plain words.

    Rules begin `today` unless ``from`` names another day; bare hours are of the
    24-hour clock, and an end before the start lies past midnight.  Raises
    `Unreadable`, `Ambiguous` (``8-10pm``) or `Absurd` (more than 16 hours at a
    stretch, more than a year off).
    """
    bare = check_typed(text, what="bench hours", longest=1_000, instead=_INSTEAD)
    rules: list[BenchRule] = []
    off: set[date] = set()
    extra: set[tuple[date, str, str]] = set()
    waiting: list[str] = []
    for clause in _clauses(bare):
        word, _, rest = clause.partition(" ")
        if word == "not":
            off.update(_days_off(rest, today=today))
        elif word == "also":
            extra.add(_extra(rest, today=today))
        elif re.fullmatch(_HOURS, clause):
            rules.append(_rule(" ".join([*waiting, clause]), today=today))
            waiting.clear()
        else:
            waiting.append(clause)
    if waiting or not (rules or extra):
        _refuse(waiting[0] if waiting else bare)
    return BenchHours(tuple(rules), tuple(sorted(off)), tuple(sorted(extra)))


def _clauses(bare: str) -> list[str]:
    # Rules in brackets keep their capitals; everything else is read in small letters.
    split = (" ".join(clause.split()) for clause in re.split(_COMMA, bare))
    return [clause if "[" in clause else clause.lower() for clause in split if clause]


def _refuse(clause: str) -> NoReturn:
    raise Unreadable(
        f"{quoted(clause)} can't be read as bench hours.", instead=_INSTEAD
    )


def _days_off(text: str, *, today: date) -> list[date]:
    days: list[date] = []
    for part in text.split(" and "):
        begin, _, end = part.partition(" to ")
        first = parse_day(begin, today=today)
        last = parse_day(end, today=first) if end else first
        if not 0 <= (last - first).days < MOST_DAYS_OFF:
            raise Absurd(
                f"{quoted(part)} is not a stretch of days off within a year.",
                instead='Type the first and last day, as in "not 24 dec to 2 jan".',
            )
        days += [first + timedelta(days=at) for at in range((last - first).days + 1)]
    return days


def _extra(text: str, *, today: date) -> tuple[date, str, str]:
    found = re.fullmatch(_HOURS, text)
    if found is None or found["first"]:
        _refuse(f"also {text}")
    return parse_day(found["days"], today=today), *_span(found, typed=text)


def _rule(clause: str, *, today: date) -> BenchRule:
    found = re.fullmatch(_HOURS, clause)
    if found is None:
        _refuse(clause)
    first = parse_day(found["first"], today=today) if found["first"] else today
    start, end = _span(found, typed=clause)
    words = found["days"]
    if words.startswith("[") and words.endswith("]"):
        opens = datetime.combine(first, time.fromisoformat(start))
        return BenchRule(check_comes(words[1:-1].upper(), opens), start, end, first)
    if monthly := re.fullmatch(_MONTHLY, words):
        return BenchRule(_monthly(monthly, clause), start, end, first)
    return _weekly(words, clause, start=start, end=end, first=first)


def _monthly(found: re.Match[str], clause: str) -> str:
    days = _weekdays(found["day"], clause)
    if len(days) != 1:
        _refuse(clause)
    return f"FREQ=MONTHLY;BYDAY={_ORDINALS[found['nth']]}{_CODES[days[0]]}"


def _weekly(words: str, clause: str, *, start: str, end: str, first: date) -> BenchRule:
    other = words.startswith("every other ")
    plain = words.removeprefix("every other ").removeprefix("every ")
    days = sorted(
        {day for part in _day_words(plain) for day in _weekdays(part, clause)}
    )
    codes = ",".join(_CODES[day] for day in days)
    if not other:
        return BenchRule(f"FREQ=WEEKLY;BYDAY={codes}", start, end, first)
    # Every second week is counted from the first such day, not from today's week.
    ahead = min((day - first.weekday()) % 7 for day in days)
    rule = f"FREQ=WEEKLY;INTERVAL=2;BYDAY={codes}"
    return BenchRule(rule, start, end, first + timedelta(days=ahead))


def _day_words(words: str) -> list[str]:
    joined = re.sub(r" ?(?:-|\u2013| to ) ?", "-", words)
    return [part for part in re.split(r" and |[ &/+]", joined) if part]


def _weekdays(word: str, clause: str) -> tuple[int, ...]:
    if word in _GROUPS:
        return _GROUPS[word]
    begin, dash, end = word.partition("-")
    first = _weekday(begin, clause)
    if not dash:
        return (first,)
    last = _weekday(end, clause)
    return tuple((first + at) % 7 for at in range((last - first) % 7 + 1))


def _weekday(word: str, clause: str) -> int:
    if word in WEEKDAY_OF:
        return WEEKDAY_OF[word]
    if word.removesuffix("s") in WEEKDAY_OF:
        return WEEKDAY_OF[word.removesuffix("s")]
    _refuse(clause)


def _span(found: re.Match[str], *, typed: str) -> tuple[str, str]:
    halves = [text.rstrip(".").endswith("m") for text in (found["start"], found["end"])]
    named = {"noon", "midnight"} & {found["start"], found["end"]}
    if halves[0] != halves[1] and not named:
        raise Ambiguous(
            f"It isn't clear whether {quoted(typed)} begins in the morning.",
            instead='Type hours of 24, as in "20:00-22:00", or "8pm-10pm".',
        )
    start, end = _clock(found["start"]), _clock(found["end"])
    _check_length(start, end, typed=typed)
    return f"{start:%H:%M}", f"{end:%H:%M}"


def _clock(text: str) -> time:
    if text in {"midnight", "24", "24:00", "24.00"}:
        return time(0)
    return parse_clock(f"{text}:00" if text.isdigit() else text)


def _check_length(start: time, end: time, *, typed: str) -> None:
    minutes = (end.hour - start.hour) * 60 + end.minute - start.minute
    long = minutes if minutes > 0 else minutes + 24 * 60
    if long > MOST_HOURS * 60:
        raise Absurd(
            f"{quoted(typed)} would be {long / 60:g} hours at a stretch.",
            instead='Type hours of 24, as in "sat 12:00-21:00".',
        )


def spell_hours(hours: BenchHours) -> str:
    """Spell bench hours in the words that `read_hours` reads, years written out."""
    return ", ".join(
        [
            *(_spell_rule(rule) for rule in hours.rules),
            *(f"not {stretch}" for stretch in _stretches(hours.off_days)),
            *(f"also {_day(day)} {start}-{end}" for day, start, end in hours.extra),
        ]
    )


def _spell_rule(rule: BenchRule) -> str:
    span = f"{rule.start}-{rule.end}"
    if found := re.fullmatch(_MONTHLY_RULE, rule.rule):
        nth = next(word for word, at in _ORDINALS.items() if at == int(found[1]))
        day = WEEKDAYS[_CODES.index(found[2])].lower()
        return f"{nth} {day} of the month {span}"
    found = re.fullmatch(_WEEKLY_RULE, rule.rule)
    if found is None:
        return f"[{rule.rule}] {span} from {_day(rule.first)}"
    days = _spell_days([_CODES.index(code) for code in found["days"].split(",")])
    if found["other"]:
        return f"every other {days} {span} from {_day(rule.first)}"
    return f"{days} {span}"


def _spell_days(days: list[int]) -> str:
    if days == list(range(7)):
        return "every day"
    runs: list[list[int]] = []
    for day in days:
        if runs and runs[-1][-1] == day - 1:
            runs[-1].append(day)
        else:
            runs.append([day])
    words = [word for run in runs for word in _spell_run(run)]
    return " and ".join([", ".join(words[:-1]), words[-1]] if words[1:] else words)


def _spell_run(run: list[int]) -> list[str]:
    names = [WEEKDAYS[day].lower() for day in run]
    return [f"{names[0]}-{names[-1]}"] if len(run) > 2 else names


def _stretches(days: tuple[date, ...]) -> list[str]:
    runs: list[list[date]] = []
    for day in days:
        if runs and day - runs[-1][-1] == timedelta(days=1):
            runs[-1].append(day)
        else:
            runs.append([day])
    return [
        _day(run[0]) if len(run) == 1 else f"{_day(run[0])} to {_day(run[-1])}"
        for run in runs
    ]


def _day(day: date) -> str:
    return f"{day.day} {MONTHS[day.month - 1].lower()} {day.year}"
