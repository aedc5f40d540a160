"""
How good the chances are: simulated shops, foretold and then lived.

    python -m tests.bench.bench_calibration [SHOPS] [DRAWS] [PROCESSES]

Each shop has 1 to 30 open orders and 0 to 200 sittings behind it. Half are drawn from
laws the engine knows, half from others: heavy tails, minutes stated too low, a pace
that drifts, sittings missed for days on end. Each is foretold once from its records
alone, then lived once. Prints by history: how many finishes lay within the stated 90 %
(wanted 86 to 94 % from 20 sittings on, at least 80 % with none), how far chances lay
from what came true in ten fixed bins, and the same for an engine that knows each shop's
law perfectly and has luck alone against it (the floor). Seeded; 2,000 shops take some
minutes.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Iterator
from datetime import date, datetime, timedelta
from multiprocessing import Pool
from random import Random
from typing import NamedTuple
from zoneinfo import ZoneInfo

import numpy as np

from planner.engines.draws import ALMOST, Draws
from planner.engines.habits import (
    MISS_AFTER_MISSED,
    MISS_AFTER_WORKED,
    SPOIL,
    WORKED,
    WORKED_SPREAD,
    WORKED_SURE,
    WORKED_VARIANCE,
)
from planner.engines.odds import leaving
from planner.engines.pace import (
    EACH,
    PRACTICE,
    PRACTICE_VARIANCE,
    SPREAD,
    SURE,
    TOGETHER,
)
from planner.engines.scoring import bins, calibration_error
from planner.engines.work import draft, look_ahead
from planner.events.base import Fact
from planner.events.bench import BowsFinished, BowsSpoiled, SittingLogged
from planner.events.catalogue import (
    ColourNamed,
    Part,
    PatternRevised,
    RibbonNamed,
    Step,
)
from planner.events.fields import LineItem
from planner.events.orders import OrderHandedOver, OrderTaken
from planner.events.restock import SpoolReceived
from planner.events.shop import BenchHoursSet, BenchStretch, ShopSetUp
from planner.fold import fold_facts

ZONE = "America/New_York"
TODAY = date(2026, 11, 23)
NOW = datetime(2026, 11, 23, 18, 0, tzinfo=ZoneInfo(ZONE))
INCH = 25_400_000
STATED = {"small": (6, 8), "middle": (10, 10), "large": (16, 12)}
"""Minutes a bow and of the set-up, by pattern."""
EVENING, MORNING = 120, 180
HISTORIES = ((0, 0), (1, 4), (5, 19), (20, 59), (60, 200))
EDGES = tuple(n / 10 for n in range(11))

SHOP = (
    ShopSetUp(name="Tarn Bows", zone=ZONE, currency="USD", units="us", paper="letter"),
    *(
        event
        for code in ("navy", "red")
        for event in (
            ColourNamed(colour=code, name=code, hex="#1f2a5a", family=code),
            RibbonNamed(ribbon=code, colour=code, width=INCH, material="satin"),
            SpoolReceived(spool=code, ribbon=code, length=72_000 * INCH, lot=code),
        )
    ),
    *(
        PatternRevised(
            pattern=code, revision=1, name=code, size=4 * INCH, width=INCH,
            parts=(Part(role="body", length=9 * INCH),),
            steps=(Step(name="make", seconds=60 * each),), set_up=set_up, setting=0,
        )
        for code, (each, set_up) in STATED.items()
    ),
    BenchHoursSet(
        words="mon-thu 20:00-22:00, sat 9:00-12:00",
        rules=(
            BenchStretch(
                rule="FREQ=WEEKLY;BYDAY=MO,TU,WE,TH", start="20:00", end="22:00",
                first="2024-01-01",
            ),
            BenchStretch(
                rule="FREQ=WEEKLY;BYDAY=SA", start="09:00", end="12:00",
                first="2024-01-01",
            ),
        ),
    ),
)  # fmt: skip


def planned(day: date) -> int:
    """Give the minutes of a day's sitting, 0 for none."""
    return (*((EVENING,) * 4), 0, MORNING, 0)[day.weekday()]


