"""Lengths: what she types is read exactly or not at all."""

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.errors import Absurd, Ambiguous, Unreadable
from planner.values.units import (
    LONGEST_NM,
    NM_PER_64TH,
    NM_PER_MM,
    approximate_yards,
    format_length,
    odd_put_up,
    parse_length,
)

from .helpers import helps_or, outcome

INCH = 25_400_000
STYLES = ("in", "yd", "m", "mm", "auto-us", "auto-metric")


@pytest.mark.parametrize(
    ("typed", "inches"),
    [
        ("32in", 32),
        ("32 in", 32),
        ('32"', 32),
        ("32''", 32),
        ("32″", 32),
        ("32 inches", 32),
        ("5 in.", 5),
        ("1 1/2 in", Fraction(3, 2)),
        ("1-1/2in", Fraction(3, 2)),
        ("1.5in", Fraction(3, 2)),
        (".5 in", Fraction(1, 2)),
        ("7/8 in", Fraction(7, 8)),
        ("½ in", Fraction(1, 2)),
        ("1½ in", Fraction(3, 2)),
        ("1 ½ in", Fraction(3, 2)),
        ("1⁄4 in", Fraction(1, 4)),
        ("0,875 in", Fraction(7, 8)),
        ("3 yd 8 in", 116),
        ("3yd8in", 116),
        ("3 yd, 8 in", 116),
        ("2 1/2 yd", 90),
        ("1/3 yd", 12),
        ("100yd", 3600),
        ("2'3\"", 27),
        ("2 ft 3 in", 27),
        ("1 YD", 36),
    ],
)
def test_inches_and_yards_are_read_however_they_are_written(typed, inches):
    """Each spelling gives the length she means, in whole nanometres."""
    assert parse_length(typed) == inches * INCH


@pytest.mark.parametrize(
    ("typed", "millimetres"),
    [
        ("0.8 m", 800),
        ("0,8 m", 800),
        ("1,25 m", 1250),
        ("80cm", 800),
        ("35 mm", 35),
        ("1 m 20 cm", 1200),
        ("22.225 mm", Fraction("22.225")),
        ("25 metres", 25_000),
    ],
)
def test_metric_lengths_are_read_with_point_or_comma(typed, millimetres):
    """A decimal comma is taken where it can't mark thousands."""
    assert parse_length(typed) == millimetres * NM_PER_MM


def test_a_bare_number_needs_a_unit_from_the_command():
    """Only where the command names a unit is a bare number enough."""
    assert parse_length("32", default="in") == 32 * INCH
    assert parse_length("1 1/2", default="in") == 38_100_000
    assert parse_length("3 yd", default="in") == 108 * INCH

    with pytest.raises(Ambiguous, match="no unit"):
        parse_length("32")


@pytest.mark.parametrize(
    ("typed", "error"),
    [
        ("", Unreadable),
        ("   ", Unreadable),
        ("0in", Absurd),
        ("0 yd 0 in", Absurd),
        ("-3 in", Absurd),
        ("−3 in", Absurd),
        ("2 yd 1 m", Unreadable),
        ("8 in 3 yd", Unreadable),
        ("3 in 4 in", Unreadable),
        ("2'3", Ambiguous),
        ("11/2 in", Ambiguous),
        ("1 3/2 in", Ambiguous),
        ("1,250 mm", Ambiguous),
        ("1,234.5 in", Unreadable),
        ("1/3 in", Unreadable),
        ("1/0 in", Unreadable),
        ("27.340332 yd", Unreadable),
        ("2001 yd", Absurd),
        ("99999999999999999 m", Absurd),
        ("1e3 in", Unreadable),
        ("four in", Unreadable),
        ("3 indigo", Unreadable),
        ("3 in navy", Unreadable),
        ("٣ in", Unreadable),
        ("nan in", Unreadable),
        ("inf m", Unreadable),
        ("in", Unreadable),
        ("3..5 in", Unreadable),
        ("3\x00in", Unreadable),
        ("3 in\n", Unreadable),
        ("3\u202ein", Unreadable),
        ("=3 in", Unreadable),
        ("9" * 61, Unreadable),
    ],
)
def test_what_is_no_length_is_refused_and_says_what_to_type(typed, error):
    """Nothing is guessed; each refusal carries something to type instead."""
    with pytest.raises(error) as refusal:
        parse_length(typed)

    assert type(refusal.value) is error
    assert refusal.value.instead


def test_ten_megabytes_of_junk_are_refused():
    junk = "9" * 10_000_000

    assert isinstance(outcome(parse_length, junk), Unreadable)


