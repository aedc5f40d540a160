"""
A season of an invented maker, day by day: `season` for the demo, `blow_up` for load.

Pure: the same parameters, last day and seed give the same entries, on any machine.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from planner.scenario import (
    bench,
    buying,
    fairs,
    oddments,
    opening,
    orders,
    shelf,
)
from planner.scenario.maker import Maker
from planner.scenario.notebook import Codes, Draft, Told, number
from planner.scenario.process import Process, read_process
from planner.scenario.truth import SpoolTruth, Truth

YEAR = 364
"""Days of a season: whole weeks, so that weekdays repeat."""
STOPS = 8 * 60
"""The last day's minute at which the log ends."""
_EVENTS_A_YEAR = 2_800
_MOST_YEARS = 8


@dataclass(frozen=True, slots=True)
class Season:
    """What she typed in a year, and what was true; `entries` in order of recording."""

    entries: tuple[Told, ...]
    truth: Truth


def season(parameters: Mapping[str, Any], *, last_day: date, seed: int) -> Season:
    """
    Make one year of an invented maker's log that ends on `last_day` at 08:00.

    Raises ValueError for parameters that don't hold together.
    """
    maker = _maker(read_process(parameters), last_day, years=1, seed=str(seed))
    entries = tuple(number(_live(maker)))
    return Season(entries, _truth(maker))


