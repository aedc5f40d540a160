"""Restocks of an invented season: ribbon and supplies ordered, on the way, in."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from planner.events import restock
from planner.events.base import Event
from planner.scenario.chance import happens
from planner.scenario.maker import EVENING, Maker
from planner.scenario.process import RibbonSpec, SupplySpec
from planner.scenario.spools import new_spool, read, read_on_arrival
from planner.scenario.world import Lot
from planner.values.money import share_out
from planner.values.units import NM_PER_YARD

POST = 11 * 60
FORGET = 0.9
"""What of a ribbon's use a week still counts the week after, when she looks."""


def plan_restocks(maker: Maker) -> None:
    """Choose the days on which she buys, and the one still on the way at the end."""
    r, days = maker.process.restocks, (maker.last - maker.first).days
    years = max((days + 1) // 364, 1)
    for year in range(years):
        # Only the first year has the opening spools to live on.
        more = 0 if year == years - 1 else _to_replace(maker)
        for weeks, spools in zip(r.weeks_before, r.spools, strict=True):
            day = maker.weeks_ago(weeks + 52 * year)
            maker.plans[day].append(("restock", (spools + more, weeks in r.in_two)))
    cancelled = maker.weeks_ago(r.cancelled_weeks_before)
    maker.plans[cancelled].append(("cancelled restock", None))
    awaited = maker.last - timedelta(5)
    maker.plans[awaited].append(("last restock", None))


def _to_replace(maker: Maker) -> int:
    opening = sum(r.opening != "none" for r in maker.process.ribbons)
    return -(-opening // len(maker.process.restocks.weeks_before))


def forget_a_little(maker: Maker) -> None:
    """Let old use of ribbon count less; once a week."""
    for ribbon in maker.world.used:
        maker.world.used[ribbon] *= FORGET


def buy(maker: Maker, day: date, spools: int, *, in_two: bool) -> None:
    """Order the ribbons that would run out first, and the supplies that are low."""
    ribbons = _wanted(maker, spools)
    supplies = [s for s in maker.process.supplies if _is_low(maker, s)]
    code, rng = maker.codes.next("R"), maker.dice("restock")
    first, last = maker.process.restocks.days
    came = day + timedelta(rng.randint(first, last))
    freight = maker.process.restocks.freight
    maker.write(
        _ordered(maker, code, ribbons, supplies, (day + timedelta(first),
                 day + timedelta(last)), freight),
        day=day, minute=EVENING + 12,
    )  # fmt: skip
    parcels = _parcels(ribbons, in_two=in_two)
    for number, parcel in enumerate(parcels):
        goods = (code, tuple(parcel), tuple(supplies) if not number else (), freight)
        maker.plans[came + timedelta(4 * number)].append(("delivery", goods))


def _wanted(maker: Maker, spools: int) -> list[RibbonSpec]:
    """Take what orders wait for, then ribbons she never had, then the scarcest."""
    waited = {
        maker.ribbon(kind, role)
        for order in maker.orders
        for kind in order.lacking()
        for role in maker.cuts[maker.pattern(kind).pattern]
        if not maker.can_cut(kind)
    }

    def scarce(r: RibbonSpec) -> tuple[bool, bool, float]:
        new = r.code not in maker.world.spools
        use = maker.world.used.get(r.code, 0.0) + 1
        weeks = (
            -maker.colour_appeal(r.colour) if new else maker.world.left(r.code) / use
        )
        return r.code not in waited, not new, weeks

    return sorted(maker.process.ribbons, key=scarce)[:spools]


def _is_low(maker: Maker, s: SupplySpec) -> bool:
    return maker.world.units_left(s.supply) < s.pack * 0.4


def _parcels(ribbons: list[RibbonSpec], *, in_two: bool) -> list[list[RibbonSpec]]:
    if in_two and len(ribbons) > 1:
        return [ribbons[:1], ribbons[1:]]
    return [ribbons]


def _ordered(
    maker: Maker, code: str, ribbons: Sequence[RibbonSpec],
    supplies: Sequence[SupplySpec], days: tuple[date, date], freight: int,
) -> Event:  # fmt: skip
    return restock.RestockOrdered(
        restock=code, supplier=maker.dice("restock").choice(_shops(maker)),
        ribbons=tuple(
            restock.RibbonAwaited(
                ribbon=r.code, length=r.yards * NM_PER_YARD, price=r.price
            )
            for r in ribbons
        ),
        supplies=tuple(
            restock.SupplyAwaited(supply=s.supply, units=s.pack, price=s.price)
            for s in supplies
        ),
        expected=days[0].isoformat(), latest=days[1].isoformat(), freight=freight,
    )  # fmt: skip


def _shops(maker: Maker) -> tuple[str, ...]:
    return maker.process.suppliers.ribbon


def deliver(
    maker: Maker,
    day: date,
    goods: tuple[str, tuple[RibbonSpec, ...], tuple[SupplySpec, ...], int],
) -> None:
    """Let a parcel come in: freight shared over what is in it by its price."""
    code, ribbons, supplies, freight = goods
    prices = [r.price for r in ribbons] + [s.price for s in supplies]
    shares = share_out(freight, prices)
    paid = [a + b for a, b in zip(prices, shares, strict=True)]
    for r, cost in zip(ribbons, paid, strict=False):
        _spool_in(maker, day, r, cost, code)
    for s, cost in zip(supplies, paid[len(ribbons) :], strict=True):
        _supply_in(maker, day, s, cost, code)


def _spool_in(maker: Maker, day: date, r: RibbonSpec, cost: int, code: str) -> None:
    made = new_spool(maker, r, lot=f"{code}-{day.isoformat()}")
    maker.write(
        restock.SpoolReceived(
            spool=made.code, ribbon=r.code, length=made.label, paid=cost,
            lot=made.lot, restock=code, supplier=maker.process.suppliers.ribbon[0],
        ),
        day=day, minute=POST,
    )  # fmt: skip
    read_on_arrival(maker, made, day, POST)


def _supply_in(
    maker: Maker, day: date, s: SupplySpec, cost: int, code: str | None
) -> None:
    lot = Lot(maker.codes.next("L"), s.supply, s.pack)
    maker.world.add_lot(lot)
    maker.write(
        restock.SupplyReceived(
            lot=lot.code, supply=s.supply, units=s.pack, paid=cost, restock=code,
            supplier=maker.process.suppliers.supplies,
        ),
        day=day, minute=POST + 4,
    )  # fmt: skip


def run_out(maker: Maker, day: date) -> None:
    """Fetch a pack from the corner when a supply is all but gone."""
    for s in maker.process.supplies:
        if maker.world.units_left(s.supply) <= max(s.pack // 20, 0):
            _supply_in(maker, day, s, round(s.price * 1.3), None)


def use_by_yield(maker: Maker, day: date) -> None:
    """Type the reels and sticks finished since, once a week."""
    made = sum(maker.made.values())
    maker.made.clear()
    for s in maker.process.supplies:
        if s.yields > 1 and made:
            bows = made if s.supply != "stiffener" else made * 0.1
            units = maker.world.add_use(s.supply, bows / s.yields)
            for lot, count in maker.world.use_units(s.supply, units):
                event = restock.SupplyUsed(lot=lot, units=count)
                maker.small(event, day=day)


def cancel_one(maker: Maker, day: date) -> None:
    """Order a ribbon and be told days later that it can't be had."""
    rng = maker.dice("restock")
    r, code = rng.choice(maker.process.ribbons), maker.codes.next("R")
    days = (day + timedelta(6), day + timedelta(12))
    maker.write(_ordered(maker, code, [r], [], days, 0), day=day, minute=EVENING + 14)
    event = restock.RestockCancelled(restock=code, why="out of stock at the mill")
    maker.write(event, day=day + timedelta(9), minute=POST)


def order_the_awaited(maker: Maker, day: date) -> None:
    """Order the ribbon that is still on its way when the season ends."""
    w = maker.process.waiting_ribbon
    r = maker.waited_for()
    supplies = maker.process.supplies[:1]
    days = (
        maker.last + timedelta(w.expected_in), maker.last + timedelta(w.latest_in)
    )  # fmt: skip
    event = _ordered(maker, maker.codes.next("R"), [r], supplies, days, 650)
    maker.write(event, day=day, minute=EVENING + 14)


def weigh(maker: Maker, day: date) -> None:
    """Read one begun spool, most weeks."""
    rng = maker.dice("reading")
    begun = [
        s for spools in maker.world.spools.values() for s in spools
        if s.begun and not s.empty and s.left
    ]  # fmt: skip
    if begun and happens(rng, maker.process.habits.reads_a_week):
        read(maker, rng.choice(begun), day)
