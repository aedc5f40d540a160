"""Commands of finished bows: have, move, give, write-off, found, lost, count."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Annotated, cast

import typer

from planner.commands.options import BatchCode, DryRun, Json, On, Place, Words
from planner.commands.session import current
from planner.errors import Unreadable
from planner.ledgers.state import Ledgers
from planner.rules import stock as rules
from planner.rules.base import Proposal
from planner.rules.finding import (
    find_batch,
    find_kind,
    find_place,
    find_supply,
)
from planner.rules.pricing import add_up
from planner.values.quantities import parse_count
from planner.values.text import clean, quoted

_PIECE = re.compile(r"\s*[0-9]+\s+\S")
"""What a comma between two kinds is followed by."""

HowMany = Annotated[str, typer.Argument(help="How many bows.", metavar="QTY")]


def count_of(text: str, *, what: str = "bows") -> int:
    """Read a count that may be none."""
    return 0 if text.strip() in ("0", "none") else parse_count(text, what=what)


def named_bows(
    led: Ledgers, quantity: str, words: Sequence[str]
) -> tuple[tuple[str, int], ...]:
    """Find the bows of ``12 4in navy``, or of several kinds with commas between."""
    pieces = " ".join(words).split(",")
    if len(pieces) == 1 or not all(_PIECE.match(piece) for piece in pieces[1:]):
        return ((find_kind(led, words), parse_count(quantity, what="bows")),)
    listed = split_counts([quantity, *words])
    counts = [(kind, parse_count(str(n), what="bows")) for n, kind in listed]
    return tuple(add_up((find_kind(led, kind), n) for kind, n in counts).items())


def _place(led: Ledgers, at: str | None) -> str:
    return find_place(led, at, current().today.isoformat())


def _batch(led: Ledgers, batch: str | None, words: Sequence[str]) -> str | None:
    """Find the batch told; raises Unreadable beside bows of several kinds."""
    if batch is not None and "," in " ".join(words):
        raise Unreadable("A batch is of one kind.", instead="a line for each kind")
    return find_batch(led, batch) if batch else None


def have(
    quantity: HowMany, words: Words, at: Place = None, on: On = None,
    dry_run: DryRun = False, json: Json = False,
) -> None:  # fmt: skip
    """
    Enter bows you already had when your records began.

    Example: bows have 12 4in navy
    """
    s = current()

    def rule(led: Ledgers) -> Proposal:
        bows = named_bows(led, quantity, words)
        return rules.opening(led, bows=bows, place=_place(led, at), when=s.when(on))

    s.write(rule, dry_run=dry_run, json=json)


def move(
    quantity: HowMany,
    words: Words,
    to: Annotated[str, typer.Option("--to", help="Where they went.")],
    source: Annotated[
        str | None, typer.Option("--from", help="Where they were; home if not told.")
    ] = None,
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter bows moved from one place to another.

    Example: bows move 6 4in navy --to stall
    """
    s = current()

    def rule(led: Ledgers) -> Proposal:
        bows = named_bows(led, quantity, words)
        return rules.moved(
            led, bows=bows, source=_place(led, source), to=_place(led, to),
            when=s.when(on),
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def give(
    quantity: HowMany,
    words: Words,
    how: Annotated[
        str, typer.Option("--as", help="gift, prize, sample or own use.")
    ] = "gift",
    at: Place = None,
    batch: BatchCode = None,
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter bows given away.

    Example: bows give 1 4in navy --as sample
    """
    s = current()
    if how not in ("gift", "prize", "sample", "own use"):
        raise Unreadable(
            f"Bows are not given as {quoted(how)}.",
            instead="--as gift, prize, sample or 'own use'",
        )

    def rule(led: Ledgers) -> Proposal:
        return rules.given(
            led, bows=named_bows(led, quantity, words), how=cast(rules.How, how),
            place=_place(led, at), when=s.when(on),
            batch=_batch(led, batch, words),
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def write_off(
    quantity: HowMany,
    words: Words,
    why: Annotated[str, typer.Option("--why", help="Faded, torn, a bad clip ...")] = "",
    at: Place = None,
    batch: BatchCode = None,
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter finished bows written off.

    Example: bows write-off 1 4in navy --why faded
    """
    s = current()

    def rule(led: Ledgers) -> Proposal:
        return rules.written_off(
            led, bows=named_bows(led, quantity, words), place=_place(led, at),
            why=clean(why, what="reason") if why else "", when=s.when(on),
            batch=_batch(led, batch, words),
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def found(
    quantity: HowMany, words: Words, at: Place = None, on: On = None,
    dry_run: DryRun = False, json: Json = False,
) -> None:  # fmt: skip
    """
    Enter bows that turned up.

    Example: bows found 2 4in navy
    """
    s = current()

    def rule(led: Ledgers) -> Proposal:
        bows = named_bows(led, quantity, words)
        return rules.found(led, bows=bows, place=_place(led, at), when=s.when(on))

    s.write(rule, dry_run=dry_run, json=json)


def lost(
    quantity: HowMany,
    words: Words,
    why: Annotated[str, typer.Option("--why", help="How, if you know.")] = "",
    at: Place = None,
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter bows you know are gone.

    Example: bows lost 1 4in navy --at stall
    """
    s = current()

    def rule(led: Ledgers) -> Proposal:
        return rules.lost(
            led, bows=named_bows(led, quantity, words), place=_place(led, at),
            why=clean(why, what="reason") if why else "", when=s.when(on),
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def split_counts(words: list[str]) -> list[tuple[int, str]]:
    """Split `12 4in navy, 3 4in red` into counts and kinds, at the commas."""
    pairs = []
    for piece in " ".join(words).split(","):
        number, _, kind = piece.strip().partition(" ")
        if not kind:
            raise Unreadable(
                f"{quoted(piece.strip())} is no count and kind.",
                instead="bows count 12 4in navy, 3 4in red",
            )
        pairs.append((count_of(number), kind))
    return pairs


def count(
    words: Annotated[
        list[str], typer.Argument(help='Such as "12 4in navy, 3 4in red".')
    ],
    whole: Annotated[
        bool,
        typer.Option("--whole", help="I counted the whole place; the rest is none."),
    ] = False,
    at: Place = None,
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter a count of finished bows; what it contradicts is kept as not yet explained.

    Example: bows count 12 4in navy, 3 4in red
    """
    s, pairs = current(), split_counts(words)

    def rule(led: Ledgers) -> Proposal:
        counts = [(find_kind(led, kind), number) for number, kind in pairs]
        return rules.counted(
            led, counts=counts, place=_place(led, at), whole=whole, when=s.when(on)
        )

    s.write(rule, dry_run=dry_run, json=json)


def show(
    quantity: HowMany, words: Words, dry_run: DryRun = False, json: Json = False
) -> None:
    """
    Say how many bows of a kind stay on show and are not for sale.

    Example: bows show 1 4in navy
    """
    s, number = current(), count_of(quantity)

    def rule(led: Ledgers) -> Proposal:
        kind = find_kind(led, words)
        return rules.display(led, kind=kind, count=number, when=s.now.when)

    s.write(rule, dry_run=dry_run, json=json)


def supply_count(
    units: Annotated[str, typer.Argument(help="Units left.", metavar="QTY")],
    words: Annotated[list[str], typer.Argument(help="The supply.")],
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter a count of a supply.

    Example: bows supply count 180 short clip
    """
    s, number = current(), count_of(units, what="units")

    def rule(led: Ledgers) -> Proposal:
        return rules.supply_counted(
            led, supply=find_supply(led, words), units=number, when=s.when(on)
        )

    s.write(rule, dry_run=dry_run, json=json)


def supply_used(
    units: Annotated[str, typer.Argument(help="Whole units.", metavar="QTY")],
    words: Annotated[list[str], typer.Argument(help="The supply.")],
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter whole units of a supply used up.

    Example: bows supply used 1 glue stick
    """
    s, number = current(), parse_count(units, what="units")

    def rule(led: Ledgers) -> Proposal:
        return rules.supply_used(
            led, supply=find_supply(led, words), units=number, when=s.when(on)
        )

    s.write(rule, dry_run=dry_run, json=json)
