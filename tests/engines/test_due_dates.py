"""Due dates: what is left, what it waits for, and when it would be ready."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from planner.engines.due import due_dates
from planner.events.bench import BowsFinished, RibbonCut, SittingLogged
from planner.events.bows import BowsOpening
from planner.events.catalogue import SetNamed
from planner.events.fair import FairPlanAccepted
from planner.events.fields import LineItem
from planner.events.orders import (
    BowsReserved,
    OrderAsked,
    OrderHandedOver,
    OrderReady,
    OrderTaken,
)
from planner.events.restock import RestockOrdered, SupplyAwaited, SupplyReceived
from planner.events.shop import SettingChanged
from planner.events.spool import SpoolSetAside
from planner.plans.due import DuePlan, LineLeft, Stretch, Wait

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
    pattern,
    spool,
    told,
)


def plan(*events, now=NOW, today=TODAY, **how) -> DuePlan:
    return due_dates(told(*events, **how), now=now, today=today)


def ready(made: DuePlan) -> dict[str, object]:
    return {one.code: one.ready_at for one in made.orders}


def states(made: DuePlan) -> dict[str, str]:
    return {one.code: one.state for one in made.orders}


def make(made: DuePlan) -> dict[str, int]:
    return {one.code: one.make for one in made.orders}


class TestThePlainCase:
    """Six navy for Wednesday take 80 min, four red for Thursday take 60."""

    made = plan(
        order("O1", "2026-11-26", {RED: 4}), order("O2", "2026-11-25", {NAVY: 6})
    )

    def test_the_earliest_due_is_made_first_and_the_next_runs_on(self):
        assert ready(self.made) == {"O2": at(23, "21:20"), "O1": at(24, "20:20")}

    def test_slack_is_the_bench_minutes_from_off_the_bench_to_the_due_day(self):
        # Until Wednesday 2 x 120 min, less 80; until Thursday 3 x 120, less 140.
        assert [one.slack for one in self.made.orders] == [160, 220]

    def test_both_meet_their_days(self):
        assert states(self.made) == {"O2": "meets", "O1": "meets"}
        assert self.made.more_time is None

    def test_each_evening_is_laid_out_in_bench_minutes(self):
        assert [day.stretches for day in self.made.days][:3] == [
            (Stretch("O2", NAVY, 0, 80, False), Stretch("O1", RED, 80, 120, False)),
            (Stretch("O1", RED, 0, 20, False),),
            (),
        ]

    def test_due_days_are_marked_and_minutes_add_up(self):
        assert {d.day.day: d.due for d in self.made.days if d.due} == {
            25: ("O2",), 26: ("O1",),
        }  # fmt: skip
        assert sum(day.used for day in self.made.days) == self.made.needed == 140

    def test_the_lines_say_what_is_left(self):
        assert self.made.order("O2").lines == (LineLeft(NAVY, 6, 0, 0, 6, 80),)


def test_no_orders_give_an_empty_plan_with_a_week_of_days():
    made = plan()
    assert (made.orders, made.needed, len(made.days)) == ((), 0, 7)


class TestTwoRushOrdersAtOnce:
    """Two of 100 min each for tomorrow, one evening of 120 min before it."""

    made = plan(
        order("O1", "2026-11-24", {NAVY: 8}, rush=True),
        order("O2", "2026-11-24", {RED: 8}, rush=True),
    )

    def test_only_one_of_them_can_be_on_time(self):
        assert states(self.made) == {"O1": "close", "O2": "late"}
        assert self.made.order("O2").slack == -80

    def test_it_says_whom_to_ask_for_more_time_and_until_when(self):
        more = self.made.more_time
        assert more is not None
        assert (len(more.orders), more.proved, more.rest_late) == (1, True, ())
        assert set(more.ready_on.values()) == {date(2026, 11, 24)}

    def test_what_is_made_after_the_due_day_is_marked_late(self):
        assert self.made.days[1].stretches == (Stretch("O2", RED, 0, 80, True),)


def test_the_heavier_order_is_not_the_one_asked_for_more_time():
    made = plan(
        order("O1", "2026-11-24", {NAVY: 8}),
        order("O2", "2026-11-24", {RED: 8}, weight=5),
    )
    assert made.more_time.orders == ("O1",)


def test_when_one_order_crowds_out_two_it_is_the_one_to_ask():
    made = plan(
        order("O1", "2026-11-24", {NAVY: 20}),
        order("O2", "2026-11-25", {NAVY: 5}),
        order("O3", "2026-11-25", {RED: 5}),
    )
    # 220 min for O1, 70 each for the others; two evenings of 120 before Wednesday.
    assert states(made) == {"O1": "late", "O2": "late", "O3": "late"}
    assert made.more_time.orders == ("O1",)
    assert made.more_time.rest_late == ()
    # Put last: 140 + 220 = 360 min, the end of the third evening.
    assert made.more_time.ready_on == {"O1": date(2026, 11, 25)}


class TestRibbon:
    """Ribbon on the shelf, in bundles, on the way, and not here."""

    short = tuple(e for e in SHOP if getattr(e, "spool", "") != "S1")

    def test_ribbon_that_is_not_here_is_named_with_what_is_missing(self):
        made = plan(order("O1", "2026-12-05", {NAVY: 6}), shop=self.short)
        assert states(made) == {"O1": "no ribbon"}
        assert made.order("O1").waits == (Wait("navy", True, NAVY, 6, 6 * YARD),)
        assert made.order("O1").ready_at is None

    def test_ribbon_on_the_way_releases_the_work_at_noon_of_the_expected_day(self):
        made = plan(
            order("O1", "2026-12-05", {NAVY: 6}),
            on_the_way("R1", "navy", 50, "2026-11-26", "2026-11-28"),
            shop=self.short,
        )
        assert ready(made) == {"O1": at(26, "21:20")}
        assert made.order("O1").waits == (
            Wait("navy", True, NAVY, 6, 6 * YARD, date(2026, 11, 26),
                 date(2026, 11, 28), "R1"),
        )  # fmt: skip

    def test_what_can_be_made_now_is_made_now_and_set_up_once(self):
        made = plan(
            order("O1", "2026-12-05", {NAVY: 6}),
            spool("S9", "navy", 4),
            on_the_way("R1", "navy", 50, "2026-11-26"),
            shop=self.short,
        )
        assert [day.stretches for day in made.days][:4] == [
            (Stretch("O1", NAVY, 0, 60, False),), (), (),
            (Stretch("O1", NAVY, 0, 20, False),),
        ]  # fmt: skip
        assert made.order("O1").waits[0].bows == 2

    def test_an_order_waiting_for_ribbon_lets_a_later_one_go_first(self):
        made = plan(
            order("O1", "2026-11-28", {NAVY: 6}),
            order("O2", "2026-12-05", {RED: 30}),
            on_the_way("R1", "navy", 50, "2026-11-25"),
            shop=self.short,
        )
        # Red from Monday; Wednesday evening is navy's; red ends with 320 - 280 left.
        assert ready(made) == {"O1": at(25, "21:20"), "O2": at(26, "20:40")}
        assert [one.code for one in made.orders] == ["O2", "O1"]

    def test_the_earliest_due_gets_the_ribbon_first(self):
        made = plan(
            order("O1", "2026-12-09", {NAVY: 6}), order("O2", "2026-12-05", {NAVY: 6}),
            spool("S9", "navy", 8), shop=self.short,
        )  # fmt: skip
        assert states(made) == {"O1": "no ribbon", "O2": "meets"}
        assert made.order("O1").waits[0].short == 4 * YARD

    def test_two_ends_of_half_a_yard_are_not_a_yard(self):
        ends = [spool(f"S{n}", "navy", 1) for n in (8, 9)]
        halves = [e.model_copy(update={"length": YARD // 2}) for e in ends]
        made = plan(order("O1", "2026-12-05", {NAVY: 1}), *halves, shop=self.short)
        assert states(made) == {"O1": "no ribbon"}

    def test_parts_already_cut_are_used_first(self):
        cut = RibbonCut(bundle="C1", spool="S9", role="body", length=YARD, count=6)
        made = plan(
            order("O1", "2026-12-05", {NAVY: 6}), spool("S9", "navy", 6), cut,
            shop=self.short,
        )  # fmt: skip
        assert states(made) == {"O1": "meets"}

    def test_a_spool_set_aside_is_left_alone(self):
        aside = SpoolSetAside(spool="S9", aside=True, why="stained")
        made = plan(
            order("O1", "2026-12-05", {NAVY: 6}), spool("S9", "navy", 50), aside,
            shop=self.short,
        )  # fmt: skip
        assert states(made) == {"O1": "no ribbon"}

    def test_an_order_that_only_the_expected_day_saves_is_close(self):
        made = plan(
            order("O1", "2026-12-05", {NAVY: 2}),
            on_the_way("R1", "navy", 50, "2026-11-24", "2026-12-04"),
            shop=self.short,
        )
        assert states(made) == {"O1": "close"}

    @pytest.mark.parametrize(
        ("latest", "state"), [("2026-11-20", "meets"), ("2026-11-01", "no ribbon")]
    )
    def test_a_restock_overdue_comes_tomorrow_until_it_is_forgotten(
        self, latest, state
    ):
        made = plan(
            order("O1", "2026-12-05", {NAVY: 6}),
            on_the_way("R1", "navy", 50, latest),
            shop=self.short,
        )
        assert (states(made), made.overdue) == ({"O1": state}, ("R1",))


class TestSupplies:
    """Whole units hold work up; what was never entered doesn't."""

    shop = (*SHOP, pattern("clipped", supplies=("clip",)))
    taken = order("O1", "2026-12-05", {"clipped:navy": 6})

    def test_too_few_clips_are_named_with_how_many_lack(self):
        clips = SupplyReceived(lot="L1", supply="clip", units=4)
        made = plan(self.taken, clips, shop=self.shop)
        assert states(made) == {"O1": "no supplies"}
        assert made.order("O1").waits == (Wait("clip", False, "clipped:navy", 2, 2),)

    def test_clips_on_the_way_release_the_bows_they_are_for(self):
        clips = SupplyReceived(lot="L1", supply="clip", units=4)
        more = RestockOrdered(
            restock="R1", supplier="Low Tide Trimmings", expected="2026-11-25",
            latest="2026-11-25", supplies=(SupplyAwaited(supply="clip", units=100),),
        )  # fmt: skip
        made = plan(self.taken, clips, more, shop=self.shop)
        assert ready(made) == {"O1": at(25, "20:20")}

    def test_a_supply_never_entered_holds_nothing_up_and_is_named(self):
        made = plan(self.taken, shop=self.shop)
        assert (states(made), made.unlisted) == ({"O1": "meets"}, ("clip",))


