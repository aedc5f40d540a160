"""
Each order's chance of being ready when due, and its early, likely and late finish.

What may turn out otherwise is drawn: her pace, set apart into what holds for good,
for a sitting and for a batch; sittings cut short or missed; bows spoiled, which cost
ribbon and time; restocks that come late. Draws depend on what they are of (a batch, a
sitting, a restock) and not on the plan, so that two plans are compared on the same
ones (common random numbers).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import cached_property
from itertools import pairwise
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from planner.engines.bench_clock import NOON, BenchClock
from planner.engines.chances import Bench, Ints, off_bench
from planner.engines.forecast import Floats
from planner.engines.habits import Worked, lateness, spoilage, worked
from planner.engines.materials import needs_of
from planner.engines.pace import BOUND, LEAST_LEFT, Pace, pace
from planner.engines.work import Ahead, Draft, Task, Work
from planner.ledgers.catalogue import catalogue
from planner.ledgers.restocks import OnTheWay, on_the_way

DRAWS = 4_096
"""Draws behind every chance: its standard error is at most 0.8 %."""
SEED = 20_26
EARLY, LIKELY, LATE = 0.1, 0.5, 0.9
"""What early, likely and late finishes stand for."""
ALMOST = 1e-6
"""Clock minutes that are none."""


@dataclass(frozen=True, slots=True)
class Odds:
    """
    How an order's finish is spread.

    `chance` of leaving the bench in time, None without a due day; early, likely and
    late finishes, None where it may be beyond the days looked at; `finish` is, by
    day, P(ready that day, in time) and P(ready that day, late), which add up to less
    than 1 by the chance of being later still.
    """

    chance: float | None
    early: datetime | None = None
    likely: datetime | None = None
    late: datetime | None = None
    finish: tuple[tuple[date, float, float], ...] = ()


@dataclass(frozen=True)
class Draws:
    """All that is drawn for the days ahead, made once for any number of plans."""

    ahead: Ahead
    size: int = DRAWS
    seed: int = SEED

    def rng(self, *what: str) -> np.random.Generator:
        """Give the chance of one thing, the same whatever else is drawn."""
        return np.random.default_rng([self.seed, crc32(" ".join(what).encode())])

    @cached_property
    def pace(self) -> Pace:
        """Give what is known of her pace."""
        return pace(self.ahead.led)

    @cached_property
    def coefficients(self) -> tuple[Floats, Floats]:
        """Draw the pace of all patterns, and the spread of a sitting."""
        return self.pace.law.draw(self.rng("pace"), self.size)

    @cached_property
    def usual(self) -> Worked:
        """Give what is known of the hours she really works."""
        return worked(self.ahead.led, self.ahead.clock.first)

    @cached_property
    def bench(self) -> Bench:
        """Draw how fast each sitting goes; split where something may come in."""
        clock, rng = self.ahead.clock, self.rng("bench")
        windows = len(clock.line.windows)
        share = self.usual.draw(rng, self.size, windows)
        spread = self.coefficients[1][:, None]
        noise = np.clip(spread * rng.standard_normal(share.shape), -BOUND, BOUND)
        start, length, owner = _split(clock)
        return Bench(start, length, (share * np.exp(noise))[:, owner])

    @cached_property
    def spoiled(self) -> Mapping[str, Floats]:
        """Draw each pattern's chance that a bow is spoiled."""
        laws = spoilage(self.ahead.led)
        return {c: law.draw(self.rng("spoil", c), self.size) for c, law in laws.items()}

    @cached_property
    def arrivals(self) -> Mapping[float, Ints]:
        """Draw the sitting from which a restock is there, by its planned minute."""
        clock, law = self.ahead.clock, lateness(self.ahead.led)
        found: dict[float, Ints] = {}
        for way in on_the_way(self.ahead.led):
            day, since = _planned(way, clock)
            late = law.draw(
                self.rng("restock", way.restock), self.size,
                expected=date.fromisoformat(way.expected),
                latest=date.fromisoformat(way.latest),
            )  # fmt: skip
            comes = self._sitting(day, late)
            found[since] = np.maximum(found.get(since, comes), comes)
        return found

    def _sitting(self, day: date, late: Floats) -> Ints:
        """Give the first sitting after noon of a day so many days later."""
        most = int(late.max(initial=0.0))
        noons = [self.ahead.clock.at(day + timedelta(days=n), NOON)
                 for n in range(most + 1)]  # fmt: skip
        first = np.searchsorted(self.bench.start, np.array(noons) - ALMOST)
        return np.asarray(first[late.astype(np.int64)], dtype=np.int64)

    def minutes(self, task: Task, extra: Ints) -> Floats:
        """Draw the bench minutes of a task, the bows that spoil on the way included."""
        cat = catalogue(self.ahead.led)
        code = cat.split(task.kind)[0]
        coefficients, spreads = self.coefficients
        now, then = self.pace.row(code), self.pace.row(code, task.bows / 2)
        practised = coefficients @ (then - now)
        noise = self.rng("batch", task.job.key).standard_normal(self.size)
        within = spreads * math.sqrt(self.pace.within / task.bows) * noise
        logs = coefficients @ now + np.maximum(practised, LEAST_LEFT) + within
        middle = math.log(self.pace.median(code))
        each = np.exp(np.clip(logs, middle - BOUND, middle + BOUND)) / 60
        return np.asarray(task.set_up + (task.bows + extra) * each)

    def extra(self, task: Task) -> Ints:
        """Draw the bows that are spoiled before enough have come out well."""
        code = catalogue(self.ahead.led).split(task.kind)[0]
        rng = self.rng("spoiled", task.job.key)
        lost = rng.negative_binomial(task.bows, 1 - self.spoiled[code])
        return np.asarray(lost, dtype=np.int64)


