"""
The fair plan: what to bring by size and colour, and what to make first.

Demand is pooled over size and colour (`engines.fair_forecast`), what there is comes
from the ledgers after the open orders (`engines.fair_shelf`), quantities from the
newsvendor's rule under limits (`engines.fair_choice`).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import astuple, dataclass, replace
from datetime import date
from functools import cached_property

import numpy as np

from planner.engines.fair_choice import Choice, beside_sets, best_of, choose
from planner.engines.fair_costs import Materials
from planner.engines.fair_exposure import TRAITS, USUAL_HOURS, traits_of
from planner.engines.fair_forecast import (
    Forecast,
    crowds_known,
    forecast,
    usual_price,
)
from planner.engines.fair_good import Good, Room, SetGood
from planner.engines.fair_goods import Priced, goods_of, priced
from planner.engines.fair_history import HALF_LIFE
from planner.engines.fair_limits import bought, limits_of, rooms_of, with_spools
from planner.engines.fair_program import Shared
from planner.engines.fair_scores import spread_of
from planner.engines.fair_second import SecondDay, second_day
from planner.engines.fair_sets import with_sets
from planner.engines.fair_shelf import Shelf
from planner.engines.fair_turning import families
from planner.engines.fair_turns import turns_of
from planner.engines.turning import DRAWN, Turning, turn_over
from planner.engines.turning_bound import bounded
from planner.ledgers.catalogue import catalogue
from planner.ledgers.fairs import Fair, at_stall
from planner.ledgers.state import Ledgers
from planner.plans.fair import Basis, Buy, FairPlan, KindPlan, Limit, Quantiles, SetPlan

DRAWS = 4_000
"""Fairs drawn for the range of the total."""


def plan_fair(
    led: Ledgers,
    fair: Fair,
    *,
    today: date,
    hours_minutes: int | None = None,
    spend: int | None = None,
    table: int | None = None,
    at_least: int = 0,
    buy: bool = False,
    seed: int = 0,
) -> FairPlan:
    """
    Plan what to bring to a fair for the greatest expected profit.

    hours_minutes: bench minutes for the fair (by default those of her bench hours,
    after the orders); spend: most that the materials of new bows may cost, minor
    units; table: bows that fit on the table; at_least: bows of a kind on show, or
    none of it; buy: whether whole spools may be bought that can be in on time, for
    `spend` at most.

    Raises:
        Unknown: when there is no kind with a price that could be brought.
    """
    second = second_day(led, fair, today)
    fair = second.rest if second else fair
    shelf = Shelf(led, fair, today, hours_minutes)
    laid = _Laid(led, shelf, second, priced(led, fair, shelf), spend, table, buy)
    laid = laid.made_up(at_least)
    cast, goods, sets, rooms = laid.cast, laid.goods, laid.sets, laid.rooms
    choice = alone = choose(goods, rooms, at_least=at_least, sets=sets)
    if cast.turn.low > 0:
        choice = _turned_over(led, cast, goods, sets, rooms, alone, at_least)
    basis = _basis(shelf, cast, goods, laid.offered, choice.gap, second)
    basis = replace(basis, at_least=at_least)
    made = _plan(led, shelf, cast, (goods, sets), choice, basis, seed)
    limits = limits_of(led, goods, rooms, alone, at_least, sets)
    return replace(made, limits=_used_by(choice, limits), buys=laid.spools)


@dataclass(frozen=True)
class _Laid:
    """What may come to a fair, what is asked for, and what there isn't endless of."""

    led: Ledgers
    shelf: Shelf
    second: SecondDay | None
    offered: Priced
    spend: int | None
    table: int | None
    buy: bool

    @cached_property
    def cast(self) -> Forecast:
        """What is asked for."""
        return _cast(self.led, self.shelf.fair, self.offered, self.second)

    @cached_property
    def _told(self) -> tuple[list[Good], list[SetGood]]:
        return goods_of(self.led, self.shelf, self.cast, self.offered)

    @property
    def goods(self) -> list[Good]:
        """Kinds that may come."""
        return self._told[0]

    @property
    def sets(self) -> list[SetGood]:
        """Sets that may come."""
        return self._told[1]

    @cached_property
    def _plain_rooms(self) -> list[Room]:
        cash = None if self.buy else self.spend
        return rooms_of(self.led, self.shelf, self.goods, spend=cash, table=self.table)

    @cached_property
    def spools(self) -> tuple[Buy, ...]:
        """Whole spools to buy, where they may be."""
        if not self.buy:
            return ()
        return bought(self.led, self.shelf, self.goods, self._plain_rooms,
                      budget=self.spend, sets=self.sets)  # fmt: skip

    @cached_property
    def rooms(self) -> list[Room]:
        """Limits, with the ribbon to be bought."""
        return with_spools(self._plain_rooms, self.spools)

    def made_up(self, at_least: int) -> _Laid:
        """
        Leave out the sets that don't pay to make up, but of kinds sold in no other way.

        They can still be put together from single bows at the stall, so that all who
        want their bows are then asked for those.
        """
        laid = self
        while idle := laid._loose(at_least, idle=True):
            laid = replace(laid, offered=laid.offered.but(idle))
        if loose := laid._loose(at_least):
            plain = replace(laid, offered=laid.offered.but(loose))
            if plain._best(at_least).profit >= laid._best(at_least).profit:
                return plain
        return laid

    def _loose(self, at_least: int, *, idle: bool = False) -> list[str]:
        """List the sets whose kinds are sold singly too; only those that don't come."""
        if not self.sets:
            return []
        rows = zip(self.sets, self._best(at_least).sets, strict=True)
        return [
            one.code for one, count in rows
            if all(self.goods[at].single for at, _ in one.members)
            and not (idle and count)
        ]  # fmt: skip

    def _best(self, at_least: int) -> Shared:
        return best_of(self.goods, self.rooms, at_least=at_least, sets=self.sets)


