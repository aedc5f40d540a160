"""
Counts of bows asked for: laws, posteriors, censoring, fits and the common shock.

Pure numbers on plain arrays. A rate is bows per unit of exposure; exposure is
whatever the caller measures a fair by (hours times a power of the crowd). A shape
of infinity means Poisson everywhere.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import optimize, special

Floats: TypeAlias = NDArray[np.float64]

POISSON_FROM = 1e9
"""Shapes from here on are computed as Poisson; the two differ by under n*n/1e9."""
SLACK = 1e-12
"""A distribution function this little below the ratio counts as having reached it."""


def _floats(values: ArrayLike) -> Floats:
    return np.asarray(values, dtype=np.float64)


def log_sum(logs: Floats) -> Floats:
    """Log of the sum of exponents down each column; scipy's takes thrice as long."""
    top = logs.max(axis=0)
    return _floats(top + np.log(np.exp(logs - top).sum(axis=0)))


def log_pmf(n: ArrayLike, *, mean: ArrayLike, shape: ArrayLike) -> Floats:
    """
    Log of P(D = n) for a negative binomial given by mean and shape.

    Arguments broadcast; variance is mean + mean**2 / shape. Source: Bliss & Fisher
    1953 (there called k), written with log-beta so that large shapes stay exact.
    """
    n, mean, shape = np.broadcast_arrays(_floats(n), _floats(mean), _floats(shape))
    poisson = shape >= POISSON_FROM
    k = np.where(poisson, 1.0, shape)
    plain = special.xlogy(n, mean) - mean - special.gammaln(n + 1)
    choose = -np.log(n + k) - special.betaln(k, n + 1)
    share = special.xlogy(n, mean / (k + mean)) - k * np.log1p(mean / k)
    return _floats(np.where(poisson, plain, choose + share))


def at_most(n: ArrayLike, *, mean: ArrayLike, shape: ArrayLike) -> Floats:
    """P(D <= n) for a negative binomial; arguments broadcast, n below 0 gives 0."""
    return _beta_or_poisson(n, mean, shape, special.betainc, special.pdtr, below=0.0)


def above(n: ArrayLike, *, mean: ArrayLike, shape: ArrayLike) -> Floats:
    """P(D > n) for a negative binomial, exact in the far tail; n below 0 gives 1."""
    return _beta_or_poisson(n, mean, shape, special.betaincc, special.pdtrc, below=1.0)


def _beta_or_poisson(
    n: ArrayLike,
    mean: ArrayLike,
    shape: ArrayLike,
    beta: np.ufunc,
    poisson: np.ufunc,
    *,
    below: float,
) -> Floats:
    n, mean, shape = np.broadcast_arrays(_floats(n), _floats(mean), _floats(shape))
    whole = np.maximum(np.floor(n), 0.0)
    is_poisson = shape >= POISSON_FROM
    k = np.where(is_poisson, 1.0, shape)
    spread = beta(k, whole + 1, k / (k + mean))
    result = np.where(is_poisson, poisson(whole, mean), spread)
    return np.where(n < 0, below, result)


@dataclass(frozen=True, slots=True)
class CountLaw:
    """
    How many bows of one kind are asked for: negative binomial by mean and shape.

    Raises ValueError when mean is negative or shape is not positive.
    """

    mean: float
    shape: float = math.inf

    def __post_init__(self) -> None:
        if not (self.mean >= 0 and math.isfinite(self.mean)):
            raise ValueError(f"a mean of {self.mean} bows can't be; give 0 or more")
        if not self.shape > 0:
            raise ValueError(f"a shape of {self.shape} can't be; give more than 0")

    @property
    def variance(self) -> float:
        """Variance in bows squared."""
        return self.mean + self.mean**2 / self.shape

    def pmf(self, n: ArrayLike) -> Floats:
        """P(D = n)."""
        return np.exp(log_pmf(n, mean=self.mean, shape=self.shape))

    def cdf(self, n: ArrayLike) -> Floats:
        """P(D <= n)."""
        return at_most(n, mean=self.mean, shape=self.shape)

    def sf(self, n: ArrayLike) -> Floats:
        """P(D > n)."""
        return above(n, mean=self.mean, shape=self.shape)

    def quantile(self, ratio: float) -> int:
        """
        Give the smallest whole q with F(q) >= ratio.

        Raises ValueError when ratio is 1 or more: no quantity is ever enough.
        """
        if ratio >= 1:
            raise ValueError(f"no quantity meets a ratio of {ratio}; give less than 1")
        low, high = -1, max(1, math.ceil(self.mean + 3 * math.sqrt(self.variance)))
        while float(self.cdf(high)) < ratio - SLACK:
            low, high = high, 2 * high
        while high - low > 1:
            middle = (low + high) // 2
            enough = float(self.cdf(middle)) >= ratio - SLACK
            low, high = (low, middle) if enough else (middle, high)
        return high

    def sold(self, q: ArrayLike) -> Floats:
        """
        Give the expected sales E[min(D, q)] for whole q.

        Formula: sum of n p(n) up to q is mean * P(D' <= q - 1), where D' has shape
        one larger and the same success probability; beyond q every sale is q.
        """
        q = _floats(q)
        up = self.shape + 1
        lifted = self.mean if math.isinf(self.shape) else self.mean * up / self.shape
        partial = self.mean * at_most(q - 1, mean=lifted, shape=up)
        return partial + q * self.sf(q)

    def lost(self, q: ArrayLike) -> Floats:
        """Give the expected bows asked for beyond q, E[(D - q)+]."""
        return np.maximum(self.mean - self.sold(q), 0.0)

    def left(self, q: ArrayLike) -> Floats:
        """Give the expected bows left over, E[(q - D)+]."""
        return np.maximum(_floats(q) - self.sold(q), 0.0)


