"""
How long a bow takes: the median minutes of each pattern, learned from her sittings.

A batch is set up once, so its observation is (minutes - set-up) / bows; what was
spoiled on the way is inside it.  A sitting that mixes patterns is split by what each
was expected to take and counts for less.  Her stated minutes stand in as a few
sittings' worth, so that with little data the answer leans on them.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from planner.ledgers.catalogue import Catalogue, Pattern, catalogue
from planner.ledgers.state import Batch, Ledgers

STATED_WORTH = 3.0
"""Sittings that her stated minutes count for."""
MIXED_WORTH = 0.5
"""What a sitting of several patterns counts for, shared among them."""
NEWEST = 30
"""Observations looked at, the newest: she gets faster."""
GUESS = 480.0
"""Seconds a bow where nothing at all is known, of any pattern."""


@dataclass(frozen=True, slots=True)
class Minutes:
    """
    What a bow of a kind takes: seconds at the bench, set-up and setting minutes.

    `sittings` is how many it was learned from, mixed ones included; `stated` whether
    she stated minutes for it.  With neither it is a guess from the other patterns.
    """

    median_seconds: float
    set_up_minutes: int
    setting_minutes: int
    sittings: int
    stated: bool

    @property
    def guess(self) -> bool:
        """Whether neither a sitting nor her own word stands behind it."""
        return not (self.sittings or self.stated)

    def bench(self, bows: int) -> float:
        """Give the median bench minutes of a batch, set-up included; none for none."""
        if bows <= 0:
            return 0.0
        return self.set_up_minutes + bows * self.median_seconds / 60


class Seen(NamedTuple):
    """One observation: seconds a bow, what it counts for, and when."""

    seconds: float
    weight: float
    when: int


def median_minutes(led: Ledgers, kind: str) -> Minutes:
    """
    Give the median minutes of a kind.

    Raises:
        Unknown: when there is no such pattern.
    """
    pattern = catalogue(led).pattern_of(kind)
    seconds, sittings = learned(led)[pattern.code]
    return Minutes(
        seconds, pattern.set_up, pattern.setting, sittings, pattern.seconds > 0
    )


def learned(led: Ledgers) -> Mapping[str, tuple[float, int]]:
    """Give (median seconds a bow, sittings behind it) of every pattern, read once."""
    made = led.memo.get("minutes")
    if made is None:
        made = led.memo["minutes"] = _learned(led)
    assert isinstance(made, dict)
    return made


def _learned(led: Ledgers) -> dict[str, tuple[float, int]]:
    """Learn from plain sittings first; what they say splits the mixed ones."""
    cat = catalogue(led)
    plain, mixed = _sorted_sittings(led, cat)
    seen = _observe(cat, plain, {}, worth=1.0)
    expected = _blend_all(cat, seen)
    for code, more in _observe(cat, mixed, expected, worth=MIXED_WORTH).items():
        seen.setdefault(code, []).extend(more)
    seconds = _blend_all(cat, seen)
    return {code: (seconds[code], len(seen.get(code, ()))) for code in cat.patterns}


Stretch = tuple[int, tuple[Batch, ...]]
"""Minutes, and the batches made in them."""


def _sorted_sittings(
    led: Ledgers, cat: Catalogue
) -> tuple[list[Stretch], list[Stretch]]:
    """Tell stretches of one pattern from those that mix patterns."""
    plain: list[Stretch] = []
    mixed: list[Stretch] = []
    for stretch in _stretches(led, cat):
        patterns = {cat.split(batch.kind)[0] for batch in stretch[1]}
        (plain if len(patterns) == 1 else mixed).append(stretch)
    return plain, mixed


def _stretches(led: Ledgers, cat: Catalogue) -> Iterator[Stretch]:
    """Walk batches with minutes of their own, then what is left of each sitting."""
    untold: dict[str, list[Batch]] = {}
    told: dict[str, int] = {}
    for batch in led.batches.values():
        if cat.split(batch.kind)[0] not in cat.patterns:
            continue
        if batch.minutes is not None:
            yield batch.minutes, (batch,)
            code = batch.sitting or ""
            told[code] = told.get(code, 0) + batch.minutes
        elif batch.sitting in led.sittings:
            untold.setdefault(batch.sitting, []).append(batch)
    for code, batches in untold.items():
        yield led.sittings[code].minutes - told.get(code, 0), tuple(batches)


def _observe(
    cat: Catalogue,
    stretches: Iterable[Stretch],
    expected: Mapping[str, float],
    *,
    worth: float,
) -> dict[str, list[Seen]]:
    """Turn stretches into observations by pattern; without expected, of one each."""
    seen: dict[str, list[Seen]] = {}
    for minutes, batches in stretches:
        makes = [_made(cat, batch) for batch in batches]
        spent = 60.0 * (minutes - sum(made.set_up for made in makes))
        foreseen: dict[str, float] = {}
        for made, batch in zip(makes, batches, strict=True):
            each = expected.get(made.code, 1.0) * _against_newest(cat, made)
            foreseen[made.code] = foreseen.get(made.code, 0.0) + each * batch.count
        if spent <= 0:
            continue  # fewer minutes than the set-up alone: they say nothing
        total = sum(foreseen.values())
        for code, share in foreseen.items():
            each = expected.get(code, 1.0) * spent / total
            found = Seen(each, worth * share / total, batches[0].when)
            seen.setdefault(code, []).append(found)
    return seen


def _made(cat: Catalogue, batch: Batch) -> Pattern:
    return cat.pattern_of(batch.kind, batch.revision)


def _against_newest(cat: Catalogue, made: Pattern) -> float:
    """Give what a bow of this revision was stated to take, against the newest."""
    newest = cat.patterns[made.code].seconds
    return made.seconds / newest if made.seconds and newest else 1.0


def _blend_all(cat: Catalogue, seen: Mapping[str, list[Seen]]) -> dict[str, float]:
    known = {
        code: _blend(seen.get(code, []), pattern.seconds)
        for code, pattern in cat.patterns.items()
    }
    sure = sorted(seconds for seconds in known.values() if seconds is not None)
    middle = sure[len(sure) // 2] if sure else GUESS
    return {code: middle if s is None else s for code, s in known.items()}


def _blend(seen: list[Seen], stated: float) -> float | None:
    """Average the logs of the observed median and the stated seconds by their worth."""
    newest = sorted(seen, key=lambda one: one.when)[-NEWEST:]
    worth = sum(one.weight for one in newest)
    if not stated:
        return weighted_median(newest) if newest else None
    if not newest:
        return float(stated)
    logs = worth * math.log(weighted_median(newest)) + STATED_WORTH * math.log(stated)
    return math.exp(logs / (worth + STATED_WORTH))


def weighted_median(seen: Iterable[Seen]) -> float:
    """
    Give the seconds with half the weight on either side, halfway where it is exact.

    Raises ValueError when nothing was seen.
    """
    rising = sorted(seen)
    half = sum(one.weight for one in rising) / 2
    below = 0.0
    for at, one in enumerate(rising):
        below += one.weight
        if math.isclose(below, half) and at + 1 < len(rising):
            return (one.seconds + rising[at + 1].seconds) / 2
        if below > half:
            return one.seconds
    raise ValueError("a median of nothing says nothing; give one observation at least")
