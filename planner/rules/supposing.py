"""
What might happen, line by line: events that are laid over the log for one question.

A line is a day and what she would type (``fri: made 12 4in navy``), or one of the words
only a supposition knows: ``order 6 4in navy due fri``, ``called off O12``,
``ill mon to sun`` (no bench hours on those days), ``hours mon-thu 19:00-22:00``.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import Final, NamedTuple

from planner.errors import Absurd, Refusal, Unreadable
from planner.fold import Folder, Hypothetical
from planner.ledgers.shop import bench_hours
from planner.rules import handover, opening, orders
from planner.rules.base import Now, Proposal
from planner.rules.take_in_ask import Ask
from planner.rules.take_in_rows import LONGEST_CELL, MOST_PROBLEMS, Line, Problem
from planner.rules.take_in_words import propose, units
from planner.values.bench import BenchHours, parse_bench_hours, spell
from planner.values.daywords import parse_day
from planner.values.durations import parse_clock
from planner.values.moments import parse_when
from planner.values.text import is_hidden

MOST_SUPPOSED: Final = 1_000
_ORDER = r"(?P<items>.+?) due (?P<due>.+?)(?: at (?P<hour>[0-9].*))?"


def read_supposed(text: str) -> list[Line]:
    """
    Read the lines of a what-if file; ``#`` begins a remark.

    Raises:
        Absurd: when there are more than 1,000 lines.
        Unreadable: when a line has a control character, or nothing is supposed.
    """
    lines = list(_lines(text))
    if not lines:
        raise Unreadable(
            "Nothing is supposed in that file.",
            instead="write a line such as: tomorrow: in navy 1.5in 100yd",
        )
    if len(lines) > MOST_SUPPOSED:
        raise Absurd(
            f"That is {len(lines):,} lines; at most {MOST_SUPPOSED:,} are taken.",
            instead="suppose less",
        )
    return lines


def _lines(text: str) -> Iterator[Line]:
    for number, raw in enumerate(text.splitlines(), start=1):
        bare = re.sub(r"(^|\s)#.*", "", raw).replace("\t", " ").strip(" \u00a0")
        if not bare:
            continue
        if len(bare) > LONGEST_CELL or any(is_hidden(letter) for letter in bare):
            raise Unreadable(
                f"Line {number} is too long or has a hidden character in it.",
                instead="type it anew",
            )
        day, colon, rest = bare.partition(": ")
        cells = {"line": rest.strip() if colon else bare}
        yield Line(number, cells | ({"day": day.strip()} if colon else {}), bare, 1)


class Supposed(NamedTuple):
    """A line with what it would change."""

    line: Line
    proposal: Proposal

    @property
    def events(self) -> Iterator[Hypothetical]:
        """The events, of a type that nothing can append."""
        for fact in self.proposal.facts:
            yield Hypothetical(fact.event, fact.happened)


def suppose(
    folder: Folder, *, lines: Sequence[Line], now: Now
) -> tuple[list[Supposed], list[Problem]]:
    """
    Tell what lines would change, each seeing the effect of those before it.

    The folder holds the whole log and is used up.  Days are read looking forwards.
    """
    supposed: list[Supposed] = []
    problems: list[Problem] = []
    for line in lines:
        try:
            made = _supposed(folder, line, now)
        except Refusal as trouble:
            problems.append(Problem(line.number, "", trouble))
        else:
            folder.advance(made.facts)
            supposed.append(Supposed(line, made))
        if len(problems) >= MOST_PROBLEMS:
            break
    return supposed, problems


def _supposed(folder: Folder, line: Line, now: Now) -> Proposal:
    day = line.cells.get("day")
    when = now.when
    if day is not None:
        when = parse_when(day, now=now.moment, zone=now.zone, direction="future")
    today = now.today.isoformat()
    ask = Ask(folder.ledgers, {"line": line.cells["line"]}, when, today)
    for word, rule in ONLY_SUPPOSED.items():
        rest = ask.cells["line"].removeprefix(word + " ")
        if rest != ask.cells["line"]:
            return rule(ask, rest.strip(), now.today)
    return propose(ask)


def _order(ask: Ask, rest: str, today: date) -> Proposal:
    """Suppose an order taken; nobody's, for a supposition needs no name."""
    found = re.fullmatch(_ORDER, rest.removeprefix("take "))
    if found is None:
        raise Unreadable(
            "An order is bows and the day they are due.",
            instead="order 6 4in navy due fri",
        )
    due = parse_day(found["due"], today=today)
    hour = f"{parse_clock(found['hour']):%H:%M}" if found["hour"] else None
    return orders.taken(
        ask.led, items=units(replace(ask, cells={"kind": found["items"] + ","})),
        when=ask.when, rand=bytes, due=due.isoformat(), hour=hour,
    )  # fmt: skip


def _called_off(ask: Ask, rest: str, today: date) -> Proposal:
    return handover.called_off(ask.led, order=rest, when=ask.when)


def _ill(ask: Ask, rest: str, today: date) -> Proposal:
    """Suppose no bench hours on some days, those on top of the rules included."""
    off = parse_bench_hours(f"not {rest}, also {today} 0:00-0:01", today=today).off_days
    told = bench_hours(ask.led)
    return _hours_told(
        ask,
        BenchHours(
            told.rules,
            tuple(sorted({*told.off_days, *off})),
            tuple(extra for extra in told.extra if extra[0] not in off),
        ),
    )


def _hours(ask: Ask, rest: str, today: date) -> Proposal:
    return _hours_told(ask, parse_bench_hours(rest, today=today))


def _hours_told(ask: Ask, told: BenchHours) -> Proposal:
    words = spell(told)
    return opening.hours(ask.led, words=words, told=told, spelled=words, when=ask.when)


ONLY_SUPPOSED: Final[Mapping[str, Callable[[Ask, str, date], Proposal]]] = {
    "order off": _called_off,
    "called off": _called_off,
    "order": _order,
    "ill": _ill,
    "hours": _hours,
}
"""Words that only a supposition knows."""
