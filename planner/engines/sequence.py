"""
In what order to make things on one bench, and what that does to each due time.

Pure numbers; times are minutes. A Timeline turns clock minutes into bench minutes
(minutes of her sittings that have passed) and back; without one they are the same.
The named policy is preemptive earliest due less remaining setting time, with release
times: whenever the bench is free or something is released, work on what must leave
the bench first. It is optimal for the largest lateness on one bench (Jackson 1955
without, Horn 1974 with release times); gaps between sittings don't change that, as
they move every clock time by the same rising rule.
"""

from __future__ import annotations

import bisect
import heapq
import itertools
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple


@dataclass(frozen=True, slots=True)
class Job:
    """
    One thing to make: bench minutes, earliest start, due time, weight if late.

    release and due are clock minutes; setting is unattended clock minutes that pass
    between leaving the bench and being ready. Raises ValueError for minutes or
    setting below 0, a weight that is negative, or a time that is not a number.
    """

    key: str
    minutes: float
    due: float = math.inf
    release: float = 0.0
    weight: float = 1.0
    setting: float = 0.0

    def __post_init__(self) -> None:
        if not (self.minutes >= 0 and self.setting >= 0 and self.weight >= 0):
            raise ValueError(f"job {self.key}: minutes, setting and weight start at 0")
        if math.isnan(self.due) or not math.isfinite(self.release + self.minutes):
            raise ValueError(f"job {self.key}: a due time or release is no number")

    @property
    def off_bench(self) -> float:
        """Clock minute by which it must leave the bench to be ready when due."""
        return self.due - self.setting


class Timeline:
    """
    Sittings as clock windows (start, end), and bench minutes counted along them.

    Raises ValueError when windows overlap, run backwards or are out of order.
    """

    def __init__(self, windows: Iterable[tuple[float, float]]) -> None:
        self.windows = tuple(w for w in windows if w[1] != w[0])
        edges = [edge for window in self.windows for edge in window]
        if any(later < before for before, later in itertools.pairwise(edges)):
            raise ValueError("sittings must follow one another without overlap")
        self._starts = [start for start, _ in self.windows]
        lengths = (end - start for start, end in self.windows)
        self._done = list(itertools.accumulate(lengths, initial=0.0))

    @property
    def total(self) -> float:
        """Bench minutes of all sittings together."""
        return self._done[-1]

    def to_bench(self, clock: float) -> float:
        """Bench minutes that have passed at a clock minute."""
        i = bisect.bisect_right(self._starts, clock) - 1
        if i < 0:
            return 0.0
        start, end = self.windows[i]
        return self._done[i] + min(clock, end) - start

    def to_clock(self, bench: float) -> float:
        """Earliest clock minute by which so many bench minutes have passed."""
        if bench > self.total + 1e-9 or not self.windows:
            return math.inf
        i = max(bisect.bisect_left(self._done, bench) - 1, 0)
        start, end = self.windows[i]
        return min(start + bench - self._done[i], end)

    def split(self, start: float, end: float) -> list[tuple[float, float]]:
        """Clock windows in which the bench minutes from start to end are worked."""
        pairs = zip(self.windows, itertools.pairwise(self._done), strict=True)
        return [
            (w[0] + max(start, a) - a, w[0] + min(end, b) - a)
            for w, (a, b) in pairs
            if max(start, a) < min(end, b)
        ]


class Segment(NamedTuple):
    """A stretch of bench minutes given to one job."""

    key: str
    start: float
    end: float


@dataclass(frozen=True, slots=True)
class Schedule:
    """
    Who has the bench when (bench minutes), and when each job is ready (clock).

    off_bench: clock minute each job leaves the bench; infinite when the sittings
    given end before it does.
    """

    segments: tuple[Segment, ...]
    off_bench: Mapping[str, float]
    ready: Mapping[str, float]


def lateness(jobs: Iterable[Job], ready: Mapping[str, float]) -> dict[str, float]:
    """Clock minutes each job is ready after its due time; negative when early."""
    return {j.key: ready[j.key] - j.due for j in jobs}


