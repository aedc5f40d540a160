"""
One ribbon's cutting plan, each level kept low and bounded before the next.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from planner.engines.cutting_bounds import Watch
from planner.engines.cutting_lots import Corner, Lots
from planner.engines.cutting_one_lot import cut_each_lot
from planner.engines.cutting_program import Program, better, proved, told
from planner.engines.cutting_runs import Placed, Question, Scores, in_turn, scores
from planner.engines.cutting_swaps import swapped

UNCUT, LOTS, NEW, ENDS, SPOOLS = range(5)
SHARES = (0.5, 0.4, 0.5, 0.25, 0.9)
"""Of the time left, how much each level's program may take."""
FOR_PAIRS = 0.7
"""Of the time left, how much goes into the ends of two lots at a time."""
SPARE = (0.0, 0.004, 0.01)
"""Shares of each lot left free, until its parts can be cut from its runs."""
SPARE_STEPS = (0, 1, 2, 4, 8)
"""Steps of each lot left free when orders are exchanged."""
ONE_TRY = 0.6
"""Seconds that two lots may take."""


def by_levels(question: Question, watch: Watch) -> tuple[Placed, Scores, Scores]:
    """
    Give a plan, what it is worth, and what no plan could beat level by level.

    A level that meets what is reckoned without a solver is passed over.
    """
    search = _Search(question, watch)
    bounds = [search.level(level) for level in range(UNCUT, SPOOLS + 1)]
    return search.plan, search.worth, tuple(bounds)  # type: ignore[return-value]


class _Search:
    """The best plan so far, and what it is worth; private and mutable."""

    def __init__(self, question: Question, watch: Watch) -> None:
        self.question, self.watch = question, watch
        self.program = Program(question)
        starts = [Placed(), in_turn(question), in_turn(question, best=True)]
        self.worth, self.plan = better(question, starts)

    def level(self, level: int) -> int:
        """Keep one level low, those before it staying as they are: its bound."""
        bound = reckoned(self.question, level, self.worth)
        if self.worth[level] > bound and level <= NEW:
            bound = max(bound, self._by_lots(level))
        if self.worth[level] > bound and level == ENDS:
            self._take(ends_by_lots(self.question, self.plan, self.watch))
            self._take(ends_by_swaps(self.question, self.plan, self.watch))
        if self.worth[level] > bound and self.watch.left():
            bound = max(bound, self._in_whole(level))
        if self.worth[level] > bound and level == ENDS:
            self._take(ends_by_pairs(self.question, self.plan, self.watch, bound))
        return bound

    def _take(self, plan: Placed | None) -> None:
        self.worth, self.plan = better(self.question, [self.plan, plan])

    def _by_lots(self, level: int) -> int:
        plan, bound = by_whole_lots(self.question, level, self.worth, self.watch)
        self._take(plan)
        return min(bound, self.worth[level])

    def _in_whole(self, level: int) -> int:
        """Solve the whole program for one level."""
        limits = [told(self.question, at, self.worth[at]) for at in range(level)]
        watch, seconds = self.watch, self.watch.left() * SHARES[level]
        found, bound = self.program.solve(level, limits, watch=watch, seconds=seconds)
        self._take(found)
        return min(proved(self.question, level, bound), self.worth[level])


def by_whole_lots(
    question: Question, level: int, worth: Scores, watch: Watch
) -> tuple[Placed | None, int]:
    """Keep one level low as if a lot were one run, then cut each: (a plan, a bound)."""
    limits = [told(question, at, worth[at]) for at in range(level)]
    bound, plan = 0, None
    for spare in SPARE:
        program, seconds = Lots(question, spare), watch.left() / 6
        found, low = program.solve(level, limits, watch=watch, seconds=seconds)
        bound = bound if spare else proved(question, level, low)
        plan = cut_each_lot(question, found, watch) if found else None
        if plan is not None or not watch.left():
            break
    return plan, bound


def reckoned(question: Question, level: int, worth: Scores) -> int:
    """Give what follows from lengths alone: spools needed to hold what is cut."""
    if level not in (NEW, SPOOLS) or worth[UNCUT]:
        return 0
    rooms: dict[bool, dict[str, int]] = {True: {}, False: {}}
    for run in question.runs:
        kind = rooms[run.begun]
        kind[run.spool] = kind.get(run.spool, 0) + run.free
    new = sorted(rooms[False].values(), reverse=True)
    begun = sorted(rooms[True].values(), reverse=True)
    total = sum(want.length * want.sets for want in question.wants)
    if level == NEW:
        return _fewest(new, total - sum(begun))
    return _fewest(begun, total - sum(new[: worth[NEW]]))


def _fewest(rooms: Sequence[int], length: int) -> int:
    """Give how many of the largest rooms hold a length."""
    held = itertools.accumulate(rooms, initial=0)
    return next((n for n, room in enumerate(held) if room >= length), len(rooms))


def _again(
    question: Question, plan: Placed, lots: Sequence[str], watch: Watch, share: float
) -> Placed:
    """Keep the ends of some lots low, all else as it is or better."""
    corner = Corner.of(question, plan, tuple(lots))
    inner, now = corner.question, corner.inside(plan)
    if not inner.wants or not inner.runs:
        return plan
    worth = scores(inner, now)
    if not worth[ENDS]:
        return plan
    limits = [told(inner, level, worth[level]) for level in range(ENDS)]
    seconds = min(ONE_TRY, watch.left() * share)
    found, _ = Program(inner).solve(ENDS, limits, watch=watch, seconds=seconds)
    return plan if found is None else corner.put_back(question, plan, found)


def ends_by_lots(question: Question, plan: Placed, watch: Watch) -> Placed:
    """Keep the ends low within each lot, the sets staying where they are."""
    for lot in question.lots:
        plan = _better(question, plan, _again(question, plan, [lot], watch, 0.25))
    return plan


def _better(question: Question, plan: Placed, other: Placed | None) -> Placed:
    return better(question, [plan, other])[1]


def ends_by_swaps(question: Question, plan: Placed, watch: Watch) -> Placed:
    """Exchange orders between lots so that less is lost, and cut the lots anew."""
    rooms = Program(question).rooms
    tried = [plan.sets]
    for spare in SPARE_STEPS:
        if not scores(question, plan)[ENDS] or not watch.left():
            break
        apart = swapped(question, plan, rooms, spare=spare)
        if apart.sets not in tried:
            tried.append(apart.sets)
            plan = _better(question, plan, cut_each_lot(question, apart, watch))
    return plan


def ends_by_pairs(
    question: Question, plan: Placed, watch: Watch, enough: int
) -> Placed:
    """Keep the ends low within two lots at a time, as long as that helps."""
    plan = ends_by_lots(question, plan, watch)
    until = watch.left() * (1 - FOR_PAIRS)
    pairs = list(itertools.combinations(question.lots, 2))
    idle = 0
    for pair in itertools.cycle(pairs):
        short = scores(question, plan)[ENDS] <= enough
        if short or watch.left() <= until or idle >= len(pairs):
            break
        again = _better(question, plan, _again(question, plan, pair, watch, 1.0))
        idle = 0 if again is not plan else idle + 1
        plan = again
        watch.tick()
    return plan
