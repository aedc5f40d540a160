"""
How many of each kind to bring: the newsvendor's rule under what there is.

A bow at hand costs next to nothing to bring; a new one costs its materials and uses
bench minutes, ribbon, supplies.  What is not sold is worth its salvage.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy import optimize

from planner.engines.counts import CountLaw, Floats
from planner.engines.fair_salvage import chances_worth, salvages
from planner.engines.newsvendor import Allocation, Item, allocate, reach

BATCH = 6
"""Bows of one kind made in one go for a fair: they share the set-up."""
WEAR = 0.01
"""What bringing a bow costs in wear and carrying, as a share of its price."""
COST_SHARE = 0.15
"""Materials as a share of the price, where nothing tells what they cost."""
TIME_SHARE = 0.25
"""A bow's work as a share of its price, until she says what an hour should earn."""
LEAST_CHANCE = 1e-3
"""A bow less likely to sell than this is not thought about."""

SECONDS = 5.0
"""How long the choice with a least number on show may search."""
MANY, WITHIN = 60, 1e-3
"""Beyond so many kinds the choice may fall short by this share, proven and told: the
last thousandth takes most of the time."""

What = Literal["bench", "ribbon", "supply", "table", "spend"]


@dataclass(frozen=True, slots=True)
class Room:
    """One limit: of what, how much there is, and the step its worth is told in."""

    what: What
    code: str
    available: int
    step: int


@dataclass(frozen=True, slots=True)
class Good:
    """
    One kind as the rule sees it.

    `cost` are a new bow's materials; `salvage` what the first bow left over is worth,
    those after it less, the fewer fairs come `later`; `time` what its minutes are
    charged where no bench hours limit them; `uses` maps (what, code) to what it uses;
    `spoiled` the bows spoiled for one that comes out well, reckoned in all of these;
    `may_make` is False for what is no longer made.  Where bows are sold in sets of
    `lot`, all of this is told of a set, and so are the quantities chosen.
    """

    kind: str
    law: CountLaw
    price: int
    cost: float
    salvage: float
    minutes: float
    have: int
    uses: Mapping[tuple[str, str], float]
    may_make: bool = True
    time: float = 0.0
    later: float = 1.0
    lot: int = 1
    spoiled: float = 0.0

    def item(self, rooms: Sequence[Room]) -> Item:
        """Give the good as an item under limits."""
        wear = WEAR * self.price
        chances = reach(self.law, least=LEAST_CHANCE)
        most = max(len(chances), self.have, 1)
        left = salvages(self.law, self.salvage, self.later, most)
        worth = chances_worth(chances, self.price, left, self.have).tolist()
        return Item(
            reach=tuple(worth if self.may_make else worth[: self.have]),
            price=float(self.price),
            cost=self.cost + self.time + wear,
            salvage=0.0,
            uses=tuple(self.uses.get((r.what, r.code), 0.0) for r in rooms),
            held=self.have,
            held_cost=float(left[0]) + wear,
            held_uses=tuple(float(r.what == "table") for r in rooms),
        )


@dataclass(frozen=True, slots=True)
class Choice:
    """
    Quantities of each good, the limits' use, which bind and what a step is worth.

    `gap` is by how much the profit may fall short of the best there is.
    """

    quantities: tuple[int, ...]
    used: tuple[float, ...]
    binds: tuple[bool, ...]
    worth: tuple[float | None, ...]
    profit: float
    gap: float


def choose(goods: Sequence[Good], rooms: Sequence[Room], *, at_least: int) -> Choice:
    """
    Choose what maximises the expected profit within the limits.

    at_least: a kind comes with so many bows or not at all (0 or 1: no such wish).
    Exact either way, but for what `gap` tells.
    """
    items = [good.item(rooms) for good in goods]
    limits = [float(room.available) for room in rooms]
    best = _solve(items, limits, at_least)
    worth = _worths(items, rooms, limits, at_least, best)
    binds = tuple(x is not None for x in worth)
    gap = 0.0 if best.proved else best.bound - best.profit
    return Choice(best.quantities, best.used, binds, worth, best.profit, gap)


