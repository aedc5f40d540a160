"""
Single bows and sets of several kinds that share what there is: one exact program.

Pure numbers.  A set is a good of its own, with a worth for the first, second, ... of
them; its bows are taken from those at hand that don't come singly, or made.  A bow
taken is charged what it would be worth left over; singly sold ones are charged
likewise, as if the two did not know of each other.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import chain

import numpy as np
from numpy.typing import NDArray
from scipy import optimize, sparse

from planner.engines.allocation import Item
from planner.engines.counts import Floats

SECONDS = 5.0
"""How long a program with sets may be searched."""


@dataclass(frozen=True, slots=True)
class Pool:
    """
    Bows of one kind as sets take them: those at hand, and new ones.

    `left` is the worth of the first, second, ... bow left over, `held` of them at
    hand; `cost` and `uses` are those of a new bow, if it `may_make` one.
    """

    held: int
    left: tuple[float, ...]
    cost: float
    uses: tuple[float, ...]
    may_make: bool = True


@dataclass(frozen=True, slots=True)
class SetItem:
    """
    A set as an item: its worth, what it uses of the table, and its bows.

    `members` are (index of an item, bows of it); bows are paid for by their pools.
    """

    item: Item
    members: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class Step:
    """Bows of an item (or sets) from the one after `first` up to `last`, in one go."""

    owner: int
    first: int
    last: int
    gain: float
    uses: Floats


@dataclass(frozen=True, slots=True)
class Shared:
    """
    What comes: single bows by item, sets, and the bows at hand taken for sets by item.

    `bound`: nothing within the limits gives more than that.
    """

    quantities: tuple[int, ...]
    sets: tuple[int, ...]
    taken: tuple[int, ...]
    profit: float
    used: tuple[float, ...]
    bound: float
    columns: Floats = field(default_factory=lambda: np.zeros(0), compare=False)

    @property
    def proved(self) -> bool:
        """Whether the bound meets the profit, to a millionth."""
        return self.bound - self.profit <= 1e-6 * max(1.0, abs(self.profit))


Row = dict[int, float]
"""Column -> factor."""


@dataclass(frozen=True, slots=True)
class Cut:
    """Bows of one sort sold besides the steps' own: at most `row` @ columns + `top`."""

    sort: int
    row: Floats
    top: float