def _cast(
    led: Ledgers, fair: Fair, offered: Priced, second: SecondDay | None
) -> Forecast:
    """Forecast what is asked for, single bows and sets."""
    alone, prices = offered.in_sets_alone, offered.prices
    cast = forecast(
        led, fair, tuple(prices), price=usual_price(prices),
        so_far=second.told if second else None,
    )  # fmt: skip
    return with_sets(led, cast, fair, offered.sets, alone)


def _turned_over(
    led: Ledgers, cast: Forecast, goods: Sequence[Good], sets: Sequence[SetGood],
    rooms: Sequence[Room], alone: Choice, at_least: int,
) -> Choice:  # fmt: skip
    """Change a choice for those who turn, and say how far from the best it can be."""
    turning = _turning(led, cast, goods, size=DRAWN, seed=0)
    rest, free = beside_sets(alone, goods, sets, rooms)
    found = turn_over(alone, rest, free, turning, at_least=at_least)
    held = [room.available - left.available
            for room, left in zip(rooms, free, strict=True)]  # fmt: skip
    used = tuple(n + more for n, more in zip(found.used, held, strict=True))
    found = replace(found, used=used)
    return bounded(found, goods, sets, rooms, turning, at_least=at_least)


def _used_by(choice: Choice, limits: Sequence[Limit]) -> tuple[Limit, ...]:
    """Tell what a choice uses, where that moved since the limits were priced."""
    pairs = zip(limits, choice.used, strict=True)
    return tuple(replace(limit, needed=round(used)) for limit, used in pairs)


