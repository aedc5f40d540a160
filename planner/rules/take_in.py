"""
A file taken in: which of its lines are new, known or changed, and what they enter.

Each line has an id made of the shop, its words and how often they stand above it, so
that taking a file in twice, grown or under another name, enters nothing twice.  The
events of a line have ids made of that id and an attempt: a line whose entry was taken
back with its whole take-in may be entered once more.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from planner.errors import Refusal
from planner.events.base import Event
from planner.events.notes import EntryCorrected, FileTakenIn
from planner.fold import Folder
from planner.ledgers.state import Ledgers
from planner.rules.base import Now, Proposal, next_code, proposal
from planner.rules.take_in_ask import Ask, Slip
from planner.rules.take_in_known import Compared, event_id
from planner.rules.take_in_rows import MOST_PROBLEMS, Line, Problem
from planner.rules.take_in_words import propose
from planner.values.moments import When, parse_when

_ROWS_AN_EVENT = 5_000
"""A record of more lines is kept as several events of one entry."""


@dataclass(frozen=True, slots=True)
class Entering:
    """What a take-in would write, in order; or the problems why it can't be."""

    code: str
    proposals: tuple[Proposal, ...]
    entries: Mapping[int, int]
    problems: tuple[Problem, ...]
    warnings: tuple[tuple[int, str], ...]


def enter(
    folder: Folder, *, compared: Compared, lines: Sequence[Line], name: str,
    ids: Mapping[str, int], now: Now, corrects: Sequence[int] = (),
) -> Entering:  # fmt: skip
    """
    Propose an entry for each new line, each seeing the effect of those before it.

    The folder holds the log without the entries that `corrects` names, and is used up.
    """
    made: list[Proposal] = []
    if corrects:
        event = EntryCorrected(entries=tuple(corrects), why=f"changed in {name}")
        made.append(proposal([event], now.when))
        folder.advance(made[0].facts)
    entries = dict(compared.known)
    back = {line.number for line in compared.taken_back}
    wanted = [x for x in lines if x.number not in entries and x.number not in back]
    problems: list[Problem] = []
    warnings: list[tuple[int, str]] = []
    for line, one in _asked(folder, wanted, compared, _Asking(now, ids, {}, {})):
        if isinstance(one, Problem):
            problems.append(one)
        else:
            made.append(one)
            entries[line.number] = folder.ledgers.head_entry
            warnings += [(line.number, warning) for warning in one.warnings]
    code = next_code(folder.ledgers, "I")
    made.append(_record(code, name, compared, entries, now.when))
    return Entering(code, tuple(made), entries, tuple(problems), tuple(warnings))


def _asked(
    folder: Folder, lines: Iterable[Line], compared: Compared, asking: _Asking
) -> Iterator[tuple[Line, Proposal | Problem]]:
    """Ask line by line, the folder going on with each; ten problems are enough."""
    problems = 0
    for line in lines:
        one = asking.about(folder.ledgers, line, compared.ids[line.number])
        if isinstance(one, Problem):
            problems += 1
        else:
            folder.advance(one.facts)
        yield line, one
        if problems >= MOST_PROBLEMS:
            return


class _Asking(NamedTuple):
    """What is asked of all lines alike, and what names and days were found to mean."""

    now: Now
    ids: Mapping[str, int]
    found: dict[object, object]
    days: dict[str, When]

    def about(self, led: Ledgers, line: Line, row: str) -> Proposal | Problem:
        """Propose one line's entry, under the ids of its next attempt."""
        today = self.now.today.isoformat()
        ask = Ask(led, line.cells, self.now.when, today, self.found)
        try:
            ask.when = self._day(ask)
            return self._numbered(propose(ask), row)
        except Slip as slip:
            return Problem(line.number, slip.column, slip)
        except Refusal as trouble:
            return Problem(line.number, "", trouble)

    def _day(self, ask: Ask) -> When:
        text = ask.cells.get("day", "")
        if text not in self.days:
            self.days[text] = ask.read("day", self._parsed)
        return self.days[text]

    def _parsed(self, text: str) -> When:
        return parse_when(text, now=self.now.moment, zone=self.now.zone)

    def _numbered(self, made: Proposal, row: str) -> Proposal:
        attempt = 0
        while event_id(row, attempt, 0) in self.ids:
            attempt += 1
        facts = tuple(
            replace(fact, id=event_id(row, attempt, index))
            for index, fact in enumerate(made.facts)
        )
        return replace(made, facts=facts)


def _record(
    code: str, name: str, compared: Compared, entries: Mapping[int, int], when: When
) -> Proposal:
    old = (
        {one.row: one.entry for one in compared.earlier.rows}
        if (compared.earlier)
        else {}
    )
    rows = []
    for number, row in compared.ids.items():
        entry = entries.get(number) or old.get(row)
        if entry:
            rows.append((number, row, entry))
    events: list[Event] = [
        FileTakenIn(take_in=code, name=name, rows=tuple(rows[at : at + _ROWS_AN_EVENT]))
        for at in range(0, len(rows), _ROWS_AN_EVENT)
    ]
    return proposal(events, when)


def fleeting_days(lines: Iterable[Line]) -> list[int]:
    """Give the lines whose day would mean another one tomorrow ("sat")."""
    return [line.number for line in lines if not _firm(line.cells.get("day", ""))]


def _firm(text: str) -> bool:
    return any(letter.isdigit() for letter in text) and " ago" not in text
