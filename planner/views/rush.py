"""Whether a rush order can be ready when due, and what it would move."""

from __future__ import annotations

from typing import ClassVar

from planner.plans.due import Verdict
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


class Rush(Report):
    """One rush order, put into the plan as if it had been taken; nothing is written."""

    schema_name: ClassVar[str] = "spool-to-stall/rush/1"
    title: ClassVar[str] = "Rush order"

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
    typed: str
    """What to type to take the order."""
    rests_on: tuple[str, ...] = ()
    """What data it rests on, how sure it is, what would change it."""
