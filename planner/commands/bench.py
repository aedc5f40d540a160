"""Commands of the bench: cut, made, spoiled, sitting, rework, apart, trim."""

from __future__ import annotations

import re
from typing import Annotated

import typer

from planner.commands.options import (
    BatchCode,
    DryRun,
    FromSpool,
    Json,
    On,
    Place,
    Words,
)
from planner.commands.session import current
from planner.commands.stock import count_of
from planner.errors import Unknown, Unreadable
from planner.ledgers.state import Ledgers
from planner.rules import bench as rules
from planner.rules import rework as after
from planner.rules.base import Proposal
from planner.rules.cut_late import cut_late as cut_late_rule
from planner.rules.finding import (
    find_batch,
    find_bundle,
    find_code,
    find_kind,
    find_order,
    find_place,
    find_spool,
)
from planner.values.durations import parse_minutes
from planner.values.quantities import parse_count
from planner.values.text import clean, quoted
from planner.values.units import parse_length

_MINUTES = re.compile(r"^\d[\d.]*\s*(min|minutes?|m|h)$|^\d+h\d*(min|m)?$", re.I)

_CLOCK = re.compile(r"([0-9]{1,2}):([0-5][0-9])")

HowMany = Annotated[str, typer.Argument(help="How many bows.", metavar="QTY")]


def split_minutes(words: list[str]) -> tuple[list[str], int | None]:
    """Take minutes off the end of the words: `4in navy 95min`."""
    if words and _MINUTES.match(words[-1]):
        return words[:-1], parse_minutes(words[-1])
    if len(words) > 1 and _MINUTES.match("".join(words[-2:])) and words[-2].isdigit():
        return words[:-2], parse_minutes("".join(words[-2:]))
    return words, None


def _kind_made(led: Ledgers, words: list[str]) -> str:
    """Find what was made; a bare number at the end is asked about."""
    try:
        return find_kind(led, words)
    except Unknown as nothing:
        clock = _CLOCK.fullmatch(words[-1]) if len(words) > 1 else None
        if clock:
            raise Unreadable(
                f"{quoted(words[-1])} of what?",
                instead=f"{int(clock[1])}h{clock[2]}   (if those are hours and "
                f"minutes; or all in minutes: {60 * int(clock[1]) + int(clock[2])}min)",
            ) from nothing
        if len(words) > 1 and words[-1].isdigit():
            raise Unreadable(
                f"{quoted(words[-1])} of what?",
                instead=f"{words[-1]}min   (if those are minutes)",
            ) from nothing
        raise


