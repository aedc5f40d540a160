"""Rules of promises: an order taken in one of the ways that were worked out for it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date

from planner.events.base import Event
from planner.events.orders import OrderTaken
from planner.events.plans import PromiseMade
from planner.ledgers.catalogue import catalogue
from planner.ledgers.state import Ledgers
from planner.plans.rush import Way
from planner.plans.taking import from_the_fair, stretch_words, with_more
from planner.rules.base import Proposal, fact
from planner.rules.pricing import day_words
from planner.values.moments import When

MILLION = 1_000_000


def promised(
    led: Ledgers, taken: Proposal, way: Way, *, head: str, when: When
) -> Proposal:
    """
    Add to an order taken what was promised: the due day, how sure it was, the finish.

    Bows of a fair are set aside for the order, and the fair's own claim falls; more
    time at the bench becomes bench hours on top. All of it is one entry.
    """
    code = next(
        one.event.order for one in taken.facts if isinstance(one.event, OrderTaken)
    )
    promise = PromiseMade(
        order=code, due=way.due.isoformat(), chance=round(way.chance * MILLION),
        head=head, early=_iso(way.early), likely=_iso(way.likely), late=_iso(way.late),
    )  # fmt: skip
    events, said = [promise, *_besides(led, code, way)], _said(led, promise, way)
    return replace(
        taken,
        facts=(*taken.facts, *(fact(event, when) for event in events)),
        said=(*taken.said, *said),
    )


def _besides(led: Ledgers, order: str, way: Way) -> tuple[Event, ...]:
    """Give what the way tells besides: bows of a fair, hours on top."""
    bows = from_the_fair(led, order, way.fair, dict(way.taken)) if way.taken else ()
    return (*bows, with_more(led, way.stretches)) if way.stretches else bows


def _said(led: Ledgers, promise: PromiseMade, way: Way) -> list[str]:
    said = [f"promised for {day_words(promise.due)} at {round(100 * way.chance)} %"]
    if way.taken:
        said.append(_bows_said(led, way.fair, dict(way.taken)))
    if way.stretches:
        said.append(f"bench hours: {stretch_words(way.stretches)} on top")
    return said


def _iso(day: date | None) -> str | None:
    return day.isoformat() if day else None


def _bows_said(led: Ledgers, fair: str, bows: Mapping[str, int]) -> str:
    cat = catalogue(led)
    names = ", ".join(f"{n} {cat.kind_name(kind)}" for kind, n in bows.items())
    return f"{names} set aside for it that were {fair}'s"
