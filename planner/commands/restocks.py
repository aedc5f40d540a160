"""Commands of restocks and supplies: on the way, in, out."""

from __future__ import annotations

from collections import Counter
from typing import Annotated

import typer

from planner.commands.options import DryRun, Json, On
from planner.commands.session import current
from planner.commands.spools import Lot, Paid, Supplier, money, split_length
from planner.errors import Unreadable
from planner.ledgers.state import Ledgers
from planner.rules import spools as rules
from planner.rules.base import Proposal
from planner.rules.finding import find_code, find_ribbon, find_supply
from planner.values.daywords import parse_day
from planner.values.money import share_out
from planner.values.quantities import parse_count
from planner.values.text import clean


def supply_in(
    units: Annotated[str, typer.Argument(help="Whole units.", metavar="QTY")],
    words: Annotated[list[str], typer.Argument(help="The supply.")],
    paid: Paid = None,
    supplier: Supplier = "not told",
    had: Annotated[
        bool, typer.Option("--had", help="I had them when my records began.")
    ] = False,
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter units of a supply that came in.

    Example: bows supply in 200 short clip --paid 18.00
    """
    s, number = current(), parse_count(units, what="units")

    def rule(led: Ledgers) -> Proposal:
        return rules.supply_in(
            led, supply=find_supply(led, words), units=number, paid=money(led, paid),
            supplier=clean(supplier, what="supplier's name"), when=s.when(on),
            opening=had,
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def supply_out(
    units: Annotated[str, typer.Argument(help="Whole units.", metavar="QTY")],
    lot: Annotated[str, typer.Argument(help="The lot, such as L3.")],
    back: Annotated[
        bool, typer.Option("--back", help="Sent back to the supplier.")
    ] = False,
    refund: Annotated[
        str | None, typer.Option("--refund", help="Money that came back.")
    ] = None,
    why: Annotated[str, typer.Option("--why", help="How they were lost.")] = "",
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter units of a supply lost or broken, or sent back.

    Example: bows supply out 10 L3 --why rusty
    """
    s, number = current(), parse_count(units, what="units")

    def rule(led: Ledgers) -> Proposal:
        code = find_code(led.lots, lot, what="lot", instead="bows supplies")
        return rules.supply_out(
            led, lot=code, units=number, back=back, refund=money(led, refund),
            why=clean(why, what="reason") if why else "", when=s.when(on),
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def restock_order(
    supplier: Annotated[str, typer.Argument(help="Who sells it.")],
    ribbon: Annotated[
        list[str] | None,
        typer.Option("--ribbon", help='Such as "2 x navy 1.5in 100yd = 49.00".'),
    ] = None,
    supply: Annotated[
        list[str] | None,
        typer.Option("--supply", help='Such as "200 x short clip = 18.00".'),
    ] = None,
    expected: Annotated[
        str, typer.Option("--expected", help="The day it should come.")
    ] = "in 1 week",
    latest: Annotated[
        str | None, typer.Option("--latest", help="The day it comes at the latest.")
    ] = None,
    freight: Annotated[str | None, typer.Option("--freight")] = None,
    discount: Annotated[str | None, typer.Option("--discount")] = None,
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter ribbon or supplies ordered, on the way.

    Example: bows restock order "Low Tide Trimmings" --ribbon "2 x navy 1.5in 100yd"
    """
    s = current()
    day = parse_day(expected, today=s.today)
    last = parse_day(latest, today=s.today) if latest else day

    def rule(led: Ledgers) -> Proposal:
        lines = [line for text in ribbon or () for line in _ribbon_lines(led, text)]
        lines += [_supply_line(led, text) for text in supply or ()]
        if not lines:
            raise Unreadable(
                "Nothing is ordered.", instead='--ribbon "2 x navy 1.5in 100yd"'
            )
        return rules.ordered(
            led, supplier=clean(supplier, what="supplier's name"), lines=lines,
            expected=day.isoformat(), latest=last.isoformat(),
            freight=money(led, freight), discount=money(led, discount),
            when=s.when(on),
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def _times(text: str) -> tuple[int, str, str | None]:
    """Split `2 x navy 1.5in 100yd = 49.00` into number, words and price."""
    words, _, price = text.partition("=")
    number, times, rest = words.strip().partition(" x ")
    if not times:
        return 1, words.strip(), price.strip() or None
    return parse_count(number, what="pieces"), rest.strip(), price.strip() or None


def _ribbon_lines(led: Ledgers, text: str) -> list[rules.Ordered]:
    """Read spools of one ribbon; where the price can't be halved, two lines of them."""
    number, words, price = _times(text)
    told, length = split_length(words.split())
    ribbon = find_ribbon(led, told)
    each = Counter(share_out(money(led, price), [1] * number))
    return [rules.Ordered(ribbon, True, length, n, paid) for paid, n in each.items()]


def _supply_line(led: Ledgers, text: str) -> rules.Ordered:
    number, words, price = _times(text)
    return rules.Ordered(find_supply(led, words), False, 0, number, money(led, price))


def restock_in(
    restock: Annotated[str, typer.Argument(help="The restock, such as R3.")],
    lot: Lot = None,
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter that all that was still on the way of a restock came in.

    Example: bows restock in R9
    """
    s = current()

    def rule(led: Ledgers) -> Proposal:
        code = _restock(led, restock)
        return rules.restock_in(
            led, restock=code, lot=clean(lot, what="lot") if lot else None,
            when=s.when(on),
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def restock_cancel(
    restock: Annotated[str, typer.Argument(help="The restock, such as R3.")],
    why: Annotated[str, typer.Option("--why")] = "",
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter that what is still on the way of a restock won't come.

    Example: bows restock cancel R3
    """
    s = current()

    def rule(led: Ledgers) -> Proposal:
        return rules.restock_cancelled(
            led, restock=_restock(led, restock),
            why=clean(why, what="reason") if why else "", when=s.when(on),
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def _restock(led: Ledgers, code: str) -> str:
    return find_code(
        led.keys("restocks"), code, what="restock", instead="bows restock order ..."
    )
