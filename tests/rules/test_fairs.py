"""Fairs before they begin: given what happened, when she tells, then these events."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from planner.errors import Absurd, Ambiguous, Stale, Unknown, Unreadable
from planner.events.base import Fact
from planner.events.fair import (
    FairAnnounced,
    FairCalledOff,
    FairPacked,
    FairPlanAccepted,
    FairSettled,
)
from planner.events.fields import LineItem
from planner.events.orders import OrderTaken
from planner.plans.fair import Basis, FairPlan, KindPlan, KindSeen, SetPlan
from planner.rules import fairs
from planner.rules.base import Proposal
from planner.rules.fair_days import day_of_fair, far_off, read_days

from .selling_toys import HARBOUR, NAVY, NOW, PACKED, RED, fair_days, given

TODAY = date(2026, 11, 25)
HEAD = "5c1d9f" + "0" * 58


def events(proposed: Proposal) -> list[object]:
    """Give the events of a proposal."""
    return [fact.event for fact in proposed.facts]


class TestReadDays:
    @pytest.mark.parametrize(
        "words",
        [
            "sat 28 nov 10:00-16:00, sun 11-15",
            "sat 10-16, sun 11:00 - 15:00",
            "28 nov 10am-4pm; 29 nov 11am to 3pm",
            "2026-11-28 10.00–16.00, sunday 11-15",
        ],
    )
    def test_days_with_hours_are_read_in_her_words(self, words):
        """Each way of saying the two days gives the same days."""
        assert read_days(words, today=TODAY) == HARBOUR.days

    def test_a_weekday_follows_the_day_before_it(self):
        """A bare weekday after a far-off day is the one just after that day."""
        found = read_days("sat 12 dec 10-16, sun 10-15", today=TODAY)

        assert found == fair_days(
            ("2026-12-12", "10:00", "16:00"), ("2026-12-13", "10:00", "15:00")
        )

    @pytest.mark.parametrize(
        ("words", "days"),
        [
            ("in 10 days 10-16, in 11 days 11-15", ("2026-12-05", "2026-12-06")),
            ("tomorrow 10-16, in 2 days 11-15", ("2026-11-26", "2026-11-27")),
            ("yesterday 9-16, today 10-16", ("2026-11-24", "2026-11-25")),
            ("yesterday 9-16, wed 10-16", ("2026-11-24", "2026-11-25")),
            ("tomorrow 9-16, sat 10-16", ("2026-11-26", "2026-11-28")),
            ("24 nov 9-16, 25 nov 10-16", ("2026-11-24", "2026-11-25")),
            ("tue 24 nov 9-16, wed 25 nov 10-16", ("2026-11-24", "2026-11-25")),
            ("24 nov 9-16, today 10-16", ("2026-11-24", "2026-11-25")),
            ("nov 24 9-16, sat 10-16", ("2026-11-24", "2026-11-28")),
            ("25 nov 9-16, 26 nov 10-16", ("2026-11-25", "2026-11-26")),
            ("23 nov 9-16, 24 nov 10-16", ("2027-11-23", "2027-11-24")),
            ("31 dec 9-16, 1 jan 10-16", ("2026-12-31", "2027-01-01")),
        ],
    )
    def test_words_count_from_today_and_dates_may_have_begun(self, words, days):
        """A weekday follows the day before it; a fair that is on is this year's."""
        found = read_days(words, today=TODAY)

        assert tuple(day.day for day in found) == days

    def test_a_fair_far_ahead_without_its_year_is_remarked_on(self):
        """Dates of a fair that is over are next year's, and that is said."""
        for words, said in (
            ("23 nov 9-16, 24 nov 10-16", ["23 nov 2026"]),
            ("23 nov 2027 9-16", []),
            ("2027-11-23 9-16", []),
            ("12 dec 9-16", []),
        ):
            remarks = far_off(words, read_days(words, today=TODAY), today=TODAY)
            assert len(remarks) == len(said), words
            assert all(one in remarks[0] for one in said)

    @pytest.mark.parametrize(
        ("words", "day"),
        [
            ("sat", "2026-11-28"), ("Saturday", "2026-11-28"), ("28 nov", "2026-11-28"),
            ("wed", "2026-11-25"), ("sat 28 nov", "2026-11-28"),
            ("2026-11-28", "2026-11-28"), ("sun", None), ("21 nov", None),
            ("today", None), ("tomorrow", None), ("in 3 days", None),
            ("last sat", None), ("next sat", None), ("soon", None), ("", None),
        ],
    )  # fmt: skip
    def test_a_day_is_found_among_a_fair_s_own(self, words, day):
        """Even on that weekday itself; words that count from today name none."""
        days = (("2026-11-25", "10:00", "17:00"), ("2026-11-28", "10:00", "17:00"))
        found = day_of_fair(words, days, today=TODAY)

        assert (found and found.isoformat()) == day

    @pytest.mark.parametrize(
        ("today", "day"),
        [("2026-11-20", "2026-11-21"), ("2026-11-27", "2026-11-21"),
         ("2026-11-28", "2026-11-28"), ("2026-12-30", "2026-11-28")],
    )  # fmt: skip
    def test_of_two_saturdays_the_last_that_has_begun_is_meant(self, today, day):
        """Before the fair it is the first."""
        days = (("2026-11-21", "10:00", "17:00"), ("2026-11-28", "10:00", "17:00"))
        found = day_of_fair("sat", days, today=date.fromisoformat(today))

        assert found == date.fromisoformat(day)

    @pytest.mark.parametrize(
        ("words", "refusal"),
        [
            ("", Unreadable),
            ("sat", Unreadable),
            ("sat 10", Unreadable),
            ("sat 10-4", Absurd),
            ("sat 10-10", Absurd),
            ("sat 25-26", Unreadable),
            ("5/12 10-16", Ambiguous),
            ("wed 10-16", Ambiguous),
            ("sun 10-16, 28 nov 2026 10-16", Unreadable),
            ("sat 10-16, 28 nov 2026 11-12", Unreadable),
            ("sat 10-16, 12 jun 10-16", Absurd),
            ("sat 10\u202e-16", Unreadable),
            ("x" * 5_000, Unreadable),
        ],
    )
    def test_what_is_no_day_with_hours_is_refused_with_an_example(self, words, refusal):
        """Junk, twice the same day, closing before opening: refused with an example."""
        with pytest.raises(refusal) as refused:
            read_days(words, today=TODAY)

        assert refused.value.instead


