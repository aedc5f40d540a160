"""
Cutting all that one lot is to give: runs filled to the last inch, one after another.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from planner.engines.cutting_bounds import Watch
from planner.engines.cutting_fits import best_fill
from planner.engines.cutting_lots import Corner
from planner.engines.cutting_program import MOST_STEPS, Program, told
from planner.engines.cutting_runs import Placed, Question, fills, scores

ONE_LOT = 0.4
"""Seconds that one level of one lot may take."""
UNCUT, NEW, ENDS = 0, 2, 3


def cut_each_lot(question: Question, plan: Placed, watch: Watch) -> Placed | None:
    """Cut the sets that a plan gives each lot; None where the runs are too short."""
    for lot in question.lots:
        corner = Corner.of(question, plan, (lot,))
        if corner.question.wants:
            found = cut_whole(corner.question, watch)
            if found is None:
                return None
            plan = corner.put_back(question, plan, found)
    return plan


def cut_whole(question: Question, watch: Watch) -> Placed | None:
    """Cut all that is wanted of a lot: few new spools, then short ends low."""
    found = by_filling(question)
    if found is not None and as_good_as_it_gets(question, found):
        return found
    seconds = min(watch.left() / 4, ONE_LOT)
    program = Program(question)
    limits = [told(question, at, 0) for at in range(NEW)]
    if found is None:
        found, _ = program.solve(NEW, limits, watch=watch, seconds=seconds)
    if found is None or as_good_as_it_gets(question, found):
        return found
    limits.append(told(question, NEW, scores(question, found)[NEW]))
    fuller, _ = program.solve(ENDS, limits, watch=watch, seconds=seconds)
    plans = [found] if fuller is None else [found, fuller]
    return min(plans, key=lambda plan: scores(question, plan))


def as_good_as_it_gets(question: Question, placed: Placed) -> bool:
    """
    Say whether no new spool is opened and the ends can't be shorter.

    So it is when nothing is lost, or when all runs are cut from and their rest
    together wouldn't be of use.
    """
    worth = scores(question, placed)
    begun = [
        (run.length - x, x)
        for x, run in zip(fills(question, placed), question.runs, strict=True)
        if run.begun
    ]
    tight = all(x for _, x in begun) and sum(r for r, _ in begun) < question.usable
    return not worth[NEW] and (tight or not worth[ENDS])


def by_filling(question: Question) -> Placed | None:
    """Fill run after run as full as it goes, in several orders; None if none holds."""
    if max(run.free for run in question.runs) // question.step > MOST_STEPS:
        return None
    plans = [_filled(question, turn) for turn in _turns(question)]
    whole = [plan for plan in plans if plan is not None]
    return min(whole, key=lambda plan: scores(question, plan), default=None)


def _turns(question: Question) -> Iterator[list[int]]:
    """Give orders of the runs: each begun one last once, new spools after them."""
    begun = [i for i, run in enumerate(question.runs) if run.begun]
    new = [i for i, run in enumerate(question.runs) if not run.begun]
    begun.sort(key=lambda i: question.runs[i].free)
    yield begun + new
    for last in begun[:-1]:
        yield [i for i in begun if i != last] + [last, *new]


def _filled(question: Question, turn: Sequence[int]) -> Placed | None:
    sizes = [x // question.step for x in question.lengths]
    left = _wanted(question)
    cut: dict[tuple[int, int], int] = {}
    for run in turn:
        room = question.runs[run].free // question.step
        if not any(left):
            break
        taken = _fill(sizes, left, room)
        left = [n - k for n, k in zip(left, taken, strict=True)]
        cut |= {(run, x): k for x, k in zip(question.lengths, taken, strict=True) if k}
    if any(left):
        return None
    lot = question.lots[0]
    return Placed({(at, lot): w.sets for at, w in enumerate(question.wants)}, cut)


def _fill(sizes: Sequence[int], left: Sequence[int], room: int) -> Sequence[int]:
    """Fill a run as full as it goes, with long parts rather than short ones."""
    if sum(x * n for x, n in zip(sizes, left, strict=True)) <= room:
        return left
    most = room * room + 1
    return best_fill(sizes, left, room, [x * most + x * x for x in sizes])[1]


def _wanted(question: Question) -> list[int]:
    pairs = list(zip(question.needs, question.wants, strict=True))
    return [sum(need[x] * want.sets for need, want in pairs) for x in question.lengths]
