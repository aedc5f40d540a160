"""
Her notebook: entries as she types them, often late, put in the order of recording.

Facts happen in the order of the invented world and are typed when she gets to it.  The
notebook holds what was typed ahead of the day reached, gives it out in order of the
moment of recording, and only then numbers the entries, so that a correction can name
the entry it takes back.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import datetime

from planner.events.base import Entry, Fact, PrivateText
from planner.events.notes import EntryCorrected


@dataclass(frozen=True, slots=True)
class Told:
    """An entry and the moment (UTC, aware) it was typed."""

    entry: Entry
    recorded: datetime


@dataclass(slots=True, eq=False)
class Draft:
    """An entry without its number; `takes_back` are the drafts it corrects."""

    recorded: datetime
    happened: str
    facts: tuple[Fact, ...]
    private: tuple[PrivateText, ...] = ()
    takes_back: tuple[Draft, ...] = ()
    why: str = ""
    number: int = 0


class Codes:
    """Short codes, counted up for ever: S1, S2, ..., C1, ..."""

    def __init__(self) -> None:
        """Start every letter at one."""
        self._last: dict[str, int] = {}

    def next(self, letter: str) -> str:
        """Give the next code of a letter."""
        number = self._last[letter] = self._last.get(letter, 0) + 1
        return f"{letter}{number}"


@dataclass(slots=True)
class Notebook:
    """Drafts waiting for their moment of recording."""

    _heap: list[tuple[datetime, int, Draft]] = field(default_factory=list)
    _order: int = 0

    def add(self, draft: Draft) -> Draft:
        """Keep a draft until its moment comes."""
        self._order += 1
        heapq.heappush(self._heap, (draft.recorded, self._order, draft))
        return draft

    def ready(self, until: datetime) -> Iterator[Draft]:
        """Give out, in order, what was typed before a moment."""
        while self._heap and self._heap[0][0] < until:
            yield heapq.heappop(self._heap)[2]

    def untyped(self) -> tuple[Fact, ...]:
        """Give the facts she hasn't typed yet, in the order she would."""
        return tuple(f for _, _, draft in sorted(self._heap) for f in draft.facts)


def number(drafts: Iterable[Draft]) -> Iterator[Told]:
    """Number drafts in order of recording and write corrections out with numbers."""
    for count, draft in enumerate(drafts, start=1):
        draft.number = count
        facts = draft.facts + _corrections(draft)
        draft.takes_back = ()
        yield Told(Entry(facts, draft.private), draft.recorded)


def _corrections(draft: Draft) -> tuple[Fact, ...]:
    if not draft.takes_back:
        return ()
    entries = tuple(sorted(wrong.number for wrong in draft.takes_back))
    if not all(entries):
        raise ValueError("a correction was typed before the entry it takes back")
    return (Fact(EntryCorrected(entries=entries, why=draft.why), draft.happened),)
