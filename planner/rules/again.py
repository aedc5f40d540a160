"""Say an entry once more: the same facts, now, under new codes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from planner.errors import Refusal
from planner.events.base import Event
from planner.ledgers.state import Ledgers
from planner.rules import bench
from planner.rules.base import Proposal, next_code, proposal
from planner.values.moments import When

_NEW: Mapping[str, tuple[str, str, str]] = {
    "spool-received": ("spool", "S", "spools"),
    "spool-found-part-used": ("spool", "S", "spools"),
    "ribbon-cut": ("bundle", "C", "bundles"),
    "sitting-logged": ("sitting", "T", "sittings"),
    "supply-received": ("lot", "L", "lots"),
    "supply-found": ("lot", "L", "lots"),
}
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
                f"Entry {entry} is not one to enter twice ({event.kind}).",
                instead="type it out with its new figures",
            )
    return proposal(renewed, when, f"entry {entry} once more: {_words(renewed)}")


def _made(led: Ledgers, e: Any, when: When) -> Proposal:
    return bench.made(
        led, kind=e.made, bows=e.count, when=when, minutes=e.minutes, place=e.place
    )


def _renew(led: Ledgers, event: Event, given: dict[str, int]) -> Event:
    field, letter, registry = _NEW[event.kind]
    more = given.get(letter, 0)
    given[letter] = more + 1
    code = next_code(letter, getattr(led, registry), more=more)
    return event.model_copy(update={field: code})


def _words(events: Sequence[Event]) -> str:
    return ", ".join(dict.fromkeys(e.kind.replace("-", " ") for e in events))
