"""Days: as she says them, echoed with the weekday; the ambiguous is asked."""

from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.errors import Absurd, Ambiguous, Unreadable
from planner.values.days import (
    echo_day,
    format_day,
    parse_day,
    short_day,
    spoken,
)

from .helpers import helps_or, outcome

WEDNESDAY = date(2026, 11, 25)
WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
near_days = st.dates(date(2020, 1, 1), date(2033, 1, 1))


@pytest.mark.parametrize(
    ("typed", "day"),
    [
        ("today", date(2026, 11, 25)),
        ("yesterday", date(2026, 11, 24)),
        ("tomorrow", date(2026, 11, 26)),
        ("sat", date(2026, 11, 28)),
        ("Saturday", date(2026, 11, 28)),
        ("thurs", date(2026, 11, 26)),
        ("tue", date(2026, 12, 1)),
        ("next sat", date(2026, 11, 28)),
        ("next wed", date(2026, 12, 2)),
        ("last sat", date(2026, 11, 21)),
        ("last wed", date(2026, 11, 18)),
        ("12 dec", date(2026, 12, 12)),
        ("dec 12", date(2026, 12, 12)),
        ("12th December", date(2026, 12, 12)),
        ("25 nov", date(2026, 11, 25)),
        ("24 nov", date(2027, 11, 24)),
        ("29 feb", date(2028, 2, 29)),
        ("12 dec 2026", date(2026, 12, 12)),
        ("Dec 12, 2026", date(2026, 12, 12)),
        ("12-dec-2026", date(2026, 12, 12)),
        ("sat 12 dec", date(2026, 12, 12)),
        ("Sat, 12 Dec 2026", date(2026, 12, 12)),
        ("sat 2026-12-12", date(2026, 12, 12)),
        ("2026-12-12", date(2026, 12, 12)),
        ("in 3 days", date(2026, 11, 28)),
        ("in 1 day", date(2026, 11, 26)),
        ("3 days ago", date(2026, 11, 22)),
        ("in 2 weeks", date(2026, 12, 9)),
        ("a week ago", date(2026, 11, 18)),
    ],
)
def test_days_to_come_are_read(typed, day):
    """Asked on Wednesday 25 November 2026 for something that is due."""
    assert parse_day(typed, today=WEDNESDAY) == day


@pytest.mark.parametrize(
    ("typed", "day"),
    [
        ("sat", date(2026, 11, 21)),
        ("thu", date(2026, 11, 19)),
        ("24 nov", date(2026, 11, 24)),
        ("25 nov", date(2026, 11, 25)),
        ("26 nov", date(2025, 11, 26)),
        ("29 feb", date(2024, 2, 29)),
        ("next sat", date(2026, 11, 28)),
    ],
)
def test_days_gone_by_are_read(typed, day):
    """Asked on Wednesday 25 November 2026 for something that has happened."""
    assert parse_day(typed, today=WEDNESDAY, direction="past") == day


@pytest.mark.parametrize(
    ("typed", "error"),
    [
        ("", Unreadable),
        ("80", Unreadable),
        ("satt", Unreadable),
        ("sat\n", Unreadable),
        ("sat\x00", Unreadable),
        ("30 feb", Unreadable),
        ("31 nov", Unreadable),
        ("0 dec", Unreadable),
        ("29 feb 2027", Unreadable),
        ("2026-02-30", Unreadable),
        ("2026-13-01", Unreadable),
        ("0000-01-01", Unreadable),
        ("20261212", Unreadable),
        ("12 dec 26", Unreadable),
        ("fri 12 dec", Unreadable),
        ("3 days", Unreadable),
        ("in 3 days ago", Unreadable),
        ("next week", Unreadable),
        ("last year", Unreadable),
        ("12 foo", Unreadable),
        ("١٢ dec", Unreadable),
        ("x" * 10_000_000, Unreadable),
        ("wed", Ambiguous),
        ("5/12", Ambiguous),
        ("05/12/26", Ambiguous),
        ("13/5", Ambiguous),
        ("5.12.2026", Ambiguous),
        ("05-12-2026", Ambiguous),
        ("31/31", Ambiguous),
        ("12 dec 2106", Absurd),
        ("1946-11-25", Absurd),
        ("in 9999 weeks", Absurd),
        ("9999 weeks ago", Absurd),
        ("9999-12-31", Absurd),
    ],
)
def test_what_is_no_day_is_refused_and_says_what_to_type(typed, error):
    """Nothing is guessed; each refusal carries something to type instead."""
    with pytest.raises(error) as refusal:
        parse_day(typed, today=WEDNESDAY)

    assert type(refusal.value) is error
    assert refusal.value.instead


