"""A small invented shop for the rules of orders, fairs, selling and boutiques."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from zoneinfo import ZoneInfo

from planner.events.base import Event, Fact
from planner.events.bows import BowsOpening
from planner.events.catalogue import (
    ColourNamed,
    Part,
    PatternRevised,
    RibbonNamed,
    SetNamed,
)
from planner.events.fair import FairAnnounced, FairDay, FairPacked
from planner.events.shop import FeesSet, PriceSet, ShopSetUp
from planner.fold import fold_facts
from planner.ledgers.state import Ledgers
from planner.values.moments import When

ZONE = "America/New_York"
NOW = When("2026-11-25T20:00:00-05:00")
CLOCK = datetime(2026, 11, 25, 20, 0, tzinfo=ZoneInfo(ZONE))
INCH = 25_400_000

NAVY, RED, SMALL = "classic-4in:navy", "classic-4in:red", "mini-2in:navy-narrow"


def _pattern(code: str, name: str, inches: int, width: int) -> PatternRevised:
    return PatternRevised(
        pattern=code, revision=1, name=name, size=inches * INCH, width=width,
        parts=(Part(role="body", length=27 * INCH),),
    )  # fmt: skip


def _colour(code: str, hex_: str) -> ColourNamed:
    return ColourNamed(colour=code, name=code, hex=hex_, family=code)


def _ribbon(code: str, colour: str, width: int) -> RibbonNamed:
    return RibbonNamed(ribbon=code, colour=colour, width=width, material="grosgrain")


SHOP: tuple[Event, ...] = (
    ShopSetUp(name="Knot Quay", zone=ZONE, currency="USD", units="us", paper="letter"),
    FeesSet(basis_points=260, fixed=10),
    _colour("navy", "#1f2a5a"),
    _colour("red", "#b01e2e"),
    _ribbon("navy", "navy", 7 * INCH // 8),
    _ribbon("red", "red", 7 * INCH // 8),
    _ribbon("navy-narrow", "navy", INCH // 2),
    _pattern("classic-4in", "classic 4 in", 4, 7 * INCH // 8),
    _pattern("mini-2in", "mini 2 in", 2, INCH // 2),
    SetNamed(
        set="navy-red-pair", name="navy and red pair", kinds=((NAVY, 1), (RED, 1))
    ),
    PriceSet(what="classic-4in", channel="retail", price=800),
    PriceSet(what="classic-4in", channel="fair", price=900),
    PriceSet(what="classic-4in", channel="wholesale", price=450),
    BowsOpening(bows=((NAVY, 10), (RED, 5))),
)
"""Retail 8.00, fair 9.00; the mini bow has no price; 10 navy and 5 red at home."""


def given(*events: Event | Fact | list[Event]) -> Ledgers:
    """Fold the shop and what happened since; a list is one entry."""
    facts = [(1, Fact(e, "2026-11-01")) for e in SHOP]
    for entry, told in enumerate(events, start=2):
        for one in told if isinstance(told, list) else [told]:
            fact = one if isinstance(one, Fact) else Fact(one, "2026-11-20")
            facts.append((entry, fact))
    return fold_facts(facts, zone=ZONE)


def counting() -> Callable[[int], bytes]:
    """Give bytes that aren't random at all: 1, 1, ... then 2, 2, ..."""
    calls = iter(range(1, 250))
    return lambda size: bytes([next(calls)]) * size


def fair_days(*days: tuple[str, str, str]) -> tuple[FairDay, ...]:
    """Make days of a fair with their hours."""
    return tuple(FairDay(day=d, opens=o, closes=c) for d, o, c in days)


HARBOUR = FairAnnounced(
    fair="F1", name="Harbour Fair", fee=6000,
    days=fair_days(("2026-11-28", "10:00", "16:00"), ("2026-11-29", "11:00", "15:00")),
)  # fmt: skip
"""Sat 28 and Sun 29 Nov 2026."""
PACKED = Fact(
    FairPacked(fair="F1", bows=((NAVY, 8), (RED, 4))), "2026-11-27T19:00:00-05:00"
)
SATURDAY, SUNDAY = "2026-11-28", "2026-11-29"


def at(day: str, clock: str) -> When:
    """Give a moment of a day in the shop's zone."""
    return When(f"{day}T{clock}:00-05:00")
