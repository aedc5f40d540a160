"""Restocks as they stand: what is still on the way, and when it is expected."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

from planner.ledgers.state import Arrived, Ledgers


class OnTheWay(NamedTuple):
    """
    One ribbon or supply of a restock that hasn't come yet.

    `price` is that of one spool, or of all the units left.
    """

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
    """Take what came in off the lines of an order: those of its length first."""
    lines = list(_lines(code, e))
    left = [line.count for line in lines]
    for came in led.arrived.get(code, ()):
        count = came.count
        for at in _meant(lines, came):
            take = min(left[at], count)
            left[at] -= take
            count -= take
    return [
        _with(line, n) for line, n in zip(lines, left, strict=True) if n > 0
    ]  # fmt: skip


def _lines(code: str, e: Any) -> Iterator[OnTheWay]:
    days = e.expected, e.latest
    for line in e.ribbons:
        yield OnTheWay(
            code, line.ribbon, True, line.length, line.spools, *days, line.price
        )
    for line in e.supplies:
        yield OnTheWay(code, line.supply, False, 0, line.units, *days, line.price)


def _meant(lines: list[OnTheWay], came: Arrived) -> list[int]:
    """Say which lines something that came in may be of, the likeliest first."""
    same = [
        at for at, line in enumerate(lines)
        if (line.ribbon, line.what) == (came.ribbon, came.what)
    ]  # fmt: skip
    return sorted(same, key=lambda at: lines[at].length != came.length)


def _with(line: OnTheWay, left: int) -> OnTheWay:
    price = line.price if line.ribbon else line.price * left // line.count
    return line._replace(count=left, price=price)
