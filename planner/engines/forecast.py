"""
What is learned from few observations: a normal law with unknown spread, and a share.

Pure numbers. `Normals` is the normal-inverse-gamma law of a linear regression: its
predictive is Student's t, and where logs of minutes are learned, a log-t. A log-t has
no mean, so only quantiles are given and draws are capped by whoever uses them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import special

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Normals:
    """
    Coefficients with an unknown common spread: the normal-inverse-gamma law.

    spread**2 ~ inverse-gamma(shape, rate); coefficients given it ~ normal(mean,
    spread**2 x inverse of precision). mean (k,), precision (k, k).
    """

    mean: Floats
    precision: Floats
    shape: float
    rate: float

    def given(
        self, x: ArrayLike, y: ArrayLike, *, weight: ArrayLike = 1.0,
        count: ArrayLike = 1.0,
    ) -> Normals:  # fmt: skip
        """
        Give the law after y = x . coefficients + spread x noise / root of weight.

        x (n, k), y (n,); count: what each observation counts for, 1 for one whole.
        Source: the conjugate update, Gelman and others, Bayesian Data Analysis, 14.
        """
        rows, values = np.asarray(x, dtype=np.float64), np.asarray(y, dtype=np.float64)
        counts = np.broadcast_to(np.asarray(count, dtype=np.float64), values.shape)
        worth = counts * np.asarray(weight, dtype=np.float64)
        precision = self.precision + (rows.T * worth) @ rows
        pull = self.precision @ self.mean + (rows.T * worth) @ values
        mean: Floats = np.asarray(np.linalg.solve(precision, pull), dtype=np.float64)
        squares = float(
            (worth * values**2).sum()
            + self.mean @ self.precision @ self.mean
            - mean @ precision @ mean
        )
        return Normals(
            mean, precision, self.shape + float(counts.sum()) / 2,
            self.rate + max(squares, 0.0) / 2,
        )  # fmt: skip

    @property
    def spread(self) -> float:
        """The median spread of one observation of weight 1."""
        return math.sqrt(self.rate / float(special.gammaincinv(self.shape, 0.5)))

    def scale(self, x: ArrayLike, *, weight: float = 1.0) -> float:
        """Give the scale of the t of one more observation at x."""
        row = np.asarray(x, dtype=np.float64)
        unsure = float(row @ np.linalg.solve(self.precision, row))
        return math.sqrt(self.rate / self.shape * (1 / weight + unsure))

    def quantile(self, x: ArrayLike, chance: float, *, weight: float = 1.0) -> float:
        """Give a quantile of one more observation at x: a t of 2 shape degrees."""
        middle = float(np.asarray(x, dtype=np.float64) @ self.mean)
        t = float(special.stdtrit(2 * self.shape, chance))
        return middle + t * self.scale(x, weight=weight)

    def draw(self, rng: np.random.Generator, size: int) -> tuple[Floats, Floats]:
        """Draw coefficients (size, k) and spreads (size,) together."""
        spreads = np.sqrt(self.rate / rng.gamma(self.shape, size=size))
        root = np.linalg.cholesky(np.linalg.inv(self.precision))
        steps = rng.standard_normal((size, len(self.mean))) @ root.T
        return self.mean + spreads[:, None] * steps, spreads


def log_evidence(before: Normals, after: Normals, log_weights: float) -> float:
    """
    Give the log density of what was seen, by the ratio of the laws' constants.

    log_weights: sum of count x log(weight) of the observations; constants of pi are
    left out, as they are the same for every choice compared.
    """
    return (
        0.5 * log_weights
        + 0.5 * (_log_det(before.precision) - _log_det(after.precision))
        + before.shape * math.log(before.rate) - after.shape * math.log(after.rate)
        + math.lgamma(after.shape) - math.lgamma(before.shape)
    )  # fmt: skip


def _log_det(matrix: Floats) -> float:
    return float(np.linalg.slogdet(matrix)[1])


@dataclass(frozen=True, slots=True)
class Share:
    """A chance learned from yes and no: the beta law, and its beta-binomial."""

    yes: float
    no: float

    def given(self, yes: float, no: float) -> Share:
        """Give the law after so many of each were seen."""
        return Share(self.yes + yes, self.no + no)

    @property
    def mean(self) -> float:
        """Expected chance."""
        return self.yes / (self.yes + self.no)

    @property
    def tries(self) -> float:
        """
        Expected tries until the first no: the mean of 1 / (1 - chance) by the beta law.

        Raises ValueError where that has no mean.
        """
        if self.no <= 1:
            raise ValueError("with so little known of it, no number of tries is enough")
        return (self.yes + self.no - 1) / (self.no - 1)

    @property
    def sd(self) -> float:
        """Standard deviation of the chance."""
        total = self.yes + self.no
        return math.sqrt(self.yes * self.no / (total**2 * (total + 1)))

    def quantile(self, chance: float) -> float:
        """Give a quantile of the chance."""
        return float(special.betaincinv(self.yes, self.no, chance))

    def of(self, n: int) -> Floats:
        """Give P(k of n are yes) for k = 0..n: the beta-binomial."""
        k = np.arange(n + 1)
        logs = (
            special.betaln(self.yes + k, self.no + n - k)
            - special.betaln(self.yes, self.no)
            - special.betaln(k + 1, n - k + 1) - math.log(n + 1)
        )  # fmt: skip
        return np.asarray(np.exp(logs))

    def draw(self, rng: np.random.Generator, size: int) -> Floats:
        """Draw chances."""
        return rng.beta(self.yes, self.no, size=size)


def normals(
    mean: ArrayLike, variance: ArrayLike, *, spread: float, shape: float
) -> Normals:
    """
    Make a law from plain words: coefficients' mean and covariance in spread**2 units.

    spread: the median spread of one observation; shape: how sure, in half
    observations.
    """
    rate = spread**2 * float(special.gammaincinv(shape, 0.5))
    return Normals(
        np.asarray(mean, dtype=np.float64),
        np.linalg.inv(np.asarray(variance, dtype=np.float64)), shape, rate,
    )  # fmt: skip
