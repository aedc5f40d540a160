"""Rules of fairs while they are on: days, sold out, costs, crowds."""

from __future__ import annotations

from planner.events.fair import (
    CrowdTold,
    FairCostPaid,
    FairDayClosed,
    FairDayOpened,
    FairSoldOut,
)
from planner.ledgers.bows import stall
from planner.ledgers.catalogue import catalogue
from planner.ledgers.money import BANK, CASH, fair_day
from planner.ledgers.state import Ledgers
from planner.ledgers.timeline import Book, Row
from planner.rules.base import Proposal, proposal
from planner.rules.fair_days import no_day_of, out_of_hours
from planner.rules.fairs import CROWDS, find_fair_code
from planner.rules.pricing import (
    amount,
    day_words,
    held,
    local_day,
    paid_words,
)
from planner.values.moments import When


def _of_day(led: Ledgers, day: str | None, when: When) -> tuple[str, When]:
    """Give the fair's day told, and a moment on it."""
    now = local_day(led, when)
    if day is None or day == now:
        return now, when
    return day, When(day, when.about)


def day_opened(
    led: Ledgers, *, fair: str, when: When, float_: int = 0, day: str | None = None
) -> Proposal:
    """Propose a day of a fair begun, with the change in the till."""
    old = find_fair_code(led, fair)
    on, moment = _of_day(led, day, when)
    said = f"{old.name} opened on {day_words(on)}, {amount(led, float_)} in the till"
    odd = no_day_of(old, on)
    if on in old.opened:
        odd.append(f"{day_words(on)} was opened already")
    if not old.packed:
        odd.append(
            f"nothing was packed for it in the records: bows fair pack {old.code}"
        )
    event = FairDayOpened(fair=old.code, day=on, float_=float_)
    return proposal([event], moment, said, warnings=odd)


def typed_takings(led: Ledgers, fair: str, day: str) -> tuple[int, int]:
    """Give the cash and the card money of a day's typed sales, in minor units."""
    item = fair_day(fair, day)
    return movements(led.money, item, CASH), movements(led.money, item, BANK)


def movements(book: Book, item: str, account: str) -> int:
    """Add up what came into an account less what left it, readings left out."""
    return sum(_net(row, account) for row in book.why(item, account))


def _net(row: Row, account: str) -> int:
    # What a reading changed is what is to be explained.
    if row.reading is not None:
        return 0
    return row.amount if row.target == account else -row.amount


def day_closed(
    led: Ledgers, *, fair: str, when: When, cash: int, card: int | None = None,
    day: str | None = None,
) -> Proposal:  # fmt: skip
    """
    Propose a day of a fair ended with its takings counted.

    `cash` is what came in over and above the float; `card` None where not looked up.
    """
    old = find_fair_code(led, fair)
    on, moment = _of_day(led, day, when)
    typed_cash, typed_card = typed_takings(led, old.code, on)
    event = FairDayClosed(fair=old.code, day=on, cash=cash, card=card)
    said = (
        f"{old.name} closed on {day_words(on)}: {amount(led, cash)} in cash"
        + ("" if card is None else f", {amount(led, card)} by card")
        + f"; typed sales {amount(led, typed_cash + typed_card)}"
    )
    odd = no_day_of(old, on)
    if on in old.closed:
        odd.append(f"{day_words(on)} was closed already; this count holds from now on")
    odd += _takings_odd(led, "cash", cash - typed_cash)
    if card is not None:
        odd += _takings_odd(led, "card", card - typed_card)
    return proposal([event], moment, said, warnings=odd)


def _takings_odd(led: Ledgers, how: str, difference: int) -> list[str]:
    if difference > 0:
        return [
            f"{amount(led, difference)} more {paid_words(how)} than the typed sales: "
            "sales not typed"
        ]
    if difference < 0:
        less = amount(led, -difference)
        return [f"{less} less {paid_words(how)} than the typed sales"]
    return []


def sold_out(
    led: Ledgers, *, fair: str, kind: str, when: When, day: str | None = None,
    at: str | None = None,
) -> Proposal:  # fmt: skip
    """Propose that a kind was sold out from an hour on, or some time that day."""
    old, cat = find_fair_code(led, fair), catalogue(led)
    on, moment = _of_day(led, day, when)
    left = held(led, kind, stall(old.code))
    event = FairSoldOut(fair=old.code, made=kind, day=on, at=at)
    said = f"{cat.kind_name(kind)} sold out at {old.name}, {day_words(on)}" + (
        f" from {at} on" if at else ""
    )
    odd = no_day_of(old, on) + out_of_hours(old, on, at)
    if left > 0:
        odd.append(f"the records still have {left} on the stall: sales not typed?")
    if kind not in old.packed:
        odd.append("the records have none of them packed for it")
    return proposal([event], moment, said, warnings=odd)


def cost_paid(
    led: Ledgers, *, fair: str, what: str, money: int, when: When
) -> Proposal:
    """Propose a cost of a fair: the fee, parking, a table."""
    old = find_fair_code(led, fair)
    said = (
        f"{what} for {old.name}, {amount(led, money)}: its costs "
        f"{amount(led, old.costs)} → {amount(led, old.costs + money)}"
    )
    odd = []
    if what.casefold() == "fee" and old.fee and money != old.fee:
        odd.append(f"its fee was told as {amount(led, old.fee)}")
    event = FairCostPaid(fair=old.code, what=what, amount=money)
    return proposal([event], when, said, warnings=odd)


def crowd_told(led: Ledgers, *, fair: str, crowd: int, when: When) -> Proposal:
    """Propose how large the crowd turned out."""
    old = find_fair_code(led, fair)
    was = old.crowd_told or old.crowd
    said = f"crowd at {old.name}: {CROWDS[was - 1]} → {CROWDS[crowd - 1]}"
    return proposal([CrowdTold(fair=old.code, crowd=crowd)], when, said)
