"""
Rates for every kind, pooled over size and colour, with one common shock a fair.

The model, in numbers only: at a fair, a kind with rate r and exposure e is asked for
Poisson(r * g * e) times, where g is a gamma(shock, shock) factor that all kinds of
that fair share. A kind's rate is gamma with shape kappa and a mean that its size and
its colour multiply up to, or one mean for all where size and colour don't pay for
themselves in marginal likelihood; so a kind with little history of its own leans on
its neighbours. What she brought shifts the mean too: she brings more of what sells.
Where a kind sold out at an unknown time only P(D >= brought) is used. Shapes and
effects are fitted by their marginal likelihood with weak priors, in turn, until they
rest. Nothing here is drawn by chance but `draws`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy import special

from planner.engines.counts import Floats, log_sum
from planner.engines.pooling_grid import (
    FAIR_LOGS,
    KAPPA_CENTRE,
    KAPPA_SPREAD,
    SHAPES,
    SHOCK_CENTRE,
    SHOCK_SPREAD,
    Z,
    best_shape,
    evidence,
    log_prior,
    log_terms,
    mean_inverse,
)
from planner.engines.pooling_values import History, Pooled

__all__ = ["History", "Pooled", "pool"]

EFFECT_SPREAD, EFFECT_PRIOR = 0.4, 1.0
"""Prior spread of log effects of sizes and colours, worth so many effects seen."""
JUDGED_SPREAD = 0.7
"""Prior spread of the power of what she brought as a sign of what sells."""
GUESS_SPREAD, NO_GUESS_SPREAD = 0.7, 10.0
"""Prior spread of the log base with her guess (a factor of 2) and without any."""


@dataclass(frozen=True, slots=True)
class _Model:
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
class _State:
    """
    Where the fit stands: effects, their spread, shapes, the fairs' factors.

    swing: expected 1 / shock, which a few fairs leave larger than at the best shock.
    """

    effects: Floats
    spread2: Floats
    kappa: float
    shock: float
    g: Floats
    g_shape: Floats
    swing: float = 1 / SHOCK_CENTRE


@dataclass(frozen=True, slots=True)
class _Rates:
    """Each kind's prior mean, and its rate's posterior on a grid of logs."""

    mu: Floats
    mean: Floats
    variance: Floats
    logs: Floats
    likelihood: Floats


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
    model = _model(history, guess)
    state = _settle(model, _start(model), rounds, tolerance)
    plain = _without_effects(model)
    alone = _settle(plain, _cut(state, plain), rounds, tolerance)
    if not model.history.told.any() or _worth(model, state) >= _worth(plain, alone):
        return _pooled(model, state, _rates(model, state))
    return _pooled(plain, alone, _rates(plain, alone))


def _settle(model: _Model, state: _State, rounds: int, tolerance: float) -> _State:
    for _ in range(rounds):
        before = state
        state = _fit_effects(model, state, _rates(model, state))
        rates = _rates(model, state)
        state = _fit_fairs(
            model, replace(state, kappa=_best_kappa(model, rates)), rates
        )
        if _moved(before, state) < tolerance:
            break
    return state


def _without_effects(model: _Model) -> _Model:
    """Give the model in which kinds are exchangeable: no sizes, no colours."""
    return replace(model, design=model.design[:, [0, -1]], sizes=0)


def _cut(state: _State, plain: _Model) -> _State:
    """Start the plain model where the other one stands, its base made to fit."""
    away = plain.history.told.any(axis=0)
    if not away.any():
        return replace(state, effects=state.effects[[0, -1]])
    return replace(state, effects=np.array([_start(plain).effects[0], 0.0]))


def _worth(model: _Model, state: _State) -> float:
    """
    Give the log marginal likelihood of a model, its effects by Laplace's method.

    A model with effects that tell nothing pays for them here.
    """
    rates, kappa = _rates(model, state), state.kappa
    known = model.history.told.any(axis=0)
    logs = rates.logs[:, known]
    prior = log_prior(logs, kappa, rates.mu[known])
    whole = special.gammaln(kappa) - kappa * math.log(kappa)
    step = np.log(logs[1] - logs[0])
    seen = float((log_sum(rates.likelihood[:, known] + prior) + step - whole).sum())
    ridge = model.ridge(state.spread2)
    curved = np.linalg.slogdet(_hessian(model, state, rates))[1]
    drift = state.effects.copy()
    if model.base_spread == NO_GUESS_SPREAD:
        drift[0] = 0.0
    return seen - 0.5 * float(ridge @ drift**2 - np.log(ridge).sum() + curved)


def _model(history: History, guess: Floats | Sequence[float] | float | None) -> _Model:
    if guess is None and not (history.told & (history.sold > 0)).any():
        raise ValueError("no bow has been sold yet: give a guess of the rates")
    if guess is not None and not np.all(np.asarray(guess) > 0):
        raise ValueError("a guess of 0 says never: leave the kind out, or guess more")
    if isinstance(guess, (int, float)):
        guess = np.full(history.size.size, guess / history.size.size)
    kinds, sizes = history.size.size, int(history.size.max(initial=0)) + 1
    by_size = np.eye(sizes)[history.size]
    by_colour = np.eye(int(history.colour.max(initial=0)) + 1)[history.colour]
    return _Model(
        history=history,
        design=np.hstack(
            [np.ones((kinds, 1)), by_size, by_colour, history.judged[:, None]]
        ),
        offset=np.zeros(kinds) if guess is None else np.log(guess),
        base_spread=NO_GUESS_SPREAD if guess is None else GUESS_SPREAD,
        sizes=sizes,
    )


def _start(model: _Model) -> _State:
    history, effects = model.history, np.zeros(model.design.shape[1])
    if model.base_spread == NO_GUESS_SPREAD:
        exposed = history.exposure[history.told].sum()
        effects[0] = math.log(float(history.sold[history.told].sum() / exposed))
    return _State(
        effects=effects,
        spread2=np.full(2, EFFECT_SPREAD**2),
        kappa=KAPPA_CENTRE,
        shock=SHOCK_CENTRE,
        g=np.ones(history.sold.shape[0]),
        g_shape=np.full(history.sold.shape[0], 1e6),
    )


def _moved(before: _State, after: _State) -> float:
    """Give the largest move of any effect, log shape or factor."""
    shapes = np.log([after.kappa / before.kappa, after.shock / before.shock])
    steps = np.r_[after.effects - before.effects, shapes, after.g - before.g]
    return float(np.max(np.abs(steps)))


def _rates(model: _Model, state: _State) -> _Rates:
    """Integrate each kind's rate over a grid of logs, shape (grid, kinds)."""
    mu = np.exp(model.offset + model.design @ state.effects)
    logs = _grid(model.history, state, mu)
    terms = _kind_terms(model.history, state, logs)
    weight = special.softmax(terms + log_prior(logs, state.kappa, mu), axis=0)
    rate = np.exp(logs)
    mean = (weight * rate).sum(axis=0)
    variance = (weight * (rate - mean) ** 2).sum(axis=0)
    return _Rates(mu, mean, variance, logs, terms)


