"""
Whole jobs one after another: rules and their tables, tardiness, a rush put in.

Pure numbers; nothing is interrupted here and all jobs are there at the start. What
to follow at the bench, with release times and sittings, is planner.engines.sequence.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from planner.engines.sequence import Job, edd, in_turn

Rule: TypeAlias = Callable[[Sequence[Job]], list[Job]]


def critical_ratio_order(jobs: Sequence[Job]) -> list[Job]:
    """
    Order by time left over minutes needed, looked at again after each job.

    Jobs already late go first, the shortest before the others (Nahmias, ch. 8).
    """
    left, now, order = list(jobs), 0.0, []
    while left:
        pick = min(left, key=lambda j: _urgency(j, now))
        order.append(pick)
        left.remove(pick)
        now += pick.minutes
    return order


def _urgency(job: Job, now: float) -> tuple[int, float]:
    slack = job.off_bench - now
    if slack < 0:
        return 0, job.minutes
    return 1, slack / job.minutes if job.minutes else 0.0


RULES: Mapping[str, Rule] = {
    "FCFS": list,
    "SPT": lambda jobs: sorted(jobs, key=lambda j: j.minutes),
    "LPT": lambda jobs: sorted(jobs, key=lambda j: -j.minutes),
    "EDD": edd,
    "CR": critical_ratio_order,
}
"""First come, shortest first, longest first, earliest due, least critical ratio."""


@dataclass(frozen=True, slots=True)
class TurnTable:
    """
    What an order of whole jobs gives, all of them there at time 0.

    Means in the jobs' unit of time; jobs_there: mean number in the house;
    utilisation: bench time over total time in the house.
    """

    order: tuple[str, ...]
    mean_flow: float
    mean_tardiness: float
    jobs_there: float
    utilisation: float
    late: int
    largest_lateness: float


def turn_table(jobs: Sequence[Job], rule: str | Rule = "EDD") -> TurnTable:
    """
    Make the table of one rule, named (see RULES) or given.

    Raises ValueError without jobs, for which means say nothing.
    """
    if not jobs:
        raise ValueError("a table of no jobs says nothing; give at least one")
    order = (RULES[rule] if isinstance(rule, str) else rule)(jobs)
    ready = in_turn(order).ready
    lateness = [ready[j.key] - j.due for j in order]
    flow = sum(ready.values())
    return TurnTable(
        order=tuple(j.key for j in order),
        mean_flow=flow / len(order),
        mean_tardiness=sum(max(x, 0.0) for x in lateness) / len(order),
        jobs_there=flow / sum(j.minutes for j in order),
        utilisation=sum(j.minutes for j in order) / flow,
        late=sum(x > 0 for x in lateness),
        largest_lateness=max(lateness),
    )


@dataclass(frozen=True, slots=True)
class Insertion:
    """
    A rush job put at one position of a promised order, and what it moves.

    newly_late: jobs on time before and late after. added_tardiness: over the
    promised jobs, the rush job's own left out.
    """

    position: int
    order: tuple[str, ...]
    ready: float
    on_time: bool
    newly_late: tuple[str, ...]
    added_tardiness: float


def insertions(promised: Sequence[Job], rush: Job) -> list[Insertion]:
    """Try the rush job at every position of the promised order, first to last."""
    before = _tardiness(promised, in_turn(promised).ready)
    return [_insertion(promised, rush, at, before) for at in range(len(promised) + 1)]


def best_on_time(found: Iterable[Insertion]) -> Insertion | None:
    """Among on-time positions, the fewest newly late, then least added tardiness."""
    meets = [x for x in found if x.on_time]
    return min(
        meets, key=lambda x: (len(x.newly_late), x.added_tardiness), default=None
    )


def earliest_harmless(
    found: Iterable[Insertion], *, at_all: bool = False
) -> Insertion | None:
    """Give the earliest position with no job newly late, or later at all."""
    kind = [x for x in found if not (x.added_tardiness if at_all else x.newly_late)]
    return min(kind, key=lambda x: x.ready, default=None)


def _insertion(
    promised: Sequence[Job], rush: Job, at: int, before: Mapping[str, float]
) -> Insertion:
    order = [*promised[:at], rush, *promised[at:]]
    ready = in_turn(order).ready
    after = _tardiness(promised, ready)
    return Insertion(
        position=at,
        order=tuple(j.key for j in order),
        ready=ready[rush.key],
        on_time=ready[rush.key] <= rush.due,
        newly_late=tuple(k for k, x in after.items() if x > 0 and before[k] <= 0),
        added_tardiness=sum(after.values()) - sum(before.values()),
    )


def _tardiness(jobs: Sequence[Job], ready: Mapping[str, float]) -> dict[str, float]:
    return {j.key: max(ready[j.key] - j.due, 0.0) for j in jobs}


def least_tardiness(jobs: Sequence[Job]) -> tuple[float, list[str]]:
    """
    Give the least total weighted tardiness and an order that has it, exactly.

    Dynamic program over sets of jobs done first (Held & Karp 1962), for jobs that
    are all here. Raises ValueError beyond 15 jobs, or when releases differ.
    """
    if len(jobs) > 15 or len({j.release for j in jobs}) > 1:
        raise ValueError("exact tardiness needs at most 15 jobs, all here at once")
    start = max((j.release for j in jobs), default=0.0)
    sets = np.arange(1 << len(jobs))
    inside = np.stack([(sets >> i) & 1 for i in range(len(jobs))] or [sets])
    done = start + np.array([j.minutes for j in jobs] or [0.0]) @ inside
    sizes = inside.sum(axis=0)
    cost, last = np.full(sets.size, math.inf), np.zeros(sets.size, dtype=np.int64)
    cost[0] = 0.0
    for size in range(1, len(jobs) + 1):
        layer = sets[sizes == size]
        for i, job in enumerate(jobs):
            ending = layer[(layer >> i) & 1 == 1]
            late = np.maximum(done[ending] - job.off_bench, 0.0) * job.weight
            trial = cost[ending ^ (1 << i)] + late
            better = trial < cost[ending]
            cost[ending[better]], last[ending[better]] = trial[better], i
    return float(cost[-1]), _unwind(jobs, last)


def _unwind(jobs: Sequence[Job], last: NDArray[np.int64]) -> list[str]:
    keys, left = [], (1 << len(jobs)) - 1
    while left:
        i = int(last[left])
        keys.append(jobs[i].key)
        left ^= 1 << i
    return keys[::-1]


def lawler(
    minutes: Sequence[float],
    costs: Sequence[Callable[[float], float]],
    after: Mapping[int, Iterable[int]] | None = None,
) -> tuple[float, list[int]]:
    """
    Give the least largest cost of finishing, and an order that has it (Lawler 1973).

    costs: a non-falling cost of finishing at a time, one a job. after: for a job,
    those that must come after it. From the end, the cheapest job that may be last
    is put last; equals go to the later index.
    """
    left, order, worst = set(range(len(minutes))), [], -math.inf
    now = float(sum(minutes))
    must = {i: set(late) for i, late in (after or {}).items()}
    while left:
        may = [i for i in left if not must.get(i, set()) & left]
        pick = min(may, key=lambda i: (costs[i](now), -i))
        worst = max(worst, costs[pick](now))
        order.append(pick)
        left.remove(pick)
        now -= minutes[pick]
    return worst, order[::-1]
