"""What a rush order would do, the ways to say yes to it, and days to promise."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from planner.plans.due import DuePlan, OrderPlan
from planner.plans.taking import Stretch

LEVEL = 0.9
"""The chance an order is taken to be promised with where no promise was kept."""
NOTICED = 0.005
"""A chance that falls by less has not fallen: it is within what draws can tell."""


def falls(before: float, after: float, level: float) -> bool:
    """Say whether a chance falls below its level, or further below it."""
    return after < min(before, level) - NOTICED


@dataclass(frozen=True, slots=True)
class Moved:
    """
    An order that a rush would move: how it stood before, and after.

    `level` is the chance it was promised with, below which it must not fall.
    """

    code: str
    before: OrderPlan
    after: OrderPlan
    level: float = LEVEL

    @property
    def falls(self) -> bool:
        """Whether its chance falls below its own level, or further below."""
        before, after = self.before.chance, self.after.chance
        if before is None or after is None:
            return False
        return falls(before, after, self.level)

    @property
    def newly_late(self) -> bool:
        """Whether it would meet its due day without the rush only."""
        return self.after.fails and not self.before.fails

    @property
    def later_still(self) -> bool:
        """Whether it is late already and would have less room yet."""
        if not (self.before.fails and self.after.fails):
            return False
        before, after = self.before.slack, self.after.slack
        return before is not None and (after is None or after < before)

    @property
    def harmed(self) -> bool:
        """Whether the rush is at its cost."""
        return self.newly_late or self.later_still or self.falls


Verdict = Literal["yes", "yes, but", "no", "no ribbon", "no supplies", "no bench hours"]
"""`yes, but`: on time, at the cost of others; `no`: late; the rest say what lacks."""


What = Literal["as asked", "from the fair", "more hours", "later day", "fewer bows"]


@dataclass(frozen=True, slots=True)
class Way:
    """
    One way to say yes: what would be promised, how sure it is, and what it costs.

    `chance` is that of the rush; `falls` are orders whose promise would fall below its
    own level. `minutes` of bench time it takes; `stretches` are bench hours that it
    adds, `taken` bows that were set aside for the fair. Costs are minor units, None
    where they can't be told: `fair_lost` is expected profit of the next fair, `hours`
    her wage, `lateness` what others' lateness weighs by her own setting.
    """

    what: What
    count: int
    due: date
    hour: str | None
    chance: float
    early: date | None
    likely: date | None
    late: date | None
    falls: tuple[str, ...]
    minutes: float
    stretches: tuple[Stretch, ...] = ()
    fair: str = ""
    taken: tuple[tuple[str, int], ...] = ()
    fair_lost: int | None = None
    hours: int | None = None
    lateness: int | None = None

    @property
    def cost(self) -> int:
        """What it costs in all as far as it can be told: the surcharge that pays."""
        return sum(max(x or 0, 0) for x in (self.fair_lost, self.hours, self.lateness))


@dataclass(frozen=True, slots=True)
class RushAnswer:
    """
    Whether `count` of a kind (or set) could be ready when due.

    Without draws all of it is at median, and `earliest` is the first due day that could
    be promised with no other order made late, or later where it is late already.  With
    draws it is the first with a chance of 90 % and no other order's promise falling
    below its own level.  None when there is none up to `scanned_to`.
    """

    kind: str
    count: int
    due: date
    hour: str | None
    verdict: Verdict
    rush: OrderPlan
    moved: tuple[Moved, ...]
    earliest: date | None
    scanned_to: date
    plan: DuePlan
    post_days: int = 0
    ways: tuple[Way, ...] = ()


@dataclass(frozen=True, slots=True)
class Promise:
    """
    The days at which a new order would be in time with the chances asked for.

    `days` are (chance, the first due day with it at nobody's cost; None for none up to
    `scanned_to`); `rush` is how the order stands with the last of them that there is.
    """

    kind: str
    count: int
    days: tuple[tuple[float, date | None], ...]
    rush: OrderPlan
    scanned_to: date
    plan: DuePlan
