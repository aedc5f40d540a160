"""
What she usually does: hours really worked, bows spoiled, how late restocks come.

Each is a law that can be drawn from, with what is expected where nothing was seen.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from planner.engines.forecast import Floats, Normals, Share, normals
from planner.engines.luck import Singles
from planner.ledgers.catalogue import Catalogue, catalogue
from planner.ledgers.fairs import fairs_on
from planner.ledgers.orders import CALLED_OFF, OPEN, orders
from planner.ledgers.shop import bench_hours
from planner.ledgers.state import Ledgers
from planner.values.bench import minutes_of, sittings_between

WORKED, WORKED_SPREAD, WORKED_SURE = 0.88, 0.25, 2.0
"""Share of a sitting expected to be worked, the spread of its log, and how sure."""
WORKED_VARIANCE = 1.0
"""Variance of the mean log, in units of the spread's square."""
MISS_AFTER_WORKED = Share(1.0, 10.0)
MISS_AFTER_MISSED = Share(1.5, 2.0)
"""Chance to miss a sitting after one that was kept, and after one missed."""
SPOIL = Share(0.7, 30.0)
"""Chance that a bow comes out spoiled, before any was counted."""
TOGETHER = 40.0
"""Bows that the whole shop's share of spoiled ones counts for in one pattern."""
LATE_SHAPE, LATE_RATE = 3.0, 3.0
"""Gamma law of the rate at which late restocks come, by their own stated spread."""
AT_LATEST = 0.9
"""Chance that a restock comes by the latest day that was named."""
HALF_A_DAY = 0.4
"""Mean days late of a restock with no latest day."""
LONGEST = 60.0
"""Draws of days late are capped here."""
HALF = 40
"""A sitting counts half as much as one that came so many later."""
LOOKED_AT = 180
"""Days back that sittings kept and missed are looked for."""
LEAST, MOST = 0.1, 1.5
"""Bounds on the share of one sitting that is worked."""


@dataclass(frozen=True, slots=True)
class Worked:
    """
    Share of bench hours really worked: of a sitting that is kept, and how many are.

    `log_share` is the law of the log of a kept sitting's share; `seen` how many it
    rests on; the two chances are those of missing the next one; `missed_last` says
    whether the last one was.
    """

    log_share: Normals
    seen: int
    after_worked: Share
    after_missed: Share
    missed_last: bool = False

    @property
    def median(self) -> float:
        """Median share of a kept sitting."""
        return math.exp(float(self.log_share.mean[0]))

    @property
    def kept(self) -> float:
        """Share of sittings kept in the long run."""
        worked, missed = self.after_worked.mean, self.after_missed.mean
        return (1 - missed) / (1 - missed + worked)

    def draw(
        self, rng: np.random.Generator, noise: Singles, luck: Singles
    ) -> tuple[Singles, NDArray[np.bool_]]:
        """
        Give the log share worked of each sitting ahead, and whether it is kept.

        noise (normal), luck (uniform) and both answers are (sittings, draws).
        """
        size = noise.shape[1]
        means, spreads = self.log_share.draw(rng, size)
        logs = spreads.astype(np.float32) * noise + means[:, 0].astype(np.float32)
        first, again = (
            law.draw(rng, size) for law in (self.after_worked, self.after_missed)
        )
        return (
            np.clip(logs, math.log(LEAST), math.log(MOST)),
            self._kept(luck, first, again),
        )  # fmt: skip

    def _kept(self, luck: Singles, first: Floats, again: Floats) -> NDArray[np.bool_]:
        """Make runs of sittings kept and missed, by the two chances to miss one."""
        kept = np.empty(luck.shape, dtype=np.bool_)
        missed = np.full(luck.shape[1], self.missed_last)
        for at, chance in enumerate(luck):
            missed = chance < np.where(missed, again, first)
            kept[at] = ~missed
        return kept


def worked(led: Ledgers, today: date) -> Worked:
    """Learn the share of bench hours worked from sittings and from days without."""
    seen, shares = told_shares(led)
    logs = [math.log(min(max(share, LEAST), MOST)) for share in shares]
    law = normals(
        [math.log(WORKED)], [[WORKED_VARIANCE]], spread=WORKED_SPREAD, shape=WORKED_SURE
    )
    if logs:
        age = np.arange(len(logs))[::-1]
        law = law.given(np.ones((len(logs), 1)), logs, count=0.5 ** (age / HALF))
    kept = kept_sittings(led, today)
    return Worked(
        law, seen,
        _learned(MISS_AFTER_WORKED, kept, after=True),
        _learned(MISS_AFTER_MISSED, kept, after=False),
        bool(kept) and not kept[-1],
    )  # fmt: skip


