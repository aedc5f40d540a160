"""Rules of orders once taken: ready, off, paid, handed over, lost, returned, claims."""

from __future__ import annotations

from collections.abc import Mapping

from planner.errors import Absurd
from planner.events.base import Event
from planner.events.orders import (
    BowsReserved,
    OrderCalledOff,
    OrderHandedOver,
    OrderPaid,
    OrderReady,
    OrderRefunded,
    OrderTaken,
)
from planner.ledgers.bows import HOME
from planner.ledgers.catalogue import catalogue
from planner.ledgers.orders import ASKED, CALLED_OFF, HANDED_OVER, OPEN, Order
from planner.ledgers.state import Ledgers
from planner.ledgers.stock import claims, stock
from planner.rules.base import Proposal, proposal
from planner.rules.finding import find_code, find_order, kind_names
from planner.rules.orders import Pay
from planner.rules.pricing import (
    amount,
    figure,
    find_batch_or_none,
    held,
    local_day,
    moved,
    over,
    paid_words,
    present,
    some,
)
from planner.values.moments import When
from planner.values.money import share_out


def ready(led: Ledgers, *, order: str, when: When) -> Proposal:
    """Propose that an order's bows are finished and set aside."""
    old = find_order(led, order)
    odd = [] if old.state == OPEN else [f"{old.code} was {old.state} in the records"]
    for kind, count in old.outstanding.items():
        has = max(held(led, kind, HOME), 0)
        if has < count:
            odd.append(
                f"the records have only {has} of its {count} "
                f"{catalogue(led).kind_name(kind)} at home"
            )
    bows = kind_names(catalogue(led), old.outstanding.items())
    said = f"order {old.code}: {old.state} → ready" + (f": {bows}" if bows else "")
    return proposal([OrderReady(order=old.code)], when, said, warnings=odd)


def called_off(led: Ledgers, *, order: str, when: When, why: str = "") -> Proposal:
    """Propose that an order is off; says which deposit is to be given back."""
    old = find_order(led, order)
    said = [f"order {old.code}: {old.state} → called off"]
    if old.deposit > 0:
        said.append(
            f"its deposit of {amount(led, old.deposit)} is to be given back: "
            f"bows order refund {old.code} {figure(led, old.deposit)}"
        )
    freed = [c for c in claims(led) if c.claimant == old.code]
    if freed:
        names = kind_names(catalogue(led), ((c.kind, c.count) for c in freed))
        said.append(f"no longer set aside: {names}")
    done = old.state in (HANDED_OVER, CALLED_OFF)
    odd = [f"{old.code} was {old.state} in the records"] if done else []
    event = OrderCalledOff(order=old.code, why=why)
    return proposal([event], when, *said, warnings=odd)


def paid(
    led: Ledgers, *, order: str, when: When, money: int | None = None,
    how: Pay = "cash",
) -> Proposal:  # fmt: skip
    """Propose money in for an order; without an amount, all that is still to pay."""
    old = find_order(led, order)
    owed = old.total - old.paid
    if money is None and owed <= 0:
        raise Absurd(
            f"Nothing is left to pay on {old.code}.",
            instead=f"bows order pay {old.code} AMOUNT",
        )
    came = owed if money is None else money
    said = (
        f"order {old.code}: paid {amount(led, old.paid)} → "
        f"{amount(led, old.paid + came)} of {amount(led, old.total)}, {paid_words(how)}"
    )
    odd = []
    if came > max(owed, 0):
        odd.append(
            f"that is {amount(led, came - max(owed, 0))} more than the order comes to"
        )
    if old.state == CALLED_OFF:
        odd.append(f"{old.code} is called off")
    event = OrderPaid(order=old.code, amount=came, how=how)
    return proposal([event], when, said, warnings=odd)


