"""The plans: due dates, a rush order, what to bring to a fair, and saying yes to it."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, datetime, time
from typing import Annotated, Any

import typer

from planner.commands import progress, say
from planner.commands.asking import asked, day_words, made_words, names
from planner.commands.options import AsOf, DryRun, Json, KnownOn
from planner.commands.promising import rush as rush
from planner.commands.questions import Page, finish
from planner.commands.session import Session, current
from planner.errors import Absurd, Refusal, Unreadable
from planner.ledgers.fairs import Fair
from planner.ledgers.shop import shop
from planner.ledgers.state import Ledgers
from planner.rules.base import Proposal
from planner.rules.finding import find_fair
from planner.values.durations import parse_hours
from planner.values.money import parse_amount
from planner.values.text import quoted
from planner.values.units import parse_length
from planner.views.due import DueDates, DueOrder
from planner.views.fair_plan import FairPlan


def due_view(
    s: Session, led: Ledgers, *, hide: bool = False, as_of: str = "", known_on: str = ""
) -> DueDates:
    """Build the due dates."""
    from planner.engines.draws import DRAWS
    from planner.engines.due import due_dates
    from planner.views.due_builder import build

    now = s.now.moment.astimezone(s.zone)
    if as_of:
        now = datetime.combine(date.fromisoformat(as_of), time(23, 59), s.zone)
    with progress.showing("working out the due days", json=s.json):
        plan = due_dates(led, now=now, today=now.date(), draws=DRAWS)
    return build(
        led, plan, made=made_words(s), names=None if hide else names(s), as_of=as_of,
        known_on=known_on or None,
    )  # fmt: skip


def due(
    hide: Annotated[
        bool, typer.Option("--hide-names", help="Leave out whose orders they are.")
    ] = False,
    as_of: AsOf = None,
    known_on: KnownOn = None,
    json: Json = False,
    page: Page = None,
) -> None:
    """
    Say when each open order would be ready, and which are at risk.

    Example: bows due
    """
    s = current()
    led = asked(s, as_of, known_on)
    view = due_view(
        s, led, hide=hide, as_of=day_words(s, as_of), known_on=day_words(s, known_on)
    )
    if not finish(s, view, json=json, page=page):
        return
    say.out(view.short)
    if view.orders:
        _say_orders(view)
    for order in view.orders:
        if order.waits_for:
            say.out(f"{order.code} waits for {order.waits_for}")
    _rests(view.rests_on, view.odd)


def _say_orders(view: DueDates) -> None:
    say.table(
        ("order", "who", "what", "due", "work", "ready", "early – late", "chance",
         "state"),
        [
            (o.code, o.who, ", ".join(f"{x.count} × {x.kind}" for x in o.lines), o.due,
             o.work, o.ready, _early_late(o), o.chance_shown, o.state)
            for o in view.orders
        ],
        right=(4, 7),
    )  # fmt: skip


def _early_late(order: DueOrder) -> str:
    if not order.early:
        return ""
    return f"{order.early} – {order.late or 'later still'}"


def _rests(rests_on: tuple[str, ...], odd: tuple[Any, ...]) -> None:
    for oddity in odd:
        hint = f"  try: {oddity.instead}" if oddity.instead else ""
        say.talk(f"  ! {oddity.about}: {oddity.what}{hint}")
    for line in rests_on:
        say.out(f"  · {line}")


def fair_view(
    s: Session, led: Ledgers, fair: Fair, *, as_of: str = "", known_on: str = "",
    **limits: Any,
) -> FairPlan:  # fmt: skip
    """Plan a fair and build its view."""
    from planner.engines.fair import plan_fair
    from planner.views.fair_plan_builder import build

    with progress.showing(f"planning {fair.name}", json=s.json):
        plan = plan_fair(led, fair, today=s.today, **limits)
    return build(
        led,
        plan,
        today=s.today,
        made=made_words(s),
        as_of=as_of,
        known_on=known_on or None,
    )


Hours = Annotated[
    str | None, typer.Option("--hours", help="Bench hours for it: 5, 2.5 or 2h30.")
]
Spend = Annotated[
    str | None, typer.Option("--spend", help="The most to spend on materials.")
]
Table = Annotated[
    str | None,
    typer.Option("--table", help="The most bows the table takes, or its length: 6ft."),
]
AtLeast = Annotated[
    int, typer.Option("--at-least", help="Of each kind brought, at least so many.")
]
Buy = Annotated[
    bool, typer.Option("--buy", help="Let it buy whole spools that come in time.")
]
FairName = Annotated[
    str | None, typer.Argument(help="The fair; the next one if not told.")
]

MOST_ON_SHOW = 999
"""Of one kind; more is a slip of the finger."""


def _limits(
    led: Ledgers,
    hours: str | None,
    spend: str | None,
    table: int | None,
    least: int,
    buy: bool,
) -> dict[str, Any]:
    currency = shop(led).currency
    if not 0 <= least <= MOST_ON_SHOW:
        raise Absurd(
            f"At least {least:,} of each kind is no number of bows on show.",
            instead=f"--at-least 4, or any number up to {MOST_ON_SHOW}",
        )
    none = hours is not None and hours.strip() in ("0", "none")
    return {
        "hours_minutes": 0 if none else parse_hours(hours) if hours else None,
        "spend": parse_amount(spend, currency, allow_zero=True) if spend else None,
        "table": table,
        "at_least": least,
        "buy": buy,
    }


def _on_table(fair: Fair, told: str | None) -> tuple[Fair, int | None]:
    """
    Read the table: the bows it takes, or its length, with which the fair is planned.

    Raises:
        Unreadable: for what is neither, with both to type.
    """
    if told is None:
        return fair, None
    if re.fullmatch("[0-9]{1,6}", told.strip()):
        return fair, int(told)
    try:
        return replace(fair, table=parse_length(told)), None
    except Refusal as neither:
        raise Unreadable(
            f"{quoted(told)} is neither a number of bows nor a length of table.",
            instead="--table 60, how many it takes; or its length, --table 6ft",
        ) from neither


def fair_plan(
    fair: FairName = None,
    hours: Hours = None,
    spend: Spend = None,
    table: Table = None,
    at_least: AtLeast = 0,
    buy: Buy = False,
    as_of: AsOf = None,
    known_on: KnownOn = None,
    json: Json = False,
    page: Page = None,
) -> None:
    """
    Say what to bring to a fair, by size and colour, and what to make first.

    Example: bows fair plan
    """
    s = current()
    led = asked(s, as_of, known_on)
    found, room = _on_table(find_fair(led, fair, s.today.isoformat()), table)
    view = fair_view(
        s, led, found, as_of=day_words(s, as_of), known_on=day_words(s, known_on),
        **_limits(led, hours, spend, room, at_least, buy),
    )  # fmt: skip
    if finish(s, view, json=json, page=page):
        _say_plan(view)


def _say_plan(view: FairPlan) -> None:
    say.out(view.short)
    cells = {(cell.colour, cell.size): cell for cell in view.cells}
    head = ["bring", *(size.short for size in view.sizes), "all"]
    rows = []
    for colour, total in zip(view.colours, view.colour_totals, strict=True):
        line = [colour.name]
        for size in view.sizes:
            cell = cells.get((colour.key, size.key))
            line.append(_bring(cell.bring, cell.make) if cell else "")
        rows.append([*line, _bring(total.bring, total.make)])
    foot = [_bring(t.bring, t.make) for t in view.size_totals]
    rows.append(["", *foot, _bring(view.bring, view.make)])
    if cells:
        say.table(head, rows, right=range(1, len(head)))
        say.out("bows to bring; (+n) are still to be made")
    if view.sets:
        say.out("")
        say.table(
            ("of those, made up into sets", "sets", "price", "sold", "of each"),
            [(x.name, str(x.bring), x.price, x.sold_shown, x.holds) for x in view.sets],
            right=(1, 2, 3),
        )
    if view.make_next:
        say.out("")
        say.table(
            ("make first", "bows", "time", "from"),
            [(x.kind, str(x.count), x.time, x.from_spool) for x in view.make_next],
            right=(1, 2),
        )
    say.out("")
    say.table(
        ("limit", "needed", "available", ""),
        [
            (x.name, x.needed, x.available, "the plan stops at it" if x.binds else "")
            for x in view.limits
        ],
        right=(1, 2),
    )
    for limit in view.limits:
        if limit.worth:
            say.out(f"  {limit.name}: {limit.worth}")
    for one in view.buys:
        say.out(f"buy {one.spools} × {one.length} of {one.ribbon}, {one.cost}")
    if view.buys:
        say.out(f"what is bought adds about {view.buys[0].gain}")
    say.out(
        f"likely sold {view.sold_shown}; takings {view.takings}, less {view.fee} fee "
        f"and {view.materials} ribbon and supplies: {view.profit} left"
    )
    _rests(view.rests_on, view.odd)


def _bring(bring: int, make: int) -> str:
    if not bring:
        return ""
    return f"{bring} (+{make})" if make else str(bring)


def fair_accept(
    words: Annotated[
        list[str] | None,
        typer.Argument(help='The fair; or your own numbers, "12 4in navy, 6 4in red".'),
    ] = None,
    hours: Hours = None,
    spend: Spend = None,
    table: Table = None,
    at_least: AtLeast = 0,
    buy: Buy = False,
    head: Annotated[
        str | None,
        typer.Option("--head", help="The head printed under the plan you saw."),
    ] = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Say yes to a fair's plan, or to your own numbers for the next fair.

    The bows are set aside for it, and the plan is kept to be scored.

    Example: bows fair accept
    """
    from planner.engines.fair import plan_fair
    from planner.log.chain import short
    from planner.rules.fairs import plan_accepted

    s = current()
    own = words if words and words[0][:1].isdigit() else None
    name = None if own or not words else " ".join(words)

    def rule(led: Ledgers) -> Proposal:
        found, room = _on_table(find_fair(led, name, s.today.isoformat()), table)
        now = short(led.head_hash)
        limits = _limits(led, hours, spend, room, at_least, buy)
        plan = None if own else plan_fair(led, found, today=s.today, **limits)
        bring = plan.to_pack(found.packed) if plan else _own(led, own or [])
        return plan_accepted(
            led, fair=found.code, bring=bring, said=plan, head=head or now,
            head_now=now, when=s.now.when,
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def _own(led: Ledgers, words: list[str]) -> dict[str, int]:
    from planner.commands import items as read

    return dict(read.bows(led, read.split_items(words, zero=True)))
