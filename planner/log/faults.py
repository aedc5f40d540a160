"""
What SQLite and the disk complain of, said in words she can act on.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from planner.errors import Busy, Damaged, HeadMoved, LogTrouble, NotAShop

_CORRUPT, _NOT_A_DATABASE = sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB
_BUSY = (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)
_READ_ONLY = (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_PERM, sqlite3.SQLITE_AUTH)
_CONSTRAINT, _FULL = sqlite3.SQLITE_CONSTRAINT, sqlite3.SQLITE_FULL
_CANT_OPEN = sqlite3.SQLITE_CANTOPEN

UNREADABLE = (sqlite3.Error, UnicodeDecodeError)
"""What a damaged file raises; the second when SQLite quotes its bytes in a message."""


@contextmanager
def told(path: Path) -> Iterator[None]:
    """
    Turn what goes wrong with the file into trouble that says what to do.

    Raises Busy, Damaged, NotAShop or LogTrouble; a wrong call of the library stays one.
    """
    try:
        yield
    except sqlite3.ProgrammingError:
        raise
    except UnicodeDecodeError as error:
        raise damaged(path) from error
    except sqlite3.Error as error:
        raise _trouble(error, path) from error
    except OSError as error:
        raise _unusable(error, path) from error


def _unusable(error: OSError, path: Path) -> LogTrouble:
    return LogTrouble(
        f"{path} can't be used: {error.strerror or error}; nothing was written.",
        instead="See that it and its folder may be read and written.",
    )


def _trouble(error: sqlite3.Error, path: Path) -> LogTrouble:
    code = getattr(error, "sqlite_errorcode", 0) & 0xFF
    if is_busy(error):
        return _busy(path)
    if code in _READ_ONLY:
        return read_only(path)
    if code == _NOT_A_DATABASE:
        return not_a_shop(path)
    if code == _CORRUPT or "decode to UTF-8" in str(error):
        return damaged(path)
    return _failed(error, code, path)


def is_busy(error: sqlite3.Error) -> bool:
    """Say whether it is only that another program uses the file."""
    return getattr(error, "sqlite_errorcode", 0) & 0xFF in _BUSY


def _failed(error: sqlite3.Error, code: int, path: Path) -> LogTrouble:
    if code == _FULL:
        return LogTrouble(
            f"The disk with {path} is full; nothing was written.",
            instead="Make room and type it again.",
        )
    if code == _CONSTRAINT:
        return LogTrouble(
            f"The log refuses it: {error}; nothing was written.",
            instead="`bows check` says whether the file is whole; then type it again.",
        )
    if code == _CANT_OPEN:
        return LogTrouble(
            f"{path} can't be opened.",
            instead="See that it and its folder may be read and written.",
        )
    return LogTrouble(
        f"{path} couldn't be read or written ({error}); nothing was written.",
        instead="See that the disk is whole and has room, then type it again.",
    )


def not_a_shop(path: Path) -> NotAShop:
    """Say that a file is no shop file."""
    return NotAShop(
        f"{path} is no shop file, or its beginning is damaged.",
        instead="Name another file with --shop, or put a backup in its place; "
        "from a damaged one: bows rescue new.bows",
    )


def _busy(path: Path) -> Busy:
    return Busy(
        f"Another program is using {path} and doesn't let go; nothing was written.",
        instead="Finish or close it (another window of bows, backup software), "
        "then type it again.",
    )


def read_only(path: Path) -> LogTrouble:
    """Say that nothing can be entered in a file."""
    return LogTrouble(
        f"{path} may only be read; nothing was written.",
        instead="Allow writing to the file and its folder, or work on a copy.",
    )


def damaged(path: Path) -> Damaged:
    """Say that a shop file is damaged."""
    return Damaged(
        f"{path} is damaged.",
        instead="`bows check` names what is damaged; a backup has the rest, or "
        "`bows rescue new.bows` writes all whole events to a new file.",
    )


def moved(entry: int) -> HeadMoved:
    """Say that somebody entered something meanwhile."""
    return HeadMoved(
        f"Entry {entry} was entered meanwhile; nothing was written.",
        instead="Look again and type it again.",
    )


def unlike(path: Path) -> Damaged:
    """Say that a disk gives back something else than was written."""
    return Damaged(
        f"{path} didn't give back what was written to it; nothing was written.",
        instead="Don't trust this disk: put the shop file on another.",
    )


def unsure(path: Path) -> LogTrouble:
    """Say that a disk failed after all was written and before it was surely kept."""
    return LogTrouble(
        f"The disk with {path} failed at the end: it was written, and may not last.",
        instead="See that the disk is whole; `bows entries` shows whether it is there.",
    )


def left_unwritten(path: Path, person: str) -> LogTrouble:
    """Say that a name is deleted, and the file not yet rewritten without it."""
    return LogTrouble(
        f"What was kept of {person} is deleted, but {path} couldn't be rewritten.",
        instead=f"Make room on the disk, then once more: bows forget {person}",
    )
