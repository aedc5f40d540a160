"""Commands of a fair that is over: settled, and sales she is sure of."""

from __future__ import annotations

from typing import Annotated

import typer

from planner.commands import items as read
from planner.commands.fairs import WEATHER, Day, FairWords, Which, at_hand, split_words
from planner.commands.items import SomeItems
from planner.commands.options import DryRun, Json, On
from planner.commands.session import Session, current
from planner.errors import Absurd
from planner.ledgers.fairs import Fair, fairs
from planner.ledgers.state import Ledgers
from planner.rules import stalls
from planner.rules.base import Proposal


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
        return stalls.settled(
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
        return stalls.unlogged_told(
            led, fair=fair.code, bows=read.bows(led, items, near=fair.packed),
            when=s.when(on), day=read.day(s, day),
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def _latest(s: Session, led: Ledgers, told: str | None) -> Fair:
    """Find the fair that sales not typed belong to: as told, else the last begun."""
    begun = [f for f in fairs(led).values() if f.first_day <= s.today.isoformat()]
    if told or not begun:
        return at_hand(s, led, told)
    return max(begun, key=lambda f: f.first_day)