class TestStock:
    """Finished bows: free, set aside, made for an order, kept for a fair."""

    def test_free_stock_covers_an_order(self):
        made = plan(
            order("O1", "2026-11-25", {NAVY: 6}), BowsOpening(bows=((NAVY, 6),))
        )
        assert (states(made), made.needed) == ({"O1": "ready"}, 0)
        assert made.order("O1").ready_at == NOW

    def test_free_stock_goes_to_the_earliest_due(self):
        made = plan(
            order("O1", "2026-11-28", {NAVY: 6}), order("O2", "2026-11-26", {NAVY: 6}),
            BowsOpening(bows=((NAVY, 8),)),
        )  # fmt: skip
        assert make(made) == {"O2": 0, "O1": 4}

    def test_an_order_half_finished_has_only_the_rest_to_make(self):
        made = plan(
            order("O1", "2026-11-28", {NAVY: 6, RED: 2}),
            BowsFinished(batch="B1", made=NAVY, revision=1, count=4, order="O1"),
            OrderHandedOver(order="O1", bows=((NAVY, 3),)),
        )
        assert made.order("O1").lines == (
            LineLeft(NAVY, 6, 3, 1, 2, 40), LineLeft(RED, 2, 0, 0, 2, 40),
        )  # fmt: skip

    def test_bows_made_for_an_order_stay_its_own(self):
        made = plan(
            order("O1", "2026-11-28", {NAVY: 6}), order("O2", "2026-11-26", {NAVY: 6}),
            BowsFinished(batch="B1", made=NAVY, revision=1, count=4, order="O1"),
        )  # fmt: skip
        assert make(made) == {"O1": 2, "O2": 6}

    def test_bows_set_aside_for_an_order_stay_its_own(self):
        made = plan(
            order("O1", "2026-11-28", {NAVY: 6}), order("O2", "2026-11-26", {NAVY: 6}),
            BowsOpening(bows=((NAVY, 6),)),
            BowsReserved(claimant="O1", bows=((NAVY, 6),)),
        )  # fmt: skip
        assert make(made) == {"O1": 0, "O2": 6}

    def test_bows_of_an_accepted_fair_plan_are_left_alone_and_said(self):
        made = plan(
            order("O1", "2026-11-26", {NAVY: 6}),
            BowsOpening(bows=((NAVY, 10),)),
            fair("F1", "Kelp Street Fair", "2026-11-28"),
            FairPlanAccepted(fair="F1", bring=((NAVY, 8),), head=""),
        )
        assert make(made) == {"O1": 4}
        assert made.order("O1").for_fair == 4

    def test_her_word_that_an_order_is_ready_is_taken_whatever_the_count_says(self):
        made = plan(order("O1", "2026-11-26", {NAVY: 6}), OrderReady(order="O1"))
        assert (states(made), make(made)) == ({"O1": "ready"}, {"O1": 0})
        assert made.over_claimed == (NAVY,)

    def test_a_ready_order_whose_day_has_gone_by_is_late(self):
        made = plan(order("O1", "2026-11-22", {NAVY: 6}), OrderReady(order="O1"))
        assert (states(made), made.more_time) == ({"O1": "late"}, None)

    @pytest.mark.parametrize(
        ("clock", "state"), [("17:00", "late"), ("19:00", "ready")]
    )
    def test_a_ready_order_is_late_once_its_hour_is_over(self, clock, state):
        taken = order("O1", "2026-11-23", {NAVY: 6}, hour=clock)
        assert states(plan(taken, OrderReady(order="O1"))) == {"O1": state}

    def test_bows_on_a_stall_are_not_at_hand(self):
        made = plan(
            order("O1", "2026-11-26", {NAVY: 6}),
            BowsOpening(bows=((NAVY, 10),), place="stall:F1"),
        )
        assert make(made) == {"O1": 6}


