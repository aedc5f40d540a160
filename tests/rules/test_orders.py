"""Orders: given what happened, when she tells of an order, then these events."""

from __future__ import annotations

import pytest
from hypothesis import given as all_of
from hypothesis import strategies as st

from planner.errors import Absurd, Ambiguous, Unknown
from planner.events.base import Kept
from planner.events.bows import BowsOpening
from planner.events.fields import LineItem
from planner.events.orders import (
    BowsReserved,
    OrderAsked,
    OrderCalledOff,
    OrderChanged,
    OrderHandedOver,
    OrderLostInPost,
    OrderPaid,
    OrderReady,
    OrderRefunded,
    OrderReturned,
    OrderTaken,
)
from planner.events.shop import PersonForgotten, PersonNoted
from planner.ledgers.orders import order_of
from planner.log.people import verify_seal
from planner.rules import handover, orders, returns
from planner.rules.base import Proposal
from planner.rules.pricing import Wanted, wanted

from .selling_toys import NAVY, NOW, RED, SMALL, counting, given

LINE = LineItem(line=1, what=NAVY, count=6, price=800, kinds=((NAVY, 1),))
PAIRS = LineItem(
    line=1, what="navy-red-pair", count=3, price=1501, kinds=((NAVY, 1), (RED, 1))
)
TAKEN = OrderTaken(order="O1", lines=(LINE,), due="2026-11-27")
SIX_NAVY = Wanted(NAVY, ((NAVY, 1),), 6)


def events(proposed: Proposal) -> list[object]:
    """Give the events of a proposal."""
    return [fact.event for fact in proposed.facts]


def take(led, **told) -> Proposal:
    """Take six navy bows for Friday, unless told otherwise."""
    asked = {"items": [SIX_NAVY], "due": "2026-11-27", **told}
    return orders.taken(led, when=NOW, rand=counting(), **asked)


class TestAsked:
    def test_a_quote_takes_the_listed_price_and_holds_fourteen_days(self):
        """A quote takes the listed price and holds fourteen days."""
        made = orders.asked(given(), items=[SIX_NAVY], when=NOW, rand=counting())

        assert events(made) == [
            OrderAsked(order="O1", lines=(LINE,), expires="2026-12-09")
        ]
        assert made.said == (
            "order O1 asked: $48.00, no due day; the price holds to Wed 9 Dec 2026",
            "6 classic 4 in navy at $8.00 = $48.00",
        )

    def test_a_set_is_priced_by_its_bows_where_it_has_no_price_of_its_own(self):
        """A pair without a price of its own costs what its two bows cost."""
        pair = wanted(given(), "pair", 3)
        made = orders.asked(given(), items=[pair], when=NOW, rand=counting())

        line = PAIRS.model_copy(update={"price": 1600})
        assert events(made) == [
            OrderAsked(order="O1", lines=(line,), expires="2026-12-09")
        ]

    def test_a_kind_without_a_price_is_taken_at_nothing_with_a_warning(self):
        """A kind without a price is entered at nothing, and how to tell it is said."""
        mini = Wanted(SMALL, ((SMALL, 1),), 2)
        made = orders.asked(given(), items=[mini], when=NOW, rand=counting())

        assert made.warnings == (
            "no retail price is known for mini 2 in navy; entered as $0.00. "
            "Tell it as in: 6 4in navy @8.50",
        )

    def test_no_bows_are_refused(self):
        """An order without bows is refused with an example."""
        with pytest.raises(Absurd) as refused:
            orders.asked(given(), items=[], when=NOW, rand=counting())

        assert refused.value.instead == "bows order ask 6 4in navy"


