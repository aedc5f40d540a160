"""Fairs while they are on and after: takings, counts, what they leave to explain."""

from __future__ import annotations

import pytest

from planner.errors import Absurd, Ambiguous
from planner.events.base import Fact
from planner.events.bows import BowsGiven, BowsMoved, StockCounted
from planner.events.fair import (
    CrowdTold,
    FairCostPaid,
    FairDayClosed,
    FairDayOpened,
    FairSettled,
    FairSoldOut,
)
from planner.events.selling import BowsSold, UnloggedSalesTold
from planner.ledgers.state import Ledgers
from planner.rules import selling, settling, stalls
from planner.rules.base import Proposal
from planner.rules.pricing import Wanted
from planner.values.moments import When

from .selling_toys import (
    HARBOUR,
    NAVY,
    PACKED,
    RED,
    SATURDAY,
    SUNDAY,
    at,
    given,
)

BLIND = "classic-4in:?"
STALL = "stall:F1"


def sale(kind: str, count: int, taken: int, day: str = SATURDAY, **told) -> Fact:
    """Make a sale at the stall."""
    event = BowsSold(bows=((kind, count),), taken=taken, place=STALL, fair="F1", **told)
    return Fact(event, f"{day}T12:00:00-05:00")


def closed(day: str, cash: int, card: int | None = None) -> Fact:
    """Make a day's counted takings."""
    return Fact(FairDayClosed(fair="F1", day=day, cash=cash, card=card), day)


def events(proposed: Proposal) -> list[object]:
    """Give the events of a proposal."""
    return [fact.event for fact in proposed.facts]


def accounts(led: Ledgers, kind: str) -> dict[str, int]:
    """Give a kind's accounts that hold anything."""
    return {k: n for k, n in led.bows.balance(kind).accounts.items() if n}


class TestDays:
    def test_a_day_opened_says_its_float(self):
        """The change in the till is said."""
        when = at(SATURDAY, "09:45")
        made = stalls.day_opened(
            given(HARBOUR, PACKED), fair="F1", when=when, float_=4000
        )

        assert made.facts == (
            Fact(FairDayOpened(fair="F1", day=SATURDAY, float_=4000), when.text),
        )
        assert made.said == (
            "Harbour Fair opened on Sat 28 Nov 2026, $40.00 in the till",
        )
        assert made.warnings == ()

    def test_a_day_that_is_none_of_its_days_and_nothing_packed_are_warnings(self):
        """An odd day is taken."""
        made = stalls.day_opened(given(HARBOUR), fair="F1", when=When("2026-11-30"))

        assert made.warnings == (
            "Mon 30 Nov 2026 is no day of Harbour Fair (Sat 28 Nov 2026 10:00-16:00, "
            "Sun 29 Nov 2026 11:00-15:00)",
            "nothing was packed for it in the records: bows fair pack F1",
        )

    def test_takings_over_the_typed_sales_say_that_sales_were_not_typed(self):
        """14.00 over the typed sales were sales not typed."""
        led = given(HARBOUR, PACKED, sale(NAVY, 2, 1800), sale(RED, 1, 900, how="card"))
        made = stalls.day_closed(
            led, fair="F1", when=at(SATURDAY, "16:20"), cash=3200, card=800
        )

        assert events(made) == [
            FairDayClosed(fair="F1", day=SATURDAY, cash=3200, card=800)
        ]
        assert made.said == (
            "Harbour Fair closed on Sat 28 Nov 2026: $32.00 in cash, $8.00 by card; "
            "typed sales $27.00",
        )
        assert made.warnings == (
            "$14.00 more in cash than the typed sales: sales not typed",
            "$1.00 less by card than the typed sales",
        )

    def test_a_day_closed_the_morning_after_is_dated_by_its_own_day(self):
        """Takings counted the next morning are those of the day told."""
        made = stalls.day_closed(
            given(HARBOUR, PACKED), fair="F1", when=at(SUNDAY, "08:00"), cash=1000,
            day=SATURDAY,
        )  # fmt: skip

        assert made.facts == (
            Fact(FairDayClosed(fair="F1", day=SATURDAY, cash=1000), SATURDAY),
        )

    def test_a_second_count_of_a_day_is_taken_with_a_warning(self):
        """Takings counted again hold from now on, against the same typed sales."""
        led = given(HARBOUR, PACKED, sale(NAVY, 2, 1800), closed(SATURDAY, 1900))
        made = stalls.day_closed(
            led, fair="F1", when=When(SATURDAY), cash=1800, day=SATURDAY
        )

        assert made.warnings == (
            "Sat 28 Nov 2026 was closed already; this count holds from now on",
        )

    def test_sold_out_says_what_the_records_still_have(self):
        """Sold out with bows on record means sales not typed."""
        led = given(HARBOUR, PACKED, sale(NAVY, 5, 4500))
        made = stalls.sold_out(
            led, fair="F1", kind=NAVY, when=at(SATURDAY, "14:00"), at="14:00"
        )

        assert events(made) == [
            FairSoldOut(fair="F1", made=NAVY, day=SATURDAY, at="14:00")
        ]
        assert made.said == (
            "classic 4 in navy sold out at Harbour Fair, Sat 28 Nov 2026 from 14:00 on",
        )
        assert made.warnings == (
            "the records still have 3 on the stall: sales not typed?",
        )

    def test_a_cost_adds_to_the_fair_s_costs(self):
        """Costs add up, and a fee unlike the one told is odd."""
        led = given(HARBOUR, FairCostPaid(fair="F1", what="parking", amount=500))
        made = stalls.cost_paid(
            led, fair="F1", what="fee", money=5500, when=at(SATURDAY, "09:00")
        )

        assert events(made) == [FairCostPaid(fair="F1", what="fee", amount=5500)]
        assert made.said == ("fee for Harbour Fair, $55.00: its costs $5.00 → $60.00",)
        assert made.warnings == ("its fee was told as $60.00",)

    def test_the_crowd_is_told_as_it_turned_out(self):
        """The crowd that came is said against the one expected."""
        made = stalls.crowd_told(
            given(HARBOUR), fair="F1", crowd=5, when=at(SATURDAY, "17:00")
        )

        assert events(made) == [CrowdTold(fair="F1", crowd=5)]
        assert made.said == ("crowd at Harbour Fair: usual → packed",)


