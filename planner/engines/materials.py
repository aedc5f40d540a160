"""
How many bows there is ribbon and supplies for, and from when on.

Parts already cut are used first, then spools, the least left first; what a spool
can't give a whole part of is no use.  A restock counts from noon of the day it is
expected.  What is given to one order is gone for the next.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from typing import NamedTuple

from planner.engines.bench_clock import NOON, BenchClock
from planner.ledgers.catalogue import Catalogue
from planner.ledgers.restocks import OnTheWay, on_the_way
from planner.ledgers.state import Ledgers
from planner.ledgers.stock import (
    bundles_waiting,
    live_spools,
    spools_aside,
    supply_left,
)
from planner.plans.due import Wait

FORGOTTEN = 14
"""Days after its latest day from which a restock is no longer reckoned with."""

Part = tuple[str, str, int]
"""A part to cut: ribbon, role, length (nm)."""


class Needs(NamedTuple):
    """What one bow of a kind takes: parts with their count, whole units of supplies."""

    parts: tuple[tuple[Part, int], ...]
    supplies: tuple[tuple[str, int], ...]


def needs_of(cat: Catalogue, kind: str) -> Needs:
    """Give what one bow takes, the longest parts first; what is used by yield not."""
    pattern, way = cat.pattern_of(kind), cat.colourway_of(kind)
    parts = sorted(pattern.parts, key=lambda part: -part[1])
    return Needs(
        tuple(((way.ribbon_for(r), r, nm), n) for r, nm, n in parts) if way else (),
        tuple(
            (s, n) for s, n in pattern.supplies
            if s in cat.supplies and cat.supplies[s].yields == 1
        ),
    )  # fmt: skip


@dataclass(slots=True)
class Stored:
    """Ribbon in one length (nm) or units of a supply, from a clock minute on."""

    since: float
    left: int
    restock: OnTheWay | None = None


class Slice(NamedTuple):
    """Bows that can be made from a clock minute on; infinite for never."""

    bows: int
    since: float


@dataclass(slots=True)
class Store:
    """
    Ribbon and supplies to make bows of; taken from as they are promised.

    `cut` counts parts waiting in bundles.  Supplies that were never entered hold
    nothing up; they end in `unlisted` once something needs them.
    """

    ribbons: dict[str, list[Stored]] = field(default_factory=dict)
    supplies: dict[str, list[Stored]] = field(default_factory=dict)
    cut: dict[Part, int] = field(default_factory=dict)
    overdue: tuple[str, ...] = ()
    unlisted: dict[str, None] = field(default_factory=dict)

    def part_of(self, needs: Needs) -> Store:
        """Copy what some bows could be made of."""
        ribbons = {part[0] for part, _ in needs.parts}
        return Store(
            {r: [replace(p) for p in self.ribbons.get(r, ())] for r in ribbons},
            {
                s: [replace(lot) for lot in self.supplies[s]]
                for s, _ in needs.supplies
                if s in self.supplies
            },
            {part: self.cut.get(part, 0) for part, _ in needs.parts},
        )

    def copy(self) -> Store:
        """Copy all of it, to plan with."""
        return Store(
            {k: [replace(one) for one in held] for k, held in self.ribbons.items()},
            {k: [replace(one) for one in held] for k, held in self.supplies.items()},
            dict(self.cut),
            self.overdue,
        )

    def _moments(self, needs: Needs) -> list[float]:
        """Give the clock minutes at which something of use comes in, now first."""
        lists = [self.ribbons.get(part[0], []) for part, _ in needs.parts]
        lists += [self.supplies.get(s, []) for s, _ in needs.supplies]
        return sorted({0.0, *(one.since for held in lists for one in held)})

    def draw(self, needs: Needs, bows: int, *, until: float) -> dict[str, int]:
        """
        Take what so many bows need of what is here by then; give what is missing.

        Missing is nm by ribbon and units by supply, empty when nothing is.
        """
        missing: dict[str, int] = {}
        for part, each in needs.parts:
            lack = self._cut(part, each * bows, until) * part[2]
            if lack:
                missing[part[0]] = missing.get(part[0], 0) + lack
        for supply, each in needs.supplies:
            if supply not in self.supplies:
                self.unlisted[supply] = None
            elif lack := _take(self.supplies[supply], each * bows, 1, until):
                missing[supply] = lack
        return missing

    def _cut(self, part: Part, count: int, until: float) -> int:
        """Take parts waiting, then cut; give the parts that couldn't be."""
        waiting = min(self.cut.get(part, 0), count)
        if waiting:
            self.cut[part] -= waiting
        return _take(self.ribbons.get(part[0], []), count - waiting, part[2], until)

    def slices(self, needs: Needs, bows: int) -> list[Slice]:
        """Take what some bows need as soon as it is here; say from when how many."""
        found: list[Slice] = []
        for since in self._moments(needs):
            most = self._most(needs, bows, since)
            if most:
                self.draw(needs, most, until=since)
                found.append(Slice(most, since))
                bows -= most
        if bows:
            found.append(Slice(bows, math.inf))
        return found

    def _most(self, needs: Needs, bows: int, until: float) -> int:
        """Give how many of some bows can be made of what is here by then."""

        def lacks(count: int) -> bool:
            return bool(self.part_of(needs).draw(needs, count, until=until))

        if not bows or not lacks(bows):
            return bows
        return bisect_right(range(1, bows + 1), False, key=lacks)


