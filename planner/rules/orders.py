"""Rules of orders: asked, taken, changed; what follows is in `handover`."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Literal

from planner.errors import Absurd, Ambiguous
from planner.events.base import Event
from planner.events.fields import LineItem
from planner.events.orders import (
    OrderAsked,
    OrderChanged,
    OrderPaid,
    OrderTaken,
)
from planner.ledgers.catalogue import catalogue
from planner.ledgers.orders import ASKED, CALLED_OFF, HANDED_OVER, READY, Order, quotes
from planner.ledgers.state import Ledgers
from planner.rules.base import Proposal, next_code, plural, proposal
from planner.rules.customers import Rand, customer, note_kept
from planner.rules.finding import find_order
from planner.rules.pricing import (
    Wanted,
    add_up,
    amount,
    day_words,
    local_day,
    paid_words,
    present,
    priced,
)
from planner.values.moments import When

Pay = Literal["cash", "card", "bank"]

PRICE_HINT = "Tell it as in: 6 4in navy @8.50"

QUOTE_DAYS = 14
"""How many days a quote holds unless she says otherwise."""


def line_items(
    items: Sequence[Wanted], prices: Sequence[int], *, first: int = 1
) -> tuple[LineItem, ...]:
    """Number units as lines of an order, with the kinds each unit holds."""
    return tuple(
        LineItem(line=at, what=i.what, count=i.count, price=price, kinds=i.kinds)
        for at, (i, price) in enumerate(zip(items, prices, strict=True), start=first)
    )


def _line_words(led: Ledgers, lines: Sequence[LineItem]) -> list[str]:
    cat = catalogue(led)
    return [
        f"{x.count:,} {cat.kind_name(x.what)} at {amount(led, x.price)} = "
        f"{amount(led, x.count * x.price)}"
        for x in lines
    ]


def _total(lines: Sequence[LineItem]) -> int:
    return sum(x.count * x.price for x in lines)


def due_words(day: str | None, hour: str | None) -> str:
    """Say when an order is due."""
    if day is None:
        return "no due day"
    return f"due {day_words(day)}" + (f" at {hour}" if hour else "")


def _need_lines(items: Sequence[Wanted], command: str) -> None:
    if not items:
        raise Absurd("An order needs bows.", instead=f"bows {command} 6 4in navy")


def _early_due(led: Ledgers, due: str | None, when: When) -> list[str]:
    if due is None or due >= local_day(led, when):
        return []
    return [f"its due day, {day_words(due)}, lies before the day it was taken"]


def asked(
    led: Ledgers, *, items: Sequence[Wanted], when: When, rand: Rand,
    person: str | None = None, new_person: str | None = None, due: str | None = None,
    expires: str | None = None, note: str = "",
) -> Proposal:  # fmt: skip
    """Propose a quote: lines at a price, open for 14 days unless told otherwise."""
    _need_lines(items, "order ask")
    code, who = (
        next_code(led, "O"),
        customer(led, person, new_person, rand),
    )
    prices = priced(led, items, "retail", when, instead=PRICE_HINT)
    lines = line_items(items, prices.prices)
    day = date.fromisoformat(local_day(led, when))
    until = expires or (day + timedelta(days=QUOTE_DAYS)).isoformat()
    kept, private = note_kept(who.code or code, note, rand)
    event = OrderAsked(
        order=code, person=who.code, lines=lines, due=due, expires=until, note=kept
    )
    said = (
        f"order {code} asked: {amount(led, _total(lines))}, "
        f"{due_words(due, None)}; the price holds to {day_words(until)}",
        *_line_words(led, lines), who.said,
    )  # fmt: skip
    return proposal(
        [*who.events, event], when, *present(*said),
        warnings=[*prices.warnings, *_early_due(led, due, when)],
        private=(*who.private, *private),
    )  # fmt: skip


def _asked_before(led: Ledgers, order: str | None) -> Order:
    if order is None:
        return Order(next_code(led, "O"))
    found = find_order(led, order)
    if found.state != ASKED:
        raise Ambiguous(
            f"{found.code} is already {found.state}.",
            instead=f"bows order change {found.code} --due fri",
        )
    return found


def _ran_out(led: Ledgers, quote: Order, when: When) -> list[str]:
    if quote.expires is None or quote.expires >= local_day(led, when):
        return []
    return [f"the price of {quote.code} held only to {day_words(quote.expires)}"]


def _need_due(due: str | None) -> str:
    if due is None:
        raise Absurd("An order needs its due day.", instead="add --due fri")
    return due


def taken(
    led: Ledgers, *, items: Sequence[Wanted], when: When, rand: Rand,
    due: str | None = None, order: str | None = None, person: str | None = None,
    new_person: str | None = None, hour: str | None = None, weight: int = 1,
    in_parts: bool = False, rush: bool = False, post_days: int = 0,
    deposit: int | None = None, how: Pay = "cash", note: str = "",
) -> Proposal:  # fmt: skip
    """
    Propose an order taken: new, or one that was asked (its lines unless told anew).

    Raises:
        Absurd: without lines or due day.
        Ambiguous: when the order named was taken before.
    """
    quote = _asked_before(led, order)
    day = _need_due(due or quote.due)
    if not items and not quote.lines:
        _need_lines(items, "order take")
    prices = priced(led, items, "retail", when, instead=PRICE_HINT)
    lines = line_items(items, prices.prices) or quote.lines
    who = customer(led, person, new_person, rand)
    kept, private = note_kept(who.code or quote.person or quote.code, note, rand)
    event = OrderTaken(
        order=quote.code, person=who.code or quote.person, lines=lines, due=day,
        hour=hour, weight=weight, in_parts=in_parts, rush=rush, post_days=post_days,
        note=kept,
    )  # fmt: skip
    money, words, odd = _deposit(led, quote.code, deposit, _total(lines), how)
    said = (
        f"order {quote.code} {'asked → taken' if order else 'taken'}: "
        f"{amount(led, _total(lines))}, {due_words(day, hour)}",
        *_line_words(led, lines), _terms(weight, in_parts, rush, post_days), who.said,
        words,
    )  # fmt: skip
    return proposal(
        [*who.events, event, *money], when, *present(*said),
        warnings=[
            *prices.warnings, *_ran_out(led, quote, when),
            *_early_due(led, day, when), *odd,
            *(_asked_alike(led, who.code, lines) if order is None else ()),
        ],
        private=(*who.private, *private),
    )  # fmt: skip


def _asked_alike(
    led: Ledgers, person: str | None, lines: Sequence[LineItem]
) -> list[str]:
    """Name the orders asked by the same person for the same bows: they stay asked."""
    return [
        f"{quote.code}, asked for the same, stays asked; if this is that one: bows "
        f"undo, then bows order take {quote.code}"
        for quote in quotes(led)
        if quote.person == person and _bows(quote.lines) == _bows(lines)
    ]


def _terms(weight: int, in_parts: bool, rush: bool, post_days: int) -> str:
    words = ["rush" if rush else "", f"lateness weighs {weight}" if weight > 1 else ""]
    words.append("may go in parts" if in_parts else "")
    words.append(f"{plural(post_days, 'day')} in the post" if post_days else "")
    return ", ".join(word for word in words if word)


def _deposit(
    led: Ledgers, order: str, deposit: int | None, total: int, how: Pay
) -> tuple[list[Event], str, list[str]]:
    if deposit is None:
        return [], "", []
    event = OrderPaid(order=order, amount=deposit, how=how)
    words = (
        f"deposit {amount(led, deposit)} {paid_words(how)}; "
        f"{amount(led, max(total - deposit, 0))} to pay"
    )
    odd = []
    if deposit > total:
        odd = [f"that is {amount(led, deposit - total)} more than the order comes to"]
    return [event], words, odd


def changed(
    led: Ledgers, *, order: str, when: When, add: Sequence[Wanted] = (),
    remove: Sequence[Wanted] = (), due: str | None = None, hour: str | None = None,
    weight: int | None = None, in_parts: bool | None = None,
    post_days: int | None = None,
) -> Proposal:  # fmt: skip
    """
    Propose an order's new whole: lines added or taken out, another due day or terms.

    Raises:
        Absurd: when nothing changes, nothing is left, or more is taken out than it has.
    """
    old = find_order(led, order)
    if old.state == ASKED and any(
        x is not None for x in (hour, weight, in_parts, post_days)
    ):
        raise Absurd(
            f"{old.code} is only asked; its hour and terms are told when it is taken.",
            instead=f"bows order take {old.code} --due 'fri 16:00'",
        )
    prices = priced(led, add, "retail", when, instead=PRICE_HINT)
    lines = _added(_removed(led, old, remove), add, prices.prices)
    if not lines:
        raise Absurd(
            f"Nothing would be left of {old.code}.",
            instead=f"bows order off {old.code}",
        )
    event = _whole(old, lines, due, hour, weight, in_parts, post_days)
    said = _changes(led, old, event)
    if not said:
        raise Absurd(
            f"Nothing about {old.code} would change.",
            instead=f"bows order change {old.code} --due fri --add '2 4in navy'",
        )
    return proposal(
        [event], when, *said, *_line_words(led, lines),
        warnings=[*prices.warnings, *_change_odd(led, old, lines, due, when)],
    )  # fmt: skip


def _whole(
    old: Order, lines: tuple[LineItem, ...], due: str | None, hour: str | None,
    weight: int | None, in_parts: bool | None, post_days: int | None,
) -> OrderAsked | OrderChanged:  # fmt: skip
    if old.state == ASKED:
        # A quote has no terms yet: it is told anew, and its note stays as it was.
        return OrderAsked(
            order=old.code, person=old.person, lines=lines, due=due or old.due,
            expires=old.expires,
        )  # fmt: skip
    return OrderChanged(
        order=old.code, lines=lines, due=_need_due(due or old.due),
        # Another day with no hour told drops the hour she had said for the old day.
        hour=hour or (None if due and due != old.due else old.hour),
        weight=old.weight if weight is None else weight,
        in_parts=old.in_parts if in_parts is None else in_parts,
        post_days=old.post_days if post_days is None else post_days,
    )  # fmt: skip


def _removed(
    led: Ledgers, old: Order, remove: Sequence[Wanted]
) -> tuple[LineItem, ...]:
    lines = list(old.lines)
    for out in remove:
        left = out.count
        for at, line in enumerate(lines):
            if line.what == out.what and left:
                gone = min(left, line.count)
                left -= gone
                lines[at] = line.model_copy(update={"count": line.count - gone})
        if left:
            name, has = catalogue(led).kind_name(out.what), out.count - left
            raise Absurd(
                f"{old.code} has only {has} {name} to take out.",
                instead="bows orders",
            )
    return tuple(line for line in lines if line.count)


def _added(
    lines: tuple[LineItem, ...], add: Sequence[Wanted], prices: Sequence[int]
) -> tuple[LineItem, ...]:
    kept = list(lines)
    for item, price in zip(add, prices, strict=True):
        same = [
            at for at, x in enumerate(kept) if (x.what, x.price) == (item.what, price)
        ]
        if same:
            more = kept[same[0]].count + item.count
            kept[same[0]] = kept[same[0]].model_copy(update={"count": more})
        else:
            first = max((x.line for x in kept), default=0) + 1
            kept += line_items([item], [price], first=first)
    return tuple(kept)


def _changes(led: Ledgers, old: Order, new: OrderAsked | OrderChanged) -> list[str]:
    cat, said = catalogue(led), []
    before, after = old.wanted, _bows(new.lines)
    for kind in {**before, **after}:
        if before.get(kind, 0) != after.get(kind, 0):
            said.append(
                f"{old.code}: {cat.kind_name(kind)} {before.get(kind, 0)} → "
                f"{after.get(kind, 0)}"
            )
    if old.total != _total(new.lines):
        said.append(
            f"total {amount(led, old.total)} → {amount(led, _total(new.lines))}"
        )
    was, now = due_words(old.due, old.hour), due_words(new.due, _hour(new))
    if was != now:
        said.append(f"{was} → {now}")
    return said + (_term_changes(old, new) if isinstance(new, OrderChanged) else [])


def _hour(event: OrderAsked | OrderChanged) -> str | None:
    return event.hour if isinstance(event, OrderChanged) else None


def _term_changes(old: Order, new: OrderChanged) -> list[str]:
    was = _terms(old.weight, old.in_parts, False, old.post_days) or "usual terms"
    now = _terms(new.weight, new.in_parts, False, new.post_days) or "usual terms"
    return [f"{was} → {now}"] if was != now else []


def _bows(lines: Sequence[LineItem]) -> dict[str, int]:
    return add_up((k, n * x.count) for x in lines for k, n in x.kinds)


def _change_odd(
    led: Ledgers, old: Order, lines: tuple[LineItem, ...], due: str | None, when: When
) -> list[str]:
    cat, odd, now = catalogue(led), _early_due(led, due, when), _bows(lines)
    for kind, count in old.handed.items():
        if count > now.get(kind, 0):
            odd.append(
                f"{count} {cat.kind_name(kind)} of it were handed over already, "
                f"more than it asks for now"
            )
    if old.state in (HANDED_OVER, CALLED_OFF):
        odd.append(f"{old.code} is {old.state}")
    if old.state == READY:
        odd.append(f"{old.code} was ready; it is open again")
    return odd
