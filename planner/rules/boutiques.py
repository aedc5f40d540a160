"""Rules of boutiques: noted, consigned, their statements, and wholesale sales."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Literal

from planner.errors import Absurd
from planner.events.base import Event
from planner.events.bows import BowsMoved
from planner.events.selling import BoutiqueNoted, BoutiqueStatement, WholesaleSold
from planner.ledgers.bows import HOME
from planner.ledgers.catalogue import catalogue
from planner.ledgers.state import Ledgers
from planner.rules.base import Proposal, proposal
from planner.rules.finding import find_code, kind_names, place_name
from planner.rules.pricing import (
    Bows,
    Wanted,
    add_up,
    amount,
    bows_of,
    find_batch_or_none,
    moved,
    over,
    paid_words,
    present,
    priced,
    some,
)
from planner.values.moments import When
from planner.values.money import fee
from planner.values.text import slug

BOUTIQUE = "boutique:"
"""Begins the place code of every boutique."""

Pay = Literal["cash", "card", "bank", "not yet"]


def percent(basis_points: int) -> str:
    """Say basis points as a percentage: `40 %`, `12.5 %`."""
    return f"{basis_points / 100:g} %"


def noted(led: Ledgers, *, name: str, basis_points: int, when: When) -> Proposal:
    """Propose a boutique with its commission, new or told anew."""
    place = BOUTIQUE + slug(name)
    page = led.page("boutiques", place)
    before = [k.event for k in page if k.event.kind == "boutique-noted"]
    said = f"boutique {name}: commission "
    if before:
        said += f"{percent(before[-1].basis_points)} → "
    event = BoutiqueNoted(place=place, name=name, basis_points=basis_points)
    return proposal([event], when, said + percent(basis_points))


def commission_of(led: Ledgers, place: str) -> int:
    """
    Give a boutique's commission in basis points, as last told.

    Raises:
        Unknown: when the place is no boutique on record.
    """
    known = find_code(
        led.keys("boutiques"), place, what="boutique",
        instead="bows boutique new NAME --commission 40",
    )  # fmt: skip
    told = [
        k.event for k in led.page("boutiques", known)
        if k.event.kind == "boutique-noted"
    ]  # fmt: skip
    return int(told[-1].basis_points) if told else 0


def consigned(
    led: Ledgers, *, place: str, bows: Mapping[str, int], when: When,
    source: str = HOME, batch: str | None = None,
) -> Proposal:  # fmt: skip
    """Propose bows left with a boutique to sell; they stay hers until sold."""
    commission_of(led, place)
    left = some(bows, instead=f"bows boutique consign {_name(led, place)} 6 4in navy")
    event = BowsMoved(
        bows=left, source=source, to=place, batch=find_batch_or_none(led, batch)
    )
    said = (
        f"left with {place_name(led, place)}: {kind_names(catalogue(led), left)}",
        moved(led, source, left, -1, when), moved(led, place, left, 1, when),
    )  # fmt: skip
    return proposal([event], when, *said, warnings=over(led, source, left, when))


def _name(led: Ledgers, place: str) -> str:
    return f'"{place_name(led, place)}"'


def statement(
    led: Ledgers, *, place: str, when: When, sold: Sequence[Wanted] = (),
    gross: int | None = None, commission: int | None = None, paid: int | None = None,
    back: Mapping[str, int] | None = None,
) -> Proposal:  # fmt: skip
    """
    Propose a boutique's statement: what it sold and paid, and what it gave back.

    Gross is as told, else by the price list; commission as told, else its share of
    the gross rounded half up; paid as told, else all that is due.

    Raises:
        Absurd: when nothing was sold, paid or given back.
    """
    share = commission_of(led, place)
    came = tuple((k, n) for k, n in (back or {}).items() if n)
    if not (sold or came or gross or paid):
        raise Absurd(
            "A statement needs something sold, paid or given back.",
            instead=f"bows boutique statement {_name(led, place)} 3 4in navy "
            "--paid 14.40",
        )
    prices = priced(led, sold if gross is None else (), "retail", when,
                    instead="Tell it as in: --gross 24.00")  # fmt: skip
    total = _gross(sold, prices.prices) if gross is None else gross
    kept = fee(total, share, 0) if commission is None else commission
    due = total - kept
    event = BoutiqueStatement(
        place=place, sold=bows_of(sold), gross=total, commission=kept,
        paid=max(due, 0) if paid is None else paid,
    )  # fmt: skip
    events: list[Event] = [event]
    if came:
        events.append(BowsMoved(bows=came, source=place, to=HOME))
    return proposal(
        events, when, *_statement_words(led, event, came, when),
        warnings=[
            *prices.warnings, *_money_odd(led, event, share),
            *over(led, place, (*event.sold, *came), when),
        ],
    )  # fmt: skip


def _gross(sold: Sequence[Wanted], prices: Sequence[int]) -> int:
    return sum(p * unit.count for p, unit in zip(prices, sold, strict=True))


def _statement_words(
    led: Ledgers, e: BoutiqueStatement, came: Bows, when: When
) -> tuple[str, ...]:
    cat, name = catalogue(led), place_name(led, e.place)
    gone = add_up((*e.sold, *came))
    return present(
        f"{name} sold {kind_names(cat, e.sold)}" if e.sold else "",
        f"{amount(led, e.gross)} less commission {amount(led, e.commission)} = "
        f"{amount(led, max(e.gross - e.commission, 0))}; paid {amount(led, e.paid)}",
        moved(led, e.place, gone.items(), -1, when) if gone else "",
        f"came back: {kind_names(cat, came)}" if came else "",
        moved(led, HOME, came, 1, when) if came else "",
    )


def _money_odd(led: Ledgers, e: BoutiqueStatement, share: int) -> list[str]:
    odd, due = [], e.gross - e.commission
    if e.commission != fee(e.gross, share, 0):
        odd.append(
            f"its commission of {percent(share)} would be "
            f"{amount(led, fee(e.gross, share, 0))}"
        )
    if e.paid < due:
        odd.append(f"{amount(led, due - e.paid)} of it is still owed to you")
    elif e.paid > due:
        odd.append(f"that is {amount(led, e.paid - due)} more than it owed for these")
    return odd


def wholesale(
    led: Ledgers, *, items: Sequence[Wanted], when: When, buyer: str = "not told",
    taken: int | None = None, how: Pay = "bank", place: str = HOME,
) -> Proposal:  # fmt: skip
    """
    Propose bows sold outright to a shop, at the wholesale list unless told.

    Raises:
        Absurd: when no bows were named.
    """
    if not items:
        raise Absurd(
            "No bows were named.", instead="bows boutique wholesale 12 4in navy"
        )
    prices = priced(
        led, items if taken is None else (), "wholesale", when,
        instead="Tell it as in: bows boutique wholesale 12 4in navy for 54.00",
    )  # fmt: skip
    money = _gross(items, prices.prices) if taken is None else taken
    bows = bows_of(items)
    event = WholesaleSold(bows=bows, taken=money, place=place, how=how, buyer=buyer)
    said = (
        f"sold wholesale {kind_names(catalogue(led), bows)} for "
        f"{amount(led, money)}, {paid_words(how)}",
        moved(led, place, bows, -1, when),
    )
    return proposal(
        [event], when, *said, warnings=[*prices.warnings, *over(led, place, bows, when)]
    )
