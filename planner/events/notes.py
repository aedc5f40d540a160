"""Events about the records themselves: notes, corrections, files taken in."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from planner.events.base import Event, Kept
from planner.events.fields import Code, Name, Number, Text


class NoteWritten(Event):
    """A note, about one thing or none; words about a person are kept beside."""

    kind = "note-written"

    about_what: Code | None = None
    text: Text = ""
    kept: Kept | None = None


class EntryCorrected(Event):
    """
    Entries were taken back: all their postings are negated at their own dates.

    A correction can itself be taken back, which brings those entries into force again.
    """

    kind = "entry-corrected"

    entries: Annotated[tuple[Number, ...], Field(min_length=1)]
    why: Text = ""


class FileTakenIn(Event):
    """
    A file was taken in: its name, and for each row the line, row id and entry.

    The row's words are not kept here, since they may name a person.
    """

    kind = "file-taken-in"

    take_in: Code
    name: Name
    rows: tuple[tuple[Number, Code, Number], ...]
