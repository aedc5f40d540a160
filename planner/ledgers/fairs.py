"""Fairs as they stand: announced, planned, packed, sold, settled."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from planner.events.base import Body
from planner.ledgers.bows import PLACE, stall
from planner.ledgers.state import Ledgers, Pages, Spot

ANNOUNCED, PLANNED, PACKED = "announced", "planned", "packed"
SETTLED, CALLED_OFF = "settled", "called off"


Quantiles = tuple[int, int, int, int, int]
"""Bows not exceeded 5, 25, 50, 75 and 95 times in a hundred."""


@dataclass(slots=True)
class Fair:
    """
    One fair; counts are bows by kind, `fee` minor units, `table` nm.

    `in_sets` are those of the bows `sold` that went in sets, by set and kind;
    `days` are (day, opens, closes); `sold_out` are (kind, day, hour or None);
    `off_told` is the day of which she told that it was called off at `off_at`;
    `spread` (wishes by kind) and `sold_spread` (bows sold in all) are the quantiles
    kept with the plan accepted before the first day was closed.
    """

    code: str
    name: str = ""
    state: str = ANNOUNCED
    days: tuple[tuple[str, str, str], ...] = ()
    fee: int = 0
    crowd: int = 3
    crowd_told: int | None = None
    indoor: bool = True
    table: int = 0
    guess: dict[str, int] = field(default_factory=dict)
    guess_total: int | None = None
    plan: dict[str, int] | None = None
    plan_head: str = ""
    spread: dict[str, Quantiles] = field(default_factory=dict)
    sold_spread: Quantiles | None = None
    packed: dict[str, int] = field(default_factory=dict)
    sold: dict[str, int] = field(default_factory=dict)
    in_sets: dict[str, dict[str, int]] = field(default_factory=dict)
    back: dict[str, int] = field(default_factory=dict)
    sold_out: list[tuple[str, str, str | None]] = field(default_factory=list)
    unlogged: tuple[tuple[str, int, int], ...] = ()
    opened: list[str] = field(default_factory=list)
    closed: list[str] = field(default_factory=list)
    costs: int = 0
    off_at: str | None = None
    off_told: str = ""
    weather: str = "not told"
    note: str = ""

    @property
    def first_day(self) -> str:
        """The fair's first day."""
        return self.days[0][0]

    @property
    def last_day(self) -> str:
        """The fair's last day."""
        return self.days[-1][0]

    @property
    def open_minutes(self) -> int:
        """Opening hours over all days, in minutes (to the hour it was called off)."""
        return sum(
            max(_minute(self._until(day, opens, closes)) - _minute(opens), 0)
            for day, opens, closes in self.days
        )

    def _until(self, day: str, opens: str, closes: str) -> str:
        """Give the hour a day really ended: its last one early, none after that."""
        if self.off_at is None:
            return closes
        begun = [on for on, _, _ in self.days if on <= self.off_told]
        last = max(begun, default=self.first_day)
        if day == last:
            return min(closes, self.off_at)
        return closes if day < last else opens


def _minute(clock: str) -> int:
    return int(clock[:2]) * 60 + int(clock[3:5])


def _announced(fair: Fair, e: Any) -> None:
    fair.name, fair.fee, fair.crowd, fair.indoor = e.name, e.fee, e.crowd, e.indoor
    fair.days = tuple((d.day, d.opens, d.closes) for d in e.days)
    fair.table, fair.guess, fair.guess_total = e.table, dict(e.guess), e.guess_total
    if fair.state == CALLED_OFF:
        fair.state = PLANNED if fair.plan else ANNOUNCED


def _off(fair: Fair, e: Any, day: str) -> None:
    fair.off_at, fair.off_told = e.at, day
    if e.at is None:
        fair.state = CALLED_OFF


def _planned(fair: Fair, e: Any) -> None:
    fair.plan, fair.plan_head = dict(e.bring), e.head
    if not fair.closed:
        # A plan for the days left says nothing of the fair as a whole.
        fair.spread, fair.sold_spread = dict(e.spread), e.sold_spread
    if fair.state == ANNOUNCED:
        fair.state = PLANNED