class TestHours:
    """Evenings off, fairs, none at all, and what has passed."""

    def test_without_bench_hours_nothing_can_be_told(self):
        made = plan(order("O1", "2026-11-26", {NAVY: 6}), bench=None)
        assert (states(made), made.any_hours) == ({"O1": "no bench hours"}, False)
        assert made.order("O1").slack is None

    def test_a_week_away_moves_the_work_behind_it(self):
        away = hours(off=tuple(f"2026-11-{day}" for day in range(23, 30)))
        made = plan(order("O1", "2026-11-28", {NAVY: 6}), bench=away)
        assert (ready(made), states(made)) == (
            {"O1": at(30, "21:20")}, {"O1": "late"},
        )  # fmt: skip
        assert [day.note for day in made.days] == ["off"] * 7 + [""]

    def test_the_day_of_a_fair_has_no_bench_hours(self):
        made = plan(
            order("O1", "2026-11-26", {NAVY: 16}),
            fair("F1", "Kelp Street Fair", "2026-11-24"),
        )
        # 180 min: Monday's 120, none on Tuesday, an hour on Wednesday.
        assert ready(made) == {"O1": at(25, "21:00")}
        assert (made.days[1].minutes, made.days[1].note) == (0, "Kelp Street Fair")

    def test_hours_told_for_the_day_of_a_fair_stay(self):
        made = plan(
            order("O1", "2026-11-26", {NAVY: 16}),
            fair("F1", "Kelp Street Fair", "2026-11-24"),
            bench=hours(extra=(("2026-11-24", "18:00", "19:00"),)),
        )
        assert ready(made) == {"O1": at(24, "19:00")}

    def test_what_has_passed_of_this_evening_is_gone(self):
        made = plan(order("O1", "2026-11-26", {NAVY: 6}), now=at(23, "21:00"))
        assert ready(made) == {"O1": at(24, "20:20")}
        assert made.days[0].minutes == 60

    def test_an_evening_begun_yesterday_still_counts_after_midnight(self):
        late = hours(daily=False, extra=(("2026-11-23", "22:00", "02:00"),))
        made = plan(
            order("O1", "2026-11-28", {NAVY: 6}), bench=late, now=at(24, "00:30"),
            today=date(2026, 11, 24),
        )  # fmt: skip
        assert ready(made) == {"O1": at(24, "01:50")}
        assert made.days[0].day == date(2026, 11, 23)
        assert made.days[0].used == 80

    def test_five_hundred_bows_run_past_the_first_ninety_days(self):
        december = [(f"2026-12-{day:02}", "08:00", "20:00") for day in range(1, 7)]
        long_days = (*december, ("2027-04-01", "08:00", "22:00"))
        made = plan(
            order("O1", "2027-06-01", {NAVY: 500}),
            bench=hours(daily=False, extra=long_days),
        )
        # 5 020 min: 6 x 720 in December, 700 of the first of April.
        assert made.order("O1").ready_at.isoformat() == "2027-04-01T19:40:00-04:00"

    def test_work_that_never_fits_has_no_bench_hours(self):
        only = hours(daily=False, extra=(("2026-11-24", "20:00", "21:00"),))
        made = plan(order("O1", "2026-11-26", {NAVY: 6}), bench=only)
        assert (states(made), made.any_hours) == ({"O1": "no bench hours"}, True)

    def test_the_night_the_clocks_go_back_is_an_hour_longer(self):
        night = hours(daily=False, extra=(("2026-10-31", "22:00", "02:00"),))
        shop = tuple(e for e in SHOP)
        made = due_dates(
            told(order("O1", "2026-11-05", {NAVY: 25}), bench=night, shop=shop),
            now=at(1, "00:00").replace(month=10, day=31), today=date(2026, 10, 31),
        )  # fmt: skip
        # 270 min from 22:00: 01:30 comes twice, this is the second.
        assert made.order("O1").ready_at.isoformat() == "2026-11-01T01:30:00-05:00"


