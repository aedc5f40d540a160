"""
What the cache remembers besides the ledgers: what isn't over yet, and plain values.

An old log holds mostly orders handed over, fairs settled and spools used up.  Questions
about today look at what may still matter; the cache knows which that is.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from planner.ledgers import catalogue, shop
from planner.ledgers.fairs import CALLED_OFF as FAIR_OFF
from planner.ledgers.fairs import SETTLED, fair_of
from planner.ledgers.orders import ASKED, OPEN, READY, order_of
from planner.ledgers.restocks import on_the_way_of
from planner.ledgers.state import Ledgers
from planner.ledgers.timeline import Book


def _order(led: Ledgers, code: str) -> bool:
    return order_of(led, code).state in (ASKED, OPEN, READY)


def _fair(led: Ledgers, code: str) -> bool:
    return fair_of(led, code).state not in (SETTLED, FAIR_OFF)


def _restock(led: Ledgers, code: str) -> bool:
    return bool(on_the_way_of(led, code))


def _aside(led: Ledgers, spool: str) -> bool:
    return bool(led.page("aside", spool)[-1].event.aside)


def _reserve(led: Ledgers, claimant: str) -> bool:
    # An order's reserve counts only while the order is open, and is found by it.
    return not claimant.startswith("O") and bool(
        led.page("reserves", claimant)[-1].event.bows
    )


def _holds(book: Book, item: str) -> bool:
    balance = book.balance(item)
    return bool(balance.missing) or any(map(book.stock_accounts, balance.accounts))


LIVING: Mapping[str, Callable[[Ledgers, str], bool]] = {
    "pages.orders": _order,
    "pages.fairs": _fair,
    "pages.restocks": _restock,
    "pages.aside": _aside,
    "pages.reserves": _reserve,
    "items.ribbon": lambda led, spool: _holds(led.ribbon, spool),
    "items.supplies": lambda led, lot: _holds(led.supplies, lot),
}
"""Registry -> whether a thing in it may still matter to a question about today."""

FADING = frozenset({"pages.restocks"})
"""Registries whose things can be over without a word on their own page."""

ALWAYS: Mapping[str, Callable[[Ledgers], Any]] = {
    "catalogue": catalogue.plain, "shop": shop.plain,
}  # fmt: skip
"""What is worked out for the cache even where nobody has asked for it."""
