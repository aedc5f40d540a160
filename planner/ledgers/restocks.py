"""Restocks as they stand: what is still on the way, and when it is expected."""

from __future__ import annotations

from typing import Any, NamedTuple

from planner.ledgers.state import Ledgers


class OnTheWay(NamedTuple):
    """One ribbon or supply of a restock that hasn't come yet."""

    restock: str
    what: str
    ribbon: bool
    length: int
    count: int  # type: ignore[assignment]
    expected: str
    latest: str
    price: int


def on_the_way(led: Ledgers) -> list[OnTheWay]:
    """Give what is ordered and neither in nor cancelled, soonest expected first."""
    found = [way for code in led.live("restocks") for way in on_the_way_of(led, code)]
    return sorted(found, key=lambda item: (item.expected, item.restock, item.what))


def on_the_way_of(led: Ledgers, code: str) -> list[OnTheWay]:
    """Give what of one restock is neither in nor cancelled."""
    page = led.page("restocks", code)
    if any(kept.event.kind == "restock-cancelled" for kept in page):
        return []
    return [way for kept in page for way in _left_of(led, code, kept.event)]


def _left_of(led: Ledgers, code: str, e: Any) -> list[OnTheWay]:
    came: dict[tuple[bool, str], int] = {}
    for ribbon, what, count in led.arrived.get(code, ()):
        came[ribbon, what] = came.get((ribbon, what), 0) + count
    found = []
    for line in e.ribbons:
        left = line.spools - came.pop((True, line.ribbon), 0)
        if left > 0:
            found.append(
                OnTheWay(code, line.ribbon, True, line.length, left, e.expected,
                         e.latest, line.price)
            )  # fmt: skip
    for line in e.supplies:
        left = line.units - came.pop((False, line.supply), 0)
        if left > 0:
            found.append(
                OnTheWay(code, line.supply, False, 0, left, e.expected,
                         e.latest, line.price)
            )  # fmt: skip
    return found
