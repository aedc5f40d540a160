"""
One-sided tolerance bounds: a length that all but p % of bows need no more than.

Exact for whole normal samples (noncentral t); for samples with bows that came out too
short, the same pivot by simulation; and without any distribution, by counting.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import log, sqrt
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[Any]

DRAWS = 1500
"""Samples simulated for a censored bound; their seed is fixed."""
_ROUNDS = 60


def factor(count: int, *, coverage: float, confidence: float) -> float:
    """
    Give the exact one-sided tolerance factor k of a whole normal sample.

    t'(confidence; count - 1, z sqrt(count)) / sqrt(count), noncentral t (ISO 16269-6).
    """
    from scipy.special import nctdtrit, ndtri

    shift = float(ndtri(coverage)) * sqrt(count)
    return float(nctdtrit(count - 1, shift, confidence)) / sqrt(count)


def factor_nearly(count: int, *, coverage: float, confidence: float) -> float:
    """Give the older approximation by Natrella (1963), for comparing with tables."""
    from scipy.special import ndtri

    z, c = float(ndtri(coverage)), float(ndtri(confidence))
    a = 1 - c**2 / (2 * (count - 1))
    b = z**2 - c**2 / count
    return (z + sqrt(z**2 - a * b)) / a


def factor_both(count: int, *, coverage: float, confidence: float) -> float:
    """Give the two-sided factor by Howe (1969), for comparing with tables."""
    from scipy.special import chdtri, ndtri

    z = float(ndtri((1 + coverage) / 2))
    least = float(chdtri(count - 1, confidence))
    return z * sqrt((count - 1) * (1 + 1 / count) / least)


def least_count(*, coverage: float, confidence: float) -> int:
    """
    Give how many bows it takes before counting alone can tell.

    The smallest n with 1 - coverage^n >= confidence; 59 for 95 % and 95 %.
    """
    from math import ceil

    return ceil(log(1 - confidence) / log(coverage))


def by_counting(
    needs: Sequence[float], short: int, *, coverage: float, confidence: float
) -> float | None:
    """
    Give the bound that needs no distribution, or None where it can't tell.

    `needs` are measured needs; `short` more lie above all that could be measured.
    """
    from scipy.special import bdtr

    count, most = len(needs) + short, -1
    while most + 1 < count and bdtr(most + 1, count, 1 - coverage) <= 1 - confidence:
        most += 1
    if most < 0 or most < short:
        return None
    return sorted(needs, reverse=True)[most - short]


def censored_normal(
    values: Sequence[float], limits: Sequence[float]
) -> tuple[float, float]:
    """
    Fit a normal to values and to what lay above its limit: (mean, sd) by likelihood.

    Cohen (1961); the sd divides by n, as the likelihood has it.
    """
    import numpy as np

    x = np.concatenate([np.asarray(values, float), np.asarray(limits, float)])
    above = np.arange(len(x)) >= len(values)
    mean, sd = _fits(x[None, :], np.asarray(above)[None, :])
    return float(mean[0]), float(sd[0])


def _fits(x: Array, above: Array, *, close: float = 1e-10) -> tuple[Array, Array]:
    """
    Fit many samples at once, a row each, by expectation and maximisation, speeded.

    A value with `above` set is the limit it lay above; `close` ends the rounds.
    """
    import numpy as np

    mean = x.mean(axis=1)
    sd = np.maximum(x.std(axis=1), 1e-9)
    for _ in range(_ROUNDS):
        old = mean, sd
        mean, sd = _round(x, above, mean, sd)
        again = _round(x, above, mean, sd)
        mean, sd = _leap(old, (mean, sd), again)
        if float(np.max(np.abs(mean - old[0]) / sd)) < close:
            break
    return mean, sd


def _round(x: Array, above: Array, mean: Array, sd: Array) -> tuple[Array, Array]:
    import numpy as np
    from scipy.special import log_ndtr

    z = (x - mean[:, None]) / sd[:, None]
    hazard = np.exp(-0.5 * z**2 - 0.5 * log(2 * np.pi) - log_ndtr(-z))
    first = np.where(above, mean[:, None] + sd[:, None] * hazard, x)
    extra = np.where(above, sd[:, None] ** 2 * (1 + z * hazard - hazard**2), 0.0)
    new = first.mean(axis=1)
    spread = np.sqrt(((first - new[:, None]) ** 2 + extra).mean(axis=1))
    return new, np.maximum(spread, 1e-9)


def _leap(
    one: tuple[Array, Array], two: tuple[Array, Array], three: tuple[Array, Array]
) -> tuple[Array, Array]:
    """Leap ahead of slow steps (Aitken), within bounds."""
    import numpy as np

    made = []
    for a, b, c in zip(one, two, three, strict=True):
        bend = (c - b) - (b - a)
        safe = np.where(np.abs(bend) > 1e-12, bend, 1.0)
        leap = c - (c - b) ** 2 / safe
        steady = (np.abs(bend) > 1e-12) & (np.abs(leap - c) < 20 * np.abs(c - b))
        made.append(np.where(steady, leap, c))
    return made[0], np.maximum(made[1], 1e-9)


def bound(
    values: Sequence[float], limits: Sequence[float], room: Sequence[float], *,
    coverage: float, confidence: float, seed: int = 20,
) -> tuple[float, float, float, float]:  # fmt: skip
    """
    Give the tolerance bound with (mean, sd, k): mean + k sd.

    `values` are measured needs, `limits` the lengths that were too short, `room` the
    length each bow was cut, short ones included.  Without short ones k is exact; with
    them it is the quantile of the same pivot over simulated samples cut alike.
    """
    import numpy as np
    from scipy.special import ndtri

    if not limits:
        mean = float(np.mean(values))
        sd = float(np.std(values, ddof=1))
        k = factor(len(values), coverage=coverage, confidence=confidence)
        return mean + k * sd, mean, sd, k
    mean, sd = censored_normal(values, limits)
    rng = np.random.default_rng(seed)
    cut = (np.asarray(room, float) - mean) / sd
    drawn = rng.standard_normal((DRAWS, len(cut)))
    above = drawn > cut
    means, sds = _fits(np.where(above, cut, drawn), above, close=1e-4)
    good = (~above).sum(axis=1) >= 2
    pivot = (float(ndtri(coverage)) - means[good]) / sds[good]
    k = float(np.quantile(pivot, confidence))
    return mean + k * sd, mean, sd, k
