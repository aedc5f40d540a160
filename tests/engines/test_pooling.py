"""Pooled rates: on simulated shops whose truth is known, and in the plain cases."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import pytest
from scipy import special

from planner.engines.counts import log_pmf, open_exposure
from planner.engines.pooling import History, Pooled, pool

HOURS = 6.0


@dataclass(frozen=True)
class Shop:
    """A simulated past, the rates behind it, and what 20 coming fairs ask for."""

    history: History
    rates: np.ndarray
    ahead: np.ndarray


def _shop(seed, *, fairs=8, sizes=3, colours=10, brought=None, times=False):
    """Rates = base x size x colour x gamma(4); one gamma(8) shock a fair; a kind is
    brought to six fairs in ten, `brought` bows of it or without end."""
    rng = np.random.default_rng(seed)
    size = np.repeat(np.arange(sizes), colours)
    colour = np.tile(np.arange(colours), sizes)
    effects = rng.normal(0, 0.4, sizes)[size] + rng.normal(0, 0.6, colours)[colour]
    rates = 0.4 * np.exp(effects) * rng.gamma(4, 1 / 4, size.size)
    g = rng.gamma(8, 1 / 8, fairs)
    hours = rng.choice([5.0, 6.0, 8.0], (fairs, 1)) * np.ones(size.size)
    exposure = hours * (rng.random((fairs, size.size)) < 0.6)
    flow = rates * g[:, None]
    sold, out = (
        rng.poisson(flow * exposure).astype(float),
        np.zeros(exposure.shape, bool),
    )
    if brought:
        until = rng.gamma(brought, 1 / flow)
        out = (until < exposure) & (exposure > 0)
        open_share = until / np.maximum(exposure, 1e-9) if times else math.nan
        sold = np.where(out, brought, np.minimum(sold, brought - 1))
        exposure, out = open_exposure(
            exposure, open_share=open_share * np.ones(out.shape), sold_out=out
        )
    coming = rng.gamma(8, 1 / 8, (20, 1))
    ahead = rng.poisson(rates * coming * HOURS)
    return Shop(History(sold, exposure, out, size, colour), rates, ahead)


@pytest.fixture(scope="module", name="fitted")
def _fitted():
    shops = [_shop(seed) for seed in range(16)]
    return [(shop, pool(shop.history)) for shop in shops]


def _laws(pooled: Pooled):
    return [pooled.law(k, HOURS) for k in range(pooled.a.size)]


def test_eight_in_ten_counts_fall_inside_the_middle_eighty_per_cent(fitted):
    """Sixteen shops of thirty kinds, twenty coming fairs each; counts are placed in
    their law at random within their step, so that discreteness isn't width."""
    rng, inside = np.random.default_rng(1), []
    for shop, pooled in fitted:
        for law, n in zip(_laws(pooled), shop.ahead.T, strict=True):
            place = law.cdf(n - 1) + rng.random(n.size) * law.pmf(n)
            inside.append(np.mean((place > 0.1) & (place < 0.9)))

    assert np.mean(inside) == pytest.approx(0.8, abs=0.05)


def test_pooled_rates_predict_better_than_each_kinds_own_mean(fitted):
    """Mean log score of coming fairs against Poisson at the raw rate (half a bow
    added, or a kind never sold would score minus infinity)."""
    pooled_scores, raw_scores = [], []
    for shop, pooled in fitted:
        history, laws = shop.history, _laws(pooled)
        means, shapes = [x.mean for x in laws], [x.shape for x in laws]
        raw = (history.sold.sum(axis=0) + 0.5) / (history.exposure.sum(axis=0) + 1.5)
        pooled_scores.append(log_pmf(shop.ahead, mean=means, shape=shapes).mean())
        raw_scores.append(log_pmf(shop.ahead, mean=raw * HOURS, shape=math.inf).mean())

    assert np.mean(pooled_scores) > np.mean(raw_scores) + 0.03
    assert np.mean(np.greater(pooled_scores, raw_scores)) >= 0.7


