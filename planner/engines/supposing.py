"""Ledgers as they would be if something were told: nothing is entered."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from copy import copy

from planner.events.base import Event
from planner.events.orders import OrderTaken
from planner.ledgers.orders import Order
from planner.ledgers.paged import NOUNS
from planner.ledgers.state import At, Kept, Ledgers

_STAYS = {
    "catalogue": ("patterns", "colourways", "sets", "retired"),
    "pace": (), "minutes": (), "shop view": ("shop",), "fairs": ("fairs",),
}  # fmt: skip
"""What was read once, and the nouns that it was read from."""


def with_order(led: Ledgers, order: Order) -> Ledgers:
    """Give the ledgers with an order taken."""
    assert order.due is not None
    event = OrderTaken(
        order=order.code, lines=order.lines, due=order.due, hour=order.hour,
        weight=order.weight, rush=order.rush, post_days=order.post_days,
    )  # fmt: skip
    return supposing(led, (event,))


def supposing(led: Ledgers, events: Iterable[Event]) -> Ledgers:
    """Give the ledgers with events that are kept on pages, as if they came last."""
    supposed = copy(led)
    supposed.pages = defaultdict(dict, led.pages)
    touched = set()
    for event in events:
        noun, field = NOUNS[event.kind]
        key = getattr(event, field) if field else ""
        # After all that happened, and dated like the last day there can be.
        kept = Kept(At(2**62, led.head_seq + 1, "9999-12-31", 0), event)
        page = [*supposed.pages[noun].get(key, ()), kept]
        supposed.pages[noun] = {**supposed.pages[noun], key: page}
        touched.add(noun)
    stays = {name for name, nouns in _STAYS.items() if touched.isdisjoint(nouns)}
    supposed.memo = {k: v for k, v in led.memo.items() if k in stays}
    return supposed