class TestReadCrowd:
    def test_a_crowd_is_a_word_or_a_figure_from_one_to_five(self):
        """Each word stands for its figure."""
        words = ["quiet", "thin", "Usual", "busy", "packed", "1", "5"]

        assert [fairs.read_crowd(word) for word in words] == [1, 2, 3, 4, 5, 1, 5]

    @pytest.mark.parametrize("word", ["", "6", "huge", "0"])
    def test_another_word_is_refused_with_the_choices(self, word):
        """The choices are named."""
        with pytest.raises(Unreadable) as refused:
            fairs.read_crowd(word)

        assert refused.value.instead == (
            "Type one of: quiet, thin, usual, busy, packed, or 1 to 5."
        )


class TestAnnounced:
    def test_a_fair_gets_the_next_code_and_is_said_whole(self):
        """A fair is entered whole and said back whole."""
        days = fair_days(("2026-12-12", "10:00", "16:00"))
        made = fairs.announced(
            given(HARBOUR), name="Mill Market", days=days, when=NOW, fee=4500, crowd=4,
            indoor=False, table=1_828_800_000, guess={"classic-4in": 20, NAVY: 6},
            guess_total=30,
        )  # fmt: skip

        assert events(made) == [
            FairAnnounced(
                fair="F2", name="Mill Market", days=days, fee=4500, crowd=4,
                indoor=False, table=1_828_800_000, guess_total=30,
                guess=(("classic-4in", 20), (NAVY, 6)),
            )
        ]  # fmt: skip
        assert made.said == (
            "fair F2: Mill Market, Sat 12 Dec 2026 10:00-16:00",
            "fee $45.00, crowd busy (4 of 5), outdoors, table 2 yd, guess 20 classic "
            "4 in, 6 classic 4 in navy, 30 in all",
        )
        assert made.warnings == ()

    def test_a_second_fair_on_a_day_and_a_fair_gone_by_are_taken_with_warnings(self):
        """Two fairs on a day may be meant; so may one gone by."""
        twice = fairs.announced(
            given(HARBOUR), name="Mill Market", when=NOW,
            days=fair_days(("2026-11-29", "10:00", "16:00")),
        )  # fmt: skip
        late = fairs.announced(
            given(), name="Quay Fair", when=NOW,
            days=fair_days(("2026-11-14", "10:00", "16:00")),
        )  # fmt: skip

        assert twice.warnings == ("F1, Harbour Fair, is on Sun 29 Nov 2026 too",)
        assert late.warnings == ("its last day, Sat 14 Nov 2026, is over",)

    def test_a_fair_entered_on_its_last_day_is_not_over(self):
        """She may still be standing there; only its first day is over."""
        days = fair_days(
            ("2026-11-24", "10:00", "16:00"), ("2026-11-25", "10:00", "16:00")
        )
        made = fairs.announced(given(), name="Harbour Fair", days=days, when=NOW)

        assert made.warnings == ()

    def test_a_fair_on_one_day_of_another_is_said_with_that_day(self):
        """Not with one called off, nor with itself."""
        days = fair_days(
            ("2026-11-29", "10:00", "16:00"), ("2026-11-30", "10:00", "16:00")
        )
        both = fairs.announced(given(HARBOUR), name="Pier", days=days, when=NOW)
        off = FairCalledOff(fair="F1")
        alone = fairs.announced(given(HARBOUR, off), name="Pier", days=days, when=NOW)

        assert both.warnings == ("F1, Harbour Fair, is on Sun 29 Nov 2026 too",)
        assert alone.warnings == ()


