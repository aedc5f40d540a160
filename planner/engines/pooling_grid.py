"""
Integrals over a log rate or a fair's factor, on grids of logs.

Pure numbers for `planner.engines.pooling`: likelihoods of counts (their tails where a
kind sold out unseen), gamma priors, and the shapes that make data likeliest.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray
from scipy import special

from planner.engines.counts import Floats, log_sum

SHAPES = np.geomspace(0.5, 400.0, 60)
"""Shapes tried for kappa and for the shock."""
KAPPA_CENTRE, KAPPA_SPREAD = 4.0, 1.0
SHOCK_CENTRE, SHOCK_SPREAD = 10.0, 1.6
"""Weak lognormal priors of the shapes: their medians, and the spreads of the log."""
CROWD_UNKNOWN = 4.5
"""The shock's median where nobody told how large crowds were: a class more or less,
a third, adds about as much variance again."""
Z = np.linspace(-8.0, 12.0, 61)
"""Grid for integrals over a log rate, in standard deviations of its rough law."""
FAIR_LOGS = np.linspace(-4.0, 3.0, 181)[:, None]
"""Grid of logs for a fair's factor, from a 55th to twenty times the usual."""


def log_terms(
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


def log_prior(logs: Floats, shape: float | Floats, mean: Floats | float) -> Floats:
    """Gamma law as a density of the log, up to a constant."""
    return np.asarray(shape * (logs - np.log(mean) - np.exp(logs) / mean))


def evidence(likelihood: Floats, prior: Floats) -> float:
    """Sum of log marginal likelihoods, each prior made whole on its own grid."""
    return float((log_sum(likelihood + prior) - log_sum(prior)).sum())


def best_shape(worths: Sequence[float], centre: float, spread: float) -> float:
    """Take the best shape of the grid under its weak prior, between grid points."""
    away = (np.log(SHAPES / centre) / spread) ** 2 / 2
    score = np.asarray(worths) - away
    i = min(max(int(np.argmax(score)), 1), SHAPES.size - 2)
    low, here, high = score[i - 1 : i + 2]
    bend = low - 2 * here + high
    shift = 0.5 * (low - high) / bend if bend < 0 else 0.0
    step = math.log(SHAPES[1] / SHAPES[0])
    return float(SHAPES[i] * math.exp(step * min(max(shift, -1.0), 1.0)))


def shock_odds(centre: float, worths: Sequence[float] | None = None) -> Floats:
    """Weigh the shapes of the shock: what fairs and weak prior leave possible."""
    away = (np.log(SHAPES / centre) / SHOCK_SPREAD) ** 2 / 2
    seen = np.zeros(SHAPES.size) if worths is None else np.asarray(worths)
    return np.asarray(special.softmax(seen - away))


def shape_ahead(odds: Floats, *, times: float, plus: float) -> float:
    """
    Give the one gamma shape that stands for a factor whose own shape isn't known.

    The factor's variance is ``times / shape + plus`` with a shape drawn by ``odds``.
    Such a mixture has a narrower middle than a gamma law of its variance, so the gamma
    law given has the middle nine tenths just as wide.
    """
    likely = odds > FAINT
    shapes = 1 / (times / SHAPES[likely] + plus)[:, None]
    below = odds[likely] / odds[likely].sum() @ special.gammainc(shapes, shapes * AHEAD)
    low, high = np.interp([0.05, 0.95], below, AHEAD)
    return float(
        1 / np.exp(np.interp(np.log(high - low), np.log(WIDTHS), LOG_VARIANCES))
    )


def fair_worths(terms: Floats) -> Floats:
    """
    Log evidence of every shape of the shock, from likelihoods of fairs' factors.

    terms: log-likelihoods on FAIR_LOGS, shape (grid, fairs).
    """
    top = terms.max(axis=0)
    seen = FAIR_PRIORS @ np.exp(terms - top)
    return np.asarray((np.log(np.maximum(seen, 1e-300)) + top).sum(axis=1))


def shape_worths(likelihood: Floats, logs: Floats, mean: Floats) -> list[float]:
    """
    Log evidence of shapes of kinds' rates, minus infinity where not looked.

    Every fourth shape first, then those about the best: the evidence has one top.
    """
    base = log_prior(logs, 1.0, mean)
    away = (np.log(SHAPES / KAPPA_CENTRE) / KAPPA_SPREAD) ** 2 / 2
    found = [-math.inf] * SHAPES.size

    def look(at: Iterable[int]) -> int:
        for i in at:
            if found[i] == -math.inf:
                found[i] = evidence(likelihood, SHAPES[i] * base)
        return int(np.argmax(np.asarray(found) - away))

    best = look(range(1, SHAPES.size - 1, 4))
    look(range(max(best - 5, 0), min(best + 6, SHAPES.size)))
    return found


def _fair_priors() -> Floats:
    logs = log_prior(FAIR_LOGS.T, SHAPES[:, None], 1.0)
    return np.asarray(special.softmax(logs, axis=1))


def _middle(variances: Floats) -> Floats:
    """Width of the middle nine tenths of gamma laws about 1; grows up to 2."""
    ends = special.gammaincinv(1 / variances, np.array([[0.05], [0.95]])) * variances
    return np.asarray(ends[1] - ends[0])


FAINT = 1e-4
"""Odds below which a shape is left out."""
AHEAD = np.exp(np.linspace(-6.0, 3.5, 381))
LOG_VARIANCES = np.linspace(math.log(1e-4), math.log(2.0), 100)
WIDTHS = _middle(np.exp(LOG_VARIANCES))
"""A coming fair's factor, variances of gamma laws, and how wide those laws are."""
FAIR_PRIORS = _fair_priors()
"""Laws of a fair's factor for each shape of the shock, shape (shapes, grid)."""
