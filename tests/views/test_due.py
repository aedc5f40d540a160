"""The due dates and a rush as she reads them: whole views from what happened."""

from __future__ import annotations

from datetime import date, datetime
from zoneinfo import ZoneInfo

from planner.engines.due import due_dates
from planner.engines.rush import rush as ask
from planner.events.base import Fact
from planner.events.bows import BowsOpening
from planner.events.catalogue import (
    ColourNamed,
    Part,
    PatternRevised,
    RibbonNamed,
    Step,
)
from planner.events.fair import FairAnnounced, FairDay
from planner.events.fields import LineItem
from planner.events.orders import OrderAsked, OrderReady, OrderTaken
from planner.events.restock import RestockOrdered, RibbonAwaited, SpoolReceived
from planner.events.shop import BenchHoursSet, BenchStretch, ShopSetUp
from planner.fold import fold_facts
from planner.views import due_builder, rush_builder
from planner.views.common import Oddity, Swatch
from planner.views.due import BenchDay, BenchSegment, DueLine, DueOrder
from planner.views.rush import RushMove

ZONE = "America/New_York"
TODAY = date(2026, 11, 23)
NOW = datetime(2026, 11, 23, 18, 0, tzinfo=ZoneInfo(ZONE))
INCH = 25_400_000
YARD = 36 * INCH
NAVY = Swatch(hex="#1f2a5a", name="navy", pattern="level")

SHOP = (
    ShopSetUp(name="Tarn Bows", zone=ZONE, currency="USD", units="us", paper="letter"),
    ColourNamed(colour="navy", name="navy", hex="#1f2a5a", family="navy"),
    RibbonNamed(ribbon="navy", colour="navy", width=INCH, material="satin"),
    PatternRevised(
        pattern="classic-4in", revision=1, name="classic 4 in", size=4 * INCH,
        width=INCH, parts=(Part(role="body", length=YARD),),
        steps=(Step(name="make", seconds=600),), set_up=20, setting=30,
    ),
    SpoolReceived(spool="S1", ribbon="navy", length=40 * YARD, lot="S1"),
    BenchHoursSet(
        words="every day 20:00-22:00",
        rules=(
            BenchStretch(
                rule="FREQ=DAILY", start="20:00", end="22:00", first="2026-11-01"
            ),
        ),
    ),
)  # fmt: skip
"""A bow takes 10 min after 20 min of set-up, and half an hour to set."""


def taken(code, due, count, **how):
    line = LineItem(
        line=1, what="classic-4in:navy", count=count, price=800,
        kinds=(("classic-4in:navy", 1),),
    )  # fmt: skip
    return OrderTaken(order=code, lines=(line,), due=due, **how)


def folded(*events):
    facts = [(1, Fact(e, "2026-11-01")) for e in SHOP]
    facts += [(n, Fact(e, "2026-11-20")) for n, e in enumerate(events, 2)]
    return fold_facts(facts, zone=ZONE)


def shown(*events, names=None):
    led = folded(*events)
    plan = due_dates(led, now=NOW, today=TODAY)
    return due_builder.build(led, plan, made="now", names=names)


def rush(count, due, *events):
    led = folded(*events)
    answer = ask(
        led, now=NOW, today=TODAY, kind="classic-4in:navy", count=count, due=due
    )
    return rush_builder.build(led, answer, made="now")


class TestOneOrder:
    view = shown(
        taken("O1", "2026-11-25", 6, person="maren", hour="17:00"),
        names={"maren": "Maren Oak"},
    )

    def test_the_order_is_told_in_full(self):
        assert self.view.orders == (
            DueOrder(
                code="O1", who="Maren Oak",
                lines=(
                    DueLine(
                        kind="4in navy", count=6, ready=0, make=6, swatches=(NAVY,)
                    ),
                ),
                due_on="2026-11-25", due="Wed 25 Nov, 17:00", work_minutes=80,
                work="1 h 20 min", ready_on="2026-11-23", ready="Mon 23 Nov, 21:50",
                slack_minutes=160, slack="2 h 40 min to spare", state="meets",
                why="bows why O1",
            ),
        )  # fmt: skip

    def test_the_evening_shows_what_fills_it_and_what_is_free(self):
        assert self.view.days[0] == BenchDay(
            day_on="2026-11-23", day="Mon 23 Nov", planned_minutes=120, planned="2 h",
            used_minutes=80, used="1 h 20 min",
            segments=(
                BenchSegment(order="O1", label="4in navy", start_minute=0, minutes=80),
                BenchSegment(order="free", label="free", start_minute=80, minutes=40),
            ),
        )  # fmt: skip

    def test_the_due_day_is_marked(self):
        assert [day.day_on for day in self.view.days if day.due] == ["2026-11-25"]

    def test_it_says_so_in_a_sentence_with_totals(self):
        assert self.view.short == "The open order can be ready when it is due."
        assert (self.view.needed, self.view.planned) == ("1 h 20 min", "14 h")

    def test_it_says_what_it_rests_on(self):
        assert self.view.rests_on[0] == (
            "Minutes a bow are medians of 0 batches; 4in mostly on the minutes you "
            "stated. About half the time it will take longer."
        )

    def test_every_day_of_the_strip_adds_up(self):
        for day in self.view.days:
            ends = [s.start_minute + s.minutes for s in day.segments]
            starts = [s.start_minute for s in day.segments]
            assert starts == [0, *ends[:-1]]
            assert ends[-1] == day.planned_minutes


