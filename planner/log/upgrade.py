"""
Shop files of older formats are brought up, after a backup beside the file.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping
from contextlib import closing, suppress
from itertools import count
from pathlib import Path

from planner.errors import Damaged, NotAShop
from planner.log.files import appearing
from planner.log.schema import FORMAT, Migration

_TRACES = "SELECT seq, id, hash FROM event ORDER BY seq"


def bring_up(
    db: sqlite3.Connection, path: Path, migrations: Mapping[int, Migration]
) -> Path | None:
    """
    Bring a file up to today's format; where the backup is, if it was needed.

    Raises NotAShop when no way leads from its format, Damaged when an event or its
    hash would not come through unchanged.  Either way the file stays as it was.
    """
    backup = _back_up(db, path)
    db.execute("BEGIN EXCLUSIVE")
    try:
        before = db.execute(_TRACES).fetchall()
        _migrate(db, path, migrations)
        if db.execute(_TRACES).fetchall() != before:
            raise Damaged(
                f"{path} can't be brought up without changing its events.",
                instead="It stays as it is; install the version that last wrote it.",
            )
        db.execute("COMMIT")
    except BaseException:
        with suppress(sqlite3.Error):
            db.execute("ROLLBACK")
        raise
    return backup


def _migrate(
    db: sqlite3.Connection, path: Path, migrations: Mapping[int, Migration]
) -> None:
    # Read again under the lock: another window may have brought it up meanwhile.
    for version in range(_format(db), FORMAT):
        if version not in migrations:
            raise NotAShop(
                f"{path} is of format {version}, which nothing brings up.",
                instead="Install the version that wrote it; nothing was changed.",
            )
        migrations[version](db)
        db.execute(f"PRAGMA user_version = {version + 1}")


def _back_up(db: sqlite3.Connection, path: Path) -> Path:
    target = _free_name(path, _format(db))
    with appearing(target) as made, closing(sqlite3.connect(made.absolute())) as copy:
        db.backup(copy)
        verdict = copy.execute("PRAGMA integrity_check").fetchone()[0]
        if verdict != "ok":
            raise Damaged(
                f"{path} is damaged ({verdict}); it stays as it is.",
                instead="Put the newest backup in its place; keep this file.",
            )
    return target


def _free_name(path: Path, version: int) -> Path:
    for number in count(1):
        name = f"{path.stem}-before-format-{version + 1}-{number}{path.suffix}"
        if not path.with_name(name).exists():
            return path.with_name(name)
    raise AssertionError("numbers don't end")


def _format(db: sqlite3.Connection) -> int:
    version: int = db.execute("PRAGMA user_version").fetchone()[0]
    return version