class TestTaken:
    def test_lines_due_day_and_deposit_stand_in_one_entry(self):
        """An order and its deposit are one entry."""
        made = take(given(), deposit=2000, how="card", hour="16:00", rush=True)

        assert events(made) == [
            OrderTaken(
                order="O1", lines=(LINE,), due="2026-11-27", hour="16:00", rush=True
            ),
            OrderPaid(order="O1", amount=2000, how="card"),
        ]
        assert made.said == (
            "order O1 taken: $48.00, due Fri 27 Nov 2026 at 16:00",
            "6 classic 4 in navy at $8.00 = $48.00",
            "rush",
            "deposit $20.00 by card; $28.00 to pay",
        )
        assert made.warnings == ()

    def test_a_new_person_is_noted_and_her_name_kept_beside_the_log(self):
        """A new name gets a code in the log; the name itself stands beside it."""
        made = take(given(), new_person="Maren Oak", note="for her twins")

        person, order = events(made)
        name, note = made.private
        assert person == PersonNoted(
            person="P1", kept=(Kept(key=name.key, seal=name.seal),)
        )
        assert order == OrderTaken(
            order="O1", person="P1", lines=(LINE,), due="2026-11-27",
            note=Kept(key=note.key, seal=note.seal),
        )  # fmt: skip
        assert (name.person, name.field, name.text) == ("P1", "name", "Maren Oak")
        assert (note.person, note.field, note.text) == ("P1", "note", "for her twins")
        assert verify_seal(note.seal, salt=note.salt, text=note.text)

    def test_a_known_person_is_named_by_code_in_any_case(self):
        """A person known already is named by code."""
        led = given(PersonNoted(person="P7", kept=()))

        assert events(take(led, person="p7"))[0].person == "P7"

    @pytest.mark.parametrize("code", ["P2", "P7"])
    def test_a_person_unknown_or_forgotten_is_refused(self, code):
        """A code that stands for nobody, or nobody any more, is refused."""
        led = given(PersonNoted(person="P7", kept=()), PersonForgotten(person="P7"))

        with pytest.raises(Unknown):
            take(led, person=code)

    def test_an_asked_order_is_taken_with_its_lines_person_and_day(self):
        """A quote taken keeps its code, person, lines and day."""
        led = given(
            OrderAsked(
                order="O4", person="P1", lines=(LINE,), due="2026-12-01",
                expires="2026-11-24",
            )
        )  # fmt: skip
        made = take(led, items=[], due=None, order="o4", weight=3)

        assert events(made) == [
            OrderTaken(
                order="O4", person="P1", lines=(LINE,), due="2026-12-01", weight=3
            )
        ]
        assert made.said[0] == ("order O4 asked → taken: $48.00, due Tue 1 Dec 2026")
        assert made.warnings == ("the price of O4 held only to Tue 24 Nov 2026",)

    def test_an_order_taken_before_is_not_taken_twice(self):
        """Taking an order twice is asked back, with the way to change it."""
        with pytest.raises(Ambiguous) as refused:
            take(given(TAKEN), order="O1")

        assert refused.value.instead == "bows order change O1 --due fri"

    def test_an_order_without_a_due_day_is_refused(self):
        """An order needs its due day."""
        with pytest.raises(Absurd) as refused:
            take(given(), due=None)

        assert refused.value.instead == "add --due fri"

    def test_a_due_day_gone_by_and_too_large_a_deposit_are_taken_with_warnings(self):
        """What is odd about an order is said and taken."""
        made = take(given(), due="2026-11-20", deposit=5000)

        assert made.warnings == (
            "its due day, Fri 20 Nov 2026, lies before the day it was taken",
            "that is $2.00 more than the order comes to",
        )


