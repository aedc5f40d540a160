"""Events of orders: asked, taken, changed, ready, paid, handed over, called off."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from planner.events.base import Event, Kept
from planner.events.fields import (
    Amount,
    Clock,
    Code,
    Count,
    Day,
    KindCount,
    LineItem,
    Paid,
    Text,
)

Lines = Annotated[tuple[LineItem, ...], Field(min_length=1, max_length=200)]
Weight = Annotated[int, Field(ge=1, le=100)]
"""How much lateness of this order matters, 1 for usual."""


class OrderAsked(Event):
    """Somebody asked for a price: a quote, open until `expires`."""

    kind = "order-asked"

    order: Code
    person: Code | None = None
    lines: Lines
    due: Day | None = None
    expires: Day | None = None
    note: Kept | None = None


class OrderTaken(Event):
    """An order was taken: lines, price agreed, due day and hour."""

    kind = "order-taken"

    order: Code
    person: Code | None = None
    lines: Lines
    due: Day
    hour: Clock | None = None
    weight: Weight = 1
    in_parts: bool = False
    rush: bool = False
    post_days: Annotated[int, Field(ge=0, le=365)] = 0
    note: Kept | None = None


class OrderChanged(Event):
    """An order's lines, due day or terms were changed: the body is the new whole."""

    kind = "order-changed"

    order: Code
    lines: Lines
    due: Day
    hour: Clock | None = None
    weight: Weight = 1
    in_parts: bool = False
    post_days: Annotated[int, Field(ge=0, le=365)] = 0


class OrderReady(Event):
    """An order's bows are finished and set aside."""

    kind = "order-ready"

    order: Code


class OrderCalledOff(Event):
    """An order was called off by her or the customer."""

    kind = "order-called-off"

    order: Code
    why: Text = ""


class OrderPaid(Event):
    """Money came in for an order; before hand-over it is a deposit, a debt."""

    kind = "order-paid"

    order: Code
    amount: Paid
    how: Literal["cash", "card", "bank"] = "cash"


class OrderRefunded(Event):
    """Money went back to the customer of an order."""

    kind = "order-refunded"

    order: Code
    amount: Paid
    how: Literal["cash", "card", "bank"] = "cash"


class OrderHandedOver(Event):
    """
    Bows of an order were handed over, in part or whole.

    `earned` is the worth of what was handed over at the prices agreed (minor units):
    it turns that much of the customer's debt or deposit into a sale.
    """

    kind = "order-handed-over"

    order: Code
    bows: Annotated[tuple[KindCount, ...], Field(min_length=1)]
    place: Code = "home"
    earned: Amount = 0
    by_post: bool = False
    batch: Code | None = None


class OrderLostInPost(Event):
    """A parcel of an order never came; its bows are gone."""

    kind = "order-lost-in-post"

    order: Code
    bows: Annotated[tuple[KindCount, ...], Field(min_length=1)]
    refund_owed: Amount = 0


class OrderReturned(Event):
    """Bows of an order came back: to stock, to rework, or written off."""

    kind = "order-returned"

    order: Code
    made: Code
    count: Count
    place: Code = "home"
    to: Literal["stock", "rework", "written off"] = "stock"
    refund_owed: Amount = 0


class BowsReserved(Event):
    """A claim: finished bows are promised to an order or a fair; moves nothing."""

    kind = "bows-reserved"

    claimant: Code
    bows: tuple[tuple[Code, Annotated[int, Field(ge=0, le=100_000)]], ...]