def refunded(
    led: Ledgers, *, order: str, when: When, money: int | None = None,
    how: Pay = "cash",
) -> Proposal:  # fmt: skip
    """Propose money given back; without an amount, what is held for bows not given."""
    old = find_order(led, order)
    if money is None and old.deposit <= 0:
        raise Absurd(
            f"Nothing is held for {old.code}.",
            instead=f"bows order refund {old.code} AMOUNT",
        )
    back = old.deposit if money is None else money
    said = (
        f"order {old.code}: {amount(led, back)} given back {paid_words(how)}; held for "
        f"it {amount(led, old.deposit)} → {amount(led, old.deposit - back)}"
    )
    odd = []
    if back > max(old.deposit, 0):
        more = amount(led, back - max(old.deposit, 0))
        odd.append(f"that is {more} more than is held for it")
    event = OrderRefunded(order=old.code, amount=back, how=how)
    return proposal([event], when, said, warnings=odd)


def reserved(
    led: Ledgers, *, claimant: str, bows: Mapping[str, int], when: When
) -> Proposal:
    """
    Propose a claim on finished bows for an order or a fair; 0 gives a kind free again.

    The claim told is the new whole of the kinds named; others stay as they were.
    """
    code = find_code(
        [*led.keys("orders"), *led.keys("fairs")], claimant,
        what="order or fair", instead="bows orders   (or: bows fairs)",
    )  # fmt: skip
    if not bows:
        raise Absurd("No bows were named.", instead=f"bows reserve {code} 6 4in navy")
    page = led.page("reserves", code)
    before = dict(page[-1].event.bows) if page else {}
    after = {k: n for k, n in {**before, **bows}.items() if n}
    cat, said, odd = catalogue(led), [], []
    for kind, count in bows.items():
        was = before.get(kind, 0)
        said.append(f"set aside for {code}: {cat.kind_name(kind)} {was} → {count}")
        free = (stock(led)[kind].free if kind in stock(led) else 0) + was
        if count > free:
            odd.append(
                f"only {max(free, 0)} {cat.kind_name(kind)} at home are free of other "
                "claims"
            )
    event = BowsReserved(claimant=code, bows=tuple(after.items()))
    return proposal([event], when, *said, warnings=odd)


def bow_prices(order: Order) -> dict[str, list[int]]:
    """
    Give each bow's share of what the order comes to, by kind, in minor units.

    A line is shared over its bows and a kind's part over its bows by largest
    remainder, so that all shares together are the order's total exactly.
    """
    parts: dict[str, int] = {}
    for line in order.lines:
        counts = [each * line.count for _, each in line.kinds]
        shares = share_out(line.count * line.price, counts)
        for (kind, _), share in zip(line.kinds, shares, strict=True):
            parts[kind] = parts.get(kind, 0) + share
    wanted = order.wanted
    return {k: list(share_out(part, [1] * wanted[k])) for k, part in parts.items()}


def worth(order: Order, kind: str, first: int, count: int) -> int:
    """Give what `count` bows of a kind are worth, from the order's bow `first` on."""
    return sum(bow_prices(order).get(kind, [])[max(first, 0) : max(first, 0) + count])


def _still_to_earn(led: Ledgers, order: Order) -> int:
    """Give what of the order's total no hand-over has earned yet."""
    page = led.page("orders", order.code)
    swaps = {k.at.entry for k in page if k.event.kind == "order-returned"}
    earned = 0
    for kept in page:
        if kept.event.kind == "order-handed-over" and kept.at.entry not in swaps:
            earned += kept.event.earned
        elif kept.event.kind == "order-lost-in-post":
            earned -= kept.event.refund_owed
    return order.total - earned


def earned_by(led: Ledgers, order: Order, bows: Mapping[str, int]) -> int:
    """Give what handing these bows over earns, minor units."""
    rest = max(_still_to_earn(led, order), 0)
    after = {k: order.handed.get(k, 0) + bows.get(k, 0) for k in order.wanted}
    if all(after[k] >= n for k, n in order.wanted.items()):
        return rest
    told = sum(worth(order, k, order.handed.get(k, 0), n) for k, n in bows.items())
    return min(told, rest)