def best_of(
    goods: Sequence[Good], rooms: Sequence[Room], *, at_least: int
) -> Allocation:
    """Choose quantities alone, without what the limits are worth."""
    items = [good.item(rooms) for good in goods]
    return _solve(items, [float(room.available) for room in rooms], at_least)


@dataclass(frozen=True, slots=True)
class InParts:
    """What more room gains if bows could come in parts, and what is used of it."""

    profit: float
    used: tuple[float, ...]
    before: tuple[int, ...]

    def share_used(self, at: int, more: float) -> float:
        """Give the share used of what was added to one limit."""
        return min(max((self.used[at] - self.before[at]) / more, 0.0), 1.0)


def gain_of_more(
    goods: Sequence[Good], rooms: Sequence[Room], raised: Sequence[Room]
) -> InParts:
    """Say what raised limits gain, as if bows could come in parts."""
    items = [good.item(rooms) for good in goods]
    less, more = (
        _parts(items, [float(room.available) for room in some])
        for some in (rooms, raised)
    )
    before = tuple(room.available for room in rooms)
    return InParts(more[0] - less[0], more[1], before)


def _worths(
    items: Sequence[Item],
    rooms: Sequence[Room],
    limits: Sequence[float],
    at_least: int,
    best: Allocation,
) -> tuple[float | None, ...]:
    """
    Say what one more step of each limit that stops the plan is worth, None for others.

    For the bench by choosing again, where both choices are proven the best; else, and
    for the rest, by choosing again as if bows could come in parts, which is quick and
    smooth where a step is less than a bow.
    """
    worths: list[float | None] = []
    whole = _in_parts(items, limits)
    for i, room in enumerate(rooms):
        more = [x + room.step * (j == i) for j, x in enumerate(limits)]
        gain = _in_parts(items, more) - whole if _wanted(items, limits, i) else 0.0
        if gain >= 1 and room.what == "bench":
            again = _solve(items, more, at_least)
            proved = best.proved and again.proved
            gain = max(again.profit - best.profit, 0.0) if proved else gain
        worths.append(gain if gain >= 1 else None)
    return tuple(worths)


def _wanted(items: Sequence[Item], limits: Sequence[float], at: int) -> bool:
    """Say whether all bows worth bringing together would go beyond a limit."""
    everything = sum(float(item.used(item.gains().size)[at]) for item in items)
    return everything > limits[at]


def _in_parts(items: Sequence[Item], limits: Sequence[float]) -> float:
    """Give the best profit within limits if bows could come in parts."""
    return _parts(items, limits)[0]


def _parts(
    items: Sequence[Item], limits: Sequence[float]
) -> tuple[float, tuple[float, ...]]:
    """Give that profit, and what it uses of each limit."""
    gains = [item.gains() for item in items]
    uses = [
        item.at_hand_uses if n < item.held else item.uses
        for item, gain in zip(items, gains, strict=True)
        for n in range(gain.size)
    ]
    if not uses or not limits:
        return float(sum(gain.sum() for gain in gains)), (0.0,) * len(limits)
    found = optimize.linprog(
        -np.concatenate(gains),
        A_ub=np.array(uses).T,
        b_ub=np.maximum(limits, 0.0),
        bounds=(0, 1),
    )
    used = np.array(uses).T @ found.x
    return -float(found.fun), tuple(float(x) for x in used)


def _solve(items: Sequence[Item], limits: Sequence[float], at_least: int) -> Allocation:
    if at_least <= 1:
        return allocate(items, limits, within=_within_share(items))
    blocks = [_block(item, at_least) for item in items]
    taken, bound = _by_blocks(items, blocks, limits, at_least)
    profit = sum(_gain(item, n) for item, n in zip(items, taken, strict=True))
    used = tuple(float(x) for x in _used(items, taken, len(limits)))
    return Allocation(tuple(taken), profit, used, max(bound, profit))


def _within_share(items: Sequence[Item]) -> float:
    return WITHIN if len(items) > MANY else 0.0