class TestChanged:
    def test_lines_are_added_taken_out_and_another_day_told(self):
        """Lines come and go, and each change is said before and after."""
        led = given(TAKEN)
        red = Wanted(RED, ((RED, 1),), 2, 750)
        made = orders.changed(
            led, order="o1", when=NOW, add=[red, Wanted(NAVY, ((NAVY, 1),), 1)],
            remove=[Wanted(NAVY, ((NAVY, 1),), 3)], due="2026-11-30",
        )  # fmt: skip

        assert events(made) == [
            OrderChanged(
                order="O1", due="2026-11-30",
                lines=(
                    LINE.model_copy(update={"count": 4}),
                    LineItem(line=2, what=RED, count=2, price=750, kinds=((RED, 1),)),
                ),
            )
        ]  # fmt: skip
        assert made.said[:4] == (
            "O1: classic 4 in navy 6 → 4",
            "O1: classic 4 in red 0 → 2",
            "total $48.00 → $47.00",
            "due Fri 27 Nov 2026 → due Mon 30 Nov 2026",
        )

    def test_the_hour_of_the_old_day_is_dropped_with_the_day(self):
        """An hour told for one day doesn't pass to another day by itself."""
        led = given(TAKEN.model_copy(update={"hour": "16:00"}))

        moved = orders.changed(led, order="O1", when=NOW, due="2026-11-30")
        weighed = orders.changed(led, order="O1", when=NOW, weight=5)

        assert (events(moved)[0].hour, events(weighed)[0].hour) == (None, "16:00")

    def test_a_quote_is_told_anew(self):
        """A change of a quote leaves it a quote."""
        led = given(OrderAsked(order="O1", lines=(LINE,), expires="2026-12-04"))
        made = orders.changed(led, order="O1", when=NOW, due="2026-12-01")

        assert events(made) == [
            OrderAsked(
                order="O1", lines=(LINE,), due="2026-12-01", expires="2026-12-04"
            )
        ]

    def test_taking_out_more_than_there_is_is_refused(self):
        """More can't be taken out of an order than it has."""
        with pytest.raises(Absurd, match="has only 6 classic 4 in navy to take out"):
            orders.changed(
                given(TAKEN), order="O1", when=NOW,
                remove=[Wanted(NAVY, ((NAVY, 1),), 7)],
            )  # fmt: skip

    def test_nothing_left_or_nothing_changed_is_refused(self):
        """An emptied order is called off instead; no change is no entry."""
        with pytest.raises(Absurd) as emptied:
            orders.changed(given(TAKEN), order="O1", when=NOW, remove=[SIX_NAVY])
        with pytest.raises(Absurd):
            orders.changed(given(TAKEN), order="O1", when=NOW, due="2026-11-27")

        assert emptied.value.instead == "bows order off O1"

    def test_fewer_than_were_handed_over_is_taken_with_a_warning(self):
        """An order cut below what was handed over is odd, and said."""
        led = given(TAKEN, OrderHandedOver(order="O1", bows=((NAVY, 4),)))
        made = orders.changed(
            led, order="O1", when=NOW, remove=[Wanted(NAVY, ((NAVY, 1),), 3)]
        )

        assert made.warnings == (
            "4 classic 4 in navy of it were handed over already, more than it asks "
            "for now",
        )