def _take(held: list[Stored], count: int, each: int, until: float) -> int:
    """Take `count` times `each`, from the least left on; give how many were not."""
    for one in sorted(held, key=lambda one: (one.since, one.left)):
        if count and one.since <= until:
            give = min(one.left // each, count)
            one.left -= give * each
            count -= give
    return count


def waits(
    store: Store, needs: Needs, sliced: Sequence[Slice], *, kind: str
) -> list[Wait]:
    """Say what the later slices of some bows wait for; the store before they drew."""
    found: list[Wait] = []
    trial, known = store.part_of(needs), store.part_of(needs)
    for bows, since in sliced:
        if since > 0:
            missing = trial.part_of(needs).draw(needs, bows, until=_before(since))
            ribbons = {part[0] for part, _ in needs.parts}
            found += [
                _wait(known, what, what in ribbons, kind, bows, short, since)
                for what, short in missing.items()
            ]
        trial.draw(needs, bows, until=since)
    return found


def _before(since: float) -> float:
    return since if math.isinf(since) else 0.0


def _wait(
    store: Store, what: str, ribbon: bool, kind: str, bows: int, short: int,
    since: float,
) -> Wait:  # fmt: skip
    held = (store.ribbons if ribbon else store.supplies).get(what, [])
    came = [one for one in held if one.restock and one.since <= since]
    last = max(came, key=lambda one: one.since, default=None)
    if last is None or last.restock is None or math.isinf(since):
        return Wait(what, ribbon, kind, bows, short)
    way = last.restock
    return Wait(
        what, ribbon, kind, bows, short, date.fromisoformat(way.expected),
        date.fromisoformat(way.latest), way.restock,
    )  # fmt: skip


def store(led: Ledgers, clock: BenchClock) -> Store:
    """Give what there is, and what is on the way."""
    aside = spools_aside(led)
    made = Store()
    for spool in live_spools(led):
        if spool.left > 0 and spool.spool not in aside:
            made.ribbons.setdefault(spool.ribbon, []).append(Stored(0.0, spool.left))
    for supply, left in supply_left(led).items():
        made.supplies[supply] = [Stored(0.0, max(left, 0))]
    for bundle, count in bundles_waiting(led):
        spool_of = led.spools.get(bundle.spool)
        if spool_of is not None:
            part = spool_of.ribbon, bundle.role, bundle.length
            made.cut[part] = made.cut.get(part, 0) + count
    made.overdue = _add_restocks(made, on_the_way(led), clock)
    return made


def _add_restocks(
    made: Store, coming: Sequence[OnTheWay], clock: BenchClock
) -> tuple[str, ...]:
    """Put in what is on the way; give the restocks that should have come."""
    overdue: dict[str, None] = {}
    for way in coming:
        since = _arrives(way, clock)
        if date.fromisoformat(way.latest) < clock.first:
            overdue[way.restock] = None
        if since is None:
            continue
        held = (made.ribbons if way.ribbon else made.supplies).setdefault(way.what, [])
        if way.ribbon:
            held += [Stored(since, way.length, way) for _ in range(way.count)]
        else:
            held.append(Stored(since, way.count, way))
    return tuple(overdue)


def _arrives(way: OnTheWay, clock: BenchClock) -> float | None:
    """
    Give the clock minute a restock is reckoned with; None when it is forgotten.

    One that should have come is reckoned with on its latest day, or else tomorrow.
    """
    latest = date.fromisoformat(way.latest)
    if (clock.first - latest).days > FORGOTTEN:
        return None
    tomorrow = clock.first + timedelta(days=1)
    days = (date.fromisoformat(way.expected), latest, tomorrow)
    return next(at for day in days if (at := clock.at(day, NOON)) > 0)
