"""A day at the stall: buyers come, find or miss what they want, and she types some."""

from __future__ import annotations

from datetime import date
from random import Random
from typing import NamedTuple

from planner.events import fair, selling
from planner.scenario.chance import happens, pick, poisson
from planner.scenario.clock import clock_at
from planner.scenario.maker import EVENING, Maker, Visit
from planner.scenario.opening import pair_code
from planner.values.money import fee

FLOAT = 6000


class Buyer(NamedTuple):
    """Somebody at a minute of the day who wants one or two of a kind."""

    minute: int
    kind: str
    bows: int


def fair_day(maker: Maker, day: date, visit: Visit) -> None:
    """Live through one open day of a fair."""
    opens, closes = visit.opens, _closes(visit)
    visit.takings[day] = (0, 0)
    opened = fair.FairDayOpened(fair=visit.code, day=day.isoformat(), float_=FLOAT)
    maker.write(opened, day=day, minute=opens - 10)
    for buyer in _buyers(maker, day, visit):
        visit.wanted[buyer.kind] = visit.wanted.get(buyer.kind, 0) + buyer.bows
        _serve(maker, day, visit, buyer)
    if visit.off_at is not None:
        off = fair.FairCalledOff(fair=visit.code, at=clock_at(closes), why="gale")
        maker.write(off, day=day, minute=closes)
    _close(maker, day, visit, closes)


def _closes(visit: Visit) -> int:
    return visit.closes if visit.off_at is None else visit.off_at


def _buyers(maker: Maker, day: date, visit: Visit) -> list[Buyer]:
    d, rng = maker.process.demand, maker.dice("buyers")
    hours = (_closes(visit) - visit.opens) / 60
    scale = hours * (visit.really / 3) ** d.crowd_power * visit.shock
    found: list[Buyer] = []
    for kind in maker.kinds:
        mean = maker.appeal(kind, visit.days[0]) * scale / (1 + d.two_wanted)
        for _ in range(poisson(rng, mean)):
            minute = visit.opens + int(hours * 60 * rng.betavariate(1.4, 1.5))
            found.append(Buyer(minute, kind, 1 + happens(rng, d.two_wanted)))
    return sorted(found)


def _serve(maker: Maker, day: date, visit: Visit, buyer: Buyer) -> None:
    kind = _choice(maker, visit, buyer.kind)
    if kind is None:
        return
    count = min(buyer.bows, maker.world.count_at(visit.place, kind))
    maker.world.put(visit.place, kind, -count)
    visit.sold[kind] = visit.sold.get(kind, 0) + count
    _sell(maker, day, visit, Buyer(buyer.minute, kind, count))
    if not maker.world.count_at(visit.place, kind):
        _sold_out(maker, day, visit, kind, buyer.minute)


def _choice(maker: Maker, visit: Visit, kind: str) -> str | None:
    """Give what a buyer takes: the wish, something near it, or nothing."""
    held = maker.world.bows.get(visit.place, {})
    if held.get(kind):
        return kind
    d, rng = maker.process.demand, maker.dice("buyers")
    roll = rng.random()
    near: list[str] = []
    if roll < d.to_same_family:
        near = [k for k in held if held[k] and _same_family(maker, k, kind)]
    elif roll < d.to_same_family + d.to_other_size:
        near = [k for k in held if held[k] and maker.lead(k) == maker.lead(kind)]
    return pick(rng, {k: maker.rates[k] for k in sorted(near)}) if near else None


def _same_family(maker: Maker, one: str, other: str) -> bool:
    families = maker.families
    return (
        one.partition(":")[0] == other.partition(":")[0]
        and families[maker.lead(one)] == families[maker.lead(other)]
    )


def _sell(maker: Maker, day: date, visit: Visit, sale: Buyer) -> None:
    habits, rng = maker.process.habits, maker.dice("till")
    taken, what = _price(maker, day, sale)
    card = happens(rng, habits.card)
    cash, cards = visit.takings[day]
    visit.takings[day] = (cash, cards + taken) if card else (cash + taken, cards)
    if happens(rng, habits.sale_typed):
        _type(maker, day, visit, sale, taken, what, card=card)
    else:
        visit.silent[sale.kind] = visit.silent.get(sale.kind, 0) + sale.bows
        maker.world.unlike(sale.kind, "sold, not typed", -sale.bows)


def _price(maker: Maker, day: date, sale: Buyer) -> tuple[int, str | None]:
    pair = maker.pair_prices.get(sale.kind)
    if sale.bows == 2 and pair:
        return pair, pair_code(sale.kind)
    return maker.price(sale.kind, "fair", day) * sale.bows, None


def _type(
    maker: Maker, day: date, visit: Visit, sale: Buyer, taken: int, what: str | None,
    *, card: bool,
) -> None:  # fmt: skip
    shop, rng = maker.process.shop, maker.dice("till")
    kind = sale.kind
    if what is None and happens(rng, maker.process.habits.unnoticed):
        kind = sale.kind.partition(":")[0] + ":?"
        maker.world.unlike(sale.kind, "colour not noticed", -sale.bows)
        maker.world.unlike(kind, "colour not noticed", sale.bows)
    event = selling.BowsSold(
        bows=((kind, sale.bows),), taken=taken, place=visit.place, fair=visit.code,
        how="card" if card else "cash", what=what,
        fee=fee(taken, shop.fee_basis_points, shop.fee_fixed) if card else 0,
    )  # fmt: skip
    visit.typed[kind] = visit.typed.get(kind, 0) + sale.bows
    visit.typed_money += taken
    if visit.live:
        maker.write(event, day=day, minute=sale.minute, typed=(day, sale.minute + 0.5))
    else:
        maker.write(event, day=day, typed=(day, EVENING - 120))


def _sold_out(maker: Maker, day: date, visit: Visit, kind: str, minute: int) -> None:
    rng = maker.dice("till")
    if kind in visit.sold_out or not _notices(maker, rng):
        return
    visit.sold_out.add(kind)
    at = clock_at(minute // 5 * 5) if happens(rng, 0.75) else None
    event = fair.FairSoldOut(fair=visit.code, made=kind, day=day.isoformat(), at=at)
    if visit.live and at:
        maker.write(event, day=day, minute=minute, typed=(day, minute + 1))
    else:
        maker.write(event, day=day, typed=(day, EVENING - 90))


def _notices(maker: Maker, rng: Random) -> bool:
    return happens(rng, maker.process.habits.sold_out_seen)


def _close(maker: Maker, day: date, visit: Visit, closes: int) -> None:
    cash, cards = visit.takings[day]
    event = fair.FairDayClosed(
        fair=visit.code, day=day.isoformat(), cash=cash, card=cards
    )
    # Counted at closing, typed after the day's tally.
    maker.write(event, day=day, minute=closes + 20, typed=(day, EVENING - 60))
