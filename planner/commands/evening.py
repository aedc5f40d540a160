"""`bows log`: one process kept open for an evening, a line an entry."""

from __future__ import annotations

import sys
from collections import Counter
from typing import Any

from planner.commands import say
from planner.commands.session import Session, current
from planner.errors import LogTrouble, Trouble, Unreadable
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

    from planner.commands.main import app

    s = current()
    s.ledgers()
    if hasattr(sys.stdin, "reconfigure"):
        # Bytes that are no text become letters that every rule refuses.
        sys.stdin.reconfigure(errors="surrogateescape")
    command, totals, failed = get_command(app), Counter[str](), 0
    if sys.stdin.isatty():
        say.talk('A line an entry, such as "made 12 4in navy 95min"; "done" ends it.')
    while True:
        line = _next_line()
        if line is None or line.strip().lower() in _STOP:
            break
        if not line.strip():
            _say_totals(s, totals)
        elif not _enter(s, command, line, totals):
            failed += 1
    _say_totals(s, totals)
    if failed and not sys.stdin.isatty():
        refused = "1 line was" if failed == 1 else f"{failed} lines were"
        raise Trouble(
            f"{refused} refused; what the others said is written.",
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
    from planner.commands.main import answer

    if len(line) > LONGEST:
        say.talk("That line is far too long; nothing of it was read.\n  try: it anew")
        return False
    try:
        words = split_words(line)
    except Unreadable as trouble:
        say.talk(f"{trouble.what}\n  try: {trouble.instead}")
        return False
    words = words[1:] if words[:1] == ["bows"] else words
    if not words:
        return True
    if words[0] in _NOT_HERE or words[0].startswith("-"):
        say.talk(
            f"{quoted(words[0])} can't be typed here.\n"
            "  try: bows in a terminal of its own"
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
