"""Build the due dates' view from the plan."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from datetime import date, datetime

from planner.ledgers.catalogue import Catalogue, catalogue
from planner.ledgers.state import Ledgers
from planner.plans.due import DayPlan, DuePlan, LineLeft, OrderPlan, Stretch, Wait
from planner.values.days import short_day
from planner.views import naming
from planner.views.common import Link
from planner.views.due import (
    BenchDay,
    BenchSegment,
    DueDates,
    DueLine,
    DueOrder,
    FinishDay,
)
from planner.views.due_basis import listed, odd, rests_on
from planner.views.foot import foot


def build(
    led: Ledgers,
    plan: DuePlan,
    *,
    made: str,
    names: Mapping[str, str] | None = None,
    as_of: str = "",
    known_on: str | None = None,
    links: tuple[Link, ...] = (),
) -> DueDates:
    """
    Show when each open order would be ready.

    `names` gives what to call a person by key; without it, nobody is named.
    """
    cat = catalogue(led)
    planned = sum(day.minutes for day in plan.days)
    return DueDates(
        shop=naming.shop_view(led), links=links,
        foot=foot(
            led, as_of=as_of or plan.today.isoformat(), known_on=known_on, made=made
        ),
        policy=plan.policy, short=short(plan),
        orders=tuple(order_view(led, cat, o, plan, names or {}) for o in plan.orders),
        days=tuple(_day(cat, day) for day in plan.days),
        needed_minutes=round(plan.needed), needed=_minutes(plan.needed),
        planned_minutes=round(planned), planned=_minutes(planned),
        rests_on=rests_on(led, cat, plan), odd=tuple(odd(led, plan)),
    )  # fmt: skip


def short(plan: DuePlan) -> str:
    """Answer in a sentence or two: how many are on time, and which are not."""
    if not plan.orders:
        return "No order is open."
    bad = [order for order in plan.orders if order.fails]
    close = [order.code for order in plan.orders if order.state == "close"]
    said = _how_many(len(plan.orders), len(bad)) + _rushes(plan, bad)
    if bad:
        said += ": " + "; ".join(_trouble(order, plan.today) for order in bad)
    said += "."
    if close:
        said += f" {listed(close)} {_verb(close, 'is', 'are')} close."
    return said + _ask(plan)


def _how_many(count: int, bad: int) -> str:
    if not bad:
        if count == 1:
            return "The open order can be ready when it is due"
        both = "Both" if count == 2 else f"All {count}"
        return f"{both} orders can be ready when they are due"
    return f"{count - bad} of {count} orders can be ready when due"


def _rushes(plan: DuePlan, bad: Sequence[OrderPlan]) -> str:
    """Name the rush orders where all is well; the others are named as it is."""
    rushes = [order.code for order in plan.orders if order.rush]
    if bad or not rushes or len(plan.orders) == 1:
        return ""
    return f", {listed(rushes)} ({_verb(rushes, 'a rush', 'rushes')}) included"


def _trouble(order: OrderPlan, today: date) -> str:
    """Say in a few words why an order isn't on time."""
    match order.state:
        case "no ribbon" | "no supplies":
            what = "ribbon" if order.state == "no ribbon" else "supplies"
            return f"{order.code} lacks {what}"
        case "no bench hours":
            return f"{order.code} has no bench hours to be made in"
    if not order.make:
        return f"{order.code} is ready and its day has gone by"
    if order.due is not None and order.due < today:
        return f"{order.code} was due {short_day(order.due)}"
    return f"{order.code} would be {_how_late(order)}"


def _how_late(order: OrderPlan) -> str:
    """Say by how many days, and for want of how many bench minutes."""
    late = _days_late(order)
    days = f"{late} {'day' if late == 1 else 'days'} late" if late > 0 else "too late"
    if order.slack is None or order.slack >= 0:
        return days
    return f"{days} for want of {_minutes(-_whole(order.slack))}"


def _days_late(order: OrderPlan) -> int:
    if order.due is None or order.ready_at is None:
        return 0
    return (order.ready_at.date() - order.due).days + order.post_days


def _ask(plan: DuePlan) -> str:
    """Say whom to ask for more time, and what that would do."""
    more = plan.more_time
    if more is None or not more.orders:
        return ""
    waits = [
        f"{code} (ready {short_day(day)})" if day else code
        for code in more.orders
        for day in [more.ready_on.get(code)]
    ]
    if more.rest_late:
        return (
            f" Ask for more time for {listed(waits)}; even then "
            f"{listed(more.rest_late)} would be late."
        )
    late = {order.code for order in plan.orders if order.state == "late"}
    if set(more.orders) >= late:
        return f" Ask for more time for {listed(waits)}."
    lacks = any(order.fails and order.code not in late for order in plan.orders)
    rest = "all that have what they take" if lacks else "the others"
    return f" If {listed(waits)} could wait, {rest} would be on time."


def _verb(words: list[str], one: str, many: str) -> str:
    return one if len(words) == 1 else many


def order_view(
    led: Ledgers, cat: Catalogue, order: OrderPlan, plan: DuePlan,
    names: Mapping[str, str],
) -> DueOrder:  # fmt: skip
    """Show one order against its due day."""
    return DueOrder(
        code=order.code, who=names.get(order.person or "", ""),
        lines=tuple(_line(cat, line) for line in order.lines),
        due_on=order.due.isoformat() if order.due else "", due=_due(order),
        work_minutes=round(order.minutes),
        work=_minutes(order.minutes) if order.make else "none",
        ready_on=order.ready_at.date().isoformat() if order.ready_at else "",
        ready=_ready(order),
        slack_minutes=None if order.slack is None else _whole(order.slack),
        slack=_slack(order),
        state=order.state, why=_behind(led, order.code),
        waits_for=_waits_for(led, cat, order, plan),
        chance=order.chance, chance_shown=chance_words(order.chance),
        early_on=_iso(order.early), early=_finish_words(order, order.early),
        likely_on=_iso(order.likely), likely=_finish_words(order, order.likely),
        late_on=_iso(order.late), late=_finish_words(order, order.late),
        finish=tuple(
            FinishDay(day_on=day.isoformat(), in_time=good, late=bad)
            for day, good, bad in order.finish
        ),
    )  # fmt: skip


