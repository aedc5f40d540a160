"""The catalogue as it stands: ribbons of roles, what was retired, prices in time."""

from __future__ import annotations

from planner.events.base import Event
from planner.events.catalogue import (
    ColourNamed,
    ColourwayNamed,
    Part,
    PatternRevised,
    Retired,
    RibbonNamed,
)
from planner.events.shop import PriceSet
from planner.ledgers.catalogue import Catalogue, catalogue

from .telling import INCH, told

MON, TUE, WED = "2026-11-02", "2026-11-03", "2026-11-04"
WIDE = 7 * INCH // 8
BOW = PatternRevised(
    pattern="bow", revision=1, name="bow", size=4 * INCH, width=WIDE,
    parts=(Part(role="body", length=27 * INCH), Part(role="tail", length=9 * INCH)),
)  # fmt: skip
TWO_TONE = ColourwayNamed(
    colourway="quay", name="quay", lead="navy",
    ribbons=(("body", "navy"), ("knot", "red")),
)  # fmt: skip


def _ribbon(colour: str, width: int = WIDE) -> list[tuple[Event, str]]:
    named = ColourNamed(colour=colour, name=colour, hex="#1f2a5a", family=colour)
    ribbon = RibbonNamed(
        ribbon=colour, colour=colour, width=width, material="grosgrain"
    )
    return [(named, MON), (ribbon, MON)]


def _catalogue(*facts: tuple[Event, str]) -> Catalogue:
    return catalogue(told((BOW, MON), *_ribbon("navy"), *_ribbon("red"), *facts))


def test_a_role_a_colourway_does_not_name_takes_its_first_ribbon() -> None:
    """The tails of a navy bow with a red knot are navy."""
    found = _catalogue((TWO_TONE, MON))

    assert found.ribbon_needs("bow:quay") == {"navy": 36 * INCH}
    assert [found.colourways["quay"].ribbon_for(r) for r in ("knot", "tail")] == [
        "red", "navy",
    ]  # fmt: skip
    assert found.ribbon_needs("bow:red") == {"red": 36 * INCH}


def test_what_is_retired_is_made_no_more_until_it_is_told_anew() -> None:
    """In the order of happening, whenever it was typed."""
    retired = Retired(what="red")

    assert set(_catalogue().kinds()) == {"bow:navy", "bow:red"}
    assert set(_catalogue((retired, TUE)).kinds()) == {"bow:navy"}
    assert set(_catalogue((retired, TUE), *_ribbon("red")).kinds()) == {"bow:navy"}
    anew = [(event, WED) for event, _ in _ribbon("red")]
    assert set(_catalogue((retired, TUE), *anew).kinds()) == {"bow:navy", "bow:red"}
    assert set(_catalogue(*anew, (retired, TUE)).kinds()) == {"bow:navy", "bow:red"}


def test_a_pattern_is_made_only_in_ribbon_of_its_width() -> None:
    """A wide ribbon makes no narrow bow."""
    assert set(_catalogue(*_ribbon("white", 2 * WIDE)).kinds()) == {
        "bow:navy", "bow:red",
    }  # fmt: skip


def test_the_first_part_says_which_width_a_colourway_has() -> None:
    """A knot of narrower ribbon fits all the same, in whatever order they were told."""
    narrow = _ribbon("cord", WIDE // 2)
    mixed = ColourwayNamed(
        colourway="mixed", name="mixed", lead="navy",
        ribbons=(("tail", "cord"), ("body", "navy")),
    )  # fmt: skip
    turned = ColourwayNamed(
        colourway="turned", name="turned", lead="navy",
        ribbons=(("tail", "navy"), ("body", "cord")),
    )  # fmt: skip
    found = set(_catalogue(*narrow, (mixed, MON), (turned, MON)).kinds())

    assert found == {"bow:navy", "bow:red", "bow:mixed"}


def test_a_price_holds_from_its_day_until_the_next() -> None:
    """A kind's own goes before its pattern's; a fair without one sells at retail."""
    found = _catalogue(
        (PriceSet(what="bow", channel="retail", price=800), MON),
        (PriceSet(what="bow", channel="retail", price=900), WED),
        (PriceSet(what="bow:red", channel="retail", price=950), WED),
        (PriceSet(what="bow", channel="fair", price=700), WED),
    )
    tuesday, later = (1_793_750_400_000_000, None)  # Tue 3 Nov 2026, 20:00 UTC

    assert [found.price("bow:red", "retail", when) for when in (tuesday, later)] == [
        800, 950,
    ]  # fmt: skip
    assert [found.price("bow:navy", "retail", when) for when in (tuesday, later)] == [
        800, 900,
    ]  # fmt: skip
    assert [found.price("bow:navy", "fair", when) for when in (tuesday, later)] == [
        800, 700,
    ]  # fmt: skip
    assert found.price("bow:navy", "wholesale") is None
