"""
The linear program of cutting: how few rolls would do if patterns came in parts.

Columns are patterns, made as they are needed (P. Gilmore, R. Gomory, Operations
Research 9 (1961) 849-859).  The float solver only proposes what each length is worth;
what is proved from it is reckoned in whole numbers.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt
from scipy import optimize, sparse

from planner.engines.cutting_bounds import Demand, Pattern, Watch, rolls_for
from planner.engines.cutting_fits import best_fill

Floats = npt.NDArray[np.float64]

SCALE = 1 << 30
"""Worths are told in so many parts of a roll."""
HAIR = 1e-7
"""A pattern worth less than this above a roll isn't worth a column."""
ROUNDS = 4000


@dataclass(slots=True)
class Pool:
    """Patterns made so far, each once; a private accumulator."""

    patterns: list[Pattern] = field(default_factory=list)
    known: set[Pattern] = field(default_factory=set)

    def add(self, more: Iterable[Pattern]) -> bool:
        """Take patterns in; say whether any was new."""
        fresh = [p for p in dict.fromkeys(more) if p not in self.known and any(p)]
        self.patterns += fresh
        self.known.update(fresh)
        return bool(fresh)

    def within(self, counts: Sequence[int]) -> Pool:
        """Give the patterns that cut no more than `counts`."""
        if not self.patterns:
            return Pool()
        fits = np.all(np.array(self.patterns) <= np.array(counts), axis=1)
        kept = [self.patterns[i] for i in np.flatnonzero(fits).tolist()]
        return Pool(kept, set(kept))


@dataclass(frozen=True, slots=True)
class InParts:
    """
    The linear program's answer: rolls, and how often each pattern of the pool is cut.

    `bound` is proved; `rolls` is a float and proves nothing.
    """

    bound: int
    rolls: float
    times: Floats
    settled: bool


def proved_bound(demand: Demand, worth: Floats) -> tuple[int, Pattern]:
    """
    Turn any worths of the lengths into a bound that holds, and give the best pattern.

    worth: (lengths,), in rolls.  With whole worths w and no roll worth more than m,
    sum(w n) / m rolls are needed: weak duality, in whole numbers.
    """
    whole = [max(int(x), 0) for x in np.floor(worth * SCALE)]
    most, pattern = best_fill(demand.lengths, demand.counts, demand.room, whole)
    total = sum(w * n for w, n in zip(whole, demand.counts, strict=True))
    return (rolls_for(total, most) if most else 0), pattern


def master(patterns: Sequence[Pattern], counts: Sequence[int]) -> tuple[Floats, Floats]:
    """Solve the linear program over patterns: (how often each, worth by length)."""
    rows = sparse.csc_array(np.array(patterns, dtype=float).T)
    found = optimize.linprog(
        np.ones(len(patterns)), A_ub=-rows, b_ub=-np.array(counts, dtype=float),
        method="highs",
    )  # fmt: skip
    if found.x is None:
        raise ArithmeticError(f"the linear program gave no answer: {found.message}")
    return found.x, -found.ineqlin.marginals


def in_parts(
    demand: Demand, pool: Pool, watch: Watch, *, enough: int | None = None
) -> InParts:
    """
    Solve the linear program, making columns until none helps or time is out.

    `enough`: stop as soon as so many rolls are proved to be needed.
    """
    pool.add(_alone(demand))
    bound = 0
    for _ in range(ROUNDS):
        times, worth = master(pool.patterns, demand.counts)
        proved, pattern = proved_bound(demand, worth)
        bound = max(bound, proved)
        gain = float(np.dot(pattern, worth)) - 1
        settled = gain <= HAIR or not pool.add([pattern])
        watch.tick()
        done = enough is not None and bound >= enough
        if settled or done or not watch.left():
            break
    return InParts(bound, float(times.sum()), times, settled)


def _alone(demand: Demand) -> list[Pattern]:
    """Give for each length the roll cut to that length only."""
    size = len(demand.lengths)
    return [
        tuple(min(n, demand.room // x) * (i == at) for i in range(size))
        for at, (x, n) in enumerate(demand.pairs())
    ]
