"""Bench hours: plain words in, sittings out, clocks changing or not."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.errors import Absurd, Ambiguous, Unreadable
from planner.values.bench import (
    BenchHours,
    BenchRule,
    minutes_of,
    parse_bench_hours,
    sittings_between,
    spell,
)

from .helpers import helps_or, outcome

WEDNESDAY = date(2026, 11, 25)
NEW_YORK = "America/New_York"


def test_her_week_is_read_from_plain_words():
    """Recurring hours, a day off and extra hours."""
    typed = "mon-thu 20:00-22:00, sat 9-12, not 24 dec, also 20 dec 10:00-16:00"

    assert parse_bench_hours(typed, today=WEDNESDAY) == BenchHours(
        rules=(
            BenchRule("FREQ=WEEKLY;BYDAY=MO,TU,WE,TH", "20:00", "22:00", WEDNESDAY),
            BenchRule("FREQ=WEEKLY;BYDAY=SA", "09:00", "12:00", WEDNESDAY),
        ),
        off_days=(date(2026, 12, 24),),
        extra=((date(2026, 12, 20), "10:00", "16:00"),),
    )


@pytest.mark.parametrize(
    ("words", "days"),
    [
        ("daily", "MO,TU,WE,TH,FR,SA,SU"), ("every day", "MO,TU,WE,TH,FR,SA,SU"),
        ("weekdays", "MO,TU,WE,TH,FR"), ("every weekday", "MO,TU,WE,TH,FR"),
        ("weekends", "SA,SU"), ("every weekend", "SA,SU"), ("weekend", "SA,SU"),
    ],
)  # fmt: skip
def test_a_word_for_several_days_means_those_days(words, days):
    """Weekday, weekend and day, in the plural and one at a time."""
    hours = parse_bench_hours(f"{words} 9-12", today=WEDNESDAY)

    assert hours.rules == (
        BenchRule(f"FREQ=WEEKLY;BYDAY={days}", "09:00", "12:00", WEDNESDAY),
    )


@pytest.mark.parametrize(
    ("typed", "spelled"),
    [
        ("Mon to Thu 8pm-10pm", "mon-thu 20:00-22:00"),
        ("mon, wed and fri 20-22", "mon, wed and fri 20:00-22:00"),
        ("mon tue 20-22", "mon and tue 20:00-22:00"),
        ("weekdays 20:00-24:00", "mon-fri 20:00-00:00"),
        ("weekends 9-12", "sat and sun 09:00-12:00"),
        ("daily 6-7", "every day 06:00-07:00"),
        ("fri-mon 20-1", "mon and fri-sun 20:00-01:00"),
        ("saturdays 9-noon", "sat 09:00-12:00"),
        ("every other sat 9-12", "every other sat 09:00-12:00 from 28 nov 2026"),
        (
            "every other sun 9-12 from 1 dec",
            "every other sun 09:00-12:00 from 6 dec 2026",
        ),
        ("first sun of the month 14-17", "first sun of the month 14:00-17:00"),
        ("last fri 14-17", "last fri of the month 14:00-17:00"),
        (
            "[FREQ=MONTHLY;BYMONTHDAY=-3] 9-10",
            "[FREQ=MONTHLY;BYMONTHDAY=-3] 09:00-10:00 from 25 nov 2026",
        ),
        (
            "sat 9-12; not 24 dec to 2 jan, not 5 dec and 6 dec",
            "sat 09:00-12:00, not 5 dec 2026 to 6 dec 2026, "
            "not 24 dec 2026 to 2 jan 2027",
        ),
        ("also 20 dec 10-16", "also 20 dec 2026 10:00-16:00"),
    ],
)
def test_hours_are_spelled_back_and_read_the_same_again(typed, spelled):
    """What is said back is plain, and reading it changes nothing."""
    hours = parse_bench_hours(typed, today=WEDNESDAY)

    assert spell(hours) == spelled
    assert parse_bench_hours(spelled, today=WEDNESDAY) == hours


@pytest.mark.parametrize(
    ("typed", "error"),
    [
        ("", Unreadable),
        ("sat", Unreadable),
        ("9-12", Unreadable),
        ("someday 9-12", Unreadable),
        ("sat 9-12, 14-17", Unreadable),
        ("sat 25-26", Unreadable),
        ("sat 9:75-12", Unreadable),
        ("sat nine to noon", Unreadable),
        ("not 24 dec", Unreadable),
        ("sat 9-12, not 30 feb", Unreadable),
        ("sat 9-12, also 20 dec", Unreadable),
        ("first weekdays of the month 9-12", Unreadable),
        ("[FREQ=WEEKLY;INTERVAL=0] 9-10", Unreadable),
        ("[FREQ=SECONDLY] 9-10", Unreadable),
        ("[import os] 9-10", Unreadable),
        ("[FREQ=MONTHLY;BYMONTHDAY=400] 9-10", Unreadable),
        ("[FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30] 9-10", Unreadable),
        ("[FREQ=DAILY;UNTIL=00000000T000000Z] 9-10", Unreadable),
        ("[FREQ=WEEKLY;FREQ=DAILY] 9-10", Unreadable),
        ("sat 9-12\x00", Unreadable),
        ("sat 9-12, " * 1_000_000, Unreadable),
        ("sat 8-10pm", Ambiguous),
        ("sat 9-12, not 5/12", Ambiguous),
        ("sat 12-9", Absurd),
        ("sat 9-9", Absurd),
        ("sat 9-12, not 24 dec 2106", Absurd),
        ("sat 9-12, not 24 dec 2026 to 1 dec 2026", Absurd),
    ],
)
def test_what_is_no_bench_hours_is_refused_and_says_what_to_type(typed, error):
    """Half a clause, an unknown day, an endless rule: refused with help."""
    with pytest.raises(error) as refusal:
        parse_bench_hours(typed, today=WEDNESDAY)

    assert type(refusal.value) is error
    assert refusal.value.instead


@pytest.mark.parametrize(
    ("words", "day"),
    [("first", 1), ("second", 8), ("third", 15), ("fourth", 22), ("last", 29)],
)
def test_a_weekday_counted_in_its_month_is_the_one_in_the_calendar(words, day):
    """December 2026 has five Tuesdays: the 1st, 8th, 15th, 22nd and 29th."""
    hours = parse_bench_hours(f"{words} tue of the month 14-17", today=WEDNESDAY)
    found = sittings_between(hours, date(2026, 12, 1), date(2026, 12, 31), NEW_YORK)

    assert [start.day for start, _ in found] == [day]


def _shown(sittings):
    return [
        (
            f"{start:%a %d %b %H:%M %Z}",
            f"{end:%a %d %b %H:%M %Z}",
            minutes_of((start, end)),
        )
        for start, end in sittings
    ]


def test_sittings_leave_out_days_off_and_put_in_extra_hours():
    """The week from 21 to 26 December 2026, worked by hand."""
    hours = parse_bench_hours(
        "mon-thu 20-22, sat 9-12, not 23 dec, not 24 dec, also 24 dec 10-11",
        today=WEDNESDAY,
    )

    assert _shown(
        sittings_between(hours, date(2026, 12, 21), date(2026, 12, 26), NEW_YORK)
    ) == [
        ("Mon 21 Dec 20:00 EST", "Mon 21 Dec 22:00 EST", 120),
        ("Tue 22 Dec 20:00 EST", "Tue 22 Dec 22:00 EST", 120),
        ("Thu 24 Dec 10:00 EST", "Thu 24 Dec 11:00 EST", 60),
        ("Sat 26 Dec 09:00 EST", "Sat 26 Dec 12:00 EST", 180),
    ]


def test_no_sitting_comes_before_the_hours_were_said():
    """Hours begin on their first day."""
    hours = parse_bench_hours("daily 20-22", today=WEDNESDAY)
    found = sittings_between(hours, date(2026, 11, 20), date(2026, 11, 26), NEW_YORK)

    assert [start.day for start, _ in found] == [25, 26]


def test_overlapping_sittings_are_one():
    """Nobody sits at the bench twice at once; what touches is joined too."""
    hours = parse_bench_hours("sat 9-12, sat 11-13, sat 13-14", today=WEDNESDAY)
    found = sittings_between(hours, date(2026, 11, 28), date(2026, 11, 28), NEW_YORK)

    assert _shown(found) == [("Sat 28 Nov 09:00 EST", "Sat 28 Nov 14:00 EST", 300)]


def test_a_night_when_the_clocks_change_is_an_hour_longer_or_shorter():
    """22:00 to 04:00 is six hours on the clock, but seven or five at the bench."""
    hours = parse_bench_hours("sat 22-4", today=date(2026, 1, 1))
    back = sittings_between(hours, date(2026, 10, 31), date(2026, 10, 31), NEW_YORK)
    ahead = sittings_between(hours, date(2026, 3, 7), date(2026, 3, 7), NEW_YORK)

    assert _shown(back) == [("Sat 31 Oct 22:00 EDT", "Sun 01 Nov 04:00 EST", 420)]
    assert _shown(ahead) == [("Sat 07 Mar 22:00 EST", "Sun 08 Mar 04:00 EDT", 300)]


def test_an_hour_the_clocks_skip_is_no_sitting():
    """02:00 to 03:00 never was on 8 March 2026 in New York."""
    hours = parse_bench_hours("sun 2-3", today=date(2026, 1, 1))
    found = sittings_between(hours, date(2026, 3, 8), date(2026, 3, 8), NEW_YORK)

    assert sum(minutes_of(sitting) for sitting in found) in (0, 60)


def test_every_second_saturday_keeps_its_count():
    """Counted from the first one, over the turn of the year."""
    hours = parse_bench_hours("every other sat 9-12", today=WEDNESDAY)
    found = sittings_between(hours, date(2026, 12, 20), date(2027, 1, 31), NEW_YORK)

    assert [f"{start:%d %b}" for start, _ in found] == ["26 Dec", "09 Jan", "23 Jan"]


clocks = st.integers(0, 95).map(lambda at: f"{at // 4:02d}:{at % 4 * 15:02d}")
spans = st.tuples(clocks, st.integers(1, 64)).map(lambda s: (s[0], _later(*s)))
weekday_sets = st.sets(st.integers(0, 6), min_size=1)
CODES = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")


def _later(start, quarters):
    at = datetime.fromisoformat(f"2026-01-01T{start}") + timedelta(
        minutes=15 * quarters
    )
    return f"{at:%H:%M}"


@st.composite
def bench_hours(draw):
    """Give any weekly hours with days off and extra hours."""
    rules = tuple(
        BenchRule(
            f"FREQ=WEEKLY;BYDAY={','.join(CODES[day] for day in sorted(days))}",
            *span,
            WEDNESDAY,
        )
        for days, span in draw(
            st.lists(st.tuples(weekday_sets, spans), min_size=1, max_size=4)
        )
    )
    near = st.dates(WEDNESDAY, WEDNESDAY + timedelta(days=700))
    extra = draw(st.sets(st.tuples(near, spans), max_size=3))
    return BenchHours(
        rules,
        tuple(sorted(draw(st.sets(near, max_size=5)))),
        tuple(sorted((day, *span) for day, span in extra)),
    )


@settings(deadline=None)
@given(hours=bench_hours())
def test_any_week_survives_being_spelled(hours):
    """Spelled and read again on the same day, the hours are the same."""
    assert parse_bench_hours(spell(hours), today=WEDNESDAY) == hours


@settings(deadline=None, max_examples=60)
@given(
    hours=bench_hours(),
    start=st.dates(date(2026, 10, 20), date(2027, 11, 20)),
    zone=st.sampled_from([NEW_YORK, "Europe/Oslo", "Australia/Lord_Howe", "UTC"]),
)
def test_sittings_cover_the_minutes_that_a_plain_count_covers(hours, start, zone):
    """A second method: quarter hours of UTC marked one by one."""
    last = start + timedelta(days=20)
    found = sittings_between(hours, start, last, zone)

    assert found == sorted(found, key=lambda sitting: sitting[0].astimezone(UTC))
    assert sum(map(minutes_of, found)) == len(_marked(hours, start, last, zone))


def _marked(hours, first, last, zone):
    minutes = set()
    spans = list(hours.extra)
    for rule in hours.rules:
        codes = rule.rule.partition("BYDAY=")[2].split(",")
        day = max(first, rule.first)
        while day <= last:
            if CODES[day.weekday()] in codes and day not in hours.off_days:
                spans.append((day, rule.start, rule.end))
            day += timedelta(days=1)
    for day, start, end in spans:
        if first <= day <= last:
            over = day + timedelta(days=1) if end <= start else day
            begin, finish = _minute(day, start, zone), _minute(over, end, zone)
            minutes.update(range(begin, finish))
    return minutes


def _minute(day, clock, zone):
    local = datetime.fromisoformat(f"{day}T{clock}").replace(tzinfo=ZoneInfo(zone))
    return int(local.timestamp()) // 60


@settings(deadline=None, max_examples=300)
@given(text=st.text(alphabet="0123456789 :-,satmonfriel[]", max_size=24))
def test_any_text_is_read_or_refused_with_help(text):
    """Whatever she types gives bench hours or a refusal, never a crash."""
    found = outcome(lambda typed: parse_bench_hours(typed, today=WEDNESDAY), text)

    assert helps_or(found, lambda hours: spell(hours) != "")
