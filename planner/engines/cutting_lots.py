"""
Which lot each set comes from, before it is said from which run.

A lot is taken as one long run: that is quick to solve, and no plan can have fewer lots
or new spools than it finds.  Each lot is then cut by itself.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property

from planner.engines.cutting_program import Floats, Key, Program, Row, Weights
from planner.engines.cutting_runs import Placed, Question


@dataclass(frozen=True)
class Lots(Program):
    """The program without cuts; `spare` is the share of each lot left free."""

    spare: float = 0.0

    @cached_property
    def top(self) -> dict[Key, float]:
        """Give the unknowns that say nothing of single runs."""
        q = self.question
        top: dict[Key, float] = {}
        for at, want in enumerate(q.wants):
            top |= {("sets", at, lot): want.sets for lot in q.lots}
        for order in q.orders:
            top |= {("from", order, lot): 1 for lot in q.lots}
            top["more", order] = len(q.lots)
        for lot in q.lots:
            top |= {("keeps", lot): 1, ("lost", lot): sum(self.rooms)}
        return top | {("spool", run.spool): 1 for run in q.runs}

    @cached_property
    def levels(self) -> tuple[Weights, ...]:
        """Give what the first three levels add up, and about what the fourth does."""
        runs = self.question.runs
        new: Weights = {("spool", run.spool): 1.0 for run in runs if not run.begun}
        return (
            {k: -1.0 for k in self.top if k[0] == "sets"},
            {k: 1.0 for k in self.top if k[0] == "more"},
            new,
            {("lost", lot): 1.0 for lot in self.question.lots},
        )

    def rows(self) -> list[Row]:
        """Give how sets go into lots as long as all their runs together."""
        lots = [row for lot in self.question.lots for row in self._room_rows(lot)]
        return [*self._set_rows(), *lots]

    def _room_rows(self, lot: str) -> list[Row]:
        """What is left of a lot is lost unless it makes one usable end."""
        fill, begun = self._fill(lot), self._begun(lot)
        room = math.floor(begun * (1 - self.spare))
        usable = float(-(-self.question.usable // self.question.step))
        rest: dict[Key, float] = {("lost", lot): 1.0, ("keeps", lot): sum(self.rooms)}
        return [
            (fill, -math.inf, room),
            (fill | {("keeps", lot): usable}, -math.inf, room),
            (fill | rest, room, math.inf),
        ]

    def _begun(self, lot: str) -> int:
        runs = zip(self.question.runs, self.rooms, strict=True)
        return sum(room for run, room in runs if run.lot == lot and run.begun)

    def _fill(self, lot: str) -> dict[Key, float]:
        """Give steps taken of a lot, less those of its new spools if opened."""
        q = self.question
        fill: dict[Key, float] = {
            ("sets", at, lot): float(size // q.step) for at, size in enumerate(q.sizes)
        }
        for run, room in zip(q.runs, self.rooms, strict=True):
            if run.lot == lot and not run.begun:
                key = ("spool", run.spool)
                fill[key] = fill.get(key, 0.0) - room
        return fill

    def _placed(self, answer: Floats | None) -> Placed | None:
        if answer is None:
            return None
        counts = {k: round(float(answer[i])) for k, i in self.index.items()}
        return Placed(
            {(k[1], k[2]): n for k, n in counts.items() if k[0] == "sets" and n}  # type: ignore[misc]
        )


@dataclass(frozen=True, slots=True)
class Corner:
    """Some lots of a question: which wants and runs they are in it."""

    question: Question
    wants: tuple[int, ...]
    runs: tuple[int, ...]

    @classmethod
    def of(cls, question: Question, plan: Placed, lots: tuple[str, ...]) -> Corner:
        """Give what a plan takes from some lots as a question of its own."""
        sets: dict[int, int] = {}
        for (at, lot), n in plan.sets.items():
            if lot in lots:
                sets[at] = sets.get(at, 0) + n
        runs = tuple(i for i, run in enumerate(question.runs) if run.lot in lots)
        wants = tuple(replace(question.wants[at], sets=n) for at, n in sets.items())
        kept = tuple(question.runs[i] for i in runs)
        inner = Question(wants, kept, question.usable, question.grain)
        return cls(inner, tuple(sets), runs)

    def inside(self, plan: Placed) -> Placed:
        """Give this corner's share of a plan."""
        want = {at: n for n, at in enumerate(self.wants)}
        run = {at: n for n, at in enumerate(self.runs)}
        lots = self.question.lots
        return Placed(
            {(want[w], lot): n for (w, lot), n in plan.sets.items() if lot in lots},
            {(run[r], x): n for (r, x), n in plan.cut.items() if r in run},
        )

    def put_back(self, question: Question, plan: Placed, found: Placed) -> Placed:
        """Give a plan with this corner cut another way."""
        lots = self.question.lots
        sets = {k: n for k, n in plan.sets.items() if k[1] not in lots}
        cut = {k: n for k, n in plan.cut.items() if question.runs[k[0]].lot not in lots}
        sets |= {(self.wants[at], lot): n for (at, lot), n in found.sets.items()}
        cut |= {(self.runs[run], x): n for (run, x), n in found.cut.items()}
        return Placed(sets, cut)