def _plan(
    led: Ledgers,
    shelf: Shelf,
    cast: Forecast,
    offered: tuple[Sequence[Good], Sequence[SetGood]],
    choice: Choice,
    basis: Basis,
    seed: int,
) -> FairPlan:
    goods, sets = offered
    there = at_stall(led, shelf.fair.code)
    turning = _turning(led, cast, goods, size=DRAWN, seed=0)
    turned = turning.extra(np.array(choice.quantities, float)).mean(axis=0).tolist()
    in_sets = [_set(cast, one, n, goods)
               for one, n in zip(sets, choice.sets, strict=True)]  # fmt: skip
    kinds = [
        _in_sets(_kind(cast, good, n, extra), good, in_sets, there.get(good.kind, 0))
        for good, n, extra in zip(goods, choice.quantities, turned, strict=True)
    ]
    coming = _Coming.drawn(led, cast, goods, choice, kinds, in_sets, seed)
    sold, takings = coming.sold, coming.takings
    return FairPlan(
        fair=shelf.fair.code, today=shelf.today.isoformat(), head=led.head_hash.hex(),
        kinds=tuple(replace(k, spread=coming.spread.get(k.kind)) for k in kinds),
        limits=(), turns=tuple(turns_of(led, goods, sets, choice)),
        sold=sum(k.sold for k in kinds), sold_low=sold[0], sold_high=sold[-1],
        takings=round(sum(k.takings for k in kinds)
                      + sum(x.sold * x.price for x in in_sets)),
        takings_low=takings[0], takings_high=takings[-1], fee=shelf.fair.fee,
        materials=round(sum(k.make * k.cost for k in kinds)), basis=basis,
        sold_spread=sold, sets=tuple(in_sets),
    )  # fmt: skip


def _turning(
    led: Ledgers, cast: Forecast, goods: Sequence[Good], *, size: int, seed: int
) -> Turning:
    """Draw fairs at which no larger a share turns to another colour than is sure."""
    kinds = [good.kind for good in goods]
    wanted = cast.draws(kinds, size=size, seed=seed) * [g.single for g in goods]
    return Turning(wanted, families(catalogue(led), kinds), cast.turn.low)


def _kind(cast: Forecast, good: Good, bring: int, turned: float) -> KindPlan:
    """Tell what the plan says of a kind, of its single bows so far."""
    law, left = good.law, float(good.law.left(bring))
    turned = min(turned, left)
    sold = float(law.sold(bring)) + turned
    return KindPlan(
        kind=good.kind, bring=bring, have=0, make=0,
        wanted=law.mean if good.single else 0.0, sold=sold, left=left - turned,
        sell_out=float(law.sf(bring - 1)) if bring else 1.0,
        price=good.price, cost=good.cost, minutes=good.minutes,
        own=cast.own(good.kind), seen=cast.seen[good.kind], lent=cast.lent(good.kind),
        spoiled=good.spoiled, takings=sold * good.price,
    )  # fmt: skip


def _in_sets(
    kind: KindPlan, good: Good, sets: Sequence[SetPlan], there: int
) -> KindPlan:
    """Add a kind's bows in sets, and say which of all there are."""
    own = [(one, dict(one.bows).get(kind.kind, 0)) for one in sets]
    bows = sum(n * one.bring for one, n in own)
    bring, have = kind.bring + bows, min(good.have, kind.bring + bows)
    out = [one.sell_out for one, n in own if n and one.bring]
    in_sets = sum(n * one.wanted for one, n in own)
    return replace(
        kind, bring=bring, have=have, make=bring - have, in_sets=bows,
        stall=min(max(there, 0), have),
        wanted=kind.wanted + in_sets, wanted_in_sets=in_sets,
        sold=kind.sold + sum(n * one.sold for one, n in own),
        left=kind.left + sum(n * one.left for one, n in own),
        sell_out=kind.sell_out if kind.bring else min(out, default=1.0),
    )  # fmt: skip


