"""Tolerance factors and censored samples against printed tables."""

from __future__ import annotations

import pytest

from planner.engines.tolerance import (
    by_counting,
    censored_normal,
    factor,
    factor_both,
    factor_nearly,
    least_count,
)

TABLE = [
    (3, 0.95, 0.95, 7.656), (5, 0.95, 0.95, 4.203), (10, 0.95, 0.95, 2.911),
    (20, 0.95, 0.95, 2.396), (30, 0.95, 0.95, 2.220), (50, 0.95, 0.95, 2.065),
    (100, 0.95, 0.95, 1.927), (3, 0.90, 0.95, 6.155), (5, 0.90, 0.95, 3.407),
    (10, 0.90, 0.95, 2.355), (20, 0.90, 0.95, 1.926), (10, 0.99, 0.95, 3.981),
    (10, 0.90, 0.90, 2.066), (10, 0.95, 0.90, 2.568), (20, 0.95, 0.99, 2.808),
]  # fmt: skip
"""Size, coverage, confidence, k: standard tables, MIL-HDBK-17 (from memory)."""


@pytest.mark.parametrize(("count", "coverage", "confidence", "k"), TABLE)
def test_one_sided_factors_are_the_tables(
    count: int, coverage: float, confidence: float, k: float
) -> None:
    """Standard tables of one-sided normal tolerance factors (from memory)."""
    found = factor(count, coverage=coverage, confidence=confidence)

    assert found == pytest.approx(k, abs=0.0011)


def test_the_example_of_43_supply_voltages() -> None:
    """
    NIST/SEMATECH e-Handbook 7.2.6.3: n 43, 90 % at 99 %, mean 97.07, sd 0.0268.

    Approximate k and upper limit read in print (in a copy); exact k from memory.
    """
    nearly = factor_nearly(43, coverage=0.9, confidence=0.99)

    assert nearly == pytest.approx(1.8751896, abs=6e-5)
    assert 97.07 + nearly * 0.0268 == pytest.approx(97.120255, abs=6e-5)
    assert factor(43, coverage=0.9, confidence=0.99) == pytest.approx(1.8740, abs=6e-5)


def test_the_two_sided_factor_of_the_same_example() -> None:
    """NIST/SEMATECH e-Handbook 7.2.6.3, Howe's factor 2.2173 (read in a copy)."""
    howe = factor_both(43, coverage=0.9, confidence=0.99)

    assert howe == pytest.approx(2.2173159, abs=6e-5)


SEEN = (6.9, 7.8, 8.9, 7.7, 9.6, 8.7, 6.7, 8.0, 8.5, 6.5, 9.2, 7.4, 6.3, 7.3, 8.3, 7.2,
        7.5, 6.1, 9.4, 7.6, 8.1, 7.9, 10.1)  # fmt: skip


def test_a_censored_sample_has_the_printed_mean_and_spread() -> None:
    """
    Berthouex and Brown, Statistics for Environmental Engineers, 2e, example 15.4.

    Four below 6, mirrored here to four above -6; printed 7.51 and 1.36, where the book
    interpolates its table; exact 7.51782 and 1.35424.
    """
    mean, sd = censored_normal([-x for x in SEEN], [-6.0] * 4)

    assert -mean == pytest.approx(7.51782, abs=1e-4)
    assert sd == pytest.approx(1.35424, abs=1e-4)
    assert (-mean, sd) == pytest.approx((7.51, 1.36), abs=0.01)


COHEN = {
    0.2: (0.12469, 0.27031, 0.44220, 0.6483, 0.9012),
    0.3: (0.13059, 0.28193, 0.45950, 0.6713, 0.9300),
    0.4: (0.13595, 0.29260, 0.47550, 0.6927, 0.9570),
    0.5: (0.14090, 0.30253, 0.49040, 0.7129, 0.9826),
    0.6: (0.14552, 0.31184, 0.50450, 0.7320, 1.0070),
}
"""Cohen (1961), as printed in Berthouex and Brown, table 15.4: gamma -> h .1 to .5."""


@pytest.mark.parametrize("gamma", COHEN)
@pytest.mark.parametrize("tenths", range(1, 6))
def test_cohens_lambda_comes_out_of_the_fit(gamma: float, tenths: int) -> None:
    """Lambda = (mean seen - fitted mean) / (mean seen - limit), here 1 and 0."""
    short, spread = 36 * tenths, gamma**0.5
    seen = (360 - short) // 2
    # Mirrored: the tables cut off small values, too short a bow cuts off large needs.
    values = [-(1 - spread)] * seen + [-(1 + spread)] * seen
    mean, _ = censored_normal(values, [0.0] * short)

    assert 1 + mean == pytest.approx(COHEN[gamma][tenths - 1], abs=0.0006)


def test_counting_alone_takes_59_bows_for_95_at_95() -> None:
    """1 - 0.95^59 = 0.9515, 1 - 0.95^58 = 0.9490: computed."""
    assert least_count(coverage=0.95, confidence=0.95) == 59
    needs = [float(n) for n in range(58)]

    assert by_counting(needs, 0, coverage=0.95, confidence=0.95) is None
    assert by_counting([*needs, 58.0], 0, coverage=0.95, confidence=0.95) == 58.0
    assert by_counting([*needs], 1, coverage=0.95, confidence=0.95) is None


def test_counting_steps_down_the_order_at_the_printed_sizes() -> None:
    """
    Smallest samples for 95/95 whose r-th largest is a bound: 59, 93, 124, 153, 181.

    Somerville (1958), order statistics in tolerance limits (from memory, recomputed).
    """
    for below, size in enumerate((59, 93, 124, 153, 181)):
        needs = [float(n) for n in range(size)]

        assert by_counting(needs, 0, coverage=0.95, confidence=0.95) == (
            size - 1 - below
        )
        assert by_counting(needs[1:], 0, coverage=0.95, confidence=0.95) != (
            size - 1 - below
        )
