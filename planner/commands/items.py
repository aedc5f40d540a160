"""What commands of orders, fairs and selling read alike: items, money, days, people."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from datetime import date
from typing import Annotated, NamedTuple, TypeVar

import typer

from planner.commands.session import Session
from planner.errors import Ambiguous, Refusal, Unknown, Unreadable
from planner.ledgers.catalogue import catalogue
from planner.ledgers.fairs import Fair
from planner.ledgers.shop import shop
from planner.ledgers.state import Ledgers
from planner.rules.finding import not_noticed
from planner.rules.pricing import Wanted, add_up, bows_of, wanted
from planner.values.daywords import parse_day
from planner.values.durations import parse_clock
from planner.values.moments import When, parse_when
from planner.values.money import parse_amount
from planner.values.names import Candidate, find
from planner.values.quantities import parse_count
from planner.values.text import clean, quoted

Items = Annotated[
    list[str], typer.Argument(help='Such as "6 4in navy, 2 4in red @8.50".')
]
SomeItems = Annotated[
    list[str] | None, typer.Argument(help='Such as "6 4in navy, 2 4in red".')
]
How = Annotated[
    str, typer.Option("--how", help="cash, card, bank or later (not paid yet).")
]

_CODE = {"O": r"[oO]\d+", "F": r"[fF]\d+"}
_APART = r",(?!\d{1,2}\s*(?:,|$))"
"""A comma between items, not one inside a price (``@8,50``)."""

T = TypeVar("T", bound=str)


class Item(NamedTuple):
    """An item as typed: how many, of what, at what price each."""

    number: int
    words: str
    price: str | None


def split_items(words: Sequence[str], *, zero: bool = False) -> list[Item]:
    """
    Split ``6 4in navy, 2 4in red @8.50`` into items.

    Raises Unreadable where a piece is no count and kind; none is taken with `zero`.
    """
    pieces = [p.strip() for p in re.split(_APART, " ".join(words)) if p.strip()]
    return [_item(piece, zero=zero) for piece in pieces]


def _item(piece: str, *, zero: bool) -> Item:
    bare, at, price = piece.partition("@")
    number, _, kind = bare.strip().partition(" ")
    if not kind.strip() or (at and not price.strip()):
        raise Unreadable(
            f"{quoted(piece)} is no count and kind.",
            instead="type it as in: 6 4in navy, 2 4in red @8.50",
        )
    none = zero and number in ("0", "none")
    count = 0 if none else parse_count(number, what="bows")
    return Item(count, kind.strip(), price.strip() or None)


def split_for(words: Sequence[str]) -> tuple[list[str], str | None]:
    """Take the money off the end: ``3 4in navy for 24.00``."""
    if len(words) > 2 and words[-2].lower() == "for":
        return list(words[:-2]), words[-1]
    return list(words), None


def split_code(
    words: Sequence[str] | None, letter: str
) -> tuple[str | None, list[str]]:
    """Take a short code off the front of the words: ``F3 12 4in navy``."""
    told = list(words or ())
    if told and re.fullmatch(_CODE[letter], told[0]):
        return told[0], told[1:]
    return None, told


def units(led: Ledgers, items: Iterable[Item]) -> list[Wanted]:
    """Find the kinds and sets of items, with the prices told."""
    return [
        wanted(led, i.words, i.number, money(led, i.price, zero=True)) for i in items
    ]


def bows(
    led: Ledgers, items: Iterable[Item], *, near: Iterable[str] = ()
) -> dict[str, int]:
    """Find the bows of items by kind; kinds at hand (`near`) go before all others."""
    kinds, found = list(near), []
    for item in items:
        kind = _near(led, item.words, kinds)
        if kind is not None:
            found.append((kind, item.number))
            continue
        one = wanted(led, item.words, 1)
        found += [(k, n * item.number) for k, n in bows_of([one])]
    return _with_none(found)


def _with_none(found: Sequence[tuple[str, int]]) -> dict[str, int]:
    return {**dict.fromkeys((kind for kind, _ in found), 0), **add_up(found)}


def _near(led: Ledgers, words: str, kinds: Sequence[str]) -> str | None:
    if not kinds or not_noticed(words) is not None:
        return None
    cat = catalogue(led)
    try:
        return find(words, [Candidate(k, cat.kind_name(k)) for k in kinds], what="kind")
    except Unknown:
        return None


def kind(led: Ledgers, words: str, *, near: Iterable[str] = ()) -> str:
    """Find one kind; kinds at hand go before all others."""
    (found,) = bows(led, [Item(1, words, None)], near=near)
    return found


def money(led: Ledgers, text: str | None, *, zero: bool = False) -> int | None:
    """Read an amount in the shop's currency, where one was told."""
    if text is None:
        return None
    return parse_amount(text, shop(led).currency, allow_zero=zero)


