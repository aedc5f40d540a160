"""What is taken as she typed it, and said back as odd: a likely slip of the finger."""

from __future__ import annotations

from collections.abc import Sequence

from planner.ledgers.catalogue import Pattern, catalogue
from planner.ledgers.state import Ledgers
from planner.rules.base import plural
from planner.rules.pricing import Wanted, amount, listed
from planner.values.moments import When

FAR = 10
"""So many times as much, or as little, is far off."""
MANY = 500
"""More bows than this in one go are a great many."""
LEAST_SECONDS = 30
"""A bow takes no less, whatever its pattern says of its steps."""
UNDO = "if it was another: bows undo"


def many(bows: int, *, what: str) -> list[str]:
    """Say so when bows are a great many for one batch, or one sale."""
    if bows <= MANY:
        return []
    return [f"{plural(bows, 'bow')} in one {what} is a great many; {UNDO}"]


def odd_pace(pattern: Pattern, bows: int, minutes: int | None) -> list[str]:
    """Say so when a bow took far less, or far more, than the pattern's steps."""
    if minutes is None:
        return []
    each = minutes * 60 / bows
    usual = max(pattern.seconds, LEAST_SECONDS)
    least = max(LEAST_SECONDS, pattern.seconds / FAR)
    if least <= each <= max(usual, 60 * 6) * FAR:
        return []
    steps = f"; its steps take {usual / 60:.3g} min" if pattern.seconds else ""
    return [f"{each / 60:.2g} min a bow is odd{steps}; {UNDO}"]


def odd_prices(
    led: Ledgers, items: Sequence[Wanted], taken: int | None, channel: str, when: When
) -> list[str]:
    """Say so when a price told is far from the list's."""
    told = [(items, taken)] if taken is not None else []
    told += [((item,), item.price) for item in items if item.price is not None]
    return [
        words for some, price in told
        for words in _far_price(led, some, price, channel, when)
    ]  # fmt: skip


def _far_price(
    led: Ledgers, items: Sequence[Wanted], told: int, channel: str, when: When
) -> list[str]:
    """Compare one unit of one item, or all units of several, with the list."""
    prices = [listed(led, item, channel, when) for item in items]
    counts = [1 if item.price is not None else item.count for item in items]
    usual = sum((p or 0) * n for p, n in zip(prices, counts, strict=True))
    if None in prices or not usual or told == 0:
        return []
    if usual / FAR < told < usual * FAR:
        return []
    name = catalogue(led).kind_name(items[0].what) if len(items) == 1 else "these"
    return [
        f"{amount(led, told)} is far from the list's {amount(led, usual)} for {name}; "
        f"{UNDO}"
    ]
