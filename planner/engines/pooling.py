"""
Rates for every kind, pooled over size and colour, with one common shock a fair.

The model, in numbers only: at a fair, a kind with rate r and exposure e is asked for
Poisson(r * g * e) times, where g is a gamma(shock, shock) factor that all kinds of
that fair share. A kind's rate is gamma with shape kappa and a mean that its size and
its colour multiply up to; so a kind with little history of its own leans on its
neighbours. Where a kind sold out at an unknown time only P(D >= brought) is used.
Shapes and effects are fitted by their marginal likelihood with weak priors, in turn,
until they rest. Nothing here is drawn by chance but `draws`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy import special

from planner.engines.counts import CountLaw, Floats, count_draws, log_sum

SHAPES = np.geomspace(0.5, 400.0, 60)
"""Shapes tried for kappa and for the shock."""
KAPPA_CENTRE, KAPPA_SPREAD = 4.0, 1.0
SHOCK_CENTRE, SHOCK_SPREAD = 8.0, 1.5
"""Weak lognormal priors of the shapes: their medians, and the spreads of the log."""
EFFECT_SPREAD, EFFECT_PRIOR = 0.5, 2.0
"""Prior spread of log effects of sizes and colours, worth so many effects seen."""
JUDGED_SPREAD = 0.7
"""Prior spread of the power of what she brought as a sign of what sells."""
GUESS_SPREAD, NO_GUESS_SPREAD = 0.7, 10.0
"""Prior spread of the log base with her guess (a factor of 2) and without any."""
Z = np.linspace(-8.0, 12.0, 61)
"""Grid for integrals over a log rate, in standard deviations of its rough law."""
FAIR_LOGS = np.linspace(-4.0, 3.0, 181)[:, None]
"""Grid of logs for a fair's factor, from a 55th to twenty times the usual."""


@dataclass(frozen=True, slots=True)
class History:
    """
    Past fairs as arrays of shape (fairs, kinds).

    sold: bows sold. exposure: 0 where the kind wasn't brought, cut where it sold out
    at a known time. sold_out: all brought were sold, time unknown (sold = brought).
    brought: bows on the table (none told: no sign of what she expects). size, colour:
    index of each kind's size and colour, shape (kinds,). recency:
    weight of each fair in 0..1 (default 1). Raises ValueError when shapes differ.
    """

    sold: Floats
    exposure: Floats
    sold_out: NDArray[np.bool_]
    size: NDArray[np.int64]
    colour: NDArray[np.int64]
    recency: Floats | None = None
    brought: Floats | None = None

    def __post_init__(self) -> None:
        if not self.sold.shape == self.exposure.shape == self.sold_out.shape:
            raise ValueError("sold, exposure and sold_out must have one shape")
        if not self.sold.shape[1:] == self.size.shape == self.colour.shape:
            raise ValueError("each kind needs one size and one colour")

    @property
    def weights(self) -> Floats:
        """Weight of each fair, shape (fairs, 1)."""
        plain = np.ones((self.sold.shape[0], 1))
        return plain if self.recency is None else plain * self.recency[:, None]

    @property
    def judged(self) -> Floats:
        """
        Log of the usual number brought of each kind, about its mean; 0 where never.

        She brings more of what sells: without this, kinds that always sell out of
        two would be taken for as good as those that sell out of six.
        """
        if self.brought is None:
            return np.zeros(self.size.shape)
        here = (self.exposure > 0) & (self.brought > 0)
        times = here.sum(axis=0)
        usual = np.where(here, self.brought, 0.0).sum(axis=0) / np.maximum(times, 1)
        logs = np.log(np.maximum(usual, 0.5))
        mean = float(np.average(logs, weights=times)) if times.any() else 0.0
        return np.asarray(np.where(times > 0, logs - mean, 0.0))

    @property
    def told(self) -> NDArray[np.bool_]:
        """Where there is information: brought, and not just sold out of none."""
        return (self.exposure > 0) & ~(self.sold_out & (self.sold <= 0))


@dataclass(frozen=True, slots=True)
class Pooled:
    """
    What is known of each kind's rate, arrays of shape (kinds,).

    a, b: shape and rate of each kind's gamma posterior. own: weight of its own
    history against its neighbours' (0 none, near 1 all). mean_of_neighbours: what
    size and colour alone would say. kappa, shock: fitted shapes. shock_ahead: shape
    of the shock of a coming fair, with what isn't known of the common level.
    fairs: past factors g. told: fairs that say something of each kind.
    """

    a: Floats
    b: Floats
    own: Floats
    mean_of_neighbours: Floats
    kappa: float
    shock: float
    shock_ahead: float
    fairs: Floats
    told: NDArray[np.int64]

    def law(self, kind: int, exposure: float) -> CountLaw:
        """
        Predict one kind's demand at a coming fair.

        Negative binomial with the mean and variance of the rate and shock together.
        """
        own, common = 1 / float(self.a[kind]), 1 / self.shock_ahead
        mean = exposure * float(self.a[kind] / self.b[kind])
        return CountLaw(mean, 1 / (own + common + own * common))

    def draws(
        self, exposure: float | Floats, *, size: int, rng: np.random.Generator
    ) -> NDArray[np.int64]:
        """Draw joint demands of all kinds, shape (size, kinds), one shock a row."""
        means = np.broadcast_to(self.a / self.b * exposure, self.a.shape).tolist()
        shapes, common = self.a.tolist(), self.shock_ahead
        return count_draws(means, shapes=shapes, shock=common, size=size, rng=rng)


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
    prior = _log_prior(logs, kappa, rates.mu[known])
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


