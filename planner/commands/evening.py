"""`bows log`: one process kept open for an evening, a line an entry."""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Mapping
from itertools import count
from typing import Any

import typer

from planner.commands import say
from planner.commands.session import Session, current
from planner.errors import Absurd, LogTrouble, Trouble, Unreadable
from planner.rules.base import plural
from planner.values.text import quoted, split_words

_STOP = ("quit", "exit", "done", "end")
LONGEST = 1_100_000
"""Characters of a line: a note of a million, and its words before it."""
_NOT_HERE = ("log", "demo", "open", "what-if")


def log() -> None:
    """
    Keep the shop open and type a line an entry; an empty line shows the totals.

    Each line is what you would type after "bows". End with "done" or Ctrl-D.

    Example: echo "made 2 4in navy" | bows log
    """
    from typer.main import get_command

    from planner.commands.main import app, refuse

    s = current()
    s.ledgers()
    if hasattr(sys.stdin, "reconfigure"):
        # Bytes that are no text become letters that every rule refuses.
        sys.stdin.reconfigure(errors="surrogateescape")
    command, totals = get_command(app), Counter[str]()
    failed: dict[int, str] = {}
    if sys.stdin.isatty():
        say.talk('A line an entry, such as "made 12 4in navy 95min"; "done" ends it.')
    for number in count(1):
        line = _next_line()
        if line is None or line.strip().lower() in _STOP:
            break
        if not line.strip():
            _say_totals(s, totals)
        elif not _enter(s, command, line, totals):
            failed[number] = line
            if not sys.stdin.isatty():
                say.talk(f"  refused: {_told(number, line)}")
    _say_totals(s, totals)
    if failed and not sys.stdin.isatty():
        refuse(_refused(failed), json=False)
        raise typer.Exit(2)


def _told(number: int, line: str) -> str:
    return f"line {number}, {quoted(line.strip())}"


def _refused(failed: Mapping[int, str]) -> Trouble:
    """Name the lines refused, by number and text, so that they can be typed anew."""
    some = "1 line was" if len(failed) == 1 else f"{len(failed)} lines were"
    lines = "".join(f"\n  {_told(*one)}" for one in failed.items())
    return Trouble(
        f"{some} refused; what the others said is written.{lines}",
        instead="type what was refused once more, as the notes above say",
    )


def _next_line() -> str | None:
    if sys.stdin.isatty():
        say.talk("bows>", end=" ")
    line = sys.stdin.readline(LONGEST)
    if not line.endswith("\n"):
        # What follows of an overlong line is no line of its own.
        while rest := sys.stdin.readline(LONGEST):
            line = line[:LONGEST] + "\u2026"
            if rest.endswith("\n"):
                break
    return line if line else None


def _enter(s: Session, command: Any, line: str, totals: Counter[str]) -> bool:
    """Run one line in this process; say whether it was taken."""
    from planner.commands.main import answer, refuse

    if len(line) > LONGEST:
        refuse(
            Absurd(
                "That line is far too long; nothing of it was read.", instead="it anew"
            ),
            json=s.json,
        )
        return False
    try:
        words = split_words(line)
    except Unreadable as trouble:
        refuse(trouble, json=s.json)
        return False
    words = words[1:] if words[:1] == ["bows"] else words
    if not words:
        return True
    if words[0] in _NOT_HERE or words[0].startswith("-"):
        refuse(
            Unreadable(
                f"{quoted(words[0])} can't be typed here.",
                instead="bows in a terminal of its own",
            ),
            json=s.json,
        )
        return False
    before = s.last
    try:
        code = answer(command, words, session=s)
    except LogTrouble:
        raise
    if s.last is not before and code == 0:
        totals[words[0]] += 1
    return code == 0


def _say_totals(s: Session, totals: Counter[str]) -> None:
    if totals:
        words = ", ".join(f"{n} × {word}" for word, n in totals.items())
        said = plural(sum(totals.values()), "entry", "entries")
        # Where every line answers with an object, the totals stay out of them.
        (say.talk if s.json else say.out)(f"so far: {said} ({words})")
