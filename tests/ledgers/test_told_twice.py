"""Twenty histories told twice: in order, and with entries typed late in any order."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from random import Random
from typing import Any

import pytest

from planner.events import bench, bows, catalogue, fair, orders, restock, selling
from planner.events import shop as shop_events
from planner.events import spool as spool_events
from planner.events.base import Event
from planner.events.fields import LineItem, PartUse
from planner.ledgers import laws, stock
from planner.ledgers.catalogue import Catalogue
from planner.ledgers.fairs import coming_fairs, fairs, past_fairs
from planner.ledgers.orders import open_orders
from planner.ledgers.orders import orders as all_orders
from planner.ledgers.restocks import on_the_way
from planner.ledgers.shop import bench_hours, setting, shop
from planner.ledgers.state import Ledgers

from .telling import HERE, INCH, YARD, Telling

Told = tuple[list[Event], str]
KINDS = ("classic-4in:navy", "classic-4in:red", "mini-2in:navy-red")
CODES = ("navy", "red")


class Season:
    """A season as it happened: each entry has a minute of its own."""

    def __init__(self, seed: int) -> None:
        self.rng = Random(seed)
        self.clock = datetime(2026, 9, 1, 8, 0, tzinfo=HERE)
        self.codes: dict[str, int] = {}

    def code(self, letter: str) -> str:
        """Give the next code of a letter."""
        self.codes[letter] = self.codes.get(letter, 0) + 1
        return f"{letter}{self.codes[letter]}"

    def some(self, letter: str) -> str:
        """Name one of those there are, or will be."""
        return f"{letter}{self.rng.randint(1, max(self.codes.get(letter, 1), 1))}"

    def entries(self) -> list[Told]:
        """Tell the whole season, in order of happening."""
        told: list[Told] = []
        for events in (*self._begin(), *(self._step() for _ in range(90))):
            self.clock += timedelta(minutes=self.rng.randint(1, 1500))
            told.append((events, self.clock.isoformat()))
        return told

    def _begin(self) -> Iterator[list[Event]]:
        yield [shop_events.ShopSetUp(
            name="Knot Quay", zone="America/New_York", currency="USD", units="us",
            paper="a4",
        )]  # fmt: skip
        for colour in CODES:
            yield [self._colour(colour), self._ribbon(colour)]
        for code, inches in (("classic-4in", 4), ("mini-2in", 2)):
            yield [self._pattern(code, inches, 1)]

    def _step(self) -> list[Event]:
        makers = [getattr(self, name) for name in dir(self) if name.startswith("on_")]
        made = self.rng.choice(makers)()
        return made if isinstance(made, list) else [made]

    def _colour(self, code: str) -> Event:
        return catalogue.ColourNamed(
            colour=code, name=f"{code} {self.rng.randint(1, 9)}", hex="#1f2a5a",
            family="blue",
        )  # fmt: skip

    def _ribbon(self, code: str) -> Event:
        return catalogue.RibbonNamed(
            ribbon=code, colour=code, width=self.rng.randint(10, 30) * INCH // 32,
            material="grosgrain",
        )  # fmt: skip

    def _pattern(self, code: str, inches: int, revision: int) -> Event:
        return catalogue.PatternRevised(
            pattern=code, revision=revision, name=code, size=inches * INCH,
            width=7 * INCH // 8, set_up=self.rng.randint(0, 9),
            parts=(catalogue.Part(role="body", length=6 * inches * INCH),),
        )  # fmt: skip

    def _bows(self) -> tuple[tuple[str, int], ...]:
        kinds = self.rng.sample(KINDS, self.rng.randint(1, 2))
        return tuple((kind, self.rng.randint(1, 6)) for kind in kinds)

    def _lines(self) -> tuple[LineItem, ...]:
        return tuple(
            LineItem(line=n, what=kind, count=count, price=850, kinds=((kind, 1),))
            for n, (kind, count) in enumerate(self._bows(), start=1)
        )

    def _part(self) -> PartUse:
        known = self.rng.random() < 0.7
        return PartUse(
            role="body", length=24 * INCH, count=self.rng.randint(1, 6),
            bundle=self.some("C") if known else None,
            spool=self.some("S") if known else None,
        )  # fmt: skip

    # Each of these is one kind of thing that happens.

    def on_names(self) -> Event:
        rng = self.rng
        return rng.choice([
            self._colour(rng.choice(CODES)), self._ribbon(rng.choice(CODES)),
            self._pattern("classic-4in", 4, rng.randint(1, 4)),
            catalogue.SupplyNamed(supply="clip", name="clip", yields=rng.randint(1, 3)),
            catalogue.ColourwayNamed(
                colourway="navy-red", name=f"way {rng.randint(1, 9)}", lead="navy",
                ribbons=(("*", rng.choice(CODES)),),
            ),
            catalogue.SetNamed(set="pair", name="pair", kinds=self._bows()),
        ])  # fmt: skip

    def on_shop(self) -> Event:
        rng = self.rng
        return rng.choice([
            shop_events.WageSet(an_hour=rng.randint(1000, 3000)),
            shop_events.FeesSet(basis_points=rng.randint(0, 300), fixed=10),
            shop_events.SettingChanged(name="salvage share", value=str(rng.random())),
            shop_events.PriceSet(what="classic-4in", channel="retail",
                                 price=rng.randint(700, 900)),
            shop_events.BenchHoursSet(words="sat", rules=(shop_events.BenchStretch(
                rule="FREQ=WEEKLY;BYDAY=SA", start="09:00", end="12:00",
                first=f"2026-01-{rng.randint(1, 28):02}"),)),
        ])  # fmt: skip

    def on_spool(self) -> Event:
        rng = self.rng
        return rng.choice([
            restock.SpoolReceived(
                spool=self.code("S"), ribbon=rng.choice(CODES), length=50 * YARD,
                lot="L1", restock=rng.choice([None, self.some("R")]),
            ),
            spool_events.SpoolRead(
                spool=self.some("S"), left=rng.randint(0, 50) * YARD
            ),
            spool_events.SpoolWoundInTwo(
                spool=self.some("S"), onto=self.code("S"), length=YARD
            ),
            spool_events.SpoolSetAside(
                spool=self.some("S"), aside=rng.choice([True, False])
            ),
            spool_events.JoinFound(spool=self.some("S"), left=10 * YARD),
        ])  # fmt: skip

    def on_restock(self) -> Event:
        rng = self.rng
        return rng.choice([
            restock.RestockOrdered(
                restock=self.code("R"), supplier="Quayside", expected="2026-12-01",
                latest="2026-12-04",
                ribbons=(restock.RibbonAwaited(ribbon="navy", length=YARD, spools=2),),
            ),
            restock.RestockCancelled(restock=self.some("R")),
        ])  # fmt: skip

    def on_supply(self) -> Event:
        rng = self.rng
        return rng.choice([
            restock.SupplyReceived(lot=self.code("U"), supply="clip",
                                   units=rng.randint(1, 50)),
            restock.SupplyUsed(lot=self.some("U"), units=rng.randint(1, 9)),
            bows.SupplyCounted(counts=((self.some("U"), rng.randint(0, 40)),)),
        ])  # fmt: skip

    def on_cut(self) -> Event:
        return bench.RibbonCut(
            bundle=self.code("C"), spool=self.some("S"), role="body",
            length=24 * INCH, count=self.rng.randint(1, 12),
        )  # fmt: skip

    def on_batch(self) -> list[Event]:
        kind, count = self.rng.choice(KINDS), self.rng.randint(1, 12)
        sitting = self.code("T")
        return [
            bench.SittingLogged(sitting=sitting, minutes=self.rng.randint(10, 90)),
            bench.BowsFinished(batch=self.code("B"), made=kind, revision=1, count=count,
                               parts=(self._part(),), sitting=sitting),
        ]  # fmt: skip

    def on_bench(self) -> Event:
        part = self._part()
        return self.rng.choice([
            bench.BatchPartsTold(batch=self.some("B"), parts=(part,)),
            bench.BowsSpoiled(made=KINDS[0], revision=1, count=1, scrapped=(part,)),
            bench.PartsCounted(bundle=self.some("C"), spool=self.some("S"), role="body",
                               length=24 * INCH, count=self.rng.randint(0, 9)),
        ])  # fmt: skip

    def on_shelf(self) -> Event:
        rng, some = self.rng, self._bows()
        return rng.choice([
            bows.BowsFound(bows=some),
            bows.BowsGiven(bows=some),
            bows.BowsMoved(bows=some, source="home", to="boutique:pier"),
            bows.StockCounted(place="home", counts=some, whole=rng.random() < 0.3),
            bows.DisplayKept(made=KINDS[0], count=rng.randint(0, 3)),
        ])  # fmt: skip

    def on_order(self) -> Event:
        rng, lines = self.rng, self._lines()
        code = self.code("O") if rng.random() < 0.3 else self.some("O")
        due = f"2026-12-{rng.randint(1, 28):02}"
        return rng.choice([
            orders.OrderAsked(order=code, lines=lines, due=due),
            orders.OrderTaken(order=code, lines=lines, due=due, weight=2),
            orders.OrderTaken(order=code, lines=lines, due=due, hour="12:00"),
            orders.OrderChanged(order=code, lines=lines, due=due),
            orders.OrderReady(order=code),
            orders.OrderCalledOff(order=code),
            orders.OrderPaid(order=code, amount=rng.randint(1, 900)),
            orders.OrderHandedOver(order=code, bows=self._bows(), earned=100),
            orders.OrderLostInPost(order=code, bows=self._bows()),
            orders.BowsReserved(claimant=code, bows=self._bows()),
        ])  # fmt: skip

    def on_fair(self) -> Event:
        rng = self.rng
        code = self.code("F") if rng.random() < 0.2 else self.some("F")
        day = f"2026-11-{rng.randint(1, 28):02}"
        return rng.choice([
            fair.FairAnnounced(
                fair=code, name=code, crowd=rng.randint(1, 5),
                days=(fair.FairDay(day=day, opens="10:00", closes="16:00"),),
            ),
            fair.FairPlanAccepted(fair=code, bring=self._bows(), head="ab"),
            fair.FairPacked(fair=code, bows=self._bows()),
            fair.FairCalledOff(fair=code, at=rng.choice([None, "13:00"])),
            fair.FairSettled(fair=code, back=self._bows()),
            fair.FairDayClosed(fair=code, day=day, cash=rng.randint(0, 9000)),
            fair.CrowdTold(fair=code, crowd=rng.randint(1, 5)),
        ])  # fmt: skip

    def on_sale(self) -> Event:
        code = self.some("F")
        at_fair = self.rng.random() < 0.5
        return selling.BowsSold(
            bows=self._bows(), taken=self.rng.randint(0, 5000),
            place=f"stall:{code}" if at_fair else "home",
            fair=code if at_fair else None,
        )  # fmt: skip


def _told(entries: list[Told], order: list[int]) -> Ledgers:
    telling = Telling()
    for place in order:
        telling.tell(*entries[place])
    return telling.folded()


def _seen(led: Ledgers) -> dict[str, Any]:
    """Give what reports and rules read of the ledgers, codes of the log left out."""
    cat = Catalogue(led)
    return {
        "catalogue": [cat.colours, cat.ribbons, cat.supplies, cat.patterns,
                      cat.revisions, cat.colourways, cat.sets],
        "prices": [cat.price(kind, "fair") for kind in KINDS],
        "shop": (shop(led), setting(led, "salvage share"), bench_hours(led)),
        "orders": all_orders(led), "open": [o.code for o in open_orders(led)],
        "fairs": fairs(led), "past": [f.code for f in past_fairs(led)],
        "coming": [f.code for f in coming_fairs(led, "2026-11-14")],
        "stock": stock.stock(led), "claims": sorted(stock.claims(led)),
        "on the way": on_the_way(led), "ribbon": stock.ribbon_left(led),
        "spools": {s.code: s._replace(seq=0) for s in led.spools.values()},
        "bundles": {b.code: b._replace(seq=0) for b in led.bundles.values()},
        "batches": {b.code: b._replace(seq=0) for b in led.batches.values()},
        "parts": {code: sorted(map(str, led.parts_of(code))) for code in led.batches},
        "sittings": {s.code: s._replace(seq=0) for s in led.sittings.values()},
        "to cut": [[s.spool for s in stock.spool_to_cut(led, ribbon, 9 * YARD)]
                   for ribbon in CODES],
        "waiting": [(b.code, n) for b, n in stock.bundles_waiting(led)],
        "supplies": (stock.supply_left(led), stock.lots_to_use(led, "clip", 60)),
    }  # fmt: skip


@pytest.mark.parametrize("seed", range(20))
def test_a_history_typed_late_in_any_order_adds_up_to_the_same(seed: int) -> None:
    """What is typed when changes nothing of what happened when."""
    entries = Season(seed).entries()
    in_order = list(range(len(entries)))
    late = in_order[:1] + Random(seed).sample(in_order[1:], len(entries) - 1)
    first, second = _told(entries, in_order), _told(entries, late)

    assert _seen(first) == _seen(second)
    assert laws.fingerprint(first) == laws.fingerprint(second)
    assert laws.broken(second) == []


@pytest.mark.parametrize(
    "kind",
    ["bows-sold", "ribbon-cut", "sitting-logged", "supply-received", "order-paid"],
)
def test_another_history_has_another_fingerprint(kind: str) -> None:
    """One entry less, and it shows."""
    entries = [told for seed in range(2) for told in Season(seed).entries()]
    everything = list(range(len(entries)))
    last = max(n for n in everything if entries[n][0][0].kind == kind)
    without = [place for place in everything if place != last]

    assert laws.fingerprint(_told(entries, without)) != laws.fingerprint(
        _told(entries, everything)
    )
