"""
How many sets of several bows a fair may ask for.

What is asked for of a kind is learned from all that sold of it, singly or in sets; of
those who ask for the scarcest kind of a set, a share wants the set.  The share rests on
the sets sold at past fairs where it could be had, that is, where enough of each of its
kinds were brought; before any, on what other sets show, and on a stated guess.  What
sets are asked for is taken off what is asked for singly, so that no bow is wanted
twice.  Kinds sold in no other way are asked for in sets by all.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from planner.engines.counts import Floats
from planner.engines.fair_forecast import Forecast
from planner.engines.fair_history import FairTold
from planner.ledgers.catalogue import SetUnit
from planner.ledgers.fairs import Fair
from planner.ledgers.state import Ledgers
from planner.plans.fair import KindSeen

SHARE = 0.1
"""Share of those who ask for the scarcest kind that want the set: a stated guess."""
SURE, GUESS_SURE = 0.3, 2.0
"""How many sold sets that guess counts for, and hers: the stated one is a poor one."""
MOST_SHARE = 0.98
"""A guess of more than this is of all buyers; some always want one bow."""


@dataclass(frozen=True, slots=True)
class _Told:
    """
    What past fairs told of one set.

    `sold` sets at `fairs` where it could be had, `counted` of them by recency;
    `chances` are those who took its scarcest kind there, alone or in it, likewise.
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
    pooled, means = cast.pooled, cast.pooled.a / cast.pooled.b
    bows = np.array([[dict(one.kinds).get(k, 0) for k in cast.kinds] for one in sets])
    rates, left = _parted(means, bows, laws)
    shapes = np.array([law.shape for law in laws])
    return replace(
        cast,
        kinds=(*cast.kinds, *(one.code for one in sets)),
        pooled=replace(
            pooled, a=np.append(pooled.a, shapes),
            b=np.append(pooled.a / left, shapes / rates),
            own=np.append(pooled.own, [law.own for law in laws]),
            mean_of_neighbours=np.append(
                pooled.mean_of_neighbours * left / means, [law.lent for law in laws]
            ),
        ),
        seen={**cast.seen, **{k: _seen(fair, k, row) for k, row in told.items()}},
    )  # fmt: skip


def _parted(means: Floats, bows: Floats, laws: Sequence[_Law]) -> tuple[Floats, Floats]:
    """
    Part what is asked for of kinds: give the sets' rates, and what is left singly.

    bows: of each kind in each set, shape (sets, kinds).  Sets that ask together for
    more of a kind than is asked for at all give way alike.
    """
    off = np.array([law.off for law in laws])
    fits = np.minimum(MOST_SHARE * means / np.maximum(off @ bows, 1e-12), 1.0)
    less = off * (1 - np.array([fits[row > 0].min() for row in bows]))
    rates = np.array([law.rate for law in laws]) - less
    return rates, means - (off - less) @ bows


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


@dataclass(frozen=True, slots=True)
class _Law:
    """
    A set's law: shape, rate, its own weight, what is lent to it.

    `off` is the part of the rate that is taken off its kinds' single bows.
    """

    shape: float
    rate: float
    own: float
    lent: float
    off: float


def _law(
    cast: Forecast, fair: Fair, one: SetUnit, told: Mapping[str, _Told],
    alone: float | None,
) -> _Law:  # fmt: skip
    """
    Give the law of a set, as `_guessed` does where she guessed it.

    The share has a beta law whose prior mean is what the other sets show; its spread
    adds to that of the rate of the scarcest kind.
    """
    (rate, spread), row = _scarcest(cast, one), told[one.code]
    if guess := fair.guess.get(one.code, 0):
        return _guessed(guess / max(rate * cast.exposure, 1e-9), row, rate)
    share = min(alone or _of_others(told, one.code), MOST_SHARE)
    whole = SURE / share + row.chances
    mean = min((SURE + row.counted) / whole, MOST_SHARE)
    unsure = (1 - mean) / (mean * (whole + 1))
    shape = 1 / (spread + unsure + spread * unsure)
    return _Law(shape, mean * rate, row.chances / whole, share * rate, mean * rate)


def _guessed(share: float, row: _Told, rate: float) -> _Law:
    """Give the law of a set she guessed: beyond what sold of it, they are more bows."""
    whole = GUESS_SURE / share + row.chances
    mean = (GUESS_SURE + row.counted) / whole * rate
    off = row.counted / whole * rate
    return _Law(GUESS_SURE + row.counted, mean, row.chances / whole, share * rate, off)


def _of_others(told: Mapping[str, _Told], code: str) -> float:
    """Give the share that the other sets show, beside the stated guess."""
    others = [row for one, row in told.items() if one != code]
    counted, chances = (
        sum(getattr(row, name) for row in others) for name in ("counted", "chances")
    )
    return float((SURE + counted) / (SURE / SHARE + chances))


def _scarcest(cast: Forecast, one: SetUnit) -> tuple[float, float]:
    """Give the least rate, by set, at which its kinds are asked for, and its spread."""
    at = {kind: cast.kinds.index(kind) for kind, _ in one.kinds}
    a, b = cast.pooled.a, cast.pooled.b
    rate, kind = min((float(a[at[k]] / b[at[k]]) / n, k) for k, n in one.kinds)
    return rate, 1 / float(a[at[kind]])


def _told(led: Ledgers, cast: Forecast, one: SetUnit) -> _Told:
    named, row = _named_on(led, one), _Told()
    for fair in cast.told:
        sold = _sold(fair, one)
        if sold or (fair.day >= named and _could_be_had(fair, one)):
            took = max(sold, min(_took(fair, k) / n for k, n in one.kinds))
            row = _Told(
                row.sold + sold, row.fairs + 1, row.counted + fair.weight * sold,
                row.chances + fair.weight * took,
            )  # fmt: skip
    return row


def _took(fair: FairTold, kind: str) -> float:
    return fair.kinds[kind].sold if kind in fair.kinds else 0.0


def _named_on(led: Ledgers, one: SetUnit) -> str:
    return led.day(led.page("sets", one.code)[0].at)


def _sold(fair: FairTold, one: SetUnit) -> float:
    """Give the sets typed as sold at a fair."""
    bows = sum(fair.in_sets.get(one.code, {}).values())
    return bows / sum(n for _, n in one.kinds)


def _could_be_had(fair: FairTold, one: SetUnit) -> bool:
    return all(k in fair.kinds and fair.kinds[k].brought >= n for k, n in one.kinds)
