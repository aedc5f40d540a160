"""
What the records hold of a thing, before and after what she types.

A movement dated before a reading changes what that reading left not yet explained, and
not what is there today: that is said, and compared with what was held by then.
"""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

from planner.fold import moment_of
from planner.ledgers.bows import PLACE
from planner.ledgers.state import Ledgers
from planner.ledgers.timeline import OPENING, UNEXPLAINED, Balance, Book, Timeline
from planner.values.daywords import short_day
from planner.values.moments import When, day_of, end_of_day, instant


def read_since(led: Ledgers, book: Book, item: str, account: str, when: When) -> str:
    """Say the day of the first reading of an account after a movement; '' if none."""
    line, zone = book.items.get(item), ZoneInfo(led.zone)
    if line is None:
        return ""
    moment = instant(when.text, zone)
    if moment >= max(line.current().reading, book.counted):
        return ""
    track = line.track(account)
    read = track.read_after(moment) if track else None
    if read is None:
        return ""
    return short_day(datetime.fromtimestamp(read // 1_000_000, zone).date())


def held_before(led: Ledgers, book: Book, item: str, account: str, when: When) -> int:
    """
    Give what a movement finds in an account, never below nothing.

    That is what is there today, unless it was read since: then what was there by then.
    """
    if not read_since(led, book, item, account, when):
        return max(book.balance(item)[account], 0)
    return max(book.at(item, account, instant(when.text, ZoneInfo(led.zone))), 0)


def short_by_then(
    led: Ledgers, kind: str, place: str, bows: int, when: When
) -> list[str]:
    """
    Say so when bows that are there today weren't yet there on the day they left.

    Nothing is wrong with today's balance; an entry before that day is missing.
    """
    line, zone = led.bows.items.get(kind), ZoneInfo(led.zone)
    day = day_of(when.text, zone)
    end = end_of_day(day, zone)
    if line is None or end >= line.current().newest:
        return []
    held = max(led.bows.at(kind, PLACE + place, end), 0)
    if bows <= held or bows <= held + _had_already(line, PLACE + place, end):
        return []
    return [
        f"by {short_day(day)} the records had only {held:,} of them there: an entry is "
        "missing before this day"
    ]


def _had_already(line: Timeline, account: str, moment: int) -> int:
    """Give what she had when her records began, though it is dated later."""
    return sum(
        row.amount for row in line.rows()
        if row.source == OPENING and row.target == account and row.when > moment
    )  # fmt: skip


def held_when_read(
    led: Ledgers, book: Book, item: str, account: str, when: When, *, reads: str
) -> int:
    """
    Give what the records had in an account at the moment of a reading of a kind.

    It is below nothing where an entry was missing.
    """
    line, moment = book.items.get(item), moment_of(reads, when.text, ZoneInfo(led.zone))
    if line is None or moment >= max(line.current().newest, book.counted):
        return _raw(book.balance(item), account)
    return book.at(item, account, moment)


def untouched(led: Ledgers, spool: str, when: When) -> bool:
    """Say whether nothing but its label was known of a spool when it is read."""
    line, zone = led.ribbon.items.get(spool), ZoneInfo(led.zone)
    if line is None:
        return False
    rows = line.rows(until=moment_of("spool-read", when.text, zone))
    return all(row.source == OPENING and row.reading is None for row in rows)


def gap_words(count: int) -> str:
    """Say what isn't explained: `3 missing`, `2 too many`, `nothing`."""
    if not count:
        return "nothing"
    return f"{count:,} missing" if count > 0 else f"{-count:,} too many"


def bows_change(led: Ledgers, kind: str, place: str, change: int, when: When) -> str:
    """Say what a place holds of a kind before and after a movement: `12 → 9`."""
    balance = led.bows.balance(kind)
    day = read_since(led, led.bows, kind, PLACE + place, when)
    if not day:
        return _change_words(balance, PLACE + place, change)
    gap = balance[UNEXPLAINED]
    return (
        f"still {balance[PLACE + place]:,}, as counted {day} (not yet explained: "
        f"{gap_words(gap)} → {gap_words(gap + change)})"
    )


def _change_words(balance: Balance, account: str, change: int) -> str:
    """
    Say what an account holds before and after: `12 → 9`.

    An account that the records leave below nothing must be made good first.
    """
    held = _raw(balance, account)
    then = held + change
    said = f"{max(held, 0):,} → {max(then, 0):,}"
    return f"{said} ({-then:,} still missing)" if change > 0 > then else said


def _raw(balance: Balance, account: str) -> int:
    return balance[account] - balance.missing.get(account, 0)


def read_words(
    led: Ledgers, book: Book, item: str, account: str, when: When, *, name: str
) -> list[str]:
    """Say so when something was read after what she types."""
    day = read_since(led, book, item, account, when)
    if not day:
        return []
    return [
        f"{name} was read after that, {day}: this changes what is not yet explained, "
        "not what is left today"
    ]
