"""Short measure against the figures of NIST Handbook 133, as far as known."""

from __future__ import annotations

import pytest

from planner.engines.short_measure import lot_factor, lot_test, read_rule
from planner.ledgers.shop import DEFAULTS

YARD = 914_400_000
TWELVE = (-0.5, 0.2, -0.3, 0.1, -0.8, 0.0, -0.2, 0.4, -0.6, 0.1, -0.4, -0.1)
"""Errors in yards of twelve spools; an own example, recomputed by hand."""


@pytest.mark.parametrize(("count", "factor"), [(12, 0.635), (24, 0.422), (48, 0.290)])
def test_a_lot_of_so_many_spools_has_the_printed_factor(
    count: int, factor: float
) -> None:
    """NIST Handbook 133, sample correction factors (from memory, recomputed)."""
    assert lot_factor(count) == pytest.approx(factor, abs=0.0005)


def test_twelve_spools_short_on_average_pass_within_what_chance_allows() -> None:
    """Mean -0.175, s 0.3571, limit 0.2267: computed by hand from the errors."""
    found = lot_test([round(e * YARD) for e in TWELVE], tolerances=[2 * YARD] * 12)

    assert found.mean / YARD == pytest.approx(-0.175, abs=5e-5)
    assert found.sd / YARD == pytest.approx(0.3571, abs=5e-5)
    assert found.limit is not None
    assert found.limit / YARD == pytest.approx(0.2267, abs=2e-4)
    assert found.verdict == "passes"


def test_one_spool_beyond_its_tolerance_fails_the_lot_whatever_the_mean() -> None:
    """NIST Handbook 133: a single unreasonable error rejects the lot."""
    errors = [YARD] * 11 + [-round(2.01 * YARD)]

    assert lot_test(errors, tolerances=[2 * YARD] * 12).verdict == (
        "fails: one is too short"
    )


def test_a_lot_short_beyond_chance_fails_on_average() -> None:
    """The same twelve errors, each 0.1 yd shorter: mean -0.275 beyond 0.2267."""
    errors = [round((e - 0.1) * YARD) for e in TWELVE]

    assert lot_test(errors, tolerances=[2 * YARD] * 12).verdict == (
        "fails: short on average"
    )


def test_eleven_spools_are_only_shown() -> None:
    """Below twelve, the smallest sample of the handbook, nothing is concluded."""
    errors = [round(e * YARD) for e in TWELVE[:11]]

    assert lot_test(errors, tolerances=[2 * YARD] * 11).verdict == "only shown"


@pytest.mark.parametrize(
    ("rule", "yards", "most"),
    [
        (DEFAULTS["short measure rule"], 100, 2.0),
        (DEFAULTS["short measure rule"], 48, 0.72),
        (DEFAULTS["short measure rule"], 25, 0.375),
        ("textiles 24 in and wider: 3 %", 100, 3.0),
        ("NIST HB 133: 3 % to 1 yd, 1.5 % to 48 yd, 2 % above", 1, 0.03),
    ],
)
def test_the_share_a_single_spool_may_be_short_by_follows_the_rule_named(
    rule: str, yards: int, most: float
) -> None:
    """NIST HB 133: 1.5 % to 48 yd read in print; 2 % above and 3 % from memory."""
    read = read_rule(rule)

    assert read is not None
    assert read.name == rule
    assert read.tolerance(yards * YARD) == round(most * YARD)


@pytest.mark.parametrize("text", ["", "as it falls", "2", "1.5 % to navy, 2 % above"])
def test_a_rule_that_cannot_be_read_is_none(text: str) -> None:
    """The default is named and used in its place."""
    assert read_rule(text) is None
