"""Colours: hex values and whether text reads on them."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.errors import Unknown, Unreadable
from planner.values.colours import contrast, parse_colour, parse_hex, text_on

hexes = st.integers(0, 0xFFFFFF).map(lambda value: f"#{value:06x}")


def test_hex_values_are_read_in_every_usual_form():
    """With or without the sign, in either case, long or short."""
    typed = ["#1F2A5C", "1f2a5c", " #1f2a5c ", "#fc0", "FC0"]

    assert [parse_hex(text) for text in typed] == [
        "#1f2a5c", "#1f2a5c", "#1f2a5c", "#ffcc00", "#ffcc00",
    ]  # fmt: skip


@pytest.mark.parametrize(
    "typed",
    ["", "#12", "#12345", "#1234567", "#gggggg", "navy", "#1f2a5c;", "##123456"],
)
def test_what_is_no_hex_value_is_refused(typed):
    """Nothing but hex digits gets through, so nothing else reaches a page."""
    with pytest.raises(Unreadable) as refusal:
        parse_hex(typed)

    assert refusal.value.instead


def test_colour_names_give_their_hex_value():
    """Names are found however they are spaced, near misses are offered."""
    assert parse_colour("Hot Pink") == "#ff69b4"
    assert parse_colour("fc0") == "#ffcc00"
    with pytest.raises(Unknown) as refusal:
        parse_colour("crimsom")

    assert refusal.value.instead.endswith("Did you mean crimson?")


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        ("#000000", "#ffffff", 21), ("#767676", "#ffffff", 4.54),
        ("#777777", "#ffffff", 4.48), ("#ff0000", "#ffffff", 4.00),
        ("#00ff00", "#ffffff", 1.37), ("#0000ff", "#ffffff", 8.59),
        ("#ff0000", "#0000ff", 2.15), ("#0000ff", "#000000", 2.44),
    ],
)  # fmt: skip
def test_contrasts_are_the_ones_everybody_quotes(one, other, ratio):
    """By the definition of WCAG 2.2, to the hundredth."""
    assert contrast(one, other) == pytest.approx(ratio, abs=0.005)


@settings(deadline=None)
@given(one=hexes, other=hexes)
def test_contrast_is_the_same_both_ways_and_between_1_and_21(one, other):
    """Order doesn't matter, and no pair leaves the range."""
    assert contrast(one, other) == contrast(other, one)
    assert 1 <= contrast(one, other) <= 21.0000001


@settings(deadline=None)
@given(colour=hexes)
def test_black_or_white_always_reads_on_a_swatch(colour):
    """The better of the two always reaches 4.5 to 1."""
    assert contrast(text_on(colour), colour) >= 4.5