def blow_up(
    parameters: Mapping[str, Any], *, last_day: date, events: int, seed: int = 1
) -> Iterator[Told]:
    """
    Stream at least so many events of the same process, for load tests.

    It runs over up to eight years, and beyond that with several makers at one bench;
    it stops with the entry that reaches the number.
    """
    process = read_process(parameters)
    years = min(max(-(-events // _EVENTS_A_YEAR), 1), _MOST_YEARS)
    hands = -(-events // (years * _EVENTS_A_YEAR))
    codes = Codes()
    lives = [
        _live(_maker(process, last_day, years, f"{seed}-{hand}", codes, hand == 0))
        for hand in range(hands)
    ]
    merged = heapq.merge(*lives, key=lambda draft: draft.recorded)
    yield from _until(number(merged), events)


def _until(told: Iterator[Told], events: int) -> Iterator[Told]:
    for one in told:
        yield one
        events -= len(one.entry.facts)
        if events <= 0:
            return


def _maker(
    process: Process, last: date, years: int, seed: str, codes: Codes | None = None,
    told_catalogue: bool = True,
) -> Maker:  # fmt: skip
    first = last - timedelta(YEAR * years)
    return Maker(process, first, last, seed, codes or Codes(), told_catalogue)


def _live(maker: Maker) -> Iterator[Draft]:
    """Live through the days; gives out what was typed as its moment comes."""
    _plan(maker)
    opening.begin(maker)
    day = maker.first
    while day < maker.last:
        yield from maker.notebook.ready(maker.clock.utc(day, 0))
        _day(maker, day)
        day += timedelta(1)
    _morning(maker, day)
    yield from maker.notebook.ready(maker.clock.utc(day, STOPS))


def _plan(maker: Maker) -> None:
    fairs.plan_fairs(maker)
    orders.plan_orders(maker)
    buying.plan_restocks(maker)
    shelf.plan_shelf(maker)
    oddments.plan_oddments(maker)
    p = maker.process
    maker.plans[maker.last - timedelta(2)].append(("cut for waiting", None))
    maker.plans[maker.weeks_ago(p.revision.weeks_before)].append(("revise", None))
    maker.plans[maker.weeks_ago(p.dearer.weeks_before)].append(("dearer", None))


def _day(maker: Maker, day: date) -> None:
    """Live through one day, in the order things happen on it."""
    plans = maker.plans.pop(day, [])
    for what, matter in plans:
        if what not in _LAST_THING:
            _HAPPEN[what](maker, day, matter)
    fairs.go_to_fairs(maker, day)
    fairs.think_ahead(maker, day)
    bench.sit(maker, day)
    if day == maker.last - timedelta(1):
        orders.make_ready(maker, day)
    orders.hand_over(maker, day)
    fairs.fair_evening(maker, day)
    _weekly(maker, day)
    for what, matter in plans:
        if what in _LAST_THING:
            _HAPPEN[what](maker, day, matter)


def _weekly(maker: Maker, day: date) -> None:
    buying.run_out(maker, day)
    if day.weekday() == 6:
        buying.use_by_yield(maker, day)
        buying.forget_a_little(maker)
    if day.weekday() == 3:
        buying.weigh(maker, day)


def _morning(maker: Maker, day: date) -> None:
    for what, matter in maker.plans.pop(day, []):
        if what == "ending":
            orders.ending_comes(maker, day, matter)


_LAST_THING = frozenset({"count", "cut for waiting", "oddment", "restock"})
"""Done in the late evening, after everything else."""

_HAPPEN: Mapping[str, Callable[[Maker, date, Any], None]] = {
    "fair": fairs.announce,
    "order": orders.order_comes,
    "ending": orders.ending_comes,
    "changed": lambda m, d, o: orders.order_turns(m, d, "changed", o),
    "called off": lambda m, d, o: orders.order_turns(m, d, "called off", o),
    "returned": lambda m, d, o: orders.order_turns(m, d, "returned", o),
    "lost in post": lambda m, d, o: orders.order_turns(m, d, "lost in post", o),
    "after returned": lambda m, d, o: orders.after_all(m, d, "after returned", o),
    "after lost in post": lambda m, d, o: orders.after_all(
        m, d, "after lost in post", o
    ),
    "restock": lambda m, d, how: buying.buy(m, d, how[0], in_two=how[1]),
    "delivery": buying.deliver,
    "cancelled restock": lambda m, d, _: buying.cancel_one(m, d),
    "last restock": lambda m, d, _: buying.order_the_awaited(m, d),
    "home sale": lambda m, d, _: shelf.home_sale(m, d),
    "gift": lambda m, d, _: shelf.gift(m, d),
    "note": lambda m, d, _: shelf.write_note(m, d),
    "gone": lambda m, d, _: shelf.go_missing(m, d),
    "found": shelf.turn_up,
    "write off": lambda m, d, _: shelf.write_off(m, d),
    "count": lambda m, d, _: shelf.count_home(m, d),
    "boutique": shelf.to_boutique,
    "wholesale": lambda m, d, _: shelf.sell_wholesale(m, d),
    "revise": lambda m, d, _: opening.revise(m, d),
    "dearer": lambda m, d, _: opening.raise_prices(m, d),
    "cut for waiting": lambda m, d, _: bench.cut_for_waiting(m, d),
    "oddment": oddments.oddment,
    "came back": oddments.come_back,
}
"""What a planned thing does on its day."""


def _truth(maker: Maker) -> Truth:
    p, made = maker.process, maker.patterns.values()
    return Truth(
        rates=dict(maker.rates), crowd_power=p.demand.crowd_power,
        minutes={m.pattern: m.minutes for m in made}, learning=p.bench.learning,
        over_cut=dict(maker.over.mean), spoil={m.pattern: m.spoil for m in made},
        fairs=tuple(maker.past_fairs), spools=_spool_truth(maker),
        bows={place: dict(held) for place, held in maker.world.bows.items()},
        bow_causes={k: dict(v) for k, v in maker.world.bow_causes.items()},
        supplies={
            lot.code: lot.left for lots in maker.world.lots.values() for lot in lots
        },
        sitting_minutes=dict(maker.sitting_minutes), untyped=maker.notebook.untyped(),
    )  # fmt: skip


def _spool_truth(maker: Maker) -> dict[str, SpoolTruth]:
    return {
        code: SpoolTruth(
            s.label, s.came, s.left, s.ends, s.parts,
            {cause: nm for cause, nm in s.causes.items() if nm},
        )
        for code, s in maker.world.all_spools.items()
    }  # fmt: skip