class TestChanged:
    def test_what_is_not_named_stays_and_changes_are_said(self):
        """A change keeps the rest, before and after said."""
        made = fairs.changed(given(HARBOUR), fair="f1", when=NOW, crowd=5, fee=0)

        assert events(made) == [HARBOUR.model_copy(update={"crowd": 5, "fee": 0})]
        assert made.said == (
            "F1 fee: $60.00 → $0.00",
            "F1 crowd: usual (3 of 5) → packed (5 of 5)",
        )
        assert made.warnings == ()

    def test_no_change_and_no_fair_are_refused(self):
        """Nothing changed is no entry; a fair must exist."""
        with pytest.raises(Absurd) as refused:
            fairs.changed(given(HARBOUR), fair="F1", when=NOW, crowd=3)
        with pytest.raises(Unknown) as unknown:
            fairs.changed(given(HARBOUR), fair="F9", when=NOW, crowd=4)

        assert refused.value.instead == "bows fair change F1 --crowd busy"
        assert unknown.value.instead == "bows fairs"


class TestCalledOff:
    def test_a_fair_called_off_frees_its_plan(self):
        """What was planned for is free again."""
        plan = FairPlanAccepted(fair="F1", bring=((NAVY, 8),), head=HEAD)
        made = fairs.called_off(given(HARBOUR, plan), fair="F1", when=NOW, why="storm")

        assert events(made) == [FairCalledOff(fair="F1", why="storm")]
        assert made.said == (
            "F1, Harbour Fair: planned → called off",
            "no longer planned for: 8 classic 4 in navy",
        )

    def test_off_at_an_hour_says_what_is_still_on_the_stall(self):
        """A fair that broke up at an hour still has its boxes to unpack."""
        made = fairs.called_off(given(HARBOUR, PACKED), fair="F1", when=NOW, at="13:30")
        odd = fairs.called_off(given(HARBOUR, PACKED), fair="F1", when=NOW, at="08:00")

        assert events(made) == [FairCalledOff(fair="F1", at="13:30")]
        assert made.said == (
            "F1, Harbour Fair: packed → called off at 13:30",
            "still on its stall: 8 classic 4 in navy, 4 classic 4 in red; when they "
            "are home: bows fair settle F1",
        )
        assert made.warnings == ()
        assert odd.warnings == (
            "08:00 is outside its hours, Sat 28 Nov 2026 10:00-16:00, Sun 29 Nov 2026 "
            "11:00-15:00",
        )


