"""
The shape of a shop file: tables, guards, indexes, and how older ones are brought up.

The guards refuse a change, a deletion, and an insertion that isn't the next event:
INSERT OR REPLACE deletes the row it replaces without asking the first two.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Mapping

from planner.log.chain import COLUMNS

APPLICATION_ID = int.from_bytes(b"Bows", "big")
"""Stands in the head of a shop file, so that it is known among other files."""

FORMAT = 1
"""The format of the shop file that this version writes (its `user_version`)."""

Migration = Callable[[sqlite3.Connection], None]

MIGRATIONS: Mapping[int, Migration] = {}
"""
Format -> what makes the next format of it, run inside one transaction.

A migration leaves the words of the schema exactly as `SCHEMA` gives them (a table is
built anew, not altered), for `bows check` compares them.
"""

SELECT = f"SELECT {', '.join(COLUMNS)} FROM event"
INSERT = f"INSERT INTO event VALUES ({', '.join('?' * len(COLUMNS))})"
LEAN = SELECT.replace(" id,", " NULL,").replace(" prev,", " NULL,")
"""Leaves out what no fold looks at, which saves a tenth of the time."""

_LAST = "FROM event ORDER BY seq DESC LIMIT 1"

SCHEMA = (
    """CREATE TABLE event (
    seq INTEGER PRIMARY KEY NOT NULL CHECK (seq >= 1),
    id TEXT NOT NULL UNIQUE CHECK (length(id) = 36),
    entry INTEGER NOT NULL CHECK (entry >= 1),
    kind TEXT NOT NULL CHECK (length(kind) >= 1),
    version INTEGER NOT NULL CHECK (version >= 1),
    happened TEXT NOT NULL CHECK (length(happened) >= 10),
    recorded TEXT NOT NULL CHECK (length(recorded) = 24),
    body BLOB NOT NULL CHECK (length(body) >= 2),
    prev BLOB NOT NULL CHECK (length(prev) = 32),
    hash BLOB NOT NULL CHECK (length(hash) = 32)
) STRICT""",
    """CREATE TABLE private (
    key TEXT PRIMARY KEY NOT NULL CHECK (length(key) >= 1),
    person TEXT NOT NULL,
    field TEXT NOT NULL,
    text TEXT NOT NULL,
    salt BLOB NOT NULL CHECK (length(salt) = 16)
) STRICT""",
    "CREATE INDEX event_by_entry ON event (entry)",
    "CREATE INDEX correction ON event (seq) WHERE kind = 'entry-corrected'",
    "CREATE INDEX private_by_person ON private (person)",
    """CREATE TRIGGER event_is_never_changed BEFORE UPDATE ON event
BEGIN SELECT RAISE(ABORT, 'an event is never changed; a correction is entered'); END""",
    """CREATE TRIGGER event_is_never_deleted BEFORE DELETE ON event
BEGIN SELECT RAISE(ABORT, 'an event is never deleted; a correction is entered'); END""",
    """CREATE TRIGGER event_comes_next BEFORE INSERT ON event
WHEN NEW.seq IS NOT (SELECT ifnull(max(seq), 0) + 1 FROM event)
BEGIN SELECT RAISE(ABORT, 'an event goes to the end of the log'); END""",
    """CREATE TRIGGER event_is_new BEFORE INSERT ON event
WHEN EXISTS (SELECT 1 FROM event WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'an event of this id is in the log already'); END""",
    f"""CREATE TRIGGER entry_comes_next BEFORE INSERT ON event
WHEN NEW.entry - ifnull((SELECT entry {_LAST}), 0) NOT IN (0, 1)
BEGIN SELECT RAISE(ABORT, 'an entry is the last one or the next'); END""",
    f"""CREATE TRIGGER event_is_chained BEFORE INSERT ON event
WHEN NEW.prev IS NOT ifnull((SELECT hash {_LAST}), zeroblob(32))
BEGIN SELECT RAISE(ABORT, 'an event carries the hash of the one before'); END""",
    """CREATE TRIGGER private_is_never_changed BEFORE UPDATE ON private
BEGIN SELECT RAISE(ABORT, 'a text about a person is never changed'); END""",
    """CREATE TRIGGER private_is_new BEFORE INSERT ON private
WHEN EXISTS (SELECT 1 FROM private WHERE key = NEW.key)
BEGIN SELECT RAISE(ABORT, 'a text of this key is kept already'); END""",
)


def lay_down(db: sqlite3.Connection) -> None:
    """Make an empty shop in an empty file, inside one transaction."""
    db.execute("BEGIN IMMEDIATE")
    for statement in SCHEMA:
        db.execute(statement)
    db.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    db.execute(f"PRAGMA user_version = {FORMAT}")
    db.execute("COMMIT")


def words_of(db: sqlite3.Connection) -> dict[str, str]:
    """Give the words by which each table, guard and index of a file was made."""
    made = db.execute(
        "SELECT type || ' ' || name, sql FROM sqlite_master WHERE sql IS NOT NULL"
        " AND name NOT LIKE 'sqlite\\_%' ESCAPE '\\'"
    )
    return dict(made.fetchall())


def expected_words() -> dict[str, str]:
    """Give the words a whole shop file must have."""
    db = sqlite3.connect(":memory:", isolation_level=None)
    try:
        lay_down(db)
        return words_of(db)
    finally:
        db.close()
