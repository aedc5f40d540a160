"""What a colour does to the rates: planted effects, and a second way to add up."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy import special, stats

from planner.engines.pooling import History, settle
from planner.engines.pooling_effects import KAPPAS, SPREADS, effects_of
from planner.engines.pooling_fit import (
    EFFECT_PRIOR,
    EFFECT_SPREAD,
    evidence_of,
    first_state,
    hessian_of,
    model_of,
    rates_of,
)
from planner.engines.pooling_grid import KAPPA_CENTRE, KAPPA_SPREAD
from tests.engines.planted_fairs import HOURS, plant


def told(shop, fairs):
    cut = HOURS * shop.gone[:fairs]
    hidden = np.zeros(cut.shape, bool)
    return History(shop.sold[:fairs], cut, hidden, shop.size, shop.colour)


def test_planted_effects_are_inside_nine_times_in_ten():
    inside = []
    for number in range(40):
        shop = plant(np.random.default_rng((5, number)), ample=True)
        found = effects_of(told(shop, 10))[1]
        planted = np.exp(shop.effects)
        inside += list((found.low <= planted) & (planted <= found.high))
    # 240 effects, six of a shop together: 1.4 % of spread if they were alone.
    assert 0.84 <= np.mean(inside) <= 0.96


def test_the_intervals_shrink_with_the_fairs_and_hold_the_factor():
    shop = plant(np.random.default_rng(3), ample=True)
    few, many = (effects_of(told(shop, n))[1] for n in (1, 10))
    for found in (few, many):
        assert np.all(found.low < found.times)
        assert np.all(found.times < found.high)
    assert np.mean(np.log(many.high / many.low)) < np.mean(np.log(few.high / few.low))


def test_without_fairs_no_colour_stands_out():
    nothing = np.zeros((0, 6))
    history = History(
        nothing, nothing, nothing > 0, np.repeat([0, 1], 3), np.tile(range(3), 2)
    )
    for found in effects_of(history, guess=30.0):
        assert found.times == pytest.approx(1.0, abs=1e-6)
        assert np.all(found.low < 0.8)
        assert np.all(found.high > 1.25)


def worth(model, state, effects):
    """Log of likelihood times priors of effects, kappa and spreads."""
    spread2 = state.spread2
    at = replace(state, effects=effects)
    ridge = model.ridge(spread2)
    prior = 0.5 * np.log(ridge).sum() - 0.5 * ridge @ effects**2
    shapes = -0.5 * (np.log(state.kappa / KAPPA_CENTRE) / KAPPA_SPREAD) ** 2
    spreads = -0.5 * EFFECT_PRIOR * (np.log(spread2) + EFFECT_SPREAD**2 / spread2)
    seen = evidence_of(model, at, rates_of(model, at))
    return seen + prior + shapes + spreads.sum()


def test_agrees_with_weighted_draws_of_effects_and_shapes():
    shop = plant(np.random.default_rng(11), ample=True, sizes=2, colours=3)
    history, guess = told(shop, 4), shop.rates * 1.2
    found = effects_of(history, guess=guess)[1]
    model = model_of(history, guess)
    state = settle(model, first_state(model))
    rng, drawn, weights = np.random.default_rng(1), [], []
    cover = np.linalg.inv(hessian_of(model, state, rates_of(model, state)))
    wide, count = 1.3 * np.linalg.cholesky(cover), state.effects.size
    for _ in range(3000):
        spread2 = rng.choice(SPREADS, 2) ** 2
        at = replace(state, kappa=float(rng.choice(KAPPAS)), spread2=spread2)
        away = rng.standard_t(6, count)
        effects = state.effects + wide @ away
        weights.append(worth(model, at, effects) - stats.t.logpdf(away, 6).sum())
        drawn.append(effects[3:6] - effects[3:6].mean())
    weights, drawn = special.softmax(np.array(weights)), np.array(drawn)
    assert 1 / (weights**2).sum() > 100  # draws that truly count
    mean = weights @ drawn
    spread = np.sqrt(weights @ (drawn - mean) ** 2)
    assert np.log(found.times) == pytest.approx(mean, abs=0.05)
    half = np.log(found.high / found.low) / 2
    assert half == pytest.approx(1.645 * spread, rel=0.2)
