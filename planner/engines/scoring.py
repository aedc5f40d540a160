"""
How good stated chances and quantiles were: Brier, pinball, CRPS, interval score.

Pure numbers; lower is better for each. A chance is scored by what happened (1 or 0),
a quantile or a whole law by the figure that came.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy import special

from planner.engines.forecast import Floats, Share


def brier(happened: ArrayLike, chance: ArrayLike) -> float:
    """Give the mean squared difference of chances and what happened (Brier 1950)."""
    came, told = np.asarray(happened, float), np.asarray(chance, float)
    return float(((told - came) ** 2).mean())


def pinball(came: ArrayLike, quantile: ArrayLike, share: float) -> float:
    """Give the mean loss of quantiles stated for a share, steeper on one side."""
    short = np.asarray(came, float) - np.asarray(quantile, float)
    return float(np.maximum(share * short, (share - 1) * short).mean())


def crps_normal(came: ArrayLike, mean: float = 0.0, spread: float = 1.0) -> Floats:
    """
    Give the CRPS of a normal law for each figure that came.

    Source: Gneiting and others 2005, equation 5.
    """
    z = (np.asarray(came, float) - mean) / spread
    density = np.exp(-(z**2) / 2) / math.sqrt(2 * math.pi)
    inner = z * (2 * special.ndtr(z) - 1) + 2 * density - 1 / math.sqrt(math.pi)
    return np.asarray(spread * inner)


def crps_draws(came: float, draws: ArrayLike, *, fair: bool = False) -> float:
    """
    Give the CRPS of a law known by draws of it.

    fair: as if the draws were a sample of the law and not the law itself, so that few
    draws are not punished (Ferro 2014).
    """
    rising = np.sort(np.asarray(draws, float))
    n = len(rising)
    between = float((rising * (2 * np.arange(1, n + 1) - n - 1)).sum())
    pairs = n * (n - 1) if fair else n * n
    return float(abs(rising - came).mean()) - between / pairs


def crps_poisson(came: int, mean: float) -> float:
    """
    Give the CRPS of a Poisson law.

    Source: Wei & Held 2014 (closed form with Bessel functions).
    """
    below = float(special.pdtr(came, mean))
    at = math.exp(came * math.log(mean) - mean - math.lgamma(came + 1))
    bessel = float(special.ive(0, 2 * mean) + special.ive(1, 2 * mean))
    return (came - mean) * (2 * below - 1) + 2 * mean * at - mean * bessel


def interval_score(came: float, low: float, high: float, *, outside: float) -> float:
    """
    Give the score of an interval that was to miss with a chance of `outside`.

    Its width, and 2 / outside for each unit that it was missed by (Gneiting & Raftery
    2007, equation 43).
    """
    missed = max(low - came, 0.0) + max(came - high, 0.0)
    return high - low + 2 / outside * missed


@dataclass(frozen=True, slots=True)
class Parts:
    """
    A Brier score taken apart: reliability - resolution + uncertainty (Murphy 1973).

    `skill` is what share it is better by than always stating the mean.
    """

    mean: float
    reliability: float
    resolution: float
    uncertainty: float

    @property
    def brier(self) -> float:
        """The Brier score."""
        return self.reliability - self.resolution + self.uncertainty

    @property
    def skill(self) -> float:
        """1 less the score over that of always stating the mean; 0 if none varies."""
        return 1 - self.brier / self.uncertainty if self.uncertainty else 0.0


def parts(chance: ArrayLike, happened: ArrayLike, weight: ArrayLike) -> Parts:
    """Take a Brier score apart by chance stated, how often it happened, and weight."""
    told, came = np.asarray(chance, float), np.asarray(happened, float)
    share = np.asarray(weight, float) / np.sum(weight)
    mean = float((share * came).sum())
    return Parts(
        mean,
        float((share * (told - came) ** 2).sum()),
        float((share * (came - mean) ** 2).sum()),
        mean * (1 - mean),
    )


@dataclass(frozen=True, slots=True)
class Bin:
    """
    Chances stated between two bounds: how many, their mean, how often it happened.

    `low`..`high` is where the true share lies with a chance of 80 %, by what was seen
    alone (a beta law with half a yes and half a no beforehand).
    """

    least: float
    most: float
    count: int
    told: float
    came: float
    low: float
    high: float


def bins(
    chance: Sequence[float], happened: Sequence[bool], edges: Sequence[float]
) -> tuple[Bin, ...]:
    """Sort chances into fixed bins (the last holds its upper bound), empty ones out."""
    told, came = np.asarray(chance, float), np.asarray(happened, float)
    which = np.clip(np.searchsorted(edges, told, side="right") - 1, 0, len(edges) - 2)
    found = []
    for at in range(len(edges) - 1):
        inside = which == at
        if inside.any():
            yes = float(came[inside].sum())
            law = Share(0.5, 0.5).given(yes, float(inside.sum()) - yes)
            found.append(
                Bin(
                    edges[at], edges[at + 1], int(inside.sum()),
                    float(told[inside].mean()), yes / float(inside.sum()),
                    law.quantile(0.1), law.quantile(0.9),
                )
            )  # fmt: skip
    return tuple(found)


def calibration_error(found: Sequence[Bin]) -> float:
    """Give the mean difference of what was stated and what came, by bins' counts."""
    total = sum(one.count for one in found)
    return sum(one.count * abs(one.told - one.came) for one in found) / max(total, 1)
