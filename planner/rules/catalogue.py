"""Rules of the catalogue: colours, ribbons, supplies, patterns, colourways, sets."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from planner.errors import Absurd
from planner.events.base import Event
from planner.events.catalogue import (
    ColourNamed,
    ColourwayNamed,
    Part,
    PatternRevised,
    Retired,
    RibbonNamed,
    SetNamed,
    Step,
    SupplyNamed,
    SupplyNeed,
)
from planner.events.shop import PriceSet
from planner.ledgers.catalogue import Catalogue, catalogue
from planner.ledgers.shop import shop
from planner.ledgers.state import Ledgers
from planner.rules.base import Proposal, proposal
from planner.rules.bench import length_words
from planner.values.moments import When
from planner.values.money import format_amount
from planner.values.names import Candidate, find
from planner.values.text import slug
from planner.values.units import NM_PER_INCH, format_length

Channel = Literal["retail", "wholesale", "fair"]
Finish = Literal["dyed", "printed", "foil", "glitter"]


LARGEST = 24 * NM_PER_INCH
"""The largest bow (nm): twice the largest that is worn on a head."""
WIDEST = 6 * NM_PER_INCH
"""The widest ribbon (nm): twice the widest that bows are made of."""


def check_size(size: int) -> None:
    """
    Refuse a finished size (nm) that no bow has.

    Raises:
        Absurd: beyond 24 in.
    """
    if size > LARGEST:
        raise Absurd(
            f"{format_length(size)} is no size of a bow (at most "
            f"{format_length(LARGEST)}).",
            instead="type the finished size, such as 4in",
        )


def check_width(width: int) -> None:
    """
    Refuse a ribbon width (nm) that no ribbon has.

    Raises:
        Absurd: beyond 6 in.
    """
    if width > WIDEST:
        raise Absurd(
            f"{format_length(width)} is no width of a ribbon (at most "
            f"{format_length(WIDEST)}).",
            instead="type the measured width, such as 1.5in",
        )


def colour(led: Ledgers, *, name: str, hex: str, family: str, when: When) -> Proposal:
    """Propose a colour by her own name."""
    code = slug(name)
    event = ColourNamed(colour=code, name=name, hex=hex, family=slug(family))
    verb = "told anew" if code in catalogue(led).colours else "named"
    return proposal([event], when, f"colour {name} {verb}: {hex}, family {family}")


def ribbon_code(colour_code: str, width: int) -> str:
    """Make a ribbon's code: colour and width, such as ``navy-1.5in``."""
    inches = width / NM_PER_INCH
    return f"{colour_code}-{inches:g}in"


def ribbon(
    led: Ledgers, *, colour: str, width: int, material: str, finish: Finish, when: When,
    trade_number: str = "",
) -> Proposal:  # fmt: skip
    """Propose a kind of ribbon."""
    check_width(width)
    code = ribbon_code(colour, width)
    known = catalogue(led).ribbons.get(code)
    if known is not None and known.material != material:
        code = f"{code}-{slug(material)}"
    event = RibbonNamed(
        ribbon=code, colour=colour, width=width, material=material, finish=finish,
        trade_number=trade_number,
    )  # fmt: skip
    name = catalogue(led).colour_name(colour)
    return proposal(
        [event], when, f"ribbon {code}: {name} {format_length(width)} {material}"
    )


def supply(led: Ledgers, *, name: str, yields: int, when: When) -> Proposal:
    """Propose a supply; one unit serves `yields` bows."""
    event = SupplyNamed(supply=slug(name), name=name, yields=yields)
    use = "in whole units" if yields == 1 else f"one serves {yields} bows"
    return proposal([event], when, f"supply {name}: {use}")