class Maker:
    """One maker's true ways, drawn from the engine's own laws or from others."""

    def __init__(self, luck: Random, *, known: bool) -> None:
        self.luck, self.known = luck, known
        self.spread = SPREAD / math.sqrt(luck.gammavariate(SURE, 1) / (SURE - 1 / 3))
        if known:
            off = luck.gauss(0, self.spread * math.sqrt(TOGETHER))
            own = [luck.gauss(0, self.spread * math.sqrt(EACH)) for _ in STATED]
            self.within = self.spread * math.sqrt(math.exp(luck.gauss(math.log(3), 1)))
            self.practice = luck.gauss(
                PRACTICE, self.spread * math.sqrt(PRACTICE_VARIANCE)
            )
            self.drift = 0.0
        else:
            off, own = (
                luck.uniform(-0.1, 0.45),
                [luck.uniform(-0.3, 0.3) for _ in STATED],
            )
            self.spread = luck.uniform(0.08, 0.4)
            self.within = luck.uniform(0.1, 0.7)
            self.practice, self.drift = luck.uniform(-0.15, 0), luck.uniform(0, 0.03)
        self.each = {
            code: math.log(each) + off + mine
            for (code, (each, _)), mine in zip(STATED.items(), own, strict=True)
        }
        self.made = dict.fromkeys(STATED, 0)
        self.spoils = (
            luck.betavariate(SPOIL.yes, SPOIL.no) if known else luck.uniform(0, 0.08)
        )
        self.wide = WORKED_SPREAD / math.sqrt(
            luck.gammavariate(WORKED_SURE, 1) / (WORKED_SURE - 1 / 3)
        )
        middle = luck.gauss(math.log(WORKED), self.wide * math.sqrt(WORKED_VARIANCE))
        self.share = middle if known else luck.uniform(-0.7, 0.1)
        self.wide = self.wide if known else luck.uniform(0.1, 0.4)
        self.miss = tuple(
            luck.betavariate(law.yes, law.no)
            for law in (MISS_AFTER_WORKED, MISS_AFTER_MISSED)
        )
        self.away = 0 if known else luck.choice((0, 20, 40))
        self.missed, self.gone = False, 0
        # The bow in hand at the end is left for another day; some go on till it's done.
        self.finishes = not known and luck.random() < 0.5
        self.begun: dict[str, float] = {}

    def noise(self) -> float:
        """Draw a unit of noise, with heavy tails where the engine knows none."""
        if self.known:
            return self.luck.gauss(0, 1)
        scale = math.sqrt(self.luck.gammavariate(2, 0.5))
        return max(min(self.luck.gauss(0, 1) / max(scale, 0.2), 6.0), -6.0) / 1.3

    def sits(self) -> float:
        """Draw the share of a sitting that is worked; 0 for a missed one."""
        if self.away and not self.gone and self.luck.random() < 1 / self.away:
            self.gone = self.luck.randint(3, 7)
        if self.gone:
            self.gone -= 1
            return 0.0
        self.missed = self.luck.random() < self.miss[self.missed]
        if self.missed:
            return 0.0
        return min(max(math.exp(self.share + self.wide * self.noise()), 0.1), 1.5)

    def sitting_pace(self) -> float:
        """Draw how slow a whole sitting is; pace drifts from one to the next."""
        for code in self.each:
            self.each[code] += self.drift * self.luck.gauss(0, 1)
        return math.exp(min(max(self.spread * self.noise(), -1.5), 1.5))

    def bow(self, code: str) -> float:
        """Draw the minutes of one more bow; stated ones are those of the first."""
        self.made[code] += 1
        skill = self.practice * math.log((self.made[code] + 10) / 10)
        # Lognormal about a mean of 1, with the stated spread as its share.
        wide = math.sqrt(math.log1p(self.within**2))
        within = wide * min(max(self.luck.gauss(0, 1), -2.5), 2.5) - wide**2 / 2
        return math.exp(self.each[code] + skill + within)

    def works(
        self, kind: str, spent: float, end: float, slow: float
    ) -> tuple[float, list[bool]]:
        """Work at bows of a kind; give when she stops, and which came out well."""
        came = []
        while spent < end:
            spent += (self.begun.pop(kind, 0.0) or self.bow(kind)) * slow
            if spent > end and not self.finishes:
                self.begun[kind] = (spent - end) / slow
                return end, came
            came.append(not self.spoiled())
        return spent, came

    def spoiled(self) -> bool:
        """Draw whether a bow comes out spoiled."""
        return self.luck.random() < self.spoils


