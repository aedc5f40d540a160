"""The due dates: when each open order would be ready, and what it waits for."""

from __future__ import annotations

from typing import ClassVar

from planner.plans.due import State as State
from planner.views.common import Oddity, Report, Swatch, View


class DueLine(View):
    """One line of an order: so many of a kind."""

    kind: str
    """The kind as she types it."""
    count: int
    """Bows asked for."""
    ready: int
    """Of those, finished or handed over already."""
    make: int
    """Of those, still to be made."""
    swatches: tuple[Swatch, ...] = ()
    """Its ribbons, lead colour first."""


class FinishDay(View):
    """How likely an order is to be ready on one day."""

    day_on: str
    """ISO day."""
    in_time: float
    """Chance of being ready that day, and in time."""
    late: float
    """Chance of being ready that day, too late."""


class DueOrder(View):
    """An open order against its due day."""

    code: str
    """The order's code."""
    who: str
    """Whose it is: a nickname or key; empty when hidden."""
    lines: tuple[DueLine, ...]
    """What was asked for."""
    due_on: str
    """ISO day it is due; empty when no day was promised."""
    due: str
    """The same in words, with the hour if there is one."""
    work_minutes: int
    """Bench minutes left, at median."""
    work: str
    """The same, ready to show."""
    ready_on: str
    """ISO day of the median finish; empty when it can't be told."""
    ready: str
    """The same in words."""
    slack_minutes: int | None
    """Bench minutes to spare before it is due; below zero when late."""
    slack: str
    """The same, ready to show."""
    state: State
    """How it stands."""
    waits_for: str = ""
    """What holds it up; empty when nothing does."""
    chance: float | None = None
    """Chance of meeting the due day, 0 to 1, where it was worked out."""
    chance_shown: str = ""
    """The same, ready to show."""
    early_on: str = ""
    """ISO day of an early finish, met once in ten; empty when it can't be told."""
    early: str = ""
    """The same in words."""
    likely_on: str = ""
    """ISO day of the likely finish, met five times in ten; empty likewise."""
    likely: str = ""
    """The same in words."""
    late_on: str = ""
    """ISO day of a late finish, met nine times in ten; empty likewise."""
    late: str = ""
    """The same in words."""
    finish: tuple[FinishDay, ...] = ()
    """How likely each day is to be the one it is ready on; the rest is later still."""
    why: str = ""
    """The command that names the entries behind it."""


class BenchSegment(View):
    """A stretch of one bench day given to an order."""

    order: str
    """The order's code; `free` when nothing is planned there."""
    label: str
    """What is made in it, in short."""
    start_minute: int
    """Where it begins, bench minutes after the day's bench hours begin."""
    minutes: int
    """How long it is."""
    late: bool = False
    """Whether it falls after the order is due."""


class BenchDay(View):
    """One day of the bench hours strip."""

    day_on: str
    """ISO day."""
    day: str
    """The same in words, short (`Wed 25 Nov`)."""
    planned_minutes: int
    """Bench minutes the day has."""
    planned: str
    """The same, ready to show."""
    used_minutes: int
    """Of those, filled with orders."""
    used: str
    """The same, ready to show."""
    segments: tuple[BenchSegment, ...] = ()
    """What fills it, in order."""
    due: tuple[str, ...] = ()
    """Codes of the orders due that day."""
    note: str = ""
    """A fair, a holiday or another exception."""


class DueDates(Report):
    """Every open order under the named policy."""

    schema_name: ClassVar[str] = "spool-to-stall/due/1"
    title: ClassVar[str] = "Due dates"
    template: ClassVar[str] = "due.html.j2"

    policy: str
    """The order of work that was assumed, by its name."""
    short: str
    """The answer in one sentence."""
    orders: tuple[DueOrder, ...] = ()
    """Open orders, in the order of work."""
    days: tuple[BenchDay, ...] = ()
    """The bench days ahead."""
    needed_minutes: int
    """Bench minutes that all the orders still take, at median."""
    needed: str
    """The same, ready to show."""
    planned_minutes: int
    """Bench minutes in the days shown."""
    planned: str
    """The same, ready to show."""
    rests_on: tuple[str, ...] = ()
    """What data it rests on, how sure it is, what would change it."""
    odd: tuple[Oddity, ...] = ()
    """What is odd about the orders."""