@dataclass(frozen=True)
class Program:
    """
    The whole-number program.

    Its columns, each in or out, are the steps of items, those of sets as if all their
    bows were new, and bows at hand taken for sets instead, one by one (`takes`: of
    which item, the how manieth).
    """

    items: Sequence[Item]
    sets: Sequence[SetItem]
    pools: Mapping[int, Pool]
    limits: Sequence[float]
    steps: Sequence[Step]
    set_steps: Sequence[Step]

    @cached_property
    def takes(self) -> list[tuple[int, int]]:
        """Give the bows at hand that sets may take, by item the first one first."""
        most = {at: min(p.held, self._most(at)) for at, p in self.pools.items()}
        return [(at, j) for at, n in most.items() for j in range(1, n + 1)]

    def _most(self, at: int) -> int:
        """Give the most bows of an item that sets could take."""
        sets = {step.owner: step.last for step in self.set_steps}
        return sum(n * dict(self.sets[s].members).get(at, 0) for s, n in sets.items())

    @property
    def size(self) -> int:
        """Columns in all."""
        return self._takes_from + len(self.takes)

    @property
    def _sets_from(self) -> int:
        return len(self.steps)

    @property
    def _takes_from(self) -> int:
        return self._sets_from + len(self.set_steps)

    @cached_property
    def gains(self) -> Floats:
        """What each column adds to the expected profit."""
        new = {at: pool.cost for at, pool in self.pools.items()}
        made_up = [step.gain - sum(n * new[at] for at, n in self._bows(step))
                   for step in self.set_steps]  # fmt: skip
        taken = [new[at] - self.pools[at].left[self.pools[at].held - j]
                 for at, j in self.takes]  # fmt: skip
        return np.array([*(step.gain for step in self.steps), *made_up, *taken])

    @cached_property
    def uses(self) -> Floats:
        """What each column uses, shape (limits, columns); below nothing if taken."""
        new = {at: np.array(pool.uses) for at, pool in self.pools.items()}
        rows = [
            *(step.uses for step in self.steps),
            *(step.uses + sum(n * new[at] for at, n in self._bows(step))
              for step in self.set_steps),
            *(-new[at] for at, _ in self.takes),
        ]  # fmt: skip
        return np.array(rows).reshape(self.size, len(self.limits)).T

    def _bows(self, step: Step) -> list[tuple[int, int]]:
        """Give the bows of a step of sets, by item."""
        count = step.last - step.first
        return [(at, n * count) for at, n in self.sets[step.owner].members]

    @cached_property
    def at_most(self) -> tuple[sparse.csr_matrix, Floats]:
        """Rows that must not exceed a figure, besides the limits."""
        rows = [({b: 1.0, a: -1.0}, 0.0) for a, b in self._pairs()]
        for at, pool in self.pools.items():
            rows += [self._held(at, pool), *self._in_sets(at, pool)]
        return _sparse([row for row, _ in rows], self.size), np.array(
            [top for _, top in rows]
        )

    def _pairs(self) -> Iterator[tuple[int, int]]:
        """Walk columns that come only after the one before them."""
        for start, steps in ((0, self.steps), (self._sets_from, self.set_steps)):
            for n in range(1, len(steps)):
                if steps[n].owner == steps[n - 1].owner:
                    yield start + n - 1, start + n
        for n in range(1, len(self.takes)):
            if self.takes[n][0] == self.takes[n - 1][0]:
                yield self._takes_from + n - 1, self._takes_from + n

    def _held(self, at: int, pool: Pool) -> tuple[Row, float]:
        """No bow at hand comes both singly and in a set."""
        row = {
            n: float(min(step.last, pool.held) - min(step.first, pool.held))
            for n, step in enumerate(self.steps) if step.owner == at
        }  # fmt: skip
        row |= dict.fromkeys(self._takes_of(at), 1.0)
        return row, float(pool.held)

    def _in_sets(self, at: int, pool: Pool) -> Iterator[tuple[Row, float]]:
        """No more is taken than sets have of it, nor less where none can be made."""
        row: Row = {
            self._sets_from + n: float(-dict(self._bows(step)).get(at, 0))
            for n, step in enumerate(self.set_steps)
        }
        row |= dict.fromkeys(self._takes_of(at), 1.0)
        yield row, 0.0
        if not pool.may_make:
            yield {column: -factor for column, factor in row.items()}, 0.0

    def _takes_of(self, at: int) -> list[int]:
        """List the columns of an item's bows at hand that sets may take."""
        return [self._takes_from + n for n, (kind, _) in enumerate(self.takes)
                if kind == at]  # fmt: skip

    def solve(
        self, cuts: Sequence[Cut] = (), worths: Sequence[float] = (), *,
        within: float = 0.0, seconds: float = SECONDS,
    ) -> Shared:  # fmt: skip
        """
        Solve it; `within` is the share by which it may fall short, proven.

        worths: of a bow sold besides, by sort; with them the bound is of all together,
        while the profit is that of the columns alone.  The solver's limits leak by a
        hair, so the answer is checked outside it, and they are tightened once if need
        be.
        """
        if not self.size and not worths:
            return self._shared(np.zeros(0), 0.0)
        bound = np.inf
        for shrink in (0.0, 2e-6):
            found = optimize.milp(
                -np.append(self.gains, worths),
                integrality=np.append(np.ones(self.size), np.zeros(len(worths))),
                bounds=optimize.Bounds(
                    0.0, np.append(np.ones(self.size), np.full(len(worths), np.inf))
                ),
                constraints=optimize.LinearConstraint(
                    *self._rows(cuts, len(worths), shrink)
                ),
                options={"mip_rel_gap": within, "time_limit": seconds},
            )
            if found.x is None:
                break
            bound = min(bound, -float(found.mip_dual_bound)) if not shrink else bound
            made = self._shared(np.round(found.x[: self.size]), bound)
            if np.all(np.array(made.used) <= self._room(0.0) + 1e-6):
                return made
        return self._shared(np.zeros(self.size), max(bound, 0.0))

    def relaxed(
        self, cuts: Sequence[Cut] = (), worths: Sequence[float] = ()
    ) -> tuple[float, Floats]:
        """Solve it as if bows came in parts; give the profit and the columns."""
        if not self.size and not worths:
            return 0.0, np.zeros(0)
        rows, _, top = self._rows(cuts, len(worths), 0.0)
        found = optimize.linprog(
            -np.append(self.gains, worths), A_ub=rows, b_ub=top,
            bounds=[*((0.0, 1.0),) * self.size, *((0.0, None),) * len(worths)],
        )  # fmt: skip
        return -float(found.fun), np.asarray(found.x)[: self.size]

    def _rows(
        self, cuts: Sequence[Cut], sorts: int, shrink: float
    ) -> tuple[sparse.csr_matrix, float, Floats]:
        """Give all rows that must not exceed a figure, with columns for the sorts."""
        rows, top = self.at_most
        # As shares of the limits, so that all are met about as nearly as counts are.
        scale = 1 / np.maximum(self._room(0.0), 1.0)
        plain = sparse.vstack([sparse.csr_matrix(self.uses * scale[:, None]), rows])
        wide = sparse.hstack([plain, sparse.csr_matrix((plain.shape[0], sorts))])
        room = self._room(shrink) * scale
        every = np.concatenate([room, top, [c.top for c in cuts]])
        if not cuts:
            return wide.tocsr(), -np.inf, every
        sort = np.array([[float(c.sort == n) for n in range(sorts)] for c in cuts])
        more = np.hstack([-np.array([c.row for c in cuts]), sort])
        return sparse.vstack([wide, sparse.csr_matrix(more)]).tocsr(), -np.inf, every

    def _room(self, shrink: float) -> Floats:
        return np.maximum(np.asarray(self.limits, float) * (1 - shrink), 0.0)

    def _shared(self, x: Floats, bound: float) -> Shared:
        """Read a whole answer."""
        steps, sets, takes = np.split(x, (self._sets_from, self._takes_from))
        taken = np.zeros(len(self.items), dtype=np.int64)
        for (at, _), n in zip(self.takes, takes, strict=True):
            taken[at] += int(n)
        profit = float(self.gains @ x)
        return Shared(
            _counted(self.steps, steps, len(self.items)),
            _counted(self.set_steps, sets, len(self.sets)), tuple(taken.tolist()),
            profit, tuple(float(u) for u in self.uses @ x), max(bound, profit), x,
        )  # fmt: skip


