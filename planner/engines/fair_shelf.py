"""
What there is for a fair: bows free, ribbon, supplies, bench minutes.

Open orders come first.  What they still need is taken off the free bows (orders due
by a week after the fair), off ribbon and supplies, and off the bench: fully for those
due by the end of the fair, and as far as it can't be done afterwards for later ones.
Bows that will be spoiled on the way are reckoned in.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from functools import cached_property

import numpy as np

from planner.engines.counts import Floats
from planner.engines.draws import spoils
from planner.engines.fair_salvage import fairs_later
from planner.engines.habits import Worked, spoilage, worked
from planner.engines.minutes import Minutes, learned, median_minutes
from planner.ledgers.bows import HOME, PLACE, UNNOTICED, stall
from planner.ledgers.catalogue import Catalogue, catalogue
from planner.ledgers.fairs import Fair
from planner.ledgers.orders import Order, open_orders
from planner.ledgers.restocks import on_the_way
from planner.ledgers.shop import bench_hours, setting
from planner.ledgers.state import Ledgers
from planner.ledgers.stock import claims, spools, supply_left
from planner.values.bench import minutes_of, sittings_between

DRAWS, SEED = 4_000, 0
"""Weeks drawn for the minutes that are really worked."""
AFTER = timedelta(days=7)
"""Orders due within a week after the fair are met from the bows there are; for later
ones new bows are made."""
UNTOLD_A_DAY = 120
"""Bench minutes a day where she never said when she works: a stated guess."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """Bows an order still needs made: when it is due, the kind and how many."""

    order: str
    due: date
    kind: str
    count: int


@dataclass(frozen=True)
class Shelf:
    """What there is for one fair, seen from one day."""

    led: Ledgers
    fair: Fair
    today: date
    told_minutes: int | None = None
    _minutes: dict[str, Minutes] = field(default_factory=dict)

    @cached_property
    def cat(self) -> Catalogue:
        """The catalogue."""
        return catalogue(self.led)

    @cached_property
    def _divided(self) -> tuple[dict[str, int], list[Wanted]]:
        return _divide(self.led, self.fair)

    @property
    def free(self) -> Mapping[str, int]:
        """Finished bows that may be brought, by kind."""
        return self._divided[0]

    @property
    def wanted(self) -> list[Wanted]:
        """What open orders still need made, the earliest due first."""
        return self._divided[1]

    def minutes(self, kind: str) -> Minutes:
        """Give the median minutes of a kind, looked up once."""
        if kind not in self._minutes:
            self._minutes[kind] = median_minutes(self.led, kind)
        return self._minutes[kind]

    def begun(self, kind: str) -> float:
        """Give the bows to begin for one that comes out well, as expected."""
        return spoilage(self.led)[self.cat.split(kind)[0]].tries

    @property
    def hours_told(self) -> bool:
        """Say whether bench hours were told, for this fair or at all."""
        hours = bench_hours(self.led)
        return self.told_minutes is not None or bool(hours.rules or hours.extra)

    @cached_property
    def planned_minutes(self) -> int:
        """Bench minutes from today to the eve of the fair."""
        if self.told_minutes is not None:
            return self.told_minutes
        return self._minutes_between(self.today, self._eve)

    @property
    def sure(self) -> float:
        """How surely the bench minutes planned with are to be there."""
        return int(setting(self.led, "bench sureness") or 0) / 100

    @cached_property
    def sure_minutes(self) -> int:
        """
        Bench minutes before the fair that are really worked with that chance.

        By her record of hours worked, sittings missed and bows spoiled: where more are
        spoiled than expected, less is left of the time.  Minutes she named for the
        fair are taken at her word, and all of them where the setting is 0.
        """
        if self.told_minutes is not None or not self.hours_told:
            return self.planned_minutes
        spans = self._sittings(self.today, self._eve)
        if not (spans and self.sure):
            return self.planned_minutes
        rng = np.random.default_rng(SEED)
        shares = shares_worked(worked(self.led, self.today), rng, len(spans))
        minutes = np.array([minutes_of(span) for span in spans]) @ shares
        minutes /= more_begun(self.led, float(minutes.mean()), rng)
        return round(float(np.quantile(minutes, 1 - self.sure)))

    @property
    def _eve(self) -> date:
        return date.fromisoformat(self.fair.first_day) - timedelta(days=1)

    @cached_property
    def later(self) -> float:
        """Fairs expected in the season after this one."""
        return fairs_later(self.led, self.fair)

    def _sittings(self, first: date, last: date) -> list[tuple[datetime, datetime]]:
        if last < first:
            return []
        hours = bench_hours(self.led)
        return sittings_between(hours, first, last, self.led.zone)

    def _minutes_between(self, first: date, last: date) -> int:
        if not self.hours_told:
            return UNTOLD_A_DAY * max((last - first).days + 1, 0)
        return sum(minutes_of(span) for span in self._sittings(first, last))

    @cached_property
    def order_minutes(self) -> int:
        """
        Bench minutes before the fair that open orders can't do without.

        Those due by its last day need them all; of the later ones what doesn't fit
        between the fair and their day (the earliest due first).
        """
        last = date.fromisoformat(self.fair.last_day)
        now = short = 0.0
        later: Counter[date] = Counter()
        for one in self.wanted:
            known, begun = self.minutes(one.kind), self._to_begin(one)
            work = known.set_up_minutes + begun * known.median_seconds / 60
            if one.due <= last:
                now += work
            else:
                later[one.due] += round(work)
        waiting = 0
        for due in sorted(later):
            waiting += later[due]
            after = last + timedelta(days=1)
            room = self._minutes_between(after, due - timedelta(days=1))
            short = max(short, waiting - room)
        return round(now + short)

    @property
    def bench(self) -> int:
        """Bench minutes for the fair."""
        # Minutes she named are for the fair: she has thought of the orders herself.
        taken = 0 if self.told_minutes is not None else self.order_minutes
        return max(self.sure_minutes - taken, 0)

    @cached_property
    def in_time(self) -> list[str]:
        """Restocks that should be in before the eve of the fair."""
        eve = _eve(self.fair)
        return sorted({x.restock for x in on_the_way(self.led) if x.latest < eve})

    @cached_property
    def ribbon(self) -> Mapping[str, int]:
        """Ribbon (nm) by code: on spools, cut ahead, in time; less what orders need."""
        held: Counter[str] = Counter()
        for spool in spools(self.led):
            held[spool.ribbon] += max(spool.left, 0) + max(spool.in_bundles, 0)
        for coming in on_the_way(self.led):
            if coming.ribbon and coming.restock in self.in_time:
                held[coming.what] += coming.length * coming.count
        for one in self.wanted:
            held.subtract(_times(self.cat.ribbon_needs(one.kind), self._to_begin(one)))
        return {code: max(nm, 0) for code, nm in held.items()}

    @cached_property
    def supplies(self) -> Mapping[str, int]:
        """Uses left of each supply she keeps count of, less what orders need."""
        uses = {
            code: max(units, 0) * self.cat.supplies[code].yields
            for code, units in supply_left(self.led).items()
            if code in self.cat.supplies
        }
        for coming in on_the_way(self.led):
            if coming.what in uses and coming.restock in self.in_time:
                uses[coming.what] += (
                    coming.count * self.cat.supplies[coming.what].yields
                )
        for one in self.wanted:
            for code, each in self.cat.pattern_of(one.kind).supplies:
                if code in uses:
                    taken = round(each * self._to_begin(one))
                    uses[code] = max(uses[code] - taken, 0)
        return uses

    def _to_begin(self, one: Wanted) -> float:
        """Give the bows to begin for what an order needs made, as expected."""
        return one.count * self.begun(one.kind)


def shares_worked(
    usual: Worked, rng: np.random.Generator, sittings: int, size: int = DRAWS
) -> Floats:
    """Draw the share of each sitting ahead that is worked, (sittings, size)."""
    noise = rng.standard_normal((sittings, size), dtype=np.float32)
    luck = rng.random((sittings, size), dtype=np.float32)
    logs, kept = usual.draw(rng, noise, luck)
    return np.asarray(np.exp(logs) * kept, dtype=np.float64)


def _eve(fair: Fair) -> str:
    return (date.fromisoformat(fair.first_day) - timedelta(days=1)).isoformat()


def more_begun(
    led: Ledgers, minutes: float, rng: np.random.Generator, size: int = DRAWS
) -> Floats:
    """
    Draw the bows begun for those made in so many minutes, by what is expected of them.

    The time is taken to go to all patterns alike; both each pattern's chance that a
    bow is spoiled and the luck of single bows are drawn.
    """
    laws, seconds = spoilage(led), learned(led)
    if not laws:
        return np.ones(size)
    each = np.array([seconds[code][0] / 60 for code in laws])[:, None]
    bows = np.maximum(minutes / len(laws) / each, 1.0).round().astype(np.int64)
    chance = np.array([law.draw(rng, size) for law in laws.values()])
    lost = spoils(bows, chance, rng.random(chance.shape, dtype=np.float32))
    expected = bows * np.array([law.tries for law in laws.values()])[:, None]
    return np.asarray(((bows + lost) * each).sum(axis=0) / (expected * each).sum())


def _times(needs: Mapping[str, int], count: float) -> dict[str, int]:
    return {code: round(nm * count) for code, nm in needs.items()}


def _divide(led: Ledgers, fair: Fair) -> tuple[dict[str, int], list[Wanted]]:
    """Divide the free bows between orders and the fair; orders get the rest made."""
    free = _unclaimed(led, fair)
    own: dict[str, Counter[str]] = {}
    for claim in claims(led):
        own.setdefault(claim.claimant, Counter())[claim.kind] += claim.count
    soon = date.fromisoformat(fair.last_day) + AFTER
    wanted = []
    for order in open_orders(led):
        due = date.fromisoformat(order.due) if order.due else soon
        for kind, count in _unmet(order, own.get(order.code, Counter())):
            took = min(free.get(kind, 0), count) if due <= soon else 0
            free[kind] = free.get(kind, 0) - took
            if count > took and kind.partition(":")[0] in catalogue(led).patterns:
                wanted.append(Wanted(order.code, due, kind, count - took))
    return {k: n for k, n in free.items() if n > 0}, wanted


def _unmet(order: Order, claimed: Mapping[str, int]) -> Iterable[tuple[str, int]]:
    left = {k: n - claimed.get(k, 0) for k, n in order.outstanding.items()}
    return [(kind, count) for kind, count in left.items() if count > 0]


def _unclaimed(led: Ledgers, fair: Fair) -> dict[str, int]:
    """Give the bows at home without a claim but this fair's, and those on its stall."""
    claimed: Counter[str] = Counter()
    for claim in claims(led):
        if claim.claimant != fair.code:
            claimed[claim.kind] += claim.count
    found = {}
    for kind in led.bows.items:
        if kind.endswith(UNNOTICED):
            continue
        balance = led.bows.balance(kind)
        home = max(balance[PLACE + HOME] - claimed[kind], 0)
        found[kind] = home + max(balance[PLACE + stall(fair.code)], 0)
    return found
