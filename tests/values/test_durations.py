"""Stretches of work, times of a step, times of day."""

from datetime import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.errors import Absurd, Ambiguous, Unreadable
from planner.values.days import (
    parse_clock,
    parse_hours,
    parse_minutes,
    parse_seconds_step,
)

from .helpers import helps_or, outcome


@pytest.mark.parametrize(
    ("typed", "minutes"),
    [
        ("95min", 95), ("95 min", 95), ("95", 95), ("95m", 95), ("95 minutes", 95),
        ("1h35", 95), ("1 h 35 min", 95), ("1h35m", 95), ("1 hour 35", 95),
        ("1h", 60), ("1.5 h", 90), ("1,5h", 90), ("24h", 1440), ("1 hr", 60),
    ],
)  # fmt: skip
def test_minutes_are_read(typed, minutes):
    """Each spelling gives whole minutes."""
    assert parse_minutes(typed) == minutes


@pytest.mark.parametrize(
    ("typed", "minutes"),
    [
        ("3", 180), ("2.5", 150), ("2,5", 150), ("0.25", 15), ("2h30", 150),
        ("5h", 300), ("45min", 45), ("1 h 5 min", 65), ("999", 999 * 60),
    ],
)  # fmt: skip
def test_a_bare_number_of_hours_is_hours(typed, minutes):
    """Where hours are asked for, 3 is three hours; a unit told holds."""
    assert parse_hours(typed) == minutes


@pytest.mark.parametrize("typed", ["lots", "0", "-1", "1000", "0.01", "1:30", ""])
def test_no_hours_are_answered_with_hours_to_type(typed):
    """Not with minutes, which a bare number would not be."""
    with pytest.raises((Unreadable, Absurd, Ambiguous)) as refused:
        parse_hours(typed)

    assert refused.value.instead == 'Type hours such as "5", "2.5", "2h30" or "45min".'


@pytest.mark.parametrize(
    ("typed", "seconds"),
    [
        ("30s", 30), ("30 sec", 30), ("2 min", 120), ("1.5 min", 90), ("2h", 7200),
        ("1 min 30 s", 90), ("1m30s", 90), ("0.3 min", 18), ("1 h 5 s", 3605),
        ("24 h", 86_400),
    ],
)  # fmt: skip
def test_the_time_of_a_step_is_read(typed, seconds):
    """Each spelling gives whole seconds."""
    assert parse_seconds_step(typed) == seconds


@pytest.mark.parametrize(
    ("typed", "clock"),
    [
        ("20:00", time(20)), ("8pm", time(20)), ("8:30 pm", time(20, 30)),
        ("8 p.m.", time(20)), ("12am", time(0)), ("12pm", time(12)),
        ("0:30", time(0, 30)),
        ("8:00", time(8)), ("08.30", time(8, 30)), ("noon", time(12)),
    ],
)  # fmt: skip
def test_times_of_day_are_read(typed, clock):
    """On the clock of 24 hours or with am and pm."""
    assert parse_clock(typed) == clock


@pytest.mark.parametrize(
    ("parse", "typed", "error"),
    [
        (parse_minutes, "", Unreadable),
        (parse_minutes, "five", Unreadable),
        (parse_minutes, "h", Unreadable),
        (parse_minutes, "1h75", Unreadable),
        (parse_minutes, "1.5 h 20 min", Unreadable),
        (parse_minutes, "1.5 min", Unreadable),
        (parse_minutes, "0.01 h", Unreadable),
        (parse_minutes, "1 h 35 s", Unreadable),
        (parse_minutes, "35 min 1 h", Unreadable),
        (parse_minutes, "95\x00", Unreadable),
        (parse_minutes, "9" * 10_000_000, Unreadable),
        (parse_minutes, "1:35", Ambiguous),
        (parse_minutes, "0", Absurd),
        (parse_minutes, "0h", Absurd),
        (parse_minutes, "-5", Absurd),
        (parse_minutes, "−5 min", Absurd),
        (parse_minutes, "1441", Absurd),
        (parse_minutes, "25h", Absurd),
        (parse_seconds_step, "90", Ambiguous),
        (parse_seconds_step, "1:30", Ambiguous),
        (parse_seconds_step, "0.5s", Unreadable),
        (parse_seconds_step, "soon", Unreadable),
        (parse_seconds_step, "0s", Absurd),
        (parse_seconds_step, "-3s", Absurd),
        (parse_seconds_step, "25 h", Absurd),
        (parse_seconds_step, "24 h 1 s", Absurd),
        (parse_clock, "8", Ambiguous),
        (parse_clock, "12", Ambiguous),
        (parse_clock, "24:00", Ambiguous),
        (parse_clock, "midnight", Ambiguous),
        (parse_clock, "20", Unreadable),
        (parse_clock, "25:00", Unreadable),
        (parse_clock, "8:60", Unreadable),
        (parse_clock, "13pm", Unreadable),
        (parse_clock, "0am", Unreadable),
        (parse_clock, "8:5", Unreadable),
        (parse_clock, "late", Unreadable),
    ],
)
def test_what_is_no_time_is_refused_and_says_what_to_type(parse, typed, error):
    """Nothing, less, parts and junk are refused; the ambiguous is asked."""
    with pytest.raises(error) as refusal:
        parse(typed)

    assert type(refusal.value) is error
    assert refusal.value.instead


@settings(deadline=None)
@given(minutes=st.integers(1, 1440))
def test_hours_and_minutes_agree_with_minutes(minutes):
    """1h35 is 95 for every length of a sitting."""
    hours, rest = divmod(minutes, 60)

    assert parse_minutes(f"{minutes} min") == minutes
    assert parse_minutes(f"{hours}h{rest:02d}") == minutes
    assert parse_seconds_step(f"{minutes} min") == 60 * minutes


@settings(deadline=None, max_examples=300)
@given(text=st.text(alphabet="0123456789 .,:-hmins", max_size=10))
def test_any_text_is_read_or_refused_with_help(text):
    """Whatever she types gives whole numbers in range or a refusal."""
    for parse, most in ((parse_minutes, 1440), (parse_seconds_step, 86_400)):
        assert helps_or(outcome(parse, text), most.__ge__)
