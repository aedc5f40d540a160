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
from dataclasses import dataclass, field, replace
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
from planner.engines.sequence import Job
from planner.engines.work import Ahead, Draft, Task, Work, gone_by
from planner.ledgers.catalogue import catalogue
from planner.ledgers.restocks import OnTheWay, on_the_way

DRAWS = 4_096
"""Draws behind every chance: its standard error is at most 0.8 %."""
SEED = 20_26
EARLY, LIKELY, LATE = 0.1, 0.5, 0.9
"""What early, likely and late finishes stand for."""
MOST_SPOILED = 10_000
"""Bows spoiled in one batch are not drawn beyond this."""
SETS_BY = 9
"""Days after the last sitting by which all has set."""
KEPT = 4
"""Plans whose draws are kept for the next that differs in its due days only."""
INSTANT = 1e-4
"""Clock minutes in which extra bench minutes are worked, so that they end in time."""
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
    """
    All that is drawn for the days ahead, made once for any number of plans.

    `extra`: bench minutes besides her hours, and the clock minute they are worked by.
    """

    ahead: Ahead
    size: int = DRAWS
    seed: int = SEED
    extra: tuple[float, float] = (0.0, 0.0)
    kept: dict[object, Mapping[str, Floats]] = field(default_factory=dict)
    _tasks: dict[object, tuple[Floats, Ints]] = field(default_factory=dict)

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
    def midnights(self) -> Floats:
        """Give the clock minute each day ahead ends, the one after the last too."""
        clock = self.ahead.clock
        days = (clock.last - clock.first).days + SETS_BY
        return np.array(
            [clock.at(clock.first + timedelta(days=n + 1)) for n in range(days)]
        )

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
        spread = self.coefficients[1]
        noise = np.clip(spread * rng.standard_normal(share.shape), -BOUND, BOUND)
        start, length, owner = _split(clock)
        rate = (share * np.exp(noise))[owner]
        return Bench(*self._with_extra(start, length, rate))

    def _with_extra(
        self, start: Floats, length: Floats, rate: Floats
    ) -> tuple[Floats, Floats, Floats]:
        """Put the extra minutes in as a sitting of no length, kept for sure."""
        minutes, by = self.extra
        if not minutes:
            return start, length, rate
        at = int(np.searchsorted(start, by))
        spread, noise = (
            self.coefficients[1],
            self.rng("extra").standard_normal(self.size),
        )
        fast = minutes * np.exp(np.clip(spread * noise, -BOUND, BOUND)) / INSTANT
        return (
            np.insert(start, at, by - INSTANT), np.insert(length, at, INSTANT),
            np.insert(rate, at, fast, axis=0),
        )  # fmt: skip

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

    def task(self, task: Task) -> tuple[Floats, Ints]:
        """Draw (bench minutes, bows spoiled on the way) of a task, once."""
        key = (task.job.key, task.bows, task.set_up)
        if key not in self._tasks:
            extra = self.spoils(task)
            self._tasks[key] = self.minutes(task, extra), extra
        return self._tasks[key]

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

    def spoils(self, task: Task) -> Ints:
        """Draw the bows that are spoiled before enough have come out well."""
        code = catalogue(self.ahead.led).split(task.kind)[0]
        luck = self.rng("spoiled", task.job.key).random(self.size)
        return spoils(task.bows, self.spoiled[code], luck)


def spoils(bows: int, chance: Floats, luck: Floats) -> Ints:
    """
    Turn luck (0 to 1) into bows spoiled before so many came out well.

    The negative binomial by its distribution function, term by term.
    """
    lost = np.zeros(luck.shape, dtype=np.int64)
    term = (1 - chance) ** bows
    upto, more = term.copy(), 0
    while more < MOST_SPOILED and (beyond := luck > upto).any():
        lost += beyond
        more += 1
        term *= chance * (bows + more - 1) / more
        upto += term
    return lost


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
    column = leaving(draws, plan)
    return {work.order.code: _of_order(draws, work, column) for work in plan.works}


def chances(draws: Draws, plan: Draft) -> dict[str, float | None]:
    """Give only the chance of every order of a plan."""
    column = leaving(draws, plan)
    return {w.order.code: _chance(draws, w, column) for w in plan.works}


