"""Whose order it is: a person known by a key or new, and words kept beside the log."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from planner.errors import Ambiguous, Unknown
from planner.events.base import Event, Kept, PrivateText
from planner.events.shop import PersonNoted
from planner.ledgers.state import Ledgers
from planner.log.people import new_private
from planner.rules.base import next_code
from planner.rules.finding import find_code

Rand = Callable[[int], bytes]
"""Gives so many random bytes (``secrets.token_bytes``; a test's own)."""


class Customer(NamedTuple):
    """Whose order it is, with what the entry needs to note about them."""

    code: str | None
    events: tuple[Event, ...] = ()
    private: tuple[PrivateText, ...] = ()
    said: str = ""


def customer(
    led: Ledgers, person: str | None, new_person: str | None, rand: Rand
) -> Customer:
    """Give whose order it is; raises Ambiguous when told as known and as new."""
    if person is not None and new_person is not None:
        raise Ambiguous(
            "An order is for one person.", instead="give --for NAME or the code P3"
        )
    if new_person is not None:
        code = next_code(led, "P")
        kept = new_private(code, "name", new_person, rand)
        noted = PersonNoted(person=code, kept=(_sealed(kept),))
        return Customer(code, (noted,), (kept,), f"{code} is new: {new_person}")
    if person is None:
        return Customer(None)
    return Customer(_known_person(led, person))


def _known_person(led: Ledgers, person: str) -> str:
    code = find_code(
        led.keys("people"), person, what="person",
        instead="give the name instead: --for NAME",
    )  # fmt: skip
    if led.page("people", code)[-1].event.kind == "person-forgotten":
        raise Unknown(f"{code} was forgotten.", instead="give the name: --for NAME")
    return code


def _sealed(kept: PrivateText) -> Kept:
    return Kept(key=kept.key, seal=kept.seal)


def note_kept(
    owner: str, note: str, rand: Rand
) -> tuple[Kept | None, tuple[PrivateText, ...]]:
    """Keep a note beside the log, with what seals it in the event."""
    if not note:
        return None, ()
    kept = new_private(owner, "note", note, rand)
    return _sealed(kept), (kept,)
