"""What was said of a fair before it began, beside what came of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean
from typing import Literal

from planner.plans.fair import Quantiles

Told = Literal["accepted", "worked out"]
"""Whether the figures stood in a plan she accepted, or are worked out afterwards."""


@dataclass(frozen=True, slots=True)
class Scored:
    """
    One figure said beforehand, and what came: bows of a kind sold, or of all.

    `spread` are quantiles of the bows sold, `loss` stands for the CRPS (in bows; for a
    single figure that is how far off it was), `last` what sold last time, None where
    there was none.
    """

    kind: str
    brought: int
    sold: float
    spread: Quantiles
    loss: float
    last: float | None = None

    @property
    def within(self) -> bool:
        """Whether it came within the range that nine in ten ought to be in."""
        return self.spread[0] <= self.sold <= self.spread[-1]

    @property
    def last_loss(self) -> float | None:
        """How far off the same as last time was, in bows."""
        return None if self.last is None else abs(self.sold - self.last)


@dataclass(frozen=True, slots=True)
class FairScore:
    """
    How good the figures for one fair were, by kind and in all.

    `typed` bows were typed as sold; with those that weren't, `least` to `most` were.
    """

    fair: str
    told: Told
    total: Scored
    kinds: tuple[Scored, ...]
    typed: int
    least: int
    most: int

    @property
    def total_within(self) -> bool | None:
        """Whether the total came within its range; None where that can't be told."""
        low, high = self.total.spread[0], self.total.spread[-1]
        if low <= self.least and self.most <= high:
            return True
        return False if self.most < low or self.least > high else None

    @property
    def within(self) -> int:
        """How many kinds sold as many as said."""
        return sum(one.within for one in self.kinds)

    @property
    def loss(self) -> float:
        """Mean loss of a kind, in bows."""
        return fmean(one.loss for one in self.kinds)

    @property
    def compared(self) -> tuple[tuple[float, float], ...]:
        """
        Losses of the kinds that were at an earlier fair: ours, and last time's.

        None where no sale was typed: what is known then is no kind's.
        """
        return compared(self.kinds) if self.typed else ()


def compared(some: Sequence[Scored]) -> tuple[tuple[float, float], ...]:
    """Give pairs of losses where there was a last time: ours, and its."""
    return tuple((x.loss, x.last_loss) for x in some if x.last_loss is not None)
