"""Selling: given what happened, when she tells of a sale, then these events."""

from __future__ import annotations

import pytest

from planner.errors import Absurd, Ambiguous, Unknown
from planner.events.base import Fact
from planner.events.fair import FairCalledOff, FairDayClosed
from planner.events.selling import BoutiqueNoted, BowsSold, CostPaid, SaleTakenBack
from planner.events.shop import PriceSet
from planner.ledgers.money import SHOP
from planner.rules import selling
from planner.rules.base import Proposal
from planner.rules.pricing import Wanted, wanted
from planner.values.moments import When

from .selling_toys import (
    HARBOUR,
    NAVY,
    NOW,
    PACKED,
    RED,
    SATURDAY,
    SMALL,
    at,
    fair_days,
    given,
)


def unit(kind: str, count: int, price: int | None = None) -> Wanted:
    """Name bows of a kind."""
    return Wanted(kind, ((kind, 1),), count, price)


def events(proposed: Proposal) -> list[object]:
    """Give the events of a proposal."""
    return [fact.event for fact in proposed.facts]


class TestSold:
    def test_a_sale_on_no_fair_day_is_from_home_at_the_retail_price(self):
        """On an ordinary day bows go from home at the retail price."""
        made = selling.sold(given(HARBOUR), items=[unit(NAVY, 3)], when=NOW)

        assert made.facts == (
            Fact(BowsSold(bows=((NAVY, 3),), taken=2400, place="home"), NOW.text),
        )
        assert made.said == (
            "sold 3 classic 4 in navy at home for $24.00 in cash",
            "at home: classic 4 in navy 10 → 7",
        )
        assert made.warnings == ()

    def test_a_sale_on_a_fair_day_is_from_its_stall_at_the_fair_price(self):
        """On a fair's day bows go from its stall at the fair's price."""
        when = at(SATURDAY, "11:30")
        made = selling.sold(given(HARBOUR, PACKED), items=[unit(NAVY, 3)], when=when)

        assert made.facts == (
            Fact(
                BowsSold(bows=((NAVY, 3),), taken=2700, place="stall:F1", fair="F1"),
                when.text,
            ),
        )
        assert made.said[1] == ("at the stall at Harbour Fair: classic 4 in navy 8 → 5")
        assert made.warnings == ()

    def test_home_can_be_named_on_a_fair_day(self):
        """A sale from home on a fair's day is from home when she says so."""
        made = selling.sold(
            given(HARBOUR, PACKED), items=[unit(NAVY, 1)], when=at(SATURDAY, "11:30"),
            place="home",
        )  # fmt: skip

        assert events(made) == [BowsSold(bows=((NAVY, 1),), taken=800, place="home")]

    @pytest.mark.parametrize("closed", [True, False])
    def test_a_sale_typed_after_closing_is_dated_by_the_day(self, closed):
        """A sale remembered in the evening lies before the counted takings."""
        told = [HARBOUR, PACKED]
        if closed:
            day_closed = FairDayClosed(fair="F1", day=SATURDAY, cash=2700)
            told.append(Fact(day_closed, at(SATURDAY, "15:00").text))
        when = at(SATURDAY, "15:30" if closed else "20:00")
        made = selling.sold(given(*told), items=[unit(NAVY, 3)], when=when)

        assert [fact.happened for fact in made.facts] == [SATURDAY]
        assert made.said[-1] == "dated Sat 28 Nov 2026, before the stall was closed"

    def test_a_set_is_remembered_as_sold(self):
        """A pair sold posts both its bows and is remembered as a pair."""
        pair = wanted(given(), "pair", 2)
        made = selling.sold(given(), items=[pair], when=NOW, taken=3000)

        assert events(made) == [
            BowsSold(
                bows=((NAVY, 2), (RED, 2)), taken=3000, place="home",
                what="navy-red-pair",
            )
        ]  # fmt: skip

    def test_a_set_among_other_bows_is_remembered_too(self):
        """The money and the fee are shared by list prices, to the cent."""
        led = given(HARBOUR, PACKED)
        items = [unit(NAVY, 1), wanted(led, "pair", 2), unit(RED, 3)]
        when = at(SATURDAY, "11:30")
        made = selling.sold(led, items=items, when=when, taken=6001, how="card")
        whole = selling.sold(led, items=[unit(NAVY, 3), unit(RED, 5)], when=when,
                             taken=6001, how="card")  # fmt: skip
        pairs, rest = events(made)

        assert (pairs.what, pairs.bows) == ("navy-red-pair", ((NAVY, 2), (RED, 2)))
        assert (rest.what, rest.bows) == (None, ((NAVY, 1), (RED, 3)))
        # Two pairs and four bows at nine each: half of the money either way.
        assert (pairs.taken, rest.taken) == (3001, 3000)
        assert pairs.fee + rest.fee == events(whole)[0].fee > 0
        assert made.said[1:] == whole.said[1:]

    def test_a_colour_not_noticed_takes_the_pattern_s_price(self):
        """A bow sold without noticing its colour is priced by its pattern."""
        led = given(HARBOUR, PACKED)
        blind = wanted(led, "4in ?", 2)
        made = selling.sold(led, items=[blind], when=at(SATURDAY, "11:30"))

        assert events(made) == [
            BowsSold(
                bows=(("classic-4in:?", 2),), taken=1800, place="stall:F1", fair="F1"
            )
        ]
        assert made.warnings == ()

    def test_more_unnoticed_than_all_colours_together_is_taken_with_a_warning(self):
        """Unnoticed bows are held against all colours of their pattern."""
        led = given(HARBOUR, PACKED)
        blind = wanted(led, "4in ?", 13)
        made = selling.sold(led, items=[blind], when=at(SATURDAY, "11:30"))

        assert made.warnings == (
            "that is 1 more classic 4 in (colour not noticed) than the records have at "
            "the stall at Harbour Fair; entered as not yet explained",
        )

    def test_a_card_sale_carries_the_fee_rounded_half_up(self):
        """2.6 % of 24.00 and 0.10 are 0.724, so 0.72."""
        made = selling.sold(given(), items=[unit(NAVY, 3)], when=NOW, how="card")

        assert events(made) == [
            BowsSold(bows=((NAVY, 3),), taken=2400, place="home", how="card", fee=72)
        ]
        assert made.said[0].endswith("for $24.00 by card (fee $0.72)")

    def test_prices_told_apart_add_up(self):
        """A price told for one line stands beside the list for the other."""
        made = selling.sold(given(), items=[unit(NAVY, 2, 700), unit(RED, 1)], when=NOW)

        assert events(made) == [
            BowsSold(bows=((NAVY, 2), (RED, 1)), taken=2200, place="home")
        ]

    def test_the_price_is_the_one_of_the_sale_s_day(self):
        """A late entry takes the price of its own day, not today's."""
        led = given(
            Fact(PriceSet(what=NAVY, channel="retail", price=950), "2026-11-24")
        )
        late = selling.sold(led, items=[unit(NAVY, 1)], when=When("2026-11-23"))
        same_day = selling.sold(led, items=[unit(NAVY, 1)], when=When("2026-11-24"))

        assert [p.facts[0].event.taken for p in (late, same_day)] == [800, 950]

    def test_more_than_the_records_hold_and_no_price_are_taken_with_warnings(self):
        """A sale of bows the records don't have is a sale all the same."""
        made = selling.sold(given(), items=[unit(SMALL, 2)], when=NOW)

        assert events(made) == [BowsSold(bows=((SMALL, 2),), taken=0, place="home")]
        assert made.warnings == (
            "no retail price is known for mini 2 in navy; entered as $0.00. Tell it as "
            "in: bows sold 3 4in navy for 24.00",
            "that is 2 more mini 2 in navy than the records have at home; entered as "
            "not yet explained",
        )

    def test_a_stall_sale_before_or_after_its_fair_is_taken_with_a_warning(self):
        """A day that is no day of the fair is odd, not refused."""
        led = given(HARBOUR, PACKED)
        before = selling.sold(
            led, items=[unit(NAVY, 1)], when=When("2026-11-27"), place="stall:F1"
        )
        after = selling.sold(
            led, items=[unit(NAVY, 1)], when=When("2026-11-30"), place="stall:F1"
        )

        assert before.warnings == ("Harbour Fair begins only on Sat 28 Nov 2026",)
        assert after.warnings == (
            "Harbour Fair was over on Sun 29 Nov 2026; if they were sold then: bows "
            "undo, and once more with --on 2026-11-29",
        )

    def test_on_its_first_and_last_day_a_fair_is_on_and_between_them_if_it_opens(self):
        """A fair of two Saturdays has no stall on the Sunday between."""
        days = fair_days(
            ("2026-11-28", "10:00", "16:00"), ("2026-12-05", "10:00", "16:00")
        )
        led = given(HARBOUR.model_copy(update={"days": days}), PACKED)

        def warned(day: str) -> tuple[str, ...]:
            when = at(day, "11:30")
            asked = {"items": [unit(NAVY, 1)], "when": when, "place": "stall:F1"}
            return selling.sold(led, **asked).warnings

        assert warned("2026-11-28") == warned("2026-12-05") == ()
        assert warned("2026-11-29") == ("Sun 29 Nov 2026 is no day of Harbour Fair",)

    def test_a_stall_never_packed_is_taken_with_a_warning(self):
        """A fair day with nothing packed on record still sells from its stall."""
        made = selling.sold(
            given(HARBOUR), items=[unit(NAVY, 1)], when=at(SATURDAY, "11:30")
        )

        assert events(made)[0].place == "stall:F1"
        assert made.warnings == (
            "nothing was packed for Harbour Fair in the records: bows fair pack F1",
            "that is 1 more classic 4 in navy than the records have at the stall at "
            "Harbour Fair; entered as not yet explained",
        )

    def test_two_fairs_on_one_day_are_told_apart_by_the_packed_boxes_or_asked(self):
        """Of two fairs on a day the one packed for is meant; else she is asked."""
        other = HARBOUR.model_copy(update={"fair": "F2", "name": "Mill Market"})
        when = at(SATURDAY, "11:30")
        packed = selling.sold(
            given(HARBOUR, other, PACKED), items=[unit(NAVY, 1)], when=when
        )

        assert events(packed)[0].fair == "F1"
        with pytest.raises(Ambiguous) as asked:
            selling.sold(given(HARBOUR, other), items=[unit(NAVY, 1)], when=when)
        assert asked.value.instead == "add --at F1   (or --at home)"

    def test_a_fair_called_off_sells_nothing(self):
        """A sale on the day of a fair called off is from home."""
        led = given(HARBOUR, FairCalledOff(fair="F1"))
        made = selling.sold(led, items=[unit(NAVY, 1)], when=at(SATURDAY, "11:30"))

        assert events(made)[0].place == "home"

    def test_no_bows_are_refused(self):
        """A sale names its bows."""
        with pytest.raises(Absurd):
            selling.sold(given(), items=[], when=NOW)

    def test_a_batch_that_does_not_exist_is_refused(self):
        """A batch named must be on record."""
        with pytest.raises(Unknown):
            selling.sold(given(), items=[unit(NAVY, 1)], when=NOW, batch="B9")


