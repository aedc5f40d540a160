"""What more of a limit would bring, and which spools are worth buying."""

from __future__ import annotations

from datetime import date

import pytest

from planner.engines.fair import plan_fair
from planner.engines.fair_limits import LEAD, lead_days
from planner.events.base import Fact
from planner.events.restock import RestockOrdered, RibbonAwaited, SpoolReceived
from tests.engines.fair_toys import YARD, ahead, fair, past, set_up, told

NAVY, RED, SMALL = "4in:navy", "4in:red", "2in:navy"
EARLY = date(2026, 11, 10)
"""Early enough for a restock to come before the fair of the 28th."""


def shop(*more, red=1):
    """Two colours well liked, little ribbon of one; everything has to be made."""
    spools = {"navy": 100, "red": red} if red else {"navy": 100}
    return told(
        set_up(spools=spools), fair(),
        past("F1", "2026-05-02", {NAVY: 9, RED: 9, SMALL: 9}, {NAVY: 6, RED: 7}),
        past("F2", "2026-08-01", {NAVY: 9, RED: 9, SMALL: 9}, {NAVY: 7, RED: 6}),
        *more,
    )  # fmt: skip


def plan(led, **asked):
    return plan_fair(led, ahead(led), today=EARLY, **asked)


def of(found, what, code=""):
    return next(x for x in found.limits if (x.what, x.code) == (what, code))


def test_more_hours_bring_what_planning_with_them_brings():
    led = shop(red=100)
    one, two = of(plan(led, hours_minutes=30), "bench").more
    plans = {m: dict(plan(led, hours_minutes=m).bring) for m in (30, 90, 150)}

    assert (one.step, two.step) == (60, 120)
    for more, minutes in ((one, 90), (two, 150)):
        changed = {
            k: plans[minutes].get(k, 0) - plans[30].get(k, 0) for k in plans[minutes]
        }
        assert dict(more.bring) == {k: n for k, n in changed.items() if n}
    assert 0 < one.worth < two.worth < 2 * one.worth


def test_a_spool_more_brings_bows_of_its_colour():
    (more,) = of(plan(shop(), hours_minutes=200), "ribbon", "red").more

    assert (more.step, more.price) == (YARD, 14)
    assert {k: n > 0 for k, n in more.bring}[RED]
    assert more.worth > 0


def test_what_does_not_stop_the_plan_is_worth_nothing_more():
    limit = of(plan(shop(), hours_minutes=200), "ribbon", "navy")

    assert (limit.binds, limit.worth, limit.more) == (False, None, ())


def test_a_spool_is_bought_where_that_pays_and_can_be_in_on_time():
    led = shop(red=0)
    without = plan(led, hours_minutes=300)
    found = plan(led, hours_minutes=300, buy=True)
    (spool,) = found.buys

    assert without.buys == ()
    assert (spool.ribbon, spool.spools, spool.length, spool.price) == (
        "red", 1, 50 * YARD, 720,
    )  # fmt: skip
    assert {k.kind: k.make for k in without.kinds}.get(RED, 0) == 0
    assert {k.kind: k.make for k in found.kinds}[RED] > 0
    # Beyond the bows' own ribbon, a fifth of what is left of the spool is lost.
    gained = found.profit - without.profit
    assert 0 < spool.gain < gained


def test_nothing_is_bought_beyond_what_she_will_spend_or_too_late():
    led = shop(red=0)

    assert plan(led, hours_minutes=300, buy=True, spend=719).buys == ()
    assert len(plan(led, hours_minutes=300, buy=True, spend=720).buys) == 1
    late = plan_fair(
        led, ahead(led), today=date(2026, 11, 25), hours_minutes=300, buy=True
    )
    assert late.buys == ()


def test_no_spool_is_bought_for_a_bow_or_two():
    """With an hour at the bench there is better to make of the ribbon there is."""
    assert plan(shop(red=0), hours_minutes=10, buy=True).buys == ()


@pytest.mark.parametrize(("days", "lead"), [((), LEAD), ((3, 4), LEAD),
                                            ((3, 4, 5, 6, 12), 6)])  # fmt: skip
def test_restocks_take_as_long_as_four_of_five_of_hers_did(days, lead):
    facts = []
    for n, took in enumerate(days, start=1):
        line = RibbonAwaited(ribbon="navy", length=YARD, spools=1, price=100)
        ordered = RestockOrdered(
            restock=f"R{n}", supplier="Mill", expected="2026-09-08",
            latest="2026-09-09", ribbons=(line,), supplies=(),
        )  # fmt: skip
        came = SpoolReceived(
            spool=f"S{n + 50}", ribbon="navy", length=YARD, paid=100, lot="L",
            restock=f"R{n}",
        )  # fmt: skip
        facts += [Fact(ordered, "2026-09-01"), Fact(came, f"2026-09-{1 + took:02d}")]

    assert lead_days(told(set_up(), facts)) == lead
