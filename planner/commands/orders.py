"""Commands of orders: ask, take, change, ready, off, pay, refund, hand, and after."""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated

import typer

from planner.commands import items as read
from planner.commands.items import How, Items, SomeItems
from planner.commands.options import BatchCode, DryRun, Json, On, Place
from planner.commands.session import current
from planner.ledgers.state import Ledgers
from planner.rules import handover, orders
from planner.rules.base import Proposal
from planner.rules.finding import find_order, find_place

Code = Annotated[str, typer.Argument(help="The order, such as O12.")]
For = Annotated[
    str | None, typer.Option("--for", help="Whose it is: a name, or a code like P3.")
]
New = Annotated[
    bool, typer.Option("--new", help="Somebody new, though the name is like another's.")
]
Note = Annotated[
    str, typer.Option("--note", help="Words about it; kept apart from the log.")
]
Due = Annotated[
    str | None, typer.Option("--due", help='When it is due: "fri", "fri 16:00".')
]
Weight = Annotated[
    int, typer.Option("--weight", min=1, max=100, help="How much lateness matters.")
]
Refund = Annotated[
    str | None, typer.Option("--refund", help="What is owed back, if not its worth.")
]
_WAYS: tuple[orders.Pay, ...] = ("cash", "card", "bank")


def place_of(led: Ledgers, at: str | None) -> str:
    """Find the place she names; home when she names none."""
    return find_place(led, at, current().today.isoformat())


def with_line(made: Proposal, line: str) -> Proposal:
    """Add a line to what a proposal says, if there is one."""
    return replace(made, said=(*made.said, line)) if line else made


