"""The tally sheet: a box for every bow on the stall."""

from __future__ import annotations

from datetime import date

from planner.events.base import Fact
from planner.events.fair import (
    FairAnnounced,
    FairDay,
    FairDayClosed,
    FairPacked,
    FairPlanAccepted,
)
from planner.ledgers.fairs import fair_of
from planner.pages import page
from planner.views.tally import TallyCell, TallyTotal
from planner.views.tally_builder import build
from tests.engines.fair_toys import set_up, told

NAVY, RED, SMALL = "4in:navy", "4in:red", "2in:navy"
DAYS = (
    FairDay(day="2026-11-28", opens="10:00", closes="16:00"),
    FairDay(day="2026-11-29", opens="11:00", closes="15:00"),
)


def sheet(*more, today=date(2026, 11, 28)):
    announced = FairAnnounced(fair="F1", name="Quay", days=DAYS)
    facts = [Fact(event, "2026-11-27") for event in (announced, *more)]
    led = told(set_up(prices={"2in": 500, "4in": 900}), facts)
    return build(led, fair_of(led, "F1"), today=today, made="now")


PACKED = FairPacked(fair="F1", bows=((NAVY, 3), (RED, 2), (SMALL, 1)))


def test_every_bow_on_the_stall_has_its_box_and_totals_add_up():
    view = sheet(PACKED)

    assert view.cells == (
        TallyCell(size="2in", colour="navy", kind="2in navy", brought=1),
        TallyCell(size="4in", colour="navy", kind="4in navy", brought=3),
        TallyCell(size="4in", colour="red", kind="4in red", brought=2),
    )
    assert view.size_totals == (
        TallyTotal(key="2in", brought=1), TallyTotal(key="4in", brought=5),
    )  # fmt: skip
    assert view.colour_totals == (
        TallyTotal(key="navy", brought=4), TallyTotal(key="red", brought=2),
    )  # fmt: skip
    assert view.brought == 6
    assert [p.price for p in view.prices] == ["$5.00", "$9.00"]
    assert page(view).count('<span class="tick"></span>') == 6


def test_before_packing_it_is_the_plan_s():
    plan = FairPlanAccepted(fair="F1", bring=((NAVY, 4), (RED, 0)), head="ab")
    view = sheet(plan)

    assert [(c.kind, c.brought) for c in view.cells] == [("4in navy", 4)]
    assert "not packed yet" in view.rests


def test_it_is_for_the_first_day_not_closed():
    closed = FairDayClosed(fair="F1", day="2026-11-28", cash=0)

    assert sheet(PACKED).day_on == "2026-11-28"
    assert sheet(PACKED, closed).day_on == "2026-11-29"
    assert sheet(PACKED, today=date(2026, 12, 3)).day_on == "2026-11-29"


def test_nothing_packed_or_planned_is_said():
    assert "Nothing is packed" in page(sheet())
