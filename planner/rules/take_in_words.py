"""
The words a taken-in line may begin with, and the rule each of them asks.

A line comes as named cells, or as she would type it; the second is split into the same
cells, so that both ask the same rules as her typing does.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any, Final, NamedTuple, cast

from planner.errors import Absurd, Refusal, Unknown, Unreadable
from planner.ledgers.shop import shop
from planner.ledgers.state import Ledgers
from planner.rules import bench, rework, selling, spools, stock
from planner.rules.base import Proposal
from planner.rules.finding import (
    find_bundle,
    find_kind,
    find_order,
    find_ribbon,
    find_supply,
)
from planner.rules.pricing import Wanted, wanted
from planner.rules.take_in_ask import Ask, Slip
from planner.rules.take_in_typed import (
    Cells,
    Split,
    kind_length,
    minutes_only,
    qty_bundle,
    qty_kind,
    qty_kind_minutes,
    qty_kind_price,
    spool_length,
    take_options,
    words_of,
)
from planner.values.durations import parse_minutes
from planner.values.money import parse_amount
from planner.values.quantities import parse_count
from planner.values.text import quoted

_APART = r",(?!\d{1,2}\s*(?:,|$))"
"""A comma between items, not one inside a price (``@8,50``)."""


def _cut(a: Ask) -> Proposal:
    return bench.cut(
        a.led, kind=a.kind(), bows=a.count(), when=a.when, spool=a.spool_or_none()
    )


def _made(a: Ask) -> Proposal:
    bundle = a.maybe("bundle", lambda text: find_bundle(a.led, text))
    return bench.made(
        a.led, kind=a.kind(), bows=a.count(), when=a.when, place=a.place(),
        minutes=a.maybe("minutes", _minutes), spool=a.spool_or_none(),
        bundles=(bundle,) if bundle else (),
        order=a.maybe("order", lambda text: find_order(a.led, text).code),
    )  # fmt: skip


def _minutes(text: str) -> int:
    return parse_minutes(f"{text} min" if text.isdigit() else text)


def _spoiled(a: Ask) -> Proposal:
    return bench.spoiled(
        a.led, kind=a.kind(), bows=a.count(), when=a.when, why=a.words("why")
    )


def _sitting(a: Ask) -> Proposal:
    return bench.sitting(a.led, minutes=a.read("minutes", _minutes), when=a.when)


def _scrap(a: Ask) -> Proposal:
    return rework.scrapped(
        a.led, bundle=a.read("bundle", lambda text: find_bundle(a.led, text)),
        count=a.count("parts"), why=a.words("why", "not told"), when=a.when,
    )  # fmt: skip


def _apart(a: Ask) -> Proposal:
    return rework.apart(
        a.led, kind=a.kind(), bows=a.count(), when=a.when, place=a.place(),
        batch=a.batch(),
    )  # fmt: skip


def _have(a: Ask) -> Proposal:
    return stock.opening(a.led, bows=a.bows(), place=a.place(), when=a.when)


def _move(a: Ask) -> Proposal:
    if "to" not in a.cells:
        a.read("to", str)
    return stock.moved(
        a.led, bows=a.bows(), source=a.place("from"), to=a.place("to"), when=a.when
    )


def _give(a: Ask) -> Proposal:
    how = a.one_of("how", "gift", "prize", "sample", "own use")
    return stock.given(
        a.led, bows=a.bows(), how=cast(stock.How, how), place=a.place(), when=a.when,
        batch=a.batch(),
    )  # fmt: skip


def _write_off(a: Ask) -> Proposal:
    return stock.written_off(
        a.led, bows=a.bows(), place=a.place(), why=a.words("why"), when=a.when,
        batch=a.batch(),
    )  # fmt: skip


def _found(a: Ask) -> Proposal:
    return stock.found(a.led, bows=a.bows(), place=a.place(), when=a.when)


def _lost(a: Ask) -> Proposal:
    return stock.lost(
        a.led, bows=a.bows(), place=a.place(), why=a.words("why"), when=a.when
    )


def _count(a: Ask) -> Proposal:
    counts = [
        (a.named("kind", find_kind), a.read("qty", _tally)) for a in _each(a)
    ]  # fmt: skip
    return stock.counted(
        a.led, counts=counts, place=a.place(), whole=False, when=a.when
    )


def _tally(text: str) -> int:
    none = text.casefold() in ("0", "none")
    return 0 if none else parse_count(text, what="bows")


def _each(a: Ask) -> list[Ask]:
    """Split ``3 4in navy, 2 4in red`` into one ask each; `qty` is empty then."""
    if "qty" in a.cells or "," not in a.cells.get("kind", ""):
        return [a]
    pieces = re.split(_APART, a.cells["kind"])
    split = [piece.strip().partition(" ") for piece in pieces if piece.strip()]
    return [
        Ask(a.led, dict(a.cells, qty=n, kind=rest.strip()), a.when, a.today, a.found)
        for n, _, rest in split
    ]


def _sold(a: Ask) -> Proposal:
    return selling.sold(
        a.led, items=units(a), when=a.when,
        place=a.place() if "place" in a.cells else None, taken=a.money(),
        how=_paid(a), batch=a.batch(),
    )  # fmt: skip


def _paid(a: Ask) -> selling.Pay:
    how = a.one_of("how", "cash", "card", "bank", "later", "not yet")
    return cast(selling.Pay, "not yet" if how == "later" else how)


def units(a: Ask) -> list[Wanted]:
    """Read what is sold or ordered, one kind or several."""
    return [_unit(one) for one in _each(a)]


def _unit(a: Ask) -> Wanted:
    """Read one unit sold, perhaps with its price: ``2 4in red @8.50``."""
    kind, at, price = a.cells.get("kind", "").partition("@")
    if not at:
        one = a.named("kind", _one)
        return Wanted(one.what, one.kinds, a.count())
    plain = Ask(a.led, {**a.cells, "kind": kind.strip()}, a.when, a.today, a.found)
    currency = shop(a.led).currency
    each = a.read("kind", lambda _: parse_amount(price, currency, allow_zero=True))
    return replace(_unit(plain), price=each)


def _one(led: Ledgers, words: str) -> Wanted:
    return wanted(led, words, 1)


def _taken_back(a: Ask) -> Proposal:
    return selling.taken_back(
        a.led, bows=dict(a.bows()), returned=a.money(), when=a.when,
        place=a.place() if "place" in a.cells else None, how=_paid(a),
    )  # fmt: skip


def _in(a: Ask) -> Proposal:
    number = a.maybe("qty", lambda text: parse_count(text, what="spools", most=500))
    return spools.spool_in(
        a.led, ribbon=a.named("kind", find_ribbon), length=a.length(),
        spools=number or 1, paid=a.money() or 0,
        supplier=a.words("supplier", "not told"), lot=a.words("lot") or None,
        when=a.when,
    )  # fmt: skip


def _spool_found(a: Ask) -> Proposal:
    return spools.spool_found(
        a.led, ribbon=a.named("kind", find_ribbon), length=a.length(), label=None,
        lot=a.words("lot") or None, when=a.when,
    )  # fmt: skip


def _read(a: Ask) -> Proposal:
    none = a.cells.get("length", "").casefold() in ("0", "none", "nothing")
    how = a.one_of("how", "measured", "weighed", "judged", "ran out")
    return spools.spool_read(
        a.led, spool=a.spool(), left=0 if none else a.length(), when=a.when,
        how="ran out" if none else cast(Any, how),
    )  # fmt: skip


def _spool_empty(a: Ask) -> Proposal:
    return spools.spool_read(a.led, spool=a.spool(), left=0, how="ran out", when=a.when)


def _spool_join(a: Ask) -> Proposal:
    left = a.length() if "length" in a.cells else None
    return spools.join_found(a.led, spool=a.spool(), left=left, when=a.when)


def _spool_end(a: Ask) -> Proposal:
    return spools.end_kept(a.led, spool=a.spool(), length=a.length("in"), when=a.when)


def _spool_scrap(a: Ask) -> Proposal:
    return spools.ribbon_scrapped(
        a.led, spool=a.spool(), length=a.length("in"), why=a.words("why", "not told"),
        when=a.when,
    )  # fmt: skip


def _spool_send(a: Ask) -> Proposal:
    how = a.read("how", lambda _: a.one_of("how", "given", "sold", "lent", "returned"))
    return spools.ribbon_sent(
        a.led, spool=a.spool(), length=a.length(), how=cast(Any, how),
        amount=a.money() or 0, when=a.when,
    )  # fmt: skip


def _supply_in(a: Ask) -> Proposal:
    return spools.supply_in(
        a.led, supply=a.named("kind", find_supply), units=a.count("units"),
        paid=a.money() or 0, supplier=a.words("supplier", "not told"), when=a.when,
    )  # fmt: skip


def _supply_count(a: Ask) -> Proposal:
    return stock.supply_counted(
        a.led, supply=a.named("kind", find_supply), units=a.read("qty", _tally),
        when=a.when,
    )  # fmt: skip


def _supply_used(a: Ask) -> Proposal:
    return stock.supply_used(
        a.led, supply=a.named("kind", find_supply), units=a.count("units"),
        when=a.when,
    )  # fmt: skip


class Word(NamedTuple):
    """A word: the rule it asks, the columns it takes, how its line is split."""

    rule: Callable[[Ask], Proposal]
    columns: str
    split: Split = qty_kind

    @property
    def takes(self) -> frozenset[str]:
        """Columns it takes."""
        return frozenset(self.columns.split())


WORDS: Final[Mapping[str, Word]] = {
    "cut": Word(_cut, "qty kind spool"),
    "made": Word(_made, "qty kind minutes spool bundle place order", qty_kind_minutes),
    "spoiled": Word(_spoiled, "qty kind why"),
    "sitting": Word(_sitting, "minutes", minutes_only),
    "scrap": Word(_scrap, "qty bundle why", qty_bundle),
    "apart": Word(_apart, "qty kind place batch"),
    "have": Word(_have, "qty kind place"),
    "move": Word(_move, "qty kind from to"),
    "give": Word(_give, "qty kind how place batch"),
    "write-off": Word(_write_off, "qty kind place why batch"),
    "found": Word(_found, "qty kind place"),
    "lost": Word(_lost, "qty kind place why"),
    "count": Word(_count, "qty kind place"),
    "sold": Word(_sold, "qty kind price place how batch", qty_kind_price),
    "taken-back": Word(_taken_back, "qty kind price place how", qty_kind_price),
    "in": Word(_in, "qty kind length price supplier lot", kind_length),
    "read": Word(_read, "spool length how", spool_length),
    "spool found": Word(_spool_found, "kind length lot", kind_length),
    "spool empty": Word(_spool_empty, "spool", spool_length),
    "spool join": Word(_spool_join, "spool length", spool_length),
    "spool end": Word(_spool_end, "spool length", spool_length),
    "spool scrap": Word(_spool_scrap, "spool length why", spool_length),
    "spool send": Word(_spool_send, "spool length how price", spool_length),
    "supply in": Word(_supply_in, "qty kind price supplier"),
    "supply count": Word(_supply_count, "qty kind"),
    "supply used": Word(_supply_used, "qty kind"),
}
"""Every word a line may begin with."""

_SAME: Final = {"given": "give", "written off": "write-off", "moved": "move",
                "counted": "count", "taken back": "taken-back"}  # fmt: skip

_FIRST: Final = frozenset(WORDS) | frozenset(_SAME)


def word_of(text: str) -> tuple[str, Word]:
    """
    Find a word.

    Raises:
        Unknown: with the words there are.
    """
    plain = " ".join(text.casefold().split())
    plain = _SAME.get(plain, plain)
    if plain not in WORDS:
        near = difflib.get_close_matches(plain, WORDS, n=2)
        raise Unknown(
            f"{quoted(text)} is no word a line may begin with.",
            instead=f"Did you mean {' or '.join(near)}?" if near else ", ".join(WORDS),
        )
    return plain, WORDS[plain]


def split_line(line: str) -> Cells:
    """
    Split a line as she would type it after ``bows`` into the cells of a row.

    Raises:
        Unknown: when it begins with no word that can be taken in.
        Unreadable: when the rest can't be split.
    """
    typed = words_of(line)
    first = " ".join(typed[:2])
    if first.casefold() not in _FIRST:
        first = typed[0] if typed else ""
    name, word = word_of(first)
    rest = typed[len(first.split()) :]
    words, cells = take_options(rest, takes=word.takes, name=name)
    split = word.split(words) if words else {}
    found = {"what": name, **{k: v for k, v in split.items() if v}, **cells}
    _check_columns(found, word)
    return found


def _check_columns(cells: Mapping[str, str], word: Word) -> None:
    for column in cells:
        if column not in word.takes and column not in ("day", "what", "note"):
            no_such = f"{cells['what']} takes no {column}."
            raise Slip(column, Absurd(no_such, instead="leave that cell empty"))


def propose(ask: Ask) -> Proposal:
    """
    Propose what a row asks, whichever form it came in.

    Raises:
        Slip: naming the column of a cell that can't be taken.
        Refusal: for the row as a whole.
    """
    if "line" in ask.cells:
        return _typed(ask)
    _, word = ask.read("what", word_of)
    _check_columns(ask.cells, word)
    return word.rule(ask)


def _typed(ask: Ask) -> Proposal:
    try:
        ask.cells = split_line(ask.cells["line"])
        return WORDS[ask.cells["what"]].rule(ask)
    except Slip as slip:
        where = f"{slip.column}: {slip.what}"
        raise Slip("line", Unreadable(where, instead=slip.instead)) from slip
    except Refusal as trouble:
        raise Slip("line", trouble) from trouble
