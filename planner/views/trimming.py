"""Cut lengths: what trimmings say, and first guesses for new sizes."""

from __future__ import annotations

from typing import ClassVar

from planner.views.common import Report, View


class CutLengthLine(View):
    """One part of one pattern."""

    pattern: str
    """The pattern's name."""
    role: str
    """The part."""
    bows: int
    """Bows measured, short ones included."""
    short: int
    """Of them, those that came out too short."""
    now_nm: int
    """What it is cut to now, nanometres."""
    now: str
    """The same, ready to show."""
    length_nm: int | None
    """Recommended, nanometres; None where too little was measured."""
    length: str
    """The same, ready to show."""
    counted: str
    """The bound by counting alone, or that it can't tell."""
    saved_nm: int
    """Saved a year, nanometres; below zero it takes more."""
    saved: str
    """The same, ready to show."""
    saved_money: str
    """What that is worth a year."""
    why: str
    """What the figure rests on."""
    accept: str
    """What to type to take it as the pattern's next revision; empty for none."""


class GuessLine(View):
    """One part of the reckoning behind a first guess."""

    what: str
    """What takes ribbon."""
    low_nm: int
    """At least, nanometres."""
    high_nm: int
    """At most."""
    range: str
    """The same, ready to show."""


class CutLengths(Report):
    """Every part that was measured."""

    schema_name: ClassVar[str] = "spool-to-stall/cut-lengths/1"
    title: ClassVar[str] = "Cut lengths"
    template: ClassVar[str] = "trimming.html.j2"

    short: str
    """The answer in one sentence."""
    promise: str
    """What a recommended length promises, and how surely."""
    lines: tuple[CutLengthLine, ...]
    """By pattern and part."""


class SizeGuess(Report):
    """A first range for a new size."""

    schema_name: ClassVar[str] = "spool-to-stall/size-guess/1"
    title: ClassVar[str] = "A first guess for a new size"
    template: ClassVar[str] = "size_guess.html.j2"

    what: str
    """The size and the ribbon's width."""
    low_nm: int
    """At least, nanometres."""
    high_nm: int
    """At most, nanometres."""
    range: str
    """The same, ready to show."""
    lines: tuple[GuessLine, ...]
    """What it is made of."""
    note: str
    """That it is a guess."""
