"""
Whether she can say yes to a rush order, whom it would make late, and from when.

The plan is made again with the rush in it, as it would be once she had taken it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta

from planner.engines.due import plan
from planner.engines.work import FURTHER, Ahead, look_ahead
from planner.events.fields import LineItem
from planner.ledgers.catalogue import catalogue
from planner.ledgers.orders import OPEN, Order
from planner.ledgers.state import Ledgers
from planner.plans.due import DuePlan, Moved, OrderPlan, RushAnswer, Verdict

RUSH = "rush"
"""Code of the order that is only supposed."""
SCANNED = 60
"""Due days tried, from today on."""
SHIFT = timedelta(minutes=1)
"""An order that is ready later by less than this has not moved."""


def rush(
    led: Ledgers, *, now: datetime, today: date, kind: str, count: int, due: date,
    hour: str | None = None, post_days: int = 0,
) -> RushAnswer:  # fmt: skip
    """
    Say whether `count` of a kind (or set) could be ready when due, at median.

    Days from today on are tried one by one for the earliest that could be promised
    at no other order's cost.

    Raises:
        Unknown: when there is no such pattern.
    """
    wanted = Order(
        RUSH, state=OPEN, lines=_lines(led, kind, count), due=due.isoformat(),
        hour=hour, rush=True, post_days=post_days,
    )  # fmt: skip
    ahead, before, after = _before_and_after(led, now, today, wanted)
    moved = _moved(before, after)
    last = today + timedelta(days=SCANNED)
    own = after.order(RUSH)
    return RushAnswer(
        kind=kind, count=count, due=due, hour=hour, verdict=_verdict(own, moved),
        rush=own, moved=moved, earliest=_earliest(ahead, wanted, before, last),
        scanned_to=last, plan=after,
    )  # fmt: skip


def _lines(led: Ledgers, kind: str, count: int) -> tuple[LineItem, ...]:
    cat = catalogue(led)
    kinds = cat.sets[kind].kinds if kind in cat.sets else ((kind, 1),)
    for one, _ in kinds:
        cat.pattern_of(one)
    return (LineItem(line=1, what=kind, count=count, price=0, kinds=kinds),)


def _before_and_after(
    led: Ledgers, now: datetime, today: date, wanted: Order
) -> tuple[Ahead, DuePlan, DuePlan]:
    """Plan without and with the rush, over days enough for both."""
    ahead = look_ahead(led, now=now, today=today)
    after = plan(ahead, (wanted,))
    if after.any_hours and any(o.state == "no bench hours" for o in after.orders):
        ahead = look_ahead(led, now=now, today=today, days=FURTHER)
        after = plan(ahead, (wanted,))
    return ahead, plan(ahead, brief=True), after


def _moved(before: DuePlan, after: DuePlan) -> tuple[Moved, ...]:
    """Give the orders that would be later, or stand otherwise, the worst first."""
    both = (Moved(o.code, o, after.order(o.code)) for o in before.orders)
    return tuple(sorted(filter(_has_moved, both), key=_worst_first))


def _worst_first(move: Moved) -> tuple[bool, bool, date, str]:
    due = move.before.due or date.max
    return not move.newly_late, not move.harmed, due, move.code


def _has_moved(move: Moved) -> bool:
    before, after = move.before, move.after
    if before.state != after.state or before.make != after.make:
        return True
    if before.ready_at is None or after.ready_at is None:
        return before.ready_at != after.ready_at
    return after.ready_at - before.ready_at >= SHIFT


def _verdict(own: OrderPlan, moved: Sequence[Moved]) -> Verdict:
    match own.state:
        case "late":
            return "no"
        case "no ribbon" | "no supplies" | "no bench hours":
            return own.state
    return "yes, but" if any(m.harmed for m in moved) else "yes"


def _earliest(ahead: Ahead, wanted: Order, before: DuePlan, last: date) -> date | None:
    """Scan due days: the chance to be on time need not rise with the day."""
    for away in range((last - ahead.clock.first).days + 1):
        day = ahead.clock.first + timedelta(days=away)
        tried = replace(wanted, due=day.isoformat(), hour=None)
        after = plan(ahead, (tried,), brief=True)
        own = after.order(RUSH)
        if own.state in ("no ribbon", "no supplies"):
            return None  # a later day only lets more orders take theirs first
        if not own.fails and not any(m.harmed for m in _moved(before, after)):
            return day
    return None