def test_figures_alone_are_asked_with_both_readings():
    """The refusal names the days that the figures could mean."""
    with pytest.raises(Ambiguous) as refusal:
        parse_day("5/12", today=WEDNESDAY)

    assert refusal.value.instead == 'Type "5 dec" or "12 may" or "2026-12-05".'


def test_todays_own_weekday_is_asked_in_both_directions():
    """ "wed" typed on a Wednesday may be today or a week away."""
    with pytest.raises(Ambiguous) as ahead:
        parse_day("wed", today=WEDNESDAY)
    with pytest.raises(Ambiguous) as behind:
        parse_day("wed", today=WEDNESDAY, direction="past")

    assert ahead.value.instead == 'Type "today" or "next wed".'
    assert behind.value.instead == 'Type "today" or "last wed".'


@pytest.mark.parametrize(
    ("day", "said"),
    [
        (date(2026, 11, 28), "Sat 28 Nov 2026 (in 3 days)"),
        (date(2026, 11, 25), "Wed 25 Nov 2026 (today)"),
        (date(2026, 11, 26), "Thu 26 Nov 2026 (tomorrow)"),
        (date(2026, 11, 24), "Tue 24 Nov 2026 (yesterday)"),
        (date(2025, 11, 26), "Wed 26 Nov 2025 (364 days ago)"),
    ],
)
def test_days_are_said_back_with_weekday_and_distance(day, said):
    """The echo lets her see a slip at once."""
    assert format_day(day, today=WEDNESDAY) == said


def test_next_saturday_in_the_same_week_names_the_other_one_too():
    """Many mean the Saturday of next week by it, so the echo says both."""
    soon, later = date(2026, 11, 28), date(2026, 12, 1)

    assert echo_day("next sat", soon, today=WEDNESDAY) == (
        'Sat 28 Nov 2026 (in 3 days); for the Sat after it type "5 dec"'
    )
    assert echo_day("next tue", later, today=WEDNESDAY) == "Tue 1 Dec 2026 (in 6 days)"
    assert echo_day("sat", soon, today=WEDNESDAY) == "Sat 28 Nov 2026 (in 3 days)"


def test_a_narrow_column_gets_a_short_day():
    """Without the year."""
    assert short_day(date(2026, 12, 5)) == "Sat 5 Dec"


@settings(deadline=None)
@given(today=near_days, away=st.integers(-3600, 3600))
def test_what_is_said_is_read_back_the_same(today, away):
    """A day spoken in full, or as ISO, is read as that day from either direction."""
    day = today + timedelta(days=away)

    for text in (spoken(day), day.isoformat()):
        assert parse_day(text, today=today) == day
        assert parse_day(text, today=today, direction="past") == day


@settings(deadline=None)
@given(today=near_days, weekday=st.sampled_from(WEEKDAYS))
def test_next_and_last_are_within_a_week_and_never_today(today, weekday):
    """Both fall on the weekday she says, one on each side of today."""
    ahead = parse_day(f"next {weekday}", today=today)
    behind = parse_day(f"last {weekday}", today=today)

    assert 1 <= (ahead - today).days <= 7
    assert 1 <= (today - behind).days <= 7
    assert f"{ahead:%a}".lower() == f"{behind:%a}".lower() == weekday


@settings(deadline=None, max_examples=300)
@given(text=st.text(alphabet="0123456789 -/satnexdcioyg", max_size=14))
def test_any_text_is_read_or_refused_with_help(text):
    """Whatever she types gives a day within ten years or a refusal."""
    found = outcome(lambda typed: parse_day(typed, today=WEDNESDAY), text)

    assert helps_or(found, lambda day: abs((day - WEDNESDAY).days) <= 3660)
