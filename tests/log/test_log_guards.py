"""The shop file itself refuses whatever isn't the next event."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest
from log_toys import all_rows, fill

from planner.log.chain import COLUMNS
from planner.log.store import Log

_COPY = ", ".join(COLUMNS[1:])
_NEW = "'11111111-1111-7111-8111-111111111111'"
_LAST = "(SELECT hash FROM event WHERE seq = 3)"
_REST = "'note', 1, '2026-11-25', '2026-11-25T12:00:00.000Z', x'7b7d'"


def _into(how: str, seq: object, id: str, entry: int, prev: str) -> str:
    return (
        f"INSERT {how} INTO event"
        f" VALUES ({seq}, {id}, {entry}, {_REST}, {prev}, zeroblob(32))"
    )


_TRICKS = {
    "a change": "UPDATE event SET body = x'7b7d' WHERE seq = 2",
    "a change that replaces": "UPDATE OR REPLACE event SET seq = 1 WHERE seq = 2",
    "a deletion": "DELETE FROM event WHERE seq = 2",
    "a deletion of all": "DELETE FROM event",
    "a replacement by seq": _into("OR REPLACE", 2, _NEW, 4, _LAST),
    "a replacement by id": _into(
        "OR REPLACE", 4, "(SELECT id FROM event WHERE seq = 2)", 4, _LAST
    ),
    "a seq left out": f"INSERT OR REPLACE INTO event ({_COPY})"
    f" SELECT {_COPY} FROM event WHERE seq = 3",
    "a seq of nothing": _into("", "NULL", _NEW, 4, _LAST),
    "a gap": _into("", 5, _NEW, 4, _LAST),
    "a seq used twice": _into("", 3, _NEW, 4, _LAST),
    "a seq before the first": _into("", 0, _NEW, 4, _LAST),
    "an entry that skips one": _into("", 4, _NEW, 5, _LAST),
    "an entry from before": _into("", 4, _NEW, 2, _LAST),
    "another hash before it": _into("", 4, _NEW, 4, "zeroblob(32)"),
    "an upsert": _into("", 3, _NEW, 4, _LAST)
    + " ON CONFLICT (seq) DO UPDATE SET body = x'7b7d'",
    "a change of a private text": "UPDATE private SET text = 'x'",
    "a private text replaced": "INSERT OR REPLACE INTO private"
    " VALUES ('k', 'P1', 'name', 'x', zeroblob(16))",
}


@pytest.mark.parametrize("trick", list(_TRICKS))
def test_the_file_refuses(log: Log, shop: Path, trick: str) -> None:
    """Any program that opens the file meets the guards, with its default settings."""
    fill(log, 3)
    log.db.execute("INSERT INTO private VALUES ('k', 'P1', 'name', 'y', zeroblob(16))")
    before, kept = all_rows(log), log.private_rows()
    db = sqlite3.connect(shop, isolation_level=None)
    try:
        with pytest.raises(sqlite3.IntegrityError):
            db.execute(_TRICKS[trick])
    finally:
        db.close()

    assert (all_rows(log), log.private_rows()) == (before, kept)


def test_the_next_event_is_let_in(log: Log) -> None:
    """So the tricks above are refused for what is wrong with them alone."""
    fill(log, 3)
    log.db.execute(_into("", 4, _NEW, 4, _LAST))
    log.db.execute(
        _into("", 5, _NEW.replace("7111", "7112"), 4, "zeroblob(32)"),
    )

    assert log.head().seq == 5