class TestReadyPaidOff:
    def test_ready_names_what_is_set_aside_and_what_is_not_at_home(self):
        """An order marked ready is believed, even beyond what the records have."""
        led = given(OrderTaken(order="O1", lines=(PAIRS, LINE), due="2026-11-27"))
        large = given(
            TAKEN.model_copy(update={"lines": (LINE.model_copy(update={"count": 12}),)})
        )

        fits = handover.ready(led, order="O1", when=NOW)
        short = handover.ready(large, order="O1", when=NOW)

        assert events(fits) == [OrderReady(order="O1")]
        assert fits.said == (
            "order O1: open → ready: 9 classic 4 in navy, 3 classic 4 in red",
        )
        assert fits.warnings == ()
        assert short.warnings == (
            "the records have only 10 of its 12 classic 4 in navy at home",
        )

    def test_called_off_says_what_is_to_be_given_back_and_what_is_free_again(self):
        """A deposit is a debt, so calling off names what to give back."""
        led = given(TAKEN, OrderPaid(order="O1", amount=2000), OrderReady(order="O1"))
        made = handover.called_off(led, order="O1", when=NOW, why="moved away")

        assert events(made) == [OrderCalledOff(order="O1", why="moved away")]
        assert made.said == (
            "order O1: ready → called off",
            "its deposit of $20.00 is to be given back: bows order refund O1 20.00",
            "no longer set aside: 6 classic 4 in navy",
        )

    def test_paid_without_an_amount_is_all_that_is_left_to_pay(self):
        """Money in without an amount is what was still to pay."""
        led = given(TAKEN, OrderPaid(order="O1", amount=2000))
        made = handover.paid(led, order="O1", when=NOW)

        assert events(made) == [OrderPaid(order="O1", amount=2800)]
        assert made.said == ("order O1: paid $20.00 → $48.00 of $48.00, in cash",)

    def test_paid_beyond_the_total_is_taken_with_a_warning(self):
        """Too much money is still money that came in."""
        led = given(TAKEN, OrderPaid(order="O1", amount=4800))
        made = handover.paid(led, order="O1", when=NOW, money=500, how="bank")

        assert events(made) == [OrderPaid(order="O1", amount=500, how="bank")]
        assert made.warnings == ("that is $5.00 more than the order comes to",)
        with pytest.raises(Absurd):
            handover.paid(led, order="O1", when=NOW)

    def test_refunded_without_an_amount_is_the_deposit_held(self):
        """Money back without an amount is what is held for the order."""
        led = given(TAKEN, OrderPaid(order="O1", amount=2000))
        made = handover.refunded(led, order="O1", when=NOW)
        more = handover.refunded(led, order="O1", when=NOW, money=2500)

        assert events(made) == [OrderRefunded(order="O1", amount=2000)]
        assert made.said == (
            "order O1: $20.00 given back in cash; held for it $20.00 → $0.00",
        )
        assert more.warnings == ("that is $5.00 more than is held for it",)

    def test_given_back_where_nothing_is_held_all_of_it_is_more(self):
        """She gave it, so it is entered; the bows were never paid for."""
        made = handover.refunded(given(TAKEN), order="O1", when=NOW, money=500)

        assert events(made) == [OrderRefunded(order="O1", amount=500)]
        assert made.warnings == ("that is $5.00 more than is held for it",)

    def test_a_single_cent_held_is_given_back_as_well(self):
        """However little, it is the buyer's."""
        led = given(TAKEN, OrderPaid(order="O1", amount=1))
        made = handover.refunded(led, order="O1", when=NOW)

        assert events(made) == [OrderRefunded(order="O1", amount=1)]

    def test_a_single_cent_still_owed_can_be_paid_without_naming_it(self):
        """And a cent more than is owed is said."""
        led = given(TAKEN, OrderPaid(order="O1", amount=4799))
        made = handover.paid(led, order="O1", when=NOW)
        more = handover.paid(led, order="O1", when=NOW, money=2)

        assert events(made) == [OrderPaid(order="O1", amount=1)]
        assert made.warnings == ()
        assert more.warnings == ("that is $0.01 more than the order comes to",)

    def test_nothing_held_and_no_amount_is_refused(self):
        """There is nothing to give back where nothing is held."""
        with pytest.raises(Absurd) as refused:
            handover.refunded(given(TAKEN), order="O1", when=NOW)

        assert refused.value.instead == "bows order refund O1 AMOUNT"

    def test_an_order_that_does_not_exist_is_refused(self):
        """An order never entered is refused with where to look."""
        with pytest.raises(Unknown) as refused:
            handover.ready(given(), order="O9", when=NOW)

        assert refused.value.instead == "bows orders"


