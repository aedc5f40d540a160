"""
How many of each kind to bring: the newsvendor's rule under what there is.

Single bows alone are divided by `engines.allocation`; where sets are sold too, a
program that shares bows between both is solved (`engines.fair_program`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import chain

import numpy as np
from scipy import optimize

from planner.engines.allocation import Item, allocate
from planner.engines.fair_good import Good, Room, SetGood
from planner.engines.fair_program import Pool, SetItem, Shared, gains_of, program

MANY, WITHIN = 60, 1e-3
"""Beyond so many kinds the choice may fall short by this share, proven and told: the
last thousandth takes most of the time."""


@dataclass(frozen=True, slots=True)
class Choice:
    """
    Quantities of each good, the limits' use, which bind and what a step is worth.

    `sets` are how many of each set come, `taken` the bows of each good at hand that go
    in them; `quantities` are single bows.  `gap` is by how much the profit may fall
    short of the best there is.
    """

    quantities: tuple[int, ...]
    used: tuple[float, ...]
    binds: tuple[bool, ...]
    worth: tuple[float | None, ...]
    profit: float
    gap: float
    sets: tuple[int, ...]
    taken: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Offer:
    """What may come, as items under limits: single bows, and sets of them."""

    items: Sequence[Item]
    sets: Sequence[SetItem] = ()
    pools: Mapping[int, Pool] = field(default_factory=dict)

    @classmethod
    def of(
        cls, goods: Sequence[Good], sets: Sequence[SetGood], rooms: Sequence[Room]
    ) -> Offer:
        """Give goods and sets under these limits."""
        members = sorted({at for one in sets for at, _ in one.members})
        return cls(
            [good.item(rooms) for good in goods],
            [one.item(goods, rooms) for one in sets],
            {at: goods[at].pool(rooms) for at in members},
        )

    def solve(self, limits: Sequence[float], at_least: int) -> Shared:
        """Choose what gives the greatest expected profit."""
        within = WITHIN if len(self.items) > MANY else 0.0
        if self.sets or at_least > 1:
            laid = program(self.items, self.sets, self.pools, limits, least=at_least)
            return laid.solve(within=within)
        best = allocate(self.items, limits, within=within)
        none = (0,) * len(self.items)
        return Shared(
            best.quantities, (), none, best.profit, best.used, best.bound
        )  # fmt: skip

    def profit(self, quantities: Sequence[int], sets: Sequence[int]) -> float:
        """Give the expected profit of single bows and sets, whatever they use."""
        singly = zip(self.items, quantities, strict=True)
        made_up = zip((one.item for one in self.sets), sets, strict=True)
        alone = sum(gains_of(item, n).sum() for item, n in chain(singly, made_up))
        return float(alone) - sum(self._paid(at, quantities, sets) for at in self.pools)

    def _paid(self, at: int, quantities: Sequence[int], sets: Sequence[int]) -> float:
        """Give what the bows of an item cost that are in sets."""
        bows = sum(n * dict(one.members).get(at, 0)
                   for one, n in zip(self.sets, sets, strict=True))  # fmt: skip
        pool = self.pools[at]
        taken = min(bows, max(pool.held - quantities[at], 0))
        from_hand = sum(pool.left[pool.held - j] for j in range(1, taken + 1))
        return from_hand + pool.cost * (bows - taken)

    def in_parts(self, limits: Sequence[float]) -> tuple[float, tuple[float, ...]]:
        """Give the best profit if bows could come in parts, and what that uses."""
        if not self.sets:
            return _parts(self.items, limits)
        laid = program(self.items, self.sets, self.pools, limits)
        profit, columns = laid.relaxed()
        return profit, tuple(float(x) for x in laid.uses @ columns)

    def wanted(self, limits: Sequence[float], at: int) -> bool:
        """Say whether all bows worth bringing together would go beyond a limit."""
        everything = sum(float(item.used(item.gains().size)[at]) for item in self.items)
        for one in self.sets:
            count = one.item.gains().size
            pools = sum(n * self.pools[i].uses[at] for i, n in one.members)
            everything += count * (one.item.uses[at] + pools)
        return everything > limits[at]


def choose(
    goods: Sequence[Good],
    rooms: Sequence[Room],
    *,
    at_least: int,
    sets: Sequence[SetGood] = (),
) -> Choice:
    """
    Choose what maximises the expected profit within the limits.

    at_least: a kind comes with so many bows or not at all (0 or 1: no such wish), a
    set with so many of it.  Exact either way, but for what `gap` tells.
    """
    offer = Offer.of(goods, sets, rooms)
    limits = [float(room.available) for room in rooms]
    best = offer.solve(limits, at_least)
    worth = _worths(offer, rooms, limits, at_least, best)
    binds = tuple(x is not None for x in worth)
    gap = 0.0 if best.proved else best.bound - best.profit
    return Choice(
        best.quantities, best.used, binds, worth, best.profit, gap, best.sets,
        best.taken,
    )  # fmt: skip


def best_of(
    goods: Sequence[Good],
    rooms: Sequence[Room],
    *,
    at_least: int,
    sets: Sequence[SetGood] = (),
) -> Shared:
    """Choose quantities alone, without what the limits are worth."""
    limits = [float(room.available) for room in rooms]
    return Offer.of(goods, sets, rooms).solve(limits, at_least)


@dataclass(frozen=True, slots=True)
class InParts:
    """What more room gains if bows could come in parts, and what is used of it."""

    profit: float
    used: tuple[float, ...]
    before: tuple[float, ...]

    def share_used(self, at: int, more: float) -> float:
        """Give the share used of what was added to one limit."""
        return min(max((self.used[at] - self.before[at]) / more, 0.0), 1.0)


def gain_of_more(
    goods: Sequence[Good],
    rooms: Sequence[Room],
    raised: Sequence[Room],
    *,
    sets: Sequence[SetGood] = (),
) -> InParts:
    """Say what raised limits gain, as if bows could come in parts."""
    offer = Offer.of(goods, sets, rooms)
    less, more = (
        offer.in_parts([float(room.available) for room in some])
        for some in (rooms, raised)
    )
    before = tuple(room.available for room in rooms)
    return InParts(more[0] - less[0], more[1], before)


def _worths(
    offer: Offer,
    rooms: Sequence[Room],
    limits: Sequence[float],
    at_least: int,
    best: Shared,
) -> tuple[float | None, ...]:
    """
    Say what one more step of each limit that stops the plan is worth, None for others.

    For the bench by choosing again, where both choices are proven the best; else, and
    for the rest, by choosing again as if bows could come in parts, which is quick and
    smooth where a step is less than a bow.
    """
    worths: list[float | None] = []
    whole = offer.in_parts(limits)[0]
    for i, room in enumerate(rooms):
        more = [x + room.step * (j == i) for j, x in enumerate(limits)]
        gain = offer.in_parts(more)[0] - whole if offer.wanted(limits, i) else 0.0
        if gain >= 1 and room.what == "bench":
            again = offer.solve(more, at_least)
            proved = best.proved and again.proved
            gain = max(again.profit - best.profit, 0.0) if proved else gain
        worths.append(gain if gain >= 1 else None)
    return tuple(worths)


def _parts(
    items: Sequence[Item], limits: Sequence[float]
) -> tuple[float, tuple[float, ...]]:
    """Give the best profit of bows in parts without sets, and what it uses."""
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


def in_all(choice: Choice | Shared, sets: Sequence[SetGood]) -> list[int]:
    """Give the bows of each good, those in sets included."""
    bows = list(choice.quantities)
    for one, count in zip(sets, choice.sets, strict=True):
        for at, each in one.members:
            bows[at] += count * each
    return bows


def beside_sets(
    choice: Choice, goods: Sequence[Good], sets: Sequence[SetGood],
    rooms: Sequence[Room],
) -> tuple[list[Good], list[Room]]:  # fmt: skip
    """Give the goods and limits that single bows have once the sets have theirs."""
    pairs = zip(goods, choice.taken, strict=True)
    rest = [replace(good, have=good.have - n) for good, n in pairs]
    alone = [good.item(rooms) for good in rest]
    used = np.sum([x.used(n) for x, n in zip(alone, choice.quantities, strict=True)], 0)
    left = np.array([room.available for room in rooms]) - (np.array(choice.used) - used)
    free = zip(rooms, left.tolist(), strict=True)
    return rest, [replace(room, available=n) for room, n in free]


def gains_to_make(good: Good, quantity: int) -> list[float]:
    """Give what each new bow of a quantity adds to the expected profit, in order."""
    gains = gains_of(good.item(()), quantity)
    return [float(x) for x in gains[good.have :]]
