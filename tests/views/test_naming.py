"""How kinds, sizes, colours, lengths and days are named in reports."""

from __future__ import annotations

from datetime import date

import pytest

from planner.events.base import Event, Fact
from planner.events.bows import BowsOpening
from planner.events.catalogue import (
    ColourNamed,
    ColourwayNamed,
    Part,
    PatternRevised,
    RibbonNamed,
    SetNamed,
)
from planner.events.shop import ShopSetUp
from planner.fold import fold_facts
from planner.ledgers.catalogue import catalogue
from planner.ledgers.state import Ledgers
from planner.rules.finding import find_kind
from planner.views import naming
from planner.views.common import Colour, Size, Swatch

INCH = 25_400_000
WIDE, NARROW = 3 * INCH // 2, 7 * INCH // 8

COLOURS = (
    ("sail", "Sail White", "#f4f3ec", "white"),
    ("navy", "Navy", "#1b2a4e", "navy"),
    ("oyster", "Oyster", "#e3dccb", "white"),
    ("sky", "Sky", "#8fc1e3", "blue"),
)


def colours() -> list[Event]:
    """Name four colours of three families."""
    return [
        ColourNamed(colour=code, name=name, hex=hex_, family=family)
        for code, name, hex_, family in COLOURS
    ]


def ribbon(code: str, colour: str, width: int, material: str = "satin") -> RibbonNamed:
    """Name a ribbon."""
    return RibbonNamed(ribbon=code, colour=colour, width=width, material=material)


def pattern(code: str, name: str, size: int, width: int) -> PatternRevised:
    """Tell a pattern of a body and a top."""
    parts = (Part(role="body", length=20 * INCH), Part(role="top", length=9 * INCH))
    return PatternRevised(
        pattern=code, revision=1, name=name, size=size, width=width, parts=parts
    )


