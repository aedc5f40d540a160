"""Where more bench time could go, by the clock."""

from __future__ import annotations

from datetime import date, datetime

import pytest

from planner.engines.more_hours import room, stretches
from planner.engines.work import look_ahead

from .due_toys import PLACE, TODAY, fair, hours, told

WEDNESDAY, THURSDAY = date(2026, 11, 25), date(2026, 11, 26)


def places(led, minutes, *, until=26, now=(23, 18, 0)):
    """Lay minutes out before midnight of a day of November."""
    day, hour, minute = now
    moment = datetime(2026, 11, day, hour, minute, 17, 250_000, tzinfo=PLACE)
    ahead = look_ahead(led, now=moment, today=moment.date())
    by = ahead.clock.at(date(2026, 11, until))
    free = room(ahead, by)
    return stretches(ahead.clock, free, minutes), sum(most for _, most in free)


def test_evenings_are_lengthened_by_two_hours_at_most_the_first_ones_first():
    assert places(told(), 150) == (
        ((TODAY, "22:00", "00:00"), (date(2026, 11, 24), "22:00", "22:30")),
        3 * 120,
    )


def test_days_off_and_fairs_are_left_alone():
    led = told(hours(off=("2026-11-23",)), fair("F1", "Kelp Street", "2026-11-24"))
    assert places(led, 90) == (((WEDNESDAY, "22:00", "23:30"),), 120)


def test_a_day_without_bench_hours_gets_an_evening():
    assert places(told(bench=None), 60, until=24) == (((TODAY, "20:00", "21:00"),), 120)


def test_an_evening_that_has_begun_is_lengthened_at_its_end():
    found, most = places(told(), 60, until=24, now=(23, 21, 40))
    assert (found, most) == (((TODAY, "22:00", "23:00"),), 120)


def test_after_the_last_sitting_there_is_only_what_is_left_of_the_day():
    """At 22:20 the next quarter is 22:30: an hour and a half until midnight."""
    found, most = places(told(), 60, until=24, now=(23, 22, 20))
    assert (found, most) == (((TODAY, "22:30", "23:30"),), 90)


@pytest.mark.parametrize("minutes", [30, 90, 240])
def test_what_is_asked_for_is_what_is_laid_out(minutes):
    found, _ = places(told(), minutes)
    assert sum(
        (int(b[:2]) * 60 + int(b[3:]) - int(a[:2]) * 60 - int(a[3:])) % 1440
        for _, a, b in found
    ) == minutes  # fmt: skip
