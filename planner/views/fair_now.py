"""A day at the stall as it stands: the till, what sold, what is left."""

from __future__ import annotations

from typing import ClassVar

from planner.views.common import Report, Swatch, View


class OnStall(View):
    """One kind at the stall."""

    kind: str
    """The kind as she types it."""
    swatches: tuple[Swatch, ...]
    """Its ribbons, lead colour first."""
    sold: int
    """Bows typed as sold at the fair so far."""
    left: int
    """Bows on the stall by the records; below nothing where an entry is missing."""
    note: str
    """Sold out and when, or the last one."""


class FairNow(Report):
    """How a day of a fair stands."""

    schema_name: ClassVar[str] = "spool-to-stall/fair-day/1"
    title: ClassVar[str] = "The day at the stall"
    template: ClassVar[str] = "fair_now.html.j2"

    code: str
    """The fair's code."""
    fair: str
    """The fair's name."""
    day_on: str
    """ISO day."""
    day: str
    """The day with its hours, in words."""
    state: str
    """not opened, open or closed."""
    float_minor: int
    """Change in the till in the morning, minor units."""
    cash_minor: int
    """Typed cash sales of the day, minor units."""
    card_minor: int
    """Typed card sales of the day, minor units."""
    till_minor: int
    """What ought to be in the till: float and typed cash, minor units."""
    till: str
    """The same, ready to show."""
    short: str
    """How it stands, in a sentence."""
    kinds: tuple[OnStall, ...] = ()
    """The kinds that sold or ran low, then the others."""
    left: int
    """All bows on the stall by the records."""
    sold: int
    """All bows typed as sold at the fair so far."""
    then: str
    """What to type next."""
