"""Whether a rush order can be ready when due, and what it would move."""

from __future__ import annotations

from typing import ClassVar

from planner.plans.rush import Verdict
from planner.views.common import Report, View
from planner.views.due import State


class RushMove(View):
    """An open order that the rush would move."""

    code: str
    """The order's code."""
    who: str
    """Whose it is; empty when hidden."""
    due_on: str
    """ISO day it is due; empty when no day was promised."""
    due: str
    """The same in words."""
    before_on: str
    """ISO day it would be ready without the rush; empty when it can't be told."""
    before: str
    """The same in words, with the hour."""
    after_on: str
    """ISO day it would be ready with the rush; empty when it can't be told."""
    after: str
    """The same in words, with the hour."""
    was: State
    """How it stands without the rush."""
    state: State
    """How it would stand."""
    newly_late: bool
    """Whether the rush alone would make it miss its due day."""
    later_still: bool
    """Whether it is late already and would be later still."""
    chance_before: float | None = None
    """Its chance of meeting its day without the rush, 0 to 1, if worked out."""
    chance_before_shown: str = ""
    """The same, ready to show."""
    chance_after: float | None = None
    """Its chance with the rush."""
    chance_after_shown: str = ""
    """The same, ready to show."""
    falls: bool = False
    """Whether its chance falls below what it was promised with (90 % unless told)."""


class RushWay(View):
    """One way to say yes, and what it costs."""

    number: int
    """What `--take` takes."""
    what: str
    """The way in a few words."""
    count: int
    """Bows it would be."""
    due_on: str
    """ISO day it would be promised for."""
    due: str
    """The same in words."""
    chance: float
    """Chance of being in time, 0 to 1."""
    chance_shown: str
    """The same, ready to show."""
    early_late: str
    """From an early to a late finish, in words; empty when it can't be told."""
    falls: tuple[str, ...] = ()
    """Orders whose promise would fall below its own level."""
    extra_minutes: int = 0
    """Minutes of bench hours that it adds."""
    extra: str = ""
    """The same, ready to show, and when."""
    fair_lost_minor: int | None = None
    """Expected profit the next fair would lose; None when it can't be told."""
    hours_cost_minor: int | None = None
    """Her bench time at her wage; None when no wage is told."""
    lateness_minor: int | None = None
    """What others' lateness weighs; None when she told no weight."""
    cost_minor: int
    """The three together: the surcharge from which it pays."""
    cost: str
    """The same, ready to show."""
    cost_of: str = ""
    """What it is made of, in words."""
    typed: str
    """What to type to take the order this way."""


class Rush(Report):
    """One rush order, put into the plan as if it had been taken; nothing is written."""

    schema_name: ClassVar[str] = "spool-to-stall/rush/1"
    title: ClassVar[str] = "Rush order"
    template: ClassVar[str] = "rush.html.j2"

    kind: str
    """The kind or set as she types it."""
    count: int
    """How many of it."""
    due_on: str
    """ISO day it is wanted."""
    due: str
    """The same in words, with the hour if there is one."""
    verdict: Verdict
    """Yes; yes, but others would be late; no, it would be late; or what lacks."""
    short: str
    """The answer in a sentence or two."""
    from_stock: int
    """Bows of it that are finished and free."""
    make: int
    """Bows of it to make."""
    work_minutes: int
    """Bench minutes it takes, at median."""
    work: str
    """The same, ready to show."""
    ready_on: str
    """ISO day it would be ready; empty when it can't be told."""
    ready: str
    """The same in words, with the hour."""
    slack_minutes: int | None
    """Bench minutes to spare before it is due; below zero when late."""
    slack: str
    """The same, ready to show."""
    waits_for: str = ""
    """What holds it up; empty when nothing does."""
    moves: tuple[RushMove, ...] = ()
    """Orders it would move, those it would make late first."""
    earliest_on: str = ""
    """First ISO day that could be promised at nobody's cost; empty without one."""
    earliest: str = ""
    """The same in words."""
    chance: float | None = None
    """Chance of meeting the day, 0 to 1, where it was worked out."""
    chance_shown: str = ""
    """The same, ready to show."""
    early_late: str = ""
    """From an early to a late finish, in words; empty when it can't be told."""
    sure: str = "at nobody's cost"
    """What is asked of the earliest day."""
    ways: tuple[RushWay, ...] = ()
    """Ways to say yes, the one asked for first."""
    typed: str
    """What to type to take the order."""
    rests_on: tuple[str, ...] = ()
    """What data it rests on, how sure it is, what would change it."""
