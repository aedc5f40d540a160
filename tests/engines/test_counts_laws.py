"""The count laws against summation and scipy.stats as a second method."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from planner.engines.counts import (
    CountLaw,
    above,
    count_draws,
    fit_shape,
    log_likelihood,
    log_pmf,
    moment_shape,
    open_exposure,
    shock_nodes,
    total_pmf,
)

MEANS = st.floats(0.01, 60)
SHAPES = st.floats(0.2, 1e4)


@given(mean=MEANS, shape=SHAPES)
@settings(max_examples=60, deadline=None)
def test_a_law_agrees_with_the_other_way_to_write_it(mean, shape):
    """(mean, shape) here is (r, p) = (shape, shape / (shape + mean)) elsewhere."""
    other = stats.nbinom(shape, shape / (shape + mean))
    law, n = CountLaw(mean, shape), np.arange(80)

    assert law.pmf(n) == pytest.approx(other.pmf(n), rel=1e-8, abs=1e-12)
    assert law.cdf(n) == pytest.approx(other.cdf(n), rel=1e-9, abs=1e-12)
    assert law.sf(n) == pytest.approx(other.sf(n), rel=1e-9, abs=1e-12)


@given(mean=MEANS, shape=SHAPES | st.just(math.inf), ratio=st.floats(0.001, 0.999))
@settings(max_examples=60, deadline=None)
def test_the_quantile_is_the_smallest_count_that_reaches_the_ratio(mean, shape, ratio):
    """Second method: run up from zero."""
    law = CountLaw(mean, shape)
    by_counting = 0
    while law.cdf(by_counting) < ratio - 1e-12:
        by_counting += 1

    assert law.quantile(ratio) == by_counting


@given(mean=st.floats(0, 30), shape=st.floats(0.3, 1e4) | st.just(math.inf))
@settings(max_examples=40, deadline=None)
def test_sold_lost_and_left_are_what_summing_gives(mean, shape):
    """Second method: sums over the pmf; sold + lost is the mean, sold + left is q."""
    law, n = CountLaw(mean, shape), np.arange(3000)
    q = np.arange(12)
    summed = [float(np.minimum(n, x) @ law.pmf(n)) for x in q]

    assert law.sold(q) == pytest.approx(summed, abs=1e-7)
    assert law.sold(q) + law.lost(q) == pytest.approx(np.full(12, mean), abs=1e-9)
    assert law.sold(q) + law.left(q) == pytest.approx(q, abs=1e-9)


def test_a_large_shape_runs_smoothly_into_poisson():
    """No jump where the formulas change over."""
    n = np.arange(30)
    poisson = CountLaw(6.5).pmf(n)

    assert poisson == pytest.approx(stats.poisson(6.5).pmf(n), rel=1e-10)
    for shape in (1e8, 0.999e9, 1.001e9, 1e15):
        assert CountLaw(6.5, shape).pmf(n) == pytest.approx(poisson, rel=1e-5)
        assert CountLaw(6.5, shape).sf(n) == pytest.approx(
            CountLaw(6.5).sf(n), rel=1e-5
        )


def test_nothing_asked_for_is_a_law_too():
    """A mean of 0: none is brought, none sold."""
    law = CountLaw(0.0, 3.0)

    assert (float(law.pmf(0)), law.quantile(0.99)) == (1.0, 0)
    assert law.sold([0, 4]).tolist() == [0.0, 0.0]


@pytest.mark.parametrize(
    ("mean", "shape"), [(-1, 2), (math.nan, 2), (math.inf, 2), (3, 0), (3, -1)]
)
def test_an_impossible_law_is_refused(mean, shape):
    """It says what to give instead."""
    with pytest.raises(ValueError, match="give"):
        CountLaw(mean, shape)


def test_no_quantity_is_ever_certain_to_be_enough():
    """A ratio of 1 has no quantile."""
    with pytest.raises(ValueError, match="less than 1"):
        CountLaw(3.0).quantile(1.0)


def test_a_kind_that_was_not_brought_says_nothing():
    """Exposure 0, or sold out of none, leaves the likelihood flat."""
    rates = np.array([0.1, 1.0, 10.0])
    absent = log_likelihood(0, 0.0, censored=False, rate=rates)
    none_brought = log_likelihood(0, 6.0, censored=True, rate=rates)

    assert absent.tolist() == [0.0] * 3
    assert none_brought.tolist() == [0.0] * 3


def test_selling_out_at_an_unknown_time_says_at_least_so_many():
    """The likelihood is the chance of 5 or more, and rises with the rate."""
    rates = np.array([0.5, 1.0, 2.0])
    told = log_likelihood(5, 4.0, censored=True, rate=rates, shape=3.0)
    summed = [1 - sum(CountLaw(4 * r, 3.0).pmf(range(5))) for r in rates]

    assert np.exp(told) == pytest.approx(summed)


def test_a_sold_out_kind_with_a_time_is_no_longer_censored():
    """A time given for a kind that didn't sell out changes nothing."""
    exposure, hidden = open_exposure(
        [8, 8, 8], open_share=[0.5, math.nan, 0.5], sold_out=[True, True, False]
    )

    assert exposure.tolist() == [4.0, 8.0, 8.0]
    assert hidden.tolist() == [False, True, False]


def test_counts_that_spread_less_than_poisson_fit_poisson():
    """No shape is invented for them."""
    assert moment_shape([2, 2, 3, 2, 2]) == math.inf
    assert fit_shape([2, 2, 3, 2, 2]) == math.inf


@pytest.mark.parametrize("shock", [0.4, 3.0, 40.0, 5000.0])
def test_the_shock_nodes_have_the_moments_of_the_shock(shock):
    """Mean 1, variance 1 / shock, and the third moment of the gamma law."""
    g, w = shock_nodes(shock)
    moments = [float(w @ g**k) for k in (0, 1, 2, 3)]
    expected = [1.0, 1.0, 1 + 1 / shock, (1 + 1 / shock) * (1 + 2 / shock)]

    assert moments == pytest.approx(expected, rel=1e-6)


def test_the_total_of_kinds_with_own_shapes_matches_simulation():
    """Second method: seeded draws. A negative binomial with the same two moments
    would miss the chance of a very poor day."""
    means, shapes = [6.0, 2.0, 0.5], [1.5, 4.0, 0.8]
    total = total_pmf(means, shapes=shapes, shock=5.0)
    drawn = count_draws(
        means, shapes=shapes, shock=5.0, size=400_000, rng=np.random.default_rng(11)
    ).sum(axis=1)
    seen = np.bincount(drawn, minlength=30)[:30] / drawn.size

    assert total.sum() == pytest.approx(1.0, abs=1e-8)
    assert total[:30] == pytest.approx(seen, abs=2e-3)


def test_draws_repeat_with_their_seed():
    """The same seed, the same table."""
    tables = [
        count_draws(
            [3, 1],
            shapes=[2.0, math.inf],
            shock=4,
            size=5,
            rng=np.random.default_rng(1),
        ).tolist()
        for _ in range(2)
    ]

    assert tables[0] == tables[1]


def test_the_tail_keeps_its_precision():
    """P(D > n) is computed as itself, not as 1 - P(D <= n)."""
    tail = float(above(60, mean=4.0, shape=math.inf))
    summed = float(np.exp(log_pmf(np.arange(61, 200), mean=4.0, shape=math.inf)).sum())

    assert tail == pytest.approx(summed, rel=1e-9)
    assert 0 < tail < 1e-40
