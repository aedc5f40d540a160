"""
A kind of bow, a set of several, and a limit as the choice of quantities sees them.

A bow at hand costs next to nothing to bring; a new one costs its materials and uses
bench minutes, ribbon, supplies.  What is not sold is worth its salvage.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from planner.engines.allocation import Item, reach
from planner.engines.counts import CountLaw, Floats
from planner.engines.fair_program import Pool, SetItem
from planner.engines.fair_salvage import chances_worth, salvages

BATCH = 6
"""Bows of one kind made in one go for a fair: they share the set-up."""
WEAR = 0.01
"""What bringing a bow costs in wear and carrying, as a share of its price."""
COST_SHARE = 0.15
"""Materials as a share of the price, where nothing tells what they cost."""
TIME_SHARE = 0.25
"""A bow's work as a share of its price, until she says what an hour should earn."""
MOST_LEFT = 0.99
"""What is left over is worth no larger share of its price than this."""
LEAST_CHANCE = 1e-3
"""A bow less likely to sell than this is not thought about."""

What = Literal["bench", "ribbon", "supply", "table", "spend"]


@dataclass(frozen=True, slots=True)
class Room:
    """One limit: of what, how much there is, and the step its worth is told in."""

    what: What
    code: str
    available: float
    step: int


@dataclass(frozen=True, slots=True)
class Good:
    """
    One kind as the rule sees it.

    `cost` are a new bow's materials; `salvage` what the first bow left over is worth,
    those after it less, the fewer fairs come `later`; `time` what its minutes are
    charged where no bench hours limit them; `uses` maps (what, code) to what it uses;
    `spoiled` the bows spoiled for one that comes out well, reckoned in all of these;
    `may_make` is False for what is no longer made, `single` for what comes in sets
    alone.
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
    spoiled: float = 0.0
    single: bool = True

    def item(self, rooms: Sequence[Room]) -> Item:
        """Give the good as an item under limits, its bows brought one by one."""
        wear = WEAR * self.price
        chances = reach(self.law, least=LEAST_CHANCE) if self.single else ()
        left = self.left(max(len(chances), self.have, 1))
        worth = chances_worth(chances, self.price, left, self.have).tolist()
        return Item(
            reach=tuple(worth if self.may_make else worth[: self.have]),
            price=float(self.price),
            cost=self.cost + self.time + wear,
            salvage=0.0,
            uses=self.used(rooms),
            held=self.have,
            held_cost=float(left[0]) + wear,
            held_uses=tuple(float(r.what == "table") for r in rooms),
        )

    def left(self, count: int) -> Floats:
        """Give what the first, second, ... bow left over is worth, never rising."""
        return salvages(self.law, self.salvage, self.later, count)

    def used(self, rooms: Sequence[Room]) -> tuple[float, ...]:
        """Give what a new bow uses of each limit."""
        return tuple(self.uses.get((r.what, r.code), 0.0) for r in rooms)

    def pool(self, rooms: Sequence[Room]) -> Pool:
        """Give its bows as sets take them; the table counts with the set."""
        uses = {what: n for what, n in self.uses.items() if what[0] != "table"}
        return Pool(
            held=self.have,
            left=tuple(self.left(self.have).tolist()),
            cost=self.cost + self.time,
            uses=tuple(uses.get((r.what, r.code), 0.0) for r in rooms),
            may_make=self.may_make,
        )


@dataclass(frozen=True, slots=True)
class SetGood:
    """
    A set of several bows as the rule sees it.

    `law` and `price` are those of a set, `members` its bows: (index of a good, count).
    """

    code: str
    law: CountLaw
    price: int
    members: tuple[tuple[int, int], ...]

    @property
    def bows(self) -> int:
        """Bows of a set."""
        return sum(count for _, count in self.members)

    def item(self, goods: Sequence[Good], rooms: Sequence[Room]) -> SetItem:
        """Give the set as an item; its bows are paid for where they are taken."""
        chances = reach(self.law, least=LEAST_CHANCE)
        left = self._left(goods, len(chances))
        worth = chances_worth(chances, self.price, left, 0).tolist()
        table = tuple(float(self.bows * (r.what == "table")) for r in rooms)
        item = Item(
            reach=tuple(worth), price=float(self.price), cost=WEAR * self.price,
            salvage=0.0, uses=table,
        )  # fmt: skip
        return SetItem(item, self.members)

    def _left(self, goods: Sequence[Good], count: int) -> Floats:
        """
        Give what the first, second, ... set left over is worth: what its bows are.

        They come after those of their kind at hand, the last of which they may be; no
        set left over is worth as much as one sold.
        """
        worth = np.zeros(count)
        for at, bows in self.members:
            first = max(goods[at].have - 1, 0)
            each = goods[at].left(first + bows * count)
            worth += bows * each[first::bows][:count]
        return np.asarray(np.minimum(worth, MOST_LEFT * self.price))