class TestHandedOver:
    def test_all_that_is_outstanding_goes_unless_told(self):
        """A hand-over without counts is of all that is outstanding."""
        led = given(TAKEN, OrderReady(order="O1"), OrderPaid(order="O1", amount=4800))
        made = handover.handed_over(led, order="O1", when=NOW, by_post=True)

        assert events(made) == [
            OrderHandedOver(order="O1", bows=((NAVY, 6),), earned=4800, by_post=True)
        ]
        assert made.said == (
            "order O1: 6 classic 4 in navy posted, worth $48.00",
            "at home: classic 4 in navy 10 → 4",
            "O1 is complete",
        )
        assert made.warnings == ()

    def test_never_ready_and_not_paid_are_warnings(self):
        """A hand-over of an order never marked ready is taken, its debt said."""
        made = handover.handed_over(given(TAKEN), order="O1", when=NOW, bows={NAVY: 2})

        assert events(made) == [
            OrderHandedOver(order="O1", bows=((NAVY, 2),), earned=1600)
        ]
        assert made.said[-1] == "still to hand over: 4 classic 4 in navy"
        assert made.warnings == (
            "O1 was never marked ready",
            "$16.00 is still owed for what was handed over: bows order pay O1 16.00",
        )

    def test_more_than_ordered_and_more_than_held_are_taken(self):
        """More than ordered, more than the records hold: taken, and both are said."""
        led = given(TAKEN, OrderReady(order="O1"))
        made = handover.handed_over(led, order="O1", when=NOW, bows={NAVY: 12, RED: 1})

        assert events(made) == [
            OrderHandedOver(order="O1", bows=((NAVY, 12), (RED, 1)), earned=4800)
        ]
        assert made.warnings == (
            "that is 6 more classic 4 in navy than O1 still asks for; they earn "
            "nothing",
            "O1 has no classic 4 in red; it earns nothing",
            "that is 2 more classic 4 in navy than the records have at home; entered "
            "as not yet explained",
            "$48.00 is still owed for what was handed over: bows order pay O1 48.00",
        )

    def test_an_order_only_asked_is_entered_as_taken_in_the_same_entry(self):
        """What was handed over was taken before, so the entry says both."""
        led = given(OrderAsked(order="O1", person="P1", lines=(LINE,)))
        made = handover.handed_over(led, order="O1", when=NOW)

        assert events(made) == [
            OrderTaken(order="O1", person="P1", lines=(LINE,), due="2026-11-25"),
            OrderHandedOver(order="O1", bows=((NAVY, 6),), earned=4800),
        ]
        assert made.warnings[0] == "O1 was only asked; it is entered as taken now too"

    def test_nothing_outstanding_and_nothing_named_is_refused(self):
        """With nothing outstanding she says which bows went."""
        led = given(TAKEN, OrderHandedOver(order="O1", bows=((NAVY, 6),), earned=4800))

        with pytest.raises(Absurd) as refused:
            handover.handed_over(led, order="O1", when=NOW)

        assert refused.value.instead.startswith("bows order hand O1 2 4in navy")

    @all_of(
        price=st.integers(0, 5_000), pairs=st.integers(1, 6), extra=st.integers(0, 6),
        data=st.data(),
    )  # fmt: skip
    def test_parts_handed_over_in_any_split_earn_the_total_exactly(
        self, price, pairs, extra, data
    ):
        """However an order is split, what its parts earn is its total exactly."""
        lines = [PAIRS.model_copy(update={"count": pairs, "price": price})]
        if extra:
            lines.append(LINE.model_copy(update={"line": 2, "count": extra}))
        told = [OrderTaken(order="O1", lines=tuple(lines), due="2026-11-27")]
        while left := order_of(given(*told), "O1").outstanding:
            part = {k: data.draw(st.integers(0, n)) for k, n in left.items()}
            named = part if any(part.values()) else None
            made = handover.handed_over(given(*told), order="O1", when=NOW, bows=named)
            told += events(made)

        assert order_of(given(*told), "O1").earned == pairs * price + extra * 800

    def test_bows_sent_again_after_a_loss_earn_nothing_twice(self):
        """A lost parcel made again without a refund earns nothing more."""
        led = given(
            TAKEN, OrderHandedOver(order="O1", bows=((NAVY, 6),), earned=4800),
            OrderLostInPost(order="O1", bows=((NAVY, 6),)),
        )  # fmt: skip
        made = handover.handed_over(led, order="O1", when=NOW)

        assert events(made) == [
            OrderHandedOver(order="O1", bows=((NAVY, 6),), earned=0)
        ]


