"""
What taking a rush in one of its ways tells besides the order itself.

Made here once, so that what is supposed when she asks is what is entered when she
takes it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date

from planner.events.base import Event
from planner.events.orders import BowsReserved
from planner.events.shop import BenchHoursSet, BenchStretch, ExtraStretch
from planner.ledgers.shop import bench_hours
from planner.ledgers.state import Ledgers
from planner.values.bench import BenchHours, spell
from planner.values.days import short_day

Stretch = tuple[date, str, str]
"""Bench time on top: a day, from when, to when (`HH:MM`)."""


def from_the_fair(
    led: Ledgers, order: str, fair: str, bows: Mapping[str, int]
) -> tuple[Event, ...]:
    """Give the order's claim on bows that were set aside for a fair, and the rest."""
    own = BowsReserved(claimant=order, bows=tuple(bows.items()))
    page = led.page("reserves", fair)
    if page:
        kept = _less(page[-1].event.bows, bows)
        return own, BowsReserved(claimant=fair, bows=kept)
    plans = [k.event for k in led.page("fairs", fair)
             if k.event.kind == "fair-plan-accepted"]  # fmt: skip
    less = [p.model_copy(update={"bring": _less(p.bring, bows)}) for p in plans[-1:]]
    return own, *less


def _less(
    kept: Iterable[tuple[str, int]], bows: Mapping[str, int]
) -> tuple[tuple[str, int], ...]:
    return tuple((kind, max(n - bows.get(kind, 0), 0)) for kind, n in kept)


def with_more(led: Ledgers, extra: Iterable[Stretch]) -> BenchHoursSet:
    """Give her bench hours with some on top."""
    was = bench_hours(led)
    return hours_event(replace(was, extra=tuple(sorted({*was.extra, *extra}))))


def hours_event(told: BenchHours, words: str = "") -> BenchHoursSet:
    """Give the event of bench hours told, in her words or spelled out."""
    return BenchHoursSet(
        words=words or spell(told),
        rules=tuple(
            BenchStretch(
                rule=x.rule, start=x.start, end=x.end, first=x.first.isoformat()
            )
            for x in told.rules
        ),
        off=tuple(day.isoformat() for day in told.off_days),
        extra=tuple(
            ExtraStretch(day=day.isoformat(), start=a, end=b)
            for day, a, b in told.extra
        ),
    )  # fmt: skip


def stretch_words(stretches: Iterable[Stretch]) -> str:
    """Say hours on top: `Tue 24 Nov 22:00-23:00`."""
    return ", ".join(f"{short_day(day)} {a}-{b}" for day, a, b in stretches)


def stretch_minutes(stretches: Iterable[Stretch]) -> int:
    """Add up hours on top by the clock; an end before the start lies past midnight."""
    return sum((_minute(b) - _minute(a)) % (24 * 60) for _, a, b in stretches)


def _minute(clock: str) -> int:
    return 60 * int(clock[:2]) + int(clock[3:])
