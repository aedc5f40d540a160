"""
What is left to make: each order's bows as tasks that can begin when their ribbon is in.

Work is planned at median minutes and set up once an order and kind.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import NamedTuple

from planner.engines.at_hand import Share, share_bows
from planner.engines.bench_clock import BenchClock, bench_clock, deadline, fair_days
from planner.engines.materials import Store, needs_of, store, waits
from planner.engines.minutes import Minutes, median_minutes
from planner.engines.sequence import Job, Schedule, preemptive_edd
from planner.ledgers.catalogue import catalogue
from planner.ledgers.fairs import coming_fairs
from planner.ledgers.orders import Order, open_orders
from planner.ledgers.shop import bench_hours, setting
from planner.ledgers.state import Ledgers
from planner.plans.due import LineLeft, Wait

HORIZON = 90
"""Days looked ahead at first."""
FURTHER = 400
"""Days looked ahead when the work doesn't fit into fewer."""


@dataclass(frozen=True, slots=True)
class Ahead:
    """All that a plan needs to know and that no order changes."""

    led: Ledgers
    clock: BenchClock
    store: Store
    fairs: Mapping[date, str]
    off: frozenset[date]
    any_hours: bool
    whole_day: bool
    setting_counts: bool

    def deadline(self, order: Order, setting: float = 0.0) -> float:
        """Give the clock minute by which an order's work must leave the bench."""
        return deadline(
            self.clock, due=date.fromisoformat(order.due) if order.due else None,
            hour=order.hour, post_days=order.post_days, setting=setting,
            whole_day=self.whole_day,
        )  # fmt: skip

    def setting(self, minutes: Minutes) -> float:
        """Give the setting minutes that count."""
        return float(minutes.setting_minutes if self.setting_counts else 0)


class Task(NamedTuple):
    """Bows of one kind for one order that can be made from one moment on."""

    order: str
    kind: str
    bows: int
    job: Job
    set_up: int = 0


class Work(NamedTuple):
    """What is left of one order: its lines, tasks, and what some bows wait for."""

    order: Order
    lines: tuple[LineLeft, ...]
    tasks: tuple[Task, ...]
    waits: tuple[Wait, ...]


@dataclass(frozen=True, slots=True)
class Draft:
    """
    Work left of all orders, and who has the bench when, at median.

    `stock` is what would be left of ribbon and supplies.
    """

    works: tuple[Work, ...]
    tasks: tuple[Task, ...]
    schedule: Schedule
    share: Share
    stock: Store


def gone_by(order: Order, clock: BenchClock) -> bool:
    """Say whether the day (or hour) to hand an order over or post it has gone by."""
    if order.due is None:
        return False
    day = date.fromisoformat(order.due) - timedelta(days=order.post_days)
    if day == clock.first and order.hour and not order.post_days:
        return clock.at(day, time.fromisoformat(order.hour)) < 0
    return day < clock.first


def look_ahead(
    led: Ledgers, *, now: datetime, today: date, days: int = HORIZON
) -> Ahead:
    """Gather bench hours, ribbon, fairs and settings."""
    fairs = fair_days(coming_fairs(led, today.isoformat()))
    hours = bench_hours(led)
    clock = bench_clock(
        hours, now=now, today=today, days=days, zone=led.zone, shut=fairs
    )
    return Ahead(
        led=led, clock=clock, store=store(led, clock), fairs=fairs,
        off=frozenset(hours.off_days), any_hours=bool(hours.rules or hours.extra),
        whole_day=setting(led, "late day") != "before",
        setting_counts=setting(led, "setting counts") != "no",
    )  # fmt: skip


def draft(ahead: Ahead, include: Sequence[Order] = ()) -> Draft:
    """Lay out the work of all open orders and those supposed besides."""
    orders = sorted(
        [*open_orders(ahead.led), *include],
        key=lambda o: (ahead.deadline(o), len(o.code), o.code),
    )
    share, stock = share_bows(ahead.led, orders), ahead.store.copy()
    works = tuple(_work(ahead, order, share, stock) for order in orders)
    tasks = tuple(task for work in works for task in work.tasks)
    schedule = preemptive_edd([task.job for task in tasks], ahead.clock.line)
    return Draft(works, tasks, schedule, share, stock)


def _work(ahead: Ahead, order: Order, share: Share, stock: Store) -> Work:
    """Give what is left of an order; takes ribbon and supplies from stock."""
    lines: list[LineLeft] = []
    tasks: list[Task] = []
    waiting: list[Wait] = []
    outstanding = order.outstanding
    for kind, count in order.wanted.items():
        left = outstanding.get(kind, 0)
        at_hand = min(share.at_hand[order.code].get(kind, 0), left)
        make, known = left - at_hand, median_minutes(ahead.led, kind)
        lines.append(
            LineLeft(kind, count, count - left, at_hand, make, known.bench(make))
        )
        if make:
            more, waited = _tasks(ahead, order, kind, make, known, stock)
            tasks += more
            waiting += waited
    return Work(order, tuple(lines), tuple(tasks), tuple(waiting))


def _tasks(
    ahead: Ahead, order: Order, kind: str, make: int, known: Minutes, stock: Store
) -> tuple[list[Task], list[Wait]]:
    """Cut one line into tasks by when its ribbon is here; set-up goes to the first."""
    needs = needs_of(catalogue(ahead.led), kind)
    before = stock.part_of(needs)
    sliced = stock.slices(needs, make)
    sets = ahead.setting(known)
    done_by = ahead.deadline(order, sets) + sets
    tasks: list[Task] = []
    for bows, since in sliced:
        if math.isfinite(since):
            set_up = 0 if tasks else known.set_up_minutes
            minutes = known.bench(bows) - known.set_up_minutes + set_up
            key = f"{order.code} {kind} {len(tasks)}"
            job = Job(key, minutes, done_by, since, order.weight, sets)
            tasks.append(Task(order.code, kind, bows, job, set_up))
    return tasks, waits(before, needs, sliced, kind=kind)


def ends(work: Work, schedule: Schedule) -> tuple[float, float]:
    """Give the clock minutes an order is off the bench and ready; infinite if not."""
    if any(wait.expected is None for wait in work.waits):
        return math.inf, math.inf
    keys = [task.job.key for task in work.tasks]
    off = max((schedule.off_bench[key] for key in keys), default=0.0)
    return off, max((schedule.ready[key] for key in keys), default=0.0)
