"""How good bench plans were: the bows planned for each day against those finished."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from planner.engines.habits import bench_day
from planner.events.plans import BenchPlanAccepted
from planner.ledgers.state import Ledgers
from planner.plans.bench_scored import SittingScore


def bench_scores(led: Ledgers, today: date) -> tuple[SittingScore, ...]:
    """
    Score the days of accepted bench plans that are over, the oldest first.

    Each day by the newest plan that was accepted on it or before; a sitting that runs
    past midnight belongs to its eve.
    """
    plans: dict[date, BenchPlanAccepted] = {}
    for kept in led.all_kept("plans"):
        if isinstance(kept.event, BenchPlanAccepted):
            made = date.fromisoformat(led.day(kept.at))
            # A new plan takes the place of all that the one before said of its days on.
            plans = {day: plan for day, plan in plans.items() if day < made}
            days = {date.fromisoformat(row[0]) for row in kept.event.sittings}
            plans |= dict.fromkeys((d for d in days if d >= made), kept.event)
    over = sorted(day for day in plans if day < today)
    made_on, worked = _made(led, over), _worked(led, over)
    return tuple(
        _score(day, plans[day], made_on.get(day, {}), worked.get(day)) for day in over
    )


def _score(
    day: date, plan: BenchPlanAccepted, made: dict[str, int], worked: int | None
) -> SittingScore:
    planned: dict[str, int] = {}
    minutes = 0
    for on, kind, count, took in plan.sittings:
        if on == day.isoformat():
            planned[kind] = planned.get(kind, 0) + count
            minutes += took
    own = {kind: made.get(kind, 0) for kind in planned}
    return SittingScore(day, planned, own, minutes, worked)


def _made(led: Ledgers, days: Iterable[date]) -> dict[date, dict[str, int]]:
    """Count the bows finished on some days, by kind."""
    wanted, found = set(days), dict[date, dict[str, int]]()
    for batch in led.batches.values() if wanted else ():
        day = bench_day(batch.happened)
        if day in wanted:
            kinds = found.setdefault(day, {})
            kinds[batch.kind] = kinds.get(batch.kind, 0) + batch.count
    return found


def _worked(led: Ledgers, days: Iterable[date]) -> dict[date, int]:
    """Add up the minutes told of some days' sittings."""
    wanted, found = set(days), dict[date, int]()
    for sitting in led.sittings.values() if wanted else ():
        day = bench_day(sitting.happened)
        if day in wanted:
            found[day] = found.get(day, 0) + sitting.minutes
    return found
