"""
What her sittings tell of the minutes a bow takes: observations, pattern by pattern.

A batch is set up once, so its observation is (minutes - set-up) / bows, the spoiled
ones with them.  A sitting that mixes patterns is split by what each was expected to
take and counts for less.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import NamedTuple

from planner.ledgers.catalogue import Catalogue, Pattern, catalogue
from planner.ledgers.state import Batch, Ledgers

MIXED_WORTH = 0.5
"""What a sitting of several patterns counts for, shared among them."""


class Seen(NamedTuple):
    """
    One observation: seconds a bow, bows, what it counts for, when, and bows before.

    `before` is how many of the pattern were made before half of these.
    """

    seconds: float
    bows: float
    count: float  # type: ignore[assignment]
    when: int
    before: float


class Stretch(NamedTuple):
    """Minutes of bench time, the batches made in them, and bows spoiled by pattern."""

    minutes: int
    batches: tuple[Batch, ...]
    spoiled: Mapping[str, int]


def observations(led: Ledgers, stated: Mapping[str, float]) -> dict[str, list[Seen]]:
    """
    Give what was seen of each pattern, the oldest first.

    stated: the seconds a bow of each pattern was stated (or guessed) to take; what
    plain sittings show of it then splits the mixed ones.
    """
    cat = catalogue(led)
    done = _done_before(led, cat)
    plain, mixed = _sorted(led, cat)
    seen = _observe(cat, plain, stated, done, worth=1.0)
    foreseen = {**stated, **{code: _middle(all_) for code, all_ in seen.items()}}
    for code, more in _observe(cat, mixed, foreseen, done, worth=MIXED_WORTH).items():
        seen.setdefault(code, []).extend(more)
    return {code: sorted(all_, key=lambda one: one.when) for code, all_ in seen.items()}


def made_so_far(led: Ledgers) -> dict[str, int]:
    """Count the bows made of each pattern."""
    cat, made = catalogue(led), dict[str, int]()
    for batch in led.batches.values():
        code = cat.split(batch.kind)[0]
        made[code] = made.get(code, 0) + batch.count
    return made


def _middle(seen: list[Seen]) -> float:
    rising = sorted(one.seconds for one in seen)
    return rising[len(rising) // 2]


def _done_before(led: Ledgers, cat: Catalogue) -> dict[str, int]:
    """Give the bows of its pattern made before each batch, by the batch's code."""
    made: dict[str, int] = {}
    found: dict[str, int] = {}
    for batch in sorted(led.batches.values(), key=lambda b: (b.when, b.seq)):
        code = cat.split(batch.kind)[0]
        found[batch.code] = made.get(code, 0)
        made[code] = made.get(code, 0) + batch.count
    return found


def _sorted(led: Ledgers, cat: Catalogue) -> tuple[list[Stretch], list[Stretch]]:
    """Tell stretches of one pattern from those that mix patterns."""
    plain: list[Stretch] = []
    mixed: list[Stretch] = []
    for stretch in _stretches(led, cat):
        patterns = {cat.split(batch.kind)[0] for batch in stretch.batches}
        (plain if len(patterns) == 1 else mixed).append(stretch)
    return plain, mixed


def _stretches(led: Ledgers, cat: Catalogue) -> Iterator[Stretch]:
    """Walk batches with minutes of their own, then what is left of each sitting."""
    untold: dict[str, list[Batch]] = {}
    told: dict[str, int] = {}
    alone: dict[str, Stretch] = {}
    spoiled = _spoiled(led, cat)
    for batch in led.batches.values():
        if cat.split(batch.kind)[0] not in cat.patterns:
            continue
        code = batch.sitting or ""
        if batch.minutes is not None:
            alone[batch.code] = Stretch(batch.minutes, (batch,), {})
            told[code] = told.get(code, 0) + batch.minutes
        elif code in led.sittings:
            untold.setdefault(code, []).append(batch)
    # Where every batch of a sitting has its own minutes, what spoiled is in them.
    for stretch in alone.values():
        code = stretch.batches[0].sitting or ""
        lost = {} if code in untold else spoiled.pop(code, {})
        yield stretch._replace(spoiled=lost)
    for code, batches in untold.items():
        minutes = led.sittings[code].minutes - told.get(code, 0)
        yield Stretch(minutes, tuple(batches), spoiled.get(code, {}))


def _spoiled(led: Ledgers, cat: Catalogue) -> dict[str, dict[str, int]]:
    found: dict[str, dict[str, int]] = {}
    for one in led.spoiled:
        if one.sitting is not None:
            code = cat.split(one.kind)[0]
            lost = found.setdefault(one.sitting, {})
            lost[code] = lost.get(code, 0) + one.count
    return found


def _observe(
    cat: Catalogue,
    stretches: Iterable[Stretch],
    foreseen: Mapping[str, float],
    done: Mapping[str, int],
    *,
    worth: float,
) -> dict[str, list[Seen]]:
    """Turn stretches into observations by pattern."""
    seen: dict[str, list[Seen]] = {}
    for stretch in stretches:
        makes = [_made(cat, batch) for batch in stretch.batches]
        spent = 60.0 * (stretch.minutes - sum(made.set_up for made in makes))
        if spent <= 0:
            continue  # fewer minutes than the set-up alone: they say nothing
        pieces = _pieces(cat, stretch, makes)
        wanted = {c: foreseen.get(c, 1.0) * work for c, (work, _) in pieces.items()}
        total = sum(wanted.values())
        for code, (work, bows) in pieces.items():
            each = spent * wanted[code] / total / work
            first = next(b for b, m in zip(stretch.batches, makes, strict=True)
                         if m.code == code)  # fmt: skip
            share = worth * wanted[code] / total
            one = Seen(each, bows, share, first.when, done[first.code] + bows / 2)
            seen.setdefault(code, []).append(one)
    return seen


def _pieces(
    cat: Catalogue, stretch: Stretch, makes: Iterable[Pattern]
) -> dict[str, tuple[float, float]]:
    """Give (work, bows) by pattern: work counts an old revision's bow as it was."""
    pieces: dict[str, tuple[float, float]] = {}
    for made, batch in zip(makes, stretch.batches, strict=True):
        work, bows = pieces.get(made.code, (0.0, 0.0))
        ratio = _against_newest(cat, made)
        pieces[made.code] = work + ratio * batch.count, bows + batch.count
    for code, lost in stretch.spoiled.items():
        if code in pieces:
            work, bows = pieces[code]
            pieces[code] = work * (bows + lost) / bows, bows + lost
    return pieces


def _made(cat: Catalogue, batch: Batch) -> Pattern:
    return cat.pattern_of(batch.kind, batch.revision)


def _against_newest(cat: Catalogue, made: Pattern) -> float:
    """Give what a bow of this revision was stated to take, against the newest."""
    newest = cat.patterns[made.code].seconds
    return made.seconds / newest if made.seconds and newest else 1.0
