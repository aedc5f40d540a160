"""
What spools lost between two fixings of what is on them, as the records have it.

A fixing is the label, or a reading of the spool.  Between two of them the book says
what went; the reading says what really went.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from math import sqrt

from planner.ledgers import ribbon as r
from planner.ledgers.shop import setting
from planner.ledgers.state import Ledgers
from planner.ledgers.timeline import OPENING, Row
from planner.plans.measure import Stretch
from planner.values.units import NM_PER_INCH

WEIGHED = 0.008
MEASURED = 0.002
JUDGED = 0.03
"""Spreads of a reading, as shares of what is read: her scale, her tape, her eye."""
_HOW = {"weighed": WEIGHED, "measured": MEASURED, "judged": JUDGED, "ran out": 0.0}
ROUNDED = 3 * NM_PER_INCH
"""What rounding a reading adds to its spread (nm): 9 in wide, evenly spread."""
LABEL = 0.004
"""Spread of one spool's length about its lot's, as a share of the label."""
FLOOR = 2 * NM_PER_INCH
"""The least spread of a stretch (nm): cuts themselves vary."""


@dataclass
class _Walk:
    """A spool on the way through its rows; lengths in nm."""

    start: int = 0
    label: int = 0
    error: float = 0.0
    parts: Counter[str] = field(default_factory=Counter)
    longest: int = 0
    shortest: int = 1 << 60
    kept_end: bool = False
    moments: set[int] = field(default_factory=set)


def lot_of(led: Ledgers, spool: str) -> str:
    """Name a spool's lot with its ribbon: a delivery may hold several ribbons."""
    base = led.spools[spool]
    return f"{base.lot} {base.ribbon}"


def stretches(led: Ledgers) -> Iterator[Stretch]:
    """Walk every stretch of every spool that a reading closes."""
    hows, keep = _hows(led), int(setting(led, "end worth keeping"))
    for spool in led.spools:
        yield from _of_spool(led, spool, hows, keep)


def since_read(led: Ledgers, spool: str) -> Counter[str]:
    """Count the parts cut off a spool since it was last read, by role."""
    walk = _Walk()
    for row in led.ribbon.items[spool].rows():
        if row.reading is None:
            _note(led, walk, row)
        elif row.target == r.LEFT:
            walk = _Walk()
    return walk.parts


def _hows(led: Ledgers) -> dict[int, str]:
    return {kept.at.seq: kept.event.how for kept in led.all_kept("readings")}


def _of_spool(
    led: Ledgers, spool: str, hows: dict[int, str], keep: int
) -> Iterator[Stretch]:
    base = led.spools[spool]
    begin = led.ribbon.items[spool].rows()
    walk = _Walk(base.seq, 0 if base.part_used else base.label)
    walk.error = JUDGED * base.label if base.part_used else 0.0
    for row in begin:
        if row.reading is None:
            _note(led, walk, row)
        elif row.target == r.LEFT:
            if row.source != OPENING and walk.parts:
                how = hows.get(row.seq, "measured")
                yield _close(led, spool, walk, row, how, keep)
            error = _HOW[hows.get(row.seq, "measured")] * row.reading
            walk = _Walk(row.seq, error=sqrt(error**2 + ROUNDED**2))


def _note(led: Ledgers, walk: _Walk, row: Row) -> None:
    if row.source != r.LEFT:
        return
    if row.target == r.ENDS:
        walk.kept_end = True
    bundle = led.bundles.get(row.target.removeprefix(r.BUNDLE))
    if bundle is not None and row.target.startswith(r.BUNDLE):
        walk.parts[bundle.role] += bundle.count
        walk.moments.add(row.when)
        walk.longest = max(walk.longest, bundle.length)
        walk.shortest = min(walk.shortest, bundle.length)
        walk.kept_end = False


def _close(
    led: Ledgers, spool: str, walk: _Walk, row: Row, how: str, keep: int
) -> Stretch:
    """
    Close a stretch.

    Of a spool that ran out an end too short to cut or keep may be gone unnoted.
    """
    thrown = 0 if row.reading or walk.kept_end else min(walk.shortest, keep)
    read = _HOW[how] * (row.reading or 0)
    rounded = ROUNDED if row.reading else 0
    spread = sqrt(
        walk.error**2 + read**2 + rounded**2 + FLOOR**2 + thrown**2 / 12
        + (LABEL * walk.label) ** 2
    )  # fmt: skip
    return Stretch(
        spool, lot_of(led, spool), walk.start, row.seq,
        tuple(sorted(walk.parts.items())), -row.amount, walk.label, thrown / 2, spread,
        walk.longest, len(walk.moments),
    )  # fmt: skip


def known_labels(led: Ledgers) -> dict[str, list[tuple[float, float]]]:
    """Give, by lot, the label errors read before a first cut, with their spreads."""
    found: dict[str, list[tuple[float, float]]] = {}
    hows = _hows(led)
    for spool, base in led.spools.items():
        read = _first(led.ribbon.items[spool].rows())
        if read is None or base.part_used or not base.label:
            continue
        seq, left = read
        error = _HOW[hows.get(seq, "measured")] * left
        spread = sqrt(error**2 + ROUNDED**2 + (LABEL * base.label) ** 2) / base.label
        found.setdefault(lot_of(led, spool), []).append((left / base.label - 1, spread))
    return found


def _first(rows: Iterable[Row]) -> tuple[int, int] | None:
    read = None
    for row in rows:
        if row.source != OPENING:
            break
        if row.reading is not None:
            read = row.seq, row.reading
    return read
