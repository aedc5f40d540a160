"""Toy events and short cuts that the tests of the log share."""

from __future__ import annotations

import os
import random
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import ClassVar

from planner.events.base import Entry, Event, Fact, Kept, Value
from planner.log.chain import Head
from planner.log.codec import Registry
from planner.log.draft import Appended
from planner.log.people import new_private
from planner.log.store import Log

ROOT = Path(__file__).resolve().parents[2]
NOON = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)


class Piece(Value):
    role: str
    nanometres: int


class ToyCut(Event):
    kind: ClassVar[str] = "toy-cut"
    version: ClassVar[int] = 3

    spool: str
    pieces: tuple[Piece, ...] = ()
    note: str | None = None
    weight: float | None = None


class ToyGuest(Event):
    kind: ClassVar[str] = "toy-guest"

    person: str
    name: Kept


class ToyCorrected(Event):
    kind: ClassVar[str] = "entry-corrected"

    entry: int


class ToyHypothesis(ToyCut):
    """What a what-if would make: same kind, another class."""


def pieces_from_lengths(body: dict[str, object]) -> dict[str, object]:
    """Version 1 had bare lengths in millimetres; version 2 has pieces in them."""
    lengths = body.pop("lengths")
    assert isinstance(lengths, list)
    body["pieces"] = [{"role": "loop", "mm": length} for length in lengths]
    return body


def nanometres_from_millimetres(body: dict[str, object]) -> dict[str, object]:
    """Version 2 had pieces in millimetres; version 3 has nanometres."""
    pieces = body["pieces"]
    assert isinstance(pieces, list)
    for piece in pieces:
        piece["nanometres"] = piece.pop("mm") * 1_000_000
    return body


TOYS = Registry(
    kinds={cls.kind: cls for cls in (ToyCut, ToyGuest, ToyCorrected)},
    upcasters={
        ("toy-cut", 1): pieces_from_lengths,
        ("toy-cut", 2): nanometres_from_millimetres,
    },
)


def seeded(seed: int = 7) -> Callable[[int], bytes]:
    """Give chance that is the same every time."""
    return random.Random(seed).randbytes


def cut(spool: str = "S7", *, day: str = "2026-11-25", id: str = "", **more) -> Entry:
    """Make an entry of one cut."""
    return Entry(facts=(Fact(ToyCut(spool=spool, **more), day, id),))


def guest(person: str, *, name: str, rand: Callable[[int], bytes]) -> Entry:
    """Make an entry that notes a person by name."""
    kept = new_private(person, "name", name, rand)
    event = ToyGuest(person=person, name=Kept(key=kept.key, seal=kept.seal))
    return Entry(facts=(Fact(event, "2026-11-25"),), private=(kept,))


def add(
    log: Log,
    *entries: Entry,
    expected: Head | None = None,
    recorded: datetime = NOON,
    rand: Callable[[int], bytes] = os.urandom,
) -> tuple[Appended, ...]:
    """Append entries at noon."""
    return log.append_all(entries, expected=expected, recorded=recorded, rand=rand)


def fill(log: Log, count: int, *, rand: Callable[[int], bytes] | None = None) -> None:
    """Append that many entries of one cut each, a minute apart."""
    chance = rand or seeded()
    for number in range(count):
        add(
            log,
            cut(f"S{number + 1}"),
            recorded=NOON + timedelta(minutes=number),
            rand=chance,
        )


def all_rows(log: Log) -> list[tuple]:
    """Read the whole log."""
    return [row for rows in log.rows() for row in rows]
