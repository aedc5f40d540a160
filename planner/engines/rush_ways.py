"""
The ways to say yes to a rush order, each with how sure it is and what it costs.

As asked; with bows that are set aside for a fair; with more bench hours; on a later
day; fewer bows. A way is shown if it makes the rush sure at nobody's cost, or is the
one she asked for.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import timedelta

from planner.engines.due import plan
from planner.engines.fair import plan_fair
from planner.engines.more_hours import STEP, room, stretches
from planner.engines.rush import Asked, fair_chance, way_of
from planner.engines.supposing import supposing, with_order
from planner.engines.work import look_ahead
from planner.errors import Refusal
from planner.ledgers.fairs import Fair, coming_fairs
from planner.ledgers.orders import Order
from planner.ledgers.shop import setting, shop
from planner.ledgers.state import Ledgers
from planner.ledgers.stock import claims
from planner.plans.due import DuePlan, OrderPlan
from planner.plans.rush import LEVEL, RushAnswer, Way, What
from planner.plans.taking import Stretch, from_the_fair, with_more

MOST = 16
"""Steps of more bench time that are tried."""
SOON = 60
"""Days ahead within which a fair may lose by a rush."""
DAY_LATE = "a day late costs"
"""The setting that says what a day late of an order of weight 1 costs, minor units."""


def ways(asked: Asked, answer: RushAnswer, *, costs: bool) -> tuple[Way, ...]:
    """List the ways, the one asked for first, then the surest of each other sort."""
    price = Costs(asked) if costs else None
    first = _way(asked, "as asked", answer.plan, asked.wanted, price)
    if _sure(first):
        return (first,)
    others = (
        find(asked, answer, price) for find in (_from_fair, _more_hours, _later, _fewer)
    )
    return (first, *(way for way in others if way is not None))


def _sure(way: Way) -> bool:
    return way.chance >= LEVEL and not way.falls


def _way(
    asked: Asked, what: What, after: DuePlan, wanted: Order, price: Costs | None,
    led: Ledgers | None = None,
) -> Way:  # fmt: skip
    way = way_of(asked, what, after, wanted)
    return way if price is None else price.added(way, after, led, wanted)


def _from_fair(asked: Asked, answer: RushAnswer, price: Costs | None) -> Way | None:
    """Use bows that are set aside for a fair: the one that has most of them."""
    led, wanted = asked.ahead.led, asked.wanted
    lack = {line.kind: line.make for line in answer.rush.lines}
    taken: dict[str, dict[str, int]] = {}
    fairs = {fair.code for fair in coming_fairs(led, _iso(asked))}
    for claim in claims(led):
        if claim.claimant in fairs:
            own = taken.setdefault(claim.claimant, {})
            most = lack.get(claim.kind, 0) - own.get(claim.kind, 0)
            own[claim.kind] = own.get(claim.kind, 0) + min(most, claim.count)
    fair = max(taken, key=lambda code: sum(taken[code].values()), default="")
    bows = {kind: n for kind, n in taken.get(fair, {}).items() if n}
    if not bows:
        return None
    claimed = from_the_fair(led, wanted.code, fair, bows)
    other = _supposed(asked, supposing(with_order(led, wanted), claimed))
    after = plan(other.ahead, brief=True, chances=other.draws)
    way = _way(asked, "from the fair", after, wanted, price, other.ahead.led)
    return replace(way, fair=fair, taken=tuple(bows.items()))


def _iso(asked: Asked) -> str:
    return asked.ahead.clock.first.isoformat()


def _supposed(asked: Asked, led: Ledgers) -> Asked:
    """Ask the same of ledgers as they would be; what was drawn is kept."""
    clock = asked.ahead.clock
    days = (clock.last - clock.first).days
    ahead = look_ahead(led, now=clock.now, today=clock.first, days=days)
    draws = replace(asked.draws, ahead=ahead, kept={}) if asked.draws else None
    return replace(asked, ahead=ahead, draws=draws)


def _more_hours(asked: Asked, answer: RushAnswer, price: Costs | None) -> Way | None:
    """Find the least bench time before the first day in trouble that makes all sure."""
    by = _first_in_trouble(asked, answer)
    if by is None or asked.draws is None:
        return None
    free = room(asked.ahead, by)
    most = min(MOST, sum(minutes for _, minutes in free) // STEP)

    def enough(steps: int) -> bool:
        more = _with_hours(asked, stretches(asked.ahead.clock, free, STEP * steps))
        return fair_chance(more, asked.wanted) >= LEVEL

    steps = 1 + bisect_left(range(1, most + 1), True, key=enough)
    if steps > most:
        return None
    extra = stretches(asked.ahead.clock, free, STEP * steps)
    more = _with_hours(asked, extra)
    after = plan(more.ahead, (asked.wanted,), brief=True, chances=more.draws)
    taken = with_order(more.ahead.led, asked.wanted)
    way = _way(asked, "more hours", after, asked.wanted, price, taken)
    return replace(way, stretches=extra)


def _with_hours(asked: Asked, extra: Sequence[Stretch]) -> Asked:
    led = asked.ahead.led
    return _supposed(asked, supposing(led, (with_more(led, extra),)))


def _first_in_trouble(asked: Asked, answer: RushAnswer) -> float | None:
    """Give the clock minute of the first deadline in danger, if still to come."""
    clock = asked.ahead.clock
    hurt = [m.after for m in answer.moved if m.falls]
    own = answer.rush
    if own.chance is not None and own.chance < LEVEL:
        hurt.append(own)
    ends = [clock.minutes(o.deadline) for o in hurt if o.deadline is not None]
    first = min(ends, default=math.inf)
    return first if 1 < first < math.inf else None


def _later(asked: Asked, answer: RushAnswer, price: Costs | None) -> Way | None:
    if answer.earliest is None or answer.earliest <= answer.due:
        return None
    wanted = replace(asked.wanted, due=answer.earliest.isoformat(), hour=None)
    after = plan(asked.ahead, (wanted,), brief=True, chances=asked.draws)
    return _way(asked, "later day", after, wanted, price)


def _fewer(asked: Asked, answer: RushAnswer, price: Costs | None) -> Way | None:
    """Find the most bows that are sure at nobody's cost."""

    def fails(count: int) -> bool:
        return not fair_chance(asked, _of(asked.wanted, count)) >= LEVEL

    most = bisect_left(range(1, answer.count), True, key=fails)
    if not most:
        return None
    wanted = _of(asked.wanted, most)
    after = plan(asked.ahead, (wanted,), brief=True, chances=asked.draws)
    return _way(asked, "fewer bows", after, wanted, price)


