"""The invented maker: her world, her notebook, what she believes and has promised."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from functools import cached_property
from random import Random
from typing import Any
from zoneinfo import ZoneInfo

from planner.events.base import Event, Fact, PrivateText
from planner.events.fields import LineItem
from planner.scenario.chance import happens
from planner.scenario.clock import Clock
from planner.scenario.notebook import Codes, Draft, Notebook
from planner.scenario.process import Dearer, PatternSpec, Process, RibbonSpec, inches
from planner.scenario.truth import FairTruth
from planner.scenario.world import HOME, OverCut, World

EVENING = 22 * 60 + 5
"""When she types what is left of the day, minutes since midnight."""


WHILE = 45.0
"""Minutes within which she types one entry after another."""
MOST_ORDERED = 14
"""Bows she wants ribbon for before she takes an order for a kind."""


@dataclass(slots=True, eq=False)
class Order:
    """An order as she works on it; counts are bows by kind."""

    code: str
    person: str | None
    lines: tuple[LineItem, ...]
    due: date
    state: str = "open"
    need: dict[str, int] = field(default_factory=dict)
    have: dict[str, int] = field(default_factory=dict)
    paid: int = 0
    posted: bool = False
    pick_up: date | None = None
    held: bool = False
    told_ready: bool = False

    def lacking(self) -> dict[str, int]:
        """Give the bows still to make, by kind."""
        left = {k: n - self.have.get(k, 0) for k, n in self.need.items()}
        return {k: n for k, n in left.items() if n > 0}

    @property
    def total(self) -> int:
        """What it comes to, minor units."""
        return sum(line.count * line.price for line in self.lines)


@dataclass(slots=True, eq=False)
class Visit:
    """A fair as she goes through it; `typed` sales and money by day."""

    code: str
    name: str
    days: tuple[date, ...]
    opens: int
    closes: int
    fee: int
    crowd: int
    indoor: bool
    table: int
    announced: date
    off_at: int | None = None
    planned: bool = False
    really: int = 3
    shock: float = 1.0
    live: bool = True
    told: bool = False
    brought: dict[str, int] = field(default_factory=dict)
    wanted: dict[str, int] = field(default_factory=dict)
    sold: dict[str, int] = field(default_factory=dict)
    typed: dict[str, int] = field(default_factory=dict)
    lost: dict[str, int] = field(default_factory=dict)
    silent: dict[str, int] = field(default_factory=dict)
    takings: dict[date, tuple[int, int]] = field(default_factory=dict)
    typed_money: int = 0
    sold_out: set[str] = field(default_factory=set)

    @property
    def place(self) -> str:
        """Where its bows are."""
        return f"stall:{self.code}"


@dataclass
class Maker:
    """All that the parts of a season share; `first` and `last` are its days."""

    process: Process
    first: date
    last: date
    seed: str
    codes: Codes
    told_catalogue: bool = True
    world: World = field(default_factory=World)
    notebook: Notebook = field(default_factory=Notebook)
    orders: list[Order] = field(default_factory=list)
    visits: list[Visit] = field(default_factory=list)
    past_fairs: list[FairTruth] = field(default_factory=list)
    belief: dict[str, float] = field(default_factory=dict)
    wish: dict[str, int] = field(default_factory=dict)
    made: dict[str, int] = field(default_factory=lambda: defaultdict(int))
    practice: dict[str, int] = field(default_factory=lambda: defaultdict(int))
    people: dict[str, str] = field(default_factory=dict)
    sitting_minutes: dict[str, float] = field(default_factory=dict)
    plans: dict[date, list[tuple[str, Any]]] = field(
        default_factory=lambda: defaultdict(list)
    )
    behind: date = date.min
    pens: dict[date, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Make the generators, one a matter, so that one change moves little else."""
        self.clock = Clock(ZoneInfo(self.process.shop.zone))
        self._dice: dict[str, Random] = {}
        truth = self.process.ribbon_truth
        self.over = OverCut(
            {role: inches_any(n) for role, n in truth.over_cut_in.items()},
            truth.over_cut_spread,
        )
        self.patterns = {p.pattern: p for p in self.process.patterns}
        self.revisions = {p.pattern: 1 for p in self.process.patterns}
        self.cuts = {
            p.pattern: {role: (inches(n), count) for role, n, count in p.parts}
            for p in self.process.patterns
        }

    def dice(self, matter: str) -> Random:
        """Give the generator of one matter."""
        rng = self._dice.get(matter)
        if rng is None:
            rng = self._dice[matter] = Random(f"{self.seed}/{matter}")
        return rng

    @cached_property
    def kinds(self) -> tuple[str, ...]:
        """Every kind she makes."""
        return tuple(kind for p in self.process.patterns for kind in p.kinds)

    @cached_property
    def colourways(self) -> Mapping[str, tuple[str, str]]:
        """Colourway code -> (lead ribbon, ribbon of the top layer)."""
        plain = {r.code: (r.code, r.code) for r in self.process.ribbons}
        wait = self.process.waiting_ribbon
        code = f"{wait.colour}-{wait.width_in:g}in"
        return plain | {code: (code, code)} | {
            c.code: (f"{c.lead}-{c.width_in:g}in", f"{c.top}-{c.width_in:g}in")
            for c in self.process.two_colours
        }  # fmt: skip

    @cached_property
    def families(self) -> Mapping[str, str]:
        """Colour -> family."""
        return {c.colour: c.family for c in self.process.colours}

    def pattern(self, kind: str) -> PatternSpec:
        """Give a kind's pattern."""
        return self.patterns[kind.partition(":")[0]]

    def lead(self, kind: str) -> str:
        """Give a kind's lead colour."""
        way = kind.partition(":")[2]
        return self.colourways[way][0].rpartition("-")[0]

    def ribbon(self, kind: str, role: str) -> str:
        """Give the ribbon a role of a kind takes."""
        lead, top = self.colourways[kind.partition(":")[2]]
        return top if role == "top" else lead

    @cached_property
    def pair_prices(self) -> Mapping[str, int]:
        """Kind -> the price of a pair of it, where she sells pairs."""
        return {
            f"{p.pattern}:{colour}-{self.patterns[p.pattern].width_in:g}in": p.price
            for p in self.process.pairs
            for colour in p.colours
        }

    @cached_property
    def rates(self) -> Mapping[str, float]:
        """What buyers really want an open hour at a crowd of 3, by kind."""
        colours = {c.colour: c.appeal for c in self.process.colours}
        raw = {k: self.pattern(k).appeal * colours[self.lead(k)] for k in self.kinds}
        scale = self.process.demand.bows_per_open_hour / sum(raw.values())
        return {kind: weight * scale for kind, weight in raw.items()}

    def colour_appeal(self, colour: str) -> float:
        """Give how well a colour really sells."""
        found = [c.appeal for c in self.process.colours if c.colour == colour]
        return found[0] if found else 0.0

    def appeal(self, kind: str, day: date) -> float:
        """Give the rate in that month's season."""
        season = self.process.demand.season.get(self.families[self.lead(kind)], {})
        return self.rates[kind] * season.get(str(day.month), 1.0)

    def can_offer(self, kind: str) -> bool:
        """Say whether she has ribbon enough to take an order for a kind."""
        cuts = self.cuts[self.pattern(kind).pattern]
        return all(
            self.world.left(self.ribbon(kind, role)) >= length * MOST_ORDERED
            for role, (length, _) in cuts.items()
        )

    def can_cut(self, kind: str) -> bool:
        """Say whether she has ribbon for one more bow of a kind."""
        cuts = self.cuts[self.pattern(kind).pattern]
        return all(
            self.world.to_cut(self.ribbon(kind, role), length) is not None
            or self.world.waiting(self.ribbon(kind, role), role, length)
            for role, (length, _) in cuts.items()
        )

    def full_kind(self, short: str) -> str:
        """Turn ``classic-4in:navy`` into the kind's code."""
        pattern = short.partition(":")[0]
        return f"{short}-{self.patterns[pattern].width_in:g}in"

    def shortest(self, ribbon: str) -> int:
        """Give the shortest body cut from a ribbon, nm: what is less is an end."""
        width = ribbon.rpartition("-")[2]
        return min(
            self.cuts[p.pattern]["body"][0]
            for p in self.process.patterns
            if f"{p.width_in:g}in" == width
        )

    def waited_for(self) -> RibbonSpec:
        """Give the ribbon that is on its way when the season ends."""
        w = self.process.waiting_ribbon
        return RibbonSpec(
            colour=w.colour, width_in=w.width_in, yards=w.yards, price=w.price
        )

    def revision(self, kind: str) -> int:
        """Give the revision of a kind's pattern she makes now."""
        return self.revisions[self.pattern(kind).pattern]

    def price(self, kind: str, channel: str, day: date) -> int:
        """Give the price on a day, minor units."""
        made, dearer = self.pattern(kind), self.process.dearer
        since = self.weeks_ago(dearer.weeks_before)
        prices: PatternSpec | Dearer = made
        if made.pattern == dearer.pattern and day >= since:
            prices = dearer
        return {"retail": prices.retail, "fair": prices.fair,
                "wholesale": prices.wholesale}[channel]  # fmt: skip

    def weeks_ago(self, weeks: int) -> date:
        """Give the day so many weeks before the last one."""
        return self.last - timedelta(weeks=weeks)

    def promised(self, kind: str) -> int:
        """Count the bows at home set aside for orders."""
        return sum(o.have.get(kind, 0) for o in self.orders)

    def free(self, kind: str) -> int:
        """Count the bows at home nobody was promised."""
        return self.world.count_at(HOME, kind) - self.promised(kind)

    def all_free(self) -> dict[str, int]:
        """Count, kind by kind, the bows at home nobody was promised."""
        free = {kind: self.world.count_at(HOME, kind) for kind in self.kinds}
        for order in self.orders:
            for kind, count in order.have.items():
                free[kind] -= count
        return free

    def is_idle(self, day: date) -> bool:
        """Say whether the season's slack last weeks have begun."""
        return (self.last - day).days < self.process.bench.idle_weeks * 7

    def near_the_end(self, day: date) -> bool:
        """Say whether what is put off now might not be typed by the last day."""
        return (self.last - day).days <= 8

    def fact(self, event: Event, day: date, minute: float | None = None) -> Fact:
        """Date an event: to the minute, or by the day alone."""
        happened = day.isoformat() if minute is None else self.clock.stamp(day, minute)
        return Fact(event, happened)

    def typed_at(self, day: date, minute: float) -> datetime:
        """Give the next free moment of typing that day, at or after a minute."""
        pen = self.pens.get(day, 0.0)
        if pen - minute > WHILE:
            # What is already put down for that evening doesn't hold up the morning.
            return self.clock.utc(day, minute)
        pen = max(pen, minute)
        self.pens = {d: m for d, m in self.pens.items() if d >= day}
        self.pens[day] = pen + self.dice("typing").uniform(0.25, 0.9)
        return self.clock.utc(day, pen)

    def write(
        self,
        *events: Event,
        day: date,
        minute: float | None = None,
        typed: tuple[date, float] | None = None,
        private: tuple[PrivateText, ...] = (),
    ) -> Draft:
        """
        Write an entry of events that happened together.

        Without a minute they bear the day alone; without `typed` they are typed two
        minutes after, or in the evening.
        """
        facts = tuple(self.fact(event, day, minute) for event in events)
        when = typed or (day, EVENING if minute is None else minute + 2)
        happened = facts[0].happened if facts else day.isoformat()
        return self.notebook.add(Draft(self.typed_at(*when), happened, facts, private))

    def take_back(
        self, wrong: Draft, day: date, minute: float, *, why: str = ""
    ) -> Draft:
        """Write a correction of an entry, on a day after it was typed."""
        recorded = self.typed_at(day, minute)
        happened = self.clock.stamp(day, minute)
        return self.notebook.add(
            Draft(recorded, happened, (), (), (wrong,), why)
        )  # fmt: skip

    def small(self, *events: Event, day: date) -> Draft:
        """Write a small thing of the day, sometimes only days later."""
        rng, habits = self.dice("small"), self.process.habits
        if not happens(rng, habits.late_small):
            return self.write(*events, day=day, typed=(day, EVENING))
        later = day + timedelta(rng.randint(1, 6))
        return self.write(*events, day=day, typed=(later, EVENING - 140))


def inches_any(length: float) -> int:
    """Turn any share of an inch into whole nanometres."""
    return round(length * 25_400_000)
