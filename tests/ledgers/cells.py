"""A cache in memory, and everything that ledgers hold laid bare to be compared."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from planner.errors import CacheLost
from planner.events.base import Event
from planner.fold import Folder
from planner.ledgers import laws
from planner.ledgers.catalogue import catalogue
from planner.ledgers.fairs import fairs, fairs_not_over, fairs_on
from planner.ledgers.keeping import Writer, read_head, take_up
from planner.ledgers.orders import open_orders, orders
from planner.ledgers.restocks import on_the_way
from planner.ledgers.state import Ledgers
from planner.ledgers.stock import claims
from planner.log.bodies import read_bodies
from planner.log.codec import decode, decode_many

from .facts import DAYS
from .telling import ZONE, Telling

REGISTRIES = (
    "spools", "bundles", "batches", "batch_parts", "sittings", "lots", "last_cut",
    "newest_lot", "wound_early", "arrived", "made_for", "fair_sales", "fair_sets",
    "fair_moves", "fair_days",
)  # fmt: skip


@dataclass
class Memory:
    """Cells held in memory."""

    held: dict[int, bytes] = field(default_factory=dict)

    def get(self, number: int) -> bytes:
        """Give one cell."""
        if number not in self.held:
            raise CacheLost(f"no cell {number}")
        return self.held[number]

    def span(self, first: int, count: int) -> list[bytes]:
        """Give cells in a row."""
        return [self.get(first + at) for at in range(count)]


def lay_down(cells: Memory, led: Ledgers) -> None:
    """Write a whole cache."""
    cells.held = dict(Writer(led, version="1", since=None).cells())


def bring_up(cells: Memory, led: Ledgers) -> None:
    """Write what changed since the cache was taken up."""
    writer = Writer(led, version="1", since=read_head(cells))
    cells.held.update(list(writer.cells()))
    for number in writer.dropped:
        cells.held.pop(number)


def resume(cells: Memory, telling: Telling, *, upto: int, chunk: int = 7) -> Ledgers:
    """Take up a cache and replay the rows after it, in small chunks."""
    head = read_head(cells)
    folder = Folder(
        zone=ZONE, decode=decode_many, bodies=read_bodies,
        ledgers=take_up(cells, head, look=look_in(telling)),
    )  # fmt: skip
    rows = telling.rows[head.seq : upto]
    for first in range(0, len(rows), chunk):
        folder.feed(rows[first : first + chunk])
    return folder.ledgers


def look_in(telling: Telling) -> Any:
    """Give what reads an event by its place in the log."""

    def look(seq: int) -> Event:
        row = telling.rows[seq - 1]
        return decode(row[3], row[4], row[7])

    return look


def laid_bare(led: Ledgers) -> dict[str, Any]:
    """Give all that ledgers hold, in their order, as plain values."""
    return {
        "head": (led.head_seq, led.head_entry, led.head_hash, led.events),
        "voided": led.voided,
        "given": led.given,
        "late": list(led.late),
        "late until": [led.late_until(day) for day in DAYS],
        "spoiled": list(led.spoiled),
        "batch out": list(led.batch_out),
        "registries": {n: list(getattr(led, n).items()) for n in REGISTRIES},
        "pages": {
            noun: _page(led, noun) for noun in sorted(led.pages) if led.pages[noun]
        },
        "books": {book.name: _book(book) for book in led.books},
        **today(led),
    }


def today(led: Ledgers) -> dict[str, Any]:
    """Give what questions about today ask of ledgers."""
    return {
        "open": [repr(order) for order in open_orders(led)],
        "ahead": sorted(repr(fair) for fair in fairs_not_over(led)),
        "on": {day: [f.code for f in fairs_on(led, day)] for day in DAYS},
        "way": on_the_way(led),
        "claims": sorted(claims(led)),
        "catalogue": dict(vars(catalogue(led))),
    }


def everything(led: Ledgers) -> dict[str, Any]:
    """Give all there is to know: laid bare, orders and fairs, the fingerprint."""
    return {
        **laid_bare(led),
        "orders": {k: repr(v) for k, v in orders(led).items()},
        "fairs": {k: repr(v) for k, v in fairs(led).items()},
        "laws": laws.broken(led),
        "fingerprint": laws.fingerprint(led),
    }


def _page(led: Ledgers, noun: str) -> list[Any]:
    return [
        (key, [(kept.at, kept.event) for kept in page])
        for key, page in led.pages[noun].items()
    ]


def _book(book: Any) -> Any:
    return {
        "items": [
            (item, dict(book.balance(item).accounts), dict(book.balance(item).missing))
            for item in book.items
        ],
        "again": [(item, book.balance(item)) for item in book.items],
        "rows": [(item, list(book.items[item].rows())) for item in book.items],
        "whole": [(w, s, book.names[a]) for w, s, a in book.whole_counts],
    }


def balances(led: Ledgers) -> Sequence[Any]:
    """Ask for every balance, as a question does."""
    return [(i, book.balance(i)) for book in led.books for i in book.items]
