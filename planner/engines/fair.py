"""
The fair plan: what to bring by size and colour, and what to make first.

Demand is pooled over size and colour (`engines.fair_forecast`), what there is comes
from the ledgers after the open orders (`engines.fair_shelf`), quantities from the
newsvendor's rule under limits (`engines.fair_choice`).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import astuple, dataclass, replace
from datetime import date

import numpy as np

from planner.engines.fair_choice import (
    BATCH,
    Choice,
    Good,
    choose,
    gains_to_make,
)
from planner.engines.fair_costs import Materials
from planner.engines.fair_exposure import TRAITS, USUAL_HOURS, traits_of
from planner.engines.fair_forecast import Forecast, forecast, usual_price
from planner.engines.fair_goods import goods_of, prices_of
from planner.engines.fair_history import HALF_LIFE
from planner.engines.fair_limits import bought, limits_of, rooms_of, with_spools
from planner.engines.fair_scores import spread_of
from planner.engines.fair_second import SecondDay, second_day
from planner.engines.fair_shelf import Shelf
from planner.engines.fair_turning import families
from planner.engines.turning import DRAWN, Turning, turn_over
from planner.ledgers.catalogue import catalogue
from planner.ledgers.fairs import Fair, at_stall
from planner.ledgers.state import Ledgers
from planner.ledgers.stock import spool_to_cut
from planner.plans.fair import Basis, FairPlan, KindPlan, Limit, Quantiles, Turn

SITTING = 90
"""Minutes at the bench within which the order of turns follows the set-ups."""
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
    prices, unpriced = prices_of(led, fair, shelf)
    cast = forecast(led, fair, tuple(prices), price=usual_price(prices),
                    so_far=second.told if second else None)  # fmt: skip
    goods = goods_of(led, shelf, cast, prices)
    cash = None if buy else spend
    rooms = rooms_of(led, shelf, goods, spend=cash, table=table)
    spools = bought(led, shelf, goods, rooms, budget=spend) if buy else ()
    rooms = with_spools(rooms, spools)
    choice = alone = choose(goods, rooms, at_least=at_least)
    if cast.turn.low > 0 and not _sets(goods):
        turning = _turning(led, cast, [g.kind for g in goods], size=DRAWN, seed=0)
        choice = turn_over(alone, goods, rooms, turning, at_least=at_least)
    basis = _basis(shelf, cast, goods, unpriced, choice.gap, second)
    made = _plan(led, shelf, cast, goods, choice, basis, seed)
    limits = limits_of(led, goods, rooms, alone, at_least)
    return replace(made, limits=_used_by(choice, limits), buys=spools)


def _sets(goods: Sequence[Good]) -> bool:
    return any(good.lot > 1 for good in goods)


def _used_by(choice: Choice, limits: Sequence[Limit]) -> tuple[Limit, ...]:
    """Tell what a choice uses, where that moved since the limits were priced."""
    pairs = zip(limits, choice.used, strict=True)
    return tuple(replace(limit, needed=round(used)) for limit, used in pairs)


def _plan(
    led: Ledgers,
    shelf: Shelf,
    cast: Forecast,
    goods: Sequence[Good],
    choice: Choice,
    basis: Basis,
    seed: int,
) -> FairPlan:
    pairs = list(zip(goods, choice.quantities, strict=True))
    there = at_stall(led, shelf.fair.code)
    turning = _turning(led, cast, [g.kind for g in goods], size=DRAWN, seed=0)
    # Those who turn away look for a single bow: where sets are sold it isn't reckoned.
    single = float(not _sets(goods))
    brought = single * np.array(choice.quantities, float)
    turned = turning.extra(brought).mean(axis=0).tolist()
    kinds = [
        _kind(cast, good, n, there.get(good.kind, 0), extra)
        for (good, n), extra in zip(pairs, turned, strict=True)
    ]
    coming = _Coming.drawn(led, cast, kinds, seed)
    sold, takings = coming.sold, coming.takings
    return FairPlan(
        fair=shelf.fair.code, today=shelf.today.isoformat(), head=led.head_hash.hex(),
        kinds=tuple(replace(k, spread=coming.spread.get(k.kind)) for k in kinds),
        limits=(), turns=tuple(_turns(led, pairs)),
        sold=sum(k.sold for k in kinds), sold_low=sold[0], sold_high=sold[-1],
        takings=round(sum(k.sold * k.price for k in kinds)),
        takings_low=takings[0], takings_high=takings[-1], fee=shelf.fair.fee,
        materials=round(sum(k.make * k.cost for k in kinds)), basis=basis,
        sold_spread=sold,
    )  # fmt: skip


def _turning(
    led: Ledgers, cast: Forecast, kinds: Sequence[str], *, size: int, seed: int
) -> Turning:
    """Draw fairs at which no larger a share turns to another colour than is sure."""
    wanted = cast.draws(kinds, size=size, seed=seed)
    return Turning(wanted, families(catalogue(led), kinds), cast.turn.low)


def _kind(
    cast: Forecast, good: Good, bring: int, there: int, turned: float
) -> KindPlan:
    """Tell what the plan says of a kind in bows; `bring` are its selling units."""
    law, lot = good.law, good.lot
    have, left = lot * min(good.have, bring), lot * float(law.left(bring))
    turned = min(turned, left)
    return KindPlan(
        kind=good.kind, bring=lot * bring, have=have, make=lot * bring - have,
        stall=min(max(there, 0), have), wanted=lot * law.mean,
        sold=lot * float(law.sold(bring)) + turned, left=left - turned,
        sell_out=float(law.sf(bring - 1)) if bring else 1.0,
        price=round(good.price / lot), cost=good.cost / lot,
        minutes=good.minutes / lot, own=cast.own(good.kind),
        seen=cast.seen[good.kind], lent=cast.lent(good.kind),
        spoiled=good.spoiled / lot,
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Coming:
    """Quantiles by simulation: wishes by kind, bows sold in all, takings."""

    spread: Mapping[str, Quantiles]
    sold: Quantiles
    takings: Quantiles

    @classmethod
    def drawn(
        cls, led: Ledgers, cast: Forecast, kinds: Sequence[KindPlan], seed: int
    ) -> _Coming:
        if not any(k.bring for k in kinds):
            return cls({}, (0,) * 5, (0,) * 5)
        coming = _turning(led, cast, [k.kind for k in kinds], size=DRAWS, seed=seed)
        wanted, brought = coming.wanted, np.array([float(k.bring) for k in kinds])
        sold = np.minimum(wanted, brought) + coming.extra(brought)
        return cls(
            {k.kind: spread_of(wanted[:, i]) for i, k in enumerate(kinds) if k.bring},
            spread_of(sold.sum(axis=1)),
            spread_of(sold @ [float(k.price) for k in kinds]),
        )


@dataclass(frozen=True, slots=True)
class _Batch:
    """Some of the new bows of a good, and what each adds, her time not yet paid."""

    good: Good
    gains: tuple[float, ...]

    @property
    def a_minute(self) -> float:
        return sum(self.gains) / (len(self.gains) * max(self.good.minutes, 1e-9))


def _turns(led: Ledgers, pairs: Sequence[tuple[Good, int]]) -> list[Turn]:
    """
    Put the new bows in turns, by what they add for a minute at the bench.

    Gains fall from bow to bow, so stopping early loses the least; but within an hour
    and a half's work those of one pattern come together, as they share a set-up.
    """
    batches = [
        _Batch(good, tuple(gains[i : i + BATCH]))
        for good, n in pairs
        for gains in [[gain + good.time for gain in gains_to_make(good, n)]]
        for i in range(0, len(gains), BATCH)
    ]
    left: dict[str, int] = {s: led.ribbon.balance(s)["left"] for s in led.spools}
    best_first = sorted(batches, key=lambda b: (-b.a_minute, b.good.kind))
    return _joined(_turn(led, batch, left) for batch in _by_sitting(best_first))


def _joined(turns: Iterable[Turn]) -> list[Turn]:
    """Make one of turns of the same kind from the same spools that follow another."""
    found: list[Turn] = []
    for turn in turns:
        last = found[-1] if found else None
        if last and (last.kind, last.spools) == (turn.kind, turn.spools):
            found[-1] = replace(
                last, count=last.count + turn.count,
                minutes=last.minutes + turn.minutes, gain=last.gain + turn.gain,
            )  # fmt: skip
        else:
            found.append(turn)
    return found


def _by_sitting(batches: Iterable[_Batch]) -> list[_Batch]:
    """Bring batches of one pattern together within each sitting's worth of work."""
    place: dict[tuple[int, str], int] = {}
    keyed = []
    passed = 0.0
    for batch in batches:
        sitting = int(passed // SITTING)
        pattern = sitting, batch.good.kind.partition(":")[0]
        keyed.append((sitting, place.setdefault(pattern, len(place)), batch))
        passed += len(batch.gains) * batch.good.minutes
    return [batch for _, _, batch in sorted(keyed, key=lambda row: row[:2])]


def _turn(led: Ledgers, batch: _Batch, left: dict[str, int]) -> Turn:
    count = len(batch.gains) * batch.good.lot
    needs = catalogue(led).ribbon_needs(batch.good.kind)
    found = (_spool(led, code, nm * count, left) for code, nm in needs.items())
    return Turn(
        kind=batch.good.kind, count=count,
        minutes=round(len(batch.gains) * batch.good.minutes),
        gain=round(sum(batch.gains)), spools=tuple(s for s in found if s),
    )  # fmt: skip


def _spool(led: Ledgers, ribbon: str, need: int, left: dict[str, int]) -> str | None:
    """Take ribbon in thought from the spool she would cut next."""
    for spool in spool_to_cut(led, ribbon, need):
        if left.get(spool.spool, 0) >= need:
            left[spool.spool] -= need
            return spool.spool
    return None


def _basis(
    shelf: Shelf,
    cast: Forecast,
    goods: Sequence[Good],
    unpriced: tuple[str, ...],
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
        factors=_factors(shelf.fair, cast), colours=cast.colours,
        half_life=HALF_LIFE,
        kinds=len(goods),
        never_brought=sum(not cast.seen[g.kind].brought for g in goods),
        guessed_total=cast.guessed_total, planned_minutes=shelf.planned_minutes,
        sure_minutes=shelf.sure_minutes, sure=shelf.sure, later=shelf.later,
        order_minutes=shelf.order_minutes,
        awaited=tuple(shelf.in_time), untold=_untold(shelf), unpriced=unpriced,
        cost_guessed=sum(materials.of(g.kind) is None for g in goods), gap=round(gap),
    )  # fmt: skip


def _factors(fair: Fair, cast: Forecast) -> tuple[tuple[str, float], ...]:
    """Say what each trait of the coming fair does to what is asked for."""
    found = zip(traits_of(fair).tolist(), astuple(cast.powers), strict=True)
    each = [math.exp(trait * power) for trait, power in found]
    # Hours count in proportion unless the records say otherwise.
    each[1] /= (fair.open_minutes / 60 or 1.0) / USUAL_HOURS
    return tuple(zip(TRAITS, each, strict=True))


def _untold(shelf: Shelf) -> tuple[str, ...]:
    untold = []
    if not shelf.hours_told:
        untold.append("bench hours")
    if not shelf.led.spools:
        untold.append("spools")
    if not shelf.fair.table:
        untold.append("table")
    return tuple(untold)
