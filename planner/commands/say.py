"""
How the commands speak: results on stdout, talk on stderr, one JSON object on request.
"""

from __future__ import annotations

import json as json_
import os
import sys
from collections.abc import Iterable, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any

from planner.values.daywords import format_day

if TYPE_CHECKING:
    from planner.log.draft import Appended
    from planner.rules.base import Proposal
    from planner.views.common import View


def alone() -> None:
    """
    Keep stdout for results alone: what a library prints there itself goes nowhere.

    The solver does at times (its own notes, from C), which would spoil a JSON answer.
    """
    try:
        ours = os.dup(sys.stdout.fileno())
    except (AttributeError, OSError, ValueError):
        return  # There is no stdout to spoil.
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    by_line = 1 if os.isatty(ours) else -1
    sys.stdout = open(ours, "w", by_line, "utf-8", "replace")  # noqa: SIM115
    vars(sys)["__stdout__"] = sys.stdout  # The width of the terminal is asked of it.


def out(text: str = "") -> None:
    """Print a result."""
    print(text)


def talk(text: str, *, end: str = "\n") -> None:
    """Print talk: notes, warnings, questions."""
    print(text, file=sys.stderr, end=end, flush=True)


def as_json(value: Any) -> None:
    """Print one JSON object."""
    out(json_.dumps(value, ensure_ascii=False, indent=2))


def view_json(view: View) -> None:
    """Print a view model as its one JSON object."""
    out(view.model_dump_json(indent=2))


def _warn(warnings: Iterable[str]) -> None:
    for warning in warnings:
        talk(f"  ! {warning}")


def _to_come(proposed: Proposal, today: date) -> tuple[str, ...]:
    """Say so when what was seen is dated on a day nobody has seen yet."""
    seen = [f.happened[:10] for f in proposed.facts if f.event.kind not in _AHEAD]
    if not any(day > today.isoformat() for day in seen):
        return ()
    return ("that day is still to come; if it was another: bows undo",)


_AHEAD = ("price-set",)
"""Kinds that may well be dated ahead."""


def _days(proposed: Proposal, today: date) -> str:
    days = sorted({fact.happened[:10] for fact in proposed.facts})
    if days == [today.isoformat()] or len(days) != 1:
        return ""
    return format_day(date.fromisoformat(days[0]), today=today)


def written(
    proposed: Proposal, entry: Appended, *, twice: str, json: bool, today: date
) -> None:
    """Say what was written, its number, and how to take it back."""
    warnings = proposed.warnings + ((f"{twice}; taken as one more",) if twice else ())
    warnings += _to_come(proposed, today)
    if json:
        as_json(_entry_json(proposed, warnings, entry=entry.entry))
        return
    _tell(proposed, warnings, today)
    talk(f"entry {entry.entry} written; {_way_back(proposed, entry.entry)}")


def _way_back(proposed: Proposal, entry: int) -> str:
    """Say how to take an entry back; a correction only by its number."""
    kinds = {fact.event.kind for fact in proposed.facts}
    if "person-forgotten" in kinds:
        return "it can't be taken back"
    if "shop-set-up" in kinds:
        return "all that follows rests on it"
    if "entry-corrected" in kinds:
        return f"to take that back: bows undo {entry}"
    return "to take it back: bows undo"


def dry(proposed: Proposal, *, json: bool, today: date) -> None:
    """Say what would be written."""
    warnings = proposed.warnings + _to_come(proposed, today)
    if json:
        as_json(_entry_json(proposed, warnings, entry=None))
        return
    _tell(proposed, warnings, today)
    talk("a dry run: nothing was written")


def _tell(proposed: Proposal, warnings: Iterable[str], today: date) -> None:
    day = _days(proposed, today)
    if day:
        out(day)
    for line in proposed.said:
        out(line)
    _warn(warnings)


def _entry_json(
    proposed: Proposal, warnings: Sequence[str], *, entry: int | None
) -> dict[str, Any]:
    events = [
        {
            "kind": fact.event.kind,
            "happened": fact.happened,
            **fact.event.model_dump(mode="json", exclude_none=True),
        }
        for fact in proposed.facts
    ]
    return {
        "schema": "spool-to-stall/entry/1",
        "entry": entry,
        "said": list(proposed.said),
        "warnings": list(warnings),
        "events": events,
    }


def table(
    head: Sequence[str], rows: Iterable[Sequence[str]], *, right: Iterable[int] = ()
) -> None:
    """Print a plain table with aligned columns; `right` are right-aligned columns."""
    body = [tuple(str(cell) for cell in row) for row in rows]
    widths = [
        max([_width(head[i]), *(_width(row[i]) for row in body)])
        for i in range(len(head))
    ]
    numbers = set(right)
    for line in [tuple(head), tuple("─" * w for w in widths), *body]:
        cells = [
            " " * (widths[i] - _width(c)) + c
            if i in numbers
            else c + " " * (widths[i] - _width(c))
            for i, c in enumerate(line)
        ]
        out("  ".join(cells).rstrip())


def _width(text: str) -> int:
    """Give the columns a text takes on a terminal (wide letters take two)."""
    if text.isascii():
        return len(text)
    from unicodedata import combining, east_asian_width

    return sum(
        0 if combining(c) else 2 if east_asian_width(c) in "WF" else 1 for c in text
    )
