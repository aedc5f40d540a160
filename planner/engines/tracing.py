"""
Tracing: from a spool to who has its ribbon, from a batch or an order to its spools.

Where no entry names a link the answer is a possible set: everything that could be is
in it, and what first in, first out makes likely is marked *inferred*.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator

from planner.engines.audit import batch_links, named_batches, told_of
from planner.ledgers import ribbon as r
from planner.ledgers.bows import HANDED_OVER, PLACE, SOLD, STALL
from planner.ledgers.catalogue import catalogue
from planner.ledgers.orders import Order, orders
from planner.ledgers.state import Batch, Ledgers, Spool
from planner.ledgers.timeline import Row
from planner.plans.story import Gone
from planner.plans.tracing import (
    Backward,
    BatchTrace,
    BundleTrace,
    Forward,
    Source,
    Sure,
    Went,
)


def forward(led: Ledgers, spool: str) -> Forward:
    """Trace a spool to its bundles, batches, orders, people and sales."""
    balance = led.ribbon.balance(spool)
    known, possible = _batches_of(led, spool)
    made = [_batch(led, b, "known") for b in known]
    made += [_batch(led, b, "possible") for b in possible]
    return Forward(
        spool, balance[r.LEFT], balance[r.ENDS], tuple(_bundles(led, spool)),
        tuple(made),
    )  # fmt: skip


def _bundles(led: Ledgers, spool: str) -> Iterator[BundleTrace]:
    used: dict[str, list[str]] = defaultdict(list)
    for batch in led.batches.values():
        for _, _, _, bundle, source in led.parts_of(batch.code):
            if bundle is not None and source == spool:
                used[bundle].append(batch.code)
    balance = led.ribbon.balance(spool)
    for one in led.bundles.values():
        if one.spool == spool:
            waiting = balance[r.BUNDLE + one.code] // one.length
            yield BundleTrace(
                one.code, one.role, one.length, one.count, waiting, one.happened[:10],
                tuple(dict.fromkeys(used.get(one.code, ()))),
            )  # fmt: skip


def _batches_of(led: Ledgers, spool: str) -> tuple[list[Batch], list[Batch]]:
    """Give the batches that hold a spool's ribbon, and those that could."""
    known: list[Batch] = []
    possible: list[Batch] = []
    for batch in led.batches.values():
        rows = led.parts_of(batch.code)
        if any(source == spool for *_, source in rows):
            known.append(batch)
        elif spool in {s for role in _untold_roles(led, batch)
                       for s in _could_be(led, batch, role)}:  # fmt: skip
            possible.append(batch)
    return known, possible


def _untold_roles(led: Ledgers, batch: Batch) -> list[str]:
    """Give the parts of a batch whose spool no entry tells."""
    rows = led.parts_of(batch.code)
    untold = [row[0] for row in rows if row[4] is None]
    if not rows:
        pattern = catalogue(led).patterns.get(batch.kind.partition(":")[0])
        untold = [role for role, _, _ in pattern.parts] if pattern else []
    return list(dict.fromkeys(untold))


def _could_be(led: Ledgers, batch: Batch, role: str) -> list[str]:
    """Give the spools a part could be from: right ribbon, here before, not used up."""
    way = catalogue(led).colourway_of(batch.kind)
    ribbon = way.ribbon_for(role) if way else None
    return [
        spool.code for spool in led.spools.values()
        if (ribbon is None or spool.ribbon == ribbon) and _open_then(led, spool, batch)
    ]  # fmt: skip


def _open_then(led: Ledgers, spool: Spool, batch: Batch) -> bool:
    """
    Say whether a spool had come before a batch was made.

    That it had run out by then excludes nothing: parts wait in bundles for weeks.
    """
    rows = led.ribbon.items[spool.code].rows()
    first = next(iter(rows), None)
    return first is not None and first.when <= batch.when


def _batch(led: Ledgers, batch: Batch, sure: Sure) -> BatchTrace:
    went = tuple(_went(led, batch))
    return BatchTrace(
        batch.code, batch.kind, batch.count, batch.happened[:10], sure,
        _here(led, batch, went), tuple(_places(led, batch)), went,
        sum(k.event.count for k in led.page("labels", batch.code)
            if k.event.kind == "labels-printed"),
    )  # fmt: skip


def _went(led: Ledgers, batch: Batch) -> Iterator[Went]:
    """Walk where a batch's bows went, and where else they could have gone."""
    told = batch_links(led).get(batch.code, [])
    for gone in told:
        yield _link(gone)
    known = sum(gone.count for gone in told if gone.known)
    open_ = batch.count - known
    seen: Counter[int] = Counter()
    for gone in told:
        seen[gone.seq] += 0 if gone.known else gone.count
    for row, untold in _untold_outs(led, batch):
        # Beyond what is likely from this batch, the rest could be of it as well.
        more = min(untold, open_) - seen[row.seq]
        if more > 0:
            yield _possible(led, batch, row, more)


def _link(gone: Gone) -> Went:
    return Went(
        gone.batch, gone.where, gone.count, "known" if gone.known else "inferred",
        gone.seq, gone.order, gone.person, gone.fair,
    )  # fmt: skip


