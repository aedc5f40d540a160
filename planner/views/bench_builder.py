"""Build the bench sheet from the plan of the next sittings."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from planner.ledgers.catalogue import Catalogue, catalogue
from planner.ledgers.state import Ledgers
from planner.plans.bench import BenchPlan, Piece, Sitting
from planner.values.days import short_day
from planner.views import naming
from planner.views.bench_sheet import BenchSheet, BenchSitting, BenchStep
from planner.views.foot import foot

CAUTIONS = (
    "Hot glue and hot tools burn: keep cold water near, and leave nothing switched on.",
    "Seal ends on a fire-proof surface with moving air; test a scrap first, since "
    "natural fibre burns and polyester melts.",
    "Small parts are a choking hazard: check clip and glue before a bow is sold.",
    "Your local rules and licensed practice go before this sheet.",
)
"""Printed on every sheet that goes to the bench."""
LITTLE = 5
"""Free minutes below which none are told."""


def build(led: Ledgers, plan: BenchPlan, *, made: str) -> BenchSheet:
    """Show what to make in the next sittings."""
    cat = catalogue(led)
    return BenchSheet(
        shop=naming.shop_view(led),
        foot=foot(led, as_of=plan.today.isoformat(), known_on=None, made=made),
        short=short(plan), policy=plan.policy,
        sittings=tuple(_sitting(cat, one) for one in plan.sittings), cautions=CAUTIONS,
    )  # fmt: skip


def short(plan: BenchPlan) -> str:
    """Say what is first, and how much there is to do."""
    if not plan.any_hours:
        return 'No bench hours are told: type "bows hours mon-thu 20:00-22:00".'
    if not plan.sittings:
        return f"No sitting up to {short_day(plan.last)}."
    bows = sum(piece.bows for one in plan.sittings for piece in one.pieces)
    count = len(plan.sittings)
    sittings = "sitting" if count == 1 else "sittings"
    if not bows:
        return f"{count} {sittings} up to {short_day(plan.last)}, nothing to make."
    first = next(one for one in plan.sittings if one.pieces)
    return (
        f"{naming.bows(bows)} for {_whom(plan)} in {count} {sittings}, "
        f"{first.pieces[0].order} first, {short_day(first.day)}."
    )


def _whom(plan: BenchPlan) -> str:
    """Say whether it is for orders, for a fair, or both."""
    codes = {p.order[:1] for one in plan.sittings for p in one.pieces if p.bows}
    words = [word for first, word in (("O", "orders"), ("F", "the fair"))
             if first in codes]  # fmt: skip
    return " and ".join(words) or "orders"


def _sitting(cat: Catalogue, one: Sitting) -> BenchSitting:
    free = round(one.free)
    return BenchSitting(
        day_on=one.day.isoformat(), day=short_day(one.day),
        hours=f"{one.start:%H:%M} to {one.end:%H:%M}", minutes=round(one.minutes),
        free_minutes=free, free=naming.minutes(free) if free >= LITTLE else "",
        steps=tuple(_steps(cat, one.pieces)),
    )  # fmt: skip


def _steps(cat: Catalogue, pieces: Sequence[Piece]) -> Iterator[BenchStep]:
    for piece in pieces:
        yield BenchStep(
            order=piece.order, kind=naming.typed(cat, piece.kind),
            swatches=naming.swatches_of_kind(cat, piece.kind), bows=piece.bows,
            of=piece.of, start=f"{piece.start:%H:%M}", end=f"{piece.end:%H:%M}",
            minutes=round(piece.minutes), note=_note(piece),
        )  # fmt: skip


def _note(piece: Piece) -> str:
    said = ["set up first"] if piece.set_up else []
    if not piece.bows:
        said.append("begin, finish it next time")
    return ", ".join(said)
