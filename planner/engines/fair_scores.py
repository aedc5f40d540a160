"""
Settled fairs scored: what was said of them beforehand against what sold.

A plan she accepted is scored by the figures kept with it; for a fair without one they
are worked out from the fairs before it.  Beside either stands the same as last time:
what sold of the kind at the last fair it was brought to.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import ArrayLike

from planner.engines.fair_forecast import forecast
from planner.engines.fair_history import kinds_told
from planner.engines.fair_tills import sold_in_all
from planner.engines.scoring import pinball
from planner.ledgers.catalogue import catalogue
from planner.ledgers.fairs import Fair, past_fairs
from planner.ledgers.state import Ledgers
from planner.plans.fair import LEVELS, Quantiles
from planner.plans.fair_scored import FairScore, Scored, Told

DRAWS = 4_000
"""Fairs drawn for the figures of one that had no plan."""
SEED = 0
SHARES = (0.15, 0.225, 0.25, 0.225, 0.15)
"""The share of all levels that each of LEVELS lies nearest to."""


def spread_of(draws: ArrayLike) -> Quantiles:
    """Give the quantiles kept of a law known by draws of it."""
    found = np.quantile(np.asarray(draws, float), [level / 100 for level in LEVELS])
    five, quarter, half, most, top = (round(float(x)) for x in found)
    return five, quarter, half, most, top


def fair_score(led: Ledgers, fair: Fair) -> FairScore | None:
    """Score one settled fair; None where nothing with a price was brought to it."""
    seen = kinds_told(fair)
    kinds = [k for k in seen if _whole(led, k)]
    if not kinds:
        return None
    packed = {k: seen[k].brought for k in kinds}
    sold = {k: seen[k].sold for k in kinds}
    said = _accepted(fair, packed)
    spread, total = said or _worked_out(led, fair, packed)
    last, before = _last_time(led, fair)
    rows = tuple(
        _scored(k, packed[k], sold[k], spread[k], last.get(k))
        for k in kinds
        if k in spread
    )
    whole = _scored("", sum(packed.values()), sum(sold.values()), total, before)
    told: Told = "accepted" if said else "worked out"
    return FairScore(fair.code, told, whole, rows, *sold_in_all(led, fair))


def fair_scores(led: Ledgers, *, newest: int) -> tuple[FairScore, ...]:
    """Score the newest so many settled fairs, the oldest of them first."""
    found = (fair_score(led, fair) for fair in past_fairs(led)[-newest:])
    return tuple(one for one in found if one is not None)


def _whole(led: Ledgers, kind: str) -> bool:
    cat = catalogue(led)
    pattern, way = cat.split(kind)
    return pattern in cat.patterns and way in cat.colourways


Said = tuple[dict[str, Quantiles], Quantiles]


def _accepted(fair: Fair, packed: Mapping[str, int]) -> Said | None:
    """Give what the plan accepted said; no more than was brought can sell."""
    if not (fair.spread and fair.sold_spread):
        return None
    return {
        kind: _at_most(spread, packed[kind])
        for kind, spread in fair.spread.items()
        if kind in packed
    }, fair.sold_spread


def _at_most(spread: Quantiles, brought: int) -> Quantiles:
    five, quarter, half, most, top = (min(q, brought) for q in spread)
    return five, quarter, half, most, top


def _worked_out(led: Ledgers, fair: Fair, packed: Mapping[str, int]) -> Said:
    """Forecast a past fair from the fairs before it alone."""
    cat, kinds = catalogue(led), list(packed)
    prices = [p for p in (cat.price(k, "fair") for k in kinds) if p]
    price = sum(prices) / len(prices) if prices else 0.0
    cast = forecast(led, fair, kinds, price=price)
    wanted = cast.draws(kinds, size=DRAWS, seed=SEED)
    sold = np.minimum(wanted, [packed[k] for k in kinds])
    each = {kind: spread_of(sold[:, i]) for i, kind in enumerate(kinds)}
    return each, spread_of(sold.sum(axis=1))


def _last_time(led: Ledgers, fair: Fair) -> tuple[dict[str, float], float | None]:
    """Give what sold when each kind was last brought, and at the last fair in all."""
    last: dict[str, float] = {}
    total: float | None = None
    for one in past_fairs(led):
        if one.code == fair.code or one.first_day >= fair.first_day:
            continue
        told = kinds_told(one)
        last |= {kind: row.sold for kind, row in told.items()}
        total = sum(row.sold for row in told.values())
    return last, total


def _scored(
    kind: str, brought: int, sold: float, spread: Quantiles, last: float | None
) -> Scored:
    known = None if last is None else min(last, brought)
    return Scored(kind, brought, sold, spread, quantile_loss(sold, spread), known)


def quantile_loss(came: float, spread: Sequence[int]) -> float:
    """
    Give twice the pinball losses of the quantiles kept, each for its share of levels.

    It stands for the CRPS, which is their integral over all levels; a single figure
    said for all of them loses just its distance, as LEVELS lie about the middle.
    Source: Gneiting & Ranjan 2011, equation 1.
    """
    rows = zip(spread, LEVELS, SHARES, strict=True)
    return sum(2 * w * pinball([came], [q], level / 100) for q, level, w in rows)
