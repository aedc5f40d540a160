"""The next sittings as a sheet to print and tick off at the bench."""

from __future__ import annotations

from typing import ClassVar

from planner.views.common import Report, Swatch, View


class BenchStep(View):
    """Some work of one order or fair within a sitting."""

    order: str
    """The order's code, or the fair's."""
    kind: str
    """The kind as she types it."""
    swatches: tuple[Swatch, ...]
    """Its ribbons, lead colour first."""
    bows: int
    """Bows finished in it."""
    of: int
    """Bows of the kind that the order still needs."""
    start: str
    """When it begins, `HH:MM`."""
    end: str
    """When it ends, `HH:MM`."""
    minutes: int
    """Bench minutes it takes, at median."""
    note: str
    """What to mind: set up first, goes on in the next sitting."""


class BenchSitting(View):
    """One sitting."""

    day_on: str
    """ISO day it begins on."""
    day: str
    """The same in words."""
    hours: str
    """From when to when."""
    minutes: int
    """Bench minutes it has."""
    free_minutes: int
    """Of those, not taken by orders."""
    free: str
    """The same, ready to show; empty for none."""
    steps: tuple[BenchStep, ...] = ()
    """What to make in it, in order."""


class BenchSheet(Report):
    """The sittings of the days ahead."""

    schema_name: ClassVar[str] = "spool-to-stall/bench/1"
    title: ClassVar[str] = "At the bench"
    template: ClassVar[str] = "bench.html.j2"

    short: str
    """The answer in a sentence."""
    policy: str
    """The order of work, by its name."""
    sittings: tuple[BenchSitting, ...] = ()
    """Sittings, the next first."""
    cautions: tuple[str, ...] = ()
    """What to take care of."""
