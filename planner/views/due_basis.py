"""What the due dates rest on, and what is odd about them, in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from planner.ledgers.catalogue import Catalogue, catalogue
from planner.ledgers.orders import quotes
from planner.ledgers.shop import setting
from planner.ledgers.state import Ledgers
from planner.plans.due import DuePlan, LeastLateness
from planner.values.days import short_day
from planner.views import naming
from planner.views.common import Oddity

_PROVED = 0.005
"""A gap below this is none that matters."""
_TOLD = 0.5
"""A gap beyond this says nothing that helps."""
_FEW = 3
"""Sittings of a pattern below which its minutes are said to lean on a guess."""


def listed(words: Sequence[str]) -> str:
    """Say some words one after another, `and` before the last."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"


def rests_on(led: Ledgers, cat: Catalogue, plan: DuePlan) -> tuple[str, ...]:
    """Say what data the plan rests on, how sure it is, what would change it."""
    return tuple(_rests_on(led, cat, plan))


def _rests_on(led: Ledgers, cat: Catalogue, plan: DuePlan) -> Iterator[str]:
    if plan.basis:
        yield _minutes_basis(cat, plan)
    yield _hours_basis(plan)
    if plan.fairs:
        yield (
            f"No bench hours on the days of {listed(plan.fairs)}, and no time for "
            "bows still to be made for it; what is set aside for a fair is left alone."
        )
    if setting(led, "late day") == "before":
        yield (
            "Without an hour, none of the due day's bench hours count, and glue must "
            "have set by its noon; with an hour, both count up to it."
        )
    if any(order.waits for order in plan.orders):
        yield "What is on the way counts from noon of the day it is expected."
    if plan.draws:
        yield _chances_basis(plan)
    if plan.least_late is not None:
        yield _least_late(plan.least_late)
    asked = _quotes(led, plan.today)
    if asked:
        yield f"Asked for but not taken, so not planned: {listed(asked)}."
    if plan.more_time is not None and not plan.more_time.proved:
        yield "Whom to ask for more time is a good choice, not proved the best."


def _quotes(led: Ledgers, today: date) -> list[str]:
    """Give the codes of quotes that still hold."""
    return [
        order.code
        for order in quotes(led)
        if (order.expires or "9999") >= today.isoformat()
    ]


def _minutes_basis(cat: Catalogue, plan: DuePlan) -> str:
    sittings = sum(one.sittings for one in plan.basis)
    batches = "1 batch" if sittings == 1 else f"{sittings:,} batches"
    said = f"Minutes a bow are medians of {batches}"
    few = [
        naming.size(cat, one.pattern).key
        for one in plan.basis if one.sittings < _FEW and one.stated
    ]  # fmt: skip
    none = [
        naming.size(cat, one.pattern).key
        for one in plan.basis if not one.sittings and not one.stated
    ]  # fmt: skip
    if few:
        said += f"; {listed(few)} mostly on the minutes you stated"
    if none:
        said += f"; {listed(none)} on a guess: no minutes are known"
    return said + ". About half the time it will take longer."


def _hours_basis(plan: DuePlan) -> str:
    if not plan.any_hours:
        return 'No bench hours are told: type "bows hours mon-thu 20:00-22:00".'
    said = f"Bench hours as you told them, from now to {short_day(plan.horizon)}"
    if plan.worked is None:
        return said + "; all of them are taken as worked."
    return said + (
        f", all taken as worked; you usually work {round(100 * plan.worked)} % of "
        "what you plan."
    )


def _least_late(least: LeastLateness) -> str:
    late = naming.minutes(least.now - least.minutes)
    sure = f"at most {100 * least.gap:.0f} % from the best"
    if least.gap < _PROVED:
        sure = "no order of work is better"
    elif least.gap > _TOLD:
        sure = "how near the best that is can't be told"
    return (
        f"Worked in the order {listed(least.orders)} the lateness, weighed, would be "
        f"less by {late} of bench time ({sure}), but more orders may be late."
    )


def _chances_basis(plan: DuePlan) -> str:
    said = (
        f"Chances rest on {plan.draws:,} draws of your pace, of sittings cut short or "
        "missed, of bows spoiled and of restocks that come late"
    )
    if plan.kept is None:
        return said + "."
    return said + (
        f"; of the sittings ahead {round(100 * plan.kept)} % are expected to be kept."
    )


def odd(led: Ledgers, plan: DuePlan) -> Iterator[Oddity]:
    """Say what is odd about the orders, and what to type about it."""
    for order in plan.orders:
        if order.due is not None and order.due < plan.today:
            yield Oddity(
                about=order.code,
                what=f"It was due {short_day(order.due)} and is still open.",
                instead=f"bows order hand {order.code}",
            )
    for restock in plan.overdue:
        yield Oddity(
            about=restock, what="It should have come by now; reckoned with tomorrow, "
            "or not at all when long overdue.", instead=f"bows restock in {restock}",
        )  # fmt: skip
    cat = catalogue(led)
    for supply in plan.unlisted:
        name = cat.supplies[supply].name if supply in cat.supplies else supply
        yield Oddity(
            about=name, what="None was ever entered, so it is taken to be there.",
            instead=f"bows supply in 100 {name}",
        )  # fmt: skip
    for kind in plan.over_claimed:
        yield Oddity(
            about=naming.typed(cat, kind), what="More are promised than are at home.",
            instead="bows count",
        )  # fmt: skip