@dataclass(frozen=True, slots=True)
class Rate:
    """
    What is known of a rate: a gamma law with shape a and rate b (exposure units).

    With a prior Rate(a, b), counts and exposures give Rate(a + sum, b + sum).
    """

    a: float
    b: float

    @property
    def mean(self) -> float:
        """Expected bows per unit of exposure."""
        return self.a / self.b

    def seen(self, sold: ArrayLike, exposure: ArrayLike) -> Rate:
        """Learn from counts and their exposures (Poisson-gamma conjugacy)."""
        return Rate(self.a + float(np.sum(sold)), self.b + float(np.sum(exposure)))

    def over(self, exposure: float) -> CountLaw:
        """Predict the count over an exposure: negative binomial of the same shape."""
        return CountLaw(self.mean * exposure, self.a)

    def quantile(self, ratio: ArrayLike) -> Floats:
        """Quantiles of the rate itself."""
        return _floats(special.gammaincinv(self.a, ratio)) / self.b


def share_means(prior: ArrayLike, counts: ArrayLike) -> Floats:
    """Expected shares of a mix after counts (Dirichlet-multinomial)."""
    weight = _floats(prior) + _floats(counts)
    return _floats(weight / weight.sum())


def open_exposure(
    exposure: ArrayLike, *, open_share: ArrayLike, sold_out: ArrayLike
) -> tuple[Floats, NDArray[np.bool_]]:
    """
    Cut exposure where a kind sold out at a known time; give what stays censored.

    open_share is the share of the exposure until the last bow went, nan where not
    known. With a time the count is an ordinary Poisson count over the cut exposure
    (the stopping rule drops out of the likelihood); without, only P(D >= brought)
    is known and the flag stays up.
    """
    share, out = _floats(open_share), np.asarray(sold_out, dtype=bool)
    timed = out & np.isfinite(share)
    return np.where(timed, _floats(exposure) * share, exposure), out & ~timed


def log_likelihood(
    sold: ArrayLike,
    exposure: ArrayLike,
    *,
    censored: ArrayLike,
    rate: ArrayLike,
    shape: ArrayLike = math.inf,
) -> Floats:
    """
    Log-likelihood of each count; censored ones say P(D >= sold), exposure 0 nothing.

    Arguments broadcast. Where nothing was brought (sold 0 and censored) this is 0
    as well: it is no information.
    """
    sold, mean = np.broadcast_arrays(_floats(sold), _floats(exposure) * _floats(rate))
    seen = log_pmf(sold, mean=mean, shape=shape)
    beyond = above(sold - 1, mean=mean, shape=shape)
    hidden = np.log(np.maximum(beyond, 1e-300))
    told = np.where(np.asarray(censored, dtype=bool), hidden, seen)
    return np.where(_floats(exposure) > 0, told, 0.0)


def moment_shape(counts: ArrayLike) -> float:
    """
    Fit the shape by moments, m**2 / (s**2 - m), variance with n - 1.

    Infinity (Poisson) when the counts spread no more than Poisson.
    """
    values = _floats(counts)
    mean, variance = float(values.mean()), float(values.var(ddof=1))
    return mean**2 / (variance - mean) if variance > mean else math.inf


def fit_shape(*groups: ArrayLike) -> float:
    """
    Fit one shape to groups of counts by maximum likelihood, each group its own mean.

    Within a group of equal exposure the best mean is the sample mean whatever the
    shape (Bliss & Fisher 1953), so only log-shape is searched. Infinity when the
    likelihood still rises at a shape of 1e6.
    """

    def cost(log_shape: float) -> float:
        return -shape_log_likelihood(math.exp(log_shape), *groups)

    low, high = math.log(1e-3), math.log(1e6)
    found = optimize.minimize_scalar(
        cost, bounds=(low, high), method="bounded", options={"xatol": 1e-10}
    )
    return math.exp(float(found.x)) if found.x < high - 0.5 else math.inf