def _learned(prior: Share, kept: Iterable[bool], *, after: bool) -> Share:
    nexts = [now for was, now in pairwise(kept) if was == after]
    return prior.given(nexts.count(False), nexts.count(True))


def told_shares(led: Ledgers) -> tuple[int, list[float]]:
    """Count sittings, and give worked over planned of the newest, the oldest first."""
    seen, shares = led.worked_out("hours worked", lambda: _shares(led))
    return seen, shares


def _shares(led: Ledgers) -> tuple[int, list[float]]:
    """
    Count sittings, and give worked over planned minutes of the newest, oldest first.

    What lies twenty times the half-life back counts for less than a millionth.
    """
    told = sorted(led.sittings.values(), key=lambda one: (one.when, one.seq))
    shares = [one.minutes / one.planned for one in told if one.planned]
    return len(shares), shares[-20 * HALF :]


def kept_sittings(led: Ledgers, today: date) -> list[bool]:
    """
    Say of each past bench day whether there is a record of the bench, oldest first.

    Only days count on which an order was waiting and no fair was on, from the first
    sitting in the records: else nothing had to be made, or nothing was written down.
    """
    if not led.sittings:
        return []
    told = led.worked_out("bench days", lambda: _days_told(led))
    first = max(today - timedelta(days=LOOKED_AT), date.fromisoformat(told["first"]))
    done, waiting = set(told["done"]), told["waiting"]
    days = _bench_days(led, first, today - timedelta(days=1))
    return [
        day in done
        for day in map(date.isoformat, days)
        if _waited(waiting, day) and not fairs_on(led, day)
    ]


def _waited(stretches: Sequence[Sequence[str]], day: str) -> bool:
    """Say whether a day lies in one of some stretches apart from each other."""
    after = bisect_right(stretches, day, key=lambda stretch: stretch[0])
    return after > 0 and day <= stretches[after - 1][1]


def _days_told(led: Ledgers) -> dict[str, Any]:
    """Give the days of the bench, the first sitting's, and stretches of waiting."""
    done = {bench_day(one.happened) for one in led.sittings.values()}
    first = min(done)
    done |= {bench_day(batch.happened) for batch in led.batches.values()}
    done |= {bench_day(bundle.happened) for bundle in led.bundles.values()}
    return {
        "first": first.isoformat(),
        "done": sorted(map(date.isoformat, done)),
        "waiting": _joined(_waiting(led)),
    }


def _joined(stretches: Iterable[tuple[str, str]]) -> list[tuple[str, str]]:
    """Join stretches of days that overlap; what ends before it begins is none."""
    joined: list[tuple[str, str]] = []
    for since, until in sorted(stretches):
        if joined and since <= joined[-1][1]:
            joined[-1] = joined[-1][0], max(joined[-1][1], until)
        elif since <= until:
            joined.append((since, until))
    return joined


def bench_day(happened: str) -> date:
    """Give the day whose sitting it was: before five in the morning, the eve's."""
    day = date.fromisoformat(happened[:10])
    past_midnight = len(happened) > 10 and int(happened[11:13]) < 5
    return day - timedelta(days=1) if past_midnight else day


def _bench_days(led: Ledgers, first: date, last: date) -> list[date]:
    """Give the days of sittings by the bench hours told last; off days are no miss."""
    sittings = sittings_between(bench_hours(led), first, last, led.zone)
    return list(dict.fromkeys(s[0].date() for s in sittings if minutes_of(s)))


def _waiting(led: Ledgers) -> list[tuple[str, str]]:
    """
    Give from which day to which each order was waiting for its bows.

    To the day its last bows were made for it or it was told ready, or else handed over;
    where she tells what she makes for orders, one with nothing made waited for nothing.
    """
    made = _made_for(led)
    found = []
    for order in orders(led).values():
        until = _ready_told(led, order.code) or made.get(order.code, "")
        if not until and order.state == OPEN:
            until = "9999"
        elif not until and not made:
            until = max(order.handed_days, default="")
        if order.taken and order.state != CALLED_OFF:
            found.append((order.taken[:10], until))
    return found


