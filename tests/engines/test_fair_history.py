"""What past fairs tell: sold, sold out, not typed, colour not noticed."""

from __future__ import annotations

import pytest

from planner.engines.fair_history import Told, fairs_told, kinds_told
from planner.events.base import Fact
from planner.events.fair import FairSettled
from planner.events.selling import BowsSold
from planner.ledgers.bows import stall
from planner.ledgers.fairs import fair_of

from .fair_toys import AHEAD, fair, past, set_up, told

NAVY, RED = "4in:navy", "4in:red"


def row(brought, sold, *, unlogged=0.0, share=1.0, out=False, hidden=False):
    return Told(brought, sold, unlogged, share, out, hidden)


def of(*facts, code="F1"):
    return kinds_told(fair_of(told(set_up(), *facts), code))


def test_what_sold_in_part_is_an_ordinary_count():
    assert of(past("F1", "2026-05-02", {NAVY: 6}, {NAVY: 4})) == {NAVY: row(6, 4.0)}


def test_a_kind_of_which_nothing_came_back_sold_out_unseen():
    found = of(past("F1", "2026-05-02", {NAVY: 6}, {NAVY: 6}))

    assert found == {NAVY: row(6, 6.0, out=True, hidden=True)}


def test_a_kind_that_sold_out_at_an_hour_counts_up_to_that_hour():
    found = of(past("F1", "2026-05-02", {NAVY: 6}, {NAVY: 6}, out={NAVY: "11:30"}))

    assert found == {NAVY: row(6, 6.0, share=0.25, out=True)}


def test_sold_out_without_an_hour_stays_hidden():
    found = of(past("F1", "2026-05-02", {NAVY: 6}, {NAVY: 6}, out={NAVY: None}))

    assert found == {NAVY: row(6, 6.0, out=True, hidden=True)}


def test_a_kind_told_sold_out_of_which_some_came_back_did_not_sell_out():
    found = of(past("F1", "2026-05-02", {NAVY: 6}, {NAVY: 4}, out={NAVY: "11:30"}))

    assert found == {NAVY: row(6, 4.0)}


def test_a_kind_not_brought_tells_nothing():
    assert of(past("F1", "2026-05-02", {NAVY: 6}, {NAVY: 4}))[NAVY].brought == 6
    assert RED not in of(past("F1", "2026-05-02", {NAVY: 6}, {NAVY: 4}))


def test_sales_not_typed_count_at_the_middle_of_their_range():
    facts = past(
        "F1", "2026-05-02", {NAVY: 8}, {NAVY: 3}, back={NAVY: 2},
        unlogged=((NAVY, 0, 3),),
    )  # fmt: skip

    assert of(facts) == {NAVY: row(8, 4.5, unlogged=1.5)}


def test_sales_not_typed_never_exceed_what_is_missing():
    facts = past(
        "F1", "2026-05-02", {NAVY: 8}, {NAVY: 5}, back={NAVY: 2},
        unlogged=((NAVY, 2, 6),),
    )  # fmt: skip

    assert of(facts) == {NAVY: row(8, 6.0, unlogged=1.0)}


def test_sales_without_a_colour_are_shared_by_how_many_are_missing():
    facts = past(
        "F1", "2026-05-02", {NAVY: 8, RED: 6}, {NAVY: 3, RED: 2, "4in:?": 3},
        back={NAVY: 1, RED: 2},
    )  # fmt: skip

    assert of(facts) == {
        NAVY: row(8, 5.0, unlogged=2.0),
        RED: row(6, 3.0, unlogged=1.0),
    }


def test_a_fair_sold_at_without_a_packing_list_is_no_sell_out():
    facts = [
        Fact(fair("F1", "2026-05-02"), "2026-05-01"),
        Fact(
            BowsSold(bows=((NAVY, 5),), taken=0, place=stall("F1"), fair="F1"),
            "2026-05-02",
        ),
        Fact(FairSettled(fair="F1", back=()), "2026-05-02"),
    ]

    assert of(facts) == {NAVY: row(5, 5.0)}


def test_over_two_days_the_hours_before_it_sold_out_are_added_up():
    from planner.events.fair import FairDay

    days = (
        FairDay(day="2026-05-02", opens="10:00", closes="16:00"),
        FairDay(day="2026-05-03", opens="10:00", closes="14:00"),
    )
    facts = past("F1", "2026-05-02", {NAVY: 6}, {NAVY: 6})
    announced = Fact(
        fair("F1", "2026-05-02").model_copy(update={"days": days}), "2026-05-02"
    )
    from planner.events.fair import FairSoldOut

    out = Fact(
        FairSoldOut(fair="F1", made=NAVY, day="2026-05-03", at="12:00"), "2026-05-03"
    )

    found = of(facts, announced, out)

    assert found[NAVY].open_share == pytest.approx(0.8)


def test_a_fair_a_year_back_counts_half_and_the_one_planned_for_not_at_all():
    led = told(
        set_up(),
        past("F1", "2025-11-28", {NAVY: 6}, {NAVY: 4}),
        past("F2", "2026-11-28", {NAVY: 6}, {NAVY: 4}),
        fair(AHEAD, "2026-11-28"),
    )

    found = fairs_told(led, fair_of(led, AHEAD))

    assert [(f.code, f.weight, f.hours) for f in found] == [
        ("F1", 0.5, 6.0),
        ("F2", 1.0, 6.0),
    ]