def shape_log_likelihood(shape: float, *groups: ArrayLike) -> float:
    """Log-likelihood of one common shape, each group at its own sample mean."""
    return sum(
        float(log_pmf(group, mean=float(np.mean(group)), shape=shape).sum())
        for group in map(_floats, groups)
    )


def shock_covariance(means: ArrayLike, *, shock: float) -> Floats:
    """Covariance of Poisson kinds that share one gamma shock of mean 1."""
    m = _floats(means)
    return np.outer(m, m) / shock + np.diag(m)


def shock_nodes(shock: float, *, nodes: int = 96) -> tuple[Floats, Floats]:
    """
    Points and weights for averaging over a gamma(shock, shock) factor of mean 1.

    Trapezoid rule on log g, which converges faster than any power for this smooth,
    decaying integrand; one node at 1 for an infinite shape. More nodes are taken
    where a small shape stretches the low tail.
    """
    if math.isinf(shock):
        return np.ones(1), np.ones(1)
    bottom = float(special.gammaincinv(shock, 1e-13)) / shock
    low = max(math.log(max(bottom, 1e-300)), -60.0)
    high = math.log(float(special.gammainccinv(shock, 1e-13)) / shock)
    logs = np.linspace(low, high, max(nodes, math.ceil((high - low) / 0.25)))
    weights = np.exp(shock * (logs - np.exp(logs) + 1))
    return np.exp(logs), weights / weights.sum()


def total_pmf(
    means: Sequence[float],
    *,
    shapes: Sequence[float] | None = None,
    shock: float = math.inf,
    upto: int | None = None,
) -> Floats:
    """
    P(total = 0..upto) of kinds with own shapes that share one gamma shock.

    Given the shock the kinds are independent, so their generating functions are
    multiplied, averaged over the shock by quadrature, and turned back by one Fourier
    transform. A plain negative binomial with the total's two moments would be wrong
    where the kinds have shapes of their own. Without upto the pmf reaches far enough
    to hold all but about 1e-9.
    """
    own = shapes if shapes is not None else [math.inf] * len(means)
    far = _far_enough(means, own, shock)
    last = far if upto is None else upto
    size = 2 * (max(far, last) // 2 + 1)
    points, weights = shock_nodes(shock)
    away = 1 - np.exp(-2j * np.pi * np.arange(size // 2 + 1) / size)
    logs = np.zeros((points.size, away.size), dtype=complex)
    for mean, shape in zip(means, own, strict=True):
        flow = mean * points[:, None] * away
        logs -= flow if shape >= POISSON_FROM else shape * np.log(1 + flow / shape)
    pmf = np.fft.irfft(weights @ np.exp(logs), size)
    return _floats(np.maximum(pmf[: last + 1], 0.0))


def _far_enough(means: Sequence[float], shapes: Sequence[float], shock: float) -> int:
    """Give a number of bows that the total all but never passes."""
    total = sum(means)
    own = sum(m * m / k for m, k in zip(means, shapes, strict=True))
    extra = own * (1 + 1 / shock) + total**2 / shock
    law = CountLaw(total, total**2 / extra if extra > 0 else math.inf)
    return 2 * law.quantile(1 - 1e-10) + 20


def count_draws(
    means: Sequence[float],
    *,
    shapes: Sequence[float],
    shock: float,
    size: int,
    rng: np.random.Generator,
    level: float = 0.0,
) -> NDArray[np.int64]:
    """
    Draw joint demands, shape (size, kinds), with own shapes and a shared shock.

    level: variance of a lognormal factor of mean 1 that all share besides.  The shock
    is drawn first, then the level, then one rate a kind, then the counts: a fixed seed
    and fixed kinds always give the same table.
    """
    common = _gamma_factor(np.asarray([shock]), (size, 1), rng)
    if level:
        spread2 = math.log1p(level)
        common *= rng.lognormal(-spread2 / 2, math.sqrt(spread2), (size, 1))
    rates = _floats(means) * _gamma_factor(_floats(shapes), (size, len(means)), rng)
    return rng.poisson(rates * common)


def _gamma_factor(
    shapes: Floats, size: tuple[int, int], rng: np.random.Generator
) -> Floats:
    finite = np.where(np.isinf(shapes), 1.0, shapes)
    drawn = rng.gamma(finite, 1.0, size=size) / finite
    return np.where(np.isinf(shapes), 1.0, drawn)
