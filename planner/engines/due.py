"""
Which orders can meet their due dates: work left, ribbon, bench hours, and the policy.

Work is planned at median minutes and set up once an order and kind.  The policy is
preemptive earliest due less remaining setting time, with release days where ribbon
is still on the way (`engines.sequence.preemptive_edd`).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from statistics import median
from typing import NamedTuple

from planner.engines.at_hand import Share, share_bows
from planner.engines.bench_clock import BenchClock, bench_clock, deadline, fair_days
from planner.engines.due_days import day_plans
from planner.engines.materials import Store, needs_of, store, waits
from planner.engines.minutes import Minutes, median_minutes
from planner.engines.sequence import (
    Job,
    Schedule,
    Timeline,
    fewest_late,
    preemptive_edd,
)
from planner.ledgers.catalogue import catalogue
from planner.ledgers.fairs import coming_fairs
from planner.ledgers.orders import READY, Order, open_orders
from planner.ledgers.shop import bench_hours, setting
from planner.ledgers.state import Ledgers
from planner.plans.due import (
    Basis,
    DuePlan,
    LineLeft,
    MoreTime,
    OrderPlan,
    State,
    Wait,
)

HORIZON = 90
"""Days looked ahead at first."""
FURTHER = 400
"""Days looked ahead when the work doesn't fit into fewer."""
CLOSE_MINUTES = 30.0
"""Slack below this is close, however soon the order is done."""
CLOSE_SHARE = 0.2
"""So is slack below this share of the bench minutes until then: she varies so much."""
TINY = 1e-6
"""Bench minutes that are none: sums of fractions of a minute."""
TRIALS = 500
"""Nodes of the search for whom to ask for more time."""
NEWEST = 30
"""Sittings from which the share of planned minutes really worked is read."""


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


class Work(NamedTuple):
    """What is left of one order: its lines, tasks, and what some bows wait for."""

    order: Order
    lines: tuple[LineLeft, ...]
    tasks: tuple[Task, ...]
    waits: tuple[Wait, ...]


def due_dates(
    led: Ledgers, *, now: datetime, today: date, include: Sequence[Order] = ()
) -> DuePlan:
    """
    Say when each open order would be ready, and which can meet their due dates.

    `now` is aware; `include` are orders supposed besides (open ones, of a code that
    no order has).

    Raises:
        Unknown: when an order names a pattern that doesn't exist.
    """
    near = plan(look_ahead(led, now=now, today=today), include)
    if not (near.any_hours and _unfinished(near)):
        return near
    return plan(look_ahead(led, now=now, today=today, days=FURTHER), include)


def _unfinished(near: DuePlan) -> bool:
    return any(order.state == "no bench hours" for order in near.orders)


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


def plan(
    ahead: Ahead, include: Sequence[Order] = (), *, brief: bool = False
) -> DuePlan:
    """Plan all open orders and those supposed besides; `brief` without days or asks."""
    orders = sorted(
        [*open_orders(ahead.led), *include], key=lambda o: (ahead.deadline(o), o.code)
    )
    share, stock = share_bows(ahead.led, orders), ahead.store.copy()
    works = [_work(ahead, order, share, stock) for order in orders]
    tasks = [task for work in works for task in work.tasks]
    schedule = preemptive_edd([task.job for task in tasks], ahead.clock.line)
    supposed = {order.code for order in include}
    plans = [_order_plan(ahead, w, share, schedule, supposed) for w in works]
    return DuePlan(
        today=ahead.clock.first,
        orders=_in_order_of_work(plans, tasks, schedule),
        days=() if brief else day_plans(
            ahead.clock, schedule, {t.job.key: (t.order, t.kind, t.job) for t in tasks},
            plans, fairs=ahead.fairs, off=ahead.off,
        ),
        needed=sum(one.minutes for one in plans),
        any_hours=ahead.any_hours,
        horizon=ahead.clock.last,
        more_time=None if brief else _more_time(ahead, works, plans),
        basis=_basis(ahead, works),
        worked=_worked(ahead.led),
        fairs=tuple(dict.fromkeys(ahead.fairs.values())),
        overdue=stock.overdue,
        unlisted=tuple(stock.unlisted),
        over_claimed=share.over,
    )  # fmt: skip


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
            minutes = known.bench(bows) - (known.set_up_minutes if tasks else 0)
            key = f"{order.code} {kind} {len(tasks)}"
            job = Job(key, minutes, done_by, since, order.weight, sets)
            tasks.append(Task(order.code, kind, bows, job))
    return tasks, waits(before, needs, sliced, kind=kind)


