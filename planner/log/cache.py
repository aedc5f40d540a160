"""
The throw-away cache of the ledgers: cells of bytes in a file of its own.

It lies outside the shop file, for its owner alone, and holds no names and no bodies of
events.  Deleting it changes nothing; whatever is wrong with it, the ledgers are folded
anew.  Each cell carries a checksum over its number and its bytes, so that a damaged
file is noticed and not believed.
"""

from __future__ import annotations

import os
import sqlite3
from binascii import crc32
from collections.abc import Iterable, Iterator
from contextlib import suppress
from pathlib import Path
from typing import Self

from planner.errors import CacheLost

Cell = tuple[int, bytes]

PATIENCE = 0.5
"""Seconds to wait for another program that writes the cache."""

AN_HOUR = 3600

_TABLE = "CREATE TABLE cell (number INTEGER PRIMARY KEY NOT NULL, data BLOB NOT NULL)"
_PUT = "INSERT OR REPLACE INTO cell VALUES (?, ?)"
_UNUSABLE = (sqlite3.Error, OSError, ValueError, TypeError, OverflowError, MemoryError)
"""What reading a damaged file may raise; damaged text is a ValueError."""


class Cache:
    """A cache open for reading, held as it was when it was opened."""

    def __init__(self, path: Path, db: sqlite3.Connection) -> None:
        """Use `Cache.open`."""
        self.path = path
        self._db = db

    @classmethod
    def open(cls, path: Path) -> Self | None:
        """Open a cache as it is now; None when there is none to be trusted."""
        try:
            if not _hers(os.lstat(path)):
                return None
            db = _connect(path)
            db.execute("BEGIN")
            return cls(path, db)
        except _UNUSABLE:
            return None

    def close(self) -> None:
        """Let go of the file."""
        with suppress(sqlite3.Error):
            self._db.close()

    def get(self, number: int) -> bytes:
        """Give one cell; raises CacheLost."""
        (data,) = self._read("number = ?", number) or (None,)
        return _proved(number, data)

    def span(self, first: int, count: int) -> list[bytes]:
        """Give so many cells in a row; raises CacheLost."""
        found = self._read(
            "number >= ? AND number < ? ORDER BY number", first, first + count
        )
        if len(found) != count:
            raise CacheLost(f"{len(found)} of {count} cells are there")
        return [_proved(first + at, data) for at, data in enumerate(found)]

    def _read(self, where: str, *values: int) -> list[object]:
        try:
            rows = self._db.execute(f"SELECT data FROM cell WHERE {where}", values)
            return [row[0] for row in rows]
        except _UNUSABLE as error:
            raise CacheLost(str(error)) from error

    def update(
        self, cells: Iterable[Cell], dropped: Iterable[int], head: bytes
    ) -> bool:
        """
        Write changed cells, if the first is still `head`; says whether that was done.

        What another process wrote meanwhile stays.
        """
        try:
            self._db.execute("COMMIT")
            self._db.execute("BEGIN IMMEDIATE")
            if self.get(0) != head:
                raise CacheLost("another process has written it")
            self._db.executemany(_PUT, map(_sealed, cells))
            gone = ((number,) for number in dropped)
            self._db.executemany("DELETE FROM cell WHERE number = ?", gone)
            self._db.execute("COMMIT")
        except (CacheLost, *_UNUSABLE):
            with suppress(sqlite3.Error):
                self._db.execute("ROLLBACK")
            return False
        return True


def build(path: Path, cells: Iterable[Cell]) -> bool:
    """Write a whole new cache in place of any old one; says whether that was done."""
    made = path.with_name(f"{path.name}.{os.getpid()}.part")
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        for left in _old_leftovers(path):
            left.unlink()
        os.close(os.open(made, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600))
        _fill(made, cells)
        made.replace(path)
    except _UNUSABLE:
        return False
    finally:
        with suppress(OSError):
            made.unlink(missing_ok=True)
    return True


def _fill(made: Path, cells: Iterable[Cell]) -> None:
    db = _connect(made)
    try:
        # Nobody knows the file yet: what a crash leaves of it is thrown away.
        db.execute("PRAGMA journal_mode = OFF").fetchall()
        db.execute("BEGIN")
        db.execute(_TABLE)
        db.executemany(_PUT, map(_sealed, cells))
        db.execute("COMMIT")
    finally:
        db.close()


def wipe(path: Path) -> None:
    """Delete a cache and all that an unfinished one may have left."""
    for left in _beside(path):
        with suppress(OSError):
            left.unlink()


def _beside(path: Path) -> list[Path]:
    try:
        return list(path.parent.glob(f"{path.name}*"))
    except OSError:
        return []


def _old_leftovers(path: Path) -> Iterator[Path]:
    """Walk what processes that were killed have left of a cache they were making."""
    parts = [left for left in _beside(path) if left.name.endswith(".part")]
    newest = max((left.stat().st_mtime for left in [*parts, path.parent]), default=0)
    return (left for left in parts if newest - left.stat().st_mtime > AN_HOUR)


def _hers(told: os.stat_result) -> bool:
    """Say whether a file is hers, and nobody else may have written it."""
    if os.name == "nt":
        return True
    regular = (told.st_mode & 0o170000) == 0o100000
    return regular and told.st_uid == os.getuid() and not told.st_mode & 0o077


def _connect(path: Path) -> sqlite3.Connection:
    db = sqlite3.connect(path.absolute(), isolation_level=None, timeout=PATIENCE)
    db.execute("PRAGMA trusted_schema = OFF")
    db.execute("PRAGMA synchronous = FULL")
    return db


def _sealed(cell: Cell) -> Cell:
    number, data = cell
    return number, _seal(number, data) + data


def _seal(number: int, data: bytes) -> bytes:
    return crc32(data, crc32(number.to_bytes(8, "big"))).to_bytes(4, "big")


def _proved(number: int, data: object) -> bytes:
    if not isinstance(data, bytes) or data[:4] != _seal(number, data[4:]):
        raise CacheLost(f"cell {number} is not what was written")
    return data[4:]