class TestSettled:
    def test_a_fair_that_adds_up_leaves_nothing_to_explain(self):
        """Brought less sold is back: nothing is missing, nothing unlogged."""
        led = given(HARBOUR, PACKED, sale(NAVY, 5, 4500), sale(RED, 4, 3600))
        when = at(SUNDAY, "19:00")
        made = settling.settled(
            led, fair="F1", back={NAVY: 3}, when=when, weather="fine", note="sunny"
        )

        assert made.facts == (
            Fact(
                StockCounted(place=STALL, counts=((NAVY, 3),), whole=True, fair="F1"),
                when.text,
            ),
            Fact(
                BowsMoved(bows=((NAVY, 3),), source=STALL, to="home", fair="F1"),
                when.text,
            ),
            Fact(
                FairSettled(fair="F1", back=((NAVY, 3),), weather="fine", note="sunny"),
                when.text,
            ),
        )
        assert made.said == (
            "F1, Harbour Fair: packed → settled: 12 brought, 9 typed as sold, 3 came "
            "back",
            "at home: classic 4 in navy 2 → 5",
        )
        assert made.warnings == ()

    def test_missing_bows_are_bounded_by_the_takings(self):
        """Of three missing at 9.00 each, takings 18.00 over allow exactly two."""
        led = given(
            HARBOUR, PACKED, sale(NAVY, 5, 4500), closed(SATURDAY, 5400),
            closed(SUNDAY, 900),
        )  # fmt: skip
        made = settling.settled(
            led, fair="F1", back={NAVY: 2, RED: 2}, when=at(SUNDAY, "19:00")
        )

        assert events(made)[-1] == FairSettled(
            fair="F1", back=((NAVY, 2), (RED, 2)),
            unlogged=((NAVY, 0, 1), (RED, 1, 2)),
        )  # fmt: skip
        assert made.said[2:] == (
            "takings $18.00 over the typed sales",
            "classic 4 in navy: 1 missing; 0 to 1 may have been sold without being "
            "typed",
            "classic 4 in red: 2 missing; 1 to 2 may have been sold without being "
            "typed",
        )

    @pytest.mark.parametrize(
        ("back", "beyond"),
        [({NAVY: 2, RED: 4}, "$6.00"), ({NAVY: 3, RED: 4}, "$15.00")],
    )
    def test_money_that_no_missing_bow_explains_is_said(self, back, beyond):
        """15.00 over the typed sales; one bow of 9.00 is missing, or none."""
        led = given(
            HARBOUR, PACKED, sale(NAVY, 5, 4500), closed(SATURDAY, 6000),
            closed(SUNDAY, 0),
        )  # fmt: skip
        made = settling.settled(led, fair="F1", back=back, when=at(SUNDAY, "19:00"))

        assert made.said[2] == (
            f"takings $15.00 over the typed sales; {beyond} of that no missing bow "
            "explains"
        )

    def test_bows_given_and_colours_not_noticed_explain_their_share_first(self):
        """A gift and two sales without colour leave one bow to explain."""
        gift = Fact(
            BowsGiven(bows=((RED, 1),), place=STALL, how="sample"),
            f"{SATURDAY}T13:00:00-05:00",
        )
        led = given(
            HARBOUR, PACKED, sale(BLIND, 2, 1800), gift, closed(SATURDAY, 1800),
            closed(SUNDAY, 900),
        )  # fmt: skip
        made = settling.settled(
            led, fair="F1", back={NAVY: 6, RED: 2}, when=at(SUNDAY, "19:00")
        )

        assert events(made)[-1].unlogged == ((NAVY, 0, 1), (RED, 0, 1))

    def test_takings_not_all_counted_don_t_bound_the_sales(self):
        """With Sunday not counted every missing bow may have been sold."""
        led = given(HARBOUR, PACKED, closed(SATURDAY, 0))
        made = settling.settled(
            led, fair="F1", back={NAVY: 6, RED: 4}, when=at(SUNDAY, "19:00")
        )

        assert events(made)[-1].unlogged == ((NAVY, 0, 2),)
        assert made.said[-2:] == (
            "the takings were not all counted, so they don't bound the sales",
            "classic 4 in navy: 2 missing; 0 to 2 may have been sold without being "
            "typed",
        )

    def test_money_counted_on_a_day_not_announced_bounds_the_sales_too(self):
        """Both days took nothing, but 9.00 were counted on Wednesday: one bow's."""
        led = given(
            HARBOUR, PACKED, closed(SATURDAY, 0), closed(SUNDAY, 0),
            closed("2026-11-25", 900),
        )  # fmt: skip
        made = settling.settled(
            led, fair="F1", back={NAVY: 6, RED: 4}, when=at(SUNDAY, "19:00")
        )

        assert events(made)[-1].unlogged == ((NAVY, 1, 1),)

    def test_card_sales_typed_but_not_counted_don_t_bound_them_either(self):
        """Where card money was taken and not counted, takings say nothing."""
        led = given(
            HARBOUR, PACKED, sale(NAVY, 1, 900, how="card"), closed(SATURDAY, 0),
            closed(SUNDAY, 0, 0),
        )  # fmt: skip
        made = settling.settled(
            led, fair="F1", back={NAVY: 6, RED: 4}, when=at(SUNDAY, "19:00")
        )

        assert events(made)[-1].unlogged == ((NAVY, 0, 1),)

    def test_takings_that_leave_no_room_call_no_bow_sold(self):
        """With no money over, missing bows were not sold."""
        led = given(HARBOUR, PACKED, closed(SATURDAY, 0), closed(SUNDAY, 0))
        made = settling.settled(
            led, fair="F1", back={NAVY: 6, RED: 4}, when=at(SUNDAY, "19:00")
        )

        assert events(made)[-1].unlogged == ()
        assert made.said[-2:] == (
            "the takings leave no room for sales not typed",
            "classic 4 in navy: 2 missing; none sold without being typed",
        )

    def test_more_back_than_the_records_have_is_taken_with_a_warning(self):
        """More home than was packed is a packing not typed, not an error."""
        made = settling.settled(
            given(HARBOUR, PACKED), fair="F1", back={NAVY: 9, RED: 4},
            when=at(SATURDAY, "19:00"),
        )  # fmt: skip

        assert made.warnings == (
            "more came back than the records have on the stall: 1 classic 4 in navy; "
            "entered as not yet explained",
            "Harbour Fair lasts until Sun 29 Nov 2026",
        )

    def test_nothing_came_back_is_a_count_too(self):
        """An empty stall is counted through as empty, and nothing moves."""
        led = given(HARBOUR, PACKED, sale(NAVY, 8, 7200), sale(RED, 4, 3600))
        made = settling.settled(led, fair="F1", back={}, when=at(SUNDAY, "19:00"))

        assert events(made) == [
            StockCounted(place=STALL, counts=(), whole=True, fair="F1"),
            FairSettled(fair="F1", back=()),
        ]

    @pytest.mark.parametrize("when", [When(SUNDAY), at(SUNDAY, "19:00")])
    def test_the_count_stands_before_the_move_home_however_it_is_dated(self, when):
        """Dated by a day or by the minute, what came back is home and nowhere else."""
        told = [HARBOUR, PACKED, sale(NAVY, 5, 4500)]
        made = settling.settled(
            given(*told), fair="F1", back={NAVY: 2, RED: 4}, when=when
        )
        led = given(*told, list(made.facts))

        assert accounts(led, NAVY) == {
            "opening": -10, "at:home": 4, "sold": 5, "not yet explained": 1,
        }  # fmt: skip
        assert accounts(led, RED) == {"opening": -5, "at:home": 5}

    @pytest.mark.parametrize("when", [When(SUNDAY), at(SUNDAY, "19:00")])
    def test_a_sale_typed_after_settling_explains_the_missing_bow(self, when):
        """A sale remembered on Sunday night clears what settling left unexplained."""
        told = [HARBOUR, PACKED, sale(NAVY, 5, 4500)]
        settled = settling.settled(
            given(*told), fair="F1", back={NAVY: 2, RED: 4}, when=when
        )
        told.append(list(settled.facts))
        late = selling.sold(
            given(*told), items=[Wanted(NAVY, ((NAVY, 1),), 1)],
            when=at(SUNDAY, "21:00"),
        )  # fmt: skip
        led = given(*told, list(late.facts))

        assert accounts(led, NAVY) == {"opening": -10, "at:home": 4, "sold": 6}

    def test_a_fair_settled_before_is_asked(self):
        """Settling twice would bring the same bows home twice."""
        told = [HARBOUR, PACKED]
        made = settling.settled(
            given(*told), fair="F1", back={NAVY: 8}, when=at(SUNDAY, "19:00")
        )

        with pytest.raises(Ambiguous) as asked:
            settling.settled(
                given(*told, list(made.facts)), fair="F1", back={NAVY: 8},
                when=at(SUNDAY, "20:00"),
            )  # fmt: skip
        assert asked.value.instead.startswith("bows undo 4, then settle it again")