def test_nobody_is_named_unless_names_are_passed():
    assert shown(taken("O1", "2026-11-25", 6, person="maren")).orders[0].who == ""


def test_an_empty_shop_says_that_no_order_is_open():
    view = shown()
    assert (view.short, view.orders, view.needed) == ("No order is open.", (), "0 min")


def test_rush_orders_are_named_where_all_is_well():
    view = shown(taken("O1", "2026-11-25", 2), taken("O2", "2026-11-26", 2, rush=True))
    assert view.short == (
        "Both orders can be ready when they are due, O2 (a rush) included."
    )


def test_a_late_order_is_told_with_what_it_wants_and_whom_to_ask():
    view = shown(taken("O1", "2026-11-24", 11), taken("O2", "2026-11-30", 2))
    assert view.short == (
        "1 of 2 orders can be ready when due: O1 would be too late for want of 10 min. "
        "Ask for more time for O1 (ready Tue 24 Nov)."
    )
    assert (view.orders[0].slack_minutes, view.orders[0].state) == (-10, "late")
    assert [s.late for s in view.days[1].segments] == [True, False, False]


def test_one_big_order_that_makes_two_late_is_the_one_to_ask():
    view = shown(
        taken("O1", "2026-11-24", 20), taken("O2", "2026-11-25", 5),
        taken("O3", "2026-11-25", 5),
    )  # fmt: skip
    assert view.short.endswith(
        " If O1 (ready Wed 25 Nov) could wait, the others would be on time."
    )


def test_ribbon_that_lacks_is_named_with_its_length():
    view = shown(taken("O1", "2026-12-24", 45))
    assert (view.orders[0].state, view.orders[0].ready) == ("no ribbon", "")
    assert view.orders[0].waits_for == (
        "5 yd more of navy 1 in satin for 5 bows: none on the way"
    )
    assert view.short == "0 of 1 orders can be ready when due: O1 lacks ribbon."


def test_ribbon_on_the_way_is_named_with_its_days():
    way = RestockOrdered(
        restock="R1", supplier="Low Tide Trimmings", expected="2026-11-26",
        latest="2026-11-28",
        ribbons=(RibbonAwaited(ribbon="navy", spools=1, length=50 * YARD),),
    )  # fmt: skip
    assert shown(taken("O1", "2026-12-24", 45), way).orders[0].waits_for == (
        "5 yd more of navy 1 in satin for 5 bows: R1 expected Thu 26 Nov, "
        "Sat 28 Nov at the latest"
    )


def test_a_ready_order_needs_no_work_and_meets_its_day():
    view = shown(
        taken("O1", "2026-11-25", 2), OrderReady(order="O1"),
        BowsOpening(bows=(("classic-4in:navy", 2),)),
    )  # fmt: skip
    (one,) = view.orders
    assert (one.state, one.work, one.ready, one.slack) == (
        "ready", "none", "ready now", "—",
    )  # fmt: skip


def test_a_ready_order_past_its_day_asks_to_be_handed_over():
    view = shown(
        taken("O1", "2026-11-21", 2), OrderReady(order="O1"),
        BowsOpening(bows=(("classic-4in:navy", 2),)),
    )  # fmt: skip
    assert (view.orders[0].state, view.orders[0].slack) == ("late", "hand it over")
    assert view.odd == (
        Oddity(
            about="O1", what="It was due Sat 21 Nov and is still open.",
            instead="bows order hand O1",
        ),
    )  # fmt: skip


def test_quotes_that_hold_are_named_and_not_planned():
    lines = taken("O1", "2026-11-25", 2).lines
    view = shown(
        OrderAsked(order="O1", lines=lines, expires="2026-12-01"),
        OrderAsked(order="O2", lines=lines, expires="2026-11-22"),
    )
    assert view.rests_on[-1] == "Asked for but not taken, so not planned: O1."


def test_days_in_the_post_are_said_with_the_due_day():
    assert shown(taken("O1", "2026-11-30", 2, post_days=3)).orders[0].due == (
        "Mon 30 Nov, 3 days in the post"
    )


def test_without_bench_hours_it_says_what_to_type():
    view = shown(taken("O1", "2026-11-25", 2), BenchHoursSet(words="none", rules=()))
    assert (view.orders[0].state, view.orders[0].waits_for) == (
        "no bench hours", "bench hours: none told yet",
    )  # fmt: skip
    assert view.rests_on[1] == (
        'No bench hours are told: type "bows hours mon-thu 20:00-22:00".'
    )


