"""
A second, slow way to add a history up, written without looking at the first.

Each fact becomes dated lines, each line takes from one account and gives to another
or says what was read.  A view sorts the lines it may see and plays them one by one.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from typing import Any

from planner.events.base import Fact

from .telling import HERE

READ = "is read"
Line = tuple[str, str, str, str, int]
"""Ledger, item, from (or READ), to, amount."""
REAL = {
    "ribbon": ("left", "ends", "bundle:", "bows", "trimmed", "sent:lent"),
    "bows": ("at:",), "supplies": ("left",), "money": (),
}  # fmt: skip
"""Accounts that hold real things, by how their names begin."""
COUNTS = ("spool-read", "stock-counted", "supply-counted", "parts-counted",
          "fair-day-closed")  # fmt: skip
PURSE = {"cash": "cash", "card": "bank", "bank": "bank", "not yet": "owed"}


def happened_at(fact: Fact) -> datetime:
    """A bare day is its noon, or its last moment when something was counted."""
    if "T" in fact.happened:
        return datetime.fromisoformat(fact.happened).astimezone(UTC)
    last = fact.event.kind in COUNTS
    clock = time(23, 59, 59, 999_999) if last else time(12)
    day = date.fromisoformat(fact.happened)
    return datetime.combine(day, clock, tzinfo=HERE).astimezone(UTC)


def in_force(entry: int, facts: Sequence[tuple[int, Fact]]) -> bool:
    """An entry stands unless a correction that itself stands takes it back."""
    return not any(
        entry in fact.event.entries and in_force(by, facts)
        for by, fact in facts
        if fact.event.kind == "entry-corrected" and by > entry
    )


def _own_day(fact: Fact) -> str:
    return happened_at(fact).astimezone(HERE).date().isoformat()


def _ribbon(e: Any) -> Iterator[tuple[str, str, str, int]]:
    """Give (spool, from, to, nm) of what a fact did to ribbon."""
    match e.kind:
        case "spool-received" | "spool-found-part-used":
            yield e.spool, "opening", "left", e.length
        case "spool-read":
            yield e.spool, READ, "left", e.left
        case "spool-wound-in-two":
            yield e.spool, "left", "sent:wound", e.length
            yield e.onto, "opening", "left", e.length
        case "end-kept":
            yield e.spool, "left", "ends", e.length
        case "end-scrapped":
            yield e.spool, "ends", f"scrapped:{e.why}", e.length
        case "ribbon-scrapped":
            yield e.spool, "left", f"scrapped:{e.why}", e.length
        case "ribbon-sent":
            yield e.spool, "left", f"sent:{e.how}", e.length
        case "ribbon-came-back":
            yield e.spool, "sent:lent", "left", e.length
        case "ribbon-cut":
            yield e.spool, "left", f"bundle:{e.bundle}", e.count * e.length
        case "parts-recut":
            old, new = e.count * e.old_length, e.count * e.new_length
            yield e.spool, f"bundle:{e.bundle}", f"bundle:{e.onto}", new
            yield e.spool, f"bundle:{e.bundle}", "trimmed", old - new
        case "parts-scrapped":
            yield e.spool, f"bundle:{e.bundle}", f"scrapped:{e.why}", e.count * e.length
        case "parts-counted":
            yield e.spool, READ, f"bundle:{e.bundle}", e.count * e.length
        case "bows-finished" | "batch-parts-told" | "bows-reworked":
            yield from _used(e.parts, "bows")
        case "bows-spoiled":
            yield from _used(e.scrapped, "scrapped:spoiled")
        case "bows-taken-apart":
            for p in e.scrapped:
                if p.spool:
                    yield p.spool, "bows", "scrapped:taken apart", p.count * p.length
        case "trimmings-measured":
            yield e.spool, "bows", "trimmed", e.length


def _used(parts: Iterable[Any], target: str) -> Iterator[tuple[str, str, str, int]]:
    for p in parts:
        if p.spool:
            source = f"bundle:{p.bundle}" if p.bundle else "left"
            yield p.spool, source, target, p.count * p.length


def _bows(e: Any) -> Iterator[tuple[str, str, str, int]]:
    """Give (kind, from, to, bows) of what a fact did to finished bows."""
    here = f"at:{getattr(e, 'place', '')}"
    match e.kind:
        case "bows-finished":
            yield e.made, "finished", here, e.count
        case "bows-reworked":
            yield e.was, here, "reworked", e.count
            yield e.became, "finished", here, e.count
        case "bows-taken-apart":
            yield e.made, here, "taken apart", e.count
        case "order-returned":
            yield e.made, "returned", here, e.count
            if e.to == "written off":
                yield e.made, here, "written off", e.count
        case "stock-counted":
            for kind, count in e.counts:
                yield kind, READ, here, count
        case _:
            for kind, count in getattr(e, "bows", ()) or getattr(e, "sold", ()):
                for source, target in _way(e, here):
                    yield kind, source, target, count


def _way(e: Any, here: str) -> Iterator[tuple[str, str]]:
    match e.kind:
        case "bows-opening":
            yield "opening", here
        case "bows-moved":
            yield f"at:{e.source}", f"at:{e.to}"
        case "fair-packed":
            yield f"at:{e.source}", f"at:stall:{e.fair}"
        case "bows-given":
            yield here, f"given:{e.how}"
        case "bows-written-off":
            yield here, "written off"
        case "bows-found":
            yield "found", here
        case "bows-lost":
            yield here, "lost"
        case "order-handed-over":
            yield here, "handed over"
        case "order-lost-in-post":
            yield "handed over", "lost"
        case "sale-taken-back":
            yield "returned", here
        case ("bows-sold" | "unlogged-sales-told" | "boutique-statement"
              | "wholesale-sold"):  # fmt: skip
            yield here, "sold"


def _supplies(e: Any) -> Iterator[tuple[str, str, str, int]]:
    """Give (lot, from, to, units) of what a fact did to supplies."""
    match e.kind:
        case "supply-received" | "supply-found":
            yield e.lot, "opening", "left", e.units
        case "supply-sent-back":
            yield e.lot, "left", "sent back", e.units
        case "supply-used":
            yield e.lot, "left", "used", e.units
        case "supply-lost":
            yield e.lot, "left", "lost", e.units
        case "supply-counted":
            for lot, units in e.counts:
                yield lot, READ, "left", units
        case "bows-finished" | "bows-spoiled" | "bows-reworked":
            for lot, units in e.supplies:
                yield lot, "left", "used", units


def _money(e: Any, day: str) -> Iterator[tuple[str, str, str, int]]:
    """Give (item, from, to, minor units) of the money a fact tells of."""
    fair = getattr(e, "fair", None)
    item = f"{fair}/{day}" if fair else "shop"
    stall = "sales:fair" if fair else "sales:retail"
    match e.kind:
        case "bows-sold":
            yield item, stall, PURSE[e.how], e.taken
            yield "shop", "bank", "paid:card fees", e.fee
        case "sale-taken-back":
            yield item, PURSE[e.how], stall, e.returned
        case "boutique-statement":
            yield "shop", "sales:boutique", "owed", e.gross
            yield "shop", "owed", "paid:commission", e.commission
            yield "shop", "owed", "bank", e.paid
        case "wholesale-sold":
            yield "shop", "sales:wholesale", PURSE[e.how], e.taken
        case "cost-paid":
            yield "shop", "cash", f"paid:{e.what}", e.amount
        case "fair-cost-paid":
            yield "shop", "cash", "paid:fairs", e.amount
        case "fair-day-closed":
            yield f"{fair}/{e.day}", READ, "cash", e.cash
            if e.card is not None:
                yield f"{fair}/{e.day}", READ, "bank", e.card
        case "order-paid":
            yield "shop", "deposits", PURSE[e.how], e.amount
        case "order-refunded":
            yield "shop", PURSE[e.how], "deposits", e.amount
        case "order-handed-over":
            yield "shop", "sales:orders", "deposits", e.earned
        case "order-lost-in-post" | "order-returned":
            yield "shop", "deposits", "sales:orders", e.refund_owed
        case "spool-received":
            yield "shop", "bank", "paid:ribbon", e.paid
        case "supply-received":
            yield "shop", "bank", "paid:supplies", e.paid
        case "supply-sent-back":
            yield "shop", "paid:supplies", "bank", e.refund
        case "ribbon-sent" if e.how == "sold":
            yield "shop", "sales:ribbon", "cash", e.amount
        case "ribbon-sent":
            yield "shop", "paid:ribbon", "bank", e.amount


def lines_of(fact: Fact) -> list[Line]:
    """Give every line of a fact, in all four ledgers."""
    e = fact.event
    found: list[Line] = []
    for ledger, lines in (
        ("ribbon", _ribbon(e)), ("bows", _bows(e)), ("supplies", _supplies(e)),
        ("money", _money(e, _own_day(fact))),
    ):  # fmt: skip
        found += [(ledger, *line) for line in lines if line[3] or line[1] == READ]
    return found


@dataclass
class Item:
    """What the naive count says of one item: accounts as shown, and shortfalls."""

    shown: dict[str, int]
    short: dict[str, int]


def recount(
    facts: Sequence[tuple[int, Fact]], *, as_of: date | None = None
) -> dict[tuple[str, str], Item]:
    """Count the facts a view may see, by (ledger, item)."""
    seen = [
        (happened_at(fact), seq, fact)
        for seq, (entry, fact) in enumerate(facts)
        if in_force(entry, facts)
        and (as_of is None or happened_at(fact).astimezone(HERE).date() <= as_of)
    ]
    seen.sort(key=lambda one: one[:2])
    items = {(line[0], line[1]) for _, _, fact in seen for line in lines_of(fact)}
    return {item: _play(item, [fact for _, _, fact in seen]) for item in items}


Out = tuple[str, int]
"""A kind, and the fact (counted from one) with which its bows left for good."""


def outs_by_batch(
    facts: Sequence[tuple[int, Fact]], *, as_of: date | None = None
) -> dict[Out, dict[str, int]]:
    """
    Count what left by the batch told, "" for what no batch was told of.

    A batch is told with the fact itself, or named for it by another; what was told
    first counts first, and no more is of a batch than left.
    """
    seen = [
        (seq, fact) for seq, (entry, fact) in enumerate(facts, start=1)
        if in_force(entry, facts)
        and (as_of is None or happened_at(fact).astimezone(HERE).date() <= as_of)
    ]  # fmt: skip
    kind_of = {batch: kind for _, fact in seen for batch, kind in _batch(fact.event)}
    told = [(at, b, n) for seq, fact in seen for at, b, n in _named(seq, fact.event)]
    found: dict[Out, dict[str, int]] = {}
    for seq, fact in seen:
        for kind, amount in _left(fact).items():
            share = {"": amount}
            for batch, count in [(b, n) for at, b, n in told if at == seq]:
                take = min(count, share[""]) if kind_of.get(batch) == kind else 0
                share[batch] = share.get(batch, 0) + take
                share[""] -= take
            found[kind, seq] = {b: n for b, n in share.items() if n}
    return found


def _batch(e: Any) -> Iterator[tuple[str, str]]:
    if e.kind == "bows-finished":
        yield e.batch, e.made
    elif e.kind == "bows-reworked":
        yield e.batch, e.became


def _named(seq: int, e: Any) -> Iterator[tuple[int, str, int]]:
    match e.kind:
        case "batch-named":
            yield e.seq, e.batch, e.count
        case "bows-sold" | "bows-given" | "bows-written-off" | "order-handed-over":
            if e.batch:
                yield seq, e.batch, sum(n for _, n in e.bows)
        case "bows-taken-apart" if e.batch:
            yield seq, e.batch, e.count


def _left(fact: Fact) -> dict[str, int]:
    """Give the bows that a fact took from a place to no place, by kind."""
    found: dict[str, int] = {}
    for ledger, kind, source, target, amount in lines_of(fact):
        if ledger == "bows" and source.startswith("at:") > target.startswith("at:"):
            found[kind] = found.get(kind, 0) + amount
    return found


def _play(item: tuple[str, str], facts: Iterable[Fact]) -> Item:
    held: dict[str, int] = defaultdict(int)
    begun = False
    # A spool or a lot begins with its opening, whatever day it is said to have come.
    for fact in sorted(facts, key=lambda fact: not _opens(item, fact)):
        mine = [line[2:] for line in lines_of(fact) if line[:2] == item]
        for source, target, amount in [*mine, *_counted_through(item, fact, mine)]:
            if source == READ:
                begun = begun or item[0] != "ribbon" or target != "left"
                held["not yet explained" if begun else "opening"] -= (
                    amount - held[target]
                )
                held[target] = amount
            else:
                begun = begun or source != "opening"
                held[source] -= amount
                held[target] += amount
    return _shown(item[0], held)


def _opens(item: tuple[str, str], fact: Fact) -> bool:
    return item[0] in ("ribbon", "supplies") and any(
        line[:2] == item and line[2] == "opening" for line in lines_of(fact)
    )


def _counted_through(
    item: tuple[str, str], fact: Fact, mine: Iterable[tuple[str, str, int]]
) -> Iterator[tuple[str, str, int]]:
    """Of a kind not named when its place was counted through there is none."""
    e: Any = fact.event
    if item[0] == "bows" and e.kind == "stock-counted" and e.whole and not list(mine):
        yield READ, f"at:{e.place}", 0


def _shown(ledger: str, held: dict[str, int]) -> Item:
    """Show what is below nothing as not yet explained, and as an entry missing."""
    real = REAL[ledger]
    short = {a: -n for a, n in held.items() if n < 0 and real and a.startswith(real)}
    shown = {a: n for a, n in held.items() if a not in short}
    shown["not yet explained"] = shown.get("not yet explained", 0) - sum(short.values())
    return Item({a: n for a, n in shown.items() if n}, short)
