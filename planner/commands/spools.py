"""Commands of ribbon and supplies: in, restock, read, join, wind, end, send."""

from __future__ import annotations

from typing import Annotated, Literal, cast

import typer

from planner.commands.options import DryRun, Json, On
from planner.commands.session import current
from planner.errors import Refusal, Unreadable
from planner.ledgers.shop import shop
from planner.ledgers.state import Ledgers
from planner.rules import spools as rules
from planner.rules.base import Proposal
from planner.rules.finding import find_ribbon, find_spool
from planner.values.money import parse_amount
from planner.values.quantities import parse_count
from planner.values.text import clean
from planner.values.units import parse_length

Spool = Annotated[str, typer.Argument(help="The spool, such as S7.")]
Length = Annotated[list[str], typer.Argument(help='Such as "3 yd 8 in" or "0.8 m".')]
Paid = Annotated[str | None, typer.Option("--paid", help="What it cost in all.")]
Supplier = Annotated[str, typer.Option("--of", help="Who sold it.")]
Lot = Annotated[str | None, typer.Option("--lot", help="The dye lot on the label.")]
How = Literal["measured", "weighed", "judged", "ran out"]
SentHow = Literal["given", "sold", "lent", "returned"]


def money(led: Ledgers, text: str | None) -> int:
    """Read an amount that may be left out (nothing)."""
    return parse_amount(text, shop(led).currency, allow_zero=True) if text else 0


def split_length(words: list[str]) -> tuple[list[str], int]:
    """
    Take a length off the end of the words: `navy 1.5in 100yd`, `navy 1.5in 3 yd 8 in`.

    Raises what is wrong with the last word where it begins like a length.
    """
    for cut in range(max(len(words) - 4, 1), len(words)):
        try:
            return words[:cut], parse_length(" ".join(words[cut:]))
        except Refusal:
            continue
    if len(words) > 1 and words[-1][:1].isdigit():
        parse_length(words[-1])
    raise Unreadable(
        "The length on the label is missing at the end.",
        instead="bows in navy 1.5in 100yd",
    )