def pattern(
    led: Ledgers, *, name: str, size: int, width: int,
    parts: Sequence[tuple[str, int, int]], supplies: Sequence[tuple[str, int]] = (),
    steps: Sequence[tuple[str, int, bool]] = (), set_up: int = 0, setting: int = 0,
    when: When,
) -> Proposal:  # fmt: skip
    """
    Propose how a bow is made; a known pattern gets its next revision.

    Raises:
        Absurd: for a size or width that nothing has, or parts shorter than the bow.
    """
    check_size(size)
    check_width(width)
    if not name.lower().endswith((" in", "cm", "mm", '"')):
        name = f"{name} {format_length(size)}"
    code = slug(name)
    cat = catalogue(led)
    newest = cat.patterns.get(code)
    total = sum(length * count for _, length, count in parts)
    if total < size:
        raise Absurd(
            f"A {format_length(size)} bow can't be made of "
            f"{format_length(total)} of ribbon.",
            instead='--part "body 32in" --part "knot 6in"',
        )
    event = PatternRevised(
        pattern=code, revision=newest.revision + 1 if newest else 1, name=name,
        size=size, width=width,
        parts=tuple(Part(role=a, length=b, count=c) for a, b, c in parts),
        supplies=tuple(SupplyNeed(supply=a, count=b) for a, b in supplies),
        steps=tuple(Step(name=a, seconds=b, optional=c) for a, b, c in steps),
        set_up=set_up, setting=setting,
    )  # fmt: skip
    said = (
        f"pattern {name}, revision {event.revision}: {length_words(led, total)} of "
        f"{format_length(width)} ribbon, {sum(s.seconds for s in event.steps) / 60:g} "
        "min a bow"
    )
    return proposal([event], when, said)


def colourway(
    led: Ledgers, *, name: str, roles: Sequence[tuple[str, str]], when: When
) -> Proposal:
    """Propose which ribbon each role takes; the first one leads in the matrix."""
    cat = catalogue(led)
    lead = cat.ribbons[roles[0][1]].colour
    width = cat.ribbons[roles[0][1]].width
    code = f"{slug(name)}-{width / NM_PER_INCH:g}in"
    event = ColourwayNamed(colourway=code, name=name, lead=lead, ribbons=tuple(roles))
    words = ", ".join(f"{role} {cat.ribbon_name(ribbon)}" for role, ribbon in roles)
    return proposal([event], when, f"colourway {name}: {words}")


def set_named(
    led: Ledgers, *, name: str, kinds: Sequence[tuple[str, int]], when: When
) -> Proposal:
    """Propose a selling unit of several bows."""
    event = SetNamed(set=slug(name), name=name, kinds=tuple(kinds))
    cat = catalogue(led)
    words = ", ".join(f"{count} {cat.kind_name(kind)}" for kind, count in kinds)
    return proposal([event], when, f"set {name}: {words}")


def retired(led: Ledgers, *, what: str, when: When) -> Proposal:
    """Propose that a thing of the catalogue, by code or name, is no longer used."""
    code = _named(catalogue(led), what)
    return proposal([Retired(what=code)], when, f"{code} is retired")


def _named(cat: Catalogue, what: str) -> str:
    """Find a thing of the catalogue by its code or its words."""
    named = {
        **{code: cat.ribbon_name(code) for code in cat.ribbons},
        **{x.code: x.name for x in cat.colours.values()},
        **{x.code: x.name for x in cat.supplies.values()},
        **{x.code: x.name for x in cat.patterns.values()},
        **{x.code: x.name for x in cat.colourways.values()},
        **{x.code: x.name for x in cat.sets.values()},
    }
    every = [Candidate(code, name) for code, name in named.items()]
    return find(what, every, what="thing of the catalogue", hint="bows catalogue")


def price(
    led: Ledgers, *, what: str, name: str, channel: Channel, amount: int, when: When
) -> Proposal:
    """Propose a price of a kind, pattern or set, from this moment on."""
    before = catalogue(led).price(what, channel)
    currency = shop(led).currency
    event: Event = PriceSet(what=what, channel=channel, price=amount)
    was = f" (was {format_amount(before, currency)})" if before is not None else ""
    said = f"{name}, {channel}: {format_amount(amount, currency)}{was}"
    return proposal([event], when, said)
