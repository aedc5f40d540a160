"""Build the answer to `bows why`: the timeline of one account."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from planner.errors import Unknown
from planner.ledgers.bows import HOME, PLACE
from planner.ledgers.catalogue import catalogue
from planner.ledgers.state import Ledgers
from planner.ledgers.timeline import Book, Row
from planner.rules.finding import find_kind
from planner.views.foot import foot
from planner.views.naming import length, money, shop_view
from planner.views.why import Why, WhyRow

EntryOf = Callable[[int], tuple[int, str, str]]
"""Gives an event's entry, when it happened and its kind, by its place in the log."""


def build(
    led: Ledgers, *, words: Sequence[str], account: str | None, entry_of: EntryOf,
    as_of: str, known_on: str | None, made: str,
) -> Why:  # fmt: skip
    """
    Give the lines behind an account; the one that matters most unless told.

    Raises:
        Unknown: when nothing of that name has a ledger, or no such account.
    """
    book, item, name = _find(led, list(words))
    balance = book.balance(item)
    wanted = _account(book, balance.accounts, account)
    say = _say(led, book)
    held, rows = 0, []
    for row in book.why(item, wanted):
        change = row.amount if row.target == wanted else -row.amount
        held += change
        rows.append(_row(row, change, held, say, entry_of))
    shown = balance[wanted]
    return Why(
        shop=shop_view(led), foot=foot(led, as_of=as_of, known_on=known_on, made=made),
        about=name, account_name=wanted, amount=say(shown), amount_raw=shown,
        accounts=tuple((k, say(v)) for k, v in sorted(balance.accounts.items())),
        rows=tuple(rows),
    )  # fmt: skip


def _row(
    row: Row, change: int, held: int, say: Callable[[int], str], entry_of: EntryOf
) -> WhyRow:
    entry, happened, kind = entry_of(row.seq)
    what = kind.replace("-", " ")
    if row.reading is not None:
        what += f": read {say(row.reading)}"
    else:
        what += f": {row.source} → {row.target}"
    sign = "+" if change > 0 else ""
    return WhyRow(
        entry=entry, seq=row.seq, happened=happened[:16].replace("T", " "), what=what,
        change_amount=change, change=f"{sign}{say(change)}", then_amount=held,
        then=say(held),
    )  # fmt: skip


def _say(led: Ledgers, book: Book) -> Callable[[int], str]:
    if book is led.ribbon:
        return lambda n: length(led, n) if n else "0"
    if book is led.money:
        return lambda n: money(led, n)
    return lambda n: f"{n:,}"


def _find(led: Ledgers, words: list[str]) -> tuple[Book, str, str]:
    text = " ".join(words)
    if text.lower() == "money":
        return led.money, "shop", "money"
    for book in (led.ribbon, led.supplies, led.money, led.bows):
        for item in book.items:
            if item.lower() == text.lower():
                return book, item, item
    kind = find_kind(led, words)
    if kind not in led.bows.items:
        raise Unknown(
            f"{catalogue(led).kind_name(kind)} has no entries yet.",
            instead="bows have 12 4in navy",
        )
    return led.bows, kind, catalogue(led).kind_name(kind)


def _account(book: Book, accounts: object, told: str | None) -> str:
    names = set(book.names)
    if told is not None:
        if told in names:
            return told
        raise Unknown(
            f"There is no account {told!r}.",
            instead="one of: " + "; ".join(sorted(names)),
        )
    return {"ribbon": "left", "bows": PLACE + HOME, "supplies": "left"}.get(
        book.name, "cash"
    )
