"""
Whether she can say yes to a rush order, whom it would make late, and from when.

The plan is made again with the rush in it, as it would be once she had taken it, and
both plans are given the same draws.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from planner.engines.draws import DRAWS, Draws
from planner.engines.due import SAFE, chances_of, far_enough, plan
from planner.engines.odds import chances
from planner.engines.work import Ahead, draft
from planner.events.fields import LineItem
from planner.ledgers.catalogue import catalogue
from planner.ledgers.orders import OPEN, Order
from planner.ledgers.state import Ledgers
from planner.plans.due import DuePlan, OrderPlan
from planner.plans.rush import (
    LEVEL,
    Moved,
    Promise,
    RushAnswer,
    Verdict,
    Way,
    What,
    falls,
)

RUSH = "rush"
"""Code of the order that is only supposed, where the one it would get isn't known."""
SCANNED = 60
"""Due days tried, from today on."""
SHIFT = timedelta(minutes=1)
"""An order that is ready later by less than this has not moved."""
LEVELS = (0.5, 0.8, 0.9, 0.95)
"""Chances for which `promise` names a day."""
MILLION = 1_000_000


@dataclass(frozen=True)
class Asked:
    """A rush asked for: what it would be, the plan without it, what was promised."""

    ahead: Ahead
    wanted: Order
    before: DuePlan
    levels: Mapping[str, float]
    draws: Draws | None = None

    def level(self, code: str) -> float:
        """Give the chance an order was promised with."""
        return self.levels.get(code, LEVEL)


def rush(
    led: Ledgers, *, now: datetime, today: date, kind: str, count: int, due: date,
    hour: str | None = None, post_days: int = 0, draws: int = 0, costs: bool = False,
    code: str = RUSH,
) -> RushAnswer:  # fmt: skip
    """
    Say whether `count` of a kind (or set) could be ready when due.

    Days from today on are tried one by one for the earliest that could be promised
    at no other order's cost, as the chance need not rise with the day.  draws: how
    many stand behind the chances, and then the ways are found too; 0 for medians
    alone.  costs: whether to say what each way costs (the fair is planned anew).  code:
    what the order would be called, for its draws hang on that.

    Raises:
        Unknown: when there is no such pattern.
    """
    wanted = Order(
        code, state=OPEN, lines=_lines(led, kind, count), due=due.isoformat(),
        hour=hour, rush=True, post_days=post_days,
    )  # fmt: skip
    asked, after = ask(led, now, today, wanted, draws)
    answer = answered(asked, after, kind=kind, count=count)
    if asked.draws is None:
        return answer
    from planner.engines.rush_ways import ways

    return replace(answer, ways=ways(asked, answer, costs=costs))


def answered(asked: Asked, after: DuePlan, *, kind: str, count: int) -> RushAnswer:
    """Put the answer together from the plan with the rush in it."""
    wanted, own = asked.wanted, after.order(asked.wanted.code)
    moved = moves(asked, after)
    last = asked.ahead.clock.first + timedelta(days=SCANNED)
    earliest = (
        _earliest(asked, last) if asked.draws is None
        else next((day for _, day in first_days(asked, (LEVEL,), last)), None)
    )  # fmt: skip
    assert wanted.due is not None
    return RushAnswer(
        kind=kind, count=count, due=date.fromisoformat(wanted.due), hour=wanted.hour,
        verdict=_verdict(own, moved), rush=own, moved=moved, earliest=earliest,
        scanned_to=last, plan=after, post_days=wanted.post_days,
    )  # fmt: skip


def promise(
    led: Ledgers, *, now: datetime, today: date, kind: str, count: int, draws: int,
    post_days: int = 0, levels: Sequence[float] = LEVELS, code: str = RUSH,
) -> Promise:  # fmt: skip
    """
    Name the first due day for each chance at which nobody else's promise falls.

    Raises:
        Unknown: when there is no such pattern.
    """
    last = today + timedelta(days=SCANNED)
    wanted = Order(
        code, state=OPEN, lines=_lines(led, kind, count), due=last.isoformat(),
        post_days=post_days,
    )  # fmt: skip
    asked, after = ask(led, now, today, wanted, draws)
    found = dict(first_days(asked, levels, last))
    days = [day for day in found.values() if day is not None]
    if days:
        safest = replace(wanted, due=max(days).isoformat())
        after = plan(asked.ahead, (safest,), chances=asked.draws)
    return Promise(
        kind=kind, count=count, days=tuple((x, found.get(x)) for x in levels),
        rush=after.order(wanted.code), scanned_to=last, plan=after,
    )  # fmt: skip


def way_on(
    led: Ledgers, *, now: datetime, today: date, kind: str, count: int, due: date,
    post_days: int = 0, draws: int = DRAWS, code: str = RUSH,
) -> Way:  # fmt: skip
    """Give the plain way to take an order for a day, without its costs."""
    wanted = Order(
        code, state=OPEN, lines=_lines(led, kind, count), due=due.isoformat(),
        post_days=post_days,
    )  # fmt: skip
    asked, after = ask(led, now, today, wanted, draws)
    return way_of(asked, "as asked", after, wanted)


