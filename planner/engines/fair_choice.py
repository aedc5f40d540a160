"""
How many of each kind to bring: the newsvendor's rule under what there is.

A bow at hand costs next to nothing to bring; a new one costs its materials and uses
bench minutes, ribbon, supplies.  What is not sold is worth its salvage.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from scipy import optimize

from planner.engines.counts import CountLaw, Floats
from planner.engines.newsvendor import Allocation, Item, allocate, reach

BATCH = 6
"""Bows of one kind made in one go for a fair: they share the set-up."""
WEAR = 0.01
"""What bringing a bow costs in wear and carrying, as a share of its price."""
COST_SHARE = 0.15
"""Materials as a share of the price, where nothing tells what they cost."""
LEAST_CHANCE = 1e-3
"""A bow less likely to sell than this is not thought about."""

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

    `cost` are a new bow's materials; `time` what its minutes are charged where no
    bench hours limit them; `uses` maps (what, code) to what it uses; `may_make` is
    False for what is no longer made.
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

    def item(self, rooms: Sequence[Room]) -> Item:
        """Give the good as an item under limits."""
        wear = WEAR * self.price
        chances = reach(self.law, least=LEAST_CHANCE)
        return Item(
            reach=chances if self.may_make else chances[: self.have],
            price=float(self.price),
            cost=self.cost + self.time + wear,
            salvage=self.salvage,
            uses=tuple(self.uses.get((r.what, r.code), 0.0) for r in rooms),
            held=self.have,
            held_cost=self.salvage + wear,
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
    Exact without that wish (`newsvendor.allocate`); with it, kinds are rounded up or
    left out one by one from the exact answer of an evened-out problem.
    """
    items = [good.item(rooms) for good in goods]
    limits = [float(room.available) for room in rooms]
    best = _solve(items, limits, at_least)
    worth = _worths(items, rooms, limits, at_least, best.profit)
    binds = tuple(x is not None for x in worth)
    gap = 0.0 if best.proved else best.bound - best.profit
    return Choice(best.quantities, best.used, binds, worth, best.profit, gap)


def _worths(
    items: Sequence[Item],
    rooms: Sequence[Room],
    limits: Sequence[float],
    at_least: int,
    profit: float,
) -> tuple[float | None, ...]:
    """
    Say what one more step of each limit that stops the plan is worth, None for others.

    For the bench by choosing again; for the rest by choosing again as if bows could
    come in parts, which is quick and smooth where a step is less than a bow.
    """
    worths: list[float | None] = []
    whole = _in_parts(items, limits)
    for i, room in enumerate(rooms):
        more = [x + room.step * (j == i) for j, x in enumerate(limits)]
        gain = _in_parts(items, more) - whole if _wanted(items, limits, i) else 0.0
        if gain >= 1 and room.what == "bench":
            gain = max(_solve(items, more, at_least).profit - profit, 0.0)
        worths.append(gain if gain >= 1 else None)
    return tuple(worths)


def _wanted(items: Sequence[Item], limits: Sequence[float], at: int) -> bool:
    """Say whether all bows worth bringing together would go beyond a limit."""
    everything = sum(float(item.used(item.gains().size)[at]) for item in items)
    return everything > limits[at]


def _in_parts(items: Sequence[Item], limits: Sequence[float]) -> float:
    """Give the best profit within limits if bows could come in parts."""
    gains = [item.gains() for item in items]
    uses = [
        item.at_hand_uses if n < item.held else item.uses
        for item, gain in zip(items, gains, strict=True)
        for n in range(gain.size)
    ]
    if not uses or not limits:
        return float(sum(gain.sum() for gain in gains))
    found = optimize.linprog(
        -np.concatenate(gains),
        A_ub=np.array(uses).T,
        b_ub=np.maximum(limits, 0.0),
        bounds=(0, 1),
    )
    return -float(found.fun)


def _solve(items: Sequence[Item], limits: Sequence[float], at_least: int) -> Allocation:
    if at_least <= 1:
        return allocate(items, limits)
    evened = [_evened(item, at_least) for item in items]
    rough = allocate(evened, limits)
    return _rounded(items, limits, rough, at_least)


def _evened(item: Item, least: int) -> Item:
    """Let the first bows of a kind sell alike, so that they come together or not."""
    chances = np.array(item.reach)
    if chances.size < least:
        return replace(item, reach=())
    chances[:least] = chances[:least].mean()
    return replace(item, reach=tuple(chances.tolist()))


def _rounded(
    items: Sequence[Item], limits: Sequence[float], rough: Allocation, least: int
) -> Allocation:
    """Bring kinds in part up to the least, the best first, while there is room."""
    taken = [n if n >= least else 0 for n in rough.quantities]
    part = [i for i, n in enumerate(rough.quantities) if 0 < n < least]
    for i in sorted(part, key=lambda i: -_gain(items[i], least)):
        trial = [least if j == i else n for j, n in enumerate(taken)]
        if _gain(items[i], least) > 0 and _within(items, trial, limits):
            taken = trial
    used = tuple(float(x) for x in _used(items, taken, len(limits)))
    profit = sum(_gain(item, n) for item, n in zip(items, taken, strict=True))
    return Allocation(tuple(taken), profit, used, max(rough.bound, profit))


def _gain(item: Item, count: int) -> float:
    """Give the expected profit of a quantity."""
    return float(_gains(item, count).sum())


def _gains(item: Item, count: int) -> Floats:
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
    gains = _gains(good.item(()), quantity)
    return [float(x) for x in gains[good.have :]]
