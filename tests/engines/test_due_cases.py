"""Nine cases a maker meets, each with its chances and a rush beside it."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from planner.engines.due import due_dates
from planner.engines.rush import promise, rush
from planner.events.bench import BowsFinished, RibbonCut
from planner.events.orders import OrderHandedOver
from planner.events.shop import BenchHoursSet, BenchStretch

from .due_toys import (
    GLUED,
    NAVY,
    NOW,
    RED,
    SHOP,
    TODAY,
    YARD,
    at,
    fair,
    hours,
    on_the_way,
    order,
    spool,
    told,
)

DRAWS = 1000
WITHOUT_NAVY = tuple(e for e in SHOP if getattr(e, "spool", "") != "S1")


def due(*events, **how):
    made = due_dates(told(*events, **how), now=NOW, today=TODAY, draws=DRAWS)
    return {one.code: one for one in made.orders}


def ask(led, count, away, *, kind=NAVY, **how):
    return rush(
        led, now=NOW, today=TODAY, kind=kind, count=count,
        due=TODAY + timedelta(days=away), draws=DRAWS, **how,
    )  # fmt: skip


class TestTwoRushOrdersAtOnce:
    """Each fits alone into tomorrow's deadline; both don't."""

    def test_the_second_asked_for_would_be_too_late_behind_the_first(self):
        first = order("O1", "2026-11-24", {RED: 4}, rush=True)
        alone, beside = ask(told(), 5, 1), ask(told(first), 5, 1)
        assert (alone.verdict, beside.verdict) == ("yes, but", "no")
        assert beside.rush.chance < 0.4 < alone.rush.chance
        assert beside.earliest > alone.earliest

    def test_both_taken_the_one_worked_on_first_is_the_surer(self):
        found = due(
            order("O1", "2026-11-24", {RED: 4}, rush=True),
            order("O2", "2026-11-24", {NAVY: 5}, rush=True),
        )
        assert found["O1"].chance > 0.7 > found["O2"].chance > 0
        # 20 min and four tens until 21:00; 20 and five tens have 60 left this evening.
        assert found["O1"].ready_at == at(23, "21:00")
        assert found["O2"].ready_at == at(24, "20:10")
        assert (found["O1"].slack, found["O2"].slack) == (60, -10)


class TestRibbonNotHere:
    def test_with_none_on_the_way_nothing_is_promised_and_it_says_so(self):
        found = due(order("O1", "2026-11-28", {NAVY: 4}), shop=WITHOUT_NAVY)["O1"]
        assert (found.state, found.chance, found.early) == ("no ribbon", 0.0, None)
        answer = ask(told(shop=WITHOUT_NAVY), 4, 5)
        assert (answer.verdict, answer.earliest) == ("no ribbon", None)

    def test_with_some_on_the_way_a_sure_day_leaves_room_for_it_to_be_late(self):
        led = told(
            on_the_way("R1", "navy", 50, "2026-11-26", "2026-11-30"), shop=WITHOUT_NAVY
        )
        # From noon of the 26th on: 20 min and two tens that evening.
        assert ask(led, 2, 9).rush.ready_at == at(26, "20:40")
        sure = promise(led, now=NOW, today=TODAY, kind=NAVY, count=2, draws=DRAWS)
        days = dict(sure.days)
        assert days[0.5] > date(2026, 11, 26)
        assert days[0.95] > days[0.5] + timedelta(days=2)


class TestADueDayAlreadyPast:
    found = due(order("O1", "2026-11-20", {NAVY: 4}))["O1"]

    def test_it_is_late_for_sure_and_still_has_a_finish(self):
        assert (self.found.state, self.found.chance) == ("late", 0.0)
        # 20 min and four tens, of no minute left before its day.
        assert (self.found.ready_at, self.found.slack) == (at(23, "21:00"), -60)
        assert self.found.early >= at(23, "20:30")
        assert all(good == 0 for _, good, _ in self.found.finish)

    def test_a_rush_for_a_day_gone_by_is_a_no_with_a_later_day(self):
        answer = ask(told(), 4, -2)
        assert answer.verdict == "no"
        assert answer.earliest >= TODAY


class TestNoBenchHoursAtAll:
    def test_nothing_is_promised_and_it_says_why(self):
        found = due(order("O1", "2026-11-28", {NAVY: 4}), bench=None)["O1"]
        assert (found.state, found.chance, found.finish) == ("no bench hours", 0.0, ())
        answer = ask(told(bench=None), 4, 5)
        assert (answer.verdict, answer.earliest) == ("no bench hours", None)
        assert [way.what for way in answer.ways] == ["as asked", "more hours"]

    def test_bows_from_stock_need_none(self):
        made = BowsFinished(batch="B1", made=NAVY, revision=1, count=9)
        answer = ask(told(made, bench=None), 4, 5)
        assert (answer.verdict, answer.rush.chance) == ("yes", 1.0)


class TestFiveHundredBows:
    def test_the_finish_is_looked_for_as_far_as_slow_work_reaches(self):
        led = told(order("O1", "2027-06-30", {NAVY: 500}))
        made = due_dates(led, now=NOW, today=TODAY, draws=DRAWS).orders[0]
        # 20 min and 500 tens: 41.8 evenings of two hours if all goes by the book.
        assert made.ready_at == at(23, "20:00") + timedelta(days=41, minutes=100)
        assert made.early < made.ready_at < made.late
        assert made.chance > 0.95

    def test_what_differs_from_batch_to_batch_evens_out_over_many_evenings(self):
        one = due(order("O1", "2027-06-30", {NAVY: 8}))["O1"]
        many = due(order("O1", "2027-06-30", {NAVY: 500}))["O1"]

        def spread(made):
            return (made.late - made.early) / (made.likely - NOW)

        assert spread(many) < spread(one)


class TestSettingPastMidnight:
    """Glued bows set for three hours; those of the evening are ready the day after."""

    found = due(order("O1", "2026-11-25", {GLUED: 9}))["O1"]

    def test_the_finish_is_when_it_has_set(self):
        assert self.found.off_bench == at(23, "21:30")
        assert self.found.ready_at == at(24, "00:30")

    def test_the_day_it_is_ready_on_is_the_next_but_it_is_in_time(self):
        days = {day: good for day, good, _ in self.found.finish}
        assert days[date(2026, 11, 24)] > 0.5
        assert self.found.chance == pytest.approx(sum(days.values()))


class TestAnOrderHalfFinished:
    half = (
        order("O1", "2026-11-26", {NAVY: 12}),
        BowsFinished(batch="B1", made=NAVY, revision=1, count=6, order="O1"),
    )

    def test_only_what_is_left_is_made(self):
        found = due(*self.half)["O1"]
        assert (found.make, found.lines[0].at_hand) == (6, 6)
        assert found.ready_at == at(23, "21:20")  # 20 min and six tens
        assert found.chance > due(self.half[0])["O1"].chance

    def test_what_was_handed_over_in_part_is_not_made_again(self):
        handed = OrderHandedOver(order="O1", bows=((NAVY, 6),))
        found = due(*self.half, handed)["O1"]
        assert (found.make, found.lines[0].handed) == (6, 6)

    def test_parts_already_cut_are_used_before_ribbon(self):
        cut = RibbonCut(bundle="C1", spool="S9", role="body", length=YARD, count=4)
        found = due(
            order("O1", "2026-11-29", {NAVY: 4}), spool("S9", "navy", 4), cut,
            shop=WITHOUT_NAVY,
        )["O1"]  # fmt: skip
        assert (found.make, found.waits) == (4, ())


class TestTheMakerIllForAWeek:
    """The same shop with the week's evenings taken out, as `what-if` lays it over."""

    orders = (order("O1", "2026-11-27", {NAVY: 6}), order("O2", "2026-12-09", {RED: 6}))
    ill = hours(off=tuple(f"2026-11-{day}" for day in range(23, 30)))

    def test_what_is_due_that_week_is_lost_and_the_rest_less_sure(self):
        well, ill = due(*self.orders), due(*self.orders, self.ill)
        assert well["O1"].chance > 0.9 > ill["O1"].chance == 0.0
        # Well, both 80 min go into this evening and the next; ill, from the 30th on.
        assert (well["O1"].ready_at, well["O2"].ready_at) == (
            at(23, "21:20"), at(24, "20:40"),
        )  # fmt: skip
        assert (ill["O1"].ready_at, ill["O2"].ready_at) == (
            at(30, "21:20"), at(31, "20:40"),
        )  # fmt: skip
        assert ill["O2"].chance <= well["O2"].chance

    def test_no_day_of_that_week_can_be_promised(self):
        assert ask(told(self.ill), 3, 2).earliest > date(2026, 11, 30)


