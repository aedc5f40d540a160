"""
Whole bows of several items under limits that they share: exact, or nearly and proven.

Pure numbers.  The bows of an item are worth less and less, so a program over single
bows, each in or out, is all there is to solve.  Its relaxation in parts prices the
limits; what those prices leave beyond doubt is settled before the search begins.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy import optimize

from planner.engines.counts import CountLaw, Floats


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
    items: Sequence[Item],
    limits: Sequence[float],
    *,
    seconds: float = 10.0,
    within: float = 0.0,
) -> Allocation:
    """
    Divide the limits among the items for the greatest expected profit.

    Each item's gains fall from bow to bow, so one limit with equal uses is divided
    exactly by taking the best next bow each time; other cases go to a whole-number
    program over single bows, whose bound is reported. Limits below 0 count as 0.
    seconds: how long that program may search before its best so far is taken; within:
    the share of the profit by which it may fall short, proven (0: none).
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
    return _by_program(items, gains, room, seconds, within)


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
    items: Sequence[Item],
    gains: Sequence[Floats],
    room: Floats,
    seconds: float,
    within: float,
) -> Allocation:
    """
    Solve over single bows; check the answer outside the solver, whose limits leak.

    A held bow is worth more and uses no more than a new one of its item, so the
    chosen number of bows, not which ones, is what counts.
    """
    owner = np.repeat(np.arange(len(gains)), [g.size for g in gains])
    rows = np.stack([_uses_of_bow(items[i], q) for i, q in _bows(gains)], axis=1)
    worths = np.concatenate(gains)
    first = _greedy_fill(items, gains, room)
    start, relaxed = _allocation(items, gains, first), _relaxed(worths, rows, room)
    if relaxed is None:
        return _allocation(items, gains, first, math.inf)
    start = max(start, _rounded(items, gains, room, relaxed), key=lambda x: x.profit)
    if relaxed.bound - start.profit <= max(within, 1e-9) * max(1.0, start.profit):
        return _with(start, relaxed.bound)
    sure, open_ = relaxed.settled(start.profit)
    near = within * start.profit / max(relaxed.bound - worths[sure].sum(), 1e-9)
    held = room - rows[:, sure].sum(axis=1)
    bound = math.inf
    for shrink in (0.0, 2e-6):
        inside = np.maximum(held - shrink * np.maximum(1.0, room), 0.0)
        found = optimize.milp(
            -worths[open_],
            integrality=np.ones(int(open_.sum())),
            bounds=optimize.Bounds(0, 1),
            constraints=optimize.LinearConstraint(rows[:, open_], -np.inf, inside),
            options={"mip_rel_gap": near, "time_limit": seconds},
        )
        if found.x is None:
            break
        least = float(worths[sure].sum()) - float(found.mip_dual_bound)
        bound = min(bound, max(least, start.profit)) if not shrink else bound
        chosen = sure.copy()
        chosen[open_] = found.x > 0.5
        taken = np.bincount(owner[chosen], minlength=len(gains)).tolist()
        if _fits(items, taken, room):
            best = _allocation(items, gains, taken, bound)
            return best if best.profit >= start.profit else _with(start, bound)
    return _with(start, min(bound, relaxed.bound))


def _with(start: Allocation, bound: float) -> Allocation:
    return Allocation(start.quantities, start.profit, start.used, bound)


@dataclass(frozen=True, slots=True)
class _Relaxed:
    """
    The program over single bows in parts: chosen parts, bound, and what each is worth.

    left: a bow's gain less what its uses cost at the limits' prices.
    """

    chosen: Floats
    bound: float
    left: Floats

    def settled(self, profit: float) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
        """
        Say which bows are in every better choice, and which are open.

        To turn a bow over costs the bound what is left of it; where that falls below
        a profit already found, it stays (reduced-cost fixing; Dantzig et al. 1954).
        """
        room = self.bound - profit + 1e-6 * max(1.0, abs(profit))
        return self.left > room, np.abs(self.left) <= room


def _relaxed(worths: Floats, rows: Floats, room: Floats) -> _Relaxed | None:
    """Solve over bows in parts; the bound is the prices', not the solver's word."""
    found = optimize.linprog(
        -worths, A_ub=rows, b_ub=room, bounds=(0, 1), method="highs"
    )
    if found.x is None:
        return None
    prices = np.maximum(-np.asarray(found.ineqlin.marginals), 0.0)
    left = worths - prices @ rows
    bound = float(np.maximum(left, 0.0).sum() + prices @ room)
    return _Relaxed(np.asarray(found.x), bound, np.asarray(left))


def _rounded(
    items: Sequence[Item], gains: Sequence[Floats], room: Floats, relaxed: _Relaxed
) -> Allocation:
    """Take the whole bows of a relaxed choice, and fill up by what is left of each."""
    ends = np.cumsum([g.size for g in gains])[:-1]
    parts = np.split(relaxed.chosen > 1 - 1e-7, ends)
    taken = [int(part.sum()) for part in parts]
    if not _fits(items, taken, room):
        taken = [0] * len(gains)
    left = np.split(relaxed.left, ends)
    used = _total_used(items, taken)
    slack = 1e-9 * np.maximum(1.0, room)
    for i, q in sorted(_bows(gains), key=lambda bow: -float(left[bow[0]][bow[1]])):
        more = used + _uses_of_bow(items[i], q) if taken[i] == q else None
        if more is not None and np.all(more <= room + slack):
            taken[i], used = q + 1, more
    return _allocation(items, gains, taken)


def _bows(gains: Sequence[Floats]) -> list[tuple[int, int]]:
    return [(i, q) for i, g in enumerate(gains) for q in range(g.size)]


def _uses_of_bow(item: Item, index: int) -> Floats:
    uses = item.at_hand_uses if index < item.held else item.uses
    return np.asarray(uses, dtype=np.float64)


def _greedy_fill(
    items: Sequence[Item], gains: Sequence[Floats], room: Floats
) -> list[int]:
    """Fill by gain while the next bow fits: the way out when the search finds none."""
    taken, used = [0] * len(items), np.zeros(room.size)
    slack = 1e-9 * np.maximum(1.0, room)
    order = sorted(_bows(gains), key=lambda bow: -float(gains[bow[0]][bow[1]]))
    for i, q in order:
        more = used + _uses_of_bow(items[i], q)
        if taken[i] == q and np.all(more <= room + slack):
            taken[i], used = q + 1, more
    return taken
