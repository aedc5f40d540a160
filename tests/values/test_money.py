"""Money: whole minor units in, whole minor units out."""

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.errors import Absurd, Ambiguous, Unknown, Unreadable
from planner.values.money import (
    MINOR_DIGITS,
    MOST_MAJOR,
    fee,
    format_amount,
    minor_digits,
    parse_amount,
    share_out,
)

from .helpers import helps_or, outcome


@pytest.mark.parametrize(
    ("typed", "currency", "minor"),
    [
        ("4.50", "USD", 450),
        ("$4.50", "USD", 450),
        ("$ 4.50", "USD", 450),
        ("4.50 USD", "USD", 450),
        ("usd 4.50", "USD", 450),
        ("4,50", "USD", 450),
        ("4,50 €", "EUR", 450),
        ("4.5", "USD", 450),
        (".50", "USD", 50),
        ("12", "USD", 1200),
        ("1,234", "USD", 123_400),
        ("1,234.50", "USD", 123_450),
        ("1.234,50", "EUR", 123_450),
        ("1,234,567", "USD", 123_456_700),
        ("500", "JPY", 500),
        ("¥1,234", "JPY", 1234),
        ("1.234", "BHD", 1234),
        ("10,000,000", "USD", 1_000_000_000),
    ],
)
def test_amounts_are_read_in_the_shops_money(typed, currency, minor):
    """Sign, code, point and comma are taken where they have one reading."""
    assert parse_amount(typed, currency) == minor


@pytest.mark.parametrize(
    ("typed", "currency", "error"),
    [
        ("", "USD", Unreadable),
        ("four", "USD", Unreadable),
        ("4.", "USD", Unreadable),
        (".", "USD", Unreadable),
        ("(4)", "USD", Unreadable),
        ("1,23,4", "USD", Unreadable),
        ("1.2.3", "USD", Unreadable),
        ("4.5055", "USD", Unreadable),
        ("0,500", "USD", Unreadable),
        ("1.234", "USD", Ambiguous),
        ("4.505", "USD", Ambiguous),
        ("1,234", "BHD", Ambiguous),
        ("1.234", "JPY", Ambiguous),
        ("4.5", "JPY", Unreadable),
        ("€4", "USD", Unreadable),
        ("4 EUR", "USD", Unreadable),
        ("0", "USD", Absurd),
        ("0.00", "USD", Absurd),
        ("-4", "USD", Absurd),
        ("−4.50", "USD", Absurd),
        ("-$4", "USD", Absurd),
        ("$-4", "USD", Absurd),
        ("10,000,001", "USD", Absurd),
        ("9" * 40, "USD", Absurd),
        ("9" * 41, "USD", Unreadable),
        ("4\x0050", "USD", Unreadable),
        ("٤", "USD", Unreadable),
        ("1e2", "USD", Unreadable),
        ("4", "XXX", Unknown),
        ("4", "DOLLARS", Unknown),
    ],
)
def test_what_is_no_amount_is_refused_and_says_what_to_type(typed, currency, error):
    """Nothing is rounded and nothing guessed."""
    with pytest.raises(error) as refusal:
        parse_amount(typed, currency)

    assert type(refusal.value) is error
    assert refusal.value.instead


def test_nothing_is_taken_only_where_it_can_be_meant():
    """A float of nought, say, may be entered."""
    assert parse_amount("0", "USD", allow_zero=True) == 0


@pytest.mark.parametrize(
    ("minor", "currency", "said"),
    [
        (450, "USD", "$4.50"),
        (123_450, "USD", "$1,234.50"),
        (-450, "EUR", "−€4.50"),
        (500, "JPY", "¥500"),
        (4_500, "BHD", "BHD 4.500"),
        (5, "CHF", "CHF 0.05"),
        (0, "GBP", "£0.00"),
    ],
)
def test_amounts_are_written_with_sign_or_code(minor, currency, said):
    """Well-known signs stand alone; other money shows its code."""
    assert format_amount(minor, currency) == said


@settings(deadline=None)
@given(currency=st.sampled_from(sorted(MINOR_DIGITS)), data=st.data())
def test_what_is_written_is_read_back_the_same(currency, data):
    """For every currency, reading what was written gives the same amount."""
    most = MOST_MAJOR * 10 ** minor_digits(currency)
    minor = data.draw(st.integers(1, most))

    assert parse_amount(format_amount(minor, currency), currency) == minor


@settings(deadline=None, max_examples=300)
@given(text=st.text(alphabet="0123456789.,-$€ USDe", max_size=12))
def test_any_text_is_read_or_refused_with_help(text):
    """Whatever she types gives an amount or a refusal, never a crash."""
    found = outcome(lambda typed: parse_amount(typed, "USD"), text)

    assert helps_or(found, lambda minor: 0 < minor <= MOST_MAJOR * 100)


weights = st.lists(st.integers(0, 10**12), min_size=1, max_size=12)


@settings(deadline=None)
@given(total=st.integers(-(10**9), 10**9), parts=weights)
def test_shares_sum_to_the_total_and_stay_within_one_of_their_due(total, parts):
    """No share is a whole unit or more away from its exact proportion."""
    shares = share_out(total, parts)
    even = parts if any(parts) else [1] * len(parts)
    due = [Fraction(total * part, sum(even)) for part in even]

    assert sum(shares) == total
    assert all(abs(s - d) < 1 for s, d in zip(shares, due, strict=True))


def test_shares_go_by_largest_remainder():
    """Worked by hand: 100 over 3, 3, 1 is 42.86, 42.86, 14.29."""
    assert share_out(100, [3, 3, 1]) == (43, 43, 14)
    assert share_out(100, [1, 1, 1]) == (34, 33, 33)
    assert share_out(-100, [1, 1, 1]) == (-34, -33, -33)
    assert share_out(5, [0, 0]) == (3, 2)
    assert share_out(7, [0, 1]) == (0, 7)
    assert share_out(0, []) == ()


def test_a_total_needs_somebody_to_share_it():
    """Money never vanishes into no shares or a share below zero."""
    with pytest.raises(ValueError, match="nothing to share"):
        share_out(1, [])
    with pytest.raises(ValueError, match="below zero"):
        share_out(1, [1, -1])


@settings(deadline=None)
@given(
    amount=st.integers(0, 10**7), points=st.integers(0, 1000), fixed=st.integers(0, 100)
)
def test_a_fee_is_rounded_once_half_up(amount, points, fixed):
    """The fee is the nearest whole unit; a half goes up."""
    exact = Fraction(amount * points, 10_000) + fixed

    assert -Fraction(1, 2) < fee(amount, points, fixed) - exact <= Fraction(1, 2)
