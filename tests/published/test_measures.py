"""Measures, yields, fees, contrast and colour names against published values."""

import pytest

from planner.values.colours import CSS_NAMES, contrast, luminance, text_on
from planner.values.money import fee
from planner.values.units import (
    NM_PER_64TH,
    NM_PER_CM,
    NM_PER_FOOT,
    NM_PER_INCH,
    NM_PER_M,
    NM_PER_MM,
    NM_PER_YARD,
    approximate_yards,
    odd_put_up,
    parse_length,
)


def test_units_are_the_international_ones():
    """
    The yard is 0.9144 m and the inch 25.4 mm, both exactly.

    Source: international yard and pound agreement, 1959; NIST SP 811, appendix B.
    """
    assert NM_PER_YARD == 914_400_000
    assert NM_PER_INCH == 25_400_000
    assert NM_PER_64TH * 64 == NM_PER_INCH
    assert NM_PER_INCH * 12 == NM_PER_FOOT
    assert NM_PER_FOOT * 3 == NM_PER_YARD
    assert NM_PER_MM * 10 == NM_PER_CM
    assert NM_PER_MM * 1000 == NM_PER_M == 10**9


def test_a_big_spool_is_well_inside_what_json_can_carry():
    """RFC 8259, section 6: whole numbers within ±(2^53 - 1) are interoperable."""
    assert parse_length("100 yd") == 91_440_000_000 < 2**53 - 1
    assert parse_length("2000 yd") < 2**53 - 1


@pytest.mark.parametrize(
    ("cut", "pieces", "rest"),
    [("25 in", 144, 0), ("27 in", 133, 9), ("7 in", 514, 2)],
)
def test_a_hundred_yards_yield_whole_cuts(cut, pieces, rest):
    """Computed by hand: 3,600 in over 25, 27 and 7 in."""
    spool = parse_length("100 yd")

    assert divmod(spool, parse_length(cut)) == (pieces, rest * NM_PER_INCH)


def test_a_join_costs_a_cut():
    """Computed by hand: 37 + 63 yd give 53 + 90 cuts of 25 in, one piece gives 144."""
    cut = parse_length("25 in")

    assert [parse_length(f"{yards} yd") // cut for yards in (37, 63, 100)] == [
        53,
        90,
        144,
    ]


def test_twenty_five_metres_are_no_twenty_five_yards():
    """25 m / 0.9144 = 27.340332 yd; a 25-yd spool is 22.86 m (computed by hand)."""
    assert approximate_yards(parse_length("25 m")) == pytest.approx(27.340332, abs=5e-7)
    assert parse_length("25 yd") == parse_length("22.86 m")
    assert odd_put_up(parse_length("25 m")) is not None
    assert odd_put_up(parse_length("25 yd")) is None


@pytest.mark.parametrize(("share", "yards"), [(2, "98 yd"), (3, "97 yd")])
def test_the_two_tolerances_of_a_hundred_yards(share, yards):
    """
    98 yd at 2 % (from memory) and 97 yd at 3 %; computed by hand.

    Source of the percentages: NIST Handbook 133, goods labelled by length.
    """
    spool = parse_length("100 yd")

    assert spool * (100 - share) // 100 == parse_length(yards)


def test_recipe_sums_come_out():
    """Printed recipes: 36 - 5 = 31 = 3.5 + 4 x 6 + 3.5; 12 + 10 + 8 + 4 + 12 = 46."""
    ends, loop = parse_length("3.5 in"), parse_length("6 in")
    parts = [parse_length(f"{inches} in") for inches in (12, 10, 8, 4, 12)]

    assert parse_length("36 in") - parse_length("5 in") == 2 * ends + 4 * loop
    assert sum(parts) == parse_length("46 in")


def test_a_card_fee_on_six_dollars():
    """2.6 % + 10 c on $6.00 is 25.6 c, so 26 c (computed by hand)."""
    assert fee(600, 260, 10) == 26


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        ("#000000", "#ffffff", 21.0),
        ("#767676", "#ffffff", 4.542),
        ("#777777", "#ffffff", 4.478),
        ("#949494", "#ffffff", 3.033),
        ("#ff69b4", "#ffffff", 2.648),
        ("#ff69b4", "#000000", 7.932),
        ("#ffff00", "#ffffff", 1.074),
    ],
)
def test_contrast_ratios_are_those_of_wcag(one, other, ratio):
    """
    Source: WCAG 2.2, contrast ratio; figures computed outside this project.

    #949494 is 3.03347 (by 40-digit decimal arithmetic), so 3.033 and not 3.034.
    """
    assert contrast(one, other) == pytest.approx(ratio, abs=5e-4)


def test_a_near_pass_is_no_pass():
    """#777777 on white fails 4.5 to 1, and rounding up would hide it."""
    assert contrast("#777777", "#ffffff") < 4.5 < contrast("#767676", "#ffffff")


def test_luminance_weights_sum_to_white():
    """Source: WCAG 2.2, relative luminance: 0.2126 R + 0.7152 G + 0.0722 B."""
    primaries = [luminance(colour) for colour in ("#ff0000", "#00ff00", "#0000ff")]

    assert primaries == pytest.approx([0.2126, 0.7152, 0.0722], abs=1e-12)
    assert luminance("#ffffff") == pytest.approx(1, abs=1e-12)
    assert luminance("#000000") == 0


def test_black_text_reads_better_on_hot_pink():
    """7.932 against 2.648, see above."""
    assert (text_on("#ff69b4"), text_on("#1f2a5c")) == ("#000000", "#ffffff")


def test_css_names_148_colours():
    """
    The names and a sample of their values.

    Source: CSS Color Module Level 4, named colours (sample from memory); 141 spellings
    and seven more with "grey" for "gray".
    """
    sample = {
        "aliceblue": "#f0f8ff",
        "navy": "#000080",
        "hotpink": "#ff69b4",
        "rebeccapurple": "#663399",
        "lightgoldenrodyellow": "#fafad2",
        "crimson": "#dc143c",
        "silver": "#c0c0c0",
        "yellowgreen": "#9acd32",
    }

    assert len(CSS_NAMES) == 148
    assert {name: CSS_NAMES[name] for name in sample} == sample
    greys = [name for name in CSS_NAMES if "grey" in name]
    assert len(greys) == 7
    assert all(
        CSS_NAMES[name] == CSS_NAMES[name.replace("grey", "gray")] for name in greys
    )
    assert CSS_NAMES["cyan"] == CSS_NAMES["aqua"] == "#00ffff"
    assert CSS_NAMES["magenta"] == CSS_NAMES["fuchsia"] == "#ff00ff"
