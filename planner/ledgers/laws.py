"""
The laws every view of the ledgers must keep, and a fingerprint to compare two by.

Each law is recounted from the raw lines, not from the balances they check.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from hashlib import sha256
from typing import TypeVar

from planner.ledgers.state import Ledgers
from planner.ledgers.timeline import UNEXPLAINED, Book

T = TypeVar("T")


def broken(led: Ledgers) -> list[str]:
    """Name every law that doesn't hold, in words; none when all is well."""
    return [words for book in led.books for words in _broken_in(book)]


def _broken_in(book: Book) -> Iterator[str]:
    for item in book.items:
        balance = book.balance(item)
        total = sum(balance.accounts.values())
        if total:
            yield f"{book.name} {item}: the accounts leave {total} over"
        for account, amount in balance.accounts.items():
            if amount < 0 and book.stock_accounts(account):
                yield f"{book.name} {item}: {account} is shown below nothing"
        if _recounted(book, item) != _plain(balance.accounts, balance.missing):
            yield f"{book.name} {item}: recounted, the balance is another"


def _plain(accounts: Mapping[str, int], missing: Mapping[str, int]) -> dict[str, int]:
    """Undo the showing of shortfalls under *not yet explained*."""
    plain = dict(accounts)
    for account, amount in dict(missing).items():
        plain[account] = plain.get(account, 0) - amount
        plain[UNEXPLAINED] = plain.get(UNEXPLAINED, 0) + amount
    return {account: amount for account, amount in plain.items() if amount}


def _recounted(book: Book, item: str) -> dict[str, int]:
    """Add an item up row by row, each taking from one account and giving to another."""
    held: dict[str, int] = {}
    for row in book.items[item].rows():
        held[row.source] = held.get(row.source, 0) - row.amount
        held[row.target] = held.get(row.target, 0) + row.amount
    return {account: amount for account, amount in held.items() if amount}


def fingerprint(led: Ledgers) -> str:
    """
    Hash what the ledgers hold: balances, spools, bundles, batches, lots, orders, fairs.

    Whatever order late entries were typed in, the same history gives the same
    fingerprint: codes and entry numbers are not part of it beyond the items' names.
    """
    lines: list[str] = []
    for book in led.books:
        for item in sorted(book.items):
            accounts = sorted(book.balance(item).accounts.items())
            lines.append(f"{book.name}|{item}|{accounts}")
    lines += [f"spool|{s.code}|{s.ribbon}|{s.label}" for s in _sorted(led.spools)]
    lines += [f"bundle|{b.code}|{b.spool}|{b.count}" for b in _sorted(led.bundles)]
    lines += [f"batch|{b.code}|{b.kind}|{b.count}" for b in _sorted(led.batches)]
    lines += [f"lot|{x.code}|{x.supply}|{x.units}" for x in _sorted(led.lots)]
    lines += [f"sitting|{x.code}|{x.minutes}" for x in _sorted(led.sittings)]
    lines += _order_lines(led) + _fair_lines(led)
    return sha256("\n".join(lines).encode()).hexdigest()


def _sorted(registry: Mapping[str, T]) -> list[T]:
    return [registry[code] for code in sorted(registry)]


def _order_lines(led: Ledgers) -> list[str]:
    from planner.ledgers.orders import orders

    return [
        f"order|{o.code}|{o.state}|{sorted(o.outstanding.items())}|{o.deposit}"
        for _, o in sorted(orders(led).items())
    ]


def _fair_lines(led: Ledgers) -> list[str]:
    from planner.ledgers.fairs import fairs

    return [
        f"fair|{f.code}|{f.state}|{sorted(f.packed.items())}|{sorted(f.sold.items())}"
        for _, f in sorted(fairs(led).items())
    ]
