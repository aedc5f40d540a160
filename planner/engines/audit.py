"""
Where every inch of a spool went, and through what.

Known links come from entries (a bundle cut from the spool, a batch made from the
bundle, a sale that names its batch); the others are worked out first in, first out, per
kind, and marked so.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass

from planner.engines.short_measure import read_first, rule_of
from planner.engines.strip_law import settle
from planner.engines.uncut import too_high, uncut
from planner.ledgers import ribbon as r
from planner.ledgers.bows import FOUND, HANDED_OVER, PLACE, RETURNED, SOLD, STALL
from planner.ledgers.orders import orders
from planner.ledgers.state import Batch, Ledgers
from planner.ledgers.timeline import OPENING, UNEXPLAINED, Row
from planner.plans.story import Gone, LabelCheck, Piece, Step, Story

_ENTERED = ("finished", OPENING, FOUND, RETURNED)


@dataclass(slots=True)
class _Slot:
    """Bows that came in together and are still there; a batch, or none told."""

    batch: str
    held: int


def story(led: Ledgers, spool: str) -> Story:
    """Tell the whole account of one spool, to the nanometre."""
    balance = led.ribbon.balance(spool)
    rows = list(led.ribbon.items[spool].rows())
    accounts = {k: v for k, v in balance.accounts.items() if k != OPENING}
    return Story(
        spool=spool, opening=-balance[OPENING], accounts=accounts,
        missing=dict(balance.missing),
        pieces=settle(_pieces(led, spool, rows), accounts),
        steps=tuple(_steps(rows)), label=label_check(led, spool),
        joins=_joins(led, spool), used_up=_used_up(rows), uncut=_of_ribbon(led, spool),
        too_high=tuple((x.batch, x.bows, x.length, x.spools)
                       for x in too_high(led, spool)),
    )  # fmt: skip


def _steps(rows: list[Row]) -> Iterator[Step]:
    left = 0
    for row in rows:
        change = 0
        if row.target == r.LEFT:
            change = row.amount
        elif row.source == r.LEFT:
            change = -row.amount
        left += change
        yield Step(row.seq, row.when, row.source, row.target, change, left, row.reading)


def _used_up(rows: list[Row]) -> bool:
    """Say whether the last reading found nothing left, with nothing put back since."""
    readings = [row for row in rows if row.reading is not None and row.target == r.LEFT]
    return bool(readings) and readings[-1].reading == 0


def _joins(led: Ledgers, spool: str) -> tuple[tuple[int, int | None], ...]:
    return tuple((k.at.seq, k.event.left) for k in led.page("joins", spool))


def label_check(led: Ledgers, spool: str) -> LabelCheck:
    """Say what can be said of a label: only a reading before the first cut tells."""
    label, rule = led.spools[spool].label, rule_of(led)
    return LabelCheck(label, read_first(led, spool), rule.tolerance(label), rule.name)


def _of_ribbon(led: Ledgers, spool: str) -> tuple[tuple[str, int], ...]:
    """Give the batches of this ribbon whose cuts are not on record (nm each)."""
    ribbon = led.spools[spool].ribbon
    return tuple((x.batch, x.length) for x in uncut(led) if x.ribbon == ribbon)


def _pieces(led: Ledgers, spool: str, rows: list[Row]) -> Iterator[Piece]:
    """Walk what left the spool in the order it was cut, then what is still on it."""
    flows = _flows(rows)
    used = _bundle_batches(led, spool)
    links = batch_links(led)
    for row in rows:
        if row.reading is not None and row.target == r.LEFT and row.amount < 0:
            if row.source == UNEXPLAINED:
                yield Piece(UNEXPLAINED, -row.amount, row.seq, row.when)
        elif row.source == r.LEFT and row.target.startswith(r.BUNDLE):
            bundle = row.target.removeprefix(r.BUNDLE)
            yield from _of_bundle(led, bundle, row, flows, used, links)
        elif row.source == r.LEFT and row.amount > 0:
            why = row.target.partition(":")[2]
            yield Piece(row.target, row.amount, row.seq, row.when, why=why)
    balance = led.ribbon.balance(spool)
    if balance[r.LEFT]:
        yield Piece(r.LEFT, balance[r.LEFT], 0, 0)


def _flows(rows: list[Row]) -> dict[str, dict[str, int]]:
    """Give what left each bundle, by target (nm); readings count as unexplained."""
    flows: dict[str, dict[str, int]] = defaultdict(lambda: defaultdict(int))
    for row in rows:
        if row.source.startswith(r.BUNDLE):
            flows[row.source.removeprefix(r.BUNDLE)][row.target] += row.amount
        elif row.target.startswith(r.BUNDLE) and row.reading is not None:
            flows[row.target.removeprefix(r.BUNDLE)][UNEXPLAINED] -= row.amount
    return flows


Used = dict[str, list[tuple[Batch, int, int]]]


def _bundle_batches(led: Ledgers, spool: str) -> Used:
    """Give the batches made of each bundle of a spool: (batch, parts, nm)."""
    used: Used = defaultdict(list)
    for batch in led.batches.values():
        for _, length, count, bundle, source in led.parts_of(batch.code):
            if bundle is not None and source == spool:
                used[bundle].append((batch, count, length * count))
    return used


def _of_bundle(
    led: Ledgers, code: str, row: Row, flows: dict[str, dict[str, int]], used: Used,
    links: dict[str, list[Gone]],
) -> Iterator[Piece]:  # fmt: skip
    """Split a cut bundle into what its parts became."""
    bundle = led.bundles.get(code)
    role, length = (bundle.role, bundle.length) if bundle else ("", 0)
    out = dict(flows.get(code, {}))
    left = row.amount
    for batch, parts, nm in used.get(code, ()):
        take = min(nm, left)
        if take <= 0:
            break
        left -= take
        yield Piece(
            r.BOWS, take, row.seq, row.when, code, role, parts, batch.code, batch.kind,
            gone=tuple(links.get(batch.code, ())),
        )  # fmt: skip
    for target, amount in out.items():
        take = min(amount, left)
        if target != r.BOWS and take > 0:
            left -= take
            parts = take // length if length else 0
            why = target.partition(":")[2]
            yield Piece(target, take, row.seq, row.when, code, role, parts, why=why)
    if left > 0:
        parts = left // length if length else 0
        kind = bundle.for_kind or "" if bundle else ""
        yield Piece(r.BUNDLE, left, row.seq, row.when, code, role, parts, kind=kind)


def batch_links(led: Ledgers) -> dict[str, list[Gone]]:
    """Say where each batch's bows went: known by name, else first in, first out."""
    made = led.memo.get("batch links")
    if made is None:
        made = led.memo["batch links"] = _batch_links(led)
    assert isinstance(made, dict)
    return made


