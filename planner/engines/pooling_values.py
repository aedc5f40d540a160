"""What goes into pooling and what comes out: past fairs, and rates by kind."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from planner.engines.counts import CountLaw, Floats, count_draws


@dataclass(frozen=True, slots=True)
class History:
    """
    Past fairs as arrays of shape (fairs, kinds).

    sold: bows sold. exposure: 0 where the kind wasn't brought, cut where it sold out
    at a known time. sold_out: all brought were sold, time unknown (sold = brought).
    brought: bows on the table (none told: no sign of what she expects). size, colour:
    index of each kind's size and colour, shape (kinds,). recency:
    weight of each fair in 0..1 (default 1). crowds_known: exposures follow how large
    crowds were; if not, the common shock has that to bear too. Raises ValueError when
    shapes differ.
    """

    sold: Floats
    exposure: Floats
    sold_out: NDArray[np.bool_]
    size: NDArray[np.int64]
    colour: NDArray[np.int64]
    recency: Floats | None = None
    brought: Floats | None = None
    crowds_known: bool = True

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
    fairs: past factors g. told: fairs that say something of each kind. level: the
    variance in that shock of a guess that is all there is; such a guess is as likely
    half of the truth as twice it, so its part is lognormal where fairs are drawn.
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
    level: float = 0.0

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
        shock = self.shock_ahead
        if self.level:
            shock = 1 / max((1 + 1 / shock) / (1 + self.level) - 1, 1e-9)
        return count_draws(
            means, shapes=self.a.tolist(), shock=shock, size=size, rng=rng,
            level=self.level,
        )  # fmt: skip


def between(one: Pooled, other: Pooled, *, weight: float) -> Pooled:
    """
    Weigh two answers about the same kinds: one by `weight`, the other by the rest.

    Rates get the mean and variance of the mixture; that the answers differ adds to
    what isn't known.  Shapes are averaged as the variances that they stand for.
    """
    parts = ((one, weight), (other, 1 - weight))
    mean = _mix(parts, lambda p: p.a / p.b)
    square = _mix(parts, lambda p: (p.a / p.b) ** 2 * (1 + 1 / p.a))
    shape = 1 / np.maximum(square / mean**2 - 1, 1e-12)
    return Pooled(
        a=shape,
        b=shape / mean,
        own=_mix(parts, lambda p: p.own),
        mean_of_neighbours=_mix(parts, lambda p: p.mean_of_neighbours),
        kappa=float(1 / _mix(parts, lambda p: 1 / p.kappa)),
        shock=float(1 / _mix(parts, lambda p: 1 / p.shock)),
        shock_ahead=float(1 / _mix(parts, lambda p: 1 / p.shock_ahead)),
        fairs=_mix(parts, lambda p: p.fairs),
        told=one.told,
    )


def _mix(
    parts: Iterable[tuple[Pooled, float]], what: Callable[[Pooled], Floats | float]
) -> Floats:
    return np.asarray(sum(weight * what(pooled) for pooled, weight in parts))
