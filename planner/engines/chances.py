"""
Many draws of the same plan at once: when each task leaves the bench in each of them.

Pure numbers, no chance of its own: what was drawn comes in as arrays, so that two
plans can be given the same draws (common random numbers). The policy is the one of
`engines.sequence.preemptive_edd`: whenever the bench is free or something comes in,
the task that must leave first is worked on. As that order is fixed, each task only
ever gives way to those before it: it takes what they have left of each sitting, for
all draws at once.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from planner.engines.forecast import Floats

Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Bench:
    """
    Sittings ahead, and how fast each goes in each draw.

    start, length (sittings,): clock minutes; rate (sittings, draws): median bench
    minutes done in a clock minute, 0 for a sitting that is missed.
    """

    start: Floats
    length: Floats
    rate: Floats


def off_bench(bench: Bench, work: Floats, release: Ints) -> Floats:
    """
    Give the clock minute each task leaves the bench, infinite when it never does.

    work, release (tasks, draws), the tasks in the order of the policy: median bench
    minutes, and the first sitting in which a task may be worked on (as many as there
    are sittings for never). Gives (tasks, draws).
    """
    free = bench.rate * bench.length[:, None]
    done = np.full(work.shape, np.inf)
    here = _all_here(release)
    if here and len(free):
        _in_turn(bench, running(free), running(work[:here]), done[:here])
    if here < len(work):
        free = _left_over(free, work[:here].sum(axis=0))
        # Clock minutes that go by for each bench minute: any where nothing is done.
        slow = np.divide(1.0, bench.rate, out=np.zeros_like(free), where=free > 0)
        end = bench.start + bench.length
        for task in range(here, len(work)):
            _place(free, slow, end, work[task], release[task], done[task])
    return done


def _all_here(release: Ints) -> int:
    """Count the first tasks that wait for nothing in any draw."""
    waits = np.flatnonzero(release.any(axis=1))
    return int(waits[0]) if waits.size else len(release)


def running(rows: Floats) -> Floats:
    """Add up row by row: numpy's own running sum down the columns is slower by far."""
    total = np.array(rows, dtype=np.float64)
    for at in range(1, len(total)):
        total[at] += total[at - 1]
    return total


def _in_turn(bench: Bench, gone: Floats, wanted: Floats, done: Floats) -> None:
    """
    Place tasks that are all here: find the sitting each total falls into.

    gone (sittings, draws), wanted (tasks, draws): bench minutes up to the end of each.
    Compared in single precision: what a total is over by that can't be told fits.
    """
    ends, totals = gone.astype(np.float32), wanted.astype(np.float32)
    most, least = ends.max(axis=1), ends.min(axis=1)
    sittings, draws = gone.shape
    column, end = np.arange(draws), bench.start + bench.length
    for task, total in enumerate(totals):
        # Before `first` a sitting is over in every draw, and none reaches `last`.
        first = int(np.searchsorted(most, total.min()))
        last = int(np.searchsorted(least, total.max()))
        over = (ends[first:last] < total).view(np.uint8)
        at = np.add.reduce(over, axis=0, dtype=_small(last - first)).astype(np.intp)
        at += first
        where = np.minimum(at, sittings - 1) * draws + column
        unused = np.maximum(gone.take(where) - wanted[task], 0.0)
        rate = bench.rate.take(where)
        moment = end.take(at, mode="clip")
        moment -= np.divide(unused, rate, out=np.zeros(draws), where=rate > 0)
        np.copyto(done[task], moment, where=at < sittings)


def _small(most: int) -> type[np.unsignedinteger[Any]]:
    """Give the least type that can count so far."""
    return np.uint8 if most < 256 else np.uint16


def _left_over(free: Floats, taken: Floats) -> Floats:
    """Give what is left of each sitting once so many minutes are taken in order."""
    before = running(free) - free
    return np.asarray(free - np.clip(taken - before, 0.0, free))


def _place(
    free: Floats, slow: Floats, end: Floats, work: Floats, since: Ints, done: Floats
) -> None:
    """Let a task take what is left of each sitting until it is done, in every draw."""
    left, moment = work.copy(), np.full(work.shape, np.inf)
    last_in = int(since.max(initial=0))
    for at in range(int(since.min(initial=0)), len(free)):
        open_ = free[at] if at >= last_in else np.where(since <= at, free[at], 0.0)
        if not open_.any():
            continue
        take = np.minimum(left, open_)
        left -= take
        free[at] -= take
        # What others leave of a sitting lies at its end.
        np.copyto(moment, end[at] - free[at] * slow[at], where=take > 0)
        if not left.any():
            break
    np.copyto(done, moment, where=left <= 0)