class TestWhenItMustBeDone:
    """The due day, an hour, the post, and glue that must set."""

    def test_by_default_none_of_the_due_days_bench_hours_count(self):
        made = plan(order("O1", "2026-11-23", {NAVY: 2}))
        assert (states(made), made.order("O1").slack) == ({"O1": "late"}, -40)

    def test_with_an_hour_bench_time_before_it_counts(self):
        made = plan(order("O1", "2026-11-23", {NAVY: 2}, hour="21:30"))
        assert (states(made), made.order("O1").slack) == ({"O1": "meets"}, 50)

    def test_the_setting_lets_the_whole_due_day_count(self):
        made = plan(
            order("O1", "2026-11-23", {NAVY: 2}),
            SettingChanged(name="late day", value="counts"),
        )
        assert (states(made), made.order("O1").slack) == ({"O1": "meets"}, 80)

    def test_days_in_the_post_come_off_and_the_hour_with_them(self):
        made = plan(order("O1", "2026-11-26", {NAVY: 2}, hour="23:00", post_days=2))
        assert made.order("O1").deadline == at(24, "00:00")

    def test_a_due_day_already_past_is_late_and_goes_first(self):
        made = plan(
            order("O1", "2026-11-24", {NAVY: 2}), order("O2", "2026-11-20", {RED: 2})
        )
        assert states(made) == {"O2": "late", "O1": "meets"}
        assert [one.code for one in made.orders] == ["O2", "O1"]
        assert made.more_time.orders == ("O2",)

    def test_setting_past_midnight_is_minded_but_does_not_make_it_late(self):
        made = plan(order("O1", "2026-11-24", {GLUED: 12}))
        # Off the bench at 22:00, set at 01:00 on the due day, hours before noon.
        assert (ready(made), states(made)) == ({"O1": at(24, "01:00")}, {"O1": "close"})

    def test_with_an_hour_it_must_have_set_by_then(self):
        made = plan(order("O1", "2026-11-24", {GLUED: 12}, hour="00:30"))
        assert (states(made), made.order("O1").slack) == ({"O1": "late"}, -30)

    def test_what_has_longest_to_set_leaves_the_bench_first(self):
        made = plan(order("O1", "2026-11-23", {NAVY: 4, GLUED: 4}, hour="23:59"))
        assert [part.kind for part in made.days[0].stretches] == [GLUED, NAVY]
        assert ready(made) == {"O1": at(23, "23:40")}

    def test_setting_can_be_left_out(self):
        made = plan(
            order("O1", "2026-11-24", {GLUED: 6}),
            SettingChanged(name="setting counts", value="no"),
        )
        assert ready(made) == {"O1": at(23, "21:00")}

    def test_an_order_without_a_due_day_comes_last_and_meets_it(self):
        quote = OrderAsked(order="O1", lines=order("O1", "2026-11-24", {NAVY: 2}).lines)
        led = told(quote, order("O2", "2026-12-24", {RED: 2}))
        open_end = replace(_of(led, "O1"), code="O9", state="open")
        made = due_dates(led, now=NOW, today=TODAY, include=(open_end,))
        assert states(made) == {"O2": "meets", "O9": "meets"}
        assert made.order("O9").slack is None


