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

import numpy as np
from numpy.typing import NDArray

from planner.engines.forecast import Floats

Ints = NDArray[np.int64]

TINY = 1e-7
"""Bench minutes that are none."""


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
    # Clock minutes that go by for each bench minute: no matter where nothing is done.
    slow = np.divide(1.0, bench.rate, out=np.zeros_like(free), where=bench.rate > 0)
    end = bench.start + bench.length
    done = np.full(work.shape, np.inf)
    here = _all_here(release)
    if here and len(free):
        done[:here] = _in_turn(free, slow, end, work[:here])
        free = _left_over(free, work[:here].sum(axis=0))
    for task in range(here, len(work)):
        _place(free, slow, end, work[task], release[task], done[task])
    return done


def _all_here(release: Ints) -> int:
    """Count the first tasks that wait for nothing in any draw."""
    waits = np.flatnonzero(release.any(axis=1))
    return int(waits[0]) if waits.size else len(release)


def _in_turn(free: Floats, slow: Floats, end: Floats, work: Floats) -> Floats:
    """Place tasks that are all here: find the sitting each total falls into."""
    gone = np.ascontiguousarray(np.cumsum(free, axis=0).T)
    wanted = np.ascontiguousarray(np.cumsum(work, axis=0).T)
    draws, sittings = gone.shape
    # Rows are put end to end with a step between, so that one search does for all.
    step = max(float(gone[:, -1].max()), float(wanted.max())) + 1.0
    rows = np.arange(draws)[:, None]
    at = np.searchsorted((gone + step * rows).ravel(), wanted + (step * rows - TINY))
    never = at >= (rows + 1) * sittings
    at = np.where(never, 0, at)
    unused = np.maximum(gone.ravel()[at] - wanted, 0.0)
    moment = end[at - rows * sittings * ~never]
    moment -= unused * np.ascontiguousarray(slow.T).ravel()[at]
    moment[never] = np.inf
    return np.asarray(moment.T)


def _left_over(free: Floats, taken: Floats) -> Floats:
    """Give what is left of each sitting once so many minutes are taken in order."""
    before = np.cumsum(free, axis=0) - free
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
