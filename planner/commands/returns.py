"""Commands of bows that come back or never came: lost, back, exchange."""

from __future__ import annotations

from typing import Annotated

import typer

from planner.commands import items as read
from planner.commands.items import Items, SomeItems
from planner.commands.options import DryRun, Json, On, Place
from planner.commands.orders import Code, Refund, place_of
from planner.commands.session import current
from planner.errors import Unreadable
from planner.ledgers.state import Ledgers
from planner.rules import returns
from planner.rules.base import Proposal
from planner.rules.finding import find_order

_BACK: tuple[returns.Back, ...] = ("stock", "rework", "written off")


def lost(
    order: Code,
    words: SomeItems = None,
    refund: Refund = None,
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter a parcel that never came; without a refund its bows are made again.

    Example: bows order lost O12 2 4in navy --refund 48.00
    """
    s, told = current(), read.split_items(words or ())

    def rule(led: Ledgers) -> Proposal:
        wanted = find_order(led, order).wanted
        gone = read.bows(led, told, near=wanted) if told else None
        return returns.lost_in_post(
            led, order=order, when=s.when(on), bows=gone,
            refund=read.money(led, refund, zero=True),
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def back(
    order: Code,
    words: Items,
    to: Annotated[
        str, typer.Option("--to", help="stock, rework or written off.")
    ] = "stock",
    refund: Refund = None,
    at: Place = None,
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter bows of an order that came back.

    Example: bows order back O12 1 4in navy --to rework
    """
    s, told = current(), _single(read.split_items(words))
    where = read.one_of(to, _BACK, what="place for bows that came back")

    def rule(led: Ledgers) -> Proposal:
        wanted = find_order(led, order).wanted
        return returns.returned(
            led, order=order, kind=read.kind(led, told.words, near=wanted),
            count=told.number, when=s.when(on), to=where, place=place_of(led, at),
            refund=read.money(led, refund, zero=True),
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def _single(told: list[read.Item]) -> read.Item:
    if len(told) != 1:
        raise Unreadable("One kind at a time.", instead="1 4in navy")
    return told[0]


def exchange(
    order: Code,
    words: Annotated[list[str], typer.Argument(help='"1 4in navy" to "4in red".')],
    worth: Annotated[
        str | None, typer.Option("--worth", help="What the new ones are worth.")
    ] = None,
    where: Annotated[
        str, typer.Option("--to", help="stock, rework or written off.")
    ] = "stock",
    at: Place = None,
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter bows of an order exchanged; put "to" between the two kinds.

    Example: bows order exchange O12 1 4in navy to 4in red
    """
    s, (old, new) = current(), _both(words)
    told = _single(read.split_items(old))
    goes = read.one_of(where, _BACK, what="place for bows that came back")

    def rule(led: Ledgers) -> Proposal:
        wanted = find_order(led, order).wanted
        return returns.exchanged(
            led, order=order, was=read.kind(led, told.words, near=wanted),
            became=read.kind(led, " ".join(new)), count=told.number, when=s.when(on),
            to=goes, earned=read.money(led, worth, zero=True), place=place_of(led, at),
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def _both(words: list[str]) -> tuple[list[str], list[str]]:
    at = words.index("to") if "to" in words else -1
    if at < 1 or at == len(words) - 1:
        raise Unreadable(
            'Put "to" between what came back and what went out.',
            instead="bows order exchange O12 1 4in navy to 4in red",
        )
    return words[:at], words[at + 1 :]
