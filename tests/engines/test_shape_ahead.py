"""One gamma law for a coming fair's factor of which the shape isn't known."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy import special

from planner.engines.pooling import History, pool
from planner.engines.pooling_grid import SHAPES, shape_ahead, shock_odds

ENDS = np.array([0.05, 0.95])


def _middle(shape):
    low, high = special.gammaincinv(shape, ENDS) / shape
    return high - low


@pytest.mark.parametrize("seed", range(12))
def test_its_middle_nine_tenths_are_as_wide_as_those_of_drawn_factors(seed):
    """Shapes are drawn by the odds, then factors; odds are of any kind."""
    rng = np.random.default_rng(seed)
    odds = rng.dirichlet(np.full(SHAPES.size, rng.choice([0.05, 0.5])))
    times, plus = 1 + 1 / rng.integers(1, 12), float(rng.choice([0.0, 0.02, 0.3]))
    variances = times / rng.choice(SHAPES, size=400_000, p=odds) + plus
    low, high = np.quantile(rng.gamma(1 / variances) * variances, ENDS)

    found = shape_ahead(odds, times=times, plus=plus)

    assert _middle(found) == pytest.approx(high - low, rel=0.02)


@pytest.mark.parametrize("at", [5, 20, 40, 50])
def test_a_shape_that_is_known_is_its_own(at):
    odds = np.eye(SHAPES.size)[at]
    assert shape_ahead(odds, times=1.0, plus=0.0) == pytest.approx(SHAPES[at], rel=0.02)


def test_a_guess_alone_is_drawn_within_a_factor_of_two_two_times_in_three():
    """Her word is half to twice the truth, and a fair's luck comes on top."""
    kinds = np.zeros((0, 20))
    none = History(kinds, kinds, kinds.astype(bool), np.arange(20) % 4, np.arange(20))
    pooled = pool(none, guess=200.0)
    total = pooled.draws(1.0, size=40_000, rng=np.random.default_rng(5)).sum(axis=1)

    assert total.mean() == pytest.approx(200, rel=0.05)
    assert 0.5 < np.mean((total > 100) & (total < 400)) < 0.75
    assert np.quantile(total, 0.05) > 200 / 6


def test_a_guess_wider_than_all_luck_can_still_be_drawn():
    kinds = np.zeros((0, 4))
    none = History(kinds, kinds, kinds.astype(bool), np.arange(4), np.arange(4))
    pooled = replace(pool(none, guess=20.0), level=5.0)

    assert pooled.draws(1.0, size=9, rng=np.random.default_rng(1)).shape == (9, 4)


def test_it_is_narrower_than_a_law_of_the_same_variance_and_wider_than_the_likeliest():
    odds = shock_odds(8.0)
    assert 1 / (odds @ (1 / SHAPES)) < shape_ahead(odds, times=1.0, plus=0.0) < 8
