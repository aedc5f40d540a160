"""The next sittings, and a calendar file of dues and sittings."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated

import typer

from planner.commands import say
from planner.commands.asking import made_words
from planner.commands.files import named, renew
from planner.commands.options import DryRun, Json
from planner.commands.questions import Page, finish
from planner.commands.session import Session, current
from planner.ledgers.state import Ledgers
from planner.rules.base import Proposal
from planner.views.bench_sheet import BenchSheet

Days = Annotated[
    int, typer.Option("--days", min=1, max=90, help="How many days, today's first.")
]


def bench_view(s: Session, led: Ledgers, *, days: int) -> BenchSheet:
    """Build the bench sheet."""
    from planner.engines.bench_plan import bench_plan
    from planner.views.bench_builder import build

    now = s.now.moment.astimezone(s.zone)
    plan = bench_plan(led, now=now, today=now.date(), days=days)
    return build(led, plan, made=made_words(s))


def bench(
    days: Days = 7,
    accept: Annotated[
        bool, typer.Option("--accept", help="Keep the plan, to be scored.")
    ] = False,
    dry_run: DryRun = False,
    json: Json = False,
    page: Page = None,
) -> None:
    """
    Say what to make in the next sittings, in order; as a page, a sheet to print.

    Accepted, it is set against what was made by `bows how-good`.

    Example: bows bench
    """
    s = current()
    if accept:
        s.write(_accepting(s, days), dry_run=dry_run, json=json)
        return
    view = bench_view(s, s.ledgers(), days=days)
    if not finish(s, view, json=json, page=page):
        return
    say.out(view.short)
    for sitting in view.sittings:
        free = f"; {sitting.free} free" if sitting.free else ""
        say.out(f"{sitting.day}, {sitting.hours}{free if sitting.steps else ': free'}")
        for x in sitting.steps:
            note = f" ({x.note})" if x.note else ""
            say.out(f"  {x.start}  {x.bows} of {x.of} {x.kind} for {x.order}{note}")
    for line in view.cautions:
        say.out(f"  · {line}")


def _accepting(s: Session, days: int) -> Callable[[Ledgers], Proposal]:
    def rule(led: Ledgers) -> Proposal:
        from planner.engines.bench_plan import bench_plan
        from planner.log.chain import short
        from planner.rules.bench_plans import accepted

        now = s.now.moment.astimezone(s.zone)
        plan = bench_plan(led, now=now, today=now.date(), days=days)
        return accepted(led, plan, head=short(led.head_hash), when=s.now.when)

    return rule


def calendar(
    file: Annotated[str, typer.Argument(help="The file to write, such as bows.ics.")],
    days: Days = 42,
    hide: Annotated[
        bool, typer.Option("--only-dues", help="Leave out the sittings.")
    ] = False,
    json: Json = False,
) -> None:
    """
    Write due days and sittings as a calendar file that calendar programs take in.

    Nobody is named in it.

    Example: bows calendar bows.ics
    """
    from planner.commands.calendars import CALENDAR, calendar_bytes
    from planner.commands.planning import due_view

    s = current()
    led = s.ledgers()
    dues = due_view(s, led, hide=True)
    sheet = None if hide else bench_view(s, led, days=days)
    text, count = calendar_bytes(dues, sheet, zone=s.zone, stamp=s.now.moment)
    path = renew(named(file), text, begins=CALENDAR)
    if json or s.json:
        say.as_json(
            {"schema": "spool-to-stall/calendar/1", "file": str(path), "events": count}
        )
        return
    say.out(f"{path}: {count} events")