def outstanding_of(order: Order) -> dict[str, int]:
    """Give the bows an order still asks for, whatever state it is in."""
    left = {k: n - order.handed.get(k, 0) for k, n in order.wanted.items()}
    return {k: n for k, n in left.items() if n > 0}


def handed_over(
    led: Ledgers, *, order: str, when: When, bows: Mapping[str, int] | None = None,
    place: str = HOME, by_post: bool = False, batch: str | None = None,
) -> Proposal:  # fmt: skip
    """
    Propose bows of an order handed over; without counts, all that is outstanding.

    Raises:
        Absurd: when nothing is outstanding and she named no bows.
    """
    old, named = find_order(led, order), find_batch_or_none(led, batch)
    asked, instead = outstanding_of(old), f"bows order hand {old.code} 2 4in navy"
    if bows is None and not asked:
        raise Absurd(f"All of {old.code} was handed over already.", instead=instead)
    given = some(asked if bows is None else bows, instead=instead)
    earned = earned_by(led, old, dict(given))
    event = OrderHandedOver(
        order=old.code, bows=given, place=place, earned=earned, by_post=by_post,
        batch=named,
    )  # fmt: skip
    said = (
        f"order {old.code}: {kind_names(catalogue(led), given)} "
        f"{'posted' if by_post else 'handed over'}, worth {amount(led, earned)}",
        moved(led, place, given, -1, when), _left_words(led, old, dict(given)),
    )  # fmt: skip
    return proposal(
        [*_taken_first(old, when, led), event], when, *present(*said),
        warnings=[
            *_state_odd(old), *_beyond(led, old, dict(given)),
            *over(led, place, given, when), *_owed(led, old, earned, dict(given)),
        ],
    )  # fmt: skip


def _taken_first(old: Order, when: When, led: Ledgers) -> list[Event]:
    """Enter an order as taken when the records have it as asked only."""
    if old.state != ASKED:
        return []
    return [
        OrderTaken(
            order=old.code, person=old.person, lines=old.lines,
            due=old.due or local_day(led, when),
        )
    ]  # fmt: skip


def _state_odd(old: Order) -> list[str]:
    match old.state:
        case "asked":
            return [f"{old.code} was only asked; it is entered as taken now too"]
        case "open":
            return [f"{old.code} was never marked ready"]
        case "handed over":
            return [f"{old.code} was handed over in full already"]
        case "called off":
            return [f"{old.code} is called off"]
    return []


def _beyond(led: Ledgers, old: Order, given: Mapping[str, int]) -> list[str]:
    cat, odd = catalogue(led), []
    for kind, count in given.items():
        more = count - max(old.wanted.get(kind, 0) - old.handed.get(kind, 0), 0)
        if kind not in old.wanted:
            odd.append(f"{old.code} has no {cat.kind_name(kind)}; it earns nothing")
        elif more > 0:
            odd.append(
                f"that is {more} more {cat.kind_name(kind)} than {old.code} still asks "
                "for; they earn nothing"
            )
    return odd


def _left_words(led: Ledgers, old: Order, given: Mapping[str, int]) -> str:
    left = {k: n - given.get(k, 0) for k, n in outstanding_of(old).items()}
    names = kind_names(catalogue(led), ((k, n) for k, n in left.items() if n > 0))
    return f"still to hand over: {names}" if names else f"{old.code} is complete"


def _owed(led: Ledgers, old: Order, earned: int, given: Mapping[str, int]) -> list[str]:
    owed = old.earned + earned - old.paid
    if owed > 0:
        return [
            f"{amount(led, owed)} is still owed for what was handed over: "
            f"bows order pay {old.code} {figure(led, owed)}"
        ]
    complete = all(given.get(k, 0) >= n for k, n in outstanding_of(old).items())
    if owed < 0 and complete:
        return [
            f"{amount(led, -owed)} more was paid than was handed over: "
            f"bows order refund {old.code} {figure(led, -owed)}"
        ]
    return []
