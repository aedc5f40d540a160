"""
From counts to a list to cut from: which order's parts each run gives, in what order.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

from planner.engines.cutting_runs import Placed, Question
from planner.plans.cutting import Cut, CuttingPlan, Part, Run


class _Piece:
    """Parts of one want and role still to be dealt to runs; private and mutable."""

    def __init__(self, want: int, part: Part, count: int) -> None:
        self.want, self.part, self.count = want, part, count


def dealt(question: Question, plan: Placed) -> dict[Run, tuple[Cut, ...]]:
    """
    Give the cuts of each run: want after want as asked, the longest part first.

    `want` is a place in the question's wants.
    """
    found: dict[Run, tuple[Cut, ...]] = {}
    for lot in question.lots:
        pieces = _pieces(question, plan, lot)
        for i, run in enumerate(question.runs):
            if run.lot == lot:
                taken = list(_taken(question, plan, i, pieces))
                found[run] = tuple(_in_turn(run, taken))
    return found


def _pieces(question: Question, plan: Placed, lot: str) -> dict[int, list[_Piece]]:
    """Give all parts that a lot is to give, by the length they count for."""
    found: dict[int, list[_Piece]] = {x: [] for x in question.lengths}
    for at, want in enumerate(question.wants):
        sets = plan.sets.get((at, lot), 0)
        for part in want.parts if sets else ():
            piece = _Piece(at, part, part.count * sets)
            found[question.counted(part.length)].append(piece)
    return found


def _taken(
    question: Question, plan: Placed, run: int, pieces: dict[int, list[_Piece]]
) -> Iterator[Cut]:
    for x in question.lengths:
        left = plan.cut.get((run, x), 0)
        while left:
            piece = pieces[x][0]
            n = min(left, piece.count)
            part = piece.part
            yield Cut(piece.want, part.role, part.length, n, 0, part.over)
            left -= n
            piece.count -= n
            if not piece.count:
                pieces[x].pop(0)


def _in_turn(run: Run, taken: list[Cut]) -> Iterator[Cut]:
    left = run.length
    for cut in sorted(taken, key=lambda c: (c.want, -c.length, c.role)):
        left -= cut.length * cut.count
        yield replace(cut, left=left)


def uncut(plan: CuttingPlan) -> tuple[tuple[int, int], ...]:
    """Give (want, sets) that a plan leaves uncut."""
    short = []
    for at, want in enumerate(plan.wants):
        part = want.parts[0]
        mine = [p for p in want.parts if p.role == part.role]
        per = sum(p.count for p in mine)
        cut = sum(
            c.count for r in plan.runs for c in r.cuts
            if c.want == at and c.role == part.role
        )  # fmt: skip
        if cut < per * want.sets:
            short.append((at, want.sets - cut // per))
    return tuple(short)


def check(plan: CuttingPlan) -> None:
    """
    Go through a plan again in whole nanometres.

    Raises ArithmeticError for a run cut too far, a remainder that is wrong, a set cut
    in part or from two lots: a bug, never to be shown as a plan.
    """
    given: Counter[tuple[int, str, str, int]] = Counter()
    for cuts in plan.runs:
        left = cuts.run.length
        for cut in cuts.cuts:
            left -= cut.length * cut.count
            given[cut.want, cuts.run.lot, cut.role, cut.length] += cut.count
            if left != cut.left or plan.wants[cut.want].ribbon != cuts.run.ribbon:
                raise ArithmeticError("a cutting plan was made that doesn't add up")
        if left < cuts.run.length - cuts.run.free:
            raise ArithmeticError("a cutting plan was made that is too long for a run")
    _check_sets(plan, given)


def _check_sets(plan: CuttingPlan, given: Counter[tuple[int, str, str, int]]) -> None:
    short = dict(plan.uncut)
    for at, want in enumerate(plan.wants):
        need: Counter[tuple[str, int]] = Counter()
        for part in want.parts:
            need[part.role, part.length] += part.count
        sets = 0
        for lot in {lot for w, lot, _, _ in given if w == at}:
            whole = {given[at, lot, *key] / n for key, n in need.items()}
            if len(whole) > 1 or not min(whole).is_integer():
                raise ArithmeticError("a cutting plan was made that mixes dye lots")
            sets += int(min(whole))
        if sets + short.get(at, 0) != want.sets:
            raise ArithmeticError("a cutting plan was made that forgets a set")