def _order_plan(
    ahead: Ahead, work: Work, share: Share, schedule: Schedule, supposed: set[str]
) -> OrderPlan:
    order, clock = work.order, ahead.clock
    off, ready = _ends(work, schedule)
    by = min((t.job.off_bench for t in work.tasks), default=ahead.deadline(order))
    made = OrderPlan(
        code=order.code, state="meets", lines=work.lines, person=order.person,
        due=date.fromisoformat(order.due) if order.due else None, hour=order.hour,
        post_days=order.post_days, weight=order.weight, rush=order.rush,
        told_ready=order.state == READY, deadline=clock.moment(by),
        off_bench=clock.moment(off), ready_at=clock.moment(ready),
        slack=_slack(work, schedule, clock), waits=work.waits,
        for_fair=share.for_fair[order.code], supposed=order.code in supposed,
    )  # fmt: skip
    return replace(made, state=_state(ahead, made, off))


def _ends(work: Work, schedule: Schedule) -> tuple[float, float]:
    """Give the clock minutes an order is off the bench and ready; infinite if not."""
    if any(wait.expected is None for wait in work.waits):
        return math.inf, math.inf
    keys = [task.job.key for task in work.tasks]
    off = max((schedule.off_bench[key] for key in keys), default=0.0)
    return off, max((schedule.ready[key] for key in keys), default=0.0)


def _slack(work: Work, schedule: Schedule, clock: BenchClock) -> float | None:
    """Give bench minutes between off bench and deadline, the tightest of its tasks."""
    if not work.tasks or math.isinf(_ends(work, schedule)[0]):
        return None
    if all(math.isinf(task.job.off_bench) for task in work.tasks):
        return None
    line = clock.line
    return min(
        line.to_bench(task.job.off_bench)
        - line.to_bench(schedule.off_bench[task.job.key])
        for task in work.tasks
    )


def _state(ahead: Ahead, made: OrderPlan, off: float) -> State:
    never = next((w for w in made.waits if w.expected is None), None)
    if never is not None:
        return "no ribbon" if never.ribbon else "no supplies"
    if made.off_bench is None:
        return "no bench hours"
    if not made.make:
        return "late" if _overdue(made, ahead.clock) else "ready"
    if made.slack is None:
        return "meets"
    if made.slack < -TINY:
        return "late"
    room = max(CLOSE_MINUTES, CLOSE_SHARE * ahead.clock.line.to_bench(off))
    return "close" if made.slack < room or _late_restock(ahead, made) else "meets"


def _overdue(made: OrderPlan, clock: BenchClock) -> bool:
    """Say whether the day (or hour) to hand it over or post it has gone by."""
    if made.due is None:
        return False
    day = made.due - timedelta(days=made.post_days)
    if day == clock.first and made.hour and not made.post_days:
        return clock.at(day, time.fromisoformat(made.hour)) < 0
    return day < clock.first


def _late_restock(ahead: Ahead, made: OrderPlan) -> bool:
    """Say whether it would be late if what it waits for came on its latest day."""
    line = ahead.clock.line
    if made.deadline is None:
        return False
    by = line.to_bench(ahead.clock.minutes(made.deadline))
    for wait in made.waits:
        if wait.latest is not None:
            since = line.to_bench(ahead.clock.at(wait.latest + timedelta(days=1)))
            known = median_minutes(ahead.led, wait.kind)
            if since + known.bench(wait.bows) > by:
                return True
    return False


