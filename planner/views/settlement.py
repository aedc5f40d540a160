"""The settlement of a fair: where every bow went, the tills, and the plan's score."""

from __future__ import annotations

from typing import ClassVar

from planner.views.common import Colour, Report, Size, Swatch, View
from planner.views.fair_said import FairSaid


class SettledKind(View):
    """Where the bows of one kind went."""

    size: str
    """Key of the size."""
    colour: str
    """Key of the colour."""
    kind: str
    """The kind as she types it."""
    swatches: tuple[Swatch, ...]
    """Its ribbons, lead colour first."""
    planned: int | None
    """Bows to bring by the plan accepted; None without one."""
    brought: int
    """Bows packed or topped up."""
    sold: int
    """Bows typed as sold."""
    gone: int
    """Bows given or written off at the stall."""
    back: int
    """Bows that came home."""
    missing: int
    """Bows unaccounted for; below nothing where more went than were brought."""
    least: int
    """Of the missing, the fewest that were sold without being typed."""
    most: int
    """Of the missing, the most that can have been."""
    note: str
    """The same in words, and when it sold out."""


class SettledTotal(View):
    """A sum over a size or a colour."""

    key: str
    """Key of the size or the colour."""
    brought: int
    """Bows brought."""
    sold: int
    """Bows typed as sold."""
    back: int
    """Bows that came home."""


class SettledDay(View):
    """One day's till."""

    day_on: str
    """ISO day."""
    day: str
    """The day with its hours, in words."""
    float_minor: int
    """Change in the till in the morning, minor units."""
    float_shown: str
    """The same, ready to show."""
    typed_minor: int
    """Typed sales, minor units."""
    typed: str
    """The same, ready to show."""
    counted_minor: int | None
    """Takings as counted, minor units; None where they weren't."""
    counted: str
    """The same, ready to show."""
    more_minor: int | None
    """Counted less typed, minor units."""
    more: str
    """The same in words."""


class SettledScore(FairSaid):
    """What was said of the fair beforehand, beside what came."""

    total: str
    """Bows that were to be sold in all, with the range of nine in ten."""
    compared: int
    """Kinds that were at an earlier fair."""
    words: str
    """The verdict in a sentence or two."""


class FairSettlement(Report):
    """Where every bow of a fair went."""

    schema_name: ClassVar[str] = "spool-to-stall/settlement/1"
    title: ClassVar[str] = "Settlement"
    template: ClassVar[str] = "settlement.html.j2"

    code: str
    """The fair's code."""
    fair: str
    """The fair's name."""
    when: str
    """Its days and hours in words."""
    short: str
    """The answer in one sentence."""
    sizes: tuple[Size, ...] = ()
    """The columns, smallest first."""
    colours: tuple[Colour, ...] = ()
    """The rows, families together."""
    cells: tuple[SettledKind, ...] = ()
    """Every kind that was brought, sold or came back."""
    size_totals: tuple[SettledTotal, ...] = ()
    """One for each size, in their order."""
    colour_totals: tuple[SettledTotal, ...] = ()
    """One for each colour, in their order."""
    brought: int
    """All bows brought."""
    sold: int
    """Bows typed as sold, the colour noticed or not."""
    gone: int
    """Bows given or written off at the stall."""
    back: int
    """Bows that came home."""
    missing: int
    """Bows missing, kind by kind, less those sold with the colour not noticed."""
    too_many: int
    """Bows sold or back beyond those brought, by kind; not taken off `missing`."""
    untyped: str
    """How many of those may have been sold without being typed."""
    unnoticed: tuple[str, ...] = ()
    """Sales with the colour not noticed, in words."""
    sets: tuple[str, ...] = ()
    """Sets among those sold, in words."""
    days: tuple[SettledDay, ...] = ()
    """The till of each day."""
    takings_minor: int
    """Takings as counted (typed where not), minor units."""
    takings: str
    """The same, ready to show."""
    costs_minor: int
    """Fee and other costs, minor units."""
    costs: str
    """The same, ready to show."""
    materials_minor: int | None
    """Ribbon and supplies of the bows typed as sold, minor units; None if unknown."""
    materials: str
    """The same, ready to show."""
    left_minor: int
    """Takings less costs and materials, minor units."""
    left: str
    """The same, ready to show."""
    weather: str
    """fine, poor or not told."""
    note: str
    """Her words for next time."""
    score: SettledScore | None = None
    """What was said beforehand, scored."""
    rests_on: tuple[str, ...] = ()
    """What it rests on, and what would change it."""
