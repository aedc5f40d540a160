"""The front page: the three answers in short, and what asks for a look."""

from __future__ import annotations

from typing import ClassVar

from planner.views.common import Link, Mood, Oddity, Report, SpoolLeft, Swatch, View


class Answer(View):
    """One of the three questions, answered in a breath."""

    question: str
    """The question as she would ask it."""
    mood: Mood
    """How much it asks of her."""
    short: str
    """The answer in one sentence."""
    points: tuple[str, ...] = ()
    """A few lines more, the most pressing first."""
    typed: str
    """The command that gives the whole answer."""
    link: Link | None = None
    """The report that gives it, if it was made."""


class OpenOrder(View):
    """An order not yet handed over, in one line."""

    code: str
    """The order's code."""
    who: str
    """Whose it is: a nickname or key; may be empty."""
    what: str
    """Its lines in short."""
    due_on: str
    """ISO day it is due; empty when no day was promised."""
    due: str
    """The same in words."""
    mood: Mood
    """How much it asks of her."""
    state: str
    """How it stands, in a word or two."""


class FrontPage(Report):
    """Everything at a glance, on the day it was asked."""

    schema_name: ClassVar[str] = "spool-to-stall/front/1"
    title: ClassVar[str] = "Front page"
    template: ClassVar[str] = "frontpage.html.j2"

    day: str
    """The day it speaks of, in words."""
    fair: Answer
    """What to bring to the next fair."""
    due: Answer
    """Which orders are at risk."""
    ribbon: Answer
    """Which spools hold something not yet explained."""
    orders: tuple[OpenOrder, ...] = ()
    """Orders not yet handed over, soonest due first."""
    spools_low: tuple[SpoolLeft, ...] = ()
    """Spools with little left, least first."""
    missing: tuple[Oddity, ...] = ()
    """Balances below nothing: an entry is missing before this day."""
    colours: tuple[Swatch, ...] = ()
    """The ribbons in use, for the border."""
