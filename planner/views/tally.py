"""The tally sheet: a box to tick for every bow on the stall, totals to add up."""

from __future__ import annotations

from typing import ClassVar

from planner.views.common import Colour, Report, Size, Swatch, View


class TallyCell(View):
    """One kind on the stall."""

    size: str
    """Key of the size."""
    colour: str
    """Key of the colour."""
    kind: str
    """The kind as she types it."""
    brought: int
    """Bows on the stall: as many boxes to tick."""


class TallyTotal(View):
    """What a row or a column holds before the first sale."""

    key: str
    """Key of the size or the colour."""
    brought: int
    """Bows on the stall."""


class TallyPrice(View):
    """What the bows of one size cost at the fair."""

    size: str
    """Key of the size."""
    least_minor: int | None
    """The lowest price of its kinds there, minor units; None where none is known."""
    most_minor: int | None
    """The highest of them."""
    price: str
    """Both, ready to show; empty where none is known."""


class TallySet(View):
    """A set that can be made up of the bows on the stall."""

    name: str
    """The set as she types it."""
    swatches: tuple[Swatch, ...]
    """Its colours."""
    holds: str
    """The bows of one, in words."""
    price_minor: int
    """Its price at the fair, minor units."""
    price: str
    """The same, ready to show."""


class TallySheet(Report):
    """A sheet to print for one day of a fair."""

    schema_name: ClassVar[str] = "spool-to-stall/tally/1"
    title: ClassVar[str] = "Tally sheet"
    template: ClassVar[str] = "tally.html.j2"

    code: str
    """The fair's code."""
    fair: str
    """The fair's name."""
    day_on: str
    """ISO day the sheet is for."""
    day: str
    """The day with its hours, in words."""
    rests: str
    """Whether it counts what is on the stall, or what is planned to come."""
    sizes: tuple[Size, ...] = ()
    """The columns, smallest first."""
    colours: tuple[Colour, ...] = ()
    """The rows, families together."""
    cells: tuple[TallyCell, ...] = ()
    """The kinds on the stall, in the order of the columns and rows."""
    size_totals: tuple[TallyTotal, ...] = ()
    """One for each size, in their order."""
    colour_totals: tuple[TallyTotal, ...] = ()
    """One for each colour, in their order."""
    prices: tuple[TallyPrice, ...] = ()
    """One for each size, in their order."""
    sets: tuple[TallySet, ...] = ()
    """Sets with a price that the bows on the stall make up."""
    brought: int
    """All bows on the stall."""
    settle: str
    """What to type from the sheet when the day is over, with blanks for its money."""