def lived(maker: Maker, sittings: int) -> Iterator[Fact]:
    """Tell of the sittings behind her, as she would type them."""
    days, day = [], TODAY
    while len(days) < 2 * sittings + 4:
        day -= timedelta(days=1)
        days.append(day)
    days = [day for day in reversed(days) if planned(day)]
    days = days[-sittings:] if sittings else []
    if not days:
        return
    yield Fact(_taken("P1", {"middle:navy": 1}, TODAY), days[0].isoformat())
    for n, day in enumerate(days):
        share = maker.sits()
        if not share:
            continue
        yield from _evening(maker, f"T{n}", day, share)
    handed = OrderHandedOver(order="P1", bows=(("middle:navy", 1),))
    yield Fact(handed, days[-1].isoformat())


def _evening(maker: Maker, code: str, day: date, share: float) -> Iterator[Fact]:
    left, slow = planned(day) * share, maker.sitting_pace()
    spent, batches, lost = 0.0, [], []
    ends = maker.luck.choice(((left,), (left,), (left / 2, left)))
    for n, end in enumerate(ends):
        kind = maker.luck.choice(list(STATED))
        if spent + STATED[kind][1] >= end:
            continue
        spent, came = maker.works(kind, spent + STATED[kind][1], end, slow)
        bows = sum(came)
        lost += [kind] * (len(came) - bows)
        if bows:
            batches.append(
                BowsFinished(
                    batch=f"B{code}{n}", made=f"{kind}:navy", revision=1, count=bows,
                    sitting=code,
                )
            )  # fmt: skip
    if spent:
        on = day.isoformat()
        yield Fact(
            SittingLogged(
                sitting=code, minutes=min(max(round(spent), 1), 1440),
                planned=planned(day),
            ),
            on,
        )  # fmt: skip
        yield from (Fact(batch, on) for batch in batches)
        for kind in lost:
            yield Fact(
                BowsSpoiled(made=f"{kind}:navy", revision=1, count=1, sitting=code), on
            )


def _taken(code: str, kinds: dict[str, int], due: date) -> OrderTaken:
    lines = tuple(
        LineItem(line=n, what=k, count=c, price=800, kinds=((k, 1),))
        for n, (k, c) in enumerate(kinds.items(), 1)
    )
    return OrderTaken(order=code, lines=lines, due=due.isoformat())


class Told(NamedTuple):
    """One order foretold and lived, and one draw of the engine's own for the floor."""

    sittings: int
    known: bool
    chance: float
    met: bool
    inside: bool
    own_met: bool
    own_inside: bool


