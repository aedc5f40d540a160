"""The second day of a fair, planned anew from the first."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from planner.engines.fair import plan_fair
from planner.engines.fair_history import FairTold, Told
from planner.engines.fair_second import SHARED, carried_on, second_day
from planner.engines.pooling_values import Pooled
from planner.events.base import Fact
from planner.events.bows import StockCounted
from planner.events.fair import FairAnnounced, FairDay, FairDayClosed, FairPacked
from planner.events.selling import BowsSold
from planner.ledgers.bows import stall
from tests.engines.fair_toys import ahead, hours, past, set_up, told

NAVY, RED, SMALL = "4in:navy", "4in:red", "2in:navy"
SATURDAY, SUNDAY = date(2026, 11, 28), date(2026, 11, 29)
PACKED = {NAVY: 20, RED: 20, SMALL: 20}
PLACE = stall("F99")


def two_days(**more):
    days = (
        FairDay(day="2026-11-28", opens="10:00", closes="16:00"),
        FairDay(day="2026-11-29", opens="11:00", closes="14:00"),
    )
    return FairAnnounced(fair="F99", name="Fair F99", days=days, **more)


def packed(bows=PACKED, at="2026-11-27T21:00:00-05:00", *, top_up=False):
    event = FairPacked(fair="F99", bows=tuple(bows.items()), top_up=top_up)
    return Fact(event, at)


def sold(bows, at="2026-11-28T12:00:00-05:00"):
    money = 800 * sum(bows.values())
    event = BowsSold(bows=tuple(bows.items()), taken=money, place=PLACE, fair="F99")
    return Fact(event, at)


def closed(cash, day="2026-11-28"):
    return Fact(FairDayClosed(fair="F99", day=day, cash=cash), f"{day}T16:30:00-05:00")


def history():
    return [
        *past("F1", "2026-05-02", {NAVY: 8, RED: 8, SMALL: 8}, {NAVY: 4, RED: 3}),
        *past("F2", "2026-08-01", {NAVY: 8, RED: 8, SMALL: 8}, {NAVY: 5, SMALL: 3}),
        *past("F3", "2026-10-03", {NAVY: 8, RED: 8, SMALL: 8}, {RED: 4, SMALL: 4}),
    ]


def shop(*facts, **more):
    return told(set_up(), hours(), history(), two_days(**more), packed(), *facts)


def plan(led, today=SATURDAY):
    return plan_fair(led, ahead(led), today=today)


def wanted(found):
    return sum(k.wanted for k in found.kinds)


def test_before_its_first_day_is_over_it_is_one_fair():
    led = shop(sold({NAVY: 5}))

    assert second_day(led, ahead(led), SATURDAY) is None
    assert plan(led).basis.days_over == 0


def test_after_its_last_day_nothing_is_left_to_plan_anew():
    led = shop(sold({NAVY: 5}), closed(4_000))

    assert second_day(led, ahead(led), date(2026, 11, 30)) is None


def test_the_days_left_are_planned_with_their_hours_alone():
    whole = plan(told(set_up(), hours(), history(), two_days()), date(2026, 11, 25))
    led = shop(sold({NAVY: 4, RED: 4, SMALL: 4}), closed(9_600))
    rest = plan(led)

    assert rest.basis.days_over == 1
    assert 0.2 < wanted(rest) / wanted(whole) < 0.5
    assert rest.fee == 0


def test_a_good_first_day_promises_a_better_second_than_a_bad_one():
    bad, good = (
        plan(shop(sold({NAVY: n, RED: n, SMALL: n}), closed(2_400 * n)))
        for n in (1, 12)
    )

    assert wanted(good) > 1.5 * wanted(bad)


def test_a_kind_that_went_is_wanted_more_than_the_others_on_the_second():
    led = shop(sold({NAVY: 20, RED: 5, SMALL: 5}), closed(24_000))
    by_kind = {k.kind: k for k in plan(led).kinds}

    assert by_kind[NAVY].wanted > by_kind[RED].wanted
    assert (by_kind[NAVY].stall, by_kind[NAVY].make) == (0, by_kind[NAVY].bring)
    assert by_kind[RED].stall == by_kind[RED].have == by_kind[RED].bring


def test_what_was_brought_after_closing_was_not_on_the_first_day_s_table():
    evening = packed({NAVY: 6}, "2026-11-28T20:00:00-05:00", top_up=True)
    led = shop(sold({NAVY: 20}), closed(16_000), evening)
    second = second_day(led, ahead(led), SATURDAY)

    assert second is not None
    assert second.told.kinds[NAVY] == Told(20, 20.0, 0.0, 1.0, True, True)
    assert {k.kind: k.stall for k in plan(led).kinds}[NAVY] <= 6


def test_takings_beyond_the_typed_sales_are_bows_that_went():
    led = shop(sold({NAVY: 2}), closed(1_600 + 10 * 800))
    second = second_day(led, ahead(led), SATURDAY)

    assert second is not None
    assert second.untyped == pytest.approx(10)
    assert sum(row.sold for row in second.told.kinds.values()) == pytest.approx(12)
    assert plan(led).basis.untyped == pytest.approx(10)


def test_a_count_of_the_stall_says_which_they_were():
    counted = StockCounted(
        place=PLACE, counts=((NAVY, 12), (RED, 18), (SMALL, 20)), whole=True
    )
    led = shop(
        sold({NAVY: 2}), closed(1_600 + 8 * 800),
        Fact(counted, "2026-11-29T09:00:00-05:00"),
    )  # fmt: skip
    second = second_day(led, ahead(led), SUNDAY)

    assert second is not None
    assert second.untyped == 0
    assert {k: row.sold for k, row in second.told.kinds.items()} == {
        NAVY: 8.0, RED: 2.0, SMALL: 0.0,
    }  # fmt: skip


def test_her_guess_for_the_whole_fair_is_cut_to_the_hours_left():
    led = shop(sold({NAVY: 2}), closed(1_600), guess_total=90)
    second = second_day(led, ahead(led), SUNDAY)

    assert second is not None
    assert second.rest.guess_total == 30
    assert second.rest.guess == {}


def test_accepting_for_the_second_day_adds_to_what_was_packed():
    found = plan(shop(sold({NAVY: 20, RED: 5}), closed(20_000)))
    more = {k.kind: k.bring - k.stall for k in found.kinds}

    assert found.to_pack(PACKED) == {k: PACKED[k] + more[k] for k in PACKED}
    assert more[NAVY] > 0


def test_luck_is_carried_on_as_simulated_fairs_say():
    """Draw fairs with a common and a daily luck; regress the second on the first."""
    rng, v, mean = np.random.default_rng(5), 0.25, 40.0
    common = rng.normal(0, np.sqrt(SHARED * v), 200_000)
    first, other = (
        common + rng.normal(0, np.sqrt((1 - SHARED) * v), common.size) for _ in range(2)
    )
    seen = np.log(np.maximum(rng.poisson(mean * np.exp(first)), 0.5) / mean)
    slope = np.cov(other, seen)[0, 1] / seen.var()
    left = other.var() - slope**2 * seen.var()
    shrunk = np.exp(v / (v + 1 / mean) * np.log(2.0))  # a fair that sold twice

    factor, rates = carried_on(pooled(v, shrunk), one_day(mean))

    assert np.log(factor) == pytest.approx(slope * np.log(2.0), rel=0.06)
    assert 1 / rates.shock_ahead == pytest.approx(left, rel=0.06)


def pooled(luck, factor):
    ones = np.ones(1)
    return Pooled(
        a=ones, b=ones, own=ones, mean_of_neighbours=ones, kappa=1.0, shock=1 / luck,
        shock_ahead=1 / luck, fairs=np.array([factor]), told=np.ones(1, np.int64),
    )  # fmt: skip


def one_day(bows):
    row = Told(100, bows, 0.0, 1.0, False, False)
    return FairTold("F1", 6.0, 3, 1.0, {NAVY: row}, 0, True, "2026-11-28")