def program(
    items: Sequence[Item],
    sets: Sequence[SetItem],
    pools: Mapping[int, Pool],
    limits: Sequence[float],
    *,
    least: int = 0,
    every: bool = False,
) -> Program:
    """
    Lay a program out.

    An item comes with `least` bows or none; with `every`, steps that don't pay by
    themselves are columns too.
    """
    every_item = [steps_of(x, n, least, every=every) for n, x in enumerate(items)]
    every_set = [steps_of(x.item, n, least) for n, x in enumerate(sets)]
    steps, set_steps = (tuple(chain(*some)) for some in (every_item, every_set))
    return Program(items, sets, pools, limits, steps, set_steps)


def steps_of(
    item: Item, owner: int, least: int, *, every: bool = False
) -> Iterator[Step]:
    """
    Walk an item's bows one by one, the first `least` of them in one go.

    None where it can't come in such a number, or wouldn't pay even so.
    """
    block = max(least, 1)
    paying = len(item.reach) if every else max(item.gains().size, block)
    gains = gains_of(item, paying)
    if len(item.reach) < block or not (every or gains[:block].sum() > 0):
        return
    for first, last in [(0, block), *((n, n + 1) for n in range(block, paying))]:
        uses = item.used(last) - item.used(first)
        yield Step(owner, first, last, float(gains[first:last].sum()), uses)


def gains_of(item: Item, count: int) -> Floats:
    """Give what each bow of a quantity adds; those beyond all hope sell never."""
    chances = np.zeros(count)
    known = np.array(item.reach[:count])
    chances[: known.size] = known
    spent = np.where(np.arange(count) < item.held, item.held_cost, item.cost)
    return (item.price - item.salvage) * chances - (spent - item.salvage)


def _counted(steps: Sequence[Step], chosen: Floats, owners: int) -> tuple[int, ...]:
    """Count the bows of each owner."""
    counts = [0] * owners
    for step, n in zip(steps, chosen.tolist(), strict=True):
        counts[step.owner] += round(n) * (step.last - step.first)
    return tuple(counts)


def _sparse(rows: Sequence[Row], columns: int) -> sparse.csr_matrix:
    at = [n for n, row in enumerate(rows) for _ in row]
    column: NDArray[np.int64] = np.array([c for row in rows for c in row], np.int64)
    value = [v for row in rows for v in row.values()]
    return sparse.csr_matrix((value, (at, column)), shape=(len(rows), columns))
