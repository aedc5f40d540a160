"""
Laws of demand for one item: mean, quantiles and expected lost sales.

Textbook laws stand beside the counts (planner.engines.counts.CountLaw, which has the
same three members), so that one rule serves them all. Pure numbers.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from scipy import special

from planner.engines.counts import SLACK, Floats


class Demand(Protocol):
    """A law of demand: anything with a mean, quantiles and expected lost sales."""

    @property
    def mean(self) -> float:
        """Expected demand."""
        ...

    def quantile(self, ratio: float) -> float:
        """Smallest q with F(q) >= ratio."""
        ...

    def lost(self, q: float) -> float | Floats:
        """Give E[(D - q)+]."""
        ...


def standard_loss(z: float) -> float:
    """Expected excess of a standard normal over z, phi(z) - z * P(Z > z)."""
    density = math.exp(-z * z / 2) / math.sqrt(2 * math.pi)
    return density - z * float(special.ndtr(-z))


@dataclass(frozen=True, slots=True)
class Normal:
    """Normal demand; mass below zero is kept, as the textbooks do."""

    mean: float
    sd: float

    def quantile(self, ratio: float) -> float:
        """Smallest q with F(q) >= ratio."""
        return self.mean + self.sd * float(special.ndtri(ratio))

    def cdf(self, q: float) -> float:
        """P(D <= q)."""
        return float(special.ndtr((q - self.mean) / self.sd))

    def lost(self, q: float) -> float:
        """Give E[(D - q)+]."""
        return self.sd * standard_loss((q - self.mean) / self.sd)


@dataclass(frozen=True, slots=True)
class TruncatedNormal:
    """Normal demand conditioned to lie in low..high (not clipped to it)."""

    centre: float
    spread: float
    low: float = 0.0
    high: float = math.inf

    def _z(self, q: float) -> float:
        return (q - self.centre) / self.spread

    @property
    def _mass(self) -> tuple[float, float]:
        below = float(special.ndtr(self._z(self.low)))
        return below, float(special.ndtr(self._z(self.high))) - below

    @property
    def mean(self) -> float:
        """Expected demand."""
        return self.low + self.lost(self.low)

    def quantile(self, ratio: float) -> float:
        """Smallest q with F(q) >= ratio."""
        below, mass = self._mass
        return self.centre + self.spread * float(special.ndtri(below + ratio * mass))

    def lost(self, q: float) -> float:
        """Give E[(D - q)+] for q in low..high."""
        tail, top = standard_loss(self._z(q)), self._z(self.high)
        if math.isfinite(top):
            gap = top - self._z(q)
            tail -= standard_loss(top) + gap * float(special.ndtr(-top))
        return self.spread * tail / self._mass[1]


@dataclass(frozen=True, slots=True)
class LogNormal:
    """Demand whose logarithm is normal(mu, sigma)."""

    mu: float
    sigma: float

    @classmethod
    def of(cls, *, mean: float, sd: float) -> LogNormal:
        """Match a mean and a standard deviation."""
        sigma2 = math.log1p((sd / mean) ** 2)
        return cls(math.log(mean) - sigma2 / 2, math.sqrt(sigma2))

    @property
    def mean(self) -> float:
        """Expected demand."""
        return math.exp(self.mu + self.sigma**2 / 2)

    def quantile(self, ratio: float) -> float:
        """Smallest q with F(q) >= ratio."""
        return math.exp(self.mu + self.sigma * float(special.ndtri(ratio)))

    def lost(self, q: float) -> float:
        """Give E[(D - q)+]."""
        if q <= 0:
            return self.mean - q
        z = (self.mu - math.log(q)) / self.sigma
        upper = self.mean * float(special.ndtr(z + self.sigma))
        return upper - q * float(special.ndtr(z))


@dataclass(frozen=True, slots=True)
class Uniform:
    """Demand spread evenly over low..high."""

    low: float
    high: float

    @property
    def mean(self) -> float:
        """Expected demand."""
        return (self.low + self.high) / 2

    def quantile(self, ratio: float) -> float:
        """Smallest q with F(q) >= ratio."""
        return self.low + ratio * (self.high - self.low)

    def lost(self, q: float) -> float:
        """Give E[(D - q)+]."""
        inside = min(max(q, self.low), self.high)
        beyond = (self.high - inside) ** 2 / (2 * (self.high - self.low))
        return beyond + max(self.low - q, 0.0)


@dataclass(frozen=True, slots=True)
class Lomax:
    """Exponential demand whose rate is gamma(shape, rate); infinite shape: plain."""

    scale: float
    shape: float = math.inf

    @property
    def mean(self) -> float:
        """Expected demand; infinite for a shape of 1 or less."""
        return self.lost(0.0)

    def quantile(self, ratio: float) -> float:
        """Smallest q with F(q) >= ratio."""
        if math.isinf(self.shape):
            return -self.scale * math.log1p(-ratio)
        return self.scale * math.expm1(-math.log1p(-ratio) / self.shape)

    def lost(self, q: float) -> float:
        """Give E[(D - q)+]."""
        if math.isinf(self.shape):
            return self.scale * math.exp(-q / self.scale)
        if self.shape <= 1:
            return math.inf
        tail = float((1 + q / self.scale) ** (1 - self.shape))
        return self.scale * tail / (self.shape - 1)


@dataclass(frozen=True, slots=True)
class Discrete:
    """Demand on a finite rising list of values with their probabilities."""

    values: tuple[float, ...]
    chances: tuple[float, ...]

    @classmethod
    def seen(cls, history: Sequence[float]) -> Discrete:
        """Take a history as it is: each value as likely as it was frequent."""
        values, counts = np.unique(np.asarray(history, dtype=float), return_counts=True)
        return cls(tuple(values.tolist()), tuple((counts / counts.sum()).tolist()))

    @property
    def mean(self) -> float:
        """Expected demand."""
        return float(np.dot(self.values, self.chances))

    def quantile(self, ratio: float) -> float:
        """Smallest listed value with F >= ratio."""
        reached = np.cumsum(self.chances) >= ratio - SLACK
        return (
            self.values[int(np.argmax(reached))] if reached.any() else self.values[-1]
        )

    def lost(self, q: float) -> float:
        """Give E[(D - q)+]."""
        return float(np.dot(np.maximum(np.subtract(self.values, q), 0), self.chances))
