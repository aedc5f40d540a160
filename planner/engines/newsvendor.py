"""
How many to bring: one item, and several under limits that they share.

Pure numbers. Money is any one unit throughout (whole minor units or not); a bow
brought and not sold is worth its salvage. Quantities of counts are whole bows.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike
from scipy import optimize

from planner.engines.counts import CountLaw, Floats
from planner.engines.demands import Demand


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


def reach(law: CountLaw, *, least: float = 1e-9) -> tuple[float, ...]:
    """Give P(D >= 1), P(D >= 2), ... as far as they are at least `least`."""
    chances = law.sf(np.arange(law.quantile(1 - least) + 1))
    return tuple(float(x) for x in chances if x >= least)


@dataclass(frozen=True, slots=True)
class Item:
    """
    One item to divide limits among, by the worth of its first, second, ... bow.

    reach: P(D >= 1), P(D >= 2), ... (no more are brought than it lists).
    price, salvage: of a bow sold, and of one brought home again.
    cost, uses: of a bow still to be made, money and one figure a limit.
    held: bows there already; held_cost, held_uses: of bringing one of them
    (held_cost counts what it would fetch if it stayed at home).
    Raises ValueError when a held bow costs or uses more than a new one, or reach
    rises: then the n-th bow could be worth more than the one before it.
    """

    reach: tuple[float, ...]
    price: float
    cost: float
    salvage: float
    uses: tuple[float, ...]
    held: int = 0
    held_cost: float = 0.0
    held_uses: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        if any(later > before + 1e-12 for before, later in pairwise(self.reach)):
            raise ValueError("the chances of selling one more must not rise")
        if self.held and self.held_cost > self.cost:
            raise ValueError("a bow at hand must not cost more than a new one")
        if any(a > b for a, b in zip(self.at_hand_uses, self.uses, strict=True)):
            raise ValueError("a bow at hand must not use more than a new one")

    @property
    def at_hand_uses(self) -> tuple[float, ...]:
        """What bringing a bow at hand uses of each limit."""
        return self.held_uses or (0.0,) * len(self.uses)

    def gains(self) -> Floats:
        """Give the profit of the first, second, ... bow, as far as it is positive."""
        chances = np.asarray(self.reach, dtype=np.float64)
        new = np.arange(chances.size) >= self.held
        spent = np.where(new, self.cost, self.held_cost)
        gain = (self.price - self.salvage) * chances - (spent - self.salvage)
        return gain[: int(np.argmax(np.append(gain, 0.0) <= 0))]

    def used(self, quantity: int) -> Floats:
        """Give what a quantity uses of each limit."""
        at_hand = min(quantity, self.held)
        return np.multiply(at_hand, self.at_hand_uses) + np.multiply(
            quantity - at_hand, self.uses
        )


@dataclass(frozen=True, slots=True)
class Allocation:
    """
    What to bring of each item, and what that gives and uses.

    bound: no allocation within the limits gives more; proved: profit meets it.
    """

    quantities: tuple[int, ...]
    profit: float
    used: tuple[float, ...]
    bound: float

    @property
    def proved(self) -> bool:
        """Whether the bound meets the profit, to a millionth."""
        return self.bound - self.profit <= 1e-6 * max(1.0, abs(self.profit))


def allocate(
    items: Sequence[Item], limits: Sequence[float], *, seconds: float = 10.0
) -> Allocation:
    """
    Divide the limits among the items for the greatest expected profit.

    Each item's gains fall from bow to bow, so one limit with equal uses is divided
    exactly by taking the best next bow each time; other cases go to a whole-number
    program over single bows, whose bound is reported. Limits below 0 count as 0.
    seconds: how long that program may search before its best so far is taken.
    """
    if not items:
        return Allocation((), 0.0, (0.0,) * len(limits), 0.0)
    gains = [item.gains() for item in items]
    room = np.maximum(np.asarray(limits, dtype=np.float64), 0.0)
    everything = [g.size for g in gains]
    if _fits(items, everything, room):
        return _allocation(items, gains, everything)
    weight = _equal_use(items)
    if weight is not None:
        taken = _best_next(gains, math.floor(float(room[0]) / weight + 1e-9))
        return _allocation(items, gains, taken)
    return _by_program(items, gains, room, seconds)


def worth_of_limits(
    items: Sequence[Item],
    limits: Sequence[float],
    *,
    steps: Sequence[float] | None = None,
    seconds: float = 10.0,
) -> tuple[float, ...]:
    """
    Say what one more step of each limit (by default one unit) adds to the profit.

    Found by solving again: with whole bows the worth can jump, and be 0 for a step
    smaller than one bow.
    """
    base = allocate(items, limits, seconds=seconds).profit
    worths = []
    for i, step in enumerate(steps or [1.0] * len(limits)):
        more = [x + step * (j == i) for j, x in enumerate(limits)]
        worths.append(max(allocate(items, more, seconds=seconds).profit - base, 0.0))
    return tuple(worths)


def _total_used(items: Sequence[Item], quantities: Sequence[int]) -> Floats:
    parts = [item.used(n) for item, n in zip(items, quantities, strict=True)]
    return np.asarray(np.sum(parts, axis=0), dtype=np.float64)


def _fits(items: Sequence[Item], quantities: Sequence[int], room: Floats) -> bool:
    used = _total_used(items, quantities)
    return bool(np.all(used <= room + 1e-9 * np.maximum(1.0, room)))


def _allocation(
    items: Sequence[Item],
    gains: Sequence[Floats],
    quantities: Sequence[int],
    bound: float = -math.inf,
) -> Allocation:
    pairs = zip(gains, quantities, strict=True)
    profit = math.fsum(float(g[:n].sum()) for g, n in pairs)
    used = tuple(float(x) for x in _total_used(items, quantities))
    return Allocation(tuple(quantities), profit, used, max(profit, bound))


def _equal_use(items: Sequence[Item]) -> float | None:
    """Give the one positive use all bows share under a single limit, else None."""
    uses = {u for item in items for u in item.uses}
    uses |= {u for item in items if item.held for u in item.at_hand_uses}
    single = len(uses) == 1 and all(len(item.uses) == 1 for item in items)
    return uses.pop() or None if single else None


def _best_next(gains: Sequence[Floats], count: int) -> list[int]:
    """Take the best bows first; equal gains go to the earlier item."""
    flat = np.concatenate(gains)
    owner = np.repeat(np.arange(len(gains)), [g.size for g in gains])
    chosen = owner[np.argsort(-flat, kind="stable")[:count]]
    return [int(n) for n in np.bincount(chosen, minlength=len(gains))]


def _by_program(
    items: Sequence[Item], gains: Sequence[Floats], room: Floats, seconds: float
) -> Allocation:
    """
    Solve over single bows; check the answer outside the solver, whose limits leak.

    A held bow is worth more and uses no more than a new one of its item, so the
    chosen number of bows, not which ones, is what counts.
    """
    owner = np.repeat(np.arange(len(gains)), [g.size for g in gains])
    rows = np.stack([_uses_of_bow(items[i], q) for i, q in _bows(gains)], axis=1)
    bound = math.inf
    for shrink in (0.0, 2e-6):
        inside = np.maximum(room - shrink * np.maximum(1.0, room), 0.0)
        found = optimize.milp(
            -np.concatenate(gains),
            integrality=np.ones(owner.size),
            bounds=optimize.Bounds(0, 1),
            constraints=optimize.LinearConstraint(rows, -np.inf, inside),
            options={"mip_rel_gap": 0.0, "time_limit": seconds},
        )
        if found.x is None:
            break
        bound = min(bound, -float(found.mip_dual_bound)) if not shrink else bound
        taken = np.bincount(owner[found.x > 0.5], minlength=len(gains)).tolist()
        if _fits(items, taken, room):
            return _allocation(items, gains, taken, bound)
    return _allocation(items, gains, _greedy_fill(items, gains, room), bound)


def _bows(gains: Sequence[Floats]) -> list[tuple[int, int]]:
    return [(i, q) for i, g in enumerate(gains) for q in range(g.size)]


def _uses_of_bow(item: Item, index: int) -> Floats:
    uses = item.at_hand_uses if index < item.held else item.uses
    return np.asarray(uses, dtype=np.float64)


def _greedy_fill(
    items: Sequence[Item], gains: Sequence[Floats], room: Floats
) -> list[int]:
    """Fill by gain while the next bow fits: the way out when the search finds none."""
    taken = [0] * len(items)
    order = sorted(_bows(gains), key=lambda bow: -float(gains[bow[0]][bow[1]]))
    for i, q in order:
        trial = [n + (j == i) for j, n in enumerate(taken)]
        if taken[i] == q and _fits(items, trial, room):
            taken = trial
    return taken
