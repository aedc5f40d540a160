"""
The cutting question of one ribbon as a whole-number program, solved level by level.

Orders matter only for lots: within a lot any part may go to any of its sets, so the
program counts sets by lot and lengths by run.  Lengths are told in steps (the largest
length that divides every part), so that the solver's floats stay small whole numbers;
what it answers is rounded and reckoned again in whole nanometres.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt
from scipy import optimize, sparse

from planner.engines.cutting_bounds import Watch
from planner.engines.cutting_fits import best_fill
from planner.engines.cutting_runs import Placed, Question, Scores, holds, scores

Floats = npt.NDArray[np.float64]
Key = tuple[object, ...]
Weights = Mapping[Key, float]
Row = tuple[Weights, float, float]
"""Weights of some unknowns, and the least and most that their sum may be."""

LEAK = 1e-6
"""By so much the solver's answers may leak: its bounds are lowered by it."""
MOST_STEPS = 300_000
"""A run of more steps than this isn't filled exactly beforehand."""


@dataclass(frozen=True)
class Program:
    """Unknowns with their greatest values, rows, and what each level adds up."""

    question: Question

    @cached_property
    def top(self) -> dict[Key, float]:
        """Give every unknown with the most it may be."""
        q = self.question
        top: dict[Key, float] = {}
        for at, want in enumerate(q.wants):
            top |= {("sets", at, lot): want.sets for lot in q.lots}
        for run, room in enumerate(self.rooms):
            for x in q.lengths:
                most = min(self.demand[x], room // (x // q.step))
                if most:
                    top["cut", run, x] = most
            top |= {("begun", run): 1, ("ended", run): 1, ("lost", run): room + 1}
        for order in q.orders:
            top |= {("from", order, lot): 1 for lot in q.lots}
            top["more", order] = len(q.lots)
        return top | {("spool", run.spool): 1 for run in q.runs}

    @cached_property
    def demand(self) -> dict[int, int]:
        """Give how many parts of each length are wanted in all."""
        q = self.question
        return {
            x: sum(need[x] * w.sets for need, w in zip(q.needs, q.wants, strict=True))
            for x in q.lengths
        }

    @cached_property
    def rooms(self) -> tuple[int, ...]:
        """Give the most steps that parts can fill of each run."""
        q = self.question
        sizes = [x // q.step for x in q.lengths]
        counts = list(self.demand.values())
        fill = {}
        for room in {run.free // q.step for run in q.runs}:
            exact = 0 < room <= MOST_STEPS
            fill[room] = best_fill(sizes, counts, room, sizes)[0] if exact else room
        return tuple(fill[run.free // q.step] for run in q.runs)

    @cached_property
    def index(self) -> dict[Key, int]:
        """Give each unknown its column."""
        return {key: i for i, key in enumerate(self.top)}

    @cached_property
    def levels(self) -> tuple[Weights, ...]:
        """Give what each level adds up; the first counts sets cut, below none."""
        q = self.question
        runs = list(enumerate(q.runs))
        ends: dict[Key, float] = {("lost", i): 1.0 for i, _ in runs}
        ends |= {("ended", i): run.length % q.step / q.step for i, run in runs}
        new: Weights = {("spool", run.spool): 1.0 for _, run in runs if not run.begun}
        begun: Weights = {("spool", run.spool): 1.0 for _, run in runs if run.begun}
        return (
            {k: -1.0 for k in self.top if k[0] == "sets"},
            {k: 1.0 for k in self.top if k[0] == "more"},
            new,
            ends,
            begun,
        )

    def rows(self) -> list[Row]:
        """Give all that a plan must obey."""
        return [*self._set_rows(), *self._lot_rows(), *self._run_rows()]

    def _set_rows(self) -> list[Row]:
        q = self.question
        rows: list[Row] = []
        for at, want in enumerate(q.wants):
            rows.append(({("sets", at, lot): 1.0 for lot in q.lots}, 0, want.sets))
        for order, places in q.orders.items():
            for lot in q.lots:
                for at in places:
                    most = -float(q.wants[at].sets)
                    both: Weights
                    both = {("sets", at, lot): 1.0, ("from", order, lot): most}
                    rows.append((both, -math.inf, 0))
            used: dict[Key, float] = {("from", order, lot): 1.0 for lot in q.lots}
            rows.append((used | {("more", order): -1.0}, -math.inf, 1))
        return rows

    def _lot_rows(self) -> list[Row]:
        q = self.question
        rows: list[Row] = []
        for lot in q.lots:
            runs = [i for i, run in enumerate(q.runs) if run.lot == lot]
            for x in q.lengths:
                cut: dict[Key, float] = {("cut", i, x): 1.0 for i in runs}
                cut = {key: one for key, one in cut.items() if key in self.top}
                taken: dict[Key, float] = {
                    ("sets", at, lot): -float(need[x])
                    for at, need in enumerate(q.needs) if need[x]
                }  # fmt: skip
                rows.append((cut | taken, 0, 0))
        return rows

    def _run_rows(self) -> list[Row]:
        rows: list[Row] = []
        for i, run in enumerate(self.question.runs):
            step, room = self.question.step, self.rooms[i]
            fill: dict[Key, float] = {
                ("cut", i, x): float(x // step)
                for x in self.question.lengths if ("cut", i, x) in self.top
            }  # fmt: skip
            keeps = min(max((run.length - self.question.usable) // step, 0), room)
            ends = {("begun", i): -float(keeps), ("ended", i): -float(room - keeps)}
            whole = float(run.length // step)
            rows += [
                (fill | ends, -math.inf, 0),
                ({("ended", i): 1.0, ("begun", i): -1.0}, -math.inf, 0),
                ({("begun", i): 1.0, ("spool", run.spool): -1.0}, -math.inf, 0),
                (fill | {("lost", i): 1.0, ("ended", i): -whole}, 0, math.inf),
            ]
        return rows

    def matrix(self, rows: Sequence[Row]) -> optimize.LinearConstraint:
        """Turn rows into the solver's form."""
        entries = [
            (n, self.index[key], weight)
            for n, (weights, _, _) in enumerate(rows)
            for key, weight in weights.items()
        ]
        at, column, weight = zip(*entries, strict=True)
        shape = (len(rows), len(self.index))
        table = sparse.csr_array((weight, (at, column)), shape=shape)
        return optimize.LinearConstraint(
            table, [low for _, low, _ in rows], [high for _, _, high in rows]
        )

    def solve(
        self, level: int, limits: Sequence[float], *, watch: Watch, seconds: float
    ) -> tuple[Placed | None, float]:
        """
        Keep one level low, those before it within limits: (a plan, the solver's bound).

        Limits and bound are in the units of `levels`.
        """
        fixed: list[Row] = [
            (self.levels[at], -math.inf, limit) for at, limit in enumerate(limits)
            if self.levels[at]
        ]  # fmt: skip
        cost = np.zeros(len(self.index))
        for key, weight in self.levels[level].items():
            cost[self.index[key]] = weight
        found = optimize.milp(
            cost,
            integrality=[key[0] != "lost" for key in self.index],
            bounds=optimize.Bounds(0, list(self.top.values())),
            constraints=self.matrix([*self.rows(), *fixed]),
            options=watch.solver(seconds),
        )
        watch.tick(found.mip_node_count)
        bound = found.mip_dual_bound
        return self._placed(found.x), -math.inf if bound is None else float(bound)

    def _placed(self, answer: Floats | None) -> Placed | None:
        """Read a plan out of the solver's answer; None for one that can't be cut."""
        if answer is None:
            return None
        counts = {k: round(float(answer[i])) for k, i in self.index.items()}
        placed = Placed(
            {(k[1], k[2]): n for k, n in counts.items() if k[0] == "sets" and n},  # type: ignore[misc]
            {(k[1], k[2]): n for k, n in counts.items() if k[0] == "cut" and n},  # type: ignore[misc]
        )
        return placed if holds(self.question, placed) else None


def told(question: Question, level: int, value: int) -> float:
    """Give a score as the program adds it up."""
    if level == 0:
        return float(value - sum(want.sets for want in question.wants))
    return value / question.step if level == 3 else float(value)


def proved(question: Question, level: int, bound: float) -> int:
    """
    Give the least score that a solver's bound leaves possible.

    Ends are whole multiples of what divides every run and part, so a leak of a few
    nanometres is rounded up again.
    """
    if not math.isfinite(bound) or question.grain > 1:
        return 0
    if level == 0:
        return max(math.ceil(bound - LEAK) + sum(w.sets for w in question.wants), 0)
    if level != 3:
        return max(math.ceil(bound - LEAK * max(abs(bound), 1)), 0)
    grain = math.gcd(question.step, *(run.length for run in question.runs))
    lowest = (bound - LEAK * max(abs(bound), 1)) * question.step
    return max(math.ceil(lowest / grain), 0) * grain


def better(question: Question, plans: Sequence[Placed | None]) -> tuple[Scores, Placed]:
    """Give the best of some plans with what it is worth."""
    real = [plan for plan in plans if plan is not None]
    return min(((scores(question, p), p) for p in real), key=lambda pair: pair[0])