def largest_lateness(jobs: Iterable[Job], ready: Mapping[str, float]) -> float:
    """Give the largest lateness, minus infinity without jobs."""
    return max(lateness(jobs, ready).values(), default=-math.inf)


def edd(jobs: Sequence[Job]) -> list[Job]:
    """Order by when each must leave the bench; equals stay in the order given."""
    return sorted(jobs, key=lambda j: j.off_bench)


def in_turn(jobs: Sequence[Job], timeline: Timeline | None = None) -> Schedule:
    """Work through the jobs in the order given, each whole, waiting for releases."""
    now, segments = 0.0, []
    for job in jobs:
        start = max(now, _bench(job.release, timeline))
        now = start + job.minutes
        segments.append(Segment(job.key, start, now))
    return _schedule(jobs, segments, {s.key: s.end for s in segments}, timeline)


def preemptive_edd(jobs: Sequence[Job], timeline: Timeline | None = None) -> Schedule:
    """
    Follow the named policy: always the released job that must leave first.

    Optimal for the largest lateness (Horn 1974). Ties go to the order given. Work
    is only interrupted when something more urgent is released.
    """
    releases = [_bench(j.release, timeline) for j in jobs]
    arrivals = sorted(range(len(jobs)), key=lambda i: (releases[i], i))
    remaining = [j.minutes for j in jobs]
    ready: list[tuple[float, int]] = []
    segments: list[Segment] = []
    ends: dict[str, float] = {}
    now, coming = 0.0, 0
    while coming < len(jobs) or ready:
        if not ready:
            now = max(now, releases[arrivals[coming]])
        while coming < len(jobs) and releases[arrivals[coming]] <= now:
            i = arrivals[coming]
            heapq.heappush(ready, (jobs[i].off_bench, i))
            coming += 1
        i = ready[0][1]
        until = releases[arrivals[coming]] if coming < len(jobs) else math.inf
        end = min(now + remaining[i], until)
        _extend(segments, Segment(jobs[i].key, now, end))
        if end >= now + remaining[i]:
            heapq.heappop(ready)
            ends[jobs[i].key] = end
        remaining[i] -= end - now
        now = end
    return _schedule(jobs, segments, ends, timeline)


def _bench(clock: float, timeline: Timeline | None) -> float:
    return clock if timeline is None else timeline.to_bench(clock)


def _extend(segments: list[Segment], new: Segment) -> None:
    """Add a stretch, joined to the last one where the same job just goes on."""
    if segments and segments[-1].key == new.key and segments[-1].end == new.start:
        segments[-1] = segments[-1]._replace(end=new.end)
    elif new.end > new.start:
        segments.append(new)


def _schedule(
    jobs: Sequence[Job],
    segments: Sequence[Segment],
    ends: Mapping[str, float],
    timeline: Timeline | None,
) -> Schedule:
    if len(ends) != len(jobs):
        raise ValueError("each job needs a key of its own")
    release = {j.key: j.release for j in jobs}
    clock = {
        k: max(release[k], timeline.to_clock(e) if timeline else e)
        for k, e in ends.items()
    }
    ready = {j.key: clock[j.key] + j.setting for j in jobs}
    return Schedule(tuple(segments), clock, ready)


def unbroken_bound(jobs: Sequence[Job], first: Sequence[str] = ()) -> float:
    """
    Bound the largest lateness when no job may be interrupted, some done first.

    The jobs named in first are taken in that order, the rest by the preemptive
    policy, which no order of whole jobs can beat (Pinedo, example 3.2.5).
    """
    return _bound(tuple(_by_keys(jobs, first)), tuple(_others(jobs, first)))


def least_lateness_unbroken(jobs: Sequence[Job]) -> tuple[float, list[str]]:
    """Give the least largest lateness over orders of whole jobs (branch and bound)."""
    queue: list[tuple[float, int, tuple[Job, ...], tuple[Job, ...]]]
    queue = [(_bound((), tuple(jobs)), 0, (), tuple(jobs))]
    serial = itertools.count(1)
    while queue:
        bound, _, done, rest = heapq.heappop(queue)
        if not rest:
            return bound, [j.key for j in done]
        for i, job in enumerate(rest):
            head, tail = (*done, job), rest[:i] + rest[i + 1 :]
            heapq.heappush(queue, (_bound(head, tail), -next(serial), head, tail))
    return -math.inf, []