def must(led: Ledgers, text: str, *, zero: bool = False) -> int:
    """Read an amount that was told."""
    return parse_amount(text, shop(led).currency, allow_zero=zero)


def pay(text: str, allowed: Sequence[T]) -> T:
    """
    Read how something was paid.

    Raises:
        Unreadable: with the ways there are.
    """
    told = "not yet" if text.strip().lower() == "later" else text.strip().lower()
    for way in allowed:
        if way == told:
            return way
    ways = ", ".join("later" if way == "not yet" else way for way in allowed)
    raise Unreadable(f"{quoted(text)} is no way to pay.", instead=f"--how {ways}")


def one_of(text: str, allowed: Sequence[T], *, what: str) -> T:
    """
    Read one of a few words.

    Raises:
        Unreadable: with the words there are.
    """
    for word in allowed:
        if word == text.strip().lower():
            return word
    raise Unreadable(
        f"{quoted(text)} is no {what}.", instead=f"one of: {', '.join(allowed)}"
    )


def day(s: Session, text: str | None) -> str | None:
    """Read a day that has been, as ``YYYY-MM-DD``."""
    if text is None:
        return None
    return parse_day(text, today=s.today, direction="past").isoformat()


def _day_of_fair(s: Session, fair: Fair, text: str) -> date | None:
    from planner.rules.fair_days import day_of_fair  # a sale needs no fair's events

    return day_of_fair(text, fair.days, today=s.today)


def day_of(s: Session, fair: Fair, text: str | None) -> str | None:
    """Read a day of a fair, by its weekday or date; else any day that has been."""
    found = _day_of_fair(s, fair, text) if text else None
    return found.isoformat() if found else day(s, text)


def when_at(s: Session, fair: Fair, on: str | None) -> When:
    """Read `--on` where its day is one of a fair's, ``sat 10:00``; else as anywhere."""
    words = (on or "").split()
    begins = 1 if words and words[0].lower() == "about" else 0
    for ends in range(len(words), begins, -1):
        told = " ".join(words[begins:ends])
        found = _day_of_fair(s, fair, told)
        if found:
            iso = [*words[:begins], found.isoformat(), *words[ends:]]
            return s.when(" ".join(iso))
    return s.when(on)


def ahead(s: Session, text: str | None) -> str | None:
    """Read a day to come, as ``YYYY-MM-DD``."""
    if text is None:
        return None
    return parse_day(text, today=s.today, direction="future").isoformat()


def due(s: Session, text: str | None) -> tuple[str | None, str | None]:
    """Read a due day, perhaps with its hour: ``fri``, ``fri 16:00``."""
    if text is None:
        return None, None
    told = parse_when(text, now=s.clock(), zone=s.zone, direction="future").text
    return told[:10], told[11:16] or None


def clock(text: str | None) -> str | None:
    """Read a time of day, as ``HH:MM``."""
    return None if text is None else f"{parse_clock(text):%H:%M}"


def words_of(text: str, *, what: str, longest: int = 200) -> str:
    """Read words of hers that may be left out."""
    return clean(text, what=what, longest=longest) if text else ""


class Who(NamedTuple):
    """A customer: known by code, or new by name."""

    person: str | None = None
    new_person: str | None = None
    said: str = ""


def who(s: Session, text: str | None, *, new: bool = False) -> Who:
    """
    Find the customer she names among the people kept beside the log.

    A code or a name kept goes before a new one; a name that fits several is asked.
    Whoever came with an entry since taken back is nobody's customer yet.
    """
    if text is None:
        return Who()
    name = clean(text, what="name")
    if re.fullmatch(r"[pP]\d+", name):
        return Who(person=name)
    if new:
        return Who(new_person=name)
    there = s.ledgers().keys("people")
    kept = [
        Candidate(key, detail.text)
        for key, details in s.log.all_people().items()
        for detail in details
        if detail.field == "name" and key in there
    ]
    return _found(name, kept)


def _found(name: str, kept: Sequence[Candidate]) -> Who:
    same = [c for c in kept if c.words.casefold() == name.casefold()]
    try:
        code = find(name, same or kept, what="person")
    except Ambiguous as several:
        raise Ambiguous(
            several.what, instead=f"{several.instead} Or, if it is somebody new: --new"
        ) from several
    except Refusal:
        return Who(new_person=name)
    words = next(c.words for c in kept if c.code == code)
    return Who(person=code, said=f"for {words} ({code})")
