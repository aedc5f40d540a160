"""
How many to bring: one item, and several under limits that they share.

Pure numbers. Money is any one unit throughout (whole minor units or not); a bow
brought and not sold is worth its salvage. Quantities of counts are whole bows.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy import optimize

from planner.engines.allocation import (
    Allocation,
    Item,
    allocate,
    reach,
    worth_of_limits,
)
from planner.engines.demands import Demand

__all__ = [
    "Allocation", "Item", "Outcome", "allocate", "best_quantity", "critical_ratio",
    "mismatch_cost", "outcome", "reach", "scarf_quantity", "share_one_limit",
    "worth_of_limits",
]  # fmt: skip


def critical_ratio(*, price: float, cost: float, salvage: float) -> float:
    """
    Give (price - cost) / (price - salvage), or 0 when it doesn't pay at all.

    Raises ValueError when salvage isn't below cost: then more is always better, and
    no quantity is best.
    """
    if salvage >= cost:
        raise ValueError(
            f"a bow left over is worth {salvage}, which is not below its cost {cost}: "
            "more would always be better; give a lower salvage"
        )
    return (price - cost) / (price - salvage) if price > cost else 0.0


def best_quantity(
    demand: Demand, *, price: float, cost: float, salvage: float = 0.0
) -> float:
    """Give the smallest q with F(q) >= the critical ratio, 0 when none pays."""
    ratio = critical_ratio(price=price, cost=cost, salvage=salvage)
    return demand.quantile(ratio) if ratio > 0 else 0


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a quantity is expected to bring: sold, lost and left bows, and profit."""

    sold: float
    lost: float
    left: float
    profit: float


def outcome(
    demand: Demand, q: float, *, price: float, cost: float, salvage: float = 0.0
) -> Outcome:
    """Say what bringing q is expected to give."""
    lost = float(demand.lost(q))
    sold = demand.mean - lost
    profit = price * sold + salvage * (q - sold) - cost * q
    return Outcome(sold=sold, lost=lost, left=q - sold, profit=profit)


def mismatch_cost(demand: Demand, q: float, *, over: float, under: float) -> float:
    """Expected cost of having q: over for each one left, under for each one lost."""
    result = outcome(demand, q, price=0.0, cost=0.0)
    return over * result.left + under * result.lost


def scarf_quantity(
    *, mean: float, sd: float, price: float, cost: float, salvage: float
) -> float:
    """Best q when only mean and sd are known and the worst law is feared (Scarf)."""
    odds = math.sqrt((price - cost) / (cost - salvage))
    return mean + sd / 2 * (odds - 1 / odds)


def share_one_limit(
    demands: Sequence[Demand],
    *,
    price: ArrayLike,
    cost: ArrayLike,
    salvage: ArrayLike,
    uses: ArrayLike,
    limit: float,
) -> tuple[list[float], float]:
    """
    Divide one limit among continuous items; give quantities and the limit's worth.

    Condition: F(q) = (price - cost - worth * uses) / (price - salvage), at least 0
    (Hadley & Whitin); items that no longer pay get nothing.
    """
    p, c, s, u = (
        np.broadcast_to(np.asarray(x, dtype=float), len(demands))
        for x in (price, cost, salvage, uses)
    )

    def quantities(worth: float) -> list[float]:
        ratios = ((p - c - worth * u) / (p - s)).tolist()
        pairs = zip(demands, ratios, strict=True)
        return [max(d.quantile(r), 0.0) if r > 0 else 0.0 for d, r in pairs]

    def over(worth: float) -> float:
        return float(np.dot(quantities(worth), u)) - limit

    if over(0.0) <= 0:
        return quantities(0.0), 0.0
    most = float(np.max((p - c) / u))
    worth = float(optimize.brentq(over, 0.0, most * (1 + 1e-9), xtol=1e-14))
    return _between(quantities, over, worth), worth


def _between(
    quantities: Callable[[float], list[float]],
    over: Callable[[float], float],
    worth: float,
) -> list[float]:
    """Meet the limit where quantities jump: a sure demand may be brought in part."""
    near, far = worth * (1 - 1e-9), worth * (1 + 1e-9)
    much, little = over(near), over(far)
    part = -little / (much - little) if much > little else 0.0
    pairs = zip(quantities(far), quantities(near), strict=True)
    return [low + part * (high - low) for low, high in pairs]
