"""
What she sees while something takes longer than a second: what is being done, and since
how many seconds.

On a terminal only, on stderr, and never beside an answer in JSON; without colours, or
where the terminal can't go back in a line, it is said once.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from threading import Event

PATIENCE = 1.0
"""Seconds in which nothing is said."""

_shown: list[str] = []
"""What is being shown in this process: an inner step says nothing of its own."""


@contextmanager
def showing(what: str, *, json: bool = False) -> Iterator[None]:
    """Say what takes its time, once it has taken more than a second."""
    if _shown or json or not _wanted():
        yield
        return
    from threading import Event, Thread

    done = Event()
    ticker = Thread(target=_tick, args=(what, done), daemon=True)
    _shown.append(what)
    ticker.start()
    try:
        yield
    finally:
        done.set()
        ticker.join()
        _shown.clear()


def _wanted() -> bool:
    return sys.stderr.isatty() and "--json" not in sys.argv


def _plain() -> bool:
    return bool(os.environ.get("NO_COLOR")) or os.environ.get("TERM") == "dumb"


def _tick(what: str, done: Event) -> None:
    """Count the seconds beside the words until it is done, then wipe them out."""
    seconds = 1
    if done.wait(PATIENCE):
        return
    if _plain():
        _write(f"{what} …\n")
        return
    said = ""
    while True:
        said = f"{what} … {seconds} s"
        _write(f"\r{said}")
        if done.wait(1.0):
            break
        seconds += 1
    _write(f"\r{' ' * len(said)}\r")


def _write(text: str) -> None:
    print(text, end="", file=sys.stderr, flush=True)