def way_of(asked: Asked, what: What, after: DuePlan, wanted: Order) -> Way:
    """Put a way together from the plan with it."""
    own = after.order(wanted.code)
    assert wanted.due is not None
    return Way(
        what=what, count=sum(line.count for line in wanted.lines),
        due=date.fromisoformat(wanted.due), hour=wanted.hour, chance=own.chance or 0.0,
        early=day_of(own.early), likely=day_of(own.likely), late=day_of(own.late),
        falls=fallen(asked, {o.code: o.chance for o in after.orders}),
        minutes=after.needed - asked.before.needed,
    )  # fmt: skip


def day_of(moment: datetime | None) -> date | None:
    """Give the day of a moment."""
    return moment.date() if moment else None


def _lines(led: Ledgers, kind: str, count: int) -> tuple[LineItem, ...]:
    cat = catalogue(led)
    kinds = cat.sets[kind].kinds if kind in cat.sets else ((kind, 1),)
    for one, _ in kinds:
        cat.pattern_of(one)
    return (LineItem(line=1, what=kind, count=count, price=0, kinds=kinds),)


def ask(
    led: Ledgers, now: datetime, today: date, wanted: Order, draws: int
) -> tuple[Asked, DuePlan]:
    """Plan without and with the rush, over days enough for both."""
    ahead = far_enough(led, now=now, today=today, include=(wanted,), draws=draws)
    luck = chances_of(ahead, draws)
    before = plan(ahead, brief=True, chances=luck)
    asked = Asked(ahead, wanted, before, promised_levels(led), luck)
    return asked, plan(ahead, (wanted,), chances=luck)


def promised_levels(led: Ledgers) -> dict[str, float]:
    """Give the chance each order was last promised with, where that was kept."""
    return {
        code: led.page("promises", code)[-1].event.chance / MILLION
        for code in led.keys("promises")
    }


def moves(asked: Asked, after: DuePlan) -> tuple[Moved, ...]:
    """Give the orders that would be later, or stand otherwise, the worst first."""
    both = (
        Moved(o.code, o, after.order(o.code), asked.level(o.code))
        for o in asked.before.orders
    )
    return tuple(sorted(filter(_has_moved, both), key=_worst_first))


def _worst_first(move: Moved) -> tuple[bool, bool, date, str]:
    due = move.before.due or date.max
    return not move.newly_late, not move.harmed, due, move.code


def _has_moved(move: Moved) -> bool:
    before, after = move.before, move.after
    if before.state != after.state or before.make != after.make or move.falls:
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
    sure = 1.0 if own.chance is None else own.chance
    if sure < 0.5:
        return "no"
    return "yes, but" if sure < SAFE or any(m.harmed for m in moved) else "yes"


def _earliest(asked: Asked, last: date) -> date | None:
    """Scan due days at median: none need be later than the one before it."""
    for day in _days(asked, last):
        tried = replace(asked.wanted, due=day.isoformat(), hour=None)
        after = plan(asked.ahead, (tried,), brief=True)
        own = after.order(tried.code)
        if own.state in ("no ribbon", "no supplies"):
            return None  # a later day only lets more orders take theirs first
        if not own.fails and not any(m.harmed for m in moves(asked, after)):
            return day
    return None


def _days(asked: Asked, last: date) -> Iterator[date]:
    first = asked.ahead.clock.first
    for away in range((last - first).days + 1):
        yield first + timedelta(days=away)


def first_days(
    asked: Asked, levels: Sequence[float], last: date
) -> Iterator[tuple[float, date]]:
    """Scan due days for the first with each chance at nobody's cost."""
    left = sorted(levels)
    for day in _days(asked, last):
        chance = fair_chance(
            asked, replace(asked.wanted, due=day.isoformat(), hour=None)
        )
        if math.isnan(chance) or not left:
            return
        while left and chance >= left[0]:
            yield left.pop(0), day


def fair_chance(asked: Asked, tried: Order) -> float:
    """
    Give the chance of a rush; 0 where it is at another's cost, NaN for no ribbon.
    """
    assert asked.draws is not None
    made = draft(asked.ahead, (tried,))
    own = next(work for work in made.works if work.order.code == tried.code)
    if any(wait.expected is None for wait in own.waits):
        return math.nan  # a later day only lets more orders take theirs first
    after = chances(asked.draws, made)
    return 0.0 if fallen(asked, after) else after[tried.code] or 0.0


def fallen(asked: Asked, after: Mapping[str, float | None]) -> tuple[str, ...]:
    """Name the orders whose chance falls below the level they were promised with."""
    return tuple(
        o.code
        for o in asked.before.orders
        if o.chance is not None
        and falls(o.chance, after[o.code] or 0.0, asked.level(o.code))
    )
