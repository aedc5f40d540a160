"""
What may turn out otherwise, drawn many times over for the days ahead.

Her pace, set apart into what holds for good, for a sitting and for a batch; sittings
cut short or missed; bows spoiled, which cost ribbon and time; restocks that come late.
Draws depend on what they are of (a batch, a sitting by its day, a restock) and not on
the plan, so that two plans are compared on the same ones (common random numbers).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, time, timedelta
from functools import cached_property
from itertools import pairwise

import numpy as np

from planner.engines.bench_clock import NOON, BenchClock
from planner.engines.chances import Bench, Ints
from planner.engines.forecast import Floats
from planner.engines.habits import Worked, lateness, spoilage, worked
from planner.engines.luck import Singles, normal, rng, uniforms
from planner.engines.pace import BOUND, LEAST_LEFT, Pace, pace, practice
from planner.engines.work import Ahead, Task
from planner.ledgers.catalogue import catalogue
from planner.ledgers.restocks import OnTheWay, on_the_way

DRAWS = 4_096
"""Draws behind every chance: its standard error is at most 0.8 %."""
SEED = 20_26
MOST_SPOILED = 10_000
"""Bows spoiled in one batch are not drawn beyond this."""
SETS_BY = 9
"""Days after the last sitting by which all has set."""
ALMOST = 1e-6
"""Clock minutes that are none."""


@dataclass(frozen=True)
class Draws:
    """All that is drawn for the days ahead, made once for any number of plans."""

    ahead: Ahead
    size: int = DRAWS
    seed: int = SEED
    kept: dict[object, Mapping[str, Floats]] = field(default_factory=dict)
    _tasks: dict[object, tuple[Floats, Ints]] = field(default_factory=dict)

    @cached_property
    def pace(self) -> Pace:
        """Give what is known of her pace."""
        return pace(self.ahead.led)

    @cached_property
    def coefficients(self) -> tuple[Singles, Singles]:
        """Draw the pace of all patterns, (coefficients, size), and spreads (size,)."""
        drawn, spreads = self.pace.law.draw(rng(self.seed, "pace"), self.size)
        return drawn.T.astype(np.float32), spreads.astype(np.float32)

    @cached_property
    def midnights(self) -> Floats:
        """Give the clock minute each of `days` ends."""
        at = self.ahead.clock.at
        return np.array([at(day + timedelta(days=1)) for day in self.days])

    @cached_property
    def days(self) -> tuple[date, ...]:
        """Give the days ahead, and those after the last on which something may set."""
        clock = self.ahead.clock
        count = (clock.last - clock.first).days + SETS_BY
        return tuple(clock.first + timedelta(days=n) for n in range(count))

    @cached_property
    def usual(self) -> Worked:
        """Give what is known of the hours she really works."""
        return worked(self.ahead.led, self.ahead.clock.first)

    @cached_property
    def bench(self) -> Bench:
        """Draw how fast each sitting goes; split where something may come in."""
        names = list(_names(self.ahead.clock.days))
        luck = uniforms(self.seed, names, 3 * self._even)
        noise = normal(luck[:, : 2 * self._even])
        logs, kept = self.usual.draw(
            rng(self.seed, "worked"), noise[:, : self.size], luck[:, -self.size :]
        )
        spread = self.coefficients[1]
        logs += np.clip(spread * noise[:, -self.size :], -BOUND, BOUND)
        start, length, owner = _split(self.ahead.clock)
        return Bench(start, length, (np.exp(logs) * kept).astype(np.float64)[owner])

    @property
    def _even(self) -> int:
        return self.size + self.size % 2

    @cached_property
    def spoiled(self) -> Mapping[str, Floats]:
        """Draw each pattern's chance that a bow is spoiled."""
        laws = spoilage(self.ahead.led)
        return {
            code: law.draw(rng(self.seed, "spoil", code), self.size)
            for code, law in laws.items()
        }

    @cached_property
    def arrivals(self) -> Mapping[float, Ints]:
        """Draw the sitting from which a restock is there, by its planned minute."""
        clock, law = self.ahead.clock, lateness(self.ahead.led)
        found: dict[float, Ints] = {}
        for way in on_the_way(self.ahead.led):
            day, since = _planned(way, clock)
            late = law.draw(
                rng(self.seed, "restock", way.restock), self.size,
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

    def tasks(self, tasks: Sequence[Task]) -> tuple[Floats, Ints]:
        """
        Draw bench minutes and bows spoiled on the way, both (tasks, size).

        Each task is drawn once, whatever plan it stands in.
        """
        new = [task for task in tasks if _key(task) not in self._tasks]
        if new:
            names = [f"batch {task.job.key}" for task in new]
            luck = uniforms(self.seed, names, self._even + self.size)
            extra = self._spoils(new, luck[:, -self.size :])
            minutes = self._minutes(new, extra, normal(luck[:, : self._even]))
            self._tasks.update(
                zip(map(_key, new), zip(minutes, extra, strict=True), strict=True)
            )
        rows = [self._tasks[_key(task)] for task in tasks]
        return np.array([row[0] for row in rows]), np.array([row[1] for row in rows])

    def _minutes(self, tasks: Sequence[Task], extra: Ints, noise: Singles) -> Floats:
        """Give bench minutes, those of the bows that spoil on the way included."""
        coefficients, spreads = self.coefficients
        minutes = np.empty(extra.shape)
        for at, task in enumerate(tasks):
            code = catalogue(self.ahead.led).split(task.kind)[0]
            now = self.pace.made.get(code, 0)
            step = practice(now + task.bows / 2) - practice(now)
            within = math.sqrt(self.pace.within / task.bows)
            logs = spreads * (np.float32(within) * noise[at, : self.size])
            logs += np.maximum(coefficients[-1] * np.float32(step), LEAST_LEFT)
            logs += coefficients[self.pace.patterns.index(code)]
            middle = math.log(self.pace.median(code))
            each = np.exp(np.clip(logs, middle - BOUND, middle + BOUND)) / 60
            minutes[at] = task.set_up + (task.bows + extra[at]) * each
        return minutes

    def _spoils(self, tasks: Sequence[Task], luck: Singles) -> Ints:
        """Draw the bows that are spoiled before enough have come out well."""
        cat = catalogue(self.ahead.led)
        chance = np.array([self.spoiled[cat.split(task.kind)[0]] for task in tasks])
        return spoils(np.array([[task.bows] for task in tasks]), chance, luck)


def _key(task: Task) -> tuple[str, int, int]:
    return task.job.key, task.bows, task.set_up


def _names(days: Sequence[date]) -> Iterator[str]:
    """Name each sitting by its day, and its turn on that day."""
    turn: dict[date, int] = {}
    for day in days:
        turn[day] = turn.get(day, 0) + 1
        yield f"sitting {day} {turn[day]}"


def spoils(bows: Ints, chance: Floats, luck: Singles) -> Ints:
    """
    Turn luck (0 to 1) into bows spoiled before so many came out well.

    bows (tasks, 1), chance and luck (tasks, draws). The negative binomial by its
    distribution function, term by term, for those draws that it isn't over for.
    """
    # Logs in single precision take a tenth of the time, and luck is no finer.
    term = np.exp(bows * np.log1p(-chance.astype(np.float32)).astype(np.float64))
    lost = np.zeros(luck.shape, dtype=np.int64)
    at = np.flatnonzero(luck > term)
    n = np.broadcast_to(bows, luck.shape).take(at)
    share, term, left = chance.take(at), term.take(at), (luck - term).take(at)
    more = 0
    while at.size and more < MOST_SPOILED:
        more += 1
        lost.ravel()[at] = more
        term = term * (share * (n + more - 1) / more)
        left = left - term
        on = left > 0
        at, n, share, term, left = at[on], n[on], share[on], term[on], left[on]
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