class TestTakenBack:
    def test_bows_come_back_at_the_listed_price(self):
        """Bows brought back return their listed price unless another is told."""
        sale = BowsSold(bows=((NAVY, 2),), taken=1800, place="stall:F1", fair="F1")
        led = given(HARBOUR, PACKED, Fact(sale, at(SATURDAY, "11:00").text))
        made = selling.taken_back(
            led, bows={NAVY: 1}, returned=None, when=at(SATURDAY, "12:00")
        )

        assert events(made) == [
            SaleTakenBack(bows=((NAVY, 1),), returned=900, place="stall:F1", fair="F1")
        ]
        assert made.said == (
            "taken back 1 classic 4 in navy at the stall at Harbour Fair; $9.00 "
            "returned",
            "at the stall at Harbour Fair: classic 4 in navy 6 → 7",
        )
        assert made.warnings == ()

    def test_more_than_was_sold_is_taken_with_a_warning(self):
        """A bow brought back though no sale was typed is taken."""
        made = selling.taken_back(
            given(HARBOUR, PACKED), bows={NAVY: 1}, returned=500,
            when=at(SATURDAY, "12:00"),
        )  # fmt: skip

        assert made.warnings == (
            "that is 1 more classic 4 in navy than the records have sold at the stall "
            "at Harbour Fair",
        )


