"""
Exchanging orders between lots, so that what is left of a lot is nothing or of use.

Two lots at a time, exactly: which sums of whole orders can be reached is kept as the
bits of one large number.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from typing import NamedTuple

from planner.engines.cutting_runs import Placed, Question

ROUNDS = 20
MOST_BITS = 400_000
"""Lots longer than so many steps are left as they are."""


class Group(NamedTuple):
    """Sets that go together from one lot to another: (want, sets), steps in all."""

    sets: tuple[tuple[int, int], ...]
    size: int


def swapped(
    question: Question, plan: Placed, rooms: Sequence[int], *, spare: int
) -> Placed:
    """
    Give sets by lot with the least left over to be lost, as far as swaps lead.

    rooms: steps that can be cut from each run; new spools count where a plan opens
    them.  `spare` steps of each lot stay free.  The answer says nothing of runs.
    """
    groups = _groups(question, plan)
    space = _space(question, plan, rooms)
    usable = -(-question.usable // question.step)
    if max(space.values(), default=0) > MOST_BITS:
        return Placed(plan.sets)
    for _ in range(ROUNDS):
        before = {lot: list(held) for lot, held in groups.items()}
        for pair in itertools.combinations(groups, 2):
            _share(groups, space, pair, usable=usable, spare=spare)
        if before == groups:
            break
    return _placed(question, plan, groups)


def _groups(question: Question, plan: Placed) -> dict[str, list[Group]]:
    """Give what may change its lot: orders cut from one lot, sets without an order."""
    found: dict[str, list[Group]] = {lot: [] for lot in question.lots}
    for places in question.orders.values():
        taken = [(k[0], k[1], n) for k, n in plan.sets.items() if k[0] in places]
        if len({lot for _, lot, _ in taken}) == 1:
            sets = tuple((at, n) for at, _, n in taken)
            found[taken[0][1]].append(Group(sets, _size(question, sets)))
    for (at, lot), n in plan.sets.items():
        if question.wants[at].order is None:
            one = ((at, 1),)
            found[lot] += [Group(one, _size(question, one))] * n
    return found


def _size(question: Question, sets: Sequence[tuple[int, int]]) -> int:
    return sum(question.sizes[at] * n for at, n in sets) // question.step


def _space(question: Question, plan: Placed, rooms: Sequence[int]) -> dict[str, int]:
    """Give the steps of each lot that are free for groups."""
    opened = {question.runs[run].spool for run, _ in plan.cut}
    space = dict.fromkeys(question.lots, 0)
    for run, room in zip(question.runs, rooms, strict=True):
        if run.begun or run.spool in opened:
            space[run.lot] += room
    for order in question.orders.values():
        taken = [(k, n) for k, n in plan.sets.items() if k[0] in order]
        if len({lot for (_, lot), _ in taken}) > 1:
            for (at, lot), n in taken:
                space[lot] -= _size(question, [(at, n)])
    return space


def _lost(rest: int, usable: int) -> int:
    return rest if rest < usable else 0


def _share(
    groups: dict[str, list[Group]],
    space: dict[str, int],
    pair: tuple[str, str],
    *,
    usable: int,
    spare: int,
) -> None:
    """Share the groups of two lots anew, if that loses less."""
    one, other = pair
    every = groups[one] + groups[other]
    total = sum(group.size for group in every)
    now = sum(group.size for group in groups[one])

    def lost(filled: int) -> int:
        rests = (space[one] - filled, space[other] - total + filled)
        return sum(_lost(rest, usable) for rest in rests)

    sums = _sums(every)
    least = max(0, total - space[other] + spare)
    reach = [n for n in range(least, min(space[one] - spare, total) + 1)
             if sums[-1] >> n & 1]  # fmt: skip
    best = min(reach, key=lost, default=now)
    if lost(best) < lost(now):
        groups[one], groups[other] = _split(every, sums, best)


def _sums(groups: Sequence[Group]) -> list[int]:
    """Give, group by group, the sums that can be reached, as bits of a number."""
    found = [1]
    for group in groups:
        found.append(found[-1] | found[-1] << group.size)
    return found


def _split(
    groups: Sequence[Group], sums: Sequence[int], filled: int
) -> tuple[list[Group], list[Group]]:
    """Give the groups that make up a sum, and the others."""
    inside: list[Group] = []
    outside: list[Group] = []
    for group, before in zip(reversed(groups), reversed(sums[:-1]), strict=True):
        if before >> filled & 1:
            outside.append(group)
        else:
            inside.append(group)
            filled -= group.size
    return inside, outside


def _placed(question: Question, plan: Placed, groups: dict[str, list[Group]]) -> Placed:
    """Give sets by lot: those of the groups, and all others where they were."""
    moved = {at for held in groups.values() for group in held for at, _ in group.sets}
    sets = {k: n for k, n in plan.sets.items() if k[0] not in moved}
    for lot, held in groups.items():
        for group in held:
            for at, n in group.sets:
                sets[at, lot] = sets.get((at, lot), 0) + n
    return Placed(sets)
