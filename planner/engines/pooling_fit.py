"""Fitting the pooled rates: the model, its state, and each step of a round."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy import special

from planner.engines.counts import Floats, log_sum
from planner.engines.pooling_grid import (
    CROWD_UNKNOWN,
    FAIR_LOGS,
    KAPPA_CENTRE,
    KAPPA_SPREAD,
    SHOCK_CENTRE,
    SHOCK_SPREAD,
    Z,
    best_shape,
    fair_worths,
    log_prior,
    log_terms,
    shape_worths,
    shock_odds,
)
from planner.engines.pooling_values import History

EFFECT_SPREAD, EFFECT_PRIOR = 0.4, 1.0
"""Prior spread of log effects of sizes and colours, worth so many effects seen."""


JUDGED_SPREAD = 0.7
"""Prior spread of the power of what she brought as a sign of what sells."""


GUESS_SPREAD, NO_GUESS_SPREAD = 0.7, 10.0
"""Prior spread of the log base with her guess (a factor of 2) and without any."""


@dataclass(frozen=True, slots=True)
class Model:
    """
    What stays fixed while fitting: history, design, guess, prior of the base.

    design: columns base, then one a size, then one a colour (the ridge makes their
    sum mean something). offset: log guess of each kind, 0 without one.
    """

    history: History
    design: Floats
    offset: Floats
    base_spread: float
    sizes: int

    def ridge(self, spread2: Floats) -> Floats:
        """Prior precision of base, size effects and colour effects."""
        colours = self.design.shape[1] - 2 - self.sizes
        variance = np.repeat(
            [self.base_spread**2, *spread2.tolist(), JUDGED_SPREAD**2],
            [1, self.sizes, colours, 1],
        )
        return np.asarray(1 / variance)


@dataclass(frozen=True, slots=True)
class State:
    """
    Where the fit stands: effects, their spread, shapes, the fairs' factors.

    odds: weight of each of the shapes that the shock may have.
    """

    effects: Floats
    spread2: Floats
    kappa: float
    shock: float
    g: Floats
    g_shape: Floats
    odds: Floats


@dataclass(frozen=True, slots=True)
class Rates:
    """Each kind's prior mean, and its rate's posterior on a grid of logs."""

    mu: Floats
    mean: Floats
    variance: Floats
    logs: Floats
    likelihood: Floats


def model_of(history: History, guess: Floats | Sequence[float] | float | None) -> Model:
    """Lay out what stays fixed; raises ValueError with neither sales nor a guess."""
    if guess is None and not (history.told & (history.sold > 0)).any():
        raise ValueError("no bow has been sold yet: give a guess of the rates")
    if guess is not None and not np.all(np.asarray(guess) > 0):
        raise ValueError("a guess of 0 says never: leave the kind out, or guess more")
    if isinstance(guess, (int, float)):
        guess = np.full(history.size.size, guess / history.size.size)
    kinds, sizes = history.size.size, int(history.size.max(initial=0)) + 1
    by_size = np.eye(sizes)[history.size]
    by_colour = np.eye(int(history.colour.max(initial=0)) + 1)[history.colour]
    return Model(
        history=history,
        design=np.hstack(
            [np.ones((kinds, 1)), by_size, by_colour, history.judged[:, None]]
        ),
        offset=np.zeros(kinds) if guess is None else np.log(guess),
        base_spread=NO_GUESS_SPREAD if guess is None else GUESS_SPREAD,
        sizes=sizes,
    )


def shock_centre(history: History) -> float:
    """Give the prior median of the shock's shape."""
    return SHOCK_CENTRE if history.crowds_known else CROWD_UNKNOWN


def first_state(model: Model) -> State:
    """Give the state the fit begins with."""
    history, effects = model.history, np.zeros(model.design.shape[1])
    if model.base_spread == NO_GUESS_SPREAD:
        exposed = history.exposure[history.told].sum()
        effects[0] = math.log(float(history.sold[history.told].sum() / exposed))
    return State(
        effects=effects,
        spread2=np.full(2, EFFECT_SPREAD**2),
        kappa=KAPPA_CENTRE,
        shock=shock_centre(history),
        g=np.ones(history.sold.shape[0]),
        g_shape=np.full(history.sold.shape[0], 1e6),
        odds=shock_odds(shock_centre(history)),
    )


def how_far(before: State, after: State) -> float:
    """Give the largest move of any effect, log shape or factor."""
    shapes = np.log([after.kappa / before.kappa, after.shock / before.shock])
    steps = np.r_[after.effects - before.effects, shapes, after.g - before.g]
    return float(np.max(np.abs(steps)))


def rates_of(model: Model, state: State) -> Rates:
    """Integrate each kind's rate over a grid of logs, shape (grid, kinds)."""
    mu = np.exp(model.offset + model.design @ state.effects)
    logs = _grid(model.history, state, mu)
    terms = kind_terms(model.history, state, logs)
    weight = special.softmax(terms + log_prior(logs, state.kappa, mu), axis=0)
    rate = np.exp(logs)
    mean = (weight * rate).sum(axis=0)
    variance = (weight * (rate - mean) ** 2).sum(axis=0)
    return Rates(mu, mean, variance, logs, terms)


