"""
An invented shop of any age: whatever it did long ago is done, its present is the same.

Spools of the past are used up, orders handed over, fairs settled, lots empty; some of
it was typed late, and every week the shelf is counted through.  Then comes a present of
a fixed number of events: open orders, a fair ahead, spools begun, ribbon on the way.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random

from planner.events.base import Entry, Event, Fact
from planner.events.bench import BowsFinished, RibbonCut, SittingLogged
from planner.events.bows import BowsMoved, StockCounted
from planner.events.catalogue import (
    ColourNamed,
    Part,
    PatternRevised,
    RibbonNamed,
    Step,
    SupplyNamed,
    SupplyNeed,
)
from planner.events.fair import (
    FairAnnounced,
    FairDay,
    FairDayClosed,
    FairPacked,
    FairSettled,
)
from planner.events.fields import LineItem, PartUse
from planner.events.orders import OrderHandedOver, OrderPaid, OrderTaken
from planner.events.restock import (
    RestockOrdered,
    RibbonAwaited,
    SpoolReceived,
    SupplyReceived,
    SupplyUsed,
)
from planner.events.selling import BowsSold
from planner.events.shop import BenchHoursSet, BenchStretch, PriceSet, ShopSetUp
from planner.events.spool import SpoolRead
from planner.log.store import Log

INCH = 25_400_000
NOW = datetime.now(UTC).replace(hour=12, minute=0, second=0, microsecond=0)
"""Noon of the day it is written: questions are asked about today."""
YEARS = 8
PRESENT = 520
"""Events of the present, about."""
COLOURS = (
    "navy", "red", "white", "rose", "sage", "plum", "gold", "teal", "coral", "ivory",
)  # fmt: skip
SIZES = (3, 4, 5)
KINDS = [f"classic-{size}in:{colour}-1.5in" for size in SIZES for colour in COLOURS]

Told = tuple[list[Event], datetime, datetime]
"""An entry: its events, when they happened, when they were typed."""


@dataclass
class Maker:
    """The codes given so far, and chance."""

    chance: Random
    codes: dict[str, int] = field(default_factory=dict)

    def code(self, letter: str) -> str:
        """Give the next code of a letter."""
        self.codes[letter] = self.codes.get(letter, 0) + 1
        return f"{letter}{self.codes[letter]}"


def catalogue() -> list[Event]:
    """Give the shop and all it can make."""
    told: list[Event] = [
        ShopSetUp(name="Old shop", zone="America/Halifax", currency="CAD", units="us",
                  paper="letter"),
        BenchHoursSet(words="every evening", rules=(
            BenchStretch(rule="FREQ=DAILY", start="20:00", end="22:00",
                         first="2018-01-01"),)),
    ]  # fmt: skip
    for colour in COLOURS:
        told += [
            ColourNamed(colour=colour, name=colour, hex="#101050", family=colour),
            RibbonNamed(ribbon=f"{colour}-1.5in", colour=colour,
                        width=3 * INCH // 2, material="grosgrain"),
        ]  # fmt: skip
    told += [SupplyNamed(supply="clip", name="clip")]
    for size in SIZES:
        pattern = f"classic-{size}in"
        told += [
            PatternRevised(
                pattern=pattern, revision=1, name=f"Classic {size} in",
                size=size * INCH, width=3 * INCH // 2,
                parts=(Part(role="body", length=8 * size * INCH),),
                supplies=(SupplyNeed(supply="clip"),),
                steps=(Step(name="fold and tie", seconds=420),), set_up=5, setting=30,
            ),
            PriceSet(what=pattern, channel="retail", price=800),
        ]  # fmt: skip
    return told


def evening(maker: Maker, spool: str, colour: str, order: str | None) -> list[Event]:
    """Cut a bundle and make it up in one sitting."""
    size, count = maker.chance.choice(SIZES), maker.chance.randint(2, 8)
    kind, length = f"classic-{size}in:{colour}-1.5in", 8 * size * INCH
    bundle, batch, sitting = maker.code("C"), maker.code("B"), maker.code("T")
    minutes = 5 + count * maker.chance.randint(6, 9)
    return [
        RibbonCut(bundle=bundle, spool=spool, role="body", length=length, count=count,
                  for_kind=kind),
        SittingLogged(sitting=sitting, minutes=minutes, planned=minutes + 5),
        BowsFinished(
            batch=batch, made=kind, revision=1, count=count, sitting=sitting,
            minutes=minutes, order=order,
            parts=(PartUse(role="body", length=length, count=count, bundle=bundle,
                           spool=spool),),
        ),
    ]  # fmt: skip


def taken(
    maker: Maker, due: datetime, *, count: int = 0
) -> tuple[str, LineItem, list[Event]]:
    """Take an order with a deposit."""
    order, kind = maker.code("O"), maker.chance.choice(KINDS)
    line = LineItem(line=1, what=kind, price=800,
                    count=count or maker.chance.randint(2, 6),
                    kinds=((kind, 1),))  # fmt: skip
    return order, line, [
        OrderTaken(order=order, lines=(line,), due=f"{due:%Y-%m-%d}"),
        OrderPaid(order=order, amount=500),
    ]  # fmt: skip


def handed(order: str, line: LineItem) -> list[Event]:
    """Hand an order over and take the rest of the money."""
    earned = line.count * line.price
    return [
        OrderHandedOver(order=order, bows=((line.what, line.count),), place="home",
                        earned=earned),
        OrderPaid(order=order, amount=earned),
    ]  # fmt: skip


def fair(maker: Maker, day: datetime) -> list[list[Event]]:
    """Hold a fair from its announcement to the settling."""
    code, kind = maker.code("F"), maker.chance.choice(KINDS)
    on, stall = f"{day:%Y-%m-%d}", f"stall:F{maker.codes['F']}"
    return [
        [announced(code, on)],
        [FairPacked(fair=code, bows=((kind, 10),))],
        [BowsSold(bows=((kind, 4),), taken=3200, place=stall, fair=code)],
        [FairDayClosed(fair=code, day=on, cash=3200)],
        [StockCounted(place=stall, counts=((kind, 6),)),
         BowsMoved(bows=((kind, 6),), source=stall, to="home"),
         FairSettled(fair=code, back=((kind, 6),))],
    ]  # fmt: skip


def day_ahead(days: int) -> str:
    """Give a day to come."""
    return f"{NOW + timedelta(days=days):%Y-%m-%d}"


def announced(code: str, on: str) -> FairAnnounced:
    """Announce a fair of one day."""
    hours = FairDay(day=on, opens="10:00", closes="16:00")
    return FairAnnounced(fair=code, name=f"Market {code}", days=(hours,), fee=2500)


def past(maker: Maker, events: int) -> Iterator[Told]:
    """Tell of about so many events, spread over years, that are all over."""
    rounds = max(events // 15, 1)
    step = timedelta(days=365 * YEARS) / rounds
    began = NOW - timedelta(days=365 * YEARS + 30)
    spool = lot = colour = ""
    for turn in range(rounds):
        now = began + turn * step
        if turn % 50 == 0:
            if spool:
                yield [SpoolRead(spool=spool, left=0)], now, now
                yield [SupplyUsed(lot=lot, units=200)], now, now
            spool, lot = maker.code("S"), maker.code("L")
            colour = COLOURS[turn // 50 % 10]
            yield [SpoolReceived(spool=spool, ribbon=f"{colour}-1.5in", paid=2400,
                                 length=3600 * INCH, lot=spool),
                   SupplyReceived(lot=lot, supply="clip", units=200, paid=900)
                   ], now, now  # fmt: skip
        yield from one_round(maker, turn, now, step, spool, colour)
    if spool:
        yield [SpoolRead(spool=spool, left=0)], now, now
        yield [SupplyUsed(lot=lot, units=200)], now, now


def one_round(
    maker: Maker, turn: int, now: datetime, step: timedelta, spool: str, colour: str
) -> Iterator[Told]:
    """Tell of an evening, sales, an order from first to last, some of it late."""
    order, line, said = taken(maker, now + timedelta(days=6))
    yield said, now, now
    yield evening(maker, spool, colour, order), now, now
    yield evening(maker, spool, colour, None), now, now
    for _ in range(5):
        bows = ((maker.chance.choice(KINDS), maker.chance.randint(1, 3)),)
        late = timedelta(days=maker.chance.choice((0, 0, 0, 2)))
        yield [BowsSold(bows=bows, taken=800, place="home")], now - late, now
    yield handed(order, line), now, now
    if turn % 40 == 0:
        counts = tuple((k, maker.chance.randint(0, 20)) for k in KINDS[:12])
        yield [StockCounted(place="home", counts=counts, whole=True)], now, now
    if turn % 160 == 0:
        for entry in fair(maker, now):
            yield entry, now, now


def present(maker: Maker) -> Iterator[Told]:
    """Tell of what is the same however old the shop is."""
    began = NOW - timedelta(days=25)
    counts = tuple((kind, 30) for kind in KINDS)
    yield [StockCounted(place="home", counts=counts, whole=True)], began, began
    awaited = RibbonAwaited(ribbon="navy-1.5in", length=3600 * INCH)
    yield [RestockOrdered(restock=maker.code("R"), supplier="Mill", ribbons=(awaited,),
                          expected=day_ahead(5), latest=day_ahead(9))
           ], began, began  # fmt: skip
    lot = maker.code("L")
    yield [SupplyReceived(lot=lot, supply="clip", units=2000)], began, began
    spools = {colour: maker.code("S") for colour in COLOURS}
    for colour, spool in spools.items():
        yield [SpoolReceived(spool=spool, ribbon=f"{colour}-1.5in", length=3600 * INCH,
                             lot=spool)], began, began  # fmt: skip
    for turn in range(PRESENT // 8):
        now, colour = began + timedelta(hours=9 * turn), COLOURS[turn % 10]
        yield evening(maker, spools[colour], colour, None), now, now
        for _ in range(5):
            bows = ((maker.chance.choice(KINDS), 1),)
            yield [BowsSold(bows=bows, taken=800, place="home")], now, now
    for day in range(8):
        _, _, said = taken(maker, NOW + timedelta(days=4 + day), count=150)
        yield said, NOW, NOW
    yield [announced(maker.code("F"), day_ahead(17))], NOW, NOW


def life(events: int) -> Iterator[Told]:
    """Tell of a shop of about so many events."""
    maker = Maker(Random(1))
    first = NOW - timedelta(days=365 * YEARS + 40)
    yield catalogue(), first, first
    yield from past(maker, max(events - PRESENT - 100, 0))
    maker.chance = Random(2)
    yield from present(maker)


def write(path: Path, events: int) -> int:
    """Write such a shop's log; gives how many events it has."""
    log, written = Log.create(path), 0
    batch: list[Entry] = []
    moments: list[datetime] = []
    for told, happened, typed in life(events):
        moment = happened.replace(microsecond=0).isoformat()
        facts = tuple(Fact(event, moment) for event in told)
        batch.append(Entry(facts))
        moments.append(typed)
        written += len(told)
        if len(batch) == 10_000:
            log.append_all(batch, expected=None, recorded=moments, rand=os.urandom)
            batch, moments = [], []
    if batch:
        log.append_all(batch, expected=None, recorded=moments, rand=os.urandom)
    log.close()
    return written