def cut(
    quantity: HowMany,
    words: Words,
    spool: FromSpool = None,
    role: Annotated[
        list[str] | None, typer.Option("--role", help="Only this part, such as body.")
    ] = None,
    length: Annotated[
        str | None,
        typer.Option(
            "--length", help="Cut ahead: this length, off --from, for --role."
        ),
    ] = None,
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter ribbon cut for bows of a kind, all their parts or some.

    Example: bows cut 12 4in navy
    """
    s, count = current(), parse_count(quantity, what="bows")

    def rule(led: Ledgers) -> Proposal:
        source = find_spool(led, spool) if spool else None
        if length is not None:
            return rules.cut_ahead(
                led, spool=source or find_spool(led, words[0]),
                role=(role or ["body"])[0], length=parse_length(length, default="in"),
                count=count, when=s.when(on),
            )  # fmt: skip
        return rules.cut(
            led, kind=find_kind(led, words), bows=count, when=s.when(on), spool=source,
            roles=role or (),
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def cut_late(
    batch: Annotated[str, typer.Argument(help="The batch, such as B12.")],
    spool: FromSpool = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter the cut behind a batch that was typed without one.

    Example: bows cut-late B12 --from S7
    """

    def rule(led: Ledgers) -> Proposal:
        source = find_spool(led, spool) if spool else None
        return cut_late_rule(led, batch=find_batch(led, batch), spool=source)

    current().write(rule, dry_run=dry_run, json=json)


def made(
    quantity: HowMany,
    words: Words,
    spool: FromSpool = None,
    bundle: Annotated[
        list[str] | None, typer.Option("--bundle", help="The bundles used.")
    ] = None,
    order: Annotated[
        str | None, typer.Option("--order", help="The order they were made for.")
    ] = None,
    sitting: Annotated[
        str | None, typer.Option("--sitting", help="A sitting entered before.")
    ] = None,
    at: Place = None,
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter bows finished, with the minutes they took if you noticed.

    Example: bows made 12 4in navy 95min
    """
    s, count = current(), parse_count(quantity, what="bows")
    kind_words, minutes = split_minutes(words)

    def rule(led: Ledgers) -> Proposal:
        return rules.made(
            led, kind=_kind_made(led, kind_words), bows=count, when=s.when(on),
            minutes=minutes, spool=find_spool(led, spool) if spool else None,
            bundles=tuple(find_bundle(led, code) for code in bundle or ()),
            order=find_order(led, order).code if order else None,
            place=find_place(led, at, s.today.isoformat()),
            sitting=_sitting(led, sitting),
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def _sitting(led: Ledgers, code: str | None) -> str | None:
    if code is None:
        return None
    return find_code(led.sittings, code, what="sitting", instead="bows sitting 95min")


def spoiled(
    quantity: HowMany,
    words: Words,
    keep: Annotated[
        list[str] | None, typer.Option("--keep", help="A part that is still good.")
    ] = None,
    supplies: Annotated[
        bool, typer.Option("--supplies", help="The clips and cards are gone too.")
    ] = False,
    why: Annotated[str, typer.Option("--why", help="What went wrong.")] = "",
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter bows spoiled at the bench; their cut parts are scrapped.

    Example: bows spoiled 1 4in navy --keep knot
    """
    s, count = current(), parse_count(quantity, what="bows")

    def rule(led: Ledgers) -> Proposal:
        return rules.spoiled(
            led, kind=find_kind(led, words), bows=count, when=s.when(on),
            keep=tuple(keep or ()), supplies=supplies,
            why=clean(why, what="reason") if why else "",
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def sitting(
    minutes: Annotated[list[str], typer.Argument(help='Such as "95min" or "1h35".')],
    planned: Annotated[
        str | None, typer.Option("--planned", help="How long it was meant to be.")
    ] = None,
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter a stretch of bench time that mixed kinds.

    Example: bows sitting 95min
    """
    s = current()
    worked = parse_minutes(" ".join(minutes))
    meant = parse_minutes(planned) if planned else None

    def rule(led: Ledgers) -> Proposal:
        return rules.sitting(led, minutes=worked, planned=meant, when=s.when(on))

    s.write(rule, dry_run=dry_run, json=json)


def scrap(
    quantity: Annotated[str, typer.Argument(help="How many parts.", metavar="QTY")],
    bundle: Annotated[str, typer.Argument(help="The bundle, such as C12.")],
    why: Annotated[str, typer.Option("--why", help="mis-cut, flaw, sample ...")] = (
        "not told"
    ),
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter cut parts thrown out.

    Example: bows scrap 2 C12 --why mis-cut
    """
    s, count = current(), parse_count(quantity, what="parts")

    def rule(led: Ledgers) -> Proposal:
        return after.scrapped(
            led, bundle=find_bundle(led, bundle), count=count,
            why=clean(why, what="reason", longest=60), when=s.when(on),
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def recut(
    quantity: Annotated[str, typer.Argument(help="How many parts.", metavar="QTY")],
    bundle: Annotated[str, typer.Argument(help="The bundle, such as C12.")],
    length: Annotated[list[str], typer.Argument(help="The new, shorter length.")],
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter cut parts cut down to a shorter length.

    Example: bows recut 4 C12 5in
    """
    s, count = current(), parse_count(quantity, what="parts")
    new = parse_length(" ".join(length), default="in")

    def rule(led: Ledgers) -> Proposal:
        return after.recut(
            led, bundle=find_bundle(led, bundle), count=count, length=new,
            when=s.when(on),
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def count_parts(
    quantity: Annotated[str, typer.Argument(help="How many wait.", metavar="QTY")],
    bundle: Annotated[str, typer.Argument(help="The bundle, such as C12.")],
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter a count of the cut parts waiting in a bundle.

    Example: bows count-parts 10 C12
    """
    s, count = current(), count_of(quantity, what="parts")

    def rule(led: Ledgers) -> Proposal:
        return after.parts_counted(
            led, bundle=find_bundle(led, bundle), count=count, when=s.when(on)
        )

    s.write(rule, dry_run=dry_run, json=json)


def rework(
    quantity: HowMany,
    words: Annotated[list[str], typer.Argument(help='"4in navy" to "4in red".')],
    at: Place = None,
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter finished bows turned into another kind; put "to" between the two.

    Example: bows rework 2 4in navy to 4in red
    """
    s, count = current(), parse_count(quantity, what="bows")
    if "to" not in words:
        raise Unreadable(
            'Put "to" between the kind it was and the kind it became.',
            instead="bows rework 2 4in navy to 4in red",
        )
    at_to = words.index("to")

    def rule(led: Ledgers) -> Proposal:
        return after.reworked(
            led, was=find_kind(led, words[:at_to]),
            became=find_kind(led, words[at_to + 1 :]), bows=count, when=s.when(on),
            place=find_place(led, at, s.today.isoformat()),
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def apart(
    quantity: HowMany,
    words: Words,
    at: Place = None,
    batch: BatchCode = None,
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter finished bows taken apart.

    Example: bows apart 1 4in navy --batch B12
    """
    s, count = current(), parse_count(quantity, what="bows")

    def rule(led: Ledgers) -> Proposal:
        return after.apart(
            led, kind=find_kind(led, words), bows=count, when=s.when(on),
            place=find_place(led, at, s.today.isoformat()),
            batch=find_batch(led, batch) if batch else None,
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def trimmings(
    spool: Annotated[str, typer.Argument(help="The spool, such as S7.")],
    lengths: Annotated[list[str], typer.Argument(help="What was trimmed, each bow.")],
    role: Annotated[str, typer.Option("--role", help="The part trimmed.")] = "body",
    short: Annotated[
        int, typer.Option("--short", help="Bows that came out short.")
    ] = 0,
    batch: BatchCode = None,
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter trimmings you measured after tying, one length a bow.

    Example: bows trimmings S7 3in 2.5in 4in
    """
    s = current()
    each = tuple(parse_length(text, default="in") for text in lengths)

    def rule(led: Ledgers) -> Proposal:
        return after.trimmings(
            led, spool=find_spool(led, spool), role=role, each=each, total=None,
            short=short, when=s.when(on),
            batch=find_batch(led, batch) if batch else None,
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)
