"""An order's state, debts and claims, read from its page in order of happening."""

from __future__ import annotations

import pytest

from planner.events.base import Event
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
from planner.ledgers.orders import Order, open_orders, order_of
from planner.ledgers.stock import Claim, claims, stock

from .telling import told

NAVY, RED = "classic-4in:navy", "classic-4in:red"
MON, TUE, WED, THU = "2026-11-02", "2026-11-03", "2026-11-04", "2026-11-05"
LINES = (
    LineItem(line=1, what=NAVY, count=4, price=850, kinds=((NAVY, 1),)),
    LineItem(line=2, what="pair", count=1, price=1500, kinds=((NAVY, 1), (RED, 1))),
)
ASKED = OrderAsked(order="O3", lines=LINES, due="2026-11-20", expires="2026-11-09")
TAKEN = OrderTaken(order="O3", lines=LINES, due="2026-11-20")
READY = OrderReady(order="O3")
OFF = OrderCalledOff(order="O3")
FEWER = OrderChanged(order="O3", lines=LINES[:1], due="2026-11-21", hour="12:00")


def _handed(navy: int, red: int = 0, earned: int = 0) -> OrderHandedOver:
    bows = tuple(pair for pair in ((NAVY, navy), (RED, red)) if pair[1])
    return OrderHandedOver(order="O3", bows=bows, earned=earned)


def _order(*facts: tuple[Event, str]) -> Order:
    return order_of(told(*facts), "O3")


@pytest.mark.parametrize(
    ("facts", "state"),
    [
        ([(ASKED, MON)], "asked"),
        ([(ASKED, MON), (TAKEN, TUE)], "open"),
        ([(TAKEN, TUE), (ASKED, MON)], "open"),
        ([(TAKEN, MON), (READY, WED)], "ready"),
        ([(READY, WED), (TAKEN, MON)], "ready"),
        ([(TAKEN, MON), (READY, TUE), (FEWER, WED)], "open"),
        ([(TAKEN, MON), (READY, TUE), (_handed(3), WED)], "ready"),
        ([(TAKEN, MON), (_handed(3), WED), (_handed(2, 1), THU)], "handed over"),
        ([(TAKEN, MON), (_handed(4), WED), (FEWER, THU)], "handed over"),
        ([(TAKEN, MON), (OFF, TUE)], "called off"),
        ([(OFF, TUE), (TAKEN, MON)], "called off"),
        ([(TAKEN, MON), (OFF, TUE), (TAKEN, WED)], "open"),
    ],
)
def test_an_order_is_asked_open_ready_handed_over_or_called_off(
    facts: list[tuple[Event, str]], state: str
) -> None:
    """In the order things happened, whatever order they were typed in."""
    assert _order(*facts).state == state


def test_a_quote_typed_after_the_order_it_led_to_changes_nothing() -> None:
    """The terms are those she agreed to on Tuesday."""
    quote = ASKED.model_copy(update={"lines": LINES[:1], "due": "2026-12-24"})
    order = _order((TAKEN, TUE), (quote, MON))

    assert (order.lines, order.due) == (LINES, "2026-11-20")


def test_the_newest_terms_hold() -> None:
    """A change is the new whole."""
    order = _order((FEWER, WED), (TAKEN, MON))

    assert (order.lines, order.due, order.hour) == (LINES[:1], "2026-11-21", "12:00")


def test_what_is_outstanding_is_wanted_less_handed_over() -> None:
    """Sets are counted bow by bow."""
    order = _order((TAKEN, MON), (_handed(2), WED))

    assert order.wanted == {NAVY: 5, RED: 1}
    assert order.outstanding == {NAVY: 3, RED: 1}


def test_the_days_bows_were_handed_over_are_kept_as_days() -> None:
    """Whether she told an hour or not, in order of happening."""
    order = _order(
        (TAKEN, MON), (_handed(2, 1), f"{THU}T18:30:00-05:00"), (_handed(3), WED)
    )

    assert order.handed_days == [WED, THU]