class TestCostPaid:
    def test_a_cost_is_entered_with_its_note(self):
        """A cost is entered as told."""
        made = selling.cost_paid(
            given(), what="postage", money=1240, when=NOW, note="stamps"
        )

        assert events(made) == [CostPaid(what="postage", amount=1240, note="stamps")]
        assert made.said == ("cost paid: postage, $12.40",)

    def test_a_cost_that_names_a_fair_says_where_it_belongs(self):
        """A cost naming a fair is taken, and its better place said."""
        made = selling.cost_paid(
            given(HARBOUR), what="parking harbour fair", money=800, when=NOW
        )

        assert made.warnings == (
            "if it is a cost of Harbour Fair: bows undo, then bows fair cost F1 "
            "parking harbour fair 8.00",
        )


def test_a_late_stall_sale_explains_the_takings_and_adds_nothing_to_them():
    """A sale typed the evening after closing leaves the counted cash as it was."""
    closed = FairDayClosed(fair="F1", day=SATURDAY, cash=2700)
    told = [HARBOUR, PACKED, Fact(closed, at(SATURDAY, "16:10").text)]
    made = selling.sold(given(*told), items=[unit(NAVY, 3)], when=at(SATURDAY, "20:00"))
    led = given(*told, list(made.facts))

    accounts = led.money.balance(f"F1/{SATURDAY}").accounts
    assert {k: n for k, n in accounts.items() if n} == {
        "sales:fair": -2700,
        "cash": 2700,
    }
    assert led.money.balance(SHOP).accounts == {}


def test_a_boutique_is_a_place_to_sell_at():
    """A sale told at a boutique is from there, at retail."""
    led = given(BoutiqueNoted(place="boutique:thimble", name="Thimble", basis_points=0))
    made = selling.sold(led, items=[unit(RED, 1)], when=NOW, place="boutique:thimble")

    assert events(made) == [
        BowsSold(bows=((RED, 1),), taken=800, place="boutique:thimble")
    ]
