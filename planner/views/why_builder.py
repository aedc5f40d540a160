"""Build the answer to `bows why`: the timeline of one account."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from planner.errors import Unknown
from planner.ledgers.bows import HOME, PLACE
from planner.ledgers.catalogue import catalogue
from planner.ledgers.orders import steps
from planner.ledgers.state import Ledgers
from planner.ledgers.timeline import OPENING, UNEXPLAINED, Book, Row
from planner.rules.finding import find_kind_or_unnoticed, place_name
from planner.values.text import quoted
from planner.views.common import Foot
from planner.views.foot import foot
from planner.views.naming import length, money, shop_view
from planner.views.story_builder import EventOf
from planner.views.why import Why, WhyRow


def build(
    led: Ledgers, *, words: Sequence[str], account: str | None, event_of: EventOf,
    as_of: str, known_on: str | None, made: str,
) -> Why:  # fmt: skip
    """
    Give the lines behind an account; the one that matters most unless told.

    Raises:
        Unknown: when nothing of that name has a ledger, or no such account.
    """
    order = _order(led, " ".join(words)) if account is None else ""
    if order:
        return _of_order(
            led, order, event_of,
            foot(led, as_of=as_of, known_on=known_on, made=made),
        )  # fmt: skip
    book, item, name = _find(led, list(words))
    balance = book.balance(item)
    wanted = _account(led, book, item, account)
    say = _say(led, book)
    rows = book.why(item, wanted)
    lines = _Lines(led, say, event_of, real=book.stock_accounts(wanted))
    lines.had_already = sum(row.amount for row in rows if row.source == OPENING)
    for row in rows:
        lines.add(row, row.amount if row.target == wanted else -row.amount)
    for missing, short in balance.missing.items():
        if wanted in (missing, UNEXPLAINED):
            lines.add_missing(missing, short if wanted == missing else -short)
    shown = balance[wanted]
    return Why(
        shop=shop_view(led), foot=foot(led, as_of=as_of, known_on=known_on, made=made),
        about=name, account=wanted, account_name=account_words(led, wanted),
        amount=say(shown), amount_raw=shown,
        accounts=tuple((k, say(v)) for k, v in sorted(balance.accounts.items())),
        rows=tuple(lines.rows),
    )  # fmt: skip


def _order(led: Ledgers, text: str) -> str:
    code = text.strip().upper()
    return code if re.fullmatch("O[0-9]+", code) and led.page("orders", code) else ""


def _of_order(led: Ledgers, code: str, event_of: EventOf, said: Foot) -> Why:
    """Give the entries behind an order: what it wants, and what of it went."""
    rows, held = [], 0
    for kept, then in steps(led, code):
        entry, happened, kind, _ = event_of(kept.at.seq)
        change, held = then - held, then
        rows.append(
            WhyRow(
                entry=entry, seq=kept.at.seq,
                happened=happened[:16].replace("T", " "), what=kind.replace("-", " "),
                change_amount=change, change=f"{change:+,}".replace("-", "−"),
                then_amount=then, then=f"{then:,}",
            )
        )  # fmt: skip
    return Why(
        shop=shop_view(led), foot=said, about=f"order {code}", account="outstanding",
        account_name="bows still to be handed over:", amount=f"{held:,}",
        amount_raw=held, rows=tuple(rows),
    )  # fmt: skip


@dataclass
class _Lines:
    """The lines behind an account as they are added up."""

    led: Ledgers
    say: Callable[[int], str]
    event_of: EventOf
    real: bool
    rows: list[WhyRow] = field(default_factory=list)
    held: int = 0
    had_already: int = 0

    def add(self, row: Row, change: int) -> None:
        """Add what an event moved, or what a reading read."""
        entry, happened, kind, _ = self.event_of(row.seq)
        if row.reading is not None:
            read = account_words(self.led, row.target)
            moved = f"{read} read as {self.say(row.reading)}"
        else:
            source, target = (
                account_words(self.led, side) for side in (row.source, row.target)
            )
            moved = f"{source} → {target}"
        what = f"{kind.replace('-', ' ')}: {moved}"
        self.had_already -= change if row.source == OPENING else 0
        before = self.held + self.had_already
        if self.real and before >= 0 > before + change:
            what += "; an entry is missing before this day"
        self._line(entry, row.seq, happened[:16].replace("T", " "), what, change)

    def add_missing(self, account: str, change: int) -> None:
        """Add what keeps an account from holding less than nothing."""
        name = account_words(self.led, account)
        what = f"an entry is missing ({name}): kept as not yet explained"
        self._line(0, 0, "", what, change)

    def _line(self, entry: int, seq: int, day: str, what: str, change: int) -> None:
        self.held += change
        sign = "+" if change > 0 else ""
        self.rows.append(
            WhyRow(
                entry=entry, seq=seq, happened=day, what=what, change_amount=change,
                change=f"{sign}{self.say(change)}", then_amount=self.held,
                then=self.say(self.held),
            )
        )  # fmt: skip


_PREFIXED = {
    "bundle:": "in bundle {}",
    "given:": "given ({})",
    "scrapped:": "scrapped ({})",
    "sent:": "sent out ({})",
    "sales:": "sales ({})",
    "paid:": "paid ({})",
}
_WORDS = {"left": "left", "ends": "ends kept", "bows": "in bows", "opening": "at first"}


def account_words(led: Ledgers, account: str) -> str:
    """Say an account as she would: `at home`, `in bundle C7`, `given (gift)`."""
    if account.startswith(PLACE):
        name = place_name(led, account.removeprefix(PLACE))
        return "in the post" if name == "post" else f"at {name}"
    for prefix, words in _PREFIXED.items():
        if account.startswith(prefix):
            return words.format(account.removeprefix(prefix))
    return _WORDS.get(account, account)


def _say(led: Ledgers, book: Book) -> Callable[[int], str]:
    if book is led.ribbon:
        return lambda n: length(led, n) if n else "0"
    if book is led.money:
        return lambda n: money(led, n)
    return lambda n: f"{n:,}".replace("-", "−")


def _find(led: Ledgers, words: list[str]) -> tuple[Book, str, str]:
    text = " ".join(words)
    if text.lower() == "money":
        return led.money, "shop", "money"
    for book in (led.ribbon, led.supplies, led.money, led.bows):
        for item in book.items:
            if item.lower() == text.lower():
                return book, item, item
    if re.fullmatch("[slSL][0-9]+", text):
        noun, instead = ("spool", "bows spools")
        if text[0] in "lL":
            noun, instead = ("lot", "bows supplies")
        raise Unknown(f"There is no {noun} {quoted(text)}.", instead=instead)
    kind = find_kind_or_unnoticed(led, words)
    if kind not in led.bows.items:
        raise Unknown(
            f"{catalogue(led).kind_name(kind)} has no entries yet.",
            instead="bows have 12 4in navy",
        )
    return led.bows, kind, catalogue(led).kind_name(kind)


def _account(led: Ledgers, book: Book, item: str, told: str | None) -> str:
    if told is None:
        return {"ribbon": "left", "bows": PLACE + HOME, "supplies": "left"}.get(
            book.name, "cash"
        )
    accounts = book.balance(item).accounts
    rows = book.items[item].rows()
    posted = dict.fromkeys(name for row in rows for name in (row.source, row.target))
    for name in (*accounts, *posted, *book.names.values()):
        if told in (name, account_words(led, name)):
            return name
    raise Unknown(
        f"There is no account {quoted(told)}.",
        instead="one of: " + "; ".join(account_words(led, a) for a in accounts),
    )