def said_beforehand():
    """A plan of one kind, with the figures that are kept of it."""
    kind = KindPlan(
        kind=NAVY, bring=12, have=10, make=2, wanted=9.0, sold=8.5, left=3.5,
        sell_out=0.2, price=900, cost=10.0, minutes=10.0, own=0.5, seen=KindSeen(),
        spread=(4, 7, 9, 11, 15),
    )  # fmt: skip
    return FairPlan(
        fair="F1", today="2026-11-25", head=HEAD, kinds=(kind,), limits=(), turns=(),
        sold=8.5, sold_low=4, sold_high=12, takings=7_650, takings_low=3_600,
        takings_high=10_800, fee=0, materials=20, basis=Basis(source="history"),
        sold_spread=(4, 7, 9, 11, 12),
    )  # fmt: skip


class TestPlanAccepted:
    def test_a_plan_on_today_s_log_is_kept_with_the_whole_head(self):
        """A short head is enough to accept; the whole one is kept."""
        made = fairs.plan_accepted(
            given(HARBOUR), fair="F1", bring={NAVY: 12, RED: 4}, head="5C1D-9F00 0000",
            head_now=HEAD, when=NOW, said=said_beforehand(),
        )  # fmt: skip

        assert events(made) == [
            FairPlanAccepted(
                fair="F1", bring=((NAVY, 12), (RED, 4)), head=HEAD,
                expected=((NAVY, 9_000),), spread=((NAVY, (4, 7, 9, 11, 15)),),
                sold_spread=(4, 7, 9, 11, 12),
            )
        ]  # fmt: skip
        assert made.said == (
            "plan for F1, Harbour Fair: 16 bows",
            "classic 4 in navy 12 (2 to make)",
            "classic 4 in red 4",
        )

    def test_what_is_to_make_is_what_the_plan_says_whatever_lies_at_home(self):
        """Ten navy are at home, but orders need them: the plan has two ready of six."""
        kind = replace(said_beforehand().kinds[0], bring=6, have=2, make=4)
        pair = SetPlan(
            set="navy-red-pair", bows=((NAVY, 1), (RED, 1)), bring=2, wanted=2.0,
            sold=1.5, left=0.5, sell_out=0.3, price=1_900, own=0.0, seen=KindSeen(),
        )  # fmt: skip
        made = fairs.plan_accepted(
            given(HARBOUR), fair="F1", bring={NAVY: 6}, head=HEAD, head_now=HEAD,
            when=NOW, said=replace(said_beforehand(), kinds=(kind,), sets=(pair,)),
        )  # fmt: skip

        assert made.said == (
            "plan for F1, Harbour Fair: 6 bows",
            "classic 4 in navy 6 (4 to make)",
            "among them, to make up and pack as sets: 2 navy and red pair",
        )

    def test_bows_that_orders_need_are_not_ready_for_numbers_of_her_own(self):
        """Of ten navy at home eight are promised: two are there for the fair."""
        line = LineItem(line=1, what=NAVY, count=8, price=900, kinds=((NAVY, 1),))
        order = OrderTaken(order="O1", lines=(line,), due="2026-11-27")
        made = fairs.plan_accepted(
            given(HARBOUR, order), fair="F1", bring={NAVY: 5}, head=HEAD,
            head_now=HEAD, when=NOW,
        )  # fmt: skip

        assert made.said[1:] == ("classic 4 in navy 5 (3 to make)",)

    def test_another_plan_is_said_before_and_after(self):
        """A second plan is said against the first."""
        led = given(
            HARBOUR, FairPlanAccepted(fair="F1", bring=((NAVY, 8), (RED, 2)), head=HEAD)
        )
        made = fairs.plan_accepted(
            led, fair="F1", bring={NAVY: 6}, head=HEAD, head_now=HEAD, when=NOW
        )

        assert made.said == (
            "plan for F1, Harbour Fair: 10 → 6 bows",
            "classic 4 in navy 8 → 6",
            "classic 4 in red 2 → 0",
        )

    def test_a_plan_on_an_older_log_is_stale_unless_forced(self):
        """A plan from before later entries is refused, or taken when she insists."""
        led = given(HARBOUR)
        ask = {"fair": "F1", "bring": {NAVY: 6}, "head": "aaaaaa", "head_now": HEAD}

        with pytest.raises(Stale) as refused:
            fairs.plan_accepted(led, when=NOW, **ask)
        forced = fairs.plan_accepted(led, when=NOW, force=True, **ask)

        assert refused.value.instead == (
            "bows fair plan F1   (look again, then accept)"
        )
        assert events(forced)[0].head == "aaaaaa"
        assert forced.warnings == ("the plan was made from an older log",)

    def test_a_printed_head_and_its_figures_are_the_same(self):
        """Groups of four, as a report prints them, name the same head."""
        printed = "5c1d-9f00-1b2c-77aa"
        ask = {"fair": "F1", "bring": {NAVY: 6}, "head_now": printed, "when": NOW}
        heads = [printed, "5C1D 9F00", "5c1d9f001b2c77aa"]

        for head in heads:
            made = fairs.plan_accepted(given(HARBOUR), head=head, **ask)
            assert (events(made)[0].head, made.warnings) == (printed, ())

    @pytest.mark.parametrize("head", ["", "5c1d", "no head", "g" * 64])
    def test_what_is_no_head_is_refused(self, head):
        """A head is six figures or more of 0-9 and a-f."""
        with pytest.raises(Unreadable):
            fairs.plan_accepted(
                given(HARBOUR), fair="F1", bring={NAVY: 6}, head=head, head_now=HEAD,
                when=NOW,
            )  # fmt: skip

    def test_a_plan_of_nothing_is_refused(self):
        """A plan brings some bows."""
        with pytest.raises(Absurd):
            fairs.plan_accepted(
                given(HARBOUR), fair="F1", bring={NAVY: 0}, head=HEAD, head_now=HEAD,
                when=NOW,
            )  # fmt: skip


