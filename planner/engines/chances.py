"""
Many draws of the same plan at once: when each task leaves the bench in each of them.

Pure numbers, no chance of its own: what was drawn comes in as arrays, so that two
plans can be given the same draws (common random numbers). The policy is the one of
`engines.sequence.preemptive_edd`: whenever the bench is free or something comes in,
the task that must leave first is worked on. As that order is fixed, each task only
ever gives way to those before it, and a whole column of draws is placed at once.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

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

    start, length (sittings,): clock minutes; rate (draws, sittings): median bench
    minutes done in a clock minute, 0 for a sitting that is missed.
    """

    start: Floats
    length: Floats
    rate: Floats


def off_bench(bench: Bench, work: Floats, release: Ints) -> Floats:
    """
    Give the clock minute each task leaves the bench, infinite when it never does.

    work, release (draws, tasks), the tasks in the order of the policy: median bench
    minutes, and the first sitting in which a task may be worked on (as many as there
    are sittings for never). Gives (draws, tasks).
    """
    free = bench.rate * bench.length
    done = np.empty_like(work)
    for first, last in _blocks(release):
        block, since = work[:, first:last], release[:, first]
        open_ = free
        if since.any():
            open_ = np.where(np.arange(free.shape[1]) >= since[:, None], free, 0.0)
        gone = np.cumsum(open_, axis=1)
        wanted = np.cumsum(block, axis=1)
        done[:, first:last] = _moments(bench, free, gone, wanted)
        if last < work.shape[1]:
            free = _what_is_left(free, open_, gone, wanted[:, -1:])
    return done


def _blocks(release: Ints) -> Iterator[tuple[int, int]]:
    """Cut the tasks into runs that may be worked on from the same sitting in a draw."""
    tasks = release.shape[1]
    if not tasks:
        return
    changes = np.flatnonzero((release[:, 1:] != release[:, :-1]).any(axis=0)) + 1
    edges = [0, *changes.tolist(), tasks]
    yield from pairwise(edges)


def _moments(bench: Bench, free: Floats, gone: Floats, wanted: Floats) -> Floats:
    """Find the sitting in which each total is reached, and how far into it."""
    draws, sittings = gone.shape
    if not sittings:
        return np.full(wanted.shape, np.inf)
    at = _search(gone, wanted - TINY)
    never = at >= sittings
    at = np.minimum(at, sittings - 1)
    row = np.arange(draws)[:, None]
    whole = (bench.rate * bench.length)[row, at]
    # What is no longer free of the sitting was used before: those tasks come first.
    used = whole - free[row, at] + wanted - (gone[row, at] - free[row, at])
    share = np.divide(used, whole, out=np.ones_like(used), where=whole > 0)
    moment = bench.start[at] + np.clip(share, 0.0, 1.0) * bench.length[at]
    return np.where(never, np.inf, moment)


def _search(rising: Floats, wanted: Floats) -> Ints:
    """
    Give for each wanted figure the first column of its row that is not less.

    Rows are put end to end with a step between, so that one search does for all.
    """
    draws, columns = rising.shape
    step = max(float(rising[:, -1].max()), float(wanted.max())) + 1.0
    rows = np.arange(draws)[:, None]
    found = np.searchsorted(
        (rising + step * rows).ravel(), (wanted + step * rows).ravel()
    )
    return np.asarray(
        np.clip(found.reshape(wanted.shape) - rows * columns, 0, columns),
        dtype=np.int64,
    )


def _what_is_left(free: Floats, open_: Floats, gone: Floats, taken: Floats) -> Floats:
    """Take what some tasks use off the free minutes, the earliest first."""
    before = gone - open_
    return np.asarray(free - np.clip(taken - before, 0.0, open_))
