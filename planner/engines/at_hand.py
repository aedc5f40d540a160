"""
Which orders the finished bows at home are for.

Bows set aside for an order are its own; then come bows made for it; bows set aside
for a fair are left alone; what is free goes to the orders in turn.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from planner.ledgers.bows import HOME, PLACE
from planner.ledgers.orders import READY, Order
from planner.ledgers.state import Ledgers
from planner.ledgers.stock import claims


@dataclass(frozen=True, slots=True)
class Share:
    """
    Finished bows by order and kind, and fair bows that would have done.

    `over` names kinds of which more are promised than there are.
    """

    at_hand: Mapping[str, Mapping[str, int]]
    for_fair: Mapping[str, int]
    over: tuple[str, ...]


def share_bows(led: Ledgers, orders: Sequence[Order]) -> Share:
    """Share the finished bows at home out among orders, the first given first."""
    codes = {order.code for order in orders}
    home = {k: max(led.bows.balance(k)[PLACE + HOME], 0) for k in led.bows.items}
    given: dict[str, dict[str, int]] = {code: {} for code in codes}
    fair: dict[str, int] = {}
    own: list[tuple[str, str, int]] = []
    for claim in claims(led):
        if claim.claimant in codes:
            own.append((claim.claimant, claim.kind, claim.count))
        else:
            fair[claim.kind] = fair.get(claim.kind, 0) + claim.count
    over = _over(home, own, fair)
    needs = {order.code: dict(order.outstanding) for order in orders}
    _share(home, needs, given, own)
    _share(home, needs, given, _made_for(led, orders))
    kept = {kind: min(n, home.get(kind, 0)) for kind, n in fair.items()}
    for kind, count in kept.items():
        home[kind] = home.get(kind, 0) - count
    _share(home, needs, given, [(c, k, n) for c in needs for k, n in needs[c].items()])
    would_do = {
        code: sum(min(n, kept.get(kind, 0)) for kind, n in need.items())
        for code, need in needs.items()
    }
    return Share(_told_ready(orders, given), would_do, over)


def _over(
    home: Mapping[str, int],
    own: Iterable[tuple[str, str, int]],
    fair: Mapping[str, int],
) -> tuple[str, ...]:
    promised = dict(fair)
    for _, kind, count in own:
        promised[kind] = promised.get(kind, 0) + count
    return tuple(k for k, n in promised.items() if n > home.get(k, 0))


def _share(
    home: dict[str, int],
    needs: Mapping[str, dict[str, int]],
    given: Mapping[str, dict[str, int]],
    wishes: Iterable[tuple[str, str, int]],
) -> None:
    for code, kind, count in list(wishes):
        take = min(count, home.get(kind, 0), needs[code].get(kind, 0))
        if take > 0:
            home[kind] -= take
            needs[code][kind] -= take
            given[code][kind] = given[code].get(kind, 0) + take


def _made_for(led: Ledgers, orders: Sequence[Order]) -> list[tuple[str, str, int]]:
    """Give what was made for each order and not yet handed over."""
    made: dict[tuple[str, str], int] = {}
    for order in orders:
        for code in dict.fromkeys(led.made_for.get(order.code, ())):
            batch = led.batches[code]
            if batch.order == order.code:
                key = order.code, batch.kind
                made[key] = made.get(key, 0) + batch.count
    return [
        (order.code, kind, made.get((order.code, kind), 0) - order.handed.get(kind, 0))
        for order in orders
        for kind in order.outstanding
    ]


def _told_ready(
    orders: Sequence[Order], given: Mapping[str, Mapping[str, int]]
) -> dict[str, Mapping[str, int]]:
    """Take her word for orders she told ready, whatever the count at home says."""
    return {
        o.code: o.outstanding if o.state == READY else given[o.code] for o in orders
    }
