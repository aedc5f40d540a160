"""Opening a shop: the first entries, so that a first fair can be planned at once."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal, NamedTuple

from planner.errors import Unreadable
from planner.events.base import Event
from planner.events.catalogue import (
    ColourNamed,
    Part,
    PatternRevised,
    RibbonNamed,
    Step,
    SupplyNamed,
    SupplyNeed,
)
from planner.events.shop import (
    FeesSet,
    PriceSet,
    SettingChanged,
    ShopSetUp,
    WageSet,
)
from planner.ledgers.shop import DEFAULTS
from planner.ledgers.shop import setting as old_setting
from planner.ledgers.state import Ledgers
from planner.plans.taking import hours_event
from planner.rules.base import Proposal, proposal
from planner.rules.catalogue import check_size, ribbon_code
from planner.values.bench import BenchHours
from planner.values.moments import When
from planner.values.text import quoted, slug
from planner.values.units import NM_PER_INCH, format_length, parse_length

WIDTHS: tuple[tuple[int, int], ...] = (
    (int(2.5 * NM_PER_INCH), NM_PER_INCH * 5 // 8),
    (int(3.75 * NM_PER_INCH), NM_PER_INCH * 7 // 8),
    (int(4.75 * NM_PER_INCH), NM_PER_INCH * 3 // 2),
    (int(7 * NM_PER_INCH), NM_PER_INCH * 9 // 4),
)
"""Finished size up to (nm) -> usual ribbon width (common practice): 1 1/2 in ribbon
serves bows of 4 to 4 1/2 in, 2 1/4 in ribbon those of 5 and 6 in."""

BODY_A_SIZE = 8
"""Body length over finished size in the usual generous cut (32 in for 4 in)."""
KNOT = 6 * NM_PER_INCH
"""Length of the centre knot's cut."""


class Opening(NamedTuple):
    """What she answers when she opens a shop; amounts in minor units."""

    name: str
    zone: str
    currency: str
    units: Literal["us", "metric"]
    paper: Literal["letter", "a4"]
    sizes: tuple[int, ...] = ()
    colours: tuple[tuple[str, str, str], ...] = ()
    minutes: int = 10
    price: int | None = None


NO_SHADE = "#808080"
"""The grey a colour is drawn in whose name tells no shade."""


def opened(answers: Opening, *, when: When) -> Proposal:
    """Propose the first entry of a shop: settings, and patterns and ribbons if told."""
    for size in answers.sizes:
        check_size(size)
    events: list[Event] = [
        ShopSetUp(
            name=answers.name, zone=answers.zone, currency=answers.currency,
            units=answers.units, paper=answers.paper,
        )
    ]  # fmt: skip
    said = [f"the shop {answers.name}: {answers.currency}, {answers.zone}"]
    for name, hex_value, family in answers.colours:
        events.append(
            ColourNamed(colour=slug(name), name=name, hex=hex_value, family=family)
        )
    if answers.sizes:
        events += _supplies()
    for width in sorted({width_for(size) for size in answers.sizes}):
        events += _ribbons(answers, width)
    for size in answers.sizes:
        events += _pattern(answers, size)
        said.append(
            f"pattern classic {format_length(size)}: {format_length(width_for(size))} "
            f"ribbon, {format_length(BODY_A_SIZE * size)} body and a "
            f"{format_length(KNOT)} knot, {answers.minutes} min (a usual start: change "
            "it with bows pattern)"
        )
    return proposal(events, when, *said, warnings=_shadeless(answers))


def _shadeless(answers: Opening) -> list[str]:
    """Name the colours drawn grey for want of a shade that their names tell."""
    names = [name for name, shade, _ in answers.colours if shade == NO_SHADE]
    names = [name for name in names if name.lower().split()[-1] not in ("grey", "gray")]
    if not names:
        return []
    return [
        f"no shade is known by the name of {', '.join(names)}: drawn grey until told, "
        f'such as: bows colour {names[0]} --hex "#c03a5b"'
    ]


def width_for(size: int) -> int:
    """Give the usual ribbon width (nm) for a finished size (nm)."""
    for most, width in WIDTHS:
        if size <= most:
            return width
    return 3 * NM_PER_INCH


def _supplies() -> list[Event]:
    return [
        SupplyNamed(supply="short-clip", name="short clip"),
        SupplyNamed(supply="long-clip", name="long clip"),
        SupplyNamed(supply="card", name="card"),
        SupplyNamed(supply="glue-stick", name="glue stick", yields=20),
        SupplyNamed(supply="thread-reel", name="thread reel", yields=300),
    ]