def _log_terms(
    sold: Floats, mean: Floats, shape: Floats, hidden: NDArray[np.bool_]
) -> Floats:
    """Log-likelihood up to a constant: NB for counts, its tail where sold out."""
    terms = np.asarray(sold * np.log(mean) - (sold + shape) * np.log1p(mean / shape))
    out = np.broadcast_to(hidden, terms.shape)
    if out.any():
        n, m, k = (np.broadcast_to(x, terms.shape)[out] for x in (sold, mean, shape))
        tail = special.betainc(n, k, m / (m + k))
        terms[out] = np.log(np.maximum(tail, 1e-300))
    return terms


def _rates(model: _Model, state: _State) -> _Rates:
    """Integrate each kind's rate over a grid of logs, shape (grid, kinds)."""
    mu = np.exp(model.offset + model.design @ state.effects)
    logs = _grid(model.history, state, mu)
    terms = _kind_terms(model.history, state, logs)
    weight = special.softmax(terms + _log_prior(logs, state.kappa, mu), axis=0)
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
        told = _log_terms(history.sold[f, k], mean, shape, history.sold_out[f, k])
        terms[:, k] += history.weights[f] * told
    return terms


def _log_prior(logs: Floats, shape: float, mean: Floats | float) -> Floats:
    """Gamma law as a density of the log, up to a constant."""
    return np.asarray(shape * (logs - np.log(mean) - np.exp(logs) / mean))


def _evidence(likelihood: Floats, prior: Floats) -> float:
    """Sum of log marginal likelihoods, each prior made whole on its own grid."""
    return float((log_sum(likelihood + prior) - log_sum(prior)).sum())


def _best_shape(evidence: Sequence[float], centre: float, spread: float) -> float:
    """Take the best shape of the grid under its weak prior, between grid points."""
    away = (np.log(SHAPES / centre) / spread) ** 2 / 2
    score = np.asarray(evidence) - away
    i = min(max(int(np.argmax(score)), 1), SHAPES.size - 2)
    low, here, high = score[i - 1 : i + 2]
    bend = low - 2 * here + high
    shift = 0.5 * (low - high) / bend if bend < 0 else 0.0
    step = math.log(SHAPES[1] / SHAPES[0])
    return float(SHAPES[i] * math.exp(step * min(max(shift, -1.0), 1.0)))


def _best_kappa(model: _Model, rates: _Rates) -> float:
    known = model.history.told.any(axis=0)
    logs, seen, mu = rates.logs[:, known], rates.likelihood[:, known], rates.mu[known]
    scores = [_evidence(seen, _log_prior(logs, shape, mu)) for shape in SHAPES]
    return _best_shape(scores, KAPPA_CENTRE, KAPPA_SPREAD)


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
    scores = [_evidence(terms, _log_prior(FAIR_LOGS, s, 1.0)) for s in SHAPES]
    shock, swing = (
        _best_shape(scores, SHOCK_CENTRE, SHOCK_SPREAD),
        _mean_inverse(scores),
    )
    weight = special.softmax(terms + _log_prior(FAIR_LOGS, shock, 1.0), axis=0)
    g = (weight * np.exp(FAIR_LOGS)).sum(axis=0)
    variance = (weight * (np.exp(FAIR_LOGS) - g) ** 2).sum(axis=0)
    level = float(np.average(g, weights=history.weights[:, 0]))
    effects = state.effects.copy()
    effects[0] += math.log(level)
    shape = g**2 / variance
    return replace(
        state, effects=effects, shock=shock, g=g / level, g_shape=shape, swing=swing
    )


def _mean_inverse(evidence: Sequence[float]) -> float:
    """Average 1 / shock over what the fairs and the weak prior leave possible."""
    away = (np.log(SHAPES / SHOCK_CENTRE) / SHOCK_SPREAD) ** 2 / 2
    return float(special.softmax(np.asarray(evidence) - away) @ (1 / SHAPES))


def _fair_terms(history: History, rates: _Rates) -> Floats:
    """Log-likelihood of each fair's factor, shape (grid, fairs)."""
    shapes = rates.mean**2 / rates.variance
    terms = np.zeros((FAIR_LOGS.size, history.sold.shape[0]))
    for f, k in enumerate(history.told):
        mean = np.exp(FAIR_LOGS) * (rates.mean[k] * history.exposure[f, k])
        told = _log_terms(history.sold[f, k], mean, shapes[k], history.sold_out[f, k])
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
