"""Rules of promises: an order taken in one of the ways that were worked out for it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date

from planner.events.base import Event
from planner.events.orders import BowsReserved, OrderTaken
from planner.events.plans import PromiseMade
from planner.ledgers.catalogue import catalogue
from planner.ledgers.state import Ledgers
from planner.plans.rush import Way
from planner.rules.base import Proposal, fact
from planner.rules.pricing import day_words
from planner.values.moments import When

MILLION = 1_000_000


def promised(
    led: Ledgers, taken: Proposal, way: Way, *, head: str, when: When
) -> Proposal:
    """
    Add to an order taken what was promised: the due day, how sure it was, the finish.

    Bows of a fair are set aside for the order, and the fair's own claim falls.
    """
    code = next(
        one.event.order for one in taken.facts if isinstance(one.event, OrderTaken)
    )
    promise = PromiseMade(
        order=code, due=way.due.isoformat(), chance=round(way.chance * MILLION),
        head=head, early=_iso(way.early), likely=_iso(way.likely), late=_iso(way.late),
    )  # fmt: skip
    bows = dict(way.taken)
    events = [promise, *(_from_the_fair(led, code, way.fair, bows) if bows else ())]
    said = [f"promised for {day_words(promise.due)} at {round(100 * way.chance)} %"]
    if bows:
        said.append(_bows_said(led, way.fair, bows))
    if way.extra and way.by is not None:
        said.append(
            f"with {way.extra} min more at the bench by {day_words(way.by.isoformat())}"
        )
    return replace(
        taken,
        facts=(*taken.facts, *(fact(event, when) for event in events)),
        said=(*taken.said, *said),
    )


def _iso(day: date | None) -> str | None:
    return day.isoformat() if day else None


def _bows_said(led: Ledgers, fair: str, bows: Mapping[str, int]) -> str:
    cat = catalogue(led)
    names = ", ".join(f"{n} {cat.kind_name(kind)}" for kind, n in bows.items())
    return f"{names} set aside for it that were {fair}'s"


def _from_the_fair(
    led: Ledgers, order: str, fair: str, bows: Mapping[str, int]
) -> list[Event]:
    """Give the order's claim, and the fair's lessened one."""
    events: list[Event] = [BowsReserved(claimant=order, bows=tuple(bows.items()))]
    page = led.page("reserves", fair)
    if page:
        kept = tuple((k, max(n - bows.get(k, 0), 0)) for k, n in page[-1].event.bows)
        return [*events, BowsReserved(claimant=fair, bows=kept)]
    plans = [k.event for k in led.page("fairs", fair)
             if k.event.kind == "fair-plan-accepted"]  # fmt: skip
    if plans:
        less = tuple((k, max(n - bows.get(k, 0), 0)) for k, n in plans[-1].bring)
        events.append(plans[-1].model_copy(update={"bring": less}))
    return events