def _ribbons(answers: Opening, width: int) -> list[Event]:
    return [
        RibbonNamed(
            ribbon=ribbon_code(slug(name), width), colour=slug(name), width=width,
            material="grosgrain",
        )
        for name, _, _ in answers.colours
    ]  # fmt: skip


def _pattern(answers: Opening, size: int) -> list[Event]:
    name = f"classic {format_length(size)}"
    clip = "short-clip" if size <= 3 * NM_PER_INCH else "long-clip"
    made: list[Event] = [
        PatternRevised(
            pattern=slug(name), revision=1, name=name, size=size, width=width_for(size),
            parts=(
                Part(role="body", length=BODY_A_SIZE * size),
                Part(role="knot", length=KNOT),
            ),
            supplies=tuple(
                SupplyNeed(supply=name)
                for name in (clip, "card", "glue-stick", "thread-reel")
            ),
            steps=(Step(name="make one bow", seconds=answers.minutes * 60),),
            set_up=5, setting=5,
        )
    ]  # fmt: skip
    if answers.price is not None:
        made.append(PriceSet(what=slug(name), channel="retail", price=answers.price))
    return made


def hours(
    led: Ledgers, *, words: str, told: BenchHours, spelled: str, when: When
) -> Proposal:
    """Propose when she can work; replaces what she had said before."""
    event = hours_event(told, words)
    return proposal([event], when, f"bench hours: {spelled}")


def wage(led: Ledgers, *, an_hour: int, words: str, when: When) -> Proposal:
    """Propose what an hour at the bench should earn."""
    return proposal([WageSet(an_hour=an_hour)], when, f"an hour at the bench: {words}")


def fees(
    led: Ledgers, *, basis_points: int, fixed: int, words: str, when: When
) -> Proposal:
    """Propose what a card payment costs."""
    event = FeesSet(basis_points=basis_points, fixed=fixed)
    return proposal([event], when, f"a card payment costs {words}")


def setting(led: Ledgers, *, name: str, value: str, when: When) -> Proposal:
    """
    Propose a new value of a setting.

    Raises:
        Unreadable: for a setting that doesn't exist.
    """
    if name not in DEFAULTS:
        raise Unreadable(
            f"There is no setting {quoted(name)}.",
            instead=f"one of: {', '.join(sorted(DEFAULTS))}",
        )
    told = value.strip()
    kept = _setting_value(name, told if name in _HER_WORDS else told.lower())
    event = SettingChanged(name=name, value=kept)
    was = setting_words(name, old_setting(led, name))
    return proposal([event], when, f"{name}: {was} → {setting_words(name, kept)}")


_CHOICES = {"late day": ("before", "counts"), "setting counts": ("yes", "no")}
"""Settings of a few words: whether the due day's hours count; whether glue's do."""
_NUMBERS = {"salvage share": 100, "bows a metre of table": 1000, "bench sureness": 99}
"""Settings that are whole numbers, with the most they may be."""
_LENGTH = "end worth keeping"
_HER_WORDS = ("place of making", "short measure rule")
"""Settings that are printed as she typed them."""


def _setting_value(name: str, value: str) -> str:
    if name in _CHOICES and value not in _CHOICES[name]:
        words = " or ".join(_CHOICES[name])
        raise Unreadable(
            f"{name} is {words}.", instead=f'bows setting "{name}" {_CHOICES[name][0]}'
        )
    if name in _NUMBERS:
        bare = value.rstrip(" %")
        if not (bare.isascii() and bare.isdigit() and int(bare) <= _NUMBERS[name]):
            raise Unreadable(
                f"{name} is a whole number up to {_NUMBERS[name]}.",
                instead=f'bows setting "{name}" {DEFAULTS[name]}',
            )
        return str(int(bare))
    return str(parse_length(value, default="in")) if name == _LENGTH else value


def setting_words(name: str, value: str) -> str:
    """Say a setting's value as she would."""
    if name == _LENGTH:
        return format_length(int(value))
    return f"{value} %" if name in ("salvage share", "bench sureness") else value


def families(colours: Sequence[str]) -> dict[str, str]:
    """Give each colour name a family by its last word (`sky blue` is blue)."""
    return {name: slug(name.split()[-1]) for name in colours}