class TestAfterwards:
    HANDED = OrderHandedOver(order="O1", bows=((NAVY, 6),), earned=4800, by_post=True)

    def test_lost_in_the_post_is_made_again_unless_refunded(self):
        """A lost parcel opens the order again; a refund calls it off."""
        led = given(TAKEN, self.HANDED)
        again = returns.lost_in_post(led, order="O1", when=NOW)
        refund = returns.lost_in_post(led, order="O1", when=NOW, refund=4800)

        assert events(again) == [OrderLostInPost(order="O1", bows=((NAVY, 6),))]
        assert again.said[-1] == "to make and send again: 6 classic 4 in navy"
        assert events(refund) == [
            OrderLostInPost(order="O1", bows=((NAVY, 6),), refund_owed=4800),
            OrderCalledOff(order="O1", why="lost in the post"),
        ]
        assert refund.said[1:] == (
            "$48.00 is to be given back: bows order refund O1 48.00",
            "order O1: handed over → called off",
        )

    def test_a_part_lost_and_refunded_leaves_the_order_open_and_says_so(self):
        """Four of six were sent; their money goes back, and she still asks for six."""
        sent = OrderHandedOver(order="O1", bows=((NAVY, 4),), earned=3200, by_post=True)
        led = given(TAKEN, sent)
        refund = returns.lost_in_post(led, order="O1", when=NOW, refund=3200)
        again = returns.lost_in_post(led, order="O1", when=NOW)

        lost = OrderLostInPost(order="O1", bows=((NAVY, 4),), refund_owed=3200)
        assert events(refund) == [lost]
        assert refund.warnings == (
            "O1 still asks for them: bows order change O1 --remove ...",
        )
        assert again.warnings == ()

    def test_more_lost_than_were_sent_is_taken_with_a_warning(self):
        """More lost than handed over is odd, not refused."""
        made = returns.lost_in_post(
            given(TAKEN, self.HANDED), order="O1", when=NOW, bows={NAVY: 7}
        )

        assert made.warnings == (
            "that is 1 more classic 4 in navy than the records have as handed over "
            "for O1",
        )

    def test_bows_come_back_to_stock_with_their_worth_owed(self):
        """Bows come back to stock, and what they were sold for is owed."""
        led = given(TAKEN, self.HANDED)
        made = returns.returned(led, order="O1", kind=NAVY, count=2, when=NOW)

        assert events(made) == [
            OrderReturned(order="O1", made=NAVY, count=2, refund_owed=1600)
        ]
        assert made.said == (
            "order O1: 2 classic 4 in navy came back, to stock: at home: classic 4 in "
            "navy 4 → 6",
            "$16.00 is to be given back: bows order refund O1 16.00",
        )

    def test_bows_written_off_come_back_to_no_place(self):
        """Bows come back to be written off, without a refund when so agreed."""
        made = returns.returned(
            given(TAKEN, self.HANDED), order="O1", kind=NAVY, count=1, when=NOW,
            to="written off", refund=0,
        )  # fmt: skip

        assert events(made) == [
            OrderReturned(order="O1", made=NAVY, count=1, to="written off")
        ]
        assert made.said == (
            "order O1: 1 classic 4 in navy came back, written off",
            "no refund is owed",
        )

    def test_an_exchange_is_one_entry_and_leaves_the_money_as_it_was(self):
        """One kind comes back and another goes out for the same worth."""
        led = given(TAKEN, self.HANDED)
        made = returns.exchanged(
            led, order="O1", was=NAVY, became=RED, count=2, when=NOW
        )

        assert events(made) == [
            OrderReturned(order="O1", made=NAVY, count=2, refund_owed=1600),
            OrderHandedOver(order="O1", bows=((RED, 2),), earned=1600),
        ]
        assert order_of(given(TAKEN, self.HANDED, events(made)), "O1").earned == 4800

    def test_an_exchange_before_the_rest_is_handed_over_keeps_the_total(self):
        """An exchange half-way takes nothing from what the rest still earns."""
        told = [TAKEN, OrderHandedOver(order="O1", bows=((NAVY, 2),), earned=1600)]
        swap = returns.exchanged(
            given(*told), order="O1", was=NAVY, became=RED, count=1, when=NOW
        )
        told.append(events(swap))
        rest = handover.handed_over(given(*told), order="O1", when=NOW)

        assert events(rest) == [
            OrderHandedOver(order="O1", bows=((NAVY, 4),), earned=3200)
        ]


class TestReserved:
    def test_a_claim_says_before_and_after_and_keeps_the_other_kinds(self):
        """A claim on one kind leaves the claims on others as they were."""
        led = given(TAKEN, BowsReserved(claimant="O1", bows=((NAVY, 2), (RED, 1))))
        made = handover.reserved(led, claimant="o1", bows={NAVY: 4}, when=NOW)

        assert events(made) == [BowsReserved(claimant="O1", bows=((NAVY, 4), (RED, 1)))]
        assert made.said == ("set aside for O1: classic 4 in navy 2 → 4",)
        assert made.warnings == ()

    def test_a_claim_beyond_what_is_free_is_taken_with_a_warning(self):
        """A claim beyond what home holds is flagged, not refused."""
        ready = OrderReady(order="O1")
        second = TAKEN.model_copy(update={"order": "O2"})
        led = given(TAKEN, ready, second, BowsOpening(bows=((NAVY, 1),)))
        made = handover.reserved(led, claimant="O2", bows={NAVY: 6}, when=NOW)

        assert made.warnings == (
            "only 5 classic 4 in navy at home are free of other claims",
        )

    def test_a_claim_for_nobody_is_refused(self):
        """A claim is for an order or a fair that exists."""
        with pytest.raises(Unknown):
            handover.reserved(given(), claimant="O9", bows={NAVY: 1}, when=NOW)