def test_a_parcel_lost_in_the_post_is_outstanding_again() -> None:
    """Handed over for nothing: the order is open again."""
    lost = OrderLostInPost(order="O3", bows=((NAVY, 5), (RED, 1)))
    order = _order((TAKEN, MON), (_handed(5, 1), WED), (lost, THU))

    assert (order.state, order.outstanding) == ("open", {NAVY: 5, RED: 1})


def test_a_deposit_is_a_debt_until_the_bows_are_handed_over() -> None:
    """Paid 30.00, got back 5.00, 8.50 worth handed over: 16.50 are owed in bows."""
    led = told(
        (TAKEN, MON), (OrderPaid(order="O3", amount=3000), MON),
        (OrderRefunded(order="O3", amount=500), TUE), (_handed(1, earned=850), WED),
    )  # fmt: skip

    assert (order_of(led, "O3").total, order_of(led, "O3").deposit) == (4900, 1650)
    assert led.money.balance("shop").accounts == {
        "cash": 2500, "deposits": -1650, "sales:orders": -850
    }  # fmt: skip


def test_what_is_owed_for_bows_that_came_back_is_a_debt_again() -> None:
    """One returned to stock, 8.50 to be given back."""
    back = OrderReturned(order="O3", made=NAVY, count=1, refund_owed=850)
    led = told((TAKEN, MON), (OrderPaid(order="O3", amount=850), MON),
               (_handed(1, earned=850), TUE), (back, WED))  # fmt: skip

    assert order_of(led, "O3").deposit == 850
    assert led.money.balance("shop")["deposits"] == -850
    assert led.bows.balance(NAVY)["at:home"] == 0
    assert led.bows.balance(NAVY)["returned"] == -1


def test_open_orders_come_the_earliest_due_first() -> None:
    """By day, then hour, then code; those done or off are left out."""
    others = [
        TAKEN.model_copy(update={"order": code, "due": due, "hour": hour})
        for code, due, hour in (
            ("O4", "2026-11-19", None), ("O5", "2026-11-20", "09:00"),
            ("O6", "2026-11-18", None),
        )
    ]  # fmt: skip
    led = told((TAKEN, MON), *((one, MON) for one in others),
               (OrderCalledOff(order="O6"), TUE))  # fmt: skip

    assert [order.code for order in open_orders(led)] == ["O4", "O3", "O5"]


class TestReserves:
    STOCK = (BowsOpening(bows=((NAVY, 6), (RED, 1))), "2026-10-01")
    CLAIM = BowsReserved(claimant="O3", bows=((NAVY, 4),))

    def test_a_reserve_moves_nothing(self) -> None:
        """Six at home, four of them spoken for."""
        held = stock(told(self.STOCK, (TAKEN, MON), (self.CLAIM, TUE)))[NAVY]

        assert (held.home, held.claimed, held.free) == (6, 4, 2)

    def test_a_claim_beyond_what_a_place_holds_shows_below_nothing(self) -> None:
        """Over-claimed by one: told, not hidden."""
        led = told(self.STOCK, (TAKEN, MON), (READY, TUE), (self.CLAIM, TUE),
                   (BowsReserved(claimant="F1", bows=((NAVY, 2),)), WED))  # fmt: skip

        assert stock(led)[NAVY].free == 6 - 5 - 2

    def test_the_newest_reserve_of_a_claimant_holds(self) -> None:
        """In the order of happening."""
        more = BowsReserved(claimant="O3", bows=((NAVY, 5),))
        led = told((TAKEN, MON), (more, WED), (self.CLAIM, TUE))

        assert claims(led) == [Claim("O3", NAVY, 5)]

    def test_a_ready_order_claims_all_that_is_outstanding(self) -> None:
        """Told reserves aren't counted on top."""
        led = told((TAKEN, MON), (self.CLAIM, TUE), (READY, WED))

        assert claims(led) == [Claim("O3", NAVY, 5), Claim("O3", RED, 1)]

    @pytest.mark.parametrize("end", [OFF, _handed(5, 1)])
    def test_an_order_done_or_called_off_claims_nothing(self, end: Event) -> None:
        """Whatever was reserved for it."""
        assert claims(told((TAKEN, MON), (self.CLAIM, TUE), (end, WED))) == []
