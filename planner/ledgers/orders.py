"""Orders as they stand: asked, open, ready, handed over, called off."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from planner.ledgers.state import Kept, Ledgers, Pages

ASKED, OPEN, READY = "asked", "open", "ready"
HANDED_OVER, CALLED_OFF = "handed over", "called off"


@dataclass(slots=True)
class Order:
    """
    One order; counts are bows by kind, amounts minor units.

    `due` is a day, `hour` the hour she said, if any; `handed` what was handed over.
    """

    code: str
    state: str = ASKED
    person: str | None = None
    lines: tuple[Any, ...] = ()
    due: str | None = None
    hour: str | None = None
    weight: int = 1
    in_parts: bool = False
    rush: bool = False
    post_days: int = 0
    expires: str | None = None
    note: str | None = None
    taken: str = ""
    handed: dict[str, int] = field(default_factory=dict)
    paid: int = 0
    earned: int = 0
    handed_days: list[str] = field(default_factory=list)

    @property
    def wanted(self) -> dict[str, int]:
        """Bows the order asks for, by kind."""
        wanted: dict[str, int] = {}
        for line in self.lines:
            for kind, each in line.kinds:
                wanted[kind] = wanted.get(kind, 0) + each * line.count
        return wanted

    @property
    def outstanding(self) -> dict[str, int]:
        """Bows still to be handed over, by kind."""
        if self.state in (HANDED_OVER, CALLED_OFF, ASKED):
            return {}
        left = {k: n - self.handed.get(k, 0) for k, n in self.wanted.items()}
        return {k: n for k, n in left.items() if n > 0}

    @property
    def total(self) -> int:
        """What the order comes to at the prices agreed."""
        return sum(line.count * line.price for line in self.lines)

    @property
    def deposit(self) -> int:
        """Money held for bows not yet handed over: her debt to the customer."""
        return self.paid - self.earned


def _asked(order: Order, kept: Kept) -> None:
    e = kept.event
    if order.state == ASKED:
        order.person, order.lines, order.due = e.person, e.lines, e.due
        order.expires = e.expires
    order.note = e.note.key if e.note else order.note


def _taken(order: Order, kept: Kept) -> None:
    e = kept.event
    order.state, order.taken = OPEN, kept.at.happened
    order.person, order.lines, order.due, order.hour = e.person, e.lines, e.due, e.hour
    order.weight, order.in_parts, order.rush = e.weight, e.in_parts, e.rush
    order.post_days = e.post_days
    order.note = e.note.key if e.note else order.note


def _changed(order: Order, kept: Kept) -> None:
    e = kept.event
    order.lines, order.due, order.hour = e.lines, e.due, e.hour
    order.weight, order.in_parts, order.post_days = e.weight, e.in_parts, e.post_days
    if order.state == READY:
        order.state = OPEN


def _ready(order: Order, kept: Kept) -> None:
    if order.state in (OPEN, ASKED):
        order.state = READY


def _called_off(order: Order, kept: Kept) -> None:
    order.state = CALLED_OFF


def _paid(order: Order, kept: Kept) -> None:
    order.paid += kept.event.amount


def _refunded(order: Order, kept: Kept) -> None:
    order.paid -= kept.event.amount


def _handed_over(order: Order, kept: Kept) -> None:
    for kind, count in kept.event.bows:
        order.handed[kind] = order.handed.get(kind, 0) + count
    order.earned += kept.event.earned
    order.handed_days.append(kept.at.happened[:10])


def _lost(order: Order, kept: Kept) -> None:
    for kind, count in kept.event.bows:
        order.handed[kind] = order.handed.get(kind, 0) - count
    order.earned -= kept.event.refund_owed


def _returned(order: Order, kept: Kept) -> None:
    order.earned -= kept.event.refund_owed


_STEPS = {
    "order-asked": _asked,
    "order-taken": _taken,
    "order-changed": _changed,
    "order-ready": _ready,
    "order-called-off": _called_off,
    "order-paid": _paid,
    "order-refunded": _refunded,
    "order-handed-over": _handed_over,
    "order-lost-in-post": _lost,
    "order-returned": _returned,
}


def order_of(led: Ledgers, code: str) -> Order:
    """Read one order's page, in order of (moment, seq)."""
    order = Order(code)
    for kept in led.page("orders", code):
        _STEPS[kept.event.kind](order, kept)
    if order.state in (OPEN, READY) and order.lines and not order.outstanding:
        order.state = HANDED_OVER
    return order


def steps(led: Ledgers, code: str) -> Iterator[tuple[Kept, int]]:
    """Walk an order's events with the bows still to be handed over after each."""
    order = Order(code)
    for kept in led.page("orders", code):
        _STEPS[kept.event.kind](order, kept)
        yield kept, sum(order.outstanding.values())


def orders(led: Ledgers) -> Pages[Order]:
    """Give all orders by code, each read once."""
    made = led.memo.get("orders")
    if made is None:
        keys = led.keys("orders")
        made = led.memo["orders"] = Pages(keys, lambda code: order_of(led, code))
    assert isinstance(made, Pages)
    return made


def open_orders(led: Ledgers) -> list[Order]:
    """Give the orders still to be handed over, the earliest due first."""
    alive = orders(led).of(led.live("orders"))
    waiting = [o for o in alive if o.state in (OPEN, READY)]
    return sorted(waiting, key=lambda o: (o.due or "9999", o.hour or "", o.code))


def quotes(led: Ledgers) -> list[Order]:
    """Give the orders asked for and neither taken nor called off, ran out or not."""
    return [o for o in orders(led).of(led.live("orders")) if o.state == ASKED]