def test_joint_draws_agree_with_the_laws_and_move_together(fitted):
    """Means, spreads and the covariance of the common shock, from one seeded draw."""
    pooled = fitted[0][1]
    drawn = pooled.draws(HOURS, size=60_000, rng=np.random.default_rng(4))
    laws = _laws(pooled)
    k, m = np.argsort([-x.mean for x in laws])[:2]
    expected = laws[k].mean * laws[m].mean / pooled.shock_ahead

    assert drawn.mean(axis=0) == pytest.approx([x.mean for x in laws], rel=0.05)
    assert drawn.var(axis=0) == pytest.approx([x.variance for x in laws], rel=0.2)
    assert np.cov(drawn[:, k], drawn[:, m])[0, 1] == pytest.approx(expected, rel=0.15)


@pytest.mark.parametrize("times", [False, True], ids=["time unknown", "time known"])
def test_selling_out_hides_demand_and_most_of_it_is_found_again(times):
    """Only three of each kind brought: sales over open hours would tell well under
    three quarters of the true rate; the pooled rates come within a tenth of it."""
    naive, found = [], []
    for seed in range(12):
        shop = _shop(seed, fairs=12, brought=3, times=times)
        full = _shop(seed, fairs=12)
        pooled = pool(shop.history)
        asked = (full.history.exposure * shop.rates).sum()
        naive.append(shop.history.sold.sum() / asked)
        found.append((pooled.a / pooled.b).sum() / shop.rates.sum())

    assert np.mean(naive) < 0.75
    assert np.mean(found) == pytest.approx(1.0, abs=0.1)


def test_the_same_history_gives_the_same_rates():
    """Nothing is drawn by chance while fitting."""
    one, two = (pool(_shop(3).history) for _ in range(2))

    assert (one.a.tolist(), one.b.tolist()) == (two.a.tolist(), two.b.tolist())


def test_a_kind_without_history_stands_where_its_size_and_colour_put_it():
    """Its own weight is 0 and its rate is its neighbours'; it is less certain."""
    shop = _shop(5)
    exposure = shop.history.exposure.copy()
    exposure[:, 7] = 0.0
    history = History(
        np.where(exposure > 0, shop.history.sold, 0.0),
        exposure,
        shop.history.sold_out,
        shop.history.size,
        shop.history.colour,
    )
    pooled = pool(history)

    assert pooled.own[7] == pytest.approx(0.0, abs=1e-3)
    assert pooled.a[7] / pooled.b[7] == pytest.approx(
        pooled.mean_of_neighbours[7], rel=1e-3
    )
    assert pooled.told[7] == 0
    assert pooled.a[7] < np.median(pooled.a)


def test_the_more_fairs_a_kind_was_at_the_more_its_own_history_counts():
    """Weights grow with exposure, and most rates come to lie by their raw means."""
    few, many = pool(_shop(2, fairs=3).history), pool(_shop(2, fairs=40).history)
    shop = _shop(2, fairs=40)
    raw = shop.history.sold.sum(axis=0) / shop.history.exposure.sum(axis=0)

    assert np.median(few.own) < np.median(many.own)
    assert np.median(many.own) > 0.7
    assert np.median(np.abs(many.a / many.b / raw - 1)) < 0.1


def test_without_any_history_the_guess_is_the_forecast_and_very_wide():
    """Eight bows an hour guessed in all, spread over four kinds; no fair yet."""
    nothing = np.zeros((0, 4))
    history = History(
        nothing, nothing, nothing > 0, np.array([0, 0, 1, 1]), np.array([0, 1, 0, 1])
    )
    pooled = pool(history, guess=8.0)
    total = pooled.draws(1.0, size=20_000, rng=np.random.default_rng(2)).sum(axis=1)

    assert pooled.a / pooled.b == pytest.approx([2.0] * 4, rel=1e-3)
    assert pooled.own.tolist() == pytest.approx([0.0] * 4, abs=1e-3)
    assert pooled.law(0, 6.0).mean == pytest.approx(12.0, rel=1e-3)
    assert np.quantile(total, 0.1) < 4
    assert np.quantile(total, 0.9) > 13


