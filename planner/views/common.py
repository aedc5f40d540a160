"""
What every report shares: how a view is frozen and dumped, swatches, the foot.

Fields come in pairs where a figure has a unit: the raw one carries the unit in its
name (`left_nm`, `work_minutes`, `fee_minor`, `due_on` for an ISO day) and the one
ready to show is a string of the same name without it (`left`, `work`, `fee`, `due`).
Plain counts are whole numbers and show themselves.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, ClassVar, Literal, Protocol, TypeVar, get_args

from pydantic import (
    BaseModel,
    ConfigDict,
    Field,
    SerializerFunctionWrapHandler,
    model_serializer,
)

Texture = Literal[
    "plain", "slant", "backslant", "cross", "dots", "upright", "level", "wave"
]
"""The weaves a swatch is hatched with, so that colour is never the only sign."""

TEXTURES: tuple[Texture, ...] = get_args(Texture)

FAMILY_TEXTURES: dict[str, Texture] = {
    "white": "plain",
    "ivory": "plain",
    "red": "slant",
    "burgundy": "slant",
    "pink": "dots",
    "orange": "wave",
    "coral": "wave",
    "yellow": "upright",
    "gold": "upright",
    "green": "backslant",
    "teal": "backslant",
    "blue": "level",
    "navy": "level",
    "purple": "cross",
    "brown": "wave",
    "black": "cross",
    "grey": "upright",
    "silver": "upright",
}

Mood = Literal["fine", "look", "act"]
"""How much an answer asks of her: nothing, a look, or something to do today."""


class View(BaseModel):
    """A frozen value ready to be shown; unknown fields are refused."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)


class Swatch(View):
    """A strip of ribbon: one colour with its own name and weave."""

    hex: str = Field(pattern=r"^#[0-9a-fA-F]{6}$")
    """The colour as `#rrggbb`."""
    name: str
    """Her own name for the colour."""
    pattern: Texture = "plain"
    """The weave it is drawn with, from the colour's family."""


class Shop(View):
    """Whose report it is."""

    name: str
    """The shop's name."""
    currency: str
    """ISO 4217 code of every amount in the report."""


class Foot(View):
    """What stands at the foot of every report: the outside anchor of the log."""

    head: str
    """The log's head, short: what `bows check --against` takes."""
    as_of_on: str
    """The day asked about, ISO."""
    as_of: str
    """The day asked about, in words."""
    known_on: str | None = None
    """ISO day up to which entries were read, if she asked with `--known-on`."""
    known: str = ""
    """The same day in words; empty when nothing was asked."""
    made: str
    """When the report was made, in words."""
    late_entries: int = 0
    """Entries typed after the day they tell of, among those the report covers."""
    events: int = 0
    """Events behind the report."""


class Link(View):
    """A way to another report."""

    text: str
    """What the link says."""
    href: str
    """The other report's file name, beside this one."""
    note: str = ""
    """What is found there, in a few words."""


class Oddity(View):
    """Something the records can't account for, and what to type about it."""

    about: str
    """The spool, kind, order or place it is about."""
    what: str
    """What is odd, in a sentence."""
    instead: str = ""
    """The command that would clear or explain it; may be empty."""


class Size(View):
    """One size of a matrix: a pattern's finished size."""

    key: str
    """What she types for it (`4in`)."""
    name: str
    """The pattern's name in full."""
    short: str
    """What stands at the head of its column; a few letters."""


class Colour(View):
    """One colour of a matrix: the lead colour, and its companions if it has any."""

    key: str
    """What she types for it (`navy`, `navy-white`)."""
    name: str
    """Her name for the colour or colourway."""
    swatches: tuple[Swatch, ...]
    """The lead colour first, then the other ribbons of a two-coloured bow."""


class SpoolLeft(View):
    """What the books say is left on a spool."""

    code: str
    """The spool's short code."""
    ribbon: str
    """Width and colour, as she calls the ribbon."""
    swatch: Swatch
    """Its colour."""
    left_nm: int
    """Book figure, nanometres; below zero when an entry is missing."""
    left: str
    """The same, ready to show."""
    label_nm: int
    """Labelled length, nanometres; where it has no label, what it began with."""
    label: str
    """The same, ready to show."""
    unexplained_nm: int = 0
    """Signed length not yet explained, nanometres."""
    unexplained: str = ""
    """The same, ready to show; empty when there is none."""
    note: str = ""
    """What to know about it (low, a join, an entry missing)."""
    href: str = ""
    """Its story, if that report was made."""
    why: str = ""
    """The command that names the entries behind it."""


class SupplyLeft(View):
    """What the books say is left of a supply."""

    name: str
    """The supply, as she calls it."""
    left: int
    """Whole units left; below zero when entries are missing."""
    unit: str
    """What a unit is called (clips, sticks, cards)."""
    enough_for: int | None = None
    """Bows it would do for, where the patterns say."""
    note: str = ""
    """What to know about it (low, an entry missing)."""
    why: str = ""
    """The commands that name the entries behind it, one a lot."""


class Report(View):
    """A whole report; every dump of one begins with its `schema`."""

    schema_name: ClassVar[str] = ""
    """The report's name and version, kept for whoever reads the JSON."""
    title: ClassVar[str] = ""
    """What the report is called."""
    template: ClassVar[str] = ""
    """The template that lays it out as a page."""

    shop: Shop
    """Whose report it is."""
    foot: Foot
    """What it stands on."""
    links: tuple[Link, ...] = ()
    """The other reports made with it."""

    @model_serializer(mode="wrap")
    def _with_schema(self, handler: SerializerFunctionWrapHandler) -> dict[str, Any]:
        return {"schema": self.schema_name, **handler(self)}


class _Placed(Protocol):
    @property
    def size(self) -> str: ...
    @property
    def colour(self) -> str: ...


Cell = TypeVar("Cell", bound=_Placed)


def texture(family: str) -> Texture:
    """Give the weave of a colour family; a family of her own always gets the same."""
    known = FAMILY_TEXTURES.get(family.strip().lower())
    return known or TEXTURES[1 + sum(map(ord, family)) % (len(TEXTURES) - 1)]


def swatch(*, name: str, hex: str, family: str) -> Swatch:
    """Make the swatch of a colour from her name, its `#rrggbb` and its family."""
    return Swatch(hex=hex, name=name, pattern=texture(family))


def grid(cells: Iterable[Cell]) -> dict[tuple[str, str], Cell]:
    """Lay cells out by (colour key, size key)."""
    return {(cell.colour, cell.size): cell for cell in cells}