def leaving(draws: Draws, plan: Draft) -> Mapping[str, Floats]:
    """
    Give the clock minute each task leaves the bench in each draw, by its job's key.

    Plans that differ in their due days only are worked out once.
    """
    tasks = sorted(plan.tasks, key=lambda task: task.job.off_bench)
    left = tuple(sum(s.left for s in h) for h in plan.stock.ribbons.values())
    key = (tuple(t._replace(job=_undated(t.job)) for t in tasks), left)
    known = draws.kept.get(key)
    if known is None:
        off = _off_bench(draws, plan, tasks)
        known = {task.job.key: off[i] for i, task in enumerate(tasks)}
        while len(draws.kept) >= KEPT:
            draws.kept.pop(next(iter(draws.kept)))
        draws.kept[key] = known
    return known


def _undated(job: Job) -> Job:
    return replace(job, due=math.inf)


def _off_bench(draws: Draws, plan: Draft, tasks: Sequence[Task]) -> Floats:
    if not tasks:
        return np.empty((0, draws.size))
    drawn = [draws.task(task) for task in tasks]
    work = np.array([minutes for minutes, _ in drawn])
    extra = np.array([more for _, more in drawn])
    off = off_bench(draws.bench, work, _releases(draws, tasks))
    off[_ribbon_out(draws.ahead, plan, tasks, extra)] = np.inf
    return off


def _releases(draws: Draws, tasks: Sequence[Task]) -> Ints:
    """Give the sitting from which each task may be worked on, in each draw."""
    none = np.zeros(draws.size, dtype=np.int64)
    rows = [
        draws.arrivals.get(task.job.release, none) if task.job.release > 0 else none
        for task in tasks
    ]
    return np.array(rows)


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
        gone = np.cumsum(extra * row[:, None], axis=0)
        out |= (gone > left) & (extra > 0) & (row[:, None] > 0)
    return out


def _never(work: Work) -> bool:
    return any(wait.expected is None for wait in work.waits)


def _in_time(work: Work, column: Mapping[str, Floats]) -> NDArray[np.bool_]:
    """Say in which draws every bow of an order leaves the bench in time."""
    met = [column[t.job.key] <= t.job.off_bench + ALMOST for t in work.tasks]
    return np.asarray(np.logical_and.reduce(met), dtype=np.bool_)


def _chance(draws: Draws, work: Work, column: Mapping[str, Floats]) -> float | None:
    """Give an order's chance; what is ready is in time unless its day has gone by."""
    if work.order.due is None:
        return None
    if _never(work):
        return 0.0
    if not work.tasks:
        return 0.0 if gone_by(work.order, draws.ahead.clock) else 1.0
    return float(_in_time(work, column).mean())


def _of_order(draws: Draws, work: Work, column: Mapping[str, Floats]) -> Odds:
    clock, chance = draws.ahead.clock, _chance(draws, work, column)
    if _never(work):
        return Odds(chance)
    if not work.tasks:
        return Odds(chance, clock.now, clock.now, clock.now, ((clock.first, 1.0, 0.0),))
    ready = np.max([column[t.job.key] + t.job.setting for t in work.tasks], axis=0)
    rising = np.sort(ready)
    early, likely, late = (clock.moment(m) for m in quantiles(rising))
    finish = _by_day(draws, rising, np.sort(ready[_in_time(work, column)]))
    return Odds(chance, early, likely, late, finish)


def quantiles(rising: Floats) -> tuple[float, float, float]:
    """Give the early, likely and late of sorted moments: draws, not points between."""
    early, likely, late = (
        float(rising[max(math.ceil(share * len(rising)) - 1, 0)])
        for share in (EARLY, LIKELY, LATE)
    )
    return early, likely, late


def _by_day(
    draws: Draws, rising: Floats, timely: Floats
) -> tuple[tuple[date, float, float], ...]:
    """Give P(ready in time) and P(ready late) of each day that either can be."""
    each, good = (
        np.diff(np.searchsorted(moments, draws.midnights), prepend=0)
        for moments in (rising, timely)
    )
    first, size = draws.ahead.clock.first, rising.size
    days = np.flatnonzero(each)
    late = (each - good)[days] / size
    return tuple(
        (first + timedelta(days=at), share, bad)
        for at, share, bad in zip(
            days.tolist(), (good[days] / size).tolist(), late.tolist(), strict=True
        )
    )
