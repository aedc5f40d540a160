"""The foot of every report: the outside anchor of the log."""

from __future__ import annotations

from datetime import date

from planner.ledgers.state import Ledgers
from planner.log.chain import short
from planner.values.daywords import spoken
from planner.views.common import Foot


def foot(led: Ledgers, *, as_of: str, known_on: str | None, made: str) -> Foot:
    """
    Say what a report stands on.

    `as_of` and `known_on` are ISO days, `made` when the report was made, in words.
    """
    if led.hypothetical:
        made += f"; supposing {led.hypothetical:,} things that have not happened"
    return Foot(
        head=short(led.head_hash),
        as_of_on=as_of[:10],
        as_of=_words(as_of),
        known_on=known_on,
        known=_words(known_on) if known_on else "",
        made=made,
        late_entries=led.late_until(as_of[:10]),
        events=led.events,
    )


def _words(iso: str) -> str:
    return spoken(date.fromisoformat(iso[:10]))