def _grid(history: History, state: State, mu: Floats) -> Floats:
    """Log rates about what the rate would be if nothing had sold out."""
    weight = history.weights * history.told
    a = state.kappa + (history.sold * weight).sum(axis=0)
    b = state.kappa / mu + (history.exposure * weight * state.g[:, None]).sum(axis=0)
    return np.asarray(np.log(a / b) + Z[:, None] / np.sqrt(a))


def kind_terms(history: History, state: State, logs: Floats) -> Floats:
    """
    Log-likelihood of each kind's rates, summed over fairs.

    A fair's factor isn't known exactly either: it enters with a shape of its own,
    which makes each count negative binomial about rate * g * exposure.
    """
    terms = np.zeros_like(logs)
    for f, k in enumerate(history.told):
        mean = np.exp(logs[:, k]) * (history.exposure[f, k] * state.g[f])
        shape = np.asarray(state.g_shape[f])
        told = log_terms(history.sold[f, k], mean, shape, history.sold_out[f, k])
        terms[:, k] += history.weights[f] * told
    return terms


def best_kappa(model: Model, rates: Rates) -> float:
    """Give the shape of the rates by marginal likelihood and its prior."""
    known = model.history.told.any(axis=0)
    logs, seen, mu = rates.logs[:, known], rates.likelihood[:, known], rates.mu[known]
    scores = shape_worths(seen, logs, mu)
    return best_shape(scores, KAPPA_CENTRE, KAPPA_SPREAD)


def information_of(model: Model, state: State, rates: Rates) -> Floats:
    """Information of the sales on the effects: Fisher's identity a kind."""
    kappa, mu = state.kappa, rates.mu
    info = kappa * rates.mean / mu - kappa**2 * rates.variance / mu**2
    weighted = np.clip(info, 1e-9, None)[:, None] * model.design
    return np.asarray(model.design.T @ weighted)


def hessian_of(model: Model, state: State, rates: Rates) -> Floats:
    """Information on the effects, that of their prior included."""
    known = information_of(model, state, rates)
    return np.asarray(known + np.diag(model.ridge(state.spread2)))


def slope_of(model: Model, state: State, rates: Rates) -> Floats:
    """Give the slope of the sales' log likelihood along each effect."""
    return np.asarray(model.design.T @ (state.kappa * (rates.mean / rates.mu - 1)))


def evidence_of(model: Model, state: State, rates: Rates) -> float:
    """Give the log likelihood of the sales, rates integrated out, effects as given."""
    known, kappa = model.history.told.any(axis=0), state.kappa
    logs = rates.logs[:, known]
    prior = log_prior(logs, kappa, rates.mu[known])
    whole = special.gammaln(kappa) - kappa * math.log(kappa)
    step = np.log(logs[1] - logs[0])
    return float((log_sum(rates.likelihood[:, known] + prior) + step - whole).sum())


def fit_effects(model: Model, state: State, rates: Rates) -> State:
    """Move effects by one damped Newton step, then renew their prior spreads."""
    hessian, pulled = hessian_of(model, state, rates), state.effects.copy()
    if model.base_spread == NO_GUESS_SPREAD:
        pulled[0] = 0.0
    slope = slope_of(model, state, rates)
    step = np.linalg.solve(hessian, slope - model.ridge(state.spread2) * pulled)
    effects = state.effects + step / max(1.0, float(np.max(np.abs(step))))
    energy = effects**2 + np.diag(np.linalg.inv(hessian))
    if energy.size == 2:
        return replace(state, effects=effects)
    groups = np.split(energy[1:-1], [model.sizes])
    spread2 = [_spread2(group) for group in groups]
    return replace(state, effects=effects, spread2=np.array(spread2))


def _spread2(energy: Floats) -> float:
    prior = EFFECT_PRIOR * EFFECT_SPREAD**2
    return (prior + float(energy.sum())) / (EFFECT_PRIOR + energy.size)


def fit_fairs(model: Model, state: State, rates: Rates) -> State:
    """
    Find each fair's factor given the rates, and the shape of the factors.

    Their mean is kept at 1: what they have in common belongs to the base.
    """
    history = model.history
    if not history.told.any():
        return state
    terms = fair_terms(history, rates)
    scores = fair_worths(terms).tolist()
    centre = shock_centre(history)
    shock = best_shape(scores, centre, SHOCK_SPREAD)
    weight = special.softmax(terms + log_prior(FAIR_LOGS, shock, 1.0), axis=0)
    g = (weight * np.exp(FAIR_LOGS)).sum(axis=0)
    variance = (weight * (np.exp(FAIR_LOGS) - g) ** 2).sum(axis=0)
    level = float(np.average(g, weights=history.weights[:, 0]))
    effects = state.effects.copy()
    effects[0] += math.log(level)
    return replace(
        state, effects=effects, shock=shock, g=g / level, g_shape=g**2 / variance,
        odds=shock_odds(centre, scores),
    )  # fmt: skip


def fair_terms(history: History, rates: Rates) -> Floats:
    """Log-likelihood of each fair's factor, shape (grid, fairs)."""
    shapes = rates.mean**2 / rates.variance
    terms = np.zeros((FAIR_LOGS.size, history.sold.shape[0]))
    for f, k in enumerate(history.told):
        mean = np.exp(FAIR_LOGS) * (rates.mean[k] * history.exposure[f, k])
        told = log_terms(history.sold[f, k], mean, shapes[k], history.sold_out[f, k])
        terms[:, f] = told.sum(axis=1)
    return terms