@pytest.mark.parametrize(
    ("nm", "style", "said"),
    [
        (32 * INCH, "in", "32 in"),
        (3 * INCH // 2, "in", "1 1/2 in"),
        (3 * INCH + NM_PER_64TH, "in", "3 1/64 in"),
        (7 * INCH // 8, "in", "7/8 in"),
        (2_540_000, "in", "0.1 in"),
        (800_000_000, "in", "≈ 31.5 in"),
        (116 * INCH, "yd", "3 yd 8 in"),
        (36 * INCH, "yd", "1 yd"),
        (8 * INCH, "yd", "8 in"),
        (36 * INCH - 1, "yd", "≈ 1 yd"),
        (72 * INCH - 1, "yd", "≈ 2 yd"),
        (800_000_000, "m", "0.8 m"),
        (22_225_000, "mm", "22.225 mm"),
        (22_225_000, "m", "≈ 0.022 m"),
        (71 * INCH, "auto-us", "71 in"),
        (72 * INCH, "auto-us", "2 yd"),
        (35_000_000, "auto-metric", "35 mm"),
        (800_000_000, "auto-metric", "80 cm"),
        (2_500_000_000, "auto-metric", "2.5 m"),
        (0, "in", "0 in"),
        (0, "yd", "0 in"),
        (-116 * INCH, "yd", "−3 yd 8 in"),
        (-800_000_000, "in", "≈ −31.5 in"),
    ],
)
def test_lengths_are_written_as_she_would(nm, style, said):
    """A length that isn't exact says so; less than nothing has a true minus."""
    assert format_length(nm, style=style) == said


def test_an_unknown_style_is_a_fault_of_the_program():
    """Styles are ours, not hers, so this is no refusal."""
    with pytest.raises(ValueError, match="cubits"):
        format_length(1, style="cubits")


lengths = st.one_of(
    st.integers(1, LONGEST_NM),
    st.integers(1, LONGEST_NM // NM_PER_64TH).map(lambda n: n * NM_PER_64TH),
    st.integers(1, LONGEST_NM // NM_PER_MM).map(lambda n: n * NM_PER_MM),
)


@settings(deadline=None)
@given(nm=lengths, style=st.sampled_from(STYLES))
def test_what_is_written_exactly_is_read_back_the_same(nm, style):
    """Without "≈", reading what was written gives the same nanometres."""
    said = format_length(nm, style=style)

    assert said.startswith("≈") or parse_length(said) == nm


@settings(deadline=None)
@given(sixty_fourths=st.integers(1, LONGEST_NM // NM_PER_64TH))
def test_every_64th_of_an_inch_is_written_exactly(sixty_fourths):
    """No 64th ever needs "≈" in inches or yards."""
    nm = sixty_fourths * NM_PER_64TH

    assert parse_length(format_length(nm, style="in")) == nm
    assert parse_length(format_length(nm, style="yd")) == nm


@settings(deadline=None)
@given(nm=lengths, style=st.sampled_from(STYLES))
def test_a_rounded_length_is_never_far_off(nm, style):
    """What "≈" stands before is within a hundredth of an inch or half a millimetre."""
    said = format_length(nm, style=style)
    if said.startswith("≈"):
        said = said.removeprefix("≈ ")
        number = said.split()[0]
        read = 0 if number == "0" else _approximate(said)

        assert abs(read - nm) <= 500_000


def _approximate(said):
    words = said.split()
    sizes = {"in": INCH, "yd": 36 * INCH, "m": 10**9, "cm": 10**7, "mm": 10**6}
    pairs = zip(words[::2], words[1::2], strict=True)
    return sum(Fraction(number) * sizes[unit] for number, unit in pairs)


@settings(deadline=None, max_examples=300)
@given(
    text=st.text(
        alphabet="0123456789 ./,-'\"½¼inydcmft\u202e\x00=", min_size=0, max_size=20
    )
)
def test_any_text_is_read_or_refused_with_help(text):
    """Whatever she types gives a sensible length or a refusal, never a crash."""
    found = outcome(parse_length, text)

    assert helps_or(found, lambda nm: 0 < nm <= LONGEST_NM)


def test_a_put_up_in_metres_is_asked_about():
    """A label of 25 m is not 25 yd, and the warning says what to type."""
    assert odd_put_up(25_000_000_000) == (
        '25 m is 27.34 yd, not 25 yd: if the label says yards, type "25 yd".'
    )
    assert odd_put_up(37 * 36 * INCH) == (
        "37 yd is not a length spools usually come in (the nearest is 40 yd): "
        "check the label."
    )


def test_lengths_that_ribbon_is_sold_in_are_not_asked_about():
    """As sellers list them, from 3 yd to 100 yd and the great rolls; no others."""
    asked = {yards for yards in range(1, 301) if odd_put_up(yards * 36 * INCH)}

    assert set(range(1, 31)) - asked == {
        3, 4, 5, 6, 8, 9, 10, 12, 15, 20, 22, 25, 27, 30
    }  # fmt: skip
    assert set(range(31, 301)) - asked == {40, 50, 75, 100, 150, 200, 250, 300}


def test_yards_for_charts_are_plain_numbers():
    """Charts and estimates take yards as floats."""
    assert approximate_yards(90 * INCH) == 2.5
