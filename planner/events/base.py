"""
What every event is: a frozen fact with a stable short name and a version.

An event's *body* carries resolved facts only (which spool, how long, what price), so
that what it posts is a function of the body alone.  The two times (`happened`,
`recorded`), the entry and the chain stand beside the body, as columns of the log.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, ClassVar, Literal

from pydantic import BaseModel, ConfigDict


class Value(BaseModel):
    """A frozen value inside an event body; unknown fields are refused."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", defer_build=True, ser_json_bytes="base64"
    )


class Event(Value):
    """One thing that happened; subclasses give `kind`, `version` and the body."""

    kind: ClassVar[str] = ""
    """Stable short name, kept in the log for ever; lower case with hyphens."""
    version: ClassVar[int] = 1
    """Number of the body's shape; older ones are brought up by an upcaster."""

    about: Literal[True] | None = None
    """True when she said the day is only "about" right."""


Body = Mapping[str, Any]
"""
An event's fields as they stand in the log, which is all that a ledger looks at.

Those that are None are left out; values inside are mappings, and of a row or column
nobody may rest on more than that it can be walked.
"""


def body_of(event: Event) -> Body:
    """Give an event's body."""
    return event.model_dump(exclude_none=True)


class Kept(Value):
    """
    Words about a person, kept beside the log; the event holds only the commitment.

    `key` names the row, `seal` is the hex SHA-256 of salt and text.
    """

    key: str
    seal: str


@dataclass(frozen=True, slots=True)
class Fact:
    """
    An event with the time it happened, before it is appended.

    `happened` is a day (``2026-11-25``) or an RFC 3339 date-time with its offset
    (``2026-11-25T20:15:00-05:00``).  `id` is left empty for typed entries (the store
    gives a UUIDv7) and set by take-in (a UUIDv8 from the row).
    """

    event: Event
    happened: str
    id: str = ""


@dataclass(frozen=True, slots=True)
class PrivateText:
    """A name, address or free text about a person, to be kept beside the log."""

    key: str
    person: str
    field: str
    text: str
    salt: bytes
    seal: str


@dataclass(frozen=True, slots=True)
class Entry:
    """What one command writes: facts that stand or fall together, in order."""

    facts: tuple[Fact, ...]
    private: tuple[PrivateText, ...] = field(default=())
