"""
New files that appear whole or not at all, and never in place of another.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from planner.errors import LogTrouble

PREFIX = ".bows-new-"
"""What the names of files that aren't whole yet begin with."""
AN_HOUR = 3600


@contextmanager
def appearing(target: Path) -> Iterator[Path]:
    """
    Give a new empty file beside the target that takes its name when all went well.

    On POSIX only its owner may read it.  What a program that was killed has left of its
    own is taken away after an hour.  Raises LogTrouble when something of that name is
    there, before and after the work, or when there is no such folder.
    """
    if target.exists() or target.is_symlink():
        raise _taken(target)
    if not target.parent.is_dir():
        raise LogTrouble(
            f"There is no folder {target.parent}; nothing was written.",
            instead="Make that folder first, or name another.",
        )
    import tempfile  # no entry needs it

    handle, name = tempfile.mkstemp(dir=target.parent, prefix=PREFIX, suffix=".part")
    os.close(handle)
    _sweep(Path(name))
    try:
        yield Path(name)
        _to_disk(Path(name))
        _place(Path(name), target)
    finally:
        for leftover in (name, f"{name}-journal"):
            with suppress(OSError):
                os.unlink(leftover)


def _sweep(made: Path) -> None:
    """Take away what was left more than an hour before a file was made."""
    with suppress(OSError):
        newest = made.stat().st_mtime
        for left in made.parent.glob(f"{PREFIX}*.part*"):
            if newest - left.stat().st_mtime > AN_HOUR:
                left.unlink()


def _place(made: Path, target: Path) -> None:
    try:
        _rename_beside(made, target)
    except FileExistsError as error:
        raise _taken(target) from error
    if os.name != "nt":  # Windows opens no folders
        _to_disk(target.parent)


def _rename_beside(made: Path, target: Path) -> None:
    if os.name == "nt":
        made.rename(target)  # refuses an existing target there
        return
    try:
        os.link(made, target)
    except FileExistsError:
        raise
    except OSError:  # a file system without links, such as a memory stick's
        target.touch(mode=0o600, exist_ok=False)
        made.replace(target)


def _to_disk(path: Path) -> None:
    writable = os.O_RDONLY if path.is_dir() else os.O_RDWR
    handle = os.open(path, writable)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _taken(target: Path) -> LogTrouble:
    return LogTrouble(
        f"There is something at {target} already; it stays as it is.",
        instead="Name a file that doesn't exist yet.",
    )
