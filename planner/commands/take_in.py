"""`bows take-in`: a file of lines entered, all or nothing."""

from __future__ import annotations

import stat
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Annotated, Any

import typer

from planner.commands import progress, say
from planner.commands.files import named
from planner.commands.folding import Folded, fold_log
from planner.commands.options import DryRun, Json
from planner.commands.session import Session, current
from planner.errors import Absurd, HeadMoved, Refusal, Unknown, Unreadable
from planner.events.notes import EntryCorrected
from planner.log.draft import Appended
from planner.rules.base import Proposal, plural, proposal
from planner.rules.take_in import Entering, enter, fleeting_days
from planner.rules.take_in_known import (
    Compared,
    compare,
    entries_of,
    once_more,
    refuse_edits,
    resting,
)
from planner.rules.take_in_rows import (
    MOST_BYTES,
    MOST_PROBLEMS,
    Line,
    Problem,
    read_lines,
)
from planner.values.daywords import spoken
from planner.values.text import clean

SCHEMA = "spool-to-stall/take-in/1"
_MOST_WARNINGS = 10


def take_in(
    file: Annotated[
        str | None, typer.Argument(help="A CSV file in UTF-8, with a header line.")
    ] = None,
    correct: Annotated[
        bool,
        typer.Option("--correct", help="Changed lines correct what they were before."),
    ] = False,
    new: Annotated[
        bool, typer.Option("--new", help="Changed lines come on top, as new ones.")
    ] = False,
    back: Annotated[
        str | None,
        typer.Option("--back", help="Take a whole take-in back, such as I3."),
    ] = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter the lines of a file, all or none; lines known already are passed over.

    The first line names the columns: "day,line", where line is what you would type
    after "bows"; or day, what, qty, kind and, where they apply, length, minutes, price,
    place, from, to, spool, bundle, batch, order, how, why, lot, supplier. A column
    "note" is yours alone and is not entered. Days are best written as 2026-11-28.
    Commas, semicolons or tabs may stand between the cells.

    Example: bows take-in sales.csv
    """
    s = current()
    if (file is None) == (back is None):
        raise Unreadable("Which file?", instead="bows take-in sales.csv")
    if back is not None:
        s.write(lambda led: _back(s, back), dry_run=dry_run, json=json)
        return
    path = named(str(file))
    lines, problems = read_lines(read_file(path))
    if not lines and not problems:
        say.talk(f"{path.name} has no lines below its header; nothing was entered")
        return
    name = clean(path.name, what="file's name")
    told = _File(name, lines, problems, correct, new)
    say_it = s.alone(lambda: _taken(s, told, dry_run=dry_run, json=json or s.json))
    say_it()


def read_file(path: Path) -> bytes:
    """
    Read a file of hers, if it is one and not too long.

    Raises:
        Unknown: when there is no such file.
        Absurd: when it is longer than 20 MB.
    """
    try:
        found = path.stat()
        if not stat.S_ISREG(found.st_mode):
            raise Unknown(
                f"{path} is no file.", instead="give a file such as sales.csv"
            )
        if found.st_size > MOST_BYTES:
            raise Absurd(
                f"{path.name} is {found.st_size:,} bytes long; at most {MOST_BYTES:,} "
                "are taken.",
                instead="cut it into several files",
            )
        return path.read_bytes()
    except OSError as error:
        raise Unknown(
            f"{path} can't be read: {error.strerror}.", instead="check its name"
        ) from error


def _refused(name: str, problems: Sequence[Problem]) -> Refusal:
    first = sorted(problems, key=lambda problem: problem.number)[:MOST_PROBLEMS]
    shown = "\n".join(f"  {problem}" for problem in first)
    least = "at least " if len(problems) >= MOST_PROBLEMS else ""
    return Refusal(
        f"{name}: {least}{plural(len(problems), 'problem')}; nothing was entered:\n"
        + shown,
        instead=f"mend the file, then: bows take-in {name}",
    )


@dataclass(frozen=True, slots=True)
class _File:
    """A file read, and what she said about its changed lines."""

    name: str
    lines: Sequence[Line]
    problems: Sequence[Problem]
    correct: bool
    new: bool


def _taken(s: Session, file: _File, *, dry_run: bool, json: bool) -> Callable[[], None]:
    with progress.showing(f"comparing {file.name} with the log", json=json):
        folded, compared, corrects = _compared(s, file)
    if not (compared.fresh or corrects or file.problems):
        return partial(_say_nothing_new, compared, file, json=json)
    with progress.showing(f"reading {len(file.lines):,} lines", json=json):
        entering = enter(
            folded.folder, compared=compared, lines=file.lines, name=file.name,
            now=s.now, ids=folded.taken_in, corrects=corrects,
        )  # fmt: skip
    if file.problems or entering.problems:
        raise _refused(file.name, [*file.problems, *entering.problems])
    written: Sequence[Appended] = ()
    if not (dry_run or s.overlay):
        written = s.log.append_all(
            [made.entry for made in entering.proposals], expected=folded.head,
            recorded=s.clock(), rand=s.rand,
        )  # fmt: skip

    def say_it() -> None:
        s.last = written[-1] if written else s.last
        span = (written[0].entry, written[-1].entry) if written else None
        if json:
            say.as_json(_entered_json(entering, compared, file, span, corrects))
        else:
            _tell(entering, compared, file, span, corrects)

    return say_it


def _compared(s: Session, file: _File) -> tuple[Folded, Compared, list[int]]:
    """Compare the file with the log; gives the entries that changed lines correct."""
    folded = fold_log(s.log)
    compared = compare(
        folded.folder.ledgers, lines=file.lines, name=file.name, shop=folded.shop,
        ids=folded.taken_in, days=folded.days,
    )  # fmt: skip
    if not compared.edits or file.problems or file.new:
        return folded, compared, []
    if not file.correct:
        raise refuse_edits(compared, file=file.name)
    return _corrected(s, folded, compared)


def _corrected(
    s: Session, folded: Folded, compared: Compared
) -> tuple[Folded, Compared, list[int]]:
    """Fold once more, without what the changed lines were and what rested on it."""
    old = frozenset(one.entry for edit in compared.edits for one in edit.old)
    rows = (row for chunk in s.log.rows() for row in chunk)
    rests = resting(rows, entries=old, voided=folded.folder.voided)
    compared = once_more(compared, rests)
    corrects = sorted(old | rests)
    again = fold_log(s.log, without=frozenset(corrects))
    if again.head != folded.head:
        raise HeadMoved("The log moved.", instead="try again")
    return again, compared, corrects


def _back(s: Session, code: str) -> Proposal:
    led = s.ledgers()
    taken, entries = entries_of(led, code)
    entries = sorted({*entries, *_its_correction(s, entries)})
    rows = (row for chunk in s.log.rows() for row in chunk)
    rests = resting(rows, entries=frozenset(entries), voided=led.voided)
    if rests:
        others = sorted(rests)
        raise Refusal(
            f"{plural(len(others), 'entry', 'entries')} that came later rest on lines "
            f"of {taken.code}: {', '.join(map(str, others[:12]))}.",
            instead=f"bows undo {others[-1]} --along   (and so on), then once more",
        )
    event = EntryCorrected(entries=tuple(entries), why=f"take-in {taken.code}")
    said = (
        f"take-in {taken.code} of {taken.name} is taken back: "
        f"{plural(len(entries), 'entry', 'entries')}"
    )
    return proposal([event], s.now.when, said)


def _its_correction(s: Session, entries: Sequence[int]) -> list[int]:
    """Give the correction that the same take-in began with, if it did."""
    first = s.log.entry_rows(entries[0])
    before = s.log.entry_rows(entries[0] - 1)
    same = before and before[0][3] == "entry-corrected" and before[0][6] == first[0][6]
    return [entries[0] - 1] if same else []


# -- saying it -------------------------------------------------------------------


def _say_nothing_new(compared: Compared, file: _File, *, json: bool) -> None:
    if json:
        say.as_json(_json(compared, file, 0, {}))
        return
    words = _known_words(compared, len(file.lines))
    say.out(f"{file.name}: nothing new; {words}")
    _say_oddities(compared, file.lines)


def _known_words(compared: Compared, count: int) -> str:
    back = len(compared.taken_back)
    words = f"{plural(count - back, 'line')} known already"
    return words + (f", {plural(back, 'line')} taken back since" if back else "")


def _tell(
    entering: Entering, compared: Compared, file: _File,
    written: tuple[int, int] | None, corrects: Sequence[int],
) -> None:  # fmt: skip
    say.out(f"take-in {entering.code}, {file.name}: {_counts(entering, compared)}")
    _say_days(entering)
    if corrects:
        say.out(f"taken back first: {plural(len(corrects), 'entry', 'entries')}")
    passed = len(compared.known) + len(compared.taken_back)
    if passed:
        say.out(f"passed over: {_known_words(compared, passed)}")
    _say_warnings(entering)
    _say_oddities(compared, file.lines)
    if written is None:
        say.talk("a dry run: nothing was written")
        return
    say.talk(
        f"entries {written[0]} to {written[1]} written; to take them all back: "
        f"bows take-in --back {entering.code}"
    )


def _entered(entering: Entering, compared: Compared) -> list[Proposal]:
    count = len(entering.entries) - len(compared.known)
    return list(entering.proposals[-1 - count : -1])


def _counts(entering: Entering, compared: Compared) -> str:
    made = _entered(entering, compared)
    kinds = Counter(one.facts[-1].event.kind.replace("-", " ") for one in made)
    names = ", ".join(f"{n:,} × {kind}" for kind, n in kinds.most_common())
    return f"{plural(len(made), 'line')} entered ({names})"


def _say_days(entering: Entering) -> None:
    from datetime import date

    days = [
        fact.happened[:10] for made in entering.proposals[:-1] for fact in made.facts
        if fact.event.kind != "entry-corrected"
    ]  # fmt: skip
    first, last = (spoken(date.fromisoformat(day)) for day in (min(days), max(days)))
    say.out(first if first == last else f"{first} to {last}")


def _say_warnings(entering: Entering) -> None:
    for number, warning in entering.warnings[:_MOST_WARNINGS]:
        say.talk(f"  ! line {number}: {warning}")
    more = len(entering.warnings) - _MOST_WARNINGS
    if more > 0:
        say.talk(f"  ! and {more:,} more such notes (all of them: --json)")


def _say_oddities(compared: Compared, lines: Sequence[Line]) -> None:
    for old in compared.gone[:_MOST_WARNINGS]:
        say.talk(
            f"  ! what was line {old.line} stands in the file no more; entry "
            f"{old.entry} still counts. If it should not: bows undo {old.entry}"
        )
    more = len(compared.gone) - _MOST_WARNINGS
    if more > 0:
        say.talk(f"  ! and {more:,} more lines that stand there no more")
    for which, words in (
        (fleeting_days(lines), "write the day as 2026-11-28, so that it stays the same "
         "day tomorrow"),
        (_elsewhere(compared), "it stood in another file before; if it happened once "
         "more, give it a note of its own"),
    ):  # fmt: skip
        if which:
            others = f" and {len(which) - 1:,} more" if len(which) > 1 else ""
            say.talk(f"  ! line {which[0]}{others}: {words}")


def _elsewhere(compared: Compared) -> list[int]:
    if compared.earlier is None:
        return sorted(compared.known)
    own = {old.row for old in compared.earlier.rows}
    return [n for n in sorted(compared.known) if compared.ids[n] not in own]


def _entered_json(
    entering: Entering, compared: Compared, file: _File,
    written: tuple[int, int] | None, corrects: Sequence[int],
) -> dict[str, Any]:  # fmt: skip
    more = {
        "take_in": entering.code,
        "entries": list(written) if written else None,
        "corrected": list(corrects),
        "warnings": [{"line": n, "what": text} for n, text in entering.warnings],
    }
    return _json(compared, file, len(_entered(entering, compared)), more)


def _json(
    compared: Compared, file: _File, entered: int, more: dict[str, Any]
) -> dict[str, Any]:
    return {
        "schema": SCHEMA, "file": file.name, "lines": len(file.lines),
        "entered": entered, "known": len(compared.known),
        "taken_back": len(compared.taken_back),
        "gone": [{"line": old.line, "entry": old.entry} for old in compared.gone],
        "stood_in_another_file": _elsewhere(compared), "take_in": None,
        "entries": None, "corrected": [], "warnings": [], **more,
    }  # fmt: skip
