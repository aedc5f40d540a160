"""Scores of forecasts against packages and a printed table."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import integrate, stats

from planner.engines.scoring import (
    bins,
    brier,
    calibration_error,
    crps_draws,
    crps_normal,
    crps_poisson,
    interval_score,
    parts,
    pinball,
)


def test_the_brier_score_of_four_chances():
    """The example of scikit-learn 1.9.1's documentation, recomputed with it."""
    assert brier([0, 1, 1, 0], [0.1, 0.9, 0.8, 0.3]) == pytest.approx(0.0375, abs=1e-12)


@pytest.mark.parametrize(
    ("told", "share", "loss"),
    [
        ([0, 2, 3], 0.1, 0.0333333333333), ([1, 2, 4], 0.1, 0.3),
        ([0, 2, 3], 0.9, 0.3), ([1, 2, 4], 0.9, 0.0333333333333),
    ],
)  # fmt: skip
def test_the_pinball_loss_of_three_quantiles(told, share, loss):
    """The examples of scikit-learn's documentation, recomputed with it."""
    assert pinball([1, 2, 3], told, share) == pytest.approx(loss, abs=1e-12)


def test_the_crps_of_a_normal_law():
    """properscoring 0.1 and scoringrules 0.10.0 agree; at 0 it is (sqrt 2 - 1) / sqrt
    pi."""
    assert crps_normal([0, 1, -2, 0.5]) == pytest.approx(
        [0.2336949772551091, 0.6024413576276163, 1.4527918216859033,
         0.3314035312548558], abs=1e-9,
    )  # fmt: skip
    assert crps_normal([0])[0] == pytest.approx((math.sqrt(2) - 1) / math.sqrt(math.pi))


def test_the_crps_of_a_normal_law_is_an_integral():
    """Second method: the squared distance of the two distribution functions."""
    law = stats.norm(2, 3)
    low, _ = integrate.quad(lambda x: law.cdf(x) ** 2, -40, 4)
    high, _ = integrate.quad(lambda x: (1 - law.cdf(x)) ** 2, 4, 40)
    assert crps_normal(4, 2, 3) == pytest.approx(low + high, abs=1e-7)


def test_the_crps_of_four_draws_standard_and_fair():
    """properscoring and scoringrules."""
    assert crps_draws(3, [1, 2, 4, 7]) == pytest.approx(0.75, abs=1e-12)
    assert crps_draws(3, [1, 2, 4, 7], fair=True) == pytest.approx(1 / 3, abs=1e-12)


@pytest.mark.parametrize(
    ("came", "mean", "score"),
    [
        (0, 1.0, 0.4762223881974), (2, 2.5, 0.3699822887304),
        (7, 4.5, 1.628503900079), (20, 12.0, 6.1026558452736),
    ],
)  # fmt: skip
def test_the_crps_of_a_poisson_law(came, mean, score):
    """scoringrules; a sum over counts agrees."""
    k = np.arange(400)
    summed = ((stats.poisson.cdf(k, mean) - (k >= came)) ** 2).sum()

    assert crps_poisson(came, mean) == pytest.approx(score, abs=1e-10)
    assert crps_poisson(came, mean) == pytest.approx(summed, abs=1e-9)


def test_the_score_of_an_interval():
    """scoringrules."""
    assert interval_score(0.1, 0.2, 0.5, outside=0.1) == pytest.approx(2.3, abs=1e-12)


RAIN = {
    "chance": [0, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0],
    "weight": [0.4112, 0.0671, 0.1833, 0.0986, 0.0616, 0.0366, 0.0303, 0.0275, 0.0245,
               0.022, 0.017, 0.0203],
    "happened": [0.006, 0.019, 0.059, 0.15, 0.277, 0.377, 0.511, 0.587, 0.723, 0.779,
                 0.934, 0.933],
}  # fmt: skip
"""Wilks 1995, Table 7.3, as in the source of the CRAN package verification."""


def test_a_brier_score_comes_apart_as_printed_data_say():
    """Data read in print, outputs own; the parts add up to the score itself."""
    found = parts(**RAIN)

    assert (found.mean, found.reliability, found.resolution) == pytest.approx(
        (0.1615034, 0.0008276164, 0.06278662818844), abs=1e-9
    )
    assert (found.uncertainty, found.brier, found.skill) == pytest.approx(
        (0.13542005178844, 0.07346104, 0.457532034), abs=1e-9
    )
    told, share, came = (np.array(RAIN[k]) for k in ("chance", "weight", "happened"))
    whole = share * (came * (1 - told) ** 2 + (1 - came) * told**2)
    assert found.brier == pytest.approx(whole.sum() / share.sum(), abs=1e-9)


def test_chances_are_sorted_into_fixed_bins():
    """Worked out by hand: 0.9 belongs to the bin that begins there."""
    found = bins([0.1, 0.2, 0.9, 1.0], [False, True, True, True], (0.0, 0.5, 0.9, 1.0))

    assert [(b.least, b.count, b.told, b.came) for b in found] == [
        (0.0, 2, pytest.approx(0.15), 0.5), (0.9, 2, pytest.approx(0.95), 1.0),
    ]  # fmt: skip
    assert calibration_error(found) == pytest.approx((2 * 0.35 + 2 * 0.05) / 4)
    assert found[0].low == pytest.approx(stats.beta.ppf(0.1, 1.5, 1.5))
