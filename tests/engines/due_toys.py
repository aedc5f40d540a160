"""
A small invented shop with bench hours every evening, for the due dates.

Stated minutes only, so every figure can be worked out by hand: a bow takes 10 min
after 20 min of set-up; the bench is hers from 20:00 to 22:00; it is Monday, 18:00.
"""

from __future__ import annotations

from datetime import date, datetime
from zoneinfo import ZoneInfo

from planner.events.base import Event, Fact
from planner.events.catalogue import (
    ColourNamed,
    Part,
    PatternRevised,
    RibbonNamed,
    Step,
    SupplyNamed,
    SupplyNeed,
)
from planner.events.fair import FairAnnounced, FairDay
from planner.events.fields import LineItem
from planner.events.orders import OrderTaken
from planner.events.restock import RestockOrdered, RibbonAwaited, SpoolReceived
from planner.events.shop import BenchHoursSet, BenchStretch, ExtraStretch, ShopSetUp
from planner.fold import fold_facts
from planner.ledgers.state import Ledgers

ZONE = "America/New_York"
PLACE = ZoneInfo(ZONE)
TODAY = date(2026, 11, 23)
NOW = datetime(2026, 11, 23, 18, 0, tzinfo=PLACE)
INCH = 25_400_000
YARD = 36 * INCH
NAVY, RED, GLUED = "bow:navy", "bow:red", "glued:navy"

HOURS = BenchHoursSet(
    words="every day 20:00-22:00",
    rules=(
        BenchStretch(rule="FREQ=DAILY", start="20:00", end="22:00", first="2026-11-01"),
    ),
)


def pattern(code: str, *, minutes=10, set_up=20, setting=0, supplies=()) -> Event:
    """Tell of a pattern that takes a yard of ribbon."""
    return PatternRevised(
        pattern=code, revision=1, name=code, size=4 * INCH, width=INCH,
        parts=(Part(role="body", length=YARD),),
        supplies=tuple(SupplyNeed(supply=s) for s in supplies),
        steps=(Step(name="make", seconds=60 * minutes),) if minutes else (),
        set_up=set_up, setting=setting,
    )  # fmt: skip


def ribbon(code: str) -> list[Event]:
    """Name a colour and its ribbon."""
    return [
        ColourNamed(colour=code, name=code.title(), hex="#1f2a5a", family=code),
        RibbonNamed(ribbon=code, colour=code, width=INCH, material="satin"),
    ]


def spool(code: str, of: str, yards: int) -> Event:
    """Receive a spool."""
    return SpoolReceived(spool=code, ribbon=of, length=yards * YARD, lot=code)


SHOP: tuple[Event, ...] = (
    ShopSetUp(name="Tarn Bows", zone=ZONE, currency="USD", units="us", paper="letter"),
    *ribbon("navy"),
    *ribbon("red"),
    SupplyNamed(supply="clip", name="clip", yields=1),
    pattern("bow"),
    pattern("glued", set_up=0, setting=180),
    spool("S1", "navy", 1000),
    spool("S2", "red", 1000),
)


def order(
    code: str, due: str, kinds: dict[str, int], *, hour=None, post_days=0, weight=1,
    rush=False,
) -> OrderTaken:  # fmt: skip
    """Take an order, a line a kind."""
    lines = tuple(
        LineItem(line=n, what=kind, count=count, price=800, kinds=((kind, 1),))
        for n, (kind, count) in enumerate(kinds.items(), 1)
    )
    return OrderTaken(
        order=code, lines=lines, due=due, hour=hour, post_days=post_days,
        weight=weight, rush=rush,
    )  # fmt: skip


def fair(code: str, name: str, day: str) -> FairAnnounced:
    """Announce a fair of one day."""
    days = (FairDay(day=day, opens="10:00", closes="16:00"),)
    return FairAnnounced(fair=code, name=name, days=days)


def on_the_way(code: str, of: str, yards: int, expected: str, latest="") -> Event:
    """Order a spool that comes later."""
    return RestockOrdered(
        restock=code, supplier="Low Tide Trimmings",
        ribbons=(RibbonAwaited(ribbon=of, spools=1, length=yards * YARD, price=0),),
        expected=expected, latest=latest or expected,
    )  # fmt: skip


def hours(*, off=(), extra=(), daily=True) -> BenchHoursSet:
    """Tell of bench hours anew."""
    return BenchHoursSet(
        words="anew", rules=HOURS.rules if daily else (), off=off,
        extra=tuple(ExtraStretch(day=d, start=a, end=b) for d, a, b in extra),
    )  # fmt: skip


def told(*events: Event, bench: Event | None = HOURS, shop=SHOP) -> Ledgers:
    """Fold the shop and what happened since."""
    facts = [(1, Fact(e, "2026-11-01")) for e in shop]
    facts += [(2, Fact(bench, "2026-11-01"))] if bench else []
    facts += [(n, Fact(e, "2026-11-20")) for n, e in enumerate(events, 3)]
    return fold_facts(facts, zone=ZONE)


def at(day: int, clock: str) -> datetime:
    """Give a local moment of November 2026 (days past 30 run into December)."""
    hour, minute = map(int, clock.split(":"))
    month, day = (11, day) if day <= 30 else (12, day - 30)
    return datetime(2026, month, day, hour, minute, tzinfo=PLACE)
