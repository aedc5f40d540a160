"""
What could be brought to a fair, as the choice sees it: worth, cost, and what it uses.

Of the bows begun some are spoiled: a good one takes a little more than one bow's
ribbon, supplies and minutes, by what her records say of its pattern.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from planner.engines.fair_choice import BATCH, COST_SHARE, TIME_SHARE, Good
from planner.engines.fair_costs import Materials
from planner.engines.fair_forecast import Forecast
from planner.engines.fair_kinds import kinds_for, sold_as
from planner.engines.fair_shelf import Shelf
from planner.errors import Unknown
from planner.ledgers.catalogue import catalogue
from planner.ledgers.fairs import Fair
from planner.ledgers.shop import setting, shop
from planner.ledgers.state import Ledgers


def prices_of(
    led: Ledgers, fair: Fair, shelf: Shelf
) -> tuple[dict[str, float], tuple[str, ...]]:
    """
    Give the fair's price of a bow by kind, and the kinds that have none.

    Raises:
        Unknown: when there is no kind with a price that could be brought.
    """
    cat = catalogue(led)
    found = {k: sold_as(cat, k) for k in kinds_for(led, fair, shelf.free)}
    prices = {k: price / lot for k, (price, lot) in found.items() if price}
    if prices:
        return prices, tuple(k for k in found if k not in prices)
    if found:
        raise Unknown(
            "No kind has a price yet, so no plan can be made.",
            instead="bows price 9.50 4in --list fair",
        )
    raise Unknown(
        "There is no kind of bow to bring yet.", instead="bows pattern --help"
    )


def goods_of(
    led: Ledgers, shelf: Shelf, cast: Forecast, prices: Mapping[str, float]
) -> list[Good]:
    """Tell each kind by its selling unit: a bow, or a set of some."""
    share = int(setting(led, "salvage share") or 0) / 100
    materials, retired = Materials(led), catalogue(led).retired
    goods = []
    for kind, price in prices.items():
        told, lot = materials.of(kind), sold_as(shelf.cat, kind)[1]
        cost = lot * (COST_SHARE * price if told is None else told)
        cost *= shelf.begun(kind)
        minutes, law = lot * _minutes(shelf, kind), cast.law(kind)
        time = lot * _time(led, shelf, kind, price)
        goods.append(
            Good(
                kind=kind, law=replace(law, mean=law.mean / lot), lot=lot,
                price=round(lot * price), cost=cost,
                salvage=min(share, 0.99) * min(cost + time, lot * price),
                later=shelf.later, minutes=minutes,
                have=shelf.free.get(kind, 0) // lot,
                uses=_uses(shelf, kind, cost, lot),
                may_make=not retired.intersection(kind.split(":")),
                time=time, spoiled=lot * (shelf.begun(kind) - 1),
            )
        )  # fmt: skip
    return goods


def _time(led: Ledgers, shelf: Shelf, kind: str, price: float) -> float:
    """
    Give what the work in a new bow is charged, minor units: by her wage, if told.

    Free time would be spent to the last hour on bows that hardly sell.
    """
    wage = shop(led).wage
    return wage / 60 * _minutes(shelf, kind) if wage else TIME_SHARE * price


def _minutes(shelf: Shelf, kind: str) -> float:
    known = shelf.minutes(kind)
    each = shelf.begun(kind) * known.median_seconds / 60
    return each + known.set_up_minutes / BATCH


def _uses(
    shelf: Shelf, kind: str, cost: float, lot: int
) -> dict[tuple[str, str], float]:
    """Give what a selling unit of so many bows uses of each limit."""
    cat, begun = shelf.cat, lot * shelf.begun(kind)
    ribbons = cat.ribbon_needs(kind).items()
    supplies = cat.pattern_of(kind).supplies
    return {
        ("bench", ""): lot * _minutes(shelf, kind),
        ("table", ""): float(lot),
        ("spend", ""): cost,
        **{("ribbon", code): begun * nm for code, nm in ribbons},
        **{("supply", code): begun * each for code, each in supplies},
    }
