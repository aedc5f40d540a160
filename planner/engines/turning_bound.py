"""
How far a choice can be from the best where buyers turn to another colour.

On drawn fairs, so many turn in a family as didn't find their colour, or as there are
bows left for, whichever is less: both are sums over the bows brought, so that what
turning adds lies below every weighing of the two.  A program in parts with such
weighings as cuts, each fitted to the answer before it (Kelley 1960; for chances,
Van Slyke & Wets 1969), bounds what any choice gives on those fairs; with whole bows
it is closer, and its answers are choices to look at.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from planner.engines.counts import Floats
from planner.engines.fair_choice import MANY, WITHIN, Choice, Offer
from planner.engines.fair_good import Good, Room, SetGood
from planner.engines.fair_program import Cut, Program, Shared, Step, program
from planner.engines.turning import Turning

ROUNDS, WHOLE_ROUNDS = 40, 8
"""Programs solved at most, in parts and in whole bows; the bound holds after each."""
SECONDS = 1.0
"""How long one of whole bows may be searched."""
CLOSE = 1e-4
"""What is left to gain on the bound, as a share of it, at which it is left alone."""


@dataclass(frozen=True, slots=True)
class _Family:
    """
    One family on the drawn fairs.

    `columns` are those of its bows; `found` and `left`, shape (draws, columns), the
    bows of each that meet a wish, and that don't; `lost` the share turning of all
    wishes, shape (draws,), `share` of those met; `margin` is the most one turned sale
    adds.
    """

    columns: NDArray[np.int64]
    found: Floats
    left: Floats
    lost: Floats
    share: float
    margin: float

    def cut(self, sort: int, columns: Floats) -> Cut:
        """Weigh the two sums as at this answer: there the cut is what turning adds."""
        chosen = columns[self.columns]
        turned = self.lost - self.share * (self.found @ chosen)
        fewer = (turned <= self.left @ chosen).astype(float)
        factors = (1 - fewer) @ self.left - self.share * (fewer @ self.found)
        row = np.zeros(columns.size)
        row[self.columns] = factors / fewer.size
        return Cut(sort, row, float(fewer @ self.lost) / fewer.size)


def bounded(
    choice: Choice,
    goods: Sequence[Good],
    sets: Sequence[SetGood],
    rooms: Sequence[Room],
    turning: Turning,
    *,
    at_least: int,
) -> Choice:
    """
    Say by how much another choice could be better on the drawn fairs, at most.

    A better one that turns up on the way takes the place of the one given.
    """
    offer = Offer.of(goods, sets, rooms)
    limits = [float(room.available) for room in rooms]
    laid = program(
        offer.items, offer.sets, offer.pools, limits, least=at_least, every=True
    )
    margin = np.array([good.price - good.salvage for good in goods])
    search = _Bounding(laid, list(_families(laid, goods, turning)))
    search.in_parts()

    def worth(one: Choice | Shared) -> float:
        extra = turning.extra(np.array(one.quantities, float)).mean(axis=0)
        return offer.profit(one.quantities, one.sets) + float(extra @ margin)

    found: list[Choice | Shared] = [choice, *search.in_wholes()]
    best = max(found, key=worth)
    return replace(
        choice, quantities=best.quantities, sets=best.sets, taken=best.taken,
        used=best.used, profit=worth(best), gap=max(search.bound - worth(best), 0.0),
    )  # fmt: skip


class _Bounding:
    """Cuts gathered so far, and the bound they prove; it only falls."""

    def __init__(self, laid: Program, families: Sequence[_Family]) -> None:
        self.laid, self.families = laid, families
        self.within = WITHIN if len(laid.items) > MANY else CLOSE
        self.margins = [family.margin for family in families]
        self.cuts: list[Cut] = []
        self.bound = np.inf
        self._cut(np.zeros(laid.size))

    def in_parts(self) -> None:
        """Lower the bound by choices in parts."""
        for _ in range(ROUNDS):
            worth, columns = self.laid.relaxed(self.cuts, self.margins)
            self.bound = min(self.bound, worth)
            if worth - self._cut(columns) <= CLOSE * abs(worth):
                break

    def in_wholes(self) -> Iterator[Shared]:
        """Lower it further by whole bows; give the choices that come up."""
        for _ in range(WHOLE_ROUNDS):
            found = self.laid.solve(
                self.cuts, self.margins, within=self.within, seconds=SECONDS
            )
            self.bound = min(self.bound, found.bound)
            yield found
            if found.bound - self._cut(found.columns) <= self.within * found.bound:
                break

    def _cut(self, columns: Floats) -> float:
        """Add the cuts fitted to an answer; give what that is really worth."""
        new = [family.cut(n, columns) for n, family in enumerate(self.families)]
        self.cuts += new
        turned = [float(cut.row @ columns) + cut.top for cut in new]
        return float(self.laid.gains @ columns + np.dot(turned, self.margins))


def _families(
    laid: Program, goods: Sequence[Good], turning: Turning
) -> Iterator[_Family]:
    """Walk the families of which more than one kind may come."""
    owners = np.array([step.owner for step in laid.steps], dtype=np.int64)
    for family in np.unique(turning.family):
        members = np.flatnonzero(turning.family == family)
        columns = np.flatnonzero(np.isin(owners, members))
        if len(set(owners[columns].tolist())) > 1:
            steps = [laid.steps[c] for c in columns.tolist()]
            yield _family(steps, columns, goods, turning, members)


def _family(
    steps: Sequence[Step], columns: NDArray[np.int64], goods: Sequence[Good],
    turning: Turning, members: NDArray[np.int64],
) -> _Family:  # fmt: skip
    first = np.array([step.first for step in steps], float)
    bows = np.array([step.last for step in steps], float) - first
    wanted = turning.wanted[:, [step.owner for step in steps]]
    found = np.clip(wanted - first, 0.0, bows)
    return _Family(
        columns, found, bows - found,
        turning.share * turning.wanted[:, members].sum(axis=1), turning.share,
        max(float(goods[at].price - goods[at].salvage) for at in members.tolist()),
    )  # fmt: skip
