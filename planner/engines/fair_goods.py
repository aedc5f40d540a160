"""
What could be brought to a fair, as the choice sees it: worth, cost, and what it uses.

Of the bows begun some are spoiled: a good one takes a little more than one bow's
ribbon, supplies and minutes, by what her records say of its pattern.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

from planner.engines.fair_costs import Materials
from planner.engines.fair_forecast import Forecast
from planner.engines.fair_good import (
    BATCH,
    COST_SHARE,
    MOST_LEFT,
    TIME_SHARE,
    Good,
    SetGood,
)
from planner.engines.fair_kinds import kinds_for, sets_for
from planner.engines.fair_shelf import Shelf
from planner.errors import Unknown
from planner.ledgers.catalogue import Catalogue, SetUnit, catalogue
from planner.ledgers.fairs import Fair
from planner.ledgers.shop import setting, shop
from planner.ledgers.state import Ledgers


@dataclass(frozen=True, slots=True)
class Priced:
    """
    What has a price at the fair: of a bow by kind, and sets.

    Kinds `in_sets_alone` have a bow's share of their sets' price; `without` are those
    that have none; `left` are sets left out, as they don't pay to make up.
    """

    prices: Mapping[str, float]
    sets: tuple[SetUnit, ...]
    in_sets_alone: frozenset[str]
    without: tuple[str, ...]
    left: tuple[str, ...] = ()

    def but(self, codes: Collection[str]) -> Priced:
        """Leave some sets out."""
        rest = tuple(one for one in self.sets if one.code not in codes)
        return replace(self, sets=rest, left=(*self.left, *codes))


def priced(led: Ledgers, fair: Fair, shelf: Shelf) -> Priced:
    """
    List what could be sold at a fair, with prices.

    Raises:
        Unknown: when there is no kind with a price that could be brought.
    """
    cat = catalogue(led)
    found = kinds_for(led, fair, shelf.free)
    sets = sets_for(cat, fair, found)
    shares = {k: _share_of(cat, k, sets) for k in found}
    told = {k: cat.price(k, "fair") or shares[k] for k in found}
    prices = {k: float(price) for k, price in told.items() if price}
    if prices:
        alone = frozenset(k for k in prices if not cat.price(k, "fair"))
        without = tuple(k for k in found if k not in prices)
        return Priced(prices, tuple(sets), alone, without)
    if found:
        raise Unknown(
            "No kind has a price yet, so no plan can be made.",
            instead="bows price 9.50 4in --list fair",
        )
    raise Unknown(
        "There is no kind of bow to bring yet.", instead="bows pattern --help"
    )


def _share_of(cat: Catalogue, kind: str, sets: Sequence[SetUnit]) -> float | None:
    """Give a bow's share of the price of the dearest set with that kind, if any."""
    each = [
        (cat.price(one.code, "fair") or 0) / sum(n for _, n in one.kinds)
        for one in sets if kind in dict(one.kinds)
    ]  # fmt: skip
    return max(each, default=None)


def goods_of(
    led: Ledgers, shelf: Shelf, cast: Forecast, offered: Priced
) -> tuple[list[Good], list[SetGood]]:
    """Tell each kind and each set as the choice sees it."""
    share = int(setting(led, "salvage share") or 0) / 100
    materials, retired = Materials(led), catalogue(led).retired
    goods = []
    for kind, price in offered.prices.items():
        told = materials.of(kind)
        cost = COST_SHARE * price if told is None else told
        cost *= shelf.begun(kind)
        time = _time(led, shelf, kind, price)
        goods.append(
            Good(
                kind=kind, law=cast.law(kind), price=round(price), cost=cost,
                salvage=min(share, MOST_LEFT) * min(cost + time, price),
                later=shelf.later, minutes=_minutes(shelf, kind),
                have=shelf.free.get(kind, 0), uses=_uses(shelf, kind, cost),
                may_make=not retired.intersection(kind.split(":")),
                time=time, spoiled=shelf.begun(kind) - 1,
                single=kind not in offered.in_sets_alone,
            )
        )  # fmt: skip
    return goods, [_set_good(shelf.cat, cast, one, goods) for one in offered.sets]


def _set_good(
    cat: Catalogue, cast: Forecast, one: SetUnit, goods: Sequence[Good]
) -> SetGood:
    at = {good.kind: n for n, good in enumerate(goods)}
    return SetGood(
        code=one.code, law=cast.law(one.code), price=cat.price(one.code, "fair") or 0,
        members=tuple((at[kind], count) for kind, count in one.kinds),
    )  # fmt: skip


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


def _uses(shelf: Shelf, kind: str, cost: float) -> dict[tuple[str, str], float]:
    """Give what a bow that comes out well uses of each limit."""
    cat, begun = shelf.cat, shelf.begun(kind)
    ribbons = cat.ribbon_needs(kind).items()
    supplies = cat.pattern_of(kind).supplies
    return {
        ("bench", ""): _minutes(shelf, kind),
        ("table", ""): 1.0,
        ("spend", ""): cost,
        **{("ribbon", code): begun * nm for code, nm in ribbons},
        **{("supply", code): begun * each for code, each in supplies},
    }
