"""Commands of tracing: from a spool to people, from a bow to spools; batch labels."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.commands import say
from planner.commands.files import PAGE, named, spare_hers, write_page
from planner.commands.options import AsOf, DryRun, Json, KnownOn, On
from planner.commands.session import Session, current
from planner.errors import Unknown
from planner.ledgers.state import Ledgers
from planner.rules import stock as rules
from planner.rules.base import Proposal
from planner.rules.finding import find_batch, find_order, find_spool
from planner.values.quantities import parse_count

if TYPE_CHECKING:
    from planner.views.trace import Trace

PageFile = Annotated[
    str | None, typer.Option("--page", help="Write it as an HTML page too.")
]


def trace(
    code: Annotated[str, typer.Argument(help="A spool, batch or order: S7, B12, O12.")],
    as_of: AsOf = None,
    known_on: KnownOn = None,
    json: Json = False,
    page: PageFile = None,
) -> None:
    """
    Trace a spool to batches, orders and people; or a batch or an order to its spools.

    Example: bows trace S7
    """
    from planner.commands.asking import asked, day_words, event_of, made_words, names
    from planner.commands.questions import finish
    from planner.views.trace_builder import build

    s = current()
    led = asked(s, as_of, known_on)
    view = build(
        led, traced(led, code), today=s.today, made=made_words(s),
        event_of=event_of(s), names=names(s), as_of=day_words(s, as_of),
        known_on=day_words(s, known_on) or None,
    )  # fmt: skip
    if finish(s, view, json=json, page=page):
        _say(view)


def traced(led: Ledgers, code: str) -> str:
    """
    Find a spool, a batch or an order by its code.

    Raises:
        Unknown: with what can be traced.
    """
    match code.strip()[:1].upper():
        case "S":
            return find_spool(led, code)
        case "B":
            return find_batch(led, code)
        case "O":
            return find_order(led, code).code
    raise Unknown(
        f"{code!r} is no spool, batch or order.",
        instead="bows trace S7, bows trace B12, bows trace O12",
    )


def _say(view: Trace) -> None:
    say.out(f"{view.code}: {_plain(view.what)}")
    say.out(view.short)
    for head, lines in (("still here", view.pull), ("whom it reached", view.people)):
        for line in lines:
            say.out(f"{head}: {_plain(line)}")
    _say_sources(view)
    for batch in view.batches:
        say.out("")
        say.out(f"{batch.code}, {batch.count} × {batch.kind}, {batch.made} "
                f"({batch.sure}); here: {batch.here}")  # fmt: skip
        say.table(
            ("bows", "where", "who", "day", "entry", "how surely"),
            [(str(w.count), _plain(w.where), _plain(w.who), w.day, str(w.entry), w.sure)
             for w in batch.went if view.forward or w.sure != "possible"],
            right=(0, 4),
        )  # fmt: skip
    say.talk(view.note)


def _say_sources(view: Trace) -> None:
    if view.sources:
        say.table(
            ("what", "for", "batch", "lot", "supplier", "came", "bundle", "how surely"),
            [(x.what, x.role, x.batch, x.lot, x.supplier, x.received, x.bundle, x.sure)
             for x in view.sources],
        )  # fmt: skip


def _plain(text: str) -> str:
    return text.replace("\u2068", "").replace("\u2069", "")


def name_batch(
    quantity: Annotated[str, typer.Argument(help="How many bows.", metavar="QTY")],
    batch: Annotated[str, typer.Argument(help="The batch on the label, such as B12.")],
    entry: Annotated[
        int | None,
        typer.Option("--entry", min=1, help="What they left with; the last, if none."),
    ] = None,
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Tell which batch bows that were sold, given or handed over came from.

    Example: bows name-batch 1 B12
    """
    from planner.rules.naming import batch_named

    s, number = current(), parse_count(quantity, what="bows")

    def rule(led: Ledgers) -> Proposal:
        seqs = None if entry is None else [row[0] for row in s.log.entry_rows(entry)]
        return batch_named(
            led, batch=find_batch(led, batch), count=number, seqs=seqs,
            entry_of=lambda seq: _entry_of(s, seq), when=s.when(on),
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def _entry_of(s: Session, seq: int) -> int:
    row = s.log.row(seq)
    if row is None:
        raise Unknown("Those bows left only in what is supposed.", instead="--entry N")
    return row[2]


def labels(
    quantity: Annotated[str, typer.Argument(help="How many.", metavar="QTY")],
    batch: Annotated[str, typer.Argument(help="The batch, such as B12.")],
    page: Annotated[
        str | None, typer.Option("--page", help="Write the sheet to print, as HTML.")
    ] = None,
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter labels printed for a batch; with --page, write the sheet to print.

    Example: bows labels 12 B12
    """
    s, number = current(), parse_count(quantity, what="labels", most=2_000)

    def rule(led: Ledgers) -> Proposal:
        return rules.labels(
            led, batch=find_batch(led, batch), count=number, when=s.when(on)
        )

    out = None if page is None else named(page)
    if out is not None:
        spare_hers(out, begins=PAGE)
    s.write(rule, dry_run=dry_run, json=json)
    if out is not None:
        _sheet(s, batch, number, out)


def _sheet(s: Session, batch: str, count: int, out: Path) -> None:
    from planner.commands.asking import made_words
    from planner.views.labels_builder import build

    led = s.ledgers()
    view = build(
        led, find_batch(led, batch), count=count, today=s.today, made=made_words(s)
    )
    say.talk(f"sheet written: {write_page(view, out=out)}")
    for line in (*(f"not told yet: {m}" for m in view.missing), view.cautions[0]):
        say.talk(f"  ! {line}")
