"""When each order may be ready, day by day, against its due day: pure geometry."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from planner.values.days import short_day
from planner.views.due import BenchDay, DueOrder
from planner.views.pictures import WIDTH, Tick, Weave

IN_TIME, TOO_LATE = Weave("moss", "backslant"), Weave("madder", "cross")
"""How days in time and days too late are drawn: tone and texture both differ."""
TOP, ROW, BAR = 30.0, 58.0, 40.0
LEFT, ACROSS = 64.0, 552.0
MOST_DAYS = 42
LEAST = 0.005
"""A day less likely than this is not drawn."""


@dataclass(frozen=True, slots=True)
class FinishBar:
    """A day an order may be ready on; its height is how likely that is."""

    x: float
    y: float
    width: float
    height: float
    weave: Weave


@dataclass(frozen=True, slots=True)
class FinishRow:
    """One order: its bars, where it is due, and what lies beyond the picture."""

    base: float
    label: str
    chance: str
    bars: tuple[FinishBar, ...]
    due_x: float | None
    """Where its due day begins; None when that is not in the picture."""
    beyond: str
    """The chance of being ready after the last day shown; empty when there is none."""


@dataclass(frozen=True, slots=True)
class FinishPicture:
    """Orders under each other on one scale of days."""

    width: float
    height: float
    left: float
    across: float
    rows: tuple[FinishRow, ...]
    ticks: tuple[Tick, ...]
    bench: tuple[tuple[float, float], ...]
    """Days with bench hours, as (x, width)."""


def finish_picture(
    orders: Sequence[DueOrder], days: Sequence[BenchDay]
) -> FinishPicture | None:
    """Lay the finishes out; None where no order's is known."""
    spread = [order for order in orders if len(order.finish) > 1 and order.chance]
    if not spread or not days:
        return None
    first = date.fromisoformat(days[0].day_on)
    count = _days_shown(spread, first)
    each = ACROSS / count
    tallest = max(day.in_time + day.late for order in spread for day in order.finish)
    rows = tuple(
        _row(order, first, count, TOP + ROW * at, BAR / tallest)
        for at, order in enumerate(spread)
    )
    hours = {day.day_on: day.planned_minutes for day in days}
    return FinishPicture(
        width=WIDTH, height=TOP + ROW * len(rows) + 4, left=LEFT, across=ACROSS,
        rows=rows, ticks=tuple(_ticks(first, count, each)),
        bench=tuple(_bench(first, count, each, hours)),
    )  # fmt: skip


def _days_shown(orders: Sequence[DueOrder], first: date) -> int:
    """Show up to the last due day and what is likely, within reason."""
    ends = [date.fromisoformat(order.due_on) for order in orders if order.due_on]
    ends += [
        date.fromisoformat(day.day_on)
        for order in orders for day in order.finish if day.in_time + day.late >= 0.02
    ]  # fmt: skip
    last = max(ends, default=first)
    return min(max((last - first).days + 1, 7), MOST_DAYS)


def _row(
    order: DueOrder, first: date, count: int, top: float, scale: float
) -> FinishRow:
    base, each = top + BAR + 6, ACROSS / count
    bars, shown = [], 0.0
    for day in order.finish:
        at = (date.fromisoformat(day.day_on) - first).days
        if at >= count:
            continue
        shown += day.in_time + day.late
        under = base
        for chance, weave in ((day.in_time, IN_TIME), (day.late, TOO_LATE)):
            if chance >= LEAST:
                high = chance * scale
                under -= high
                bars.append(
                    FinishBar(
                        round(LEFT + at * each + 1.5, 2), round(under, 2),
                        round(each - 3, 2), round(high, 2), weave,
                    )
                )  # fmt: skip
    rest = 1 - shown
    return FinishRow(
        base=base, label=order.code, chance=order.chance_shown, bars=tuple(bars),
        due_x=_due_x(order, first, count),
        beyond=f"{round(100 * rest)} % later" if rest >= 0.01 else "",
    )  # fmt: skip


def _due_x(order: DueOrder, first: date, count: int) -> float | None:
    if not order.due_on:
        return None
    at = (date.fromisoformat(order.due_on) - first).days
    return round(LEFT + at * ACROSS / count, 2) if 0 <= at <= count else None


def _ticks(first: date, count: int, each: float) -> Iterator[Tick]:
    step = 1 if count <= 8 else 7
    for at in range(0, count, step):
        label = short_day(first + timedelta(days=at))
        yield Tick(round(LEFT + at * each, 2), label.split(" ", 1)[1])


def _bench(
    first: date, count: int, each: float, hours: Mapping[str, int]
) -> Iterator[tuple[float, float]]:
    for at in range(count):
        if hours.get((first + timedelta(days=at)).isoformat(), 0):
            yield round(LEFT + at * each, 2), round(each, 2)