def shop(task: tuple[int, int]) -> list[Told]:
    """Foretell one shop and live it."""
    seed, draws = task
    luck = Random(seed)
    known = seed % 2 == 0
    maker = Maker(luck, known=known)
    sittings = luck.choice((0, luck.randint(1, 4), luck.randint(5, 19),
                            luck.randint(20, 59), luck.randint(60, 200)))  # fmt: skip
    facts = [Fact(e, "2024-01-01") for e in SHOP] + list(lived(maker, sittings))
    count = luck.randint(1, 30)
    for n in range(count):
        due = TODAY + timedelta(days=luck.randint(1, 4 + count))
        kinds = {f"{luck.choice(list(STATED))}:red": luck.randint(1, 9)}
        facts.append(Fact(_taken(f"O{n}", kinds, due), TODAY.isoformat()))
    led = fold_facts(list(enumerate(facts, 1)), zone=ZONE)
    ahead = look_ahead(led, now=NOW, today=TODAY, days=250)
    plan = draft(ahead)
    luck_of = Draws(ahead, draws, seed=seed)
    columns = leaving(luck_of, plan)
    truth = _live(maker, plan, ahead.clock.line.windows)
    pick = luck.randrange(draws)
    rows = []
    for task_ in plan.tasks:
        off, came = columns[task_.job.key], truth[task_.job.key]
        low, high = np.quantile(off, (0.05, 0.95), method="inverted_cdf")
        by = task_.job.off_bench + ALMOST
        rows.append(
            Told(
                sittings, known, float((off <= by).mean()), came <= by,
                bool(low <= came <= high), bool(off[pick] <= by),
                bool(low <= off[pick] <= high),
            )
        )  # fmt: skip
    return rows


def _live(maker: Maker, plan, windows) -> dict[str, float]:
    """Work through the tasks by the policy, bow by bow."""
    tasks = sorted(plan.tasks, key=lambda task: task.job.off_bench)
    off = dict.fromkeys((task.job.key for task in tasks), math.inf)
    turn, left, bows = 0, 0.0, 0
    for begin, end in windows:
        share, slow = maker.sits(), 0.0
        if share:
            slow = maker.sitting_pace()
        clock = begin
        while share and turn < len(tasks) and clock < end:
            task = tasks[turn]
            kind = task.kind.partition(":")[0]
            if left <= 0 and bows == 0:
                left = task.set_up / slow  # a slow evening is slow at its bows alone
            if left <= 0:
                left = maker.bow(kind)
            room = math.inf if maker.finishes else (end - clock) * share / slow
            done = min(left, room)
            clock += done * slow / share
            left -= done
            if left > 1e-9:
                break
            left = 0.0
            bows += 1 if bows == 0 or not maker.spoiled() else 0
            if bows > task.bows:
                off[task.job.key], bows, turn = clock, 0, turn + 1
    return off


def main(shops: int, draws: int, processes: int) -> None:
    """Print the figures."""
    tasks = [(seed, draws) for seed in range(shops)]
    with Pool(processes) as pool:
        told = [row for rows in pool.imap_unordered(shop, tasks, 8) for row in rows]
    print(f"{shops} shops, {len(told)} orders, {draws} draws")
    for low, high in HISTORIES:
        rows = [row for row in told if low <= row.sittings <= high]
        _line(f"{low} to {high} sittings", rows)
        _line("   laws it knows", [row for row in rows if row.known])
        _line("   other laws", [row for row in rows if not row.known])
    many = [row for row in told if row.sittings >= 20]
    _line("20 sittings and more", many)
    for one in bins([r.chance for r in many], [r.met for r in many], EDGES):
        print(f"     {one.told:.3f} told, {one.came:.3f} came, {one.count} orders")


def _line(name: str, rows: list[Told]) -> None:
    if not rows:
        return
    inside, own = (
        np.mean([getattr(r, f) for r in rows]) for f in ("inside", "own_inside")
    )
    chances = [row.chance for row in rows]
    error, floor = (
        calibration_error(bins(chances, [getattr(r, f) for r in rows], EDGES))
        for f in ("met", "own_met")
    )
    print(
        f"{name}: {100 * inside:.1f} % within 90 % (floor {100 * own:.1f} %), "
        f"calibration error {error:.3f} (floor {floor:.3f}), {len(rows)} orders"
    )


if __name__ == "__main__":
    told_ = [int(word) for word in sys.argv[1:]]
    main(*(told_ + [2000, 1024, 2][len(told_) :]))