class TestPacked:
    def test_what_she_says_is_packed(self):
        """Named bows go from home to the stall."""
        made = fairs.packed(given(HARBOUR), fair="F1", bows={NAVY: 8, RED: 4}, when=NOW)

        assert events(made) == [PACKED.event]
        assert made.said == (
            "packed for F1, Harbour Fair: 12 bows",
            "at home: classic 4 in navy 10 → 2, classic 4 in red 5 → 1",
            "at the stall at Harbour Fair: classic 4 in navy 0 → 8, classic 4 in red "
            "0 → 4",
        )

    def test_without_bows_named_it_is_what_is_made_of_the_plan(self):
        """The plan less what is packed goes in the boxes, as far as it is made."""
        plan = FairPlanAccepted(fair="F1", bring=((NAVY, 8), (RED, 6)), head=HEAD)
        some = FairPacked(fair="F1", bows=((NAVY, 8), (RED, 1)))
        first = fairs.packed(given(HARBOUR, plan), fair="F1", when=NOW)
        rest = fairs.packed(given(HARBOUR, plan, some), fair="F1", when=NOW)

        assert events(first) == [FairPacked(fair="F1", bows=((NAVY, 8), (RED, 5)))]
        assert events(rest) == [FairPacked(fair="F1", bows=((RED, 4),))]
        assert first.warnings == ()
        assert first.said[-1] == "short of the plan: 1 classic 4 in red"

    @pytest.mark.parametrize(
        ("due", "boxed", "lost"),
        [("2026-11-26", 4, 3), ("2026-12-05", 4, 3), ("2026-12-30", 9, 0)],
    )
    def test_what_orders_want_by_then_stays_at_home(self, due, boxed, lost):
        """The plan is packed without it; bows she names are packed, and it is said."""
        line = LineItem(line=1, what=NAVY, count=6, price=900, kinds=((NAVY, 1),))
        order = OrderTaken(order="O1", lines=(line,), due=due)
        plan = FairPlanAccepted(fair="F1", bring=((NAVY, 9),), head=HEAD)
        led = given(HARBOUR, order, plan)
        by_plan = fairs.packed(led, fair="F1", when=NOW)
        named = fairs.packed(led, fair="F1", bows={NAVY: 7}, when=NOW)

        assert events(by_plan)[0].bows == ((NAVY, boxed),)
        assert events(named)[0].bows == ((NAVY, 7),)
        assert named.warnings == (
            (
                f"{lost} of the classic 4 in navy were wanted for O1, due by then",
            ) if lost else ()
        )  # fmt: skip

    def test_bows_packed_for_a_fair_that_was_settled_are_taken_and_remarked_on(self):
        """What she says she packed is a fact; that the fair is over is said."""
        over = FairSettled(fair="F1", back=((NAVY, 8), (RED, 4)))
        led = given(HARBOUR, PACKED, over)
        made = fairs.packed(led, fair="F1", bows={NAVY: 2}, when=NOW)

        assert events(made) == [FairPacked(fair="F1", bows=((NAVY, 2),))]
        assert made.warnings == (
            "F1 was settled in the records: its settlement counts them as brought",
        )

    def test_short_of_the_plan_is_said(self):
        """What the plan still lacks is said."""
        plan = FairPlanAccepted(fair="F1", bring=((NAVY, 8), (RED, 6)), head=HEAD)
        made = fairs.packed(given(HARBOUR, plan), fair="F1", bows={NAVY: 7}, when=NOW)

        assert made.said[-1] == (
            "short of the plan: 1 classic 4 in navy, 6 classic 4 in red"
        )

    def test_nothing_named_and_no_plan_or_a_plan_packed_whole_is_refused(self):
        """With no plan to pack she names the bows."""
        plan = FairPlanAccepted(fair="F1", bring=((NAVY, 8),), head=HEAD)

        with pytest.raises(Unknown):
            fairs.packed(given(HARBOUR), fair="F1", when=NOW)
        with pytest.raises(Ambiguous):
            fairs.packed(given(HARBOUR, plan, PACKED), fair="F1", when=NOW)
        with pytest.raises(Absurd):
            fairs.packed(given(HARBOUR), fair="F1", bows={NAVY: 0}, when=NOW)

    def test_a_top_up_is_told_apart_and_odd_without_a_first_packing(self):
        """Bows brought later are a top-up, even if no first packing was typed."""
        topped = fairs.topped_up(
            given(HARBOUR, PACKED), fair="F1", bows={NAVY: 2}, when=NOW
        )
        odd = fairs.topped_up(given(HARBOUR), fair="F1", bows={NAVY: 2}, when=NOW)

        assert events(topped) == [FairPacked(fair="F1", bows=((NAVY, 2),), top_up=True)]
        assert topped.warnings == ()
        assert odd.warnings == ("nothing was packed for Harbour Fair before",)


def test_packing_typed_late_for_a_fair_called_off_is_taken_with_a_warning():
    """What was packed was packed, whatever became of the fair."""
    led = given(HARBOUR, Fact(FairCalledOff(fair="F1"), "2026-11-24"))
    made = fairs.packed(led, fair="F1", bows={NAVY: 1}, when=NOW)

    assert made.warnings == ("F1 was called off in the records",)
