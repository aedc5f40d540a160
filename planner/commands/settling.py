"""A fair that is over: settled, sales she is sure of, and the settlement."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from planner.commands import items as read
from planner.commands import say
from planner.commands.asking import asked, day_words, made_words
from planner.commands.fairs import (
    Code,
    Day,
    FairWords,
    Which,
    at_hand,
    split_words,
)
from planner.commands.items import SomeItems
from planner.commands.options import AsOf, DryRun, Json, KnownOn, On
from planner.commands.questions import Page, finish
from planner.commands.session import Session, current
from planner.errors import Absurd, Unknown
from planner.ledgers.fairs import SETTLED, Fair, fairs, past_fairs
from planner.ledgers.state import Ledgers
from planner.rules import settling
from planner.rules.base import Proposal
from planner.rules.finding import find_fair

if TYPE_CHECKING:
    from planner.views.settlement import FairSettlement
    from planner.views.tally import TallySheet

WEATHER: tuple[settling.Weather, ...] = ("fine", "poor", "not told")


def settle(
    words: FairWords = None,
    which: Which = None,
    weather: Annotated[str, typer.Option("--weather", help="fine or poor.")] = (
        "not told"
    ),
    note: Annotated[str, typer.Option("--note", help="Words for next time.")] = "",
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter what came back from a fair, all kinds counted; "nothing" if none did.

    What is missing is bounded as sales not typed before anything is called lost.

    Example: bows fair settle 3 4in navy, 2 4in red --weather fine
    """
    s, (told, rest) = current(), split_words(words, which)
    if not rest:
        raise Absurd(
            "Say what came back.",
            instead='bows fair settle 3 4in navy, 2 4in red   (or: "nothing")',
        )
    nothing = " ".join(rest).lower() in ("nothing", "none")
    items = [] if nothing else read.split_items(rest, zero=True)
    sky = read.one_of(weather, WEATHER, what="weather told here")

    def rule(led: Ledgers) -> Proposal:
        fair = at_hand(s, led, told)
        return settling.settled(
            led, fair=fair.code, back=read.bows(led, items, near=fair.packed),
            when=s.when(on), weather=sky, note=read.words_of(note, what="note"),
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def unlogged(
    words: SomeItems = None,
    which: Which = None,
    day: Day = None,
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter bows you are sure were sold at a fair though no sale was typed.

    Example: bows fair unlogged F8 2 4in navy
    """
    s, (told, rest) = current(), split_words(words, which)
    items = read.split_items(rest)

    def rule(led: Ledgers) -> Proposal:
        fair = _latest(s, led, told)
        return settling.unlogged_told(
            led, fair=fair.code, bows=read.bows(led, items, near=fair.packed),
            when=s.when(on), day=read.day_of(s, fair, day),
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def settlement(
    fair: Code = None,
    as_of: AsOf = None,
    known_on: KnownOn = None,
    json: Json = False,
    page: Page = None,
) -> None:
    """
    Show where every bow of a settled fair went, its tills, and how good the plan was.

    Example: bows fair settlement
    """
    s = current()
    led = asked(s, as_of, known_on)
    words = day_words(s, as_of), day_words(s, known_on)
    view = settlement_view(s, led, _settled_one(s, led, fair), *words)
    if finish(s, view, json=json, page=page):
        _say_settlement(view)


def settlement_view(
    s: Session, led: Ledgers, fair: Fair, as_of: str = "", known_on: str = ""
) -> FairSettlement:
    """Account for a settled fair and build the view."""
    from planner.engines.settlement import settlement as account
    from planner.views.settlement_builder import build

    return build(
        led, account(led, fair), today=s.today, written=made_words(s), as_of=as_of,
        known_on=known_on or None,
    )  # fmt: skip


def _settled_one(s: Session, led: Ledgers, told: str | None) -> Fair:
    """
    Find the fair asked about, else the last one settled.

    Raises:
        Unknown: when it was not settled.
    """
    done = past_fairs(led)
    found = find_fair(led, told, s.today.isoformat()) if told else None
    if found is None and done:
        found = done[-1]
    if found is None or found.state != SETTLED:
        name = f"{found.name} was" if found else "No fair was"
        raise Unknown(
            f"{name} {'not ' if found else ''}settled yet.",
            instead='bows fair settle 3 4in navy, 2 4in red   (or: "nothing")',
        )
    return found


def _say_settlement(view: FairSettlement) -> None:
    say.out(view.short)
    say.table(
        ("day", "float", "typed", "counted", "difference"),
        [(d.day, d.float_shown, d.typed, d.counted, d.more) for d in view.days],
        right=(1, 2, 3),
    )
    say.out(
        f"takings {view.takings}, costs {view.costs}, materials {view.materials}: "
        f"left {view.left}"
    )
    say.table(
        ("kind", "planned", "brought", "sold", "given", "back", "missing", ""),
        [
            (c.kind, "" if c.planned is None else str(c.planned), str(c.brought),
             str(c.sold), str(c.gone or ""), str(c.back), str(c.missing or ""), c.note)
            for c in view.cells
        ],
        right=range(1, 7),
    )  # fmt: skip
    if view.unnoticed:
        say.out(f"colour not noticed: {', '.join(view.unnoticed)}")
    if view.sets:
        say.out(f"of those sold, in sets: {', '.join(view.sets)}")
    if view.score:
        say.out(view.score.words)
    for line in view.rests_on:
        say.out(f"  · {line}")


def day(fair: Code = None, json: Json = False, page: Page = None) -> None:
    """
    Show how the day at the stall stands: the till, what sold, what is left.

    Example: bows fair day
    """
    from planner.engines.fair_tills import day_till
    from planner.views.fair_now_builder import build

    s = current()
    led = s.ledgers()
    found = at_hand(s, led, fair)
    till, purses = day_till(led, found, s.today.isoformat())
    view = build(led, found, till, purses, today=s.today, made=made_words(s))
    if not finish(s, view, json=json, page=page):
        return
    say.out(view.short)
    say.table(
        ("kind", "sold", "left", ""),
        [(k.kind, str(k.sold or ""), str(k.left), k.note) for k in view.kinds],
        right=(1, 2),
    )
    say.out(f"next: {view.then}")


def tally(fair: Code = None, json: Json = False, page: Page = None) -> None:
    """
    Lay out a sheet to print for a fair's day: a box to tick for every bow brought.

    Example: bows fair tally
    """
    s = current()
    led = s.ledgers()
    view = tally_view(s, led, at_hand(s, led, fair))
    if finish(s, view, json=json, page=page):
        _say_tally(view)


def tally_view(s: Session, led: Ledgers, fair: Fair) -> TallySheet:
    """Lay out a fair's tally sheet."""
    from planner.views.tally_builder import build

    return build(led, fair, today=s.today, made=made_words(s))


def _say_tally(view: TallySheet) -> None:
    if not view.cells:
        say.out(f"Nothing is packed or planned for {view.fair} yet.")
        return
    cells = {(cell.colour, cell.size): cell.brought for cell in view.cells}
    rows = [
        [colour.name, *("." * cells.get((colour.key, size.key), 0)
                        for size in view.sizes), f"___ / {total.brought}"]
        for colour, total in zip(view.colours, view.colour_totals, strict=True)
    ]  # fmt: skip
    foot = [f"___ / {total.brought}" for total in view.size_totals]
    rows.append(["sold", *foot, f"___ / {view.brought}"])
    say.out(f"{view.fair}, {view.day}. {view.rests}")
    say.table(["colour", *(size.short for size in view.sizes), "sold"], rows)
    for one in view.sets:
        say.out(f"{one.name} ({one.holds}), {one.price}: ___")
    say.out("to print it, with boxes to tick: bows fair tally --page tally.html")


def _latest(s: Session, led: Ledgers, told: str | None) -> Fair:
    """Find the fair that sales not typed belong to: as told, else the last begun."""
    begun = [f for f in fairs(led).values() if f.first_day <= s.today.isoformat()]
    if told or not begun:
        return at_hand(s, led, told)
    return max(begun, key=lambda f: f.first_day)