def _split(clock: BenchClock) -> tuple[Floats, Floats, Ints]:
    """Cut the sittings that go on over noon, when restocks count; give whose part."""
    parts: list[tuple[float, float, int]] = []
    for at, (start, end) in enumerate(clock.line.windows):
        noon = clock.at(clock.days[at], time(12))
        edges = [start, *([noon] if start < noon < end else []), end]
        parts += [(a, b - a, at) for a, b in pairwise(edges)]
    table = np.array(parts, dtype=np.float64).reshape(-1, 3)
    return table[:, 0], table[:, 1], table[:, 2].astype(np.int64)


def _planned(way: OnTheWay, clock: BenchClock) -> tuple[date, float]:
    """Give the day from which lateness is reckoned, and the minute the plan takes."""
    tomorrow = clock.first + timedelta(days=1)
    expected, latest = (date.fromisoformat(d) for d in (way.expected, way.latest))
    days = [day for day in (expected, latest, tomorrow) if clock.at(day, NOON) > 0]
    return max(expected, clock.first), clock.at(days[0], NOON)


def odds(draws: Draws, plan: Draft) -> dict[str, Odds]:
    """Give the odds of every order of a plan."""
    order = sorted(range(len(plan.tasks)), key=lambda i: plan.tasks[i].job.off_bench)
    tasks = [plan.tasks[i] for i in order]
    off = _off_bench(draws, plan, tasks)
    column = {task.job.key: off[:, i] for i, task in enumerate(tasks)}
    return {work.order.code: _of_order(draws, work, column) for work in plan.works}


def _off_bench(draws: Draws, plan: Draft, tasks: Sequence[Task]) -> Floats:
    if not tasks:
        return np.empty((draws.size, 0))
    extra = [draws.extra(task) for task in tasks]
    work = np.stack(
        [draws.minutes(t, more) for t, more in zip(tasks, extra, strict=True)], axis=1
    )
    off = off_bench(draws.bench, work, _releases(draws, tasks))
    off[_ribbon_out(draws.ahead, plan, tasks, np.stack(extra, axis=1))] = np.inf
    return off


def _releases(draws: Draws, tasks: Sequence[Task]) -> Ints:
    """Give the sitting from which each task may be worked on, in each draw."""
    none = np.zeros(draws.size, dtype=np.int64)
    columns = [
        draws.arrivals.get(task.job.release, none) if task.job.release > 0 else none
        for task in tasks
    ]
    return np.stack(columns, axis=1)


def _ribbon_out(
    ahead: Ahead, plan: Draft, tasks: Sequence[Task], extra: Ints
) -> NDArray[np.bool_]:
    """Say in which draws the bows spoiled so far take more ribbon than is left over."""
    out = np.zeros_like(extra, dtype=np.bool_)
    needs: dict[str, Floats] = {}
    for at, task in enumerate(tasks):
        for (ribbon, _, length), each in needs_of(
            catalogue(ahead.led), task.kind
        ).parts:
            row = needs.setdefault(ribbon, np.zeros(len(tasks)))
            row[at] += length * each
    for ribbon, row in needs.items():
        left = sum(one.left for one in plan.stock.ribbons.get(ribbon, ()))
        gone = np.cumsum(extra * row, axis=1)
        out |= (gone > left) & (extra > 0) & (row > 0)
    return out


def _of_order(draws: Draws, work: Work, column: Mapping[str, Floats]) -> Odds:
    clock = draws.ahead.clock
    has_due = work.order.due is not None
    if any(wait.expected is None for wait in work.waits):
        return Odds(0.0 if has_due else None)
    if not work.tasks:
        return Odds(None, clock.now, clock.now, clock.now, ((clock.first, 1.0, 0.0),))
    jobs = [task.job for task in work.tasks]
    offs = np.stack([column[job.key] for job in jobs], axis=1)
    by = np.array([job.off_bench for job in jobs])
    in_time: NDArray[np.bool_] = np.all(offs <= by + ALMOST, axis=1)
    ready = (offs + np.array([job.setting for job in jobs])).max(axis=1)
    early, likely, late = (clock.moment(m) for m in quantiles(ready))
    chance = float(in_time.mean()) if has_due else None
    return Odds(chance, early, likely, late, _by_day(clock, ready, in_time))


def quantiles(ready: Floats) -> tuple[float, float, float]:
    """Give the early, likely and late moment: draws, not points between them."""
    early, likely, late = np.quantile(
        ready, (EARLY, LIKELY, LATE), method="inverted_cdf"
    )
    return float(early), float(likely), float(late)


def _by_day(
    clock: BenchClock, ready: Floats, in_time: NDArray[np.bool_]
) -> tuple[tuple[date, float, float], ...]:
    """Give P(ready in time) and P(ready late) of each day that either can be."""
    finite = np.isfinite(ready)
    last = clock.moment(float(ready[finite].max())) if finite.any() else None
    if last is None:
        return ()
    days = [
        clock.first + timedelta(days=n)
        for n in range((last.date() - clock.first).days + 1)
    ]
    ends = [clock.at(day + timedelta(days=1)) for day in days]
    parts = [
        np.diff(np.searchsorted(np.sort(ready[which & finite]), ends), prepend=0)
        for which in (in_time, ~in_time)
    ]
    return tuple(
        (day, float(good) / ready.size, float(bad) / ready.size)
        for day, good, bad in zip(days, *parts, strict=True)
        if good or bad
    )
