"""What hours, crowd, roof and season do to how much is asked for."""

from __future__ import annotations

import math
from dataclasses import astuple

import numpy as np
import pytest

from planner.engines.fair_exposure import (
    FEWEST,
    LEAST,
    MOST,
    SPREADS,
    USUAL,
    USUAL_HOURS,
    Powers,
    exposure,
    exposure_of,
    fit_powers,
    told_traits,
    traits,
)
from planner.engines.fair_history import FairTold
from planner.engines.pooling_values import Pooled
from tests.engines.fair_toys import ahead, fair, set_up, told


def past(crowd, hours, *, indoor=True, day="2026-05-02", weight=1.0):
    return FairTold("F", hours, crowd, weight, {}, 0, indoor, day)


def pooled(factors, shock=400.0):
    """Rates that left such factors to the fairs; a large shock is a sure fit."""
    one = np.ones(1)
    return Pooled(
        a=one, b=one, own=one, mean_of_neighbours=one, kappa=1.0, shock=shock,
        shock_ahead=shock, fairs=np.array(factors), told=np.ones(1, np.int64),
    )  # fmt: skip


def drawn(count, powers, seed=3, noise=0.0):
    """Draw fairs, and the factors that such powers leave beyond the usual ones."""
    rng = np.random.default_rng(seed)
    fairs = [
        past(
            int(rng.integers(1, 6)), float(rng.uniform(3, 9)),
            indoor=bool(rng.integers(2)),
            day=("2026-05-02", "2026-11-28")[int(rng.integers(2))],
        )
        for _ in range(count)
    ]  # fmt: skip
    beyond = np.array(astuple(powers)) - np.array(astuple(USUAL))
    logs = np.array([told_traits(one) @ beyond for one in fairs])
    return fairs, np.exp(logs + noise * rng.standard_normal(count))


def test_a_usual_fair_counts_its_hours_and_twice_the_crowd_counts_double():
    assert exposure_of(traits(crowd=3, hours=6, indoor=True, day="2026-05-02"),
                       USUAL) == pytest.approx(USUAL_HOURS)  # fmt: skip
    assert exposure_of(traits(crowd=3, hours=9, indoor=True, day="2026-05-02"),
                       USUAL) == pytest.approx(9)  # fmt: skip
    assert exposure_of(traits(crowd=5, hours=6, indoor=False, day="2026-12-05"),
                       USUAL) == pytest.approx(10)  # fmt: skip


def test_each_trait_multiplies_by_its_own_factor():
    """Twice the crowd 2 ** 0.5, half the hours 0.5 ** 0.8, outdoors and Christmas."""
    found = traits(crowd=6, hours=3, indoor=False, day="2026-11-07")
    powers = Powers(0.5, 0.8, math.log(0.7), math.log(1.3))

    expected = USUAL_HOURS * 2**0.5 * 0.5**0.8 * 0.7 * 1.3
    assert exposure_of(found, powers) == pytest.approx(expected)


def test_a_coming_fair_is_read_from_what_was_told_of_it():
    led = told(set_up(), fair(crowd=5, indoor=False))
    powers = Powers(1.0, 1.0, math.log(0.8), math.log(1.25))

    assert exposure(ahead(led), powers) == pytest.approx(6 * 5 / 3 * 0.8 * 1.25)


def test_too_few_fairs_move_nothing():
    fairs, factors = drawn(FEWEST - 1, Powers(2.0, 0.5, 0.5, -0.5))

    assert fit_powers(fairs, pooled(factors), USUAL) == USUAL


def test_many_sure_fairs_give_the_powers_they_were_drawn_with():
    truth = Powers(1.6, 0.7, -0.3, 0.25)
    fairs, factors = drawn(300, truth)
    found = fit_powers(fairs, pooled(factors, shock=4_000.0), USUAL)

    assert astuple(found) == pytest.approx(astuple(truth), abs=0.02)


def test_what_is_said_of_few_unsure_fairs_is_shrunk_to_the_usual():
    truth = Powers(2.2, 0.4, 0.6, -0.6)
    fairs, factors = drawn(5, truth)
    sure, unsure = (
        np.array(astuple(fit_powers(fairs, pooled(factors, shock), USUAL)))
        for shock in (4_000.0, 2.0)
    )

    usual = np.array(astuple(USUAL))
    assert (np.abs(unsure - usual) <= np.abs(sure - usual) + 1e-9).all()
    assert np.abs(unsure - usual).max() < np.abs(sure - usual).max()


def test_the_fit_is_the_ridge_of_the_logs_on_the_traits():
    """Against the same posterior mode found by a general optimiser."""
    from scipy import optimize

    truth, shock = Powers(1.3, 0.8, -0.2, 0.1), 6.0
    fairs, factors = drawn(12, truth, noise=0.3)
    weights = np.linspace(0.3, 1.0, 12)
    fairs = [
        past(f.crowd, f.hours, indoor=f.indoor, day=f.day, weight=float(w))
        for f, w in zip(fairs, weights, strict=True)
    ]
    rows = np.array([told_traits(one) for one in fairs])
    usual = np.array(astuple(USUAL))

    def loss(asked):
        level, moved = asked[0], asked[1:] - usual
        left = np.log(factors) - level - rows @ moved
        return shock * (weights * left**2).sum() + (moved**2 / SPREADS**2).sum()

    best = optimize.minimize(loss, np.append(0.0, usual), tol=1e-12).x[1:]
    found = fit_powers(fairs, pooled(factors, shock), USUAL)
    assert astuple(found) == pytest.approx(best, abs=1e-4)


def test_powers_stay_within_their_bounds():
    fairs, factors = drawn(200, Powers(9.0, -3.0, 4.0, -4.0))
    found = astuple(fit_powers(fairs, pooled(factors, 4_000.0), USUAL))

    assert found == (MOST.crowd, LEAST.hours, MOST.outdoor, LEAST.christmas)
