"""The stock matrix: how many bows of each size and colour are where."""

from __future__ import annotations

from typing import ClassVar

from planner.views.common import (
    Colour,
    Oddity,
    Report,
    Size,
    SpoolLeft,
    SupplyLeft,
    View,
)


class PlaceCount(View):
    """How many are at one place."""

    place: str
    """The place's name."""
    count: int
    """Bows there by the books; below zero when an entry is missing."""


class StockFigures(View):
    """The counts of one cell, row, column or the whole."""

    home: int
    """At home by the books."""
    elsewhere: int
    """At all other places together."""
    promised: int
    """Of those at home, promised to open orders and claimed by fairs."""
    short: int = 0
    """Promised beyond what is at home: still to be made."""
    free: int
    """Promised to nobody: at home and elsewhere less promised."""
    waiting: int
    """Bows that the bundles already cut would make."""


class StockCell(StockFigures):
    """The bows of one size in one colour."""

    size: str
    """Key of the size."""
    colour: str
    """Key of the colour."""
    kind: str
    """The kind as she types it."""
    places: tuple[PlaceCount, ...] = ()
    """Where those elsewhere are."""
    odd: str = ""
    """What is odd, in a sentence; empty when nothing is."""
    why: str = ""
    """The command that names the entries behind it."""


class SizeTotal(StockFigures):
    """The sum over all colours of a size."""

    size: str
    """Key of the size."""


class ColourTotal(StockFigures):
    """The sum over all sizes of a colour."""

    colour: str
    """Key of the colour."""


class StockMatrix(Report):
    """Bows by size and colour, and what else is on the shelf."""

    schema_name: ClassVar[str] = "spool-to-stall/stock/1"
    title: ClassVar[str] = "Stock"
    template: ClassVar[str] = "stock.html.j2"

    sizes: tuple[Size, ...] = ()
    """The columns, smallest first."""
    colours: tuple[Colour, ...] = ()
    """The rows, families together."""
    cells: tuple[StockCell, ...] = ()
    """Only those with something to tell; a cell left out is nothing of anything."""
    size_totals: tuple[SizeTotal, ...] = ()
    """One for each size, in their order."""
    colour_totals: tuple[ColourTotal, ...] = ()
    """One for each colour, in their order."""
    total: StockFigures
    """The sum of all cells."""
    places: tuple[PlaceCount, ...] = ()
    """How many bows are at each place, home first."""
    odd: tuple[Oddity, ...] = ()
    """Everything odd, with what to type about it."""
    spools: tuple[SpoolLeft, ...] = ()
    """Ribbon left, by spool."""
    supplies: tuple[SupplyLeft, ...] = ()
    """Supplies left."""
