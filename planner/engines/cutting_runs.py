"""
One ribbon's cutting question, plans for it, and what they are worth, in whole nm.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from planner.plans.cutting import Run, Want

Scores = tuple[int, int, int, int, int]
"""
Sets uncut, lots beyond an order's first, new spools, unusable ends (nm), part spools.
"""


@dataclass(frozen=True)
class Question:
    """
    What is wanted of one ribbon, its runs, and the shortest end worth keeping.

    Parts count as long as the next whole multiple of `grain` (nm): 1 is exact, more
    keeps the numbers small where lengths have no common measure.
    """

    wants: tuple[Want, ...]
    runs: tuple[Run, ...]
    usable: int
    grain: int = 1

    def counted(self, length: int) -> int:
        """Give the length that a part counts for, nm."""
        return -(-length // self.grain) * self.grain

    @cached_property
    def lots(self) -> tuple[str, ...]:
        """Give the dye lots, in the order of their runs."""
        return tuple(dict.fromkeys(run.lot for run in self.runs))

    @cached_property
    def lengths(self) -> tuple[int, ...]:
        """Give the different lengths, longest first."""
        found = {x for need in self.needs for x in need}
        return tuple(sorted(found, reverse=True))

    @cached_property
    def needs(self) -> tuple[Counter[int], ...]:
        """Give for each want the parts of one set, by length."""
        found = []
        for want in self.wants:
            need: Counter[int] = Counter()
            for part in want.parts:
                need[self.counted(part.length)] += part.count
            found.append(need)
        return tuple(found)

    @cached_property
    def sizes(self) -> tuple[int, ...]:
        """Give the length that one set of each want takes, nm."""
        return tuple(sum(x * n for x, n in need.items()) for need in self.needs)

    @cached_property
    def orders(self) -> dict[str, list[int]]:
        """Give the places of each order's wants."""
        found: dict[str, list[int]] = {}
        for at, want in enumerate(self.wants):
            if want.order is not None:
                found.setdefault(want.order, []).append(at)
        return found

    @cached_property
    def step(self) -> int:
        """Give the largest length that divides every part, nm."""
        return math.gcd(*self.lengths) or 1


@dataclass(frozen=True, slots=True)
class Placed:
    """
    A plan for a question: sets by (want, lot), parts by (run, length).

    Both leave out what is nothing.
    """

    sets: Mapping[tuple[int, str], int] = field(default_factory=dict)
    cut: Mapping[tuple[int, int], int] = field(default_factory=dict)


def fills(question: Question, placed: Placed) -> list[int]:
    """Give the length cut from each run, nm."""
    filled = [0] * len(question.runs)
    for (run, length), count in placed.cut.items():
        filled[run] += length * count
    return filled


def holds(question: Question, placed: Placed) -> bool:
    """Say, in whole nanometres, whether a plan can be cut as it stands."""
    filled = fills(question, placed)
    fits = all(x <= run.free for x, run in zip(filled, question.runs, strict=True))
    used: Counter[int] = Counter()
    for (want, _), n in placed.sets.items():
        used[want] += n
    within = all(n <= question.wants[at].sets for at, n in used.items())
    amounts = [*placed.sets.values(), *placed.cut.values()]
    return (
        fits and within and min(amounts, default=0) >= 0 and _agrees(question, placed)
    )


def _agrees(question: Question, placed: Placed) -> bool:
    """Say whether each lot's runs give just the parts its sets take."""
    wanted: Counter[tuple[str, int]] = Counter()
    for (want, lot), n in placed.sets.items():
        for length, per in question.needs[want].items():
            wanted[lot, length] += per * n
    given: Counter[tuple[str, int]] = Counter()
    for (run, length), n in placed.cut.items():
        given[question.runs[run].lot, length] += n
    return +wanted == +given


def scores(question: Question, placed: Placed) -> Scores:
    """Reckon what a plan is worth, the weightiest first; less is better."""
    filled = fills(question, placed)
    pairs = list(zip(filled, question.runs, strict=True))
    touched = {run.spool: run.begun for x, run in pairs if x}
    rests = [run.length - x for x, run in pairs if x]
    uncut = sum(want.sets for want in question.wants) - sum(placed.sets.values())
    return (
        uncut,
        sum(max(n - 1, 0) for n in _lots_each(question, placed)),
        sum(not begun for begun in touched.values()),
        sum(rest for rest in rests if rest < question.usable),
        sum(touched.values()),
    )


def _lots_each(question: Question, placed: Placed) -> Iterable[int]:
    for places in question.orders.values():
        yield len({lot for (at, lot), n in placed.sets.items() if at in places and n})


class _Filling:
    """Runs being filled; private and mutable."""

    def __init__(self, question: Question, *, best: bool) -> None:
        self.question = question
        self.best = best
        self.free = [run.free for run in question.runs]
        self.sets: Counter[tuple[int, str]] = Counter()
        self.cut: Counter[tuple[int, int]] = Counter()

    def take(self, wanted: Sequence[tuple[int, int]]) -> bool:
        """Cut (want, sets) from the first lot that holds them, new spools last."""
        lots = self.question.lots
        return any(
            self._take(wanted, lot, new=new) for new in (False, True) for lot in lots
        )

    def _take(self, wanted: Sequence[tuple[int, int]], lot: str, *, new: bool) -> bool:
        """Cut (want, sets) from a lot, longest part first, or leave all as it was."""
        free, cut = list(self.free), Counter(self.cut)
        for length, count in _by_length(self.question, wanted):
            for _ in range(count):
                run = self._run(length, lot, new=new)
                if run is None:
                    self.free, self.cut = free, cut
                    return False
                self.free[run] -= length
                self.cut[run, length] += 1
        for at, n in wanted:
            self.sets[at, lot] += n
        return True

    def _run(self, length: int, lot: str, *, new: bool) -> int | None:
        runs = self.question.runs
        fits = [
            i for i, run in enumerate(runs) if run.lot == lot and self.free[i] >= length
        ]
        begun = [i for i in fits if runs[i].begun or self.free[i] < runs[i].free]
        choice = begun or (fits if new else [])
        if self.best:
            return min(choice, key=self.free.__getitem__, default=None)
        return next(iter(choice), None)


def _by_length(
    question: Question, wanted: Sequence[tuple[int, int]]
) -> list[tuple[int, int]]:
    need: Counter[int] = Counter()
    for at, sets in wanted:
        for length, per in question.needs[at].items():
            need[length] += per * sets
    return sorted(need.items(), reverse=True)


def in_turn(question: Question, *, best: bool = False) -> Placed:
    """
    Cut order after order, the largest first, each from the first lot that takes it all.

    Longest part first, from the first run with room (`best`: the fullest); a new spool
    is begun where no begun one does.  What no lot takes whole goes set by set.
    """
    filling = _Filling(question, best=best)
    for places in _largest_first(question):
        whole = [(at, question.wants[at].sets) for at in places]
        if not filling.take(whole):
            _set_by_set(filling, places)
    return Placed(dict(filling.sets), dict(filling.cut))


def _largest_first(question: Question) -> list[list[int]]:
    loose = [[at] for at, want in enumerate(question.wants) if want.order is None]
    groups = [*question.orders.values(), *loose]
    wants, sizes = question.wants, question.sizes
    return sorted(groups, key=lambda g: -sum(sizes[i] * wants[i].sets for i in g))


def _set_by_set(filling: _Filling, places: Sequence[int]) -> None:
    for at in places:
        for _ in range(filling.question.wants[at].sets):
            if not filling.take([(at, 1)]):
                break
