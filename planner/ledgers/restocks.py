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
    found: list[OnTheWay] = []
    for code in led.keys("restocks"):
        page = led.page("restocks", code)
        if any(kept.event.kind == "restock-cancelled" for kept in page):
            continue
        for kept in page:
            found += _left_of(led, code, kept.event)
    return sorted(found, key=lambda item: (item.expected, item.restock, item.what))


def _left_of(led: Ledgers, code: str, e: Any) -> list[OnTheWay]:
    came_spools: dict[str, int] = {}
    for spool in led.spools.values():
        if spool.restock == code:
            came_spools[spool.ribbon] = came_spools.get(spool.ribbon, 0) + 1
    came_units: dict[str, int] = {}
    for lot in led.lots.values():
        if lot.restock == code:
            came_units[lot.supply] = came_units.get(lot.supply, 0) + lot.units
    found = []
    for line in e.ribbons:
        left = line.spools - came_spools.pop(line.ribbon, 0)
        if left > 0:
            found.append(
                OnTheWay(code, line.ribbon, True, line.length, left, e.expected,
                         e.latest, line.price)
            )  # fmt: skip
    for line in e.supplies:
        left = line.units - came_units.pop(line.supply, 0)
        if left > 0:
            found.append(
                OnTheWay(code, line.supply, False, 0, left, e.expected,
                         e.latest, line.price)
            )  # fmt: skip
    return found