def _made_for(led: Ledgers) -> dict[str, str]:
    """Give the day of the last batch made for each order."""
    made: dict[str, str] = {}
    for batch in led.batches.values():
        if batch.order is not None:
            made[batch.order] = max(made.get(batch.order, ""), batch.happened[:10])
    return made


def _ready_told(led: Ledgers, code: str) -> str:
    page = led.page("orders", code)
    told = [k.at.happened[:10] for k in page if k.event.kind == "order-ready"]
    return told[0] if told else ""


def spoilage(led: Ledgers) -> dict[str, Share]:
    """
    Learn each pattern's chance that a bow is spoiled.

    What the whole shop shows stands in as so many bows for each pattern.
    """
    cat = catalogue(led)
    spoiled, made = led.worked_out("spoilage", lambda: _spoiled_and_made(led, cat))
    every = SPOIL.given(sum(spoiled.values()), sum(made.values()))
    worth = min(TOGETHER, every.yes + every.no)
    prior = Share(worth * every.mean, worth * (1 - every.mean))
    return {c: prior.given(spoiled.get(c, 0), made.get(c, 0)) for c in cat.patterns}


def _spoiled_and_made(
    led: Ledgers, cat: Catalogue
) -> tuple[dict[str, int], dict[str, int]]:
    """Count bows spoiled and bows made, by pattern."""
    spoiled, made = dict[str, int](), dict[str, int]()
    for lost in led.spoiled:
        code = cat.split(lost.kind)[0]
        spoiled[code] = spoiled.get(code, 0) + lost.count
    for batch in led.batches.values():
        code = cat.split(batch.kind)[0]
        made[code] = made.get(code, 0) + batch.count
    return spoiled, made


@dataclass(frozen=True, slots=True)
class Lateness:
    """
    How late restocks come: days late = exponential x its own scale / a rate.

    The rate is gamma; `seen` is how many restocks it rests on.
    """

    shape: float
    rate: float
    seen: int = 0

    def draw(
        self, rng: np.random.Generator, size: int, *, expected: date, latest: date
    ) -> Floats:
        """Draw whole days late, never early."""
        rates = rng.gamma(self.shape, size=size) / self.rate
        scale = _scale(expected, latest)
        days = rng.exponential(size=size) * scale / rates
        return np.floor(np.minimum(days, LONGEST))

    def chance_by(self, days: int, *, expected: date, latest: date) -> float:
        """
        P(at most so many whole days late): one less the Lomax tail.

        An exponential time with a gamma rate is Lomax.
        """
        scale = _scale(expected, latest)
        return float(1 - (1 + (days + 1) / scale / self.rate) ** -self.shape)


def _scale(expected: date, latest: date) -> float:
    """Give the mean days late that the two days she was told amount to."""
    days = (latest - expected).days
    return (days + 1) / -math.log(1 - AT_LATEST) if days > 0 else HALF_A_DAY


def lateness(led: Ledgers) -> Lateness:
    """Learn from restocks that came how much later than told they come."""
    return Lateness(*led.worked_out("lateness", lambda: _lateness(led)))


def _lateness(led: Ledgers) -> tuple[float, float, int]:
    shape, rate, seen = LATE_SHAPE, LATE_RATE, 0
    came = restocks_came(led)
    for code in led.keys("restocks"):
        told = led.page("restocks", code)[0].event
        if code in came and told.kind == "restock-ordered":
            expected = date.fromisoformat(told.expected)
            days = max((came[code] - expected).days, 0)
            scale = _scale(expected, date.fromisoformat(told.latest))
            # On the very day counts as late by half of one, as days are whole.
            shape, rate, seen = shape + 1, rate + (days + 0.5) / scale, seen + 1
    return shape, rate, seen


def restocks_came(led: Ledgers) -> Mapping[str, date]:
    """Give the day on which the last of each restock came."""
    came: dict[str, date] = {}
    told = [(spool.restock, spool.happened) for spool in led.spools.values()]
    told += [(lot.restock, lot.happened) for lot in led.lots.values()]
    for restock, happened in told:
        if restock is not None:
            day = date.fromisoformat(happened[:10])
            came[restock] = max(came.get(restock, day), day)
    return came
