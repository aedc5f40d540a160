"""
Opening a shop file: settings, recognition, and what is done with older formats.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Mapping
from pathlib import Path

from planner.errors import LogTrouble, NotAShop
from planner.log import schema, upgrade
from planner.log.faults import not_a_shop

Connect = Callable[[Path], sqlite3.Connection]
"""Opens a connection that commits by itself; tests give one that fails."""

PATIENCE = 60.0
"""Seconds to wait for another program to let go of the file."""


def connect(path: Path) -> sqlite3.Connection:
    """Open a file by its plain name, whatever characters that has."""
    # An absolute path can't be taken for a URI or for a data base in memory.
    return sqlite3.connect(path.absolute(), isolation_level=None)


def settle(db: sqlite3.Connection, patience: float, *, readonly: bool) -> None:
    """
    Set a connection up for a shop file; `patience` is in seconds.

    Raises LogTrouble when this Python's SQLite is too old for strict tables.
    """
    if sqlite3.sqlite_version_info < (3, 37):
        raise LogTrouble(
            f"SQLite {sqlite3.sqlite_version} of this Python is too old.",
            instead="Install a Python with SQLite 3.37 or later.",
        )
    for setting in (
        f"busy_timeout = {round(patience * 1000)}",
        "synchronous = EXTRA",
        "fullfsync = ON",  # on macOS a plain fsync doesn't reach the disk
        "recursive_triggers = ON",
        "trusted_schema = OFF",
        "secure_delete = ON",
        "temp_store = MEMORY",  # no copy of a person's details in a temporary folder
        f"query_only = {int(readonly)}",
    ):
        db.execute(f"PRAGMA {setting}").fetchall()
    if not readonly and _pragma(db, "journal_mode") != "delete":
        db.execute("PRAGMA journal_mode = DELETE").fetchall()


def recognise(
    db: sqlite3.Connection,
    path: Path,
    readonly: bool,
    migrations: Mapping[int, schema.Migration],
) -> None:
    """Raise NotAShop unless it is a shop file; bring one of an older format up."""
    if _pragma(db, "application_id") != schema.APPLICATION_ID:
        raise not_a_shop(path)
    version = _pragma(db, "user_version")
    if not isinstance(version, int) or version > schema.FORMAT:
        raise NotAShop(
            f"{path} was written by a newer version of this tool (format {version}).",
            instead="Install the newest version; nothing was changed.",
        )
    if version < schema.FORMAT:
        _bring_up(db, path, readonly, migrations)


def _bring_up(
    db: sqlite3.Connection,
    path: Path,
    readonly: bool,
    migrations: Mapping[int, schema.Migration],
) -> None:
    if readonly:
        raise LogTrouble(
            f"{path} is of an older format and must be brought up first.",
            instead="Open it once where it may be written; a backup is made first.",
        )
    upgrade.bring_up(db, path, migrations)


def _pragma(db: sqlite3.Connection, name: str) -> object:
    return db.execute(f"PRAGMA {name}").fetchone()[0]
