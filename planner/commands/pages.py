"""Write all the pages at once, linked with one another."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Annotated

import typer

from planner.commands import say
from planner.commands.asking import made_words, names
from planner.commands.files import named, write_page
from planner.commands.options import Json
from planner.commands.planning import due_view, fair_view
from planner.commands.questions import stock_view
from planner.commands.session import Session, current
from planner.commands.settling import settlement_view, tally_view
from planner.commands.stories import stories_view, story_view
from planner.engines.audit import most_unexplained
from planner.ledgers.fairs import Fair, coming_fairs, past_fairs
from planner.ledgers.state import Ledgers
from planner.views import front_builder
from planner.views.common import Link, Report
from planner.views.due import DueDates
from planner.views.fair_plan import FairPlan
from planner.views.front_builder import NAMES

ALL_SPOOLS = "spools.html"
SETTLED = 2
"""How many settled fairs have a page here, the newest."""
STORIES = 5
"""How many spools get a story page of their own: those with most to explain."""


def report(
    folder: Annotated[
        str | None, typer.Argument(help="Where to write; reports/ beside the shop.")
    ] = None,
    json: Json = False,
) -> None:
    """
    Write all pages: front page, stock, due dates, fairs, spool stories.

    Example: bows report
    """
    s = current()
    target = named(folder) if folder else s.path.parent / "reports"
    written, *_ = write_pages(s, target)
    if json or s.json:
        say.as_json(
            {"schema": "spool-to-stall/pages/1", "pages": [str(p) for p in written]}
        )
        return
    for path in written:
        say.out(str(path))


def write_pages(
    s: Session, folder: Path
) -> tuple[list[Path], DueDates, FairPlan | None]:
    """Write every page into a folder; gives the paths and the two plans shown."""
    led, made = s.ledgers(), made_words(s)
    folder.mkdir(parents=True, exist_ok=True)
    ahead = coming_fairs(led, s.today.isoformat())
    fair = fair_view(s, led, ahead[0]) if ahead else None
    due = due_view(s, led)
    stories = [code for code, _ in most_unexplained(led)[:STORIES]]
    stories = stories or list(led.spools)[-1:]
    about_fairs = dict(_about_fairs(s, led, ahead[:1]))
    links = _links(fair is not None, about_fairs, stories)
    front = front_builder.build(
        led, fair=fair, due=due, today=s.today, made=made, names=names(s),
        stories=stories,
    )  # fmt: skip
    views: list[tuple[str, Report]] = [(NAMES["front"], front)]
    views.append((NAMES["stock"], stock_view(s, led, stories=stories)))
    views.append((NAMES["due"], due))
    if fair is not None:
        views.append((NAMES["fair"], fair))
    views += [(name, view) for name, (_, view) in about_fairs.items()]
    views.append((ALL_SPOOLS, stories_view(s, led)))
    views += [(f"story-{code}.html", story_view(s, led, code)) for code in stories]
    paths = [
        write_page(_linked(view, links, name), out=folder / name)
        for name, view in views
    ]
    return paths, due, fair


About = tuple[str, tuple[str, Report]]
"""A page's file name, what it is called in links, and its view."""


def _about_fairs(s: Session, led: Ledgers, ahead: list[Fair]) -> Iterator[About]:
    """Walk the tally sheet of the fair ahead, and the newest settlements."""
    for one in ahead:
        tally = tally_view(s, led, one)
        if tally.cells:
            yield f"tally-{one.code}.html", (f"Tally sheet {one.code}", tally)
    for one in reversed(past_fairs(led)[-SETTLED:]):
        view = settlement_view(s, led, one)
        yield f"settlement-{one.code}.html", (f"Settlement {one.code}", view)


def _links(
    fair: bool, about_fairs: Mapping[str, tuple[str, Report]], stories: list[str]
) -> tuple[Link, ...]:
    made = [Link(text="Front page", href=NAMES["front"])]
    made += [Link(text="Stock", href=NAMES["stock"])]
    made += [Link(text="Due dates", href=NAMES["due"])]
    if fair:
        made.append(Link(text="Fair plan", href=NAMES["fair"]))
    made += [Link(text=text, href=name) for name, (text, _) in about_fairs.items()]
    made.append(Link(text="All spools", href=ALL_SPOOLS))
    made += [Link(text=f"Spool {code}", href=f"story-{code}.html") for code in stories]
    return tuple(made)


def _linked(view: Report, links: tuple[Link, ...], name: str) -> Report:
    others = tuple(link for link in links if link.href != name)
    return view.model_copy(update={"links": others})
