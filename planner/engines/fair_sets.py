"""
How many sets of several bows a fair may ask for.

A set is asked for by so many for each who asks singly for the scarcest of its kinds.
The share rests on the sets sold at past fairs where it could be had, that is, where
enough of each of its kinds were brought; before any, on what other sets show, and on a
stated guess.  Kinds sold in no other way are asked for in sets by all.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from planner.engines.fair_exposure import exposure_of, told_traits
from planner.engines.fair_forecast import Forecast
from planner.engines.fair_history import FairTold
from planner.ledgers.catalogue import SetUnit
from planner.ledgers.fairs import Fair
from planner.ledgers.state import Ledgers
from planner.plans.fair import KindSeen

SHARE = 0.1
"""Sets asked for, by what is asked singly of the scarcest kind: a stated guess."""
SURE, GUESS_SURE = 1.0, 2.0
"""How many sold sets that guess counts for, and hers."""


@dataclass(frozen=True, slots=True)
class _Told:
    """
    What past fairs told of one set.

    `sold` sets at `fairs` where it could be had, `counted` of them by recency;
    `chances` as many as were asked singly of its scarcest kind there, counted likewise.
    """

    sold: float = 0.0
    fairs: int = 0
    counted: float = 0.0
    chances: float = 0.0


def with_sets(
    led: Ledgers, cast: Forecast, fair: Fair, sets: Sequence[SetUnit],
    in_sets_alone: Collection[str],
) -> Forecast:  # fmt: skip
    """Add to a forecast the sets, under their codes, as further things asked for."""
    if not sets:
        return cast
    told = {one.code: _told(led, cast, one) for one in sets}
    laws = [_law(cast, fair, one, told, _alone(one, sets, in_sets_alone))
            for one in sets]  # fmt: skip
    shapes, rates, owns, lent = (np.array(x) for x in zip(*laws, strict=True))
    pooled = cast.pooled
    return replace(
        cast,
        kinds=(*cast.kinds, *(one.code for one in sets)),
        pooled=replace(
            pooled, a=np.append(pooled.a, shapes), b=np.append(pooled.b, rates),
            own=np.append(pooled.own, owns),
            mean_of_neighbours=np.append(pooled.mean_of_neighbours, lent),
        ),
        seen={**cast.seen, **{k: _seen(fair, k, row) for k, row in told.items()}},
    )  # fmt: skip


def _seen(fair: Fair, code: str, row: _Told) -> KindSeen:
    guessed = fair.guess.get(code)
    return KindSeen(brought=row.fairs, sold=row.sold, guessed=guessed)


def _alone(
    one: SetUnit, sets: Sequence[SetUnit], in_sets_alone: Collection[str]
) -> float | None:
    """
    Give the share that asks for a set of which some kind is sold in no other way.

    All sets with that kind are asked for alike.
    """
    only = {k for k, _ in one.kinds if k in in_sets_alone}
    if not only:
        return None
    return 1 / max(sum(k in dict(x.kinds) for x in sets) for k in only)


def _law(
    cast: Forecast, fair: Fair, one: SetUnit, told: Mapping[str, _Told],
    alone: float | None,
) -> tuple[float, float, float, float]:  # fmt: skip
    """
    Give shape and rate of a set's gamma law, its own weight, and what is lent to it.

    A share has a gamma prior whose mean is what the other sets show; sales of the set
    are Poisson about it.
    """
    rate, row = _scarcest(cast, one), told[one.code]
    share, sure = alone or _of_others(told, one.code), SURE
    guessed = fair.guess.get(one.code, 0)
    if guessed:
        share, sure = guessed / max(rate * cast.exposure, 1e-9), GUESS_SURE
    a, b = sure + row.counted, sure / share + row.chances
    return a, b / rate, row.chances / b, share * rate


def _of_others(told: Mapping[str, _Told], code: str) -> float:
    """Give the share that the other sets show, beside the stated guess."""
    others = [row for one, row in told.items() if one != code]
    counted, chances = (
        sum(getattr(row, name) for row in others) for name in ("counted", "chances")
    )
    return float((SURE + counted) / (SURE / SHARE + chances))


def _scarcest(cast: Forecast, one: SetUnit) -> float:
    """Give the rate at which all buyers of a set's scarcest kind would ask for it."""
    rates = cast.pooled.a / cast.pooled.b
    return min(float(rates[cast.kinds.index(k)]) / n for k, n in one.kinds)


def _told(led: Ledgers, cast: Forecast, one: SetUnit) -> _Told:
    rate, named = _scarcest(cast, one), _named_on(led, one)
    row = _Told()
    for fair, luck in zip(cast.told, cast.pooled.fairs.tolist(), strict=True):
        sold = _sold(fair, one)
        if sold or (fair.day >= named and _could_be_had(fair, one)):
            open_ = exposure_of(told_traits(fair), cast.powers) * _open(fair, one)
            row = _Told(
                row.sold + sold, row.fairs + 1, row.counted + fair.weight * sold,
                row.chances + fair.weight * luck * open_ * rate,
            )  # fmt: skip
    return row


def _named_on(led: Ledgers, one: SetUnit) -> str:
    return led.day(led.page("sets", one.code)[0].at)


def _sold(fair: FairTold, one: SetUnit) -> float:
    """Give the sets typed as sold at a fair."""
    bows = sum(fair.in_sets.get(one.code, {}).values())
    return bows / sum(n for _, n in one.kinds)


def _could_be_had(fair: FairTold, one: SetUnit) -> bool:
    return all(k in fair.kinds and fair.kinds[k].brought >= n for k, n in one.kinds)


def _open(fair: FairTold, one: SetUnit) -> float:
    """Give the part of a fair until the first of its kinds was gone, if noted."""
    return min((fair.kinds[k].open_share for k, _ in one.kinds if k in fair.kinds),
               default=1.0)  # fmt: skip
