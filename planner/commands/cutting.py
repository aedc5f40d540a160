"""The cutting list: what to cut from which spool, and entering it when it is cut."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Annotated, NamedTuple

import typer

from planner.commands import say
from planner.commands.asking import made_words
from planner.commands.items import SomeItems, split_items, units
from planner.commands.options import DryRun, Json, On
from planner.commands.questions import Page, finish
from planner.commands.session import Session, current
from planner.errors import Unreadable
from planner.ledgers.state import Ledgers
from planner.rules.base import Proposal
from planner.rules.finding import find_fair, find_order, find_spool
from planner.values.text import quoted

if TYPE_CHECKING:
    from planner.plans.cutting import Allowance, CuttingPlan, Run
    from planner.views.cutting import CuttingList


class Asked(NamedTuple):
    """What to cut for: what she names, what some orders and fairs wait for, or all."""

    words: str = ""
    claims: tuple[str, ...] = ()


def cutting(
    what: SomeItems = None,
    days: Annotated[
        int | None,
        typer.Option(min=1, max=90, help="For the sittings of so many days alone."),
    ] = None,
    claims: Annotated[
        list[str] | None,
        typer.Option("--for", help="For this order or fair alone."),
    ] = None,
    done: Annotated[
        bool, typer.Option("--done", help="It is cut: enter the cuts of the list.")
    ] = False,
    spool: Annotated[
        list[str] | None,
        typer.Option("--spool", help="With --done: only what was cut from this one."),
    ] = None,
    head: Annotated[
        str | None,
        typer.Option("--head", help="With --done: the head printed under the list."),
    ] = None,
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
    page: Page = None,
) -> None:
    """
    Say what to cut from which spool, for what is still to make or for what you name.

    Example: bows cutting 12 4in navy
    """
    s, words = current(), " ".join(what or ())
    if not done and (spool or head or on or dry_run):
        raise Unreadable(
            "--spool, --head, --on and --dry-run go with --done.",
            instead=f"bows cutting {words} --done",
        )
    asked = _asked(s, words, days, claims or [])
    if not done:
        view = cutting_view(s, s.ledgers(), asked)
        if finish(s, view, json=json, page=page):
            _say(view)
        return
    _enter(s, asked, spool or (), head, on=on, dry_run=dry_run, json=json)


def _asked(s: Session, words: str, days: int | None, claims: list[str]) -> Asked:
    """
    Say what to cut for; sittings are told by the orders that are worked on in them.

    Raises:
        Unreadable: when she asks in two ways at once, or nothing is planned.
    """
    if sum((bool(words), bool(claims), days is not None)) > 1:
        raise Unreadable(
            "Name bows, or --for, or --days: one of them.", instead="bows cutting"
        )
    led = s.ledgers()
    if days is not None:
        return Asked(claims=_worked_on(s, led, days))
    found = (
        find_order(led, one).code if re.fullmatch(r"[oO]\d+", one) else
        find_fair(led, one, s.today.isoformat()).code for one in claims
    )  # fmt: skip
    return Asked(words, tuple(found))


def _worked_on(s: Session, led: Ledgers, days: int) -> tuple[str, ...]:
    """Give the orders worked on in the sittings of some days, the first first."""
    from planner.engines.bench_plan import bench_plan

    now = s.now.moment.astimezone(s.zone)
    plan = bench_plan(led, now=now, today=now.date(), days=days)
    found = (piece.order for sitting in plan.sittings for piece in sitting.pieces)
    orders = tuple(dict.fromkeys(found))
    if not orders:
        raise Unreadable("No order is worked on in those days.", instead="bows bench")
    return orders


def cutting_view(s: Session, led: Ledgers, asked: Asked) -> CuttingList:
    """Plan the cuts and build the list."""
    from planner.views.cutting_builder import build

    plan, runs, allowed = _planned(s, led, asked)
    return build(
        led, plan, runs, allowed, today=s.today.isoformat(), made=made_words(s),
        asked=asked.words, claims=asked.claims,
    )  # fmt: skip


def _planned(
    s: Session, led: Ledgers, asked: Asked
) -> tuple[CuttingPlan, list[Run], Allowance]:
    """
    Plan the cuts without a clock: the same log always gives the same list.

    So what is entered with `--done` is what was printed, however busy the computer.
    """
    from planner.engines.cutting import plan_cuts
    from planner.engines.cutting_over import allowance, as_likely, with_over
    from planner.engines.cutting_work import (
        asked_for,
        only_for,
        runs_of,
        still_to_cut,
        usable_end,
    )
    from planner.plans.cutting import Allowance

    if asked.words:
        items = units(led, split_items([asked.words]))
        wants = asked_for(led, [(one.kinds, one.count) for one in items])
    else:
        wants = still_to_cut(led, today=s.today.isoformat())
        wants = only_for(wants, asked.claims) if asked.claims else wants
    allowed = allowance(led) if wants else Allowance()
    wants = with_over(wants, allowed)
    runs = as_likely(led, runs_of(led, wants), allowed)
    return plan_cuts(wants, runs, usable=usable_end(led)), runs, allowed


def _enter(
    s: Session, asked: Asked, spool: list[str] | tuple[()], head: str | None, *,
    on: str | None, dry_run: bool, json: bool,
) -> None:  # fmt: skip
    from planner.log.chain import short
    from planner.rules.cutting import done as rule_done

    def rule(led: Ledgers) -> Proposal:
        then = led if head is None else _as_printed(s, led, head)
        plan, *_ = _planned(s, then, asked)
        return rule_done(
            led, plan=plan, head=short(then.head_hash), when=s.when(on),
            spools=[find_spool(led, one) for one in spool],
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def _as_printed(s: Session, led: Ledgers, head: str) -> Ledgers:
    """
    Fold the log up to the head printed under a list.

    Raises:
        Unreadable: when the log was never at that head.
    """
    from planner.fold import Folder, voided_entries
    from planner.log.bodies import read_bodies
    from planner.log.chain import matches
    from planner.log.codec import decode_many, parse

    if matches(head, led.head_hash):
        return led
    rows = [row for chunk in s.log.rows() for row in chunk]
    last = next((row[0] for row in rows if matches(head, row[9])), None)
    if last is None:
        raise Unreadable(
            f"This shop's log was never at {quoted(head)}.",
            instead="bows cutting   (a new list, with its head at the foot)",
        )
    pairs = [
        (row[2], parse(row[7])["entries"])
        for row in rows[:last]
        if row[3] == "entry-corrected"
    ]
    folder = Folder(
        zone=s.zone.key,
        decode=decode_many,
        bodies=read_bodies,
        voided=voided_entries(pairs),
    )
    return folder.feed_all([rows[:last]])


def _say(view: CuttingList) -> None:
    say.out(view.short)
    for run in view.runs:
        say.out("")
        joined = f", run {run.run} of {run.runs}" if run.runs > 1 else ""
        new = ", new" if run.opens else ""
        likely = f", likely {run.likely}" if run.likely_nm != run.start_nm else ""
        say.out(
            f"{run.spool} ({run.ribbon}, {run.lot}{joined}{new}): {run.start}{likely}"
        )
        say.table(
            ("", "cut", "part", "of", "for", "", "then left"),
            [
                ("[ ]", str(c.count), c.role, c.length, c.what, c.claim, c.left)
                for c in run.cuts
            ],
            right=(1, 3, 6),
        )
        say.out(run.end)
    _say_rest(view)


def _say_rest(view: CuttingList) -> None:
    if view.uncut:
        say.out("")
        say.table(
            ("no ribbon for", "sets", "waits", "ribbon"),
            [(x.what, str(x.sets), x.claim, x.ribbon) for x in view.uncut],
            right=(1,),
        )
    if view.levels:
        say.out("")
        say.table(
            ("kept low, in this order", "this list", "at least"),
            [(x.name, x.shown, x.bound_shown) for x in view.levels],
            right=(1, 2),
        )
        say.out(view.verdict)
    for oddity in view.odd:
        say.talk(f"  ! {oddity.about}: {oddity.what}  try: {oddity.instead}")
    for line in view.rests_on:
        say.out(f"  · {line}")
    if view.done:
        say.out(f"when it is cut: {view.done}")