SHOP: tuple[Event, ...] = (
    ShopSetUp(
        name="Knot Quay", zone="America/New_York", currency="USD", units="us",
        paper="letter",
    ),
    *colours(),
    ribbon("navy-w", "navy", WIDE),
    ribbon("navy-n", "navy", NARROW),
    ribbon("sail-w", "sail", WIDE),
    ribbon("sky-w", "sky", WIDE),
    ribbon("oyster-w", "oyster", WIDE),
    ColourwayNamed(
        colourway="two", name="Navy with Sail", lead="navy",
        ribbons=(("body", "navy-w"), ("top", "sail-w")),
    ),
    pattern("classic-4", "Classic 4 in", 4 * INCH, WIDE),
    pattern("tails-4", "Tails 4 in", 4 * INCH, WIDE),
    pattern("classic-45", "Classic 4 1/2 in", 9 * INCH // 2, WIDE),
    pattern("mini", "Mini 2 in", 2 * INCH, NARROW),
    pattern("cm", "Ten 10 cm", 100_000_000, WIDE),
    SetNamed(set="pair", name="Pair of Minis", kinds=(("mini:navy-n", 2),)),
)  # fmt: skip


def led_of(*more: Event) -> Ledgers:
    """Fold the shop and more."""
    facts = [Fact(event, "2026-11-01") for event in (*SHOP, *more)]
    return fold_facts(list(enumerate(facts, start=1)), zone="America/New_York")


LED = led_of()
CAT = catalogue(LED)


@pytest.mark.parametrize(
    ("code", "size"),
    [
        ("mini", Size(key="2in", name="Mini 2 in", short="2in")),
        (
            "classic-4",
            Size(key="classic 4in", name="Classic 4 in", short="4in classic"),
        ),
        ("tails-4", Size(key="tails 4in", name="Tails 4 in", short="4in tails")),
        ("classic-45", Size(key="4.5in", name="Classic 4 1/2 in", short="4½in")),
        ("cm", Size(key="10cm", name="Ten 10 cm", short="10cm")),
        ("gone", Size(key="gone", name="gone", short="gone")),
    ],
)
def test_a_size_is_named_by_its_length_and_style_only_where_needed(
    code: str, size: Size
) -> None:
    """Two patterns of 4 in need their style; the others don't."""
    assert naming.size(CAT, code) == size


def test_a_colour_in_two_widths_is_one_row() -> None:
    """The key is the colour, not the ribbon."""
    navy = Colour(
        key="navy", name="Navy",
        swatches=(Swatch(hex="#1b2a4e", name="Navy", pattern="level"),),
    )  # fmt: skip

    assert naming.colour(CAT, "navy-w") == naming.colour(CAT, "navy-n") == navy


def test_a_two_coloured_row_has_its_lead_colour_first() -> None:
    """Key, name and swatches follow the colourway."""
    found = naming.colour(CAT, "two")

    assert (found.key, found.name) == ("navy-sail", "Navy with Sail")
    assert [one.name for one in found.swatches] == ["Navy", "Sail White"]


def test_satin_and_grosgrain_of_a_colour_and_width_keep_rows_apart() -> None:
    """Two kinds never stand in one cell."""
    cat = catalogue(led_of(ribbon("navy-g", "navy", WIDE, "grosgrain")))

    assert naming.colour(cat, "navy-w").key == "navy"
    assert naming.colour(cat, "navy-g").key == "navy-g"
    assert naming.colour(cat, "navy-g").name == "Navy (grosgrain)"


def test_rows_keep_families_together_and_columns_rise() -> None:
    """White before navy as first named; two-coloured after plain."""
    kinds = ["classic-4:sky-w", "mini:navy-n", "tails-4:oyster-w", "cm:two",
             "classic-45:sail-w", "classic-4:navy-w"]  # fmt: skip

    assert [x.key for x in naming.colours_of(CAT, kinds)] == [
        "sail", "oyster", "navy", "navy-sail", "sky",
    ]  # fmt: skip
    assert [x.key for x in naming.sizes_of(CAT, kinds)] == [
        "2in", "10cm", "classic 4in", "tails 4in", "4.5in",
    ]  # fmt: skip


def test_a_kind_is_said_in_words_that_find_it_again() -> None:
    """Every kind of the catalogue, made before or not."""
    kinds = list(CAT.kinds())
    made = led_of(BowsOpening(bows=tuple((kind, 1) for kind in kinds)))

    assert [find_kind(made, naming.typed(CAT, k)) for k in kinds] == kinds
    assert [find_kind(LED, naming.typed(CAT, k)) for k in kinds] == kinds


def test_kinds_are_said_shortly_where_that_is_enough() -> None:
    """As she would type them, with the style or the full colour where it must be."""
    kinds = ("mini:navy-n", "classic-4:sky-w", "tails-4:two", "classic-4:?", "pair")
    said = {kind: naming.typed(CAT, kind) for kind in kinds}

    assert said == {
        "mini:navy-n": "2in navy",
        "classic-4:sky-w": "classic 4in sky",
        "tails-4:two": "tails 4in navy-sail",
        "classic-4:?": "classic 4in not noticed",
        "pair": "pair of minis",
    }


def test_what_was_never_named_still_has_a_swatch_and_a_row() -> None:
    """Reports never fall over on a code."""
    assert naming.swatch(CAT, "") == Swatch(hex="#808080", name="?", pattern="upright")
    assert naming.colour(CAT, "gone") == Colour(key="gone", name="gone", swatches=())
    assert naming.colour(CAT, "?").name == "colour not noticed"
    assert naming.swatches_of_kind(CAT, "pair") == naming.swatches_of_kind(
        CAT, "mini:navy-n"
    )


def test_lengths_amounts_days_and_minutes_are_in_the_shops_own_units() -> None:
    """Inches below two yards, money with its sign, days with how far off."""
    assert naming.length(LED, 25 * INCH) == "25 in"
    assert naming.length(LED, 100 * 36 * INCH) == "100 yd"
    assert naming.money(LED, 123_456) == "$1,234.56"
    assert naming.day("2026-11-28", date(2026, 11, 25)) == (
        "Sat 28 Nov 2026 (in 3 days)"
    )
    assert [naming.minutes(m) for m in (0, 59.6, 90, 330)] == [
        "0 min", "1 h", "1 h 30 min", "5 h 30 min",
    ]  # fmt: skip
    assert (naming.bows(1), naming.bows(1_200)) == ("1 bow", "1,200 bows")
    assert (naming.others(1), naming.others(2)) == ("1 other", "2 others")


def test_a_metric_shop_reads_metres() -> None:
    """The units are the shop's."""
    shop = ShopSetUp(
        name="Knot Quay", zone="UTC", currency="EUR", units="metric", paper="a4"
    )
    led = fold_facts([(1, Fact(shop, "2026-11-01"))], zone="UTC")

    assert naming.length(led, 64_000_000) == "64 mm"
    assert naming.length(led, 25_000_000_000) == "25 m"
    assert naming.money(led, 950) == "€9.50"
