"""Moments: what the log keeps, and how it sorts."""

from datetime import UTC, date, datetime, timedelta, timezone
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.errors import Absurd, Ambiguous, Unreadable
from planner.values.days import When, day_of, end_of_day, instant, parse_when

from .helpers import helps_or, outcome

NEW_YORK = ZoneInfo("America/New_York")
NOW = datetime(2026, 11, 25, 20, 15, 7, 123, tzinfo=NEW_YORK)


@pytest.mark.parametrize(
    ("typed", "when"),
    [
        ("today", When("2026-11-25")),
        ("sat", When("2026-11-21")),
        ("about sat", When("2026-11-21", about=True)),
        ("~sat", When("2026-11-21", about=True)),
        ("About 3 days ago", When("2026-11-22", about=True)),
        ("now", When("2026-11-25T20:15:07-05:00")),
        ("14:30", When("2026-11-25T14:30:00-05:00")),
        ("8pm", When("2026-11-25T20:00:00-05:00")),
        ("sat 14:30", When("2026-11-21T14:30:00-05:00")),
        ("sat at 2:30 pm", When("2026-11-21T14:30:00-05:00")),
        ("1 jul noon", When("2026-07-01T12:00:00-04:00")),
        ("about yesterday 20:00", When("2026-11-24T20:00:00-05:00", about=True)),
        ("2026-11-21 14:30", When("2026-11-21T14:30:00-05:00")),
        ("2026-11-21T14:30", When("2026-11-21T14:30:00-05:00")),
        ("2026-11-21T14:30:00-05:00", When("2026-11-21T14:30:00-05:00")),
        ("2026-11-21t19:30:00z", When("2026-11-21T19:30:00+00:00")),
    ],
)
def test_days_and_times_are_read_as_the_log_keeps_them(typed, when):
    """A time gets the offset its day has in the shop's zone."""
    assert parse_when(typed, now=NOW, zone=NEW_YORK) == when


@pytest.mark.parametrize(
    ("typed", "error"),
    [
        ("", Unreadable),
        ("about", Unreadable),
        ("about about sat", Unreadable),
        ("sat 25:00", Unreadable),
        ("2026-11-25T25:15:00Z", Unreadable),
        ("2026-11-25T20:15:00+99:00", Unreadable),
        ("2026-03-08 02:30", Unreadable),
        ("sat\x0014:30", Unreadable),
        ("2026-11-01 01:30", Ambiguous),
        ("21:00", Ambiguous),
        ("5/12 14:30", Ambiguous),
        ("1926-11-25T20:15:00Z", Absurd),
        ("12 dec 2106 14:30", Absurd),
    ],
)
def test_what_is_no_moment_is_refused_and_says_what_to_type(typed, error):
    """Skipped and doubled hours of the clock changes are among them."""
    with pytest.raises(error) as refusal:
        parse_when(typed, now=NOW, zone=NEW_YORK)

    assert type(refusal.value) is error
    assert refusal.value.instead


def test_an_hour_that_comes_twice_is_asked_with_both_stamps():
    """Either stamp of the refusal can be typed and is taken."""
    with pytest.raises(Ambiguous) as refusal:
        parse_when("2026-11-01 01:30", now=NOW, zone=NEW_YORK)

    assert refusal.value.instead == (
        'Type "2026-11-01T01:30:00-04:00" or "2026-11-01T01:30:00-05:00".'
    )


def test_a_bare_time_looks_the_way_the_command_looks():
    """A due time already over today is asked, as is a past time still to come."""
    due = parse_when("21:00", now=NOW, zone=NEW_YORK, direction="future")
    with pytest.raises(Ambiguous) as refusal:
        parse_when("19:00", now=NOW, zone=NEW_YORK, direction="future")

    assert due == When("2026-11-25T21:00:00-05:00")
    assert refusal.value.instead == 'Type "today 19:00" or "tomorrow 19:00".'


def test_today_is_the_shops_day_not_utc():
    """At 20:15 in New York it is already tomorrow in UTC."""
    late = NOW.astimezone(UTC)

    assert late.date() == date(2026, 11, 26)
    assert parse_when("today", now=late, zone=NEW_YORK) == When("2026-11-25")


def test_a_bare_day_is_local_noon():
    """Noon at New York in winter is 17:00 UTC."""
    expected = datetime(2026, 11, 25, 17, tzinfo=UTC)

    assert instant("2026-11-25", NEW_YORK) == int(expected.timestamp()) * 1_000_000


stamps = st.datetimes(datetime(1971, 1, 1), datetime(2100, 1, 1)).flatmap(
    lambda naive: st.integers(-14 * 60, 14 * 60).map(
        lambda minutes: naive.replace(tzinfo=timezone(timedelta(minutes=minutes)))
    )
)


@settings(deadline=None)
@given(stamp=stamps)
def test_a_stamp_sorts_by_its_true_moment(stamp):
    """Counted a second way, to the microsecond, whatever the offset; twice alike."""
    away = stamp - datetime(1970, 1, 1, tzinfo=UTC)
    expected = (away.days * 86_400 + away.seconds) * 1_000_000 + away.microseconds

    assert instant(stamp.isoformat(), NEW_YORK) == expected
    assert instant(stamp.isoformat(), NEW_YORK) == expected


@settings(deadline=None)
@given(
    day=st.dates(date(1971, 1, 1), date(2100, 1, 1)),
    name=st.sampled_from(
        ["America/New_York", "Europe/Oslo", "Asia/Tokyo", "America/Sao_Paulo", "UTC"]
    ),
)
def test_a_days_end_follows_its_noon_and_precedes_the_next_day(day, name):
    """The last microsecond of a day is that day, the one after it the next."""
    zone = ZoneInfo(name)
    end = end_of_day(day, zone)
    last = datetime(1970, 1, 1, tzinfo=UTC) + timedelta(microseconds=end)
    after = last + timedelta(microseconds=1)

    assert instant(day.isoformat(), zone) < end
    assert day_of(last.isoformat(), zone) == day
    assert day_of(after.isoformat(), zone) == day + timedelta(days=1)


def test_the_day_of_a_stamp_is_the_shops_day():
    """A stamp in UTC belongs to the day it was in the shop."""
    assert day_of("2026-11-26T01:15:00+00:00", NEW_YORK) == date(2026, 11, 25)
    assert day_of("2026-11-25", NEW_YORK) == date(2026, 11, 25)


@pytest.mark.parametrize(
    "kept", ["", "soon", "2026-11-25T10:00:00", "2026-02-30", "2026-11-2x", "x" * 25]
)
def test_a_damaged_moment_is_refused(kept):
    """Neither a day nor a stamp with its offset: nothing is made of it."""
    with pytest.raises(Unreadable):
        instant(kept, NEW_YORK)
    with pytest.raises(Unreadable):
        day_of(kept, NEW_YORK)


@settings(deadline=None, max_examples=300)
@given(text=st.text(alphabet="0123456789 :-TZ+satboupm", max_size=26))
def test_any_text_is_read_or_refused_with_help(text):
    """Whatever she types can be sorted afterwards, or is refused."""
    found = outcome(lambda typed: parse_when(typed, now=NOW, zone=NEW_YORK), text)

    assert helps_or(found, lambda when: instant(when.text, NEW_YORK) != 0)