def test_a_guess_gives_way_to_what_was_sold():
    """She guessed three times too much; eight fairs later that is nearly forgotten."""
    shop = _shop(9)
    guessed = pool(shop.history, guess=3 * shop.rates)
    plain = pool(shop.history)
    level = (guessed.a / guessed.b).sum() / (plain.a / plain.b).sum()

    assert level == pytest.approx(1.0, abs=0.15)


def test_an_old_fair_with_little_weight_hardly_counts():
    """Ten times the sales, long ago, at a weight of 1 in 20."""
    sold = np.array([[60.0, 40.0], [6.0, 4.0], [5.0, 5.0], [7.0, 3.0]])
    hours = np.full(sold.shape, 6.0)
    kinds = np.array([0, 0]), np.array([0, 1])
    plain = pool(History(sold, hours, sold < 0, *kinds))
    faded = pool(
        History(sold, hours, sold < 0, *kinds, recency=np.array([0.05, 1, 1, 1]))
    )

    assert (faded.a / faded.b).sum() < 0.7 * (plain.a / plain.b).sum()
    assert (faded.a / faded.b).sum() == pytest.approx(10 / 6, rel=0.35)


def test_bringing_none_and_selling_out_of_none_say_nothing():
    """A row that tells nothing changes nothing but the number of fairs."""
    sold = np.array([[6.0, 4.0], [5.0, 5.0]])
    hours = np.full(sold.shape, 6.0)
    kinds = np.array([0, 0]), np.array([0, 1])
    plain = pool(History(sold, hours, sold < 0, *kinds))
    more = pool(
        History(
            np.vstack([sold, [0.0, 0.0]]),
            np.vstack([hours, [0.0, 6.0]]),
            np.array([[False, False], [False, False], [False, True]]),
            *kinds,
        )
    )

    assert more.told.tolist() == [2, 2]
    assert more.a / more.b == pytest.approx(plain.a / plain.b, rel=0.05)


def test_one_kind_at_steady_fairs_has_the_conjugate_answer():
    """Second method: with the fitted shapes and factors put in, the posterior of the
    rate by direct integration on a fine grid of its own."""
    sold = np.array([[4.0], [7.0], [5.0], [3.0]])
    hours = np.full(sold.shape, 6.0)
    history = History(sold, hours, sold < 0, np.array([0]), np.array([0]))
    pooled = pool(history, tolerance=1e-6, rounds=300)
    rate = np.linspace(0.01, 4, 20_000)
    prior = (pooled.kappa - 1) * np.log(rate) - pooled.kappa * rate / (
        pooled.mean_of_neighbours[0]
    )
    told = special.xlogy(sold.sum(), rate) - rate * float(
        (hours[:, 0] * pooled.fairs).sum()
    )
    weight = np.exp(prior + told - np.max(prior + told))
    mean = float((weight * rate).sum() / weight.sum())

    assert pooled.a[0] / pooled.b[0] == pytest.approx(mean, rel=0.03)
    assert mean == pytest.approx(19 / 24, rel=0.1)


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda h: pool(h), "give a guess"),
        (lambda h: pool(h, guess=[1.0, 0.0]), "leave the kind out"),
        (
            lambda h: History(h.sold, h.exposure[:, :1], h.sold_out, h.size, h.colour),
            "one shape",
        ),
        (
            lambda h: History(h.sold, h.exposure, h.sold_out, h.size[:1], h.colour),
            "one size",
        ),
    ],
    ids=["no history", "a guess of none", "exposure", "size"],
)
def test_what_makes_no_sense_is_refused_in_words(call, says):
    """A ValueError that says what would do."""
    none = np.zeros((2, 2))
    history = History(none, none + 6.0, none > 0, np.array([0, 1]), np.array([0, 0]))

    with pytest.raises(ValueError, match=says):
        call(history)
