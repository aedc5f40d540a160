"""Build the view of days to promise from the engine's answer."""

from __future__ import annotations

from collections.abc import Iterator

from planner.ledgers.catalogue import Catalogue, catalogue
from planner.ledgers.state import Ledgers
from planner.plans.rush import LEVEL, Promise
from planner.values.days import short_day
from planner.views import due_basis, due_builder, naming
from planner.views.foot import foot
from planner.views.promise import PromiseDay, PromiseDays


def build(led: Ledgers, answer: Promise, *, made: str) -> PromiseDays:
    """Show which days could be promised, by how sure she wants to be."""
    cat = catalogue(led)
    own = due_builder.order_view(led, cat, answer.rush, answer.plan, {})
    return PromiseDays(
        shop=naming.shop_view(led),
        foot=foot(led, as_of=answer.plan.today.isoformat(), known_on=None, made=made),
        kind=naming.typed(cat, answer.kind), count=answer.count,
        short=short(cat, answer, own.waits_for),
        from_stock=sum(line.at_hand for line in answer.rush.lines),
        make=answer.rush.make, work_minutes=own.work_minutes, work=own.work,
        waits_for=own.waits_for, days=tuple(_days(cat, answer)),
        rests_on=due_basis.rests_on(led, cat, answer.plan),
    )  # fmt: skip


def short(cat: Catalogue, answer: Promise, waits_for: str) -> str:
    """Answer in a sentence: the day to promise, or what lacks."""
    what = f"{answer.count:,} {naming.typed(cat, answer.kind)}"
    day = dict(answer.days).get(LEVEL)
    if day is not None:
        return f"Promise {what} for {short_day(day)}: nine times in ten they are ready."
    known = [day for _, day in answer.days if day is not None]
    if known:
        return (
            f"No day up to {short_day(answer.scanned_to)} is 90 % sure for {what}; "
            f"{short_day(known[-1])} is as sure as it gets."
        )
    lack = f": they want {waits_for}" if waits_for else ""
    return f"No day can be promised for {what}{lack}."


def _days(cat: Catalogue, answer: Promise) -> Iterator[PromiseDay]:
    what = f"bows promise {answer.count} {naming.typed(cat, answer.kind)}"
    for number, (chance, day) in enumerate(answer.days, 1):
        yield PromiseDay(
            number=number, chance=chance, chance_shown=f"{round(100 * chance)} %",
            due_on=day.isoformat() if day else "", due=short_day(day) if day else "",
            typed=f"{what} --take {number}" if day else "",
        )  # fmt: skip