def _block(item: Item, least: int) -> list[tuple[float, Floats]]:
    """
    Give gain and use of a kind's first bows together, then of each one after them.

    Nothing for a kind that doesn't pay even so, or can't come in such a number.
    """
    count = max(item.gains().size, least)
    gains = gains_of(item, count)
    if len(item.reach) < least or gains[:least].sum() <= 0:
        return []
    more = [(float(gains[n]), item.used(n + 1) - item.used(n))
            for n in range(least, count)]  # fmt: skip
    return [(float(gains[:least].sum()), item.used(least)), *more]


def _by_blocks(
    items: Sequence[Item],
    blocks: Sequence[Sequence[tuple[float, Floats]]],
    limits: Sequence[float],
    least: int,
) -> tuple[list[int], float]:
    """
    Solve a whole-number program: a kind's first bows come together or not at all.

    Returns quantities and the bound that none can beat.  The solver's limits leak by
    a hair, so the answer is checked outside it, and tightened once if need be.
    """
    steps = [step for block in blocks for step in block]
    owner = [k for k, block in enumerate(blocks) for _ in block]
    if not steps:
        return [0] * len(items), 0.0
    bound = np.inf
    for shrink in (0.0, 2e-6):
        found = optimize.milp(
            -np.array([gain for gain, _ in steps]),
            integrality=np.ones(len(steps)),
            bounds=optimize.Bounds(0, 1),
            constraints=_rows(steps, owner, limits, shrink),
            options={"mip_rel_gap": _within_share(items), "time_limit": SECONDS},
        )
        if found.x is None:
            break
        bound = min(bound, -float(found.mip_dual_bound)) if not shrink else bound
        taken = _counted(found.x, owner, len(items), least)
        if _within(items, taken, limits):
            return taken, float(bound)
    return [0] * len(items), float(bound)


def _rows(
    steps: Sequence[tuple[float, Floats]],
    owner: Sequence[int],
    limits: Sequence[float],
    shrink: float,
) -> list[optimize.LinearConstraint]:
    """Give the limits, and that no bow comes without those before it."""
    uses = np.array([use for _, use in steps]).reshape(len(steps), len(limits)).T
    room = np.maximum(np.array(limits) * (1 - shrink), 0.0)
    after = [n for n in range(1, len(steps)) if owner[n] == owner[n - 1]]
    order = np.zeros((len(after), len(steps)))
    order[range(len(after)), after] = 1
    order[range(len(after)), [n - 1 for n in after]] = -1
    every = [(uses, room), (order, np.zeros(len(after)))]
    return [optimize.LinearConstraint(m, -np.inf, top) for m, top in every if m.size]


def _counted(chosen: Floats, owner: Sequence[int], kinds: int, least: int) -> list[int]:
    """Count bows: the first step of a kind is worth `least` of them."""
    steps = np.bincount(np.array(owner)[chosen > 0.5], minlength=kinds)
    return [int(n) + least - 1 if n else 0 for n in steps]


def _gain(item: Item, count: int) -> float:
    """Give the expected profit of a quantity."""
    return float(gains_of(item, count).sum())


def gains_of(item: Item, count: int) -> Floats:
    """Give what each bow of a quantity adds; those beyond all hope sell never."""
    chances = np.zeros(count)
    known = np.array(item.reach[:count])
    chances[: known.size] = known
    spent = np.where(np.arange(count) < item.held, item.held_cost, item.cost)
    return (item.price - item.salvage) * chances - (spent - item.salvage)


def _used(items: Sequence[Item], quantities: Sequence[int], limits: int) -> Floats:
    used = np.zeros(limits)
    for item, n in zip(items, quantities, strict=True):
        used += item.used(n)
    return used


def _within(
    items: Sequence[Item], quantities: Sequence[int], limits: Sequence[float]
) -> bool:
    used = _used(items, quantities, len(limits))
    return bool(np.all(used <= np.asarray(limits) + 1e-6))


def gains_to_make(good: Good, quantity: int) -> list[float]:
    """Give what each new bow of a quantity adds to the expected profit, in order."""
    gains = gains_of(good.item(()), quantity)
    return [float(x) for x in gains[good.have :]]