def test_what_is_odd_is_told_with_what_to_type():
    late = RestockOrdered(
        restock="R1", supplier="Low Tide Trimmings", expected="2026-11-18",
        latest="2026-11-20",
        ribbons=(RibbonAwaited(ribbon="navy", spools=1, length=50 * YARD),),
    )  # fmt: skip
    view = shown(taken("O1", "2026-11-25", 2), OrderReady(order="O1"), late)
    assert [(odd.about, odd.instead) for odd in view.odd] == [
        ("R1", "bows restock in R1"), ("4in navy", "bows count"),
    ]  # fmt: skip


def test_a_close_order_is_named():
    view = shown(taken("O1", "2026-11-24", 10))
    assert view.short == ("The open order can be ready when it is due. O1 is close.")
    assert view.orders[0].slack == "nothing to spare"


def test_a_fair_ahead_is_said_to_take_no_bench_hours():
    fair = FairAnnounced(
        fair="F1", name="Kelp Street Fair",
        days=(FairDay(day="2026-11-28", opens="10:00", closes="16:00"),),
    )  # fmt: skip
    view = shown(taken("O1", "2026-11-25", 2), fair)
    assert view.rests_on[2].startswith("No bench hours on the days of Kelp Street Fair")
    assert [d.note for d in view.days if d.note] == ["Kelp Street Fair"]


class TestRush:
    def test_a_yes_says_when_and_what_to_type(self):
        view = rush(6, date(2026, 11, 25))
        assert view.short == (
            "Yes: 6 4in navy by Wed 25 Nov can be ready Mon 23 Nov, 21:50, and nobody "
            "is made late."
        )
        assert view.typed == "bows order take 6 4in navy --due 2026-11-25 --rush"
        assert (view.make, view.work, view.earliest) == (6, "1 h 20 min", "Tue 24 Nov")

    def test_a_but_says_at_whose_cost_and_shows_the_move(self):
        view = rush(6, date(2026, 11, 24), taken("O1", "2026-11-25", 20))
        assert view.short == (
            "Yes, but: 6 4in navy by Tue 24 Nov can be ready Mon 23 Nov, 21:50; "
            "O1 would be late for it. Thu 26 Nov is the first day that could be "
            "promised at nobody's cost."
        )
        assert view.moves == (
            RushMove(
                code="O1", who="", due_on="2026-11-25", due="Wed 25 Nov",
                before_on="2026-11-24", before="Tue 24 Nov, 22:10",
                after_on="2026-11-25", after="Wed 25 Nov, 21:30", was="close",
                state="late", newly_late=True, later_still=False,
            ),
        )  # fmt: skip

    def test_a_no_says_when_it_would_be_ready(self):
        assert rush(12, date(2026, 11, 24)).short == (
            "No: 12 4in navy by Tue 24 Nov would be ready only Tue 24 Nov, 20:50. "
            "Wed 25 Nov is the first day that could be promised at nobody's cost."
        )

    def test_what_lacks_is_said_in_place_of_a_day(self):
        assert rush(45, date(2026, 11, 30)).short == (
            "Not as things stand: 45 4in navy by Mon 30 Nov wants 5 yd more of navy "
            "1 in satin for 5 bows: none on the way. No day can be promised before "
            "that is on the way."
        )

    def test_its_json_begins_with_its_schema(self):
        dumped = rush(6, date(2026, 11, 25)).model_dump(mode="json")
        assert next(iter(dumped.items())) == ("schema", "spool-to-stall/rush/1")

    def test_an_order_late_already_is_said_to_be_later_still(self):
        view = rush(6, date(2026, 11, 24), taken("O1", "2026-11-25", 30))
        assert "; O1, late already, would be later still. " in view.short


class TestChances:
    """With draws behind it, every order says how sure it is."""

    led = folded(taken("O1", "2026-11-25", 6), taken("O2", "2026-11-25", 20))
    view = due_builder.build(
        led, due_dates(led, now=NOW, today=TODAY, draws=2000), made="now"
    )

    def test_the_chance_is_shown_in_per_cent(self):
        (one, _) = self.view.orders
        assert one.chance is not None
        assert one.chance_shown == f"{round(100 * one.chance)} %"
        assert 0.75 < one.chance < 0.99

    def test_early_likely_and_late_days_follow_one_another(self):
        (one, two) = self.view.orders
        assert one.early_on == "2026-11-23"
        for order in self.view.orders:
            assert order.early_on <= order.likely_on <= order.late_on
        assert two.chance < one.chance

    def test_the_days_add_up_to_the_chance_and_the_rest(self):
        for order in self.view.orders:
            good = sum(day.in_time for day in order.finish)
            assert round(good - order.chance, 9) == 0
            assert round(good + sum(day.late for day in order.finish), 2) == 1

    def test_it_says_what_the_chances_rest_on(self):
        assert self.view.rests_on[-1].startswith("Chances rest on 2,000 draws of your")


def test_a_chance_is_never_rounded_to_sure():
    words = due_builder.chance_words
    assert [words(x) for x in (None, 0.0, 0.001, 0.004, 0.5, 0.996, 1.0)] == [
        "", "0 %", "under 1 %", "under 1 %", "50 %", "over 99 %", "100 %",
    ]  # fmt: skip
