"""Events of the catalogue: colours, ribbons, supplies, patterns, colourways, sets."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from planner.events.base import Event, Value
from planner.events.fields import (
    Code,
    Count,
    Hex,
    KindCount,
    Length,
    Minutes,
    Name,
    Seconds,
    Text,
)


class ColourNamed(Event):
    """A ribbon colour got her own name, a hex value and a family."""

    kind = "colour-named"

    colour: Code
    name: Name
    hex: Hex
    family: Code


class RibbonNamed(Event):
    """A kind of ribbon: material, measured width (nm), colour, finish."""

    kind = "ribbon-named"

    ribbon: Code
    colour: Code
    width: Length
    material: Name
    finish: Literal["dyed", "printed", "foil", "glitter"] = "dyed"
    trade_number: Text = ""


class SupplyNamed(Event):
    """
    A supply: a clip by size, cards, thread, glue, stiffener.

    `yields` is how many bows one unit serves; 1 means it is used in whole units.
    """

    kind = "supply-named"

    supply: Code
    name: Name
    yields: Count = 1


class Part(Value):
    """A part to cut for one bow: `count` cuts of `length` nm for `role`."""

    role: Code
    length: Length
    count: Annotated[int, Field(ge=1, le=100)] = 1


class SupplyNeed(Value):
    """What one bow needs of a supply, in whole units or by the supply's yield."""

    supply: Code
    count: Annotated[int, Field(ge=1, le=100)] = 1


class Step(Value):
    """A step at the bench, `seconds` for one bow; optional ones are left out."""

    name: Name
    seconds: Seconds
    optional: bool = False


class PatternRevised(Event):
    """
    How a bow is made, first told or told anew: revisions count from 1.

    `size` is the finished width, `width` the ribbon's, both nm; `set_up` minutes come
    once a sitting; `setting` minutes pass unattended after the last step.
    """

    kind = "pattern-revised"

    pattern: Code
    revision: Count
    name: Name
    size: Length
    width: Length
    parts: Annotated[tuple[Part, ...], Field(min_length=1, max_length=50)]
    supplies: tuple[SupplyNeed, ...] = ()
    steps: tuple[Step, ...] = ()
    set_up: Minutes = 0
    setting: Minutes = 0


class ColourwayNamed(Event):
    """
    Which ribbon each role takes; `lead` is the colour of the matrix.

    `ribbons` pairs role and ribbon; the role ``*`` stands for all the others.
    """

    kind = "colourway-named"

    colourway: Code
    name: Name
    lead: Code
    ribbons: Annotated[tuple[tuple[Code, Code], ...], Field(min_length=1)]


class SetNamed(Event):
    """A selling unit of several bows (a pair, say), of one kind or more."""

    kind = "set-named"

    set: Code
    name: Name
    kinds: Annotated[tuple[KindCount, ...], Field(min_length=1)]


class Retired(Event):
    """A colour, ribbon, supply, pattern, colourway or set is no longer used."""

    kind = "retired"

    what: Code