def _packed(fair: Fair, e: Any) -> None:
    for kind, count in e.bows:
        fair.packed[kind] = fair.packed.get(kind, 0) + count
    if fair.state not in (SETTLED, CALLED_OFF):
        fair.state = PACKED


def _moved(fair: Fair, moves: Mapping[str, int]) -> None:
    """Count bows moved to the stall, or home from it early, as brought or not."""
    for kind, count in moves.items():
        fair.packed[kind] = fair.packed.get(kind, 0) + count
        if fair.packed[kind] <= 0:
            del fair.packed[kind]
    if fair.packed and fair.state in (ANNOUNCED, PLANNED):
        fair.state = PACKED


def _settled(fair: Fair, e: Any) -> None:
    fair.state, fair.back, fair.unlogged = SETTLED, dict(e.back), e.unlogged
    fair.weather, fair.note = e.weather, e.note


def _step(fair: Fair, e: Any, day: str) -> None:
    match e.kind:
        case "fair-announced":
            _announced(fair, e)
        case "fair-called-off":
            _off(fair, e, day)
        case "fair-plan-accepted":
            _planned(fair, e)
        case "fair-packed":
            _packed(fair, e)
        case "fair-day-opened":
            fair.opened.append(e.day)
        case "fair-day-closed":
            fair.closed.append(e.day)
        case "fair-sold-out":
            fair.sold_out.append((e.made, e.day, e.at))
        case "fair-cost-paid":
            fair.costs += e.amount
        case "fair-settled":
            _settled(fair, e)
        case "crowd-told":
            fair.crowd_told = e.crowd


def fair_of(led: Ledgers, code: str) -> Fair:
    """Read one fair's page, in order of (moment, seq)."""
    fair = Fair(code)
    for kept in led.page("fairs", code):
        _step(fair, kept.event, led.day(kept.at))
    _moved(fair, led.fair_moves.get(code, {}))
    fair.sold = dict(led.fair_sales.get(code, {}))
    fair.in_sets = {k: dict(n) for k, n in led.fair_sets.get(code, {}).items()}
    return fair


def fairs(led: Ledgers) -> Pages[Fair]:
    """Give all fairs that were announced, by code, each read once."""
    made = led.memo.get("fairs")
    if made is None:
        made = led.memo["fairs"] = Pages(led.keys("fairs"), _announced_one(led))
    assert isinstance(made, Pages)
    return made


def _announced_one(led: Ledgers) -> Callable[[str], Fair | None]:
    def read(code: str) -> Fair | None:
        fair = fair_of(led, code)
        return fair if fair.days else None

    return read


def fairs_on(led: Ledgers, day: str) -> list[Fair]:
    """Give the fairs of which a day is one, whatever became of them."""
    told = dict.fromkeys(led.fair_days.get(day, ()))
    return [f for f in fairs(led).of(told) if any(d[0] == day for d in f.days)]


def fairs_not_over(led: Ledgers) -> list[Fair]:
    """Give the fairs neither settled nor called off."""
    alive = fairs(led).of(led.live("fairs"))
    return [f for f in alive if f.state not in (SETTLED, CALLED_OFF)]


def coming_fairs(led: Ledgers, today: str) -> list[Fair]:
    """Give the fairs not over by today, the soonest first."""
    ahead = [f for f in fairs_not_over(led) if f.last_day >= today]
    return sorted(ahead, key=lambda f: (f.first_day, f.code))


def past_fairs(led: Ledgers) -> list[Fair]:
    """Give the settled fairs, the oldest first."""
    done = [f for f in fairs(led).values() if f.state == SETTLED]
    return sorted(done, key=lambda f: (f.first_day, f.code))


def at_stall(led: Ledgers, fair: str) -> dict[str, int]:
    """Give what the book says is on a fair's stall, by kind."""
    account = PLACE + stall(fair)
    held = {kind: led.bows.balance(kind)[account] for kind in led.bows.items}
    return {kind: count for kind, count in held.items() if count}


def _days(led: Ledgers, e: Body, at: Spot) -> None:
    for day in e["days"]:
        led.fair_days.setdefault(day["day"], []).append(e["fair"])


POSTS: Mapping[str, Callable[[Ledgers, Body, Spot], None]] = {"fair-announced": _days}
"""Fairs are looked for by their days: which they were told to have at any time."""