class TestUnloggedTold:
    def test_sales_she_is_sure_of_explain_what_settling_left(self):
        """Told at a fair's day, they clear the missing bows and touch no money."""
        told = [HARBOUR, PACKED, closed(SATURDAY, 900), closed(SUNDAY, 0)]
        settled = settling.settled(
            given(*told), fair="F1", back={NAVY: 7, RED: 4}, when=at(SUNDAY, "19:00")
        )
        told.append(list(settled.facts))
        made = settling.unlogged_told(
            given(*told), fair="F1", bows={NAVY: 1}, when=at("2026-11-30", "20:00")
        )
        led = given(*told, list(made.facts))

        assert made.facts == (
            Fact(
                UnloggedSalesTold(
                    fair="F1", bows=((NAVY, 1),), place=STALL, day=SUNDAY
                ),
                SUNDAY,
            ),
        )
        assert made.said == (
            "sold at Harbour Fair without being typed: 1 classic 4 in navy (1 bow)",
        )
        assert made.warnings == ()
        assert accounts(led, NAVY) == {"opening": -10, "at:home": 9, "sold": 1}

    def test_more_than_counts_and_takings_allow_is_taken_with_a_warning(self):
        """She may be sure of more than the records allow."""
        told = [HARBOUR, PACKED, closed(SATURDAY, 900), closed(SUNDAY, 0)]
        settled = settling.settled(
            given(*told), fair="F1", back={NAVY: 6, RED: 4}, when=at(SUNDAY, "19:00")
        )
        made = settling.unlogged_told(
            given(*told, list(settled.facts)), fair="F1", bows={NAVY: 2},
            when=at(SUNDAY, "20:00"), day=SATURDAY,
        )  # fmt: skip

        assert made.warnings == (
            "counts and takings allow at most 1 classic 4 in navy",
        )

    def test_no_bows_are_refused(self):
        """Sales told name their bows."""
        with pytest.raises(Absurd):
            settling.unlogged_told(
                given(HARBOUR), fair="F1", bows={}, when=at(SUNDAY, "20:00")
            )
