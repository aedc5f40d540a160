"""Commands of boutiques: new, consign, statement, wholesale."""

from __future__ import annotations

import re
from typing import Annotated

import typer

from planner.commands import items as read
from planner.commands.items import How, Items, SomeItems
from planner.commands.options import BatchCode, DryRun, Json, On, Place
from planner.commands.session import current
from planner.errors import Absurd, Unreadable
from planner.ledgers.state import Ledgers
from planner.rules import boutiques as rules
from planner.rules.base import Proposal
from planner.rules.finding import find_place, place_name
from planner.values.names import Candidate, find
from planner.values.text import clean, quoted

Boutique = Annotated[str, typer.Argument(help="The boutique's name.")]
_WAYS: tuple[rules.Pay, ...] = ("cash", "card", "bank", "not yet")


def find_boutique(led: Ledgers, words: str) -> str:
    """Find a boutique's place by its name."""
    every = [Candidate(k, place_name(led, k)) for k in led.keys("boutiques")]
    hint = "bows boutique new NAME --commission 40"
    return find(words, every, what="boutique", hint=hint)


def basis_points(text: str) -> int:
    """
    Read a commission in per cent, such as ``40``, ``37.5`` or ``40%``.

    Raises:
        Unreadable: for junk and shares finer than a hundredth of a per cent.
        Absurd: above 100 per cent.
    """
    found = re.fullmatch(r"(\d{1,3})(?:[.,](\d{1,2}))? ?%?", text.strip())
    if found is None:
        raise Unreadable(f"{quoted(text)} is no share.", instead="--commission 40")
    points = int(found[1]) * 100 + int((found[2] or "").ljust(2, "0") or 0)
    if points > 10_000:
        raise Absurd(f"{quoted(text)} is more than all.", instead="--commission 40")
    return points


def new(
    name: Annotated[list[str], typer.Argument(help="The boutique's name.")],
    commission: Annotated[str, typer.Option("--commission", help="Per cent it keeps.")],
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Note a boutique that sells your bows, or its new commission.

    Example: bows boutique new "The Thimble" --commission 40
    """
    s, words = current(), clean(" ".join(name), what="boutique's name")
    share = basis_points(commission)
    s.write(
        lambda led: rules.noted(led, name=words, basis_points=share, when=s.when(on)),
        dry_run=dry_run, json=json,
    )  # fmt: skip


def consign(
    boutique: Boutique,
    words: Items,
    batch: BatchCode = None,
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter bows left with a boutique to sell.

    Example: bows boutique consign Puddock 6 4in navy, 4 4in red
    """
    s, told = current(), read.split_items(words)

    def rule(led: Ledgers) -> Proposal:
        return rules.consigned(
            led, place=find_boutique(led, boutique), bows=read.bows(led, told),
            when=s.when(on), batch=batch,
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def statement(
    boutique: Boutique,
    words: SomeItems = None,
    gross: Annotated[
        str | None, typer.Option("--gross", help="What it took; the list if not told.")
    ] = None,
    commission: Annotated[
        str | None, typer.Option("--commission", help="What it kept, as an amount.")
    ] = None,
    paid: Annotated[
        str | None, typer.Option("--paid", help="What it paid; all due if not told.")
    ] = None,
    came: Annotated[
        list[str] | None, typer.Option("--back", help='Came back: "2 4in red".')
    ] = None,
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter a boutique's statement: what it sold, kept and paid, and what came back.

    Example: bows boutique statement Puddock 3 4in navy --back "2 4in red" --paid 14.40
    """
    s, told = current(), read.split_items(words or ())
    home = read.split_items([", ".join(came or ())])

    def rule(led: Ledgers) -> Proposal:
        return rules.statement(
            led, place=find_boutique(led, boutique), when=s.when(on),
            sold=read.units(led, told), gross=read.money(led, gross, zero=True),
            commission=read.money(led, commission, zero=True),
            paid=read.money(led, paid, zero=True), back=read.bows(led, home),
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def wholesale(
    words: Annotated[
        list[str], typer.Argument(help='Such as "12 4in navy" or "12 4in navy for 50".')
    ],
    buyer: Annotated[str, typer.Option("--to", help="The shop (no person).")] = "",
    how: How = "bank",
    at: Place = None,
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter bows sold outright to a shop, at the wholesale list unless told.

    Example: bows boutique wholesale 12 4in navy --to "Bell Street Toys"
    """
    s, (rest, paid) = current(), read.split_for(words)
    told, way = read.split_items(rest), read.pay(how, _WAYS)
    name = read.words_of(buyer, what="shop's name") or "not told"

    def rule(led: Ledgers) -> Proposal:
        return rules.wholesale(
            led, items=read.units(led, told), when=s.when(on), buyer=name,
            taken=read.money(led, paid, zero=True), how=way,
            place=find_place(led, at, s.today.isoformat()),
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)
