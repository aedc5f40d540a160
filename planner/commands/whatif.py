"""`bows what-if`: any question answered as if a file's lines had happened."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import Annotated

import typer

from planner.commands import progress, say
from planner.commands.files import named
from planner.commands.folding import fold_log
from planner.commands.session import Session, begin, current
from planner.commands.take_in import read_file
from planner.errors import Refusal, Unreadable
from planner.log.store import Log
from planner.rules.base import Now, plural
from planner.rules.supposing import Supposed, read_supposed, suppose
from planner.rules.take_in_rows import decoded
from planner.values.daywords import spoken

_NO_QUESTIONS = frozenset(
    {
        "open", "demo", "log", "what-if", "take-in", "import", "export", "forget",
        "back-up", "check", "entries",
    }
)  # fmt: skip
"""Commands about the log itself, in which nothing supposed stands."""


def what_if(
    file: Annotated[str, typer.Argument(help="A text file, a line each.")],
    command: Annotated[
        list[str], typer.Argument(help="The question, such as: -- due --json")
    ],
) -> None:
    """
    Answer a question as if the lines of a file had happened; nothing is written.

    A line is a day, a colon and what you would type: "tomorrow: in navy 1.5in 100yd",
    "fri: made 12 4in navy"; without a day it is now. Besides there are "order 6 4in
    navy due fri", "called off O12", "ill mon to sun", "hours mon-thu 19:00-22:00".
    What follows a # is a remark. Two examples ship with this program:
    what-if-ill.txt and what-if-big-order.txt.

    Example: bows what-if what-if-ill.txt -- due
    """
    s = current()
    if command[0] in _NO_QUESTIONS:
        raise Unreadable(
            f"{command[0]} looks at the log itself, where nothing supposed stands.",
            instead=f"bows what-if {file} -- due",
        )
    if command[0] == "report" and len(command) == 1:
        raise Unreadable(
            "Pages of what might happen don't belong among those of what did.",
            instead=f"bows what-if {file} -- report what-if-pages",
        )
    path = _file(file)
    with progress.showing(f"supposing {path.name}", json=s.json):
        supposed = _supposed(s, path)
    _tell(s, supposed, path.name)
    raise typer.Exit(_answer(s, supposed, command))


def _file(told: str) -> Path:
    """Give her file, or else the example of that name that ships with the program."""
    path = named(told)
    if path.exists():
        return path
    from planner.pages import shipped

    example = shipped("scenarios") / path.name
    return example if example.is_file() else path


def _supposed(s: Session, path: Path) -> Sequence[Supposed]:
    lines = read_supposed(decoded(read_file(path)))
    with Log.open(s.path, readonly=True) as log:
        folded = fold_log(log)
    now = Now(s.clock(), folded.zone)
    supposed, problems = suppose(folded.folder, lines=lines, now=now)
    if problems:
        shown = "\n".join(f"  {problem}" for problem in problems)
        raise Refusal(
            f"{path.name}: {plural(len(problems), 'line')} can't be supposed:\n{shown}",
            instead="mend the file and ask again",
        )
    return supposed


def _tell(s: Session, supposed: Sequence[Supposed], name: str) -> None:
    count = sum(len(one.proposal.facts) for one in supposed)
    say.talk(
        f"supposing {plural(count, 'thing')} that {'has' if count == 1 else 'have'} "
        f"not happened ({name}); nothing is written"
    )
    if s.json:
        return
    for one in supposed:
        happened = one.proposal.facts[0].happened
        day = spoken(date.fromisoformat(happened[:10]))
        for line in one.proposal.said:
            say.talk(f"  {day}: {line.strip()}")


def _answer(s: Session, supposed: Sequence[Supposed], command: Sequence[str]) -> int:
    from typer.main import get_command

    from planner.commands.main import answer, app

    overlay = tuple(event for one in supposed for event in one.events)
    as_if = Session(
        s.path, json=s.json, yes=s.yes, overlay=overlay, rand=s.rand, clock=s.clock
    )
    begin(as_if)
    return answer(get_command(app), list(command), session=as_if)
