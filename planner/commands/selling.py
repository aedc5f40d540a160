"""Commands of selling: sold, taken back, costs."""

from __future__ import annotations

import re
from typing import Annotated

import typer

from planner.commands import items as read
from planner.commands.items import How
from planner.commands.options import BatchCode, DryRun, Json, On, Place
from planner.commands.session import current
from planner.errors import Unreadable
from planner.ledgers.state import Ledgers
from planner.rules import selling as rules
from planner.rules.base import Proposal
from planner.rules.finding import find_place
from planner.values.text import clean

_WAYS: tuple[rules.Pay, ...] = ("cash", "card", "bank", "not yet")
Card = Annotated[bool, typer.Option("--card", help="Short for --how card.")]
_AMOUNT = re.compile(r"\W{0,3}[0-9][0-9.,]*\W{0,3}")
SoldItems = Annotated[
    list[str],
    typer.Argument(
        help='Such as "3 4in navy", "2 4in not noticed", "3 4in navy for 20".'
    ),
]


def _at(led: Ledgers, place: str | None) -> str | None:
    if place is None:
        return None
    return find_place(led, place, current().today.isoformat())


def sold(
    words: SoldItems,
    how: How = "cash",
    card: Card = False,
    at: Place = None,
    batch: BatchCode = None,
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter bows sold: at the stall of a fair that is on, else from home.

    The price list is taken unless you say "for 20"; "4in not noticed" is any colour.

    Example: bows sold 3 4in navy
    """
    s, (rest, paid) = current(), read.split_for(words)
    told, way = read.split_items(rest), read.pay("card" if card else how, _WAYS)

    def rule(led: Ledgers) -> Proposal:
        return rules.sold(
            led, items=read.units(led, told), when=s.when(on), place=_at(led, at),
            taken=read.money(led, paid, zero=True), how=way, batch=batch,
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def taken_back(
    words: SoldItems,
    how: How = "cash",
    at: Place = None,
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter bows a buyer brought back, and the money you returned.

    Example: bows taken-back 1 4in navy for 8.00
    """
    s, (rest, paid) = current(), read.split_for(words)
    told, way = read.split_items(rest), read.pay(how, _WAYS)

    def rule(led: Ledgers) -> Proposal:
        return rules.taken_back(
            led, bows=read.bows(led, told), when=s.when(on), place=_at(led, at),
            returned=read.money(led, paid, zero=True), how=way,
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def cost(
    what: Annotated[str, typer.Argument(help="What it was: postage, tools.")],
    amount: Annotated[str, typer.Argument(help="How much.")],
    note: Annotated[str, typer.Option("--note", help="Words about it.")] = "",
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter a cost that is neither ribbon nor supply nor a fair's.

    Example: bows cost postage 12.40
    """
    if _AMOUNT.fullmatch(what) and not _AMOUNT.fullmatch(amount):
        raise Unreadable(
            "First what it was, then how much.", instead=f"bows cost {amount} {what}"
        )
    s, name = current(), clean(what, what="cost's name")
    words = read.words_of(note, what="note")

    def rule(led: Ledgers) -> Proposal:
        return rules.cost_paid(
            led, what=name, money=read.must(led, amount), when=s.when(on), note=words
        )

    s.write(rule, dry_run=dry_run, json=json)