def _set(cast: Forecast, one: SetGood, bring: int, goods: Sequence[Good]) -> SetPlan:
    law = one.law
    return SetPlan(
        set=one.code, bows=tuple((goods[at].kind, n) for at, n in one.members),
        bring=bring, wanted=law.mean, sold=float(law.sold(bring)),
        left=float(law.left(bring)),
        sell_out=float(law.sf(bring - 1)) if bring else 1.0,
        price=one.price, own=cast.own(one.code), seen=cast.seen[one.code],
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Coming:
    """Quantiles by simulation: wishes by kind, bows sold in all, takings."""

    spread: Mapping[str, Quantiles]
    sold: Quantiles
    takings: Quantiles

    @classmethod
    def drawn(
        cls, led: Ledgers, cast: Forecast, goods: Sequence[Good], choice: Choice,
        kinds: Sequence[KindPlan], sets: Sequence[SetPlan], seed: int,
    ) -> _Coming:  # fmt: skip
        if not any(k.bring for k in kinds):
            return cls({}, (0,) * 5, (0,) * 5)
        coming = _turning(led, cast, goods, size=DRAWS, seed=seed)
        brought = np.array(choice.quantities, float)
        sold = np.minimum(coming.wanted, brought) + coming.extra(brought)
        takings = sold @ [float(good.price) for good in goods]
        # One seed draws one fair: the sets' buyers come on the same good or bad day.
        asked = cast.draws([one.set for one in sets], size=DRAWS, seed=seed)
        went = np.minimum(asked, [float(one.bring) for one in sets])
        of_set = [dict(one.bows) for one in sets]
        each = np.array([[bows.get(g.kind, 0) for g in goods] for bows in of_set])
        each = each.reshape(len(sets), len(goods))
        wanted, sold = coming.wanted + asked @ each, sold + went @ each
        takings = takings + went @ [float(one.price) for one in sets]
        return cls(
            {k.kind: spread_of(wanted[:, i]) for i, k in enumerate(kinds) if k.bring},
            spread_of(sold.sum(axis=1)), spread_of(takings),
        )  # fmt: skip


def _basis(
    shelf: Shelf,
    cast: Forecast,
    goods: Sequence[Good],
    offered: Priced,
    gap: float,
    second: SecondDay | None,
) -> Basis:
    rows = [row for one in cast.told for row in one.kinds.values()]
    materials = Materials(shelf.led)
    return Basis(
        source=cast.source, fairs=len(cast.told) - bool(second),
        days_over=len(second.over) if second else 0,
        untyped=second.untyped if second else 0.0, sold=sum(r.sold for r in rows),
        unlogged=sum(r.unlogged for r in rows),
        unnoticed=sum(one.unnoticed for one in cast.told),
        sold_out=sum(r.sold_out for r in rows), turn=cast.turn.low,
        factors=_factors(shelf.fair, cast),
        crowd_untold=_crowd_untold(shelf.fair, cast), colours=cast.colours,
        half_life=HALF_LIFE,
        kinds=len(goods),
        never_brought=sum(not cast.seen[g.kind].brought for g in goods),
        guessed_total=cast.guessed_total, planned_minutes=shelf.planned_minutes,
        sure_minutes=shelf.sure_minutes, sure=shelf.sure, later=shelf.later,
        order_minutes=shelf.order_minutes,
        awaited=tuple(shelf.in_time), untold=_untold(shelf), unpriced=offered.without,
        sets_left=len(offered.left),
        cost_guessed=sum(materials.of(g.kind) is None for g in goods), gap=round(gap),
        drawn=DRAWN if cast.turn.low > 0 else 0,
    )  # fmt: skip


def _factors(fair: Fair, cast: Forecast) -> tuple[tuple[str, float], ...]:
    """Say what each trait of the coming fair does to what is asked for."""
    found = zip(traits_of(fair).tolist(), astuple(cast.powers), strict=True)
    each = [math.exp(trait * power) for trait, power in found]
    # Hours count in proportion unless the records say otherwise.
    each[1] /= (fair.open_minutes / 60 or 1.0) / USUAL_HOURS
    return tuple(zip(TRAITS, each, strict=True))


def _crowd_untold(fair: Fair, cast: Forecast) -> str:
    known = crowds_known(cast.told, fair) or not cast.told
    return "" if known else cast.told[-1].code


def _untold(shelf: Shelf) -> tuple[str, ...]:
    untold = []
    if not shelf.hours_told:
        untold.append("bench hours")
    if not shelf.led.spools:
        untold.append("spools")
    if not shelf.fair.table:
        untold.append("table")
    return tuple(untold)