def _in_order_of_work(
    plans: Sequence[OrderPlan], tasks: Sequence[Task], schedule: Schedule
) -> tuple[OrderPlan, ...]:
    """Put what is ready first, then by when work begins, then what can't be begun."""
    order_of = {task.job.key: task.order for task in tasks}
    begins: dict[str, float] = {}
    for part in schedule.segments:
        begins.setdefault(order_of[part.key], part.start)

    def place(one: OrderPlan) -> tuple[float, date, str]:
        begin = begins.get(one.code, math.inf) if one.make else -1.0
        return begin, one.due or date.max, one.code

    return tuple(sorted(plans, key=place))


def _more_time(
    ahead: Ahead, works: Sequence[Work], plans: Sequence[OrderPlan]
) -> MoreTime | None:
    """Find whom to ask for more time, so that as little as can be is late."""
    late = {one.code for one in plans if one.state == "late" and one.make}
    if not late:
        return None
    line = ahead.clock.line
    jobs = [_whole_job(work) for work in works if work.tasks]
    found = fewest_late(jobs, line, by_weight=True, nodes=TRIALS)
    weight = sum(w.order.weight for w in works if w.order.code in late)
    # Nothing is won by moving others when those late anyway weigh no more.
    asked = late if weight <= found.weight else set(found.keys)
    tasks = [task for work in works for task in work.tasks]
    last = set() if asked == late else asked
    then = preemptive_edd([_put_last(t.job, t.order in last) for t in tasks], line)
    still = {t.order for t in tasks if _beyond(then.off_bench[t.job.key], t.job, line)}
    return MoreTime(
        orders=tuple(w.order.code for w in works if w.order.code in asked),
        proved=found.proved and all(_one_job(work) for work in works),
        ready_on={
            w.order.code: _day(ahead.clock, _ends(w, then)[1])
            for w in works if w.order.code in asked
        },
        rest_late=tuple(w.order.code for w in works if w.order.code in still - asked),
    )  # fmt: skip


def _one_job(work: Work) -> bool:
    """Say whether one job stands for all of an order exactly."""
    return len({(t.job.release, t.job.off_bench) for t in work.tasks}) <= 1


def _whole_job(work: Work) -> Job:
    """Give one job for all of an order, as tight as its tightest task."""
    jobs = [task.job for task in work.tasks]
    return Job(
        work.order.code, sum(job.minutes for job in jobs),
        min(job.off_bench for job in jobs), max(job.release for job in jobs),
        work.order.weight,
    )  # fmt: skip


def _beyond(off: float, job: Job, line: Timeline) -> bool:
    return line.to_bench(off) > line.to_bench(job.off_bench) + TINY or math.isinf(off)


def _put_last(job: Job, asked: bool) -> Job:
    return replace(job, due=math.inf) if asked else job


def _day(clock: BenchClock, minutes: float) -> date | None:
    moment = clock.moment(minutes)
    return moment.date() if moment else None


def _basis(ahead: Ahead, works: Sequence[Work]) -> tuple[Basis, ...]:
    """Say how well the minutes of each pattern still to make are known."""
    found: dict[str, Basis] = {}
    for work in works:
        for line in work.lines:
            if line.make:
                pattern = catalogue(ahead.led).split(line.kind)[0]
                known = median_minutes(ahead.led, line.kind)
                found[pattern] = Basis(pattern, known.sittings, known.stated)
    return tuple(found.values())


def _worked(led: Ledgers) -> float | None:
    """Give the median share of planned minutes really worked; None if never told."""
    told = sorted(
        (one.when, one.minutes / one.planned)
        for one in led.sittings.values()
        if one.planned
    )
    return median(share for _, share in told[-NEWEST:]) if told else None
