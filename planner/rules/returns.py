"""Rules of bows that come back or never came: lost in the post, returned, exchanged."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from planner.events.base import Event
from planner.events.orders import (
    OrderCalledOff,
    OrderHandedOver,
    OrderLostInPost,
    OrderReturned,
)
from planner.ledgers.bows import HOME
from planner.ledgers.catalogue import catalogue
from planner.ledgers.orders import Order
from planner.ledgers.state import Ledgers
from planner.rules.base import Proposal, proposal
from planner.rules.finding import find_order, kind_names
from planner.rules.handover import outstanding_of, worth
from planner.rules.pricing import (
    amount,
    figure,
    moved,
    over,
    some,
)
from planner.values.moments import When

Back = Literal["stock", "rework", "written off"]


def lost_in_post(
    led: Ledgers, *, order: str, when: When, bows: Mapping[str, int] | None = None,
    refund: int | None = None,
) -> Proposal:  # fmt: skip
    """
    Propose a parcel that never came; without counts, all that was handed over.

    Without a refund the bows are to be made and sent again; a refund owed for all
    that is outstanding then calls the order off.
    """
    old = find_order(led, order)
    gone = some(
        {k: n for k, n in old.handed.items() if n > 0} if bows is None else bows,
        instead=f"bows order lost {old.code} 2 4in navy   (none were handed over)",
    )
    events: list[Event] = [
        OrderLostInPost(order=old.code, bows=gone, refund_owed=refund or 0)
    ]
    names = kind_names(catalogue(led), gone)
    said = [f"order {old.code}: {names} lost in the post"]
    done = refund is not None and not outstanding_of(old)
    if refund is not None:
        said.append(_refund_words(led, old.code, refund))
    if done:
        events.append(OrderCalledOff(order=old.code, why="lost in the post"))
        said.append(f"order {old.code}: {old.state} → called off")
    elif refund is None:
        said.append(f"to make and send again: {names}")
    odd = _more_than_handed(led, old, dict(gone))
    if refund is not None and not done:
        odd.append(
            f"{old.code} still asks for them: bows order change {old.code} --remove ..."
        )
    return proposal(events, when, *said, warnings=odd)


def _refund_words(led: Ledgers, order: str, refund: int) -> str:
    if not refund:
        return "no refund is owed"
    return (
        f"{amount(led, refund)} is to be given back: bows order refund {order} "
        f"{figure(led, refund)}"
    )


def _more_than_handed(led: Ledgers, old: Order, bows: Mapping[str, int]) -> list[str]:
    cat, odd = catalogue(led), []
    for kind, count in bows.items():
        more, name = count - max(old.handed.get(kind, 0), 0), cat.kind_name(kind)
        if more > 0:
            odd.append(
                f"that is {more} more {name} than the records have as handed over for "
                f"{old.code}"
            )
    return odd


def returned(
    led: Ledgers, *, order: str, kind: str, count: int, when: When,
    to: Back = "stock", refund: int | None = None, place: str = HOME,
) -> Proposal:  # fmt: skip
    """Propose bows of an order come back; the refund is their worth unless told."""
    old = find_order(led, order)
    event, odd = _come_back(led, old, kind, count, to, refund, place)
    back = moved(led, place, ((kind, count),), 1, when)
    where = "" if to == "written off" else f": {back}"
    said = (
        f"order {old.code}: {count} {catalogue(led).kind_name(kind)} came back, "
        f"{to if to == 'written off' else f'to {to}'}{where}",
        _refund_words(led, old.code, event.refund_owed),
    )
    return proposal([event], when, *said, warnings=odd)


def _come_back(
    led: Ledgers, old: Order, kind: str, count: int, to: Back, refund: int | None,
    place: str,
) -> tuple[OrderReturned, list[str]]:  # fmt: skip
    first = old.handed.get(kind, 0) - count
    event = OrderReturned(
        order=old.code, made=kind, count=count, place=place, to=to,
        refund_owed=worth(old, kind, first, count) if refund is None else refund,
    )  # fmt: skip
    return event, _more_than_handed(led, old, {kind: count})


def exchanged(
    led: Ledgers, *, order: str, was: str, became: str, count: int, when: When,
    to: Back = "stock", earned: int | None = None, place: str = HOME,
) -> Proposal:  # fmt: skip
    """
    Propose bows of an order exchanged for another kind, as one entry.

    What is handed over is worth what came back, unless another worth is told.
    """
    old, cat = find_order(led, order), catalogue(led)
    back, odd = _come_back(led, old, was, count, to, None, place)
    value = back.refund_owed if earned is None else earned
    bows = ((became, count),)
    given = OrderHandedOver(order=old.code, bows=bows, place=place, earned=value)
    said = [
        f"order {old.code}: {count} {cat.kind_name(was)} → {count} "
        f"{cat.kind_name(became)}",
        moved(led, place, bows, -1, when),
    ]
    if value > back.refund_owed:
        more = value - back.refund_owed
        said.append(f"{amount(led, more)} more to pay")
    elif value < back.refund_owed:
        said.append(_refund_words(led, old.code, back.refund_owed - value))
    return proposal(
        [back, given], when, *said, warnings=[*odd, *over(led, place, bows, when)]
    )
