"""
Days and times in one place: the names the rest of the house imports.

Days as words are in `daywords`, stretches and times of day in `durations`, moments and
their order in `moments`.
"""

from __future__ import annotations

from planner.values.daywords import (
    FURTHEST_YEARS,
    MONTHS,
    WEEKDAYS,
    Direction,
    echo_day,
    format_day,
    how_far,
    parse_day,
    short_day,
    spoken,
)
from planner.values.durations import (
    parse_clock,
    parse_hours,
    parse_minutes,
    parse_seconds_step,
)
from planner.values.moments import (
    When,
    at_local,
    day_of,
    end_of_day,
    instant,
    parse_when,
)

__all__ = [
    "FURTHEST_YEARS",
    "MONTHS",
    "WEEKDAYS",
    "Direction",
    "When",
    "at_local",
    "day_of",
    "echo_day",
    "end_of_day",
    "format_day",
    "how_far",
    "instant",
    "parse_clock",
    "parse_day",
    "parse_hours",
    "parse_minutes",
    "parse_seconds_step",
    "parse_when",
    "short_day",
    "spoken",
]