def _bound(done: tuple[Job, ...], rest: tuple[Job, ...]) -> float:
    head = in_turn(done)
    now = max(head.off_bench.values(), default=0.0)
    later = [replace(j, release=max(j.release, now)) for j in rest]
    tail = preemptive_edd(later)
    return max(largest_lateness(done, head.ready), largest_lateness(rest, tail.ready))


def _by_keys(jobs: Sequence[Job], keys: Sequence[str]) -> list[Job]:
    known = {j.key: j for j in jobs}
    return [known[k] for k in keys]


def _others(jobs: Sequence[Job], keys: Sequence[str]) -> list[Job]:
    return [j for j in jobs if j.key not in keys]


def moore_hodgson(jobs: Sequence[Job]) -> tuple[list[str], list[str]]:
    """
    Give the most jobs that can be on time, in order, and the others (Moore 1968).

    Only for jobs that are all here: raises ValueError when releases differ.
    """
    if len({j.release for j in jobs}) > 1:
        raise ValueError("some jobs come later: use fewest_late, which minds that")
    now = max((j.release for j in jobs), default=0.0)
    kept: list[Job] = []
    for job in edd(jobs):
        kept.append(job)
        if now + sum(j.minutes for j in kept) > job.off_bench:
            kept.remove(max(kept, key=lambda j: j.minutes))
    on_time = [j.key for j in kept]
    return on_time, [j.key for j in edd(_others(jobs, on_time))]


@dataclass(frozen=True, slots=True)
class Late:
    """
    Which jobs to let be late so that all others are on time, and its proof.

    proved: no smaller set (by count, then weight; or by weight) would do.
    """

    keys: tuple[str, ...]
    weight: float
    proved: bool


def fewest_late(
    jobs: Sequence[Job],
    timeline: Timeline | None = None,
    *,
    by_weight: bool = False,
    nodes: int = 20_000,
) -> Late:
    """
    Find the fewest late jobs (then the least weight), release times and gaps minded.

    Exact search by rising cost: where the policy makes a job late, one of the jobs
    worked without a pause up to it, and due no later, must give way; each is tried.
    by_weight: least total weight instead. nodes: after so many trials the plain rule
    of dropping the longest of them is followed, and proved is False.
    """
    known = {j.key: j for j in jobs}
    queue: list[tuple[tuple[float, float], tuple[str, ...]]] = [((0.0, 0.0), ())]
    seen: set[tuple[str, ...]] = set()
    proved = True
    while True:
        (_, weight), dropped = heapq.heappop(queue)
        crowd = _crowd(_others(jobs, dropped), timeline)
        if not crowd:
            return Late(dropped, weight, proved)
        if len(seen) >= nodes:
            proved, queue = False, []
            crowd = [max(crowd, key=lambda j: j.minutes)]
        for job in crowd:
            more = tuple(sorted((*dropped, job.key)))
            if more not in seen or not proved:
                seen.add(more)
                total = sum(known[k].weight for k in more)
                first = total if by_weight else len(more)
                heapq.heappush(queue, ((first, total), more))


def _crowd(jobs: Sequence[Job], timeline: Timeline | None) -> list[Job]:
    """
    Give jobs of which one must go for the first late one to be on time.

    Those worked without a pause up to its end and due no later all came after that
    stretch began, so its length alone already passes the due time.
    """
    plan = preemptive_edd(jobs, timeline)
    known = {j.key: j for j in jobs}
    late = (k for k, end in plan.off_bench.items() if end > known[k].off_bench + 1e-9)
    worst = next(late, None)
    if worst is None:
        return []
    crowd, edge = {worst: None}, -math.inf
    for key, start, end in _back_from(plan.segments, worst):
        if known[key].off_bench > known[worst].off_bench or end < edge:
            break
        crowd[key], edge = None, start
    return [known[k] for k in crowd]


def _back_from(segments: Sequence[Segment], key: str) -> list[Segment]:
    last = max((i for i, s in enumerate(segments) if s.key == key), default=-1)
    return list(segments[: last + 1][::-1])
