"""Say an entry once more: the same facts, now, under new codes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from planner.errors import Refusal
from planner.events.base import Event
from planner.events.bench import RibbonCut
from planner.ledgers.state import Ledgers
from planner.ledgers.stock import on_spool
from planner.rules import bench
from planner.rules.base import Proposal, next_code, proposal
from planner.rules.pricing import moved, over, present
from planner.values.moments import When

_NEW: Mapping[str, tuple[str, str]] = {
    "spool-received": ("spool", "S"),
    "spool-found-part-used": ("spool", "S"),
    "ribbon-cut": ("bundle", "C"),
    "sitting-logged": ("sitting", "T"),
    "supply-received": ("lot", "L"),
    "supply-found": ("lot", "L"),
}
"""Kind -> the field of its new code, and the code's letter."""
_SAME = frozenset(
    {
        "bows-sold", "bows-given", "bows-moved", "bows-written-off", "bows-found",
        "bows-lost", "bows-opening", "ribbon-scrapped", "ribbon-sent", "end-kept",
        "supply-used", "parts-scrapped", "wholesale-sold", "cost-paid", "fair-packed",
        "sale-taken-back", "order-paid", "bows-spoiled",
    }
)  # fmt: skip


def again(led: Ledgers, *, events: Sequence[Event], entry: int, when: When) -> Proposal:
    """
    Propose the events of an entry once more.

    Raises:
        Refusal: for entries that make no sense twice (a count, an order, a plan).
    """
    finished = [e for e in events if e.kind == "bows-finished"]
    if finished:
        return _made(led, finished[0], when)
    renewed: list[Event] = []
    given: dict[str, int] = {}
    for event in events:
        if event.kind in _NEW:
            renewed.append(_renew(led, event, given))
        elif event.kind in _SAME:
            renewed.append(event)
        else:
            raise Refusal(
                f"Entry {entry} is not one to enter twice ({_word(event)}).",
                instead="type it out with its new figures",
            )
    said = [f"entry {entry} once more: {_words(renewed)}"]
    cuts, odd = _cut_again(led, renewed, when)
    said += [*cuts, *(_moved(led, event, when) for event in renewed)]
    odd += [w for event in renewed for w in _more_than_there(led, event, when)]
    return proposal(renewed, when, *present(*said), warnings=odd)


_COMES = ("bows-opening", "bows-found", "sale-taken-back")
"""Kinds that bring bows to a place; the others take them from it."""


def _place(event: Event) -> str | None:
    found = getattr(event, "place", None) or getattr(event, "source", None)
    return found if isinstance(found, str) and hasattr(event, "bows") else None


def _moved(led: Ledgers, event: Any, when: When) -> str:
    place = _place(event)
    if place is None:
        return ""
    return moved(led, place, event.bows, 1 if event.kind in _COMES else -1, when)


def _more_than_there(led: Ledgers, event: Any, when: When) -> list[str]:
    place = _place(event)
    if place is None or event.kind in _COMES:
        return []
    return over(led, place, event.bows, when)


def _cut_again(
    led: Ledgers, events: Sequence[Event], when: When
) -> tuple[list[str], list[str]]:
    said, odd, drawn = [], [], dict[str, int]()
    for e in events:
        if not isinstance(e, RibbonCut):
            continue
        source = on_spool(led, e.spool)
        before = source.left - drawn.get(e.spool, 0)
        drawn[e.spool] = drawn.get(e.spool, 0) + e.length * e.count
        said.append(bench.cut_words(led, e, before, when))
        odd += bench.cut_short(led, e.spool, e.length * e.count, before, when)
    return said, odd


def _made(led: Ledgers, e: Any, when: When) -> Proposal:
    return bench.made(
        led, kind=e.made, bows=e.count, when=when, minutes=e.minutes, place=e.place
    )


def _renew(led: Ledgers, event: Event, given: dict[str, int]) -> Event:
    field, letter = _NEW[event.kind]
    more = given.get(letter, 0)
    given[letter] = more + 1
    code = next_code(led, letter, more=more)
    # Another cut is no part of the sitting the first one was.
    known = {"sitting": None} if event.kind == "ribbon-cut" else {}
    return event.model_copy(update={field: code, **known})


def _words(events: Sequence[Event]) -> str:
    return ", ".join(dict.fromkeys(map(_word, events)))


def _word(event: Event) -> str:
    return event.kind.replace("-", " ")
