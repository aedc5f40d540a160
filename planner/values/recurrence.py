"""
Recurrence rules of RFC 5545, unrolled in local time.

dateutil does the unrolling; it is imported inside, since only questions unroll hours
and a writing command must start fast.
"""

from __future__ import annotations

import re
from datetime import UTC, datetime
from itertools import islice
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from planner.errors import Unreadable
from planner.values.text import quoted

if TYPE_CHECKING:
    from dateutil.rrule import rrule

_INSTEAD = 'Give a rule such as "FREQ=WEEKLY;BYDAY=MO,TU,WE,TH".'
_BYDAY = r"[+-]?[1-5]?(?:MO|TU|WE|TH|FR|SA|SU)"
_MONTH = r"(?:[1-9]|1[0-2])"
_MONTH_DAY = r"[+-]?(?:[1-9]|[12][0-9]|3[01])"
_NTH = r"[+-]?[1-9][0-9]?"
_PART = (
    r"INTERVAL=[1-9][0-9]{0,2}|COUNT=[1-9][0-9]{0,3}|WKST=(?:MO|TU|WE|TH|FR|SA|SU)"
    rf"|BYDAY={_BYDAY}(?:,{_BYDAY})*|BYMONTH={_MONTH}(?:,{_MONTH})*"
    rf"|BYMONTHDAY={_MONTH_DAY}(?:,{_MONTH_DAY})*|BYSETPOS={_NTH}(?:,{_NTH})*"
    r"|UNTIL=[0-9]{8}(?:T[0-9]{6}Z?)?"
)
# Our own gate: dateutil would take an interval of nought and never come back.
_RULE = rf"FREQ=(?:DAILY|WEEKLY|MONTHLY|YEARLY)(?:;(?:{_PART}))*"
_UNTIL = r"UNTIL=([0-9]{8})T([0-9]{6})Z"


def check_rule(rule: str) -> str:
    """
    Give a recurrence rule back when it is one that can be unrolled.

    Raises `Unreadable` for anything else, an interval of nought among it.
    """
    # Days of the month belong to monthly rules: searched day by day, a 30 Feb that
    # never comes would take seconds to give up on.
    by_day = rule.startswith(("FREQ=DAILY", "FREQ=WEEKLY")) and "BYMONTHDAY" in rule
    if len(rule) > 200 or by_day or not re.fullmatch(_RULE, rule):
        raise Unreadable(
            f"{quoted(rule)} is not a rule for days that can be read.", instead=_INSTEAD
        )
    return rule


def unroll(rule: str, opens: datetime, place: ZoneInfo) -> rrule:
    """
    Turn a rule and its local start into local times, without a zone, one by one.

    Raises `Unreadable` for a rule that can't be read.
    """
    from dateutil.rrule import rrulestr

    check_rule(rule)
    try:
        local = re.sub(_UNTIL, lambda found: _local_until(found, place), rule)
        found = rrulestr(local, dtstart=opens)
    except ValueError as trouble:
        raise Unreadable(
            f"{quoted(rule)} is not a rule for days that can be read.", instead=_INSTEAD
        ) from trouble
    # The gate lets one rule through, so it is never a set of rules.
    return found  # type: ignore[return-value]


def check_comes(rule: str, opens: datetime) -> str:
    """
    Give a rule back when some day fits it within eight years of its start.

    Raises `Unreadable` for a rule that can't be read or that no day fits (a 30 Feb).
    """
    found = next(iter(unroll(rule, opens, ZoneInfo("UTC"))), None)
    if found is None or found.year > opens.year + 8:
        raise Unreadable(f"No day ever fits the rule {quoted(rule)}.", instead=_INSTEAD)
    return rule


def _local_until(found: re.Match[str], place: ZoneInfo) -> str:
    until = datetime.strptime(found[1] + found[2], "%Y%m%d%H%M%S").replace(tzinfo=UTC)
    return f"UNTIL={until.astimezone(place):%Y%m%dT%H%M%S}"


def to_utc(local: datetime, place: ZoneInfo) -> datetime:
    """
    Turn a local time without a zone into UTC.

    A time the clocks skip is taken with the offset before the gap, one that comes
    twice is its first coming.  Source: RFC 5545 section 3.3.5.
    """
    return local.replace(tzinfo=place).astimezone(UTC)


def expand_rule(
    dtstart: datetime, rule: str, zone: str, take: int | None = None
) -> list[datetime]:
    """
    Unroll a recurrence rule from a local start, at most `take` times.

    `dtstart` is local time without a zone; the answers are aware times of `zone`.
    Raises `Unreadable` for a rule that can't be read and for an endless one without
    `take`.
    """
    place = ZoneInfo(zone)
    if take is None and not re.search("COUNT=|UNTIL=", rule):
        raise Unreadable(
            f"The rule {quoted(rule)} never ends.", instead="Say how many to take."
        )
    starts = islice(unroll(rule, dtstart, place), take)
    return [to_utc(start, place).astimezone(place) for start in starts]