def spool_in(
    words: Annotated[list[str], typer.Argument(help="The ribbon, then its length.")],
    spools: Annotated[str, typer.Option("--spools", help="How many alike.")] = "1",
    paid: Paid = None,
    supplier: Supplier = "not told",
    lot: Lot = None,
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter whole spools that came in, with the length on the label.

    Example: bows in navy 1.5in 100yd --paid 24.50
    """
    s, number = current(), parse_count(spools, what="spools", most=500)
    ribbon_words, length = split_length(words)

    def rule(led: Ledgers) -> Proposal:
        return rules.spool_in(
            led, ribbon=find_ribbon(led, ribbon_words), length=length, spools=number,
            paid=money(led, paid), supplier=clean(supplier, what="supplier's name"),
            lot=clean(lot, what="lot") if lot else None, when=s.when(on),
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def spool_found(
    words: Annotated[list[str], typer.Argument(help="The ribbon, then what is left.")],
    label: Annotated[
        str | None, typer.Option("--label", help="The length on its label.")
    ] = None,
    lot: Lot = None,
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter a part-used spool you already had; the length is your estimate.

    Example: bows spool found navy 1.5in 40yd
    """
    s = current()
    ribbon_words, length = split_length(words)

    def rule(led: Ledgers) -> Proposal:
        return rules.spool_found(
            led, ribbon=find_ribbon(led, ribbon_words), length=length,
            label=parse_length(label) if label else None,
            lot=clean(lot, what="lot") if lot else None, when=s.when(on),
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def spool_read(
    spool: Spool,
    left: Annotated[list[str], typer.Argument(help='What is left; "0" if it ran out.')],
    how: Annotated[
        str, typer.Option("--how", help="measured, weighed, judged or 'ran out'.")
    ] = "measured",
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter what is really left on a spool.

    Example: bows read S7 41yd
    """
    s, text = current(), " ".join(left)
    none = text.strip() in ("0", "none", "nothing")
    length = 0 if none else parse_length(text)
    if how not in ("measured", "weighed", "judged", "ran out"):
        raise Unreadable(
            "A spool is measured, weighed, judged, or it ran out.",
            instead="--how weighed",
        )

    def rule(led: Ledgers) -> Proposal:
        return rules.spool_read(
            led, spool=find_spool(led, spool), left=length,
            how="ran out" if none else cast(How, how), when=s.when(on),
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def spool_empty(
    spool: Spool, on: On = None, dry_run: DryRun = False, json: Json = False
) -> None:
    """
    Enter that a spool is used up.

    Example: bows spool empty S7
    """
    spool_read(spool, ["0"], "ran out", on, dry_run, json)


def spool_join(
    spool: Spool,
    behind: Annotated[
        list[str] | None, typer.Argument(help="What is left behind the join.")
    ] = None,
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter a join found while cutting: the spool is two runs.

    Example: bows spool join S7 35yd
    """
    s = current()
    left = parse_length(" ".join(behind)) if behind else None

    def rule(led: Ledgers) -> Proposal:
        return rules.join_found(
            led, spool=find_spool(led, spool), left=left, when=s.when(on)
        )

    s.write(rule, dry_run=dry_run, json=json)


def spool_wind(
    spool: Spool, length: Length, on: On = None, dry_run: DryRun = False,
    json: Json = False,
) -> None:  # fmt: skip
    """
    Enter ribbon wound from a spool onto a new one.

    Example: bows spool wind S7 20yd
    """
    s, nm = current(), parse_length(" ".join(length))

    def rule(led: Ledgers) -> Proposal:
        return rules.wound(
            led, spool=find_spool(led, spool), length=nm, when=s.when(on)
        )

    s.write(rule, dry_run=dry_run, json=json)


def spool_end(
    spool: Spool,
    length: Length,
    scrapped: Annotated[
        bool, typer.Option("--scrapped", help="A kept end was thrown out or cut up.")
    ] = False,
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter a remnant kept from a spool, or a kept one thrown out.

    Example: bows spool end S7 14in
    """
    s, nm = current(), parse_length(" ".join(length), default="in")

    def rule(led: Ledgers) -> Proposal:
        code = find_spool(led, spool)
        if scrapped:
            return rules.end_scrapped(
                led, spool=code, length=nm, why="remnant", when=s.when(on)
            )
        return rules.end_kept(led, spool=code, length=nm, when=s.when(on))

    s.write(rule, dry_run=dry_run, json=json)


def spool_scrap(
    spool: Spool,
    length: Length,
    why: Annotated[
        str, typer.Option("--why", help="flaw, mis-cut, join, sample ...")
    ] = "not told",
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter ribbon of a spool thrown out.

    Example: bows spool scrap S7 18in --why flaw
    """
    s, nm = current(), parse_length(" ".join(length), default="in")

    def rule(led: Ledgers) -> Proposal:
        return rules.ribbon_scrapped(
            led, spool=find_spool(led, spool), length=nm,
            why=clean(why, what="reason", longest=60), when=s.when(on),
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def spool_send(
    spool: Spool,
    length: Length,
    how: Annotated[str, typer.Option("--as", help="given, sold, lent or returned.")],
    amount: Annotated[
        str | None, typer.Option("--for", help="Money that came in for it.")
    ] = None,
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter ribbon that left: given, sold, lent, or returned to the supplier.

    Example: bows spool send S7 2yd --as given
    """
    s, nm = current(), parse_length(" ".join(length))
    if how not in ("given", "sold", "lent", "returned"):
        raise Unreadable(
            "Ribbon is given, sold, lent or returned.", instead="--as given"
        )

    def rule(led: Ledgers) -> Proposal:
        return rules.ribbon_sent(
            led, spool=find_spool(led, spool), length=nm, how=cast(SentHow, how),
            amount=money(led, amount), when=s.when(on),
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def spool_back(
    spool: Spool, length: Length, on: On = None, dry_run: DryRun = False,
    json: Json = False,
) -> None:  # fmt: skip
    """
    Enter lent ribbon that came back.

    Example: bows spool back S7 2yd
    """
    s, nm = current(), parse_length(" ".join(length))

    def rule(led: Ledgers) -> Proposal:
        return rules.ribbon_back(
            led, spool=find_spool(led, spool), length=nm, when=s.when(on)
        )

    s.write(rule, dry_run=dry_run, json=json)


def spool_aside(
    spool: Spool,
    why: Annotated[str, typer.Option("--why", help="What is wrong with it.")] = "",
    again: Annotated[
        bool, typer.Option("--again", help="It may be cut again.")
    ] = False,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Set a spool aside, so that no cut takes it by itself.

    Example: bows spool aside S7 --why "wrong shade"
    """
    s = current()

    def rule(led: Ledgers) -> Proposal:
        return rules.set_aside(
            led, spool=find_spool(led, spool), aside=not again,
            why=clean(why, what="reason") if why else "", when=s.now.when,
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)
