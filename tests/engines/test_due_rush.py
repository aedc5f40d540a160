"""A rush order put into the plan: the verdict, whom it moves, the earliest day."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from planner.engines.due import due_dates
from planner.engines.rush import RUSH, SCANNED, rush
from planner.errors import Unknown
from planner.events.bows import BowsOpening
from planner.events.catalogue import SetNamed

from .due_toys import NAVY, NOW, RED, SHOP, TODAY, at, on_the_way, order, spool, told


def ask(led, count, due, *, kind=NAVY, **how):
    return rush(led, now=NOW, today=TODAY, kind=kind, count=count, due=due, **how)


def moves(answer):
    return {m.code: (m.before.ready_at, m.after.ready_at) for m in answer.moved}


def test_a_rush_with_the_bench_to_itself_is_a_yes_from_the_first_day_it_fits():
    answer = ask(told(), 6, date(2026, 11, 25))
    assert (answer.verdict, answer.moved) == ("yes", ())
    assert answer.rush.ready_at == at(23, "21:20")
    # 80 min fit into this evening, so tomorrow is the first day to promise.
    assert answer.earliest == date(2026, 11, 24)


def test_it_says_which_orders_it_moves_and_from_when_to_when():
    led = told(order("O1", "2026-11-28", {RED: 8}), order("O2", "2026-11-24", {RED: 2}))
    answer = ask(led, 6, date(2026, 11, 25))
    # O2 keeps 20:00 to 20:40; the rush takes 80 min; O1's 100 min come after.
    assert moves(answer) == {"O1": (at(24, "20:20"), at(24, "21:40"))}
    assert (answer.verdict, answer.moved[0].harmed) == ("yes", False)


def test_a_rush_that_makes_another_late_is_a_yes_with_a_but():
    led = told(order("O1", "2026-11-25", {RED: 20}))
    answer = ask(led, 6, date(2026, 11, 24))
    # 220 min fit before Wednesday's 240; 80 more do not.
    assert (answer.verdict, [m.code for m in answer.moved if m.newly_late]) == (
        "yes, but", ["O1"],
    )  # fmt: skip
    # After O1 there are 20 min on Tuesday and 120 on Wednesday: Thursday harms nobody.
    assert answer.earliest == date(2026, 11, 26)


def test_a_rush_that_no_evening_is_left_for_is_a_no():
    answer = ask(told(), 12, date(2026, 11, 24))
    assert (answer.verdict, answer.rush.slack) == ("no", -20)
    assert answer.earliest == date(2026, 11, 25)


def test_with_an_hour_the_due_days_evening_counts():
    answer = ask(told(), 12, date(2026, 11, 24), hour="21:00")
    assert (answer.verdict, answer.rush.slack) == ("yes", 40)


def test_what_makes_a_late_order_later_still_is_no_day_to_promise():
    led = told(order("O1", "2026-11-24", {RED: 12}))
    answer = ask(led, 2, date(2026, 11, 23), hour="20:45")
    (moved,) = answer.moved
    assert (answer.verdict, moved.newly_late, moved.later_still) == (
        "yes, but", False, True,
    )  # fmt: skip
    # O1 takes 140 min, until 20:20 tomorrow; the rush is done by 21:00 after it.
    assert answer.earliest == date(2026, 11, 25)


def test_bows_from_stock_need_no_bench():
    led = told(BowsOpening(bows=((NAVY, 10),)), bench=None)
    answer = ask(led, 6, TODAY)
    assert (answer.verdict, answer.earliest) == ("yes", TODAY)
    assert answer.rush.make == 0


def test_stock_goes_to_the_earlier_due_and_what_that_costs_is_shown():
    led = told(order("O1", "2026-12-05", {NAVY: 6}), BowsOpening(bows=((NAVY, 6),)))
    answer = ask(led, 6, date(2026, 11, 24))
    assert answer.rush.make == 0
    assert [(m.code, m.before.make, m.after.make) for m in answer.moved] == [
        ("O1", 0, 6)
    ]
    assert (answer.verdict, answer.moved[0].harmed) == ("yes", False)


def test_a_rush_without_ribbon_says_so_and_promises_no_day():
    shop = tuple(e for e in SHOP if getattr(e, "spool", "") != "S1")
    answer = ask(told(spool("S9", "navy", 4), shop=shop), 6, date(2026, 11, 28))
    assert (answer.verdict, answer.earliest) == ("no ribbon", None)


def test_ribbon_on_the_way_sets_the_earliest_day():
    shop = tuple(e for e in SHOP if getattr(e, "spool", "") != "S1")
    led = told(on_the_way("R1", "navy", 50, "2026-11-27"), shop=shop)
    answer = ask(led, 6, date(2026, 11, 26))
    assert (answer.verdict, answer.rush.ready_at) == ("no", at(27, "21:20"))
    assert answer.earliest == date(2026, 11, 28)


def test_without_bench_hours_it_says_so():
    assert ask(told(bench=None), 6, date(2026, 11, 28)).verdict == "no bench hours"


def test_a_set_is_made_of_its_kinds():
    led = told(SetNamed(set="pair", name="pair", kinds=((NAVY, 1), (RED, 1))))
    answer = ask(led, 3, date(2026, 11, 28), kind="pair")
    assert [(x.kind, x.make) for x in answer.rush.lines] == [(NAVY, 3), (RED, 3)]


def test_an_unknown_pattern_is_refused():
    with pytest.raises(Unknown):
        ask(told(), 6, date(2026, 11, 28), kind="bonnet:navy")


@pytest.mark.parametrize("days", range(1, 9))
@pytest.mark.parametrize("count", [1, 7, 20])
def test_once_it_is_taken_the_plan_is_what_the_answer_said(days, count):
    """The order really taken gives the same times as the order supposed."""
    base = [
        order("O1", "2026-11-26", {RED: 8}), order("O2", "2026-11-29", {NAVY: 12}),
        BowsOpening(bows=((NAVY, 5),)),
    ]  # fmt: skip
    due = TODAY + timedelta(days=days)
    answer = ask(told(*base), count, due)
    taken = order("O3", due.isoformat(), {NAVY: count}, rush=True)
    after = due_dates(told(*base, taken), now=NOW, today=TODAY)
    named = {"O3": RUSH}
    assert {named.get(o.code, o.code): (o.ready_at, o.state) for o in after.orders} == {
        o.code: (o.ready_at, o.state) for o in answer.plan.orders
    }


def test_sixty_days_are_scanned_among_forty_orders():
    many = [
        order(f"O{n}", f"2026-12-{1 + n % 28:02}", {NAVY: 3 + n % 7, RED: n % 5 + 1})
        for n in range(40)
    ]
    led = told(*many)
    answer = ask(led, 600, date(2026, 11, 28))
    assert answer.scanned_to == TODAY + timedelta(days=SCANNED)