class TestAFairInBetween:
    """The fair's day has no bench hours, and what is set aside for it is left alone."""

    fair = fair("F1", "Kelp Street Fair", "2026-11-24")

    def test_the_evening_of_the_fair_is_not_counted_on(self):
        one = order("O1", "2026-11-25", {NAVY: 14})
        free, busy = due(one)["O1"], due(one, self.fair)["O1"]
        # 160 min: one evening is too short, the next is the fair's.
        assert (free.ready_at, busy.ready_at) == (at(24, "20:40"), at(25, "20:40"))
        assert busy.chance < free.chance

    def test_hours_told_for_that_very_day_stay(self):
        extra = hours(extra=(("2026-11-24", "18:00", "23:00"),))
        found = due(order("O1", "2026-11-25", {NAVY: 14}), self.fair, extra)["O1"]
        assert found.ready_at == at(24, "18:40")


def test_a_sitting_past_midnight_ends_before_the_day_it_is_due():
    """From 22:00 to 1:00, due the next day: the hour past midnight is out."""
    late = BenchHoursSet(
        words="every day 22:00-1:00",
        rules=(
            BenchStretch(
                rule="FREQ=DAILY", start="22:00", end="01:00", first="2026-11-01"
            ),
        ),
    )
    found = due(order("O1", "2026-11-24", {NAVY: 11}), bench=late)["O1"]
    assert (found.ready_at, found.state) == (at(24, "00:10"), "late")
