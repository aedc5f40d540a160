"""
Batches made of ribbon whose cut is on no record, and the spools it may have come from.

It is reckoned, not posted: nothing is taken off a spool until the cut is told, or the
spool is read.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple
from zoneinfo import ZoneInfo

from planner.ledgers.catalogue import catalogue
from planner.ledgers.ribbon import LEFT
from planner.ledgers.state import Batch, Ledgers, Spool
from planner.values.moments import instant

HALF_A_DAY = 12 * 3600 * 1_000_000
"""In µs: a bare day counts as its noon."""


class Uncut(NamedTuple):
    """
    A batch, its bows, and the ribbon of one kind it took without a cut on record (nm).

    `spools` are those that it may have come from and that weren't read since: what is
    left on them by the book is likely too high.
    """

    batch: str
    bows: int
    ribbon: str
    length: int
    spools: tuple[str, ...]


def uncut(led: Ledgers) -> list[Uncut]:
    """Give every batch with parts of no bundle and no spool, ribbon by ribbon."""
    made = led.memo.get("uncut")
    if made is None:
        made = led.memo["uncut"] = list(_uncut(led))
    assert isinstance(made, list)
    return made


def too_high(led: Ledgers, spool: str) -> list[Uncut]:
    """Give those that may have come from a spool though its book figure has them."""
    return [one for one in uncut(led) if spool in one.spools]


def may_have_been_cut(led: Ledgers, spool: str, before: tuple[int, int]) -> bool:
    """Say whether a cut on no record may be off a spool, before a (moment, seq)."""
    one = led.spools[spool]
    made = [led.batches[x.batch] for x in uncut(led) if x.ribbon == one.ribbon]
    return any(_came(led, one) <= b.when and (b.when, b.seq) < before for b in made)


def _uncut(led: Ledgers) -> Iterable[Uncut]:
    for batch in map(led.batches.__getitem__, led.untold_parts):
        for ribbon, length in _lengths(led, batch).items():
            spools = tuple(
                spool.code for spool in led.spools.values()
                if spool.ribbon == ribbon and _may_be_from(led, spool, batch)
            )  # fmt: skip
            yield Uncut(batch.code, batch.count, ribbon, length, spools)


def _lengths(led: Ledgers, batch: Batch) -> dict[str, int]:
    """Give the ribbon of a batch's parts that no cut tells of (nm by ribbon)."""
    way = catalogue(led).colourway_of(batch.kind)
    found: dict[str, int] = {}
    for role, length, count, bundle, spool in led.parts_of(batch.code):
        if bundle is None and spool is None and way is not None:
            ribbon = way.ribbon_for(role)
            found[ribbon] = found.get(ribbon, 0) + length * count
    return found


def _may_be_from(led: Ledgers, spool: Spool, batch: Batch) -> bool:
    """Say whether a spool was there, and was neither read nor empty since."""
    line = led.ribbon.items.get(spool.code)
    if (
        line is None
        or _came(led, spool) > batch.when
        or led.ribbon.balance(spool.code)[LEFT] <= 0
    ):
        return False
    return not any(
        row.reading is not None and row.target == LEFT and row.when >= batch.when
        for row in line.rows()
    )


def _came(led: Ledgers, spool: Spool) -> int:
    """Give the first moment (µs) a spool can have been cut; a bare day is all of it."""
    noon = instant(spool.happened, ZoneInfo(led.zone))
    return noon - HALF_A_DAY if len(spool.happened) == 10 else noon
