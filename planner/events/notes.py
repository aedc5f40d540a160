"""Events about the records themselves: notes, corrections, files taken in."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, StringConstraints

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


OldHash = Annotated[str, StringConstraints(pattern=r"^([0-9a-f]{64})?$")]
"""The hash an event once had, in hex; empty where nothing tells it any more."""


class EventLost(Event):
    """An event that was lost from a damaged file stood here; its number is kept."""

    kind = "event-lost"

    hash: OldHash = ""


class LogRescued(Event):
    """
    A log was written anew from a damaged file: the hashes its events had, from `first`.

    `lost` are the numbers of those that couldn't be read.
    """

    kind = "log-rescued"

    first: Number
    hashes: Annotated[tuple[OldHash, ...], Field(min_length=1, max_length=1_000)]
    lost: tuple[Number, ...] = ()
