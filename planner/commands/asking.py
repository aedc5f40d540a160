"""What every question needs: the day it is asked, how the report is dated, names."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from planner.commands.session import Session
from planner.ledgers.state import Ledgers
from planner.log.codec import decode_many
from planner.values.daywords import parse_day, spoken
from planner.views.story_builder import Struck, Told


def made_words(s: Session) -> str:
    """Say when a report was made, in the shop's zone."""
    local = s.now.moment.astimezone(s.zone)
    return f"{spoken(local.date())}, {local:%H:%M}"


def day_words(s: Session, text: str | None) -> str:
    """Turn an `--as-of` or `--known-on` into an ISO day; '' when not told."""
    if text is None:
        return ""
    return parse_day(text, today=s.today, direction="past").isoformat()


def asked(s: Session, as_of: str | None, known_on: str | None) -> Ledgers:
    """Fold the ledgers a question asks about."""
    if as_of is None and known_on is None:
        return s.ledgers()

    def day(text: str | None) -> Any:
        return parse_day(text, today=s.today, direction="past") if text else None

    return s.folded(as_of=day(as_of), known_on=day(known_on))


def event_of(s: Session) -> Callable[[int], Told]:
    """Give a look-up of events by their place in the log."""

    def look(seq: int) -> Told:
        row = s.log.row(seq)
        if row is None:
            supposed = s.overlay[seq - s.log.head().seq - 1]
            return Told(0, supposed.happened, "supposed", "")
        return Told(row[2], row[5], row[3], _local(s, row[6]))

    return look


def _local(s: Session, recorded: str) -> str:
    from datetime import datetime

    return datetime.fromisoformat(recorded).astimezone(s.zone).isoformat()


def struck(s: Session, led: Ledgers, spool: str) -> Iterator[Struck]:
    """Walk the events taken back that had to do with a spool."""
    by = {
        entry: kept.at.entry
        for kept in led.page("corrections", "")
        for entry in kept.event.entries
    }
    for entry in sorted(led.voided):
        rows = s.log.entry_rows(entry)
        for row, event in zip(rows, decode_many(rows), strict=True):
            if _mentions(event, spool):
                yield Struck(entry, row[5], row[3], by.get(entry, 0))


def _mentions(event: Any, spool: str) -> bool:
    if getattr(event, "spool", None) == spool or getattr(event, "onto", None) == spool:
        return True
    return any(part.spool == spool for part in getattr(event, "parts", ()))


def names(s: Session) -> Mapping[str, str]:
    """Give people's names by key, as kept beside the log."""
    return {
        key: next((d.text for d in details if d.field == "name"), key)
        for key, details in s.log.all_people().items()
    }