def _grid(history: History, state: _State, mu: Floats) -> Floats:
    """Log rates about what the rate would be if nothing had sold out."""
    weight = history.weights * history.told
    a = state.kappa + (history.sold * weight).sum(axis=0)
    b = state.kappa / mu + (history.exposure * weight * state.g[:, None]).sum(axis=0)
    return np.asarray(np.log(a / b) + Z[:, None] / np.sqrt(a))


def _kind_terms(history: History, state: _State, logs: Floats) -> Floats:
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


def _best_kappa(model: _Model, rates: _Rates) -> float:
    known = model.history.told.any(axis=0)
    logs, seen, mu = rates.logs[:, known], rates.likelihood[:, known], rates.mu[known]
    scores = [evidence(seen, log_prior(logs, shape, mu)) for shape in SHAPES]
    return best_shape(scores, KAPPA_CENTRE, KAPPA_SPREAD)


def _hessian(model: _Model, state: _State, rates: _Rates) -> Floats:
    """Information on the effects: Fisher's identity a kind, and their prior."""
    kappa, mu = state.kappa, rates.mu
    info = kappa * rates.mean / mu - kappa**2 * rates.variance / mu**2
    weighted = np.clip(info, 1e-9, None)[:, None] * model.design
    return np.asarray(model.design.T @ weighted + np.diag(model.ridge(state.spread2)))


def _fit_effects(model: _Model, state: _State, rates: _Rates) -> _State:
    """Move effects by one damped Newton step, then renew their prior spreads."""
    hessian, pulled = _hessian(model, state, rates), state.effects.copy()
    if model.base_spread == NO_GUESS_SPREAD:
        pulled[0] = 0.0
    slope = model.design.T @ (state.kappa * (rates.mean / rates.mu - 1))
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


def _fit_fairs(model: _Model, state: _State, rates: _Rates) -> _State:
    """
    Find each fair's factor given the rates, and the shape of the factors.

    Their mean is kept at 1: what they have in common belongs to the base.
    """
    history = model.history
    if not history.told.any():
        return state
    terms = _fair_terms(history, rates)
    scores = [evidence(terms, log_prior(FAIR_LOGS, s, 1.0)) for s in SHAPES]
    shock, swing = (
        best_shape(scores, SHOCK_CENTRE, SHOCK_SPREAD),
        mean_inverse(scores),
    )
    weight = special.softmax(terms + log_prior(FAIR_LOGS, shock, 1.0), axis=0)
    g = (weight * np.exp(FAIR_LOGS)).sum(axis=0)
    variance = (weight * (np.exp(FAIR_LOGS) - g) ** 2).sum(axis=0)
    level = float(np.average(g, weights=history.weights[:, 0]))
    effects = state.effects.copy()
    effects[0] += math.log(level)
    shape = g**2 / variance
    return replace(
        state, effects=effects, shock=shock, g=g / level, g_shape=shape, swing=swing
    )


def _fair_terms(history: History, rates: _Rates) -> Floats:
    """Log-likelihood of each fair's factor, shape (grid, fairs)."""
    shapes = rates.mean**2 / rates.variance
    terms = np.zeros((FAIR_LOGS.size, history.sold.shape[0]))
    for f, k in enumerate(history.told):
        mean = np.exp(FAIR_LOGS) * (rates.mean[k] * history.exposure[f, k])
        told = log_terms(history.sold[f, k], mean, shapes[k], history.sold_out[f, k])
        terms[:, f] = told.sum(axis=1)
    return terms


def _pooled(model: _Model, state: _State, rates: _Rates) -> Pooled:
    """Add what isn't known of effects and of the level to the rates' own spread."""
    lean = np.clip(state.kappa / rates.mu * rates.variance / rates.mean, 0.0, 1.0)
    felt = lean[:, None] * model.design
    spread = felt @ np.linalg.inv(_hessian(model, state, rates)) @ felt.T
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
        shock_ahead=1 / ((1 + level) * state.swing + common),
        fairs=state.g,
        told=told.sum(axis=0),
    )


def _common(spread: Floats) -> float:
    """Mean covariance between kinds: what isn't known of them all together."""
    pairs = max(spread.shape[0] * (spread.shape[0] - 1), 1)
    return max(float((spread.sum() - np.trace(spread)) / pairs), 0.0)
