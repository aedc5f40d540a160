"""
Rates for every kind, pooled over size and colour, with one common shock a fair.

The model, in numbers only: at a fair, a kind with rate r and exposure e is asked for
Poisson(r * g * e) times, where g is a gamma(shock, shock) factor that all kinds of
that fair share. A kind's rate is gamma with shape kappa and a mean that its size and
its colour multiply up to, or one mean for all; the two answers are weighed by their
marginal likelihoods. So a kind with little history of its own leans on its
neighbours. What she brought shifts the mean too: she brings more of what sells.
Where a kind sold out at an unknown time only P(D >= brought) is used. Shapes and
effects are fitted by their marginal likelihood with weak priors, in turn, until they
rest. Nothing here is drawn by chance but `draws`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from scipy import special

from planner.engines.counts import Floats
from planner.engines.pooling_fit import (
    NO_GUESS_SPREAD,
    Model,
    Rates,
    State,
    best_kappa,
    evidence_of,
    first_state,
    fit_effects,
    fit_fairs,
    hessian_of,
    how_far,
    model_of,
    rates_of,
)
from planner.engines.pooling_grid import shape_ahead
from planner.engines.pooling_values import History, Pooled, between

__all__ = ["History", "Pooled", "pool", "settle"]

TRUST = 0.25
"""Power of the marginal likelihoods that weigh the two models: they rest on shapes and
effects that were fitted, so few fairs make them surer than they are. Chosen on the
first half of a pizza shop's year, where 1 gave less and 0 would ask nothing of them."""


def pool(
    history: History,
    *,
    guess: Floats | Sequence[float] | float | None = None,
    rounds: int = 60,
    tolerance: float = 1e-3,
) -> Pooled:
    """
    Fit the model to past fairs; without any, her guess is all there is.

    guess: her rates per unit of exposure, shape (kinds,) or one total to be spread
    evenly; it stays a weak prior when history comes. Each round: effects by a Newton
    step, kappa by a grid, then fairs and shock; at most `rounds`, until nothing moves
    by more than tolerance. Raises ValueError with neither history nor guess, and for
    a guess of 0.
    """
    model = model_of(history, guess)
    state = settle(model, first_state(model), rounds=rounds, tolerance=tolerance)
    found = _pooled(model, state, rates_of(model, state))
    if not history.told.any():
        return found
    plain = _without_effects(model)
    alone = settle(plain, _cut(state, plain), rounds=rounds, tolerance=tolerance)
    ahead = _worth(model, state) - _worth(plain, alone)
    other = _pooled(plain, alone, rates_of(plain, alone))
    return between(found, other, weight=float(special.expit(TRUST * ahead)))


def settle(
    model: Model, state: State, *, rounds: int = 60, tolerance: float = 1e-3
) -> State:
    """Fit effects, shapes and fairs in turn until nothing moves beyond a tolerance."""
    for _ in range(rounds):
        before = state
        state = fit_effects(model, state, rates_of(model, state))
        rates = rates_of(model, state)
        state = fit_fairs(model, replace(state, kappa=best_kappa(model, rates)), rates)
        if how_far(before, state) < tolerance:
            break
    return state


def _without_effects(model: Model) -> Model:
    """Give the model in which kinds are exchangeable: no sizes, no colours."""
    return replace(model, design=model.design[:, [0, -1]], sizes=0)


def _cut(state: State, plain: Model) -> State:
    """Start the plain model where the other one stands, its base made to fit."""
    return replace(state, effects=np.array([first_state(plain).effects[0], 0.0]))


def _worth(model: Model, state: State) -> float:
    """
    Give the log marginal likelihood of a model, its effects by Laplace's method.

    A model with effects that tell nothing pays for them here.
    """
    rates = rates_of(model, state)
    seen = evidence_of(model, state, rates)
    ridge = model.ridge(state.spread2)
    curved = np.linalg.slogdet(hessian_of(model, state, rates))[1]
    drift = state.effects.copy()
    if model.base_spread == NO_GUESS_SPREAD:
        drift[0] = 0.0
    return seen - 0.5 * float(ridge @ drift**2 - np.log(ridge).sum() + curved)


def _pooled(model: Model, state: State, rates: Rates) -> Pooled:
    """Add what isn't known of effects and of the level to the rates' own spread."""
    lean = np.clip(state.kappa / rates.mu * rates.variance / rates.mean, 0.0, 1.0)
    felt = lean[:, None] * model.design
    spread = felt @ np.linalg.inv(hessian_of(model, state, rates)) @ felt.T
    common = _common(spread)
    apart = np.maximum(np.diag(spread) - common, 0.0)
    shape = 1 / (rates.variance / rates.mean**2 + apart)
    told = model.history.told
    fairs = float(model.history.weights[told.any(axis=1)].sum())
    level = 1 / max(fairs, 1.0) if told.any() else 0.0
    return Pooled(
        a=shape,
        b=shape / rates.mean,
        own=1 - lean,
        mean_of_neighbours=rates.mu,
        kappa=state.kappa,
        shock=state.shock,
        shock_ahead=shape_ahead(state.odds, times=1 + level, plus=common),
        fairs=state.g,
        told=told.sum(axis=0),
        level=0.0 if told.any() else common,
    )


def _common(spread: Floats) -> float:
    """Mean covariance between kinds: what isn't known of them all together."""
    pairs = max(spread.shape[0] * (spread.shape[0] - 1), 1)
    return max(float((spread.sum() - np.trace(spread)) / pairs), 0.0)