def ask(
    words: Items,
    person: For = None,
    new: New = False,
    due: Due = None,
    until: Annotated[
        str | None, typer.Option("--until", help="How long the price holds: 14 days.")
    ] = None,
    note: Note = "",
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter an order asked for: a price you named, not yet agreed.

    Example: bows order ask 6 4in navy --for "Maren Oak" --due "12 dec"
    """
    s, told = current(), read.split_items(words)
    whose, (day, _) = read.who(s, person, new=new), read.due(s, due)

    def rule(led: Ledgers) -> Proposal:
        made = orders.asked(
            led, items=read.units(led, told), when=s.when(on), rand=s.rand,
            person=whose.person, new_person=whose.new_person, due=day,
            expires=read.ahead(s, until), note=read.words_of(note, what="note"),
        )  # fmt: skip
        return with_line(made, whose.said)

    s.write(rule, dry_run=dry_run, json=json)


def take(
    words: Annotated[
        list[str], typer.Argument(help='Such as "6 4in navy", or O12 that was asked.')
    ],
    person: For = None,
    new: New = False,
    due: Due = None,
    weight: Weight = 1,
    in_parts: Annotated[
        bool, typer.Option("--in-parts", help="May be handed over in parts.")
    ] = False,
    rush: Annotated[bool, typer.Option("--rush", help="A rush order.")] = False,
    post_days: Annotated[
        int, typer.Option("--post-days", min=0, max=365, help="Days in the post.")
    ] = 0,
    deposit: Annotated[
        str | None, typer.Option("--deposit", help="What was paid ahead.")
    ] = None,
    how: How = "cash",
    note: Note = "",
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter an order taken, new or one that was asked before.

    Example: bows order take 6 4in navy --due "12 dec" --for "Maren Oak" --deposit 20
    """
    s = current()
    code, rest = read.split_code(words, "O")
    told, whose = read.split_items(rest), read.who(s, person, new=new)
    (day, hour), way = read.due(s, due), read.pay(how, _WAYS)

    def rule(led: Ledgers) -> Proposal:
        made = orders.taken(
            led, items=read.units(led, told), when=s.when(on), rand=s.rand, due=day,
            order=code, person=whose.person, new_person=whose.new_person, hour=hour,
            weight=weight, in_parts=in_parts, rush=rush, post_days=post_days,
            deposit=read.money(led, deposit), how=way,
            note=read.words_of(note, what="note"),
        )  # fmt: skip
        return with_line(made, whose.said)

    s.write(rule, dry_run=dry_run, json=json)


def change(
    order: Code,
    add: Annotated[
        list[str] | None, typer.Option("--add", help='Such as "2 4in red @8".')
    ] = None,
    remove: Annotated[
        list[str] | None, typer.Option("--remove", help='Such as "1 4in navy".')
    ] = None,
    due: Due = None,
    weight: Annotated[
        int | None, typer.Option("--weight", min=1, max=100, help="Lateness matters.")
    ] = None,
    in_parts: Annotated[
        bool | None, typer.Option("--in-parts/--at-once", help="In parts, or all.")
    ] = None,
    post_days: Annotated[
        int | None, typer.Option("--post-days", min=0, max=365, help="In the post.")
    ] = None,
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter a change of an order: bows added or taken out, another day or terms.

    Example: bows order change O59 --add "2 4in red" --due "14 dec"
    """
    s, (day, hour) = current(), read.due(current(), due)
    more, less = read.split_items([", ".join(add or ())]), remove or ()
    fewer = read.split_items([", ".join(less)])

    def rule(led: Ledgers) -> Proposal:
        return orders.changed(
            led, order=order, when=s.when(on), add=read.units(led, more),
            remove=read.units(led, fewer), due=day, hour=hour, weight=weight,
            in_parts=in_parts, post_days=post_days,
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def ready(
    order: Code, on: On = None, dry_run: DryRun = False, json: Json = False
) -> None:
    """
    Enter that an order's bows are finished and set aside.

    Example: bows order ready O59
    """
    s = current()
    s.write(
        lambda led: handover.ready(led, order=order, when=s.when(on)),
        dry_run=dry_run, json=json,
    )  # fmt: skip


def off(
    order: Code,
    why: Annotated[str, typer.Option("--why", help="Why; no names here.")] = "",
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter that an order is called off.

    Example: bows order off O59 --why "found some elsewhere"
    """
    s, words = current(), read.words_of(why, what="reason")
    s.write(
        lambda led: handover.called_off(led, order=order, when=s.when(on), why=words),
        dry_run=dry_run, json=json,
    )  # fmt: skip


Amount = Annotated[
    str | None, typer.Argument(help="How much; all that is due if not told.")
]


def pay(
    order: Code,
    amount: Amount = None,
    how: How = "cash",
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter money in for an order; all that is still to pay unless told.

    Example: bows order pay O59 20.00 --how card
    """
    s, way = current(), read.pay(how, _WAYS)

    def rule(led: Ledgers) -> Proposal:
        came = read.money(led, amount)
        return handover.paid(led, order=order, when=s.when(on), money=came, how=way)

    s.write(rule, dry_run=dry_run, json=json)


def refund(
    order: Code,
    amount: Amount = None,
    how: How = "cash",
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter money given back for an order; all that is held for it unless told.

    Example: bows order refund O59 20.00
    """
    s, way = current(), read.pay(how, _WAYS)

    def rule(led: Ledgers) -> Proposal:
        back = read.money(led, amount)
        return handover.refunded(led, order=order, when=s.when(on), money=back, how=way)

    s.write(rule, dry_run=dry_run, json=json)


def hand(
    order: Code,
    words: SomeItems = None,
    post: Annotated[bool, typer.Option("--post", help="It went by post.")] = False,
    at: Place = None,
    batch: BatchCode = None,
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter an order handed over, all that is outstanding or the bows you name.

    Example: bows order hand O59
    """
    s, told = current(), read.split_items(words or ())

    def rule(led: Ledgers) -> Proposal:
        wanted = find_order(led, order).wanted
        given = read.bows(led, told, near=wanted) if told else None
        return handover.handed_over(
            led, order=order, when=s.when(on), bows=given, place=place_of(led, at),
            by_post=post, batch=batch,
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def reserve(
    claimant: Annotated[str, typer.Argument(help="The order or fair: O12, F3.")],
    words: Items,
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Set finished bows aside for an order or a fair; 0 frees a kind again.

    Example: bows reserve O59 6 4in navy
    """
    s, told = current(), read.split_items(words, zero=True)

    def rule(led: Ledgers) -> Proposal:
        kept = read.bows(led, told)
        return handover.reserved(led, claimant=claimant, bows=kept, when=s.when(on))

    s.write(rule, dry_run=dry_run, json=json)
