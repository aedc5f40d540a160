"""
What a rule answers: an entry with the words that tell her what it changes.

A rule is a pure function of the ledgers, what she asks and the moment; it returns a
`Proposal` or raises a `Refusal`.  A fact she witnessed is never refused: what is odd
about it goes into `warnings`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from planner.errors import Unknown
from planner.events.base import Entry, Event, Fact, PrivateText
from planner.ledgers.codes import newest
from planner.ledgers.state import Ledgers
from planner.values.moments import When
from planner.values.text import quoted


@dataclass(frozen=True, slots=True)
class Proposal:
    """
    An entry that could be written.

    `said` tells what it changes, one line a thing; `warnings` what is odd about it.
    """

    facts: tuple[Fact, ...]
    said: tuple[str, ...]
    warnings: tuple[str, ...] = ()
    private: tuple[PrivateText, ...] = field(default=())

    @property
    def entry(self) -> Entry:
        """The entry as the log takes it."""
        return Entry(self.facts, self.private)


@dataclass(frozen=True, slots=True)
class Now:
    """The moment she asks: aware, in the shop's zone."""

    moment: datetime
    zone: ZoneInfo

    @property
    def today(self) -> date:
        """The shop's day."""
        return self.moment.astimezone(self.zone).date()

    @property
    def when(self) -> When:
        """This very moment, as the log keeps it (to the second)."""
        local = self.moment.astimezone(self.zone).replace(microsecond=0)
        return When(local.isoformat(), about=False)


def fact(event: Event, when: When) -> Fact:
    """Date an event."""
    if when.about and event.about is None:
        event = event.model_copy(update={"about": True})
    return Fact(event, when.text)


def proposal(
    events: Iterable[Event],
    when: When,
    *said: str,
    warnings: Iterable[str] = (),
    private: tuple[PrivateText, ...] = (),
) -> Proposal:
    """Propose events that all happened at one time."""
    facts = tuple(fact(event, when) for event in events)
    return Proposal(facts, said, tuple(warnings), private)


def later(when: When, minutes: int) -> str:
    """Give the moment so many minutes later (a bare day stays a day)."""
    if len(when.text) == 10:
        return when.text
    return (datetime.fromisoformat(when.text) + timedelta(minutes=minutes)).isoformat()


def next_code(led: Ledgers, letter: str, *, more: int = 0) -> str:
    """Give the next short code that nothing ever had, such as S41."""
    return f"{letter}{newest(led, letter) + 1 + more}"


def known(led: Ledgers, noun: str, code: str, *, what: str, instead: str) -> str:
    """
    Give a code back if its noun has such a page.

    Raises:
        Unknown: with what to type to see those there are.
    """
    for key in led.keys(noun):
        if key.lower() == code.lower():
            return key
    raise Unknown(f"There is no {what} {quoted(code)}.", instead=instead)


def signed(count: int) -> str:
    """Say a change with its sign, a true minus: `+2`, `−3`."""
    return f"{count:+,d}".replace("-", "−")


def plural(count: int, one: str, many: str = "") -> str:
    """Say a number of things: `1 bow`, `12 bows`."""
    return f"{count:,} {one if count == 1 else many or one + 's'}"
