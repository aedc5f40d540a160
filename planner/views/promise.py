"""Which days to promise a new order for, by how sure she wants to be."""

from __future__ import annotations

from typing import ClassVar

from planner.views.common import Report, View


class PromiseDay(View):
    """The first due day with a chance asked for, at nobody else's cost."""

    number: int
    """What `--take` takes."""
    chance: float
    """The chance asked for, 0 to 1."""
    chance_shown: str
    """The same, ready to show."""
    due_on: str
    """ISO day; empty when there is none among the days looked at."""
    due: str
    """The same in words."""
    typed: str
    """What to type to take the order for that day; empty without one."""


class PromiseDays(Report):
    """Days to promise a new order for; nothing is written."""

    schema_name: ClassVar[str] = "spool-to-stall/promise/1"
    title: ClassVar[str] = "Days to promise"
    template: ClassVar[str] = "promise.html.j2"

    kind: str
    """The kind or set as she types it."""
    count: int
    """How many of it."""
    short: str
    """The answer in a sentence."""
    from_stock: int
    """Bows of it that are finished and free."""
    make: int
    """Bows of it to make."""
    work_minutes: int
    """Bench minutes it takes, at median."""
    work: str
    """The same, ready to show."""
    waits_for: str = ""
    """What holds it up; empty when nothing does."""
    days: tuple[PromiseDay, ...] = ()
    """The days, the least sure first."""
    rests_on: tuple[str, ...] = ()
    """What data it rests on, how sure it is, what would change it."""
