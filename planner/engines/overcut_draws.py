"""
Draws from what the readings leave possible: over-cut, labels, and how far all is off.

A Gibbs sampler: which excesses hold cuts never entered, then the figures given that,
then the spreads given both, over and over.  So an interval is as wide as it must be
when the spreads themselves, and what is missing, are unsure.  S. and D. Geman (1984);
the steps for a linear model with unknown spreads are those of A. Gelman and others,
Bayesian Data Analysis, chapters 11 and 14 (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from planner.engines.lumps import BEGIN, WORTH, Chosen, Lumps, choose

if TYPE_CHECKING:
    from numpy.random import Generator
    from numpy.typing import NDArray

    Array = NDArray[Any]

DRAWS = 1000
"""Draws kept."""
BEFORE = 250
"""Draws thrown away, until the beginning is forgotten."""
ROLE_SPREAD = 0.3
"""How far the roles' over-cuts are taken to lie from their mean (in)."""
LOT_SPREAD = 1.2
"""How far lots' labels are taken to be off each other (hundredths): a stated guess."""
LOT_PRIOR = 4.0
"""Lots' worth of trust in that guess."""
ALL_LOTS = 1.0
"""How far the labels of all lots together may be off (hundredths): a stated guess."""
PRIOR = 6.0
"""Observations' worth of trust in the stated spreads of readings."""
VAGUE = 1e-6
"""Precision of a figure that nothing was guessed of."""


@dataclass(frozen=True)
class Design:
    """
    The stretches as arrays, in inches; label readings as rows of their own.

    Columns: the mean over-cut, each role's distance from it, each lot's label error
    in hundredths.
    """

    x: Array
    y: Array
    spread: Array
    kinds: Lumps
    roles: tuple[str, ...]
    lots: tuple[str, ...]

    @property
    def at(self) -> int:
        """The column of the first lot."""
        return 1 + len(self.roles)


@dataclass
class _State:
    """Where the walk is; `scale` multiplies the spreads, squared."""

    beta: Array
    scale: float = 1.0
    rate: float = BEGIN
    between: float = LOT_SPREAD**2
    common: float = 0.0


@dataclass(frozen=True)
class Draws:
    """
    Figures by draw and column, and the squared scale of the spreads by draw.

    `clean` and `missing` say by row in what share of the draws it held nothing odd,
    and a cut never entered.
    """

    beta: Array
    scale: Array
    clean: Array
    missing: Array


def draw(d: Design, *, seed: int = 1, draws: int = DRAWS) -> Draws:
    """Walk through what the readings leave possible; the same seed, the same walk."""
    import numpy as np

    chance = np.random.default_rng(seed)
    now = _State(np.zeros(d.x.shape[1]))
    beta, scale = np.empty((draws, d.x.shape[1])), np.empty(draws)
    clean, missing = np.zeros(len(d.y)), np.zeros(len(d.y))
    for turn in range(-BEFORE, draws):
        held = _step(d, now, chance)
        if turn >= 0:
            beta[turn], scale[turn] = now.beta, now.scale
            clean += held.clean
            missing += held.missing > 0
    return Draws(beta, scale, clean / draws, missing / draws)


def _step(d: Design, now: _State, chance: Generator) -> Chosen:
    """Draw each unknown in turn, given all the others."""
    left = d.y - d.x @ now.beta
    held = choose(d.kinds, left, d.spread * now.scale**0.5, now.rate, chance)
    weight = (d.spread * held.wide) ** -2.0
    now.beta = _figures(d, now, held.lump, weight, chance)
    off = d.y - held.lump - d.x @ now.beta
    told = int((weight > 0).sum())
    now.scale = (PRIOR + float(weight @ off**2)) / chance.chisquare(PRIOR + told)
    if d.lots:
        _labels(now, now.beta[d.at :], chance)
    cuts = float(d.kinds.cuts.sum()) + WORTH
    now.rate = chance.gamma(float(held.missing.sum()) + WORTH * BEGIN) / cuts
    return held


def _figures(
    d: Design, now: _State, lump: Array, weight: Array, chance: Generator
) -> Array:
    """Draw over-cuts and label errors: normal, given the lumps and the spreads."""
    import numpy as np

    prior = np.full(d.x.shape[1], 1 / now.between)
    prior[: d.at] = VAGUE, *[ROLE_SPREAD**-2] * len(d.roles)
    about = np.where(np.arange(len(prior)) >= d.at, now.common, 0.0)
    weighed = d.x.T * (weight / now.scale)
    root = np.linalg.cholesky(weighed @ d.x + np.diag(prior))
    mean = np.linalg.solve(root, weighed @ (d.y - lump) + prior * about)
    made: Array = np.linalg.solve(root.T, mean + chance.standard_normal(len(prior)))
    return made


def _labels(now: _State, errors: Array, chance: Generator) -> None:
    """Draw what all lots' labels share, and how far lots lie from each other."""
    precision = len(errors) / now.between + ALL_LOTS**-2
    mean = float(errors.sum()) / now.between / precision
    now.common = chance.normal(mean, precision**-0.5)
    squares = LOT_PRIOR * LOT_SPREAD**2 + float(((errors - now.common) ** 2).sum())
    now.between = squares / chance.chisquare(LOT_PRIOR + len(errors))
