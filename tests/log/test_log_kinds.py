"""The log keeps the events of this tool by default, and finds its corrections."""

from __future__ import annotations

from pathlib import Path

from log_toys import add

from planner.events import KINDS
from planner.events.base import Entry, Fact
from planner.events.notes import EntryCorrected, NoteWritten
from planner.log.check import check_log
from planner.log.codec import decode_many, registry
from planner.log.store import Log


def test_every_kind_stands_under_its_own_name() -> None:
    assert {name: cls.kind for name, cls in KINDS.items()} == {
        name: name for name in KINDS
    }
    assert registry().kinds is KINDS


def test_every_older_version_is_brought_up_to_the_next() -> None:
    """A kind of version 3 needs an upcaster from 1 and one from 2."""
    needed = {
        (name, version)
        for name, cls in KINDS.items()
        for version in range(1, cls.version)
    }

    assert registry().upcasters.keys() == needed


def test_a_note_and_the_correction_that_takes_it_back_are_kept(shop: Path) -> None:
    note, back = NoteWritten(text="navy is low"), EntryCorrected(entries=(1,))
    with Log.create(shop) as log:
        add(log, *(Entry(facts=(Fact(event, "2026-11-25"),)) for event in (note, back)))

        assert decode_many([row for rows in log.rows() for row in rows]) == [note, back]
        assert decode_many(log.corrections()) == [back]
        assert check_log(log).whole
