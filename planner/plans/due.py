"""When each open order would be ready, what it waits for, and what a rush would do."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Literal

State = Literal[
    "ready", "meets", "close", "late", "no ribbon", "no supplies", "no bench hours"
]
"""
How an order stands: `ready` when no bow of it is left to make, `meets` on time with
room, `close` on time with little, `late` not; the rest say why it can't be told.
"""

FAILS: tuple[State, ...] = ("late", "no ribbon", "no supplies", "no bench hours")
"""States in which the due day isn't met."""

POLICY = "earliest due first, less what only has to set"
"""The named policy of `engines.sequence.preemptive_edd`, in her words."""


@dataclass(frozen=True, slots=True)
class LineLeft:
    """What is left of one line of an order (or one kind of a set in it), in bows."""

    kind: str
    count: int
    handed: int
    at_hand: int
    make: int
    minutes: float
    """Median bench minutes of `make`, set-up included."""


@dataclass(frozen=True, slots=True)
class Wait:
    """
    Ribbon or supply that some bows of an order wait for.

    `short` is what is missing: nm of a ribbon, whole units of a supply.  Without an
    `expected` day none of it is on the way.
    """

    what: str
    ribbon: bool
    kind: str
    bows: int
    short: int
    expected: date | None = None
    latest: date | None = None
    restock: str = ""


@dataclass(frozen=True, slots=True)
class OrderPlan:
    """
    One order under the plan.

    `deadline` is when its last bow must leave the bench, `off_bench` when it would,
    `ready_at` when that has set; None where there is none or it can't be told.
    `slack` is bench minutes between off bench and deadline, negative when late.
    `for_fair` bows would do but are set aside for a fair.  Where chances were drawn,
    `chance` is that of leaving the bench by the deadline; early, likely and late
    finishes are met once, five and nine times in ten; `finish` is by day P(ready that
    day, in time) and P(ready that day, late).
    """

    code: str
    state: State
    lines: tuple[LineLeft, ...]
    person: str | None = None
    due: date | None = None
    hour: str | None = None
    post_days: int = 0
    weight: int = 1
    rush: bool = False
    told_ready: bool = False
    deadline: datetime | None = None
    off_bench: datetime | None = None
    ready_at: datetime | None = None
    slack: float | None = None
    waits: tuple[Wait, ...] = ()
    for_fair: int = 0
    chance: float | None = None
    early: datetime | None = None
    likely: datetime | None = None
    late: datetime | None = None
    finish: tuple[tuple[date, float, float], ...] = ()
    supposed: bool = False

    @property
    def make(self) -> int:
        """Bows still to make."""
        return sum(line.make for line in self.lines)

    @property
    def minutes(self) -> float:
        """Bench minutes left, at median."""
        return sum(line.minutes for line in self.lines)

    @property
    def fails(self) -> bool:
        """Whether its due day isn't met."""
        return self.state in FAILS


@dataclass(frozen=True, slots=True)
class Stretch:
    """Bench minutes of a day (from `start` to `end`, gaps left out) for one kind."""

    order: str
    kind: str
    start: float
    end: float
    late: bool


@dataclass(frozen=True, slots=True)
class DayPlan:
    """One day: the bench minutes it still has, what fills them, what is due."""

    day: date
    minutes: float
    stretches: tuple[Stretch, ...] = ()
    due: tuple[str, ...] = ()
    note: str = ""

    @property
    def used(self) -> float:
        """Minutes filled with orders."""
        return sum(part.end - part.start for part in self.stretches)


@dataclass(frozen=True, slots=True)
class MoreTime:
    """
    Whom to ask for more time, so that the rest is on time.

    `proved` when no lighter set of orders would do; `rest_late` are those late even
    so.  `ready_on` says when each order asked would be ready: those late anyway where
    the plan has them, others put last.
    """

    orders: tuple[str, ...]
    proved: bool
    ready_on: Mapping[str, date | None]
    rest_late: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class LeastLateness:
    """
    The order of work with the least lateness, each order's counted by its weight.

    `minutes` are weight x bench minutes late, added up, against `now` of the named
    policy; no order of whole orders can be better by more than the share `gap` of it.
    """

    orders: tuple[str, ...]
    minutes: float
    now: float
    gap: float


@dataclass(frozen=True, slots=True)
class Basis:
    """How well the minutes of a pattern are known."""

    pattern: str
    sittings: int
    stated: bool


@dataclass(frozen=True, slots=True)
class DuePlan:
    """
    Every open order under the named policy, in the order of work.

    `any_hours` says whether she has told bench hours at all; `worked` is the share of
    planned minutes she usually works; `overdue` are restocks that should have come,
    `unlisted` supplies never entered, `over_claimed` kinds promised beyond what is at
    home; `draws` how many draws stand behind the chances, and `kept`
    the share of sittings ahead that is expected to be kept.
    """

    today: date
    orders: tuple[OrderPlan, ...]
    days: tuple[DayPlan, ...]
    needed: float
    any_hours: bool
    horizon: date
    more_time: MoreTime | None = None
    least_late: LeastLateness | None = None
    basis: tuple[Basis, ...] = ()
    worked: float | None = None
    fairs: tuple[str, ...] = ()
    overdue: tuple[str, ...] = ()
    unlisted: tuple[str, ...] = ()
    over_claimed: tuple[str, ...] = ()
    draws: int = 0
    kept: float | None = None
    policy: str = field(default=POLICY)

    def order(self, code: str) -> OrderPlan:
        """Give one order's plan; raises KeyError for an order not in it."""
        for plan in self.orders:
            if plan.code == code:
                return plan
        raise KeyError(code)
