"""How long to cut a part: from trimmings and bows that came out too short."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from planner.engines.tolerance import bound, by_counting, least_count
from planner.ledgers.catalogue import Pattern, catalogue
from planner.ledgers.shop import shop
from planner.ledgers.state import Kept, Ledgers
from planner.plans.trimming import CutLength, Guess, Needs
from planner.values.units import NM_PER_INCH

LEAST = 8
"""Measured bows below which nothing is recommended."""
YEAR = 365 * 86_400_000_000
"""A year in microseconds."""
COVERAGE = 0.95
CONFIDENCE = 0.95
_STEPS = {"us": NM_PER_INCH // 4, "metric": 5_000_000}
"""What a length is rounded up to: a quarter inch, or 5 mm."""
LOOPS = 4
"""Loops of a double-loop bow, two a side."""


@dataclass
class _Sample:
    measured: list[int] = field(default_factory=list)
    short: list[int] = field(default_factory=list)
    room: list[int] = field(default_factory=list)
    left_out: int = 0


def needs(led: Ledgers) -> list[Needs]:
    """Gather what bows needed, by pattern and role, from all trimmings measured."""
    found: dict[tuple[str, str], _Sample] = defaultdict(_Sample)
    for kept in led.all_kept("trimmings"):
        told = _told(led, kept)
        if told is not None:
            pattern, cut = told
            _add(found[pattern, kept.event.role], kept.event, cut)
    return [
        Needs(
            pattern, role, tuple(s.measured), tuple(s.short), tuple(s.room), s.left_out
        )
        for (pattern, role), s in sorted(found.items())
    ]


def _add(sample: _Sample, event: Any, cut: int) -> None:
    each = [cut - trimmed for trimmed in event.each if trimmed < cut]
    sample.measured += each
    sample.short += [cut] * event.short
    sample.room += [cut] * (len(each) + event.short)
    sample.left_out += not event.each


def _told(led: Ledgers, kept: Kept) -> tuple[str, int] | None:
    """Say of which pattern trimmings were, and how long the part had been cut."""
    event, cat = kept.event, catalogue(led)
    batch = led.batches.get(event.batch or "")
    if batch is not None:
        for role, length, *_ in led.parts_of(batch.code):
            if role == event.role:
                return cat.split(batch.kind)[0], length
        return None
    before = [
        b for b in led.bundles.values()
        if b.spool == event.spool and b.role == event.role and b.for_kind
        and b.when <= kept.at.when
    ]  # fmt: skip
    if not before:
        return None
    last = max(before, key=lambda b: (b.when, b.seq))
    return cat.split(last.for_kind or "")[0], last.length


def recommend(
    led: Ledgers, found: Needs, *, now: int, coverage: float = COVERAGE,
    confidence: float = CONFIDENCE,
) -> CutLength | None:  # fmt: skip
    """
    Recommend a cut length for one part; `now` is microseconds since 1970.

    None where too few bows were measured, or all of them came out alike.
    """
    pattern = catalogue(led).patterns.get(found.pattern)
    if pattern is None or len(found.measured) < LEAST or len(set(found.measured)) < 2:
        return None

    def bounded(short: Sequence[int], room: Sequence[int]) -> tuple[float, ...]:
        return bound(
            found.measured, short, room, coverage=coverage, confidence=confidence
        )

    most, mean, sd, k = bounded(found.short, found.room)
    alone = by_counting(
        found.measured, len(found.short), coverage=coverage, confidence=confidence
    )
    cut, step = cut_now(pattern, found.role), _STEPS[shop(led).units]
    length = -(-round(most) // step) * step
    parts = _parts_a_year(led, found, now)
    saved = (cut - length) * parts
    return CutLength(
        found, coverage, confidence, cut, mean, sd, k, most, length,
        None if alone is None else round(alone),
        least_count(coverage=coverage, confidence=confidence), parts, saved,
        _money(led, found, saved, now), round(bounded((), ())[0]),
    )  # fmt: skip


def cut_now(pattern: Pattern, role: str) -> int:
    """Give the length (nm) a pattern's part is cut to now; 0 where it has none."""
    return next((length for name, length, _ in pattern.parts if name == role), 0)


def _cut_for(led: Ledgers, found: Needs, now: int) -> Iterator[tuple[str, int]]:
    """Walk (spool, parts) that batches of a year took; no spool where not known."""
    for batch in led.batches.values():
        if batch.kind.partition(":")[0] != found.pattern or batch.when <= now - YEAR:
            continue
        for role, _, count, _, spool in led.parts_of(batch.code):
            if role == found.role:
                yield spool or "", count


def _parts_a_year(led: Ledgers, found: Needs, now: int) -> int:
    return sum(count for _, count in _cut_for(led, found, now))


def _money(led: Ledgers, found: Needs, saved: int, now: int) -> int:
    """Reckon what ribbon saved costs (minor units): each spool's price by its label."""
    paid, parts = Fraction(0), 0
    for spool, count in _cut_for(led, found, now):
        base = led.spools.get(spool)
        if base is not None and base.paid and base.label:
            # Weighed by the parts cut: dear ribbon counts as often as it is used.
            paid += Fraction(base.paid * count, base.label)
            parts += count
    return round(saved * paid / parts) if parts else 0


def guess(*, size: int, width: int, loops: int = LOOPS) -> Guess:
    """
    Guess the body of a new size (nm) from its loops, as a range.

    A loop reaches half the finished width out and as much back, so each takes the
    finished width.  At the centre the ribbon turns once a loop, which takes from half
    to a whole ribbon's width; two ends are trimmed, from half a width to a width each;
    and a finished bow may be up to 1/2 in off, which each loop has to follow.
    """
    turn = width * loops
    lines = (
        (f"{loops} loops, out and back", size * loops, size * loops),
        (f"{loops} turns at the centre", turn // 2, turn),
        ("two ends to trim and seal", width, width * 2),
        ("a finished width up to 1/2 in off", 0, loops * NM_PER_INCH // 4),
    )
    low, high = sum(x for _, x, _ in lines), sum(x for _, _, x in lines)
    return Guess(size, width, loops, low, high, lines)