def _batch_links(led: Ledgers) -> dict[str, list[Gone]]:
    named = named_batches(led)
    by_kind: dict[str, list[Batch]] = defaultdict(list)
    for batch in led.batches.values():
        by_kind[batch.kind].append(batch)
    handed = _handed(led)
    links: dict[str, list[Gone]] = defaultdict(list)
    for kind, batches in by_kind.items():
        for gone in _first_in_first_out(led, kind, batches, named, handed):
            links[gone.batch].append(gone)
    return links


def named_batches(led: Ledgers) -> dict[int, list[tuple[str, int]]]:
    """Give the batches told of what left, with their bows, by its place in the log."""
    named: dict[int, list[tuple[str, int]]] = defaultdict(list)
    for batch, _, count, seq in led.batch_out:
        named[seq].append((batch, count))
    return named


def told_of(
    row: Row, named: Mapping[int, list[tuple[str, int]]], batches: Collection[str]
) -> list[tuple[str, int]]:
    """Share what left over the batches told, as far as it goes, in order of telling."""
    left, found = row.amount, []
    for batch, count in named.get(row.seq, ()):
        take = min(count, left) if batch in batches else 0
        if take:
            found.append((batch, take))
            left -= take
    return found


def _handed(led: Ledgers) -> dict[int, tuple[str, str]]:
    """Give order and person of each hand-over, by its place in the log."""
    return {
        kept.at.seq: (order.code, order.person or "")
        for order in orders(led).values()
        for kept in led.pages["orders"][order.code]
        if kept.event.kind == "order-handed-over"
    }


def _first_in_first_out(
    led: Ledgers, kind: str, batches: list[Batch],
    named: Mapping[int, list[tuple[str, int]]],
    handed: dict[int, tuple[str, str]],
) -> Iterator[Gone]:  # fmt: skip
    """Match what left with what came, the oldest first; named batches as named."""
    rows = [x for x in led.bows.items[kind].rows() if x.reading is None]
    known = {b.code: b.count for b in batches}
    queue: list[_Slot] = []
    seqs = {b.seq: b.code for b in batches}
    for row in rows:
        if row.source in _ENTERED and row.target.startswith(PLACE):
            queue.append(_Slot(seqs.get(row.seq, ""), row.amount))
    outs = [
        row for row in rows
        if row.source.startswith(PLACE) and not row.target.startswith(PLACE)
    ]  # fmt: skip
    untold: list[tuple[Row, int]] = []
    for row in outs:
        told = told_of(row, named, known)
        for batch, count in told:
            _take_from(queue, batch, count)
            yield _gone(batch, row, count, True, handed)
        untold.append((row, row.amount - sum(count for _, count in told)))
    for row, left in untold:
        for batch, count in _take_oldest(queue, left):
            if batch:
                yield _gone(batch, row, count, False, handed)


def _take_from(queue: list[_Slot], batch: str, count: int) -> None:
    for slot in queue:
        if slot.batch == batch:
            slot.held = max(slot.held - count, 0)


def _take_oldest(queue: list[_Slot], count: int) -> Iterator[tuple[str, int]]:
    while count > 0 and queue:
        oldest = queue[0]
        take = min(oldest.held, count)
        if take:
            yield oldest.batch, take
        count -= take
        oldest.held -= take
        if oldest.held == 0:
            queue.pop(0)


def _gone(
    batch: str, row: Row, count: int, known: bool,
    handed: dict[int, tuple[str, str]],
) -> Gone:  # fmt: skip
    place = row.source.removeprefix(PLACE)
    fair = place.removeprefix(STALL) if place.startswith(STALL) else ""
    order, person = handed.get(row.seq, ("", ""))
    where = row.target
    if where == SOLD and fair:
        where = f"sold at {fair}"
    elif where == HANDED_OVER and order:
        where = f"order {order}"
    return Gone(batch, where, count, row.seq, known, order, person, fair)


def most_unexplained(led: Ledgers) -> list[tuple[str, int]]:
    """Give the spools with something not yet explained (nm), the largest first."""
    found = [(spool, led.ribbon.balance(spool)[UNEXPLAINED]) for spool in led.spools]
    return sorted((x for x in found if x[1]), key=lambda x: -abs(x[1]))