def _outs(led: Ledgers, kind: str) -> list[Row]:
    """Give what left of a kind for good, in order."""
    kept = led.memo.setdefault("bows out", {})
    assert isinstance(kept, dict)
    if kind not in kept:
        line = led.bows.items.get(kind)
        kept[kind] = [
            row for row in (line.rows() if line else ())
            if row.reading is None and row.source.startswith(PLACE)
            and not row.target.startswith(PLACE)
        ]  # fmt: skip
    found: list[Row] = kept[kind]
    return found


def _untold_outs(led: Ledgers, batch: Batch) -> Iterator[tuple[Row, int]]:
    """Walk what left after a batch was made, with the bows of no batch told."""
    named = named_batches(led)
    same = {b.code for b in led.batches.values() if b.kind == batch.kind}
    for row in _outs(led, batch.kind):
        told = sum(count for _, count in told_of(row, named, same))
        if row.when >= batch.when and row.amount > told:
            yield row, row.amount - told


def _possible(led: Ledgers, batch: Batch, row: Row, count: int) -> Went:
    place = row.source.removeprefix(PLACE)
    fair = place.removeprefix(STALL) if place.startswith(STALL) else ""
    order = handed(led).get(row.seq)
    where = row.target
    if where == SOLD and fair:
        where = f"sold at {fair}"
    elif where == HANDED_OVER and order is not None:
        where = f"order {order.code}"
    return Went(
        batch.code, where, count, "possible", row.seq, order.code if order else "",
        (order.person or "") if order else "", fair,
    )  # fmt: skip


def handed(led: Ledgers) -> dict[int, Order]:
    """Give the order behind each hand-over, by its place in the log."""
    kept = led.memo.get("handed over")
    if kept is None:
        kept = led.memo["handed over"] = {
            page.at.seq: order
            for order in orders(led).values()
            for page in led.pages["orders"][order.code]
            if page.event.kind == "order-handed-over"
        }
    assert isinstance(kept, dict)
    return kept


def _here(led: Ledgers, batch: Batch, went: Iterable[Went]) -> tuple[int, int, int]:
    """Give how many bows of a batch are still here: at least, likely, at most."""
    balance = led.bows.balance(batch.kind)
    shelf = balance.total(PLACE)
    known = likely = could = 0
    for one in went:
        known += one.count if one.sure == "known" else 0
        likely += one.count if one.sure in ("known", "inferred") else 0
        could += one.count
    most = min(max(batch.count - known, 0), shelf)
    least = max(batch.count - could, 0)
    return min(least, most), min(max(batch.count - likely, least), most), most


def _places(led: Ledgers, batch: Batch) -> list[str]:
    return list(led.bows.balance(batch.kind).under(PLACE))


def backward(led: Ledgers, batch: str) -> Backward:
    """Trace a batch to spools, lots, suppliers and the days they came."""
    made = led.batches[batch]
    return Backward(
        batch, (_batch(led, made, "known"),), tuple(_sources(led, made))
    )  # fmt: skip


def backward_of_order(led: Ledgers, order: str) -> Backward:
    """Trace an order's bows to batches, and those to their spools."""
    found = dict(_of_order(led, order))
    traced = [_batch(led, led.batches[b], sure) for b, sure in found.items()]
    sources = [s for b in found for s in _sources(led, led.batches[b])]
    told = sum(
        one.count for batch in traced for one in batch.went
        if one.order == order and one.sure != "possible"
    )  # fmt: skip
    asked = sum(
        sum(n for _, n in kept.event.bows)
        for kept in led.page("orders", order)
        if kept.event.kind == "order-handed-over"
    )
    return Backward(order, tuple(traced), tuple(sources), max(asked - told, 0))


def _of_order(led: Ledgers, order: str) -> Iterator[tuple[str, Sure]]:
    """Walk the batches of an order, the surest word on each first."""
    found: dict[str, Sure] = {}
    rank: tuple[Sure, ...] = ("known", "inferred", "possible")
    for batch in led.batches.values():
        hows = [w.sure for w in _went(led, batch) if w.order == order]
        if batch.order == order:
            hows.append("known")
        if hows:
            found[batch.code] = min(hows, key=rank.index)
    yield from sorted(found.items(), key=lambda item: rank.index(item[1]))


def _sources(led: Ledgers, batch: Batch) -> Iterator[Source]:
    for role, _, count, bundle, spool in led.parts_of(batch.code):
        if spool is not None and spool in led.spools:
            from_bundle = led.bundles.get(bundle or "")
            cut = from_bundle.happened[:10] if from_bundle else ""
            yield _source(led, batch, spool, role, "known", bundle or "", cut, count)
    for role in _untold_roles(led, batch):
        for spool in _could_be(led, batch, role):
            yield _source(led, batch, spool, role, "possible")
    for lot, units in batch.supplies:
        base = led.lots.get(lot)
        if base is not None:
            name = catalogue(led).supplies[base.supply].name
            yield Source(
                batch.code, f"{name} {lot}", name, lot, base.supplier,
                base.happened[:10], "known", parts=units,
            )  # fmt: skip


def _source(
    led: Ledgers, batch: Batch, spool: str, role: str, sure: Sure, bundle: str = "",
    cut: str = "", parts: int = 0,
) -> Source:  # fmt: skip
    base = led.spools[spool]
    return Source(
        batch.code, spool, role, base.lot, base.supplier, base.happened[:10], sure,
        bundle, cut, parts,
    )  # fmt: skip