def _behind(led: Ledgers, code: str) -> str:
    """Say what names the entries behind an order; nothing does for one only asked."""
    return f"bows why {code}" if led.page("orders", code) else ""


def chance_words(chance: float | None) -> str:
    """Say a chance in whole per cent, never quite sure where it was drawn."""
    if chance is None:
        return ""
    if chance in (0.0, 1.0):
        return f"{100 * chance:.0f} %"
    if chance < 0.01 or chance > 0.99:
        return "under 1 %" if chance < 0.5 else "over 99 %"
    return f"{round(100 * chance)} %"


def _iso(moment: datetime | None) -> str:
    return moment.date().isoformat() if moment else ""


def _finish_words(order: OrderPlan, moment: datetime | None) -> str:
    """Say the day of a finish; nothing of what is ready or can't be told."""
    if moment is None or not order.make:
        return ""
    return short_day(moment.date())


def _line(cat: Catalogue, line: LineLeft) -> DueLine:
    return DueLine(
        kind=naming.typed(cat, line.kind), count=line.count,
        ready=line.handed + line.at_hand, make=line.make,
        swatches=naming.swatches_of_kind(cat, line.kind),
    )  # fmt: skip


def _due(order: OrderPlan) -> str:
    if order.due is None:
        return ""
    said = short_day(order.due)
    if order.hour:
        said += f", {order.hour}"
    if order.post_days:
        days = "day" if order.post_days == 1 else "days"
        said += f", {order.post_days} {days} in the post"
    return said


def _ready(order: OrderPlan) -> str:
    if order.state == "ready" or not order.make:
        return "ready now"
    return _clock_words(order.ready_at)


def _clock_words(moment: datetime | None) -> str:
    return f"{short_day(moment.date())}, {moment:%H:%M}" if moment else ""


def _whole(slack: float) -> int:
    """Round slack so that it never promises a minute that isn't there."""
    return math.floor(slack + 1e-6)


def _slack(order: OrderPlan) -> str:
    """Say how much room there is, in bench time, or by how much it is late."""
    if not order.make:
        return "hand it over" if order.fails else "—"
    if order.slack is None:
        return "—"
    if order.slack >= 0 and not order.fails:
        minutes = _whole(order.slack)
        return f"{_minutes(minutes)} to spare" if minutes else "nothing to spare"
    return _how_late(order)


def _waits_for(led: Ledgers, cat: Catalogue, order: OrderPlan, plan: DuePlan) -> str:
    if not order.make:
        return "handing over: its day has gone by" if order.fails else ""
    said = [_wait(led, cat, wait) for wait in order.waits]
    if order.state == "no bench hours":
        said.append(
            "bench hours: none up to " + short_day(plan.horizon)
            if plan.any_hours
            else "bench hours: none told yet"
        )
    if order.for_fair:
        said.append(f"{naming.bows(order.for_fair)} that would do set aside for a fair")
    return "; ".join(dict.fromkeys(said))


def _wait(led: Ledgers, cat: Catalogue, wait: Wait) -> str:
    if wait.ribbon:
        what = f"{naming.length(led, wait.short)} more of {cat.ribbon_name(wait.what)}"
    else:
        name = cat.supplies[wait.what].name if wait.what in cat.supplies else wait.what
        what = f"{wait.short:,} more {name}"
    for_bows = f"{what} for {naming.bows(wait.bows)}"
    if wait.expected is None:
        return f"{for_bows}: none on the way"
    latest = ""
    if wait.latest is not None and wait.latest != wait.expected:
        latest = f", {short_day(wait.latest)} at the latest"
    return f"{for_bows}: {wait.restock} expected {short_day(wait.expected)}{latest}"


def _minutes(count: float) -> str:
    return naming.minutes(count)


def _day(cat: Catalogue, day: DayPlan) -> BenchDay:
    return BenchDay(
        day_on=day.day.isoformat(), day=short_day(day.day),
        planned_minutes=round(day.minutes),
        planned=_minutes(day.minutes) if round(day.minutes) else "none",
        used_minutes=round(day.used), used=_minutes(day.used) if day.used else "—",
        segments=tuple(_segments(cat, day)), due=day.due, note=day.note,
    )  # fmt: skip


def _segments(cat: Catalogue, day: DayPlan) -> Iterator[BenchSegment]:
    """Show the stretches in whole minutes, and the free time between them."""
    now, end = 0, round(day.minutes)
    for part in day.stretches:
        start, stop = round(part.start), round(part.end)
        if start > now:
            yield _free(now, start)
        if stop > start:
            yield _segment(cat, part, start, stop)
        now = max(now, stop)
    if end > now:
        yield _free(now, end)


def _segment(cat: Catalogue, part: Stretch, start: int, stop: int) -> BenchSegment:
    return BenchSegment(
        order=part.order, label=naming.typed(cat, part.kind), start_minute=start,
        minutes=stop - start, late=part.late,
    )  # fmt: skip


def _free(start: int, stop: int) -> BenchSegment:
    return BenchSegment(
        order="free", label="free", start_minute=start, minutes=stop - start
    )
