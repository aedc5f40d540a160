"""
Today's ledgers out of the cache, and back into it: by the way, and never in the way.

A cache counts only for this very code, and only if the log still holds the event it was
made at, with the same hash.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from contextlib import suppress
from functools import cache as remembered
from hashlib import sha256
from pathlib import Path
from typing import Any, NamedTuple

import planner
from planner.errors import CacheLost
from planner.fold import Folder
from planner.ledgers.keeping import Head, Writer, read_head, take_up
from planner.ledgers.living import ALWAYS
from planner.ledgers.shelves import write_json
from planner.ledgers.state import Ledgers
from planner.log import cache
from planner.log.bodies import read_bodies
from planner.log.codec import decode_many
from planner.log.store import Log

FORMAT = 1
"""Raised when the cells mean something else, whatever the files of code say."""
TAIL = 200
"""Events since the cache from which it is brought up after any command."""
A_FEW = 20
"""Events since the cache from which it is brought up after a question."""

_NAME = "spool-to-stall"
_CODE = ("ledgers", "events", "fold.py", "log/codec.py", "values/moments.py")


class Kept(NamedTuple):
    """The cache that some ledgers came out of, for bringing it up."""

    file: cache.Cache
    head: Head


@remembered
def code_version() -> str:
    """
    Say which code makes ledgers: by its format, and sizes and dates of its files.

    It is that of the files as this process began: one left open over an upgrade goes
    on with the code it has, and must not put the new one's name to what it keeps.
    """
    told = [str(FORMAT)]
    root = os.path.dirname(planner.__file__ or "")
    for part in _CODE:
        path = os.path.join(root, part)
        for one in _files(path):
            told.append(f"{one.st_size}.{one.st_mtime_ns}")
    return sha256(" ".join(told).encode()).hexdigest()[:32]


def _files(path: str) -> list[os.stat_result]:
    try:
        if not os.path.isdir(path):
            return [os.stat(path)]
        with os.scandir(path) as entries:
            found = {e.name: e.stat() for e in entries if e.name.endswith(".py")}
        return [found[name] for name in sorted(found)]
    except OSError:
        return []


def resume(log: Log) -> tuple[Folder, Kept] | None:
    """Go on from the cache of a shop file; None when there is none for this log."""
    file = None if _off else cache.Cache.open(cache_path(log.path))
    if file is None:
        return None
    try:
        head = read_head(file)
        row = log.row(head.seq) if head.version == code_version() else None
        if row is not None and row[9].hex() == head.hash:
            led = take_up(file, head, look=look_into(log))
            folder = Folder(
                zone=head.zone, decode=decode_many, bodies=read_bodies, ledgers=led
            )
            return folder, Kept(file, head)
    except (CacheLost, LookupError):  # or a part it should have isn't there
        pass
    file.close()
    return None


def look_into(log: Log) -> Callable[[int], Any]:
    """Give what finds the event at a seq, as long as the log is open."""

    def look(seq: int) -> Any:
        row = log.row(seq)
        if row is None:
            raise CacheLost(f"there is no event {seq}")
        return decode_many([row])[0]

    return look


def keep(path: Path, led: Ledgers, kept: Kept | None, *, asked: bool) -> None:
    """
    Bring the cache up to some ledgers, if that is worth it.

    `asked` says whether a question was answered and nothing written.  Whatever goes
    wrong, it must not reach her, since all she asked for is done: there is then no
    newer cache, and in Python's development mode the reason.
    """
    if led.hypothetical or not _worth_it(led, kept, asked):
        return
    try:
        _bring_up(kept, led) if kept else _make(path, led)
    except Exception:
        if sys.flags.dev_mode:
            raise


def _worth_it(led: Ledgers, kept: Kept | None, asked: bool) -> bool:
    """Say whether many events came since the cache, or much was worked out anew."""
    if kept is None:
        return led.head_seq >= A_FEW
    tail, anew = led.head_seq - kept.head.seq, led.memo.get("worked out anew", ())
    if asked:
        return tail >= A_FEW or bool(anew)
    return tail >= TAIL or bool(set(anew) & set(ALWAYS))


def _make(path: Path, led: Ledgers) -> None:
    if led.voided and max(led.voided) > led.head_entry:
        return  # an entry still to come is out of force: no log of ours says so
    cells = Writer(led, version=code_version(), since=None).cells()
    cache.build(cache_path(path), cells)


def _bring_up(kept: Kept, led: Ledgers) -> None:
    writer = Writer(led, version=kept.head.version, since=kept.head)
    cells = list(writer.cells())  # they rest on cells still to be read
    kept.file.update(cells, writer.dropped, write_json(vars(kept.head)))


_off: list[Path] = []
"""Shops whose cache was lost while it was read, in this process."""


def switch_off(path: Path) -> None:
    """Do without a cache from now on in this process, and delete this one."""
    _off.append(path)
    with suppress(OSError):
        wipe(path)


def wipe(path: Path) -> None:
    """Delete the cache of a shop file."""
    cache.wipe(cache_path(path))


def cache_path(shop: Path) -> Path:
    """
    Give where the cache of a shop file lies.

    In the folder BOWS_CACHE, or the user's own for caches; the name tells nothing.
    """
    name = sha256(str(shop.resolve()).encode("utf-8", "surrogateescape")).hexdigest()
    return _folder() / f"{name[:32]}.cache"


def _folder() -> Path:
    told = os.environ.get("BOWS_CACHE")
    if told:
        return Path(told).expanduser()
    if sys.platform == "linux":  # as platformdirs has it, which takes long to load
        home = os.environ.get("XDG_CACHE_HOME", "").strip()
        return Path(home or os.path.expanduser("~/.cache")) / _NAME
    from platformdirs import user_cache_path

    return user_cache_path(_NAME, appauthor=False)