def _of(wanted: Order, count: int) -> Order:
    lines = tuple(x.model_copy(update={"count": count}) for x in wanted.lines)
    return replace(wanted, lines=lines)


@dataclass
class Costs:
    """What a way costs: the next fair's expected profit, hours, others' lateness."""

    asked: Asked

    def __post_init__(self) -> None:
        led = self.asked.ahead.led
        self._fair = self._next_fair(led)
        self._profit = self._profit_of(led)
        self._wage = shop(led).wage
        told = setting(led, DAY_LATE)
        self._late = int(told) if told.isdecimal() else 0

    def added(
        self, way: Way, after: DuePlan, led: Ledgers | None, wanted: Order
    ) -> Way:
        """Add what a way costs; led: as they would be, where more than the order is."""
        lost = None
        if self._profit is not None:
            profit = self._profit_of(led or with_order(self.asked.ahead.led, wanted))
            lost = None if profit is None else max(self._profit - profit, 0)
        return replace(
            way, fair_lost=lost,
            hours=round(way.minutes * self._wage / 60) if self._wage else None,
            lateness=self._lateness(after) if self._late else None,
        )  # fmt: skip

    def _next_fair(self, led: Ledgers) -> Fair | None:
        first = self.asked.ahead.clock.first
        until = (first + timedelta(days=SOON)).isoformat()
        coming = [
            f for f in coming_fairs(led, first.isoformat()) if f.first_day < until
        ]
        return coming[0] if coming else None

    def _profit_of(self, led: Ledgers) -> int | None:
        if self._fair is None:
            return None
        try:
            made = plan_fair(led, self._fair, today=self.asked.ahead.clock.first)
        except Refusal:
            return None
        return made.profit

    def _lateness(self, after: DuePlan) -> int:
        before = {o.code: late_days(o) for o in self.asked.before.orders}
        more = sum(
            o.weight * (late_days(o) - before.get(o.code, 0.0)) for o in after.orders
        )
        return max(round(self._late * more), 0)


def late_days(order: OrderPlan) -> float:
    """Give the expected days an order is late, as far as the days looked at reach."""
    if order.due is None:
        return 0.0
    return sum(late * max((day - order.due).days, 1) for day, _, late in order.finish)
