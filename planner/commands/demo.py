"""`bows demo`: an invented maker's year, the three answers, and the pages."""

from __future__ import annotations

import json as json_
from datetime import tzinfo
from pathlib import Path
from typing import Annotated, Any

import typer

from planner.commands import progress, say
from planner.commands.files import named
from planner.commands.options import Json
from planner.commands.session import FILE_NAME, Session, begin, current
from planner.errors import Refusal

SEED = 22
SEASON = "harbour.json"


def demo(
    folder: Annotated[
        str, typer.Argument(help="A folder to make; it must not hold a shop yet.")
    ] = "demo",
    seed: Annotated[int, typer.Option("--seed", help="Another year.")] = SEED,
    json: Json = False,
) -> None:
    """
    Make an invented shop with a year of history, and answer the three questions.

    Example: bows demo demo-shop
    """
    target = named(folder)
    path = target / FILE_NAME
    if path.exists():
        raise Refusal(
            f"{target} holds a shop already.",
            instead=f"bows --shop {folder} stock, or: bows demo ANOTHER-FOLDER",
        )
    s = begin(Session(path, json=current().json))
    with progress.showing("making up a year", json=json or s.json):
        write_season(s, seed=seed)
    answers(s, json=json)


def write_season(s: Session, *, seed: int) -> None:
    """Write the season's entries, each with the moment it was typed, to a new log."""
    from random import Random

    from planner.pages import shipped
    from planner.scenario import season

    parameters = json_.loads((shipped("scenarios") / SEASON).read_text("utf-8"))
    zone_day = s.clock().astimezone(_zone(parameters)).date()
    told = season(parameters, last_day=zone_day, seed=seed)
    s.create(
        [entry.entry for entry in told.entries],
        recorded=[entry.recorded for entry in told.entries],
        rand=Random(seed).randbytes,
    )


def _zone(parameters: dict[str, Any]) -> tzinfo:
    from zoneinfo import ZoneInfo

    return ZoneInfo(str(parameters["shop"]["zone"]))


def answers(s: Session, *, json: bool) -> None:
    """Print the three answers in short and write the pages."""
    from planner.commands.pages import write_pages
    from planner.engines.audit import most_unexplained
    from planner.views.front_builder import NAMES

    pages = s.path.parent / "reports"
    with progress.showing("writing the pages", json=json or s.json):
        written, due, fair = write_pages(s, pages)
    led = s.ledgers()
    worst = most_unexplained(led)
    story = f"bows --shop {_quoted(s.path.parent)} story {worst[0][0]}" if worst else ""
    if json or s.json:
        say.as_json(
            {
                "schema": "spool-to-stall/demo/1",
                "shop": str(s.path),
                "events": led.events,
                "fair": fair.short if fair else "",
                "due": due.short,
                "spools_not_yet_explained": [code for code, _ in worst],
                "pages": [str(path) for path in written],
            }
        )
        return
    shop = _quoted(s.path.parent)
    say.out(
        f"An invented shop with {led.events:,} events in force is in {s.path.parent}."
    )
    say.out("")
    say.out("What to bring to the fair?")
    say.out(f"  {fair.short if fair else 'No fair is ahead.'}")
    say.out(f"  more: bows --shop {shop} fair plan")
    say.out("Will the orders be ready when they are due?")
    say.out(f"  {due.short}")
    say.out(f"  more: bows --shop {shop} due")
    say.out("Where did the ribbon go?")
    say.out(
        f"  {len(worst)} of {len(led.spools)} spools "
        f"{'holds' if len(worst) == 1 else 'hold'} something not yet explained."
    )
    say.out(f"  more: {story}")
    say.out("")
    say.out(f"The pages begin at {pages / NAMES['front']}")


def _quoted(path: Path) -> str:
    from shlex import quote

    return quote(str(path))
