"""Where the ribbon went: one spool's story, and all spools together."""

from __future__ import annotations

from typing import Annotated

import typer

from planner.commands import say
from planner.commands.asking import (
    asked,
    day_words,
    event_of,
    made_words,
    names,
    struck,
)
from planner.commands.options import AsOf, Json, KnownOn
from planner.commands.questions import Page, finish
from planner.commands.session import Session, current
from planner.errors import Unreadable
from planner.ledgers.state import Ledgers
from planner.rules.finding import find_spool
from planner.views.stories import Stories
from planner.views.story import SpoolStory, StoryEvent, StripPiece


def story_view(
    s: Session, led: Ledgers, code: str, as_of: str = "", known_on: str = ""
) -> SpoolStory:
    """Build one spool's story."""
    from planner.views.story_builder import build

    return build(
        led, code, today=s.today, made=made_words(s), event_of=event_of(s),
        struck=struck(s, led, code), names=names(s), as_of=as_of,
        known_on=known_on or None,
    )  # fmt: skip


def story(
    spool: Annotated[str | None, typer.Argument(help="The spool, such as S7.")] = None,
    every: Annotated[
        bool, typer.Option("--all", help="Which spools lose most, and how.")
    ] = False,
    as_of: AsOf = None,
    known_on: KnownOn = None,
    json: Json = False,
    page: Page = None,
) -> None:
    """
    Tell where every inch of a spool's ribbon went.

    Example: bows story S7
    """
    s = current()
    led = asked(s, as_of, known_on)
    if every:
        whole = stories_view(s, led, day_words(s, as_of), day_words(s, known_on))
        if finish(s, whole, json=json, page=page):
            _say_stories(whole)
        return
    if spool is None:
        raise Unreadable("Which spool?", instead="bows story S7, or: bows story --all")
    view = story_view(
        s, led, find_spool(led, spool), day_words(s, as_of), day_words(s, known_on)
    )
    if finish(s, view, json=json, page=page):
        _say_story(view)


def _say_story(view: SpoolStory) -> None:
    source = "" if view.supplier == "not told" else f", from {view.supplier}"
    say.out(f"{view.code}: {view.ribbon}, {view.lot}{source}")
    say.out(view.short)
    say.table(
        ("where it went", "length", "share"),
        [(x.label, x.length, x.share_shown) for x in view.accounts],
        right=(1, 2),
    )
    say.out("")
    say.table(
        ("cut", "length", "entry", "what became of it", "through"),
        [
            (x.day, x.length, str(x.entry or ""), x.label, _through(x))
            for x in view.strip
        ],
        right=(1, 2),
    )
    for event in view.events:
        _say_twice_told(event)
    say.out(view.label_check)
    for oddity in view.odd:
        say.talk(f"  ! {oddity.what}  try: {oddity.instead}")


def _through(piece: StripPiece) -> str:
    """Say where a piece went, and whether that was worked out."""
    said = _plain(piece.went_to)
    return f"{said} (inferred)" if said and piece.how == "inferred" else said


def _say_twice_told(event: StoryEvent) -> None:
    """Say what was typed late, or was taken back."""
    words = f"entry {event.entry}, {event.happened}: {_plain(event.what)}"
    if event.corrected_by:
        say.out(f"taken back by entry {event.corrected_by}: {words}")
    elif event.late:
        say.out(f"typed late, {event.recorded}: {words}")


def _plain(text: str) -> str:
    return text.replace("\u2068", "").replace("\u2069", "")


def stories_view(
    s: Session, led: Ledgers, as_of: str = "", known_on: str = ""
) -> Stories:
    """Build the view of all spools."""
    from planner.views.stories_builder import build

    return build(
        led, today=s.today, made=made_words(s), event_of=event_of(s), as_of=as_of,
        known_on=known_on or None,
    )  # fmt: skip


def _say_stories(view: Stories) -> None:
    say.out(view.short)
    say.table(
        ("ribbon", "spools", "used", "lost", "share", "mainly"),
        [(x.ribbon, str(len(x.spools)), x.used, x.lost, x.lost_share_shown, x.worst)
         for x in view.ribbons],
        right=(1, 2, 3, 4),
    )  # fmt: skip
    say.out("")
    say.table(
        ("spool", "lot", "joins", "lost", "not yet explained", "against its label"),
        [(x.code, x.lot, str(x.joins or ""), x.lost, x.unexplained, x.label_check)
         for x in view.spools],
        right=(2, 3, 4),
    )  # fmt: skip
    say.out("")
    if view.over_cut:
        say.table(
            ("over-cut", "parts", "each", f"{view.level_shown} sure between"),
            [(x.role, str(x.parts), x.each, x.interval) for x in view.over_cut],
            right=(1, 2),
        )
    say.out(view.over_cut_note)
    say.out("")
    say.table(
        ("lot", "ribbon", "label likely off by", f"{view.level_shown} sure between",
         "read first", "mean error", "the lot"),
        [(x.lot, x.ribbon, x.likely, x.interval, str(x.spools or ""), x.mean, x.verdict)
         for x in view.lots],
        right=(2, 4, 5),
    )  # fmt: skip
    say.out(f"Labels are judged by: {view.rule}")
    for oddity in view.odd:
        say.talk(f"  ! {oddity.about}: {oddity.what}  try: {oddity.instead}")
