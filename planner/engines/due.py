"""
Which orders can meet their due dates: work left, ribbon, bench hours, and the policy.

Work is planned at median minutes and set up once an order and kind.  The policy is
preemptive earliest due less remaining setting time, with release days where ribbon
is still on the way (`engines.sequence.preemptive_edd`).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from statistics import median
from typing import TYPE_CHECKING

from planner.engines.bench_clock import BenchClock
from planner.engines.due_days import day_plans
from planner.engines.habits import told_shares
from planner.engines.minutes import median_minutes
from planner.engines.more_time import TINY, least_lateness, more_time
from planner.engines.sequence import Schedule
from planner.engines.work import (
    FURTHER,
    Ahead,
    Draft,
    Task,
    Work,
    draft,
    ends,
    gone_by,
    look_ahead,
)
from planner.ledgers.catalogue import catalogue
from planner.ledgers.orders import READY, Order
from planner.ledgers.state import Ledgers
from planner.plans.due import Basis, DayPlan, DuePlan, OrderPlan, State

if TYPE_CHECKING:
    from planner.engines.draws import Draws
    from planner.engines.odds import Odds

ROOM = 0.3
"""Share of the bench time looked at that work may take at median, for draws to fit."""
SAFE = 0.8
"""A chance below this is close, though at median all is well."""
CLOSE_MINUTES = 30.0
"""Without chances: slack below this is close, however soon the order is done."""
CLOSE_SHARE = 0.2
"""So is slack below this share of the bench minutes until then: she varies so much."""
NEWEST = 30
"""Sittings from which the share of planned minutes really worked is read."""


def due_dates(
    led: Ledgers, *, now: datetime, today: date, include: Sequence[Order] = (),
    draws: int = 0,
) -> DuePlan:  # fmt: skip
    """
    Say when each open order would be ready, and which can meet their due dates.

    `now` is aware; `include` are orders supposed besides (open ones, of a code that
    no order has).  draws: how many draws stand behind the chances; 0 for none.

    Raises:
        Unknown: when an order names a pattern that doesn't exist.
    """
    ahead = far_enough(led, now=now, today=today, include=include, draws=draws)
    return plan(ahead, include, chances=chances_of(ahead, draws))


def chances_of(ahead: Ahead, draws: int) -> Draws | None:
    """Get ready to draw; None for no draws."""
    if not draws:
        return None
    from planner.engines.draws import Draws

    return Draws(ahead, draws)


def far_enough(
    led: Ledgers, *, now: datetime, today: date, include: Sequence[Order] = (),
    draws: int = 0,
) -> Ahead:  # fmt: skip
    """
    Look ahead as far as the work reaches, if there are bench hours enough at all.

    With draws it is to reach when all goes slowly, too.
    """
    near = look_ahead(led, now=now, today=today)
    line, off = near.clock.line, draft(near, include).schedule.off_bench
    room = line.total * (ROOM if draws else 1.0)
    reaches = all(math.isfinite(x) and line.to_bench(x) <= room for x in off.values())
    if reaches or not near.any_hours:
        return near
    return look_ahead(led, now=now, today=today, days=FURTHER)


def plan(
    ahead: Ahead, include: Sequence[Order] = (), *, brief: bool = False,
    chances: Draws | None = None,
) -> DuePlan:  # fmt: skip
    """
    Plan all open orders and those supposed besides.

    `brief` without days or whom to ask; `chances` to draw each order's chance with.
    """
    made = draft(ahead, include)
    supposed, odds = {order.code for order in include}, _odds(made, chances)
    plans = [_order_plan(ahead, made, w, supposed, odds) for w in made.works]
    return DuePlan(
        today=ahead.clock.first,
        orders=_in_order_of_work(plans, made.tasks, made.schedule),
        days=() if brief else _days(ahead, made, plans),
        needed=sum(one.minutes for one in plans),
        any_hours=ahead.any_hours,
        horizon=ahead.clock.last,
        more_time=None if brief else more_time(ahead, made.works, plans),
        least_late=None if brief else least_lateness(ahead, made.works, plans),
        basis=_basis(ahead, made.works),
        worked=_worked(ahead.led),
        fairs=tuple(dict.fromkeys(ahead.fairs.values())),
        overdue=made.stock.overdue,
        unlisted=tuple(made.stock.unlisted),
        over_claimed=made.share.over,
        draws=chances.size if chances else 0,
        kept=chances.usual.kept if chances else None,
    )  # fmt: skip


def _odds(made: Draft, chances: Draws | None) -> Mapping[str, Odds]:
    if chances is None:
        return {}
    from planner.engines.odds import odds

    return odds(chances, made)


def _days(ahead: Ahead, made: Draft, plans: Sequence[OrderPlan]) -> tuple[DayPlan, ...]:
    tasks = {t.job.key: (t.order, t.kind, t.job) for t in made.tasks}
    return day_plans(
        ahead.clock, made.schedule, tasks, plans, fairs=ahead.fairs, off=ahead.off
    )


def _order_plan(
    ahead: Ahead, made: Draft, work: Work, supposed: set[str], odds: Mapping[str, Odds]
) -> OrderPlan:
    order, clock = work.order, ahead.clock
    off, ready = ends(work, made.schedule)
    by = min((t.job.off_bench for t in work.tasks), default=ahead.deadline(order))
    planned = OrderPlan(
        code=order.code, state="meets", lines=work.lines, person=order.person,
        due=date.fromisoformat(order.due) if order.due else None, hour=order.hour,
        post_days=order.post_days, weight=order.weight, rush=order.rush,
        told_ready=order.state == READY, deadline=clock.moment(by),
        off_bench=clock.moment(off), ready_at=clock.moment(ready),
        slack=_slack(work, made.schedule, clock), waits=work.waits,
        for_fair=made.share.for_fair[order.code], supposed=order.code in supposed,
    )  # fmt: skip
    likely = _with_odds(planned, odds.get(order.code))
    overdue = gone_by(order, clock)
    return replace(likely, state=_state(ahead, likely, off, overdue=overdue))


def _with_odds(planned: OrderPlan, odds: Odds | None) -> OrderPlan:
    if odds is None:
        return planned
    return replace(
        planned, chance=odds.chance, early=odds.early, likely=odds.likely,
        late=odds.late, finish=odds.finish,
    )  # fmt: skip


def _slack(work: Work, schedule: Schedule, clock: BenchClock) -> float | None:
    """Give bench minutes between off bench and deadline, the tightest of its tasks."""
    if not work.tasks or math.isinf(ends(work, schedule)[0]):
        return None
    if all(math.isinf(task.job.off_bench) for task in work.tasks):
        return None
    line = clock.line
    return min(
        line.to_bench(task.job.off_bench)
        - line.to_bench(schedule.off_bench[task.job.key])
        for task in work.tasks
    )


def _state(ahead: Ahead, made: OrderPlan, off: float, *, overdue: bool) -> State:
    never = next((w for w in made.waits if w.expected is None), None)
    if never is not None:
        return "no ribbon" if never.ribbon else "no supplies"
    if made.off_bench is None:
        return "no bench hours"
    if not made.make:
        return "late" if overdue else "ready"
    if made.slack is None:
        return "meets"
    if made.slack < -TINY:
        return "late"
    if made.chance is not None:
        return "close" if made.chance < SAFE else "meets"
    room = max(CLOSE_MINUTES, CLOSE_SHARE * ahead.clock.line.to_bench(off))
    return "close" if made.slack < room or _late_restock(ahead, made) else "meets"


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
    _, shares = told_shares(led)
    return median(shares[-NEWEST:]) if shares else None
