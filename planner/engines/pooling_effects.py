"""
What a size or a colour does to the rates, each with an interval.

`planner.engines.pooling` takes effects and shapes at their likeliest, which makes
single effects look surer than they are.  Here they are averaged over what the sales
leave open: kappa and the spreads of sizes' and colours' effects on grids, and for each
kappa the effects by Laplace's method, which makes the integral over effects a normal
one whatever the spreads (Rasmussen and Williams, Gaussian Processes for Machine
Learning, 2006, section 3.4, in its form for generalized linear models).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy import special

from planner.engines.counts import Floats
from planner.engines.pooling import settle
from planner.engines.pooling_fit import (
    EFFECT_PRIOR,
    EFFECT_SPREAD,
    NO_GUESS_SPREAD,
    Model,
    State,
    evidence_of,
    first_state,
    information_of,
    model_of,
    rates_of,
    slope_of,
)
from planner.engines.pooling_grid import KAPPA_CENTRE, KAPPA_SPREAD
from planner.engines.pooling_values import History

KAPPAS = np.geomspace(1.0, 64.0, 7)
SPREADS = np.geomspace(0.1, 1.6, 7)
"""Shapes of rates, and spreads of effects, that are looked at."""
STEPS = 3
"""Newton steps from the fit's effects to the best for another kappa."""
HALVINGS = 40


@dataclass(frozen=True, slots=True)
class Effects:
    """
    Factors on the rate against the usual size or colour (the geometric middle is 1).

    Shape (sizes,) or (colours,), each with the ends of its interval.
    """

    times: Floats
    low: Floats
    high: Floats


@dataclass(frozen=True, slots=True)
class _Bell:
    """Effects for one kappa: log evidence at 0, natural slope, information."""

    worth: float
    pull: Floats
    information: Floats


def effects_of(
    history: History,
    *,
    guess: Floats | Sequence[float] | float | None = None,
    confidence: float = 0.9,
) -> tuple[Effects, Effects]:
    """
    Give the effects of the sizes and of the colours, with intervals.

    guess: as for `pool`, which names what is raised.
    """
    model = model_of(history, guess)
    state = settle(model, first_state(model))
    weights, means, covers = _mixture(model, state)
    first, last = 1, model.design.shape[1] - 1
    parts = (slice(first, first + model.sizes), slice(first + model.sizes, last))
    return tuple(  # type: ignore[return-value]
        _between(weights, *_about(means[:, at], covers[:, at, at]), confidence)
        for at in parts
    )


def _mixture(model: Model, state: State) -> tuple[Floats, Floats, Floats]:
    """Give weights, means and covariances of effects over the grid of shapes."""
    rows = [row for bell in _bells(model, state) for row in _spread_out(model, bell)]
    worths, means, covers = zip(*rows, strict=True)
    weights = special.softmax(np.array(worths))
    return np.asarray(weights), np.array(means), np.array(covers)


def _bells(model: Model, state: State) -> Iterator[_Bell]:
    for kappa in KAPPAS.tolist():
        at = _best(model, replace(state, kappa=kappa))
        rates = rates_of(model, at)
        known, slope = information_of(model, at, rates), slope_of(model, at, rates)
        pull = known @ at.effects + slope
        worth = evidence_of(model, at, rates)
        worth -= float(slope @ at.effects + 0.5 * at.effects @ known @ at.effects)
        away = np.log(kappa / KAPPA_CENTRE) / KAPPA_SPREAD
        yield _Bell(worth - 0.5 * float(away**2), pull, known)


def _best(model: Model, state: State) -> State:
    """Move the effects to their best for the state's kappa and spreads."""
    ridge = _ridge(model, state.spread2)
    for _ in range(STEPS):
        rates = rates_of(model, state)
        slope = slope_of(model, state, rates) - ridge * state.effects
        step = np.linalg.solve(
            information_of(model, state, rates) + np.diag(ridge), slope
        )
        step /= max(1.0, float(np.abs(step).max()))
        state = replace(state, effects=state.effects + step)
    return state


def _spread_out(model: Model, bell: _Bell) -> Iterator[tuple[float, Floats, Floats]]:
    """Give log weight, mean and covariance of effects for every pair of spreads."""
    for sizes in SPREADS:
        for colours in SPREADS:
            spread2 = np.array([sizes**2, colours**2])
            ridge = _ridge(model, spread2)
            cover = np.asarray(np.linalg.inv(bell.information + np.diag(ridge)))
            mean = cover @ bell.pull
            whole = np.log(ridge[ridge > 0]).sum() + np.linalg.slogdet(cover)[1]
            worth = bell.worth + 0.5 * float(bell.pull @ mean + whole)
            yield worth + _prior(spread2), mean, cover


def _ridge(model: Model, spread2: Floats) -> Floats:
    ridge = model.ridge(spread2)
    if model.base_spread == NO_GUESS_SPREAD:
        ridge[0] = 0.0
    return ridge


def _prior(spread2: Floats) -> float:
    """Log density of the logs of spreads, as if so many effects had been seen."""
    terms = np.log(spread2) + EFFECT_SPREAD**2 / spread2
    return -0.5 * EFFECT_PRIOR * float(terms.sum())


def _about(means: Floats, covers: Floats) -> tuple[Floats, Floats]:
    """Give means and spreads of effects about their own mean."""
    about = np.eye(means.shape[1]) - 1 / means.shape[1]
    variances = np.einsum("ij,gjk,ik->gi", about, covers, about)
    return means @ about, np.sqrt(np.maximum(variances, 1e-12))


def _between(
    weights: Floats, means: Floats, spreads: Floats, confidence: float
) -> Effects:
    out = (1 - confidence) / 2
    low, high = (_quantile(weights, means, spreads, q) for q in (out, 1 - out))
    return Effects(np.exp(weights @ means), np.exp(low), np.exp(high))


def _quantile(weights: Floats, means: Floats, spreads: Floats, share: float) -> Floats:
    """Quantiles of a mixture of normals, by halving."""
    low, high = (means - 8 * spreads).min(axis=0), (means + 8 * spreads).max(axis=0)
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        below = weights @ special.ndtr((middle - means) / spreads) < share
        low, high = np.where(below, middle, low), np.where(below, high, middle)
    return np.asarray((low + high) / 2)