def _of(led, code):
    from planner.ledgers.orders import order_of

    return order_of(led, code)


class TestWhatElseItKnows:
    """Sets, quotes, learned minutes and what the answer rests on."""

    def test_a_set_is_made_of_its_kinds(self):
        pair = SetNamed(set="pair", name="pair", kinds=((NAVY, 1), (RED, 2)))
        line = LineItem(
            line=1, what="pair", count=3, price=1500, kinds=((NAVY, 1), (RED, 2))
        )
        made = plan(pair, OrderTaken(order="O1", lines=(line,), due="2026-12-01"))
        assert [(x.kind, x.make) for x in made.order("O1").lines] == [
            (NAVY, 3), (RED, 6),
        ]  # fmt: skip

    def test_quotes_are_not_planned(self):
        lines = order("O1", "2026-11-24", {NAVY: 2}).lines
        assert plan(OrderAsked(order="O1", lines=lines)).orders == ()

    def test_it_says_how_well_the_minutes_are_known(self):
        made = plan(
            order("O1", "2026-12-05", {NAVY: 2}),
            BowsFinished(batch="B1", made=RED, revision=1, count=4, minutes=60),
        )
        (basis,) = made.basis
        assert (basis.pattern, basis.sittings, basis.stated) == ("bow", 1, True)

    def test_it_says_how_much_of_what_she_plans_she_works(self):
        sittings = [
            SittingLogged(sitting=f"T{n}", minutes=minutes, planned=100)
            for n, minutes in enumerate((70, 80, 120))
        ]
        assert plan(*sittings).worked == 0.8


class TestLeastWeightedLateness:
    """O1 takes four evenings and weighs 1; O2 takes an hour and weighs 9."""

    made = plan(
        order("O1", "2026-11-24", {NAVY: 46}),
        order("O2", "2026-11-25", {RED: 10}, weight=9),
    )

    def test_the_small_heavy_order_would_better_go_first(self):
        least = self.made.least_late
        # O2's 120 min fit before Wednesday; O1's 480 then end 480 after its 120.
        assert (least.orders, least.minutes, least.gap) == (("O2", "O1"), 480, 0)

    def test_it_says_what_the_policy_costs_instead(self):
        # O1 is 360 min late, O2 (by 240, at 600) 360 min at nine times the weight.
        assert self.made.least_late.now == 360 + 9 * 360

    def test_where_nothing_is_late_there_is_nothing_to_say(self):
        assert plan(order("O1", "2026-11-29", {NAVY: 2})).least_late is None
