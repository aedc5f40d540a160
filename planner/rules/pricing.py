"""What selling rules share: what is wanted, at what price, and what a place holds."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple
from zoneinfo import ZoneInfo

from planner.errors import Absurd
from planner.ledgers.bows import PLACE, UNNOTICED
from planner.ledgers.catalogue import catalogue
from planner.ledgers.shop import shop
from planner.ledgers.state import Ledgers
from planner.rules.finding import (
    find_batch,
    find_kind_or_unnoticed,
    find_unit,
    not_noticed,
    place_name,
)
from planner.rules.held import bows_change, held_before, short_by_then
from planner.values.daywords import spoken
from planner.values.moments import When, day_of, end_of_day, instant
from planner.values.money import format_amount

Bows = tuple[tuple[str, int], ...]
"""Kinds and how many of each."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """
    Selling units she names: `count` of a kind or set at `price` minor units each.

    `kinds` are the bows one unit holds; `price` is None where she told none.
    """

    what: str
    kinds: Bows
    count: int
    price: int | None = None


def wanted(led: Ledgers, words: str, count: int, price: int | None = None) -> Wanted:
    """Find the kind or set she names; ``4in not noticed`` is any colour's."""
    if not_noticed(words) is not None:
        kind = find_kind_or_unnoticed(led, words.rstrip())
        return Wanted(kind, ((kind, 1),), count, price)
    what, kinds = find_unit(led, words)
    return Wanted(what, tuple(kinds.items()), count, price)


def add_up(bows: Iterable[tuple[str, int]]) -> dict[str, int]:
    """Add up counts by kind, in order of first mention; none is left out."""
    total: dict[str, int] = {}
    for kind, count in bows:
        total[kind] = total.get(kind, 0) + count
    return {kind: count for kind, count in total.items() if count}


def bows_of(items: Sequence[Wanted]) -> Bows:
    """Give the bows that so many units hold, by kind."""
    each = ((kind, n * i.count) for i in items for kind, n in i.kinds)
    return tuple(add_up(each).items())


def some(bows: Mapping[str, int], *, instead: str) -> Bows:
    """
    Give counts by kind as an event keeps them.

    Raises:
        Absurd: when they hold no bow at all.
    """
    named = tuple((kind, count) for kind, count in bows.items() if count)
    if not named:
        raise Absurd("No bows were named.", instead=instead)
    return named


def amount(led: Ledgers, minor: int) -> str:
    """Say an amount in the shop's currency."""
    return format_amount(minor, shop(led).currency)


def paid_words(how: str) -> str:
    """Say how money came: `in cash`, `by card`, `by bank`, `not paid yet`."""
    return {"cash": "in cash", "not yet": "not paid yet"}.get(how, f"by {how}")


def figure(led: Ledgers, minor: int) -> str:
    """Say an amount as she would type it, without its sign (``12.50``)."""
    said = format_amount(minor, shop(led).currency).replace(",", "")
    return "".join(c for c in said if c.isdigit() or c == ".")


def day_words(day: str) -> str:
    """Say a day in full, as in ``Sat 28 Nov 2026``."""
    return spoken(date.fromisoformat(day))


def local_day(led: Ledgers, when: When) -> str:
    """Give the shop's day of a moment, ``YYYY-MM-DD``."""
    return day_of(when.text, ZoneInfo(led.zone)).isoformat()


def _till(led: Ledgers, when: When) -> int:
    # A price set at any hour of a day holds for what is dated by that day alone.
    zone = ZoneInfo(led.zone)
    if len(when.text) == 10:
        return end_of_day(date.fromisoformat(when.text), zone)
    return instant(when.text, zone)


def listed(led: Ledgers, unit: Wanted, channel: str, when: When) -> int | None:
    """
    Give the listed price of one unit at a moment; a set's kinds add up.

    A price told only later stands in where none was told by then.
    """
    till = _till(led, when)
    found = _listed(led, unit, channel, till)
    return _listed(led, unit, channel, None) if found is None else found


def _listed(led: Ledgers, unit: Wanted, channel: str, till: int | None) -> int | None:
    cat = catalogue(led)
    own = cat.price(unit.what, channel, till)
    if own is not None:
        return own
    total = 0
    for kind, count in unit.kinds:
        price = cat.price(kind, channel, till)
        if price is None:
            return None
        total += price * count
    return total


class Priced(NamedTuple):
    """Units with what each costs, and what is odd about that."""

    prices: tuple[int, ...]
    warnings: tuple[str, ...]


def priced(
    led: Ledgers, items: Sequence[Wanted], channel: str, when: When, *, instead: str
) -> Priced:
    """Price units: as told, else as listed, else nothing with a warning."""
    prices, warnings = [], []
    for item in items:
        price = item.price
        if price is None:
            price = listed(led, item, channel, when)
        if price is None:
            name = catalogue(led).kind_name(item.what)
            warnings.append(
                f"no {channel} price is known for {name}; entered as "
                f"{amount(led, 0)}. {instead}"
            )
        prices.append(price or 0)
    return Priced(tuple(prices), tuple(warnings))


def held(led: Ledgers, kind: str, place: str) -> int:
    """Give how many bows of a kind the records have at a place."""
    return led.bows.balance(kind)[PLACE + place]


def _held_or_unnoticed(led: Ledgers, kind: str, place: str, when: When) -> int:
    if not kind.endswith(UNNOTICED):
        return held_before(led, led.bows, kind, PLACE + place, when)
    pattern = kind.removesuffix(UNNOTICED)
    same = [k for k in led.bows.items if k.partition(":")[0] == pattern]
    gone = led.bows.balance(kind).missing.get(PLACE + place, 0)
    return sum(held(led, k, place) for k in same) - gone


def over(
    led: Ledgers, place: str, bows: Iterable[tuple[str, int]], when: When
) -> list[str]:
    """Say by how much bows that leave a place exceed what the records have there."""
    cat, warnings = catalogue(led), []
    for kind, count in add_up(bows).items():
        excess = count - max(_held_or_unnoticed(led, kind, place, when), 0)
        if excess > 0:
            warnings.append(
                f"that is {excess:,} more {cat.kind_name(kind)} than the records have "
                f"at {place_name(led, place)}; entered as not yet explained"
            )
        elif not kind.endswith(UNNOTICED):
            warnings += short_by_then(led, kind, place, count, when)
    return warnings


MOST_NAMED = 6
"""Kinds that one line names before it only counts the others."""


def moved(
    led: Ledgers, place: str, bows: Iterable[tuple[str, int]], sign: int, when: When
) -> str:
    """Say what a place holds before and after: `navy 12 → 9 at home`."""
    cat, words = catalogue(led), []
    for kind, count in add_up(bows).items():
        if kind.endswith(UNNOTICED):
            continue
        change = bows_change(led, kind, place, sign * count, when)
        words.append(f"{cat.kind_name(kind)} {change}")
    if len(words) > MOST_NAMED:
        words[MOST_NAMED:] = [f"and {len(words) - MOST_NAMED} kinds more"]
    return f"at {place_name(led, place)}: {', '.join(words)}" if words else ""


def present(*said: str) -> tuple[str, ...]:
    """Leave out the lines that say nothing."""
    return tuple(line for line in said if line)


def find_batch_or_none(led: Ledgers, batch: str | None) -> str | None:
    """Find a batch by its code, when she named one."""
    return None if batch is None else find_batch(led, batch)
