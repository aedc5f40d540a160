"""Ledgers as they would be with an order taken or bows set aside: no entry is made."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from copy import copy

from planner.events.base import Event
from planner.events.orders import BowsReserved, OrderTaken
from planner.ledgers.orders import Order
from planner.ledgers.state import At, Kept, Ledgers

_STAYS = ("catalogue", "pace", "minutes", "fairs", "shop view")
"""What was read once and no order or reserve changes."""


def with_order(led: Ledgers, order: Order) -> Ledgers:
    """Give the ledgers with an order taken."""
    assert order.due is not None
    event = OrderTaken(
        order=order.code, lines=order.lines, due=order.due, hour=order.hour,
        weight=order.weight, rush=order.rush, post_days=order.post_days,
    )  # fmt: skip
    return _with(led, "orders", order.code, event)


def with_claim(led: Ledgers, claimant: str, bows: Mapping[str, int]) -> Ledgers:
    """Give the ledgers with bows set aside for somebody."""
    event = BowsReserved(claimant=claimant, bows=tuple(bows.items()))
    return _with(led, "reserves", claimant, event)


def _with(led: Ledgers, noun: str, key: str, event: Event) -> Ledgers:
    supposed = copy(led)
    supposed.pages = defaultdict(dict, led.pages)
    # After all that happened, and dated like the last day there can be.
    kept = Kept(At(2**62, led.head_seq + 1, "9999-12-31", 0), event)
    page = [*led.pages[noun].get(key, ()), kept]
    supposed.pages[noun] = {**led.pages[noun], key: page}
    supposed.memo = {k: v for k, v in led.memo.items() if k in _STAYS}
    return supposed
