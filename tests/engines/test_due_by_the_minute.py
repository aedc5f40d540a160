"""
The due dates against a second method: the same weeks lived minute by minute.

Nothing of the engine is used here: naive clock times, one minute after another, one
bow and one yard at a time, the policy in its own words.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from random import Random

import pytest

from planner.engines.due import due_dates
from planner.events.bows import BowsOpening
from planner.events.fair import FairAnnounced

from .due_toys import NOW, SHOP, TODAY, fair, hours, on_the_way, order, spool, told

MINUTE = timedelta(minutes=1)
START = datetime(2026, 11, 23, 18)
KINDS = {"bow": (10, 20, 0), "glued": (10, 0, 180)}
"""Pattern: minutes a bow, set-up, setting, as the toy shop states them."""


@dataclass(frozen=True)
class Told:
    """One order as drawn."""

    code: str
    due: date
    hour: time | None
    post: int
    kinds: dict[str, int]

    def by(self, setting: int) -> datetime:
        """Say when its last bow must leave the bench."""
        day = datetime.combine(self.due - timedelta(days=self.post), time())
        if self.hour and not self.post:
            return datetime.combine(self.due, self.hour) - setting * MINUTE
        return min(day, day + timedelta(hours=12) - setting * MINUTE)


@dataclass
class Piece:
    """Some bows of an order that can be begun at one moment."""

    order: str
    since: datetime
    by: datetime
    left: int
    setting: int
    ends: datetime | None = None


@dataclass(frozen=True)
class World:
    """What was drawn: orders, yards here and to come, bows at home, days shut."""

    orders: list[Told]
    yards: dict[str, int]
    coming: dict[str, tuple[int, date]]
    home: dict[str, int]
    off: list[date]
    fair: date


def _draw(seed: int) -> World:
    dice = Random(seed)
    days = [TODAY + timedelta(days=n) for n in range(7)]
    kinds = [f"{p}:{c}" for p in KINDS for c in ("navy", "red")]
    orders = [
        Told(
            f"O{n}",
            dice.choice(days),
            dice.choice([None, None, time(21), time(23, 30)]),
            dice.choice([0, 0, 0, 1]),
            {k: dice.randint(1, 7) for k in dice.sample(kinds, dice.randint(1, 2))},
        )
        for n in range(1, dice.randint(3, 6))
    ]
    return World(
        orders,
        {c: dice.randint(3, 20) for c in ("navy", "red")},
        {c: (dice.randint(3, 20), dice.choice(days[1:])) for c in ("navy", "red")},
        {k: dice.randint(0, 4) for k in kinds},
        dice.sample(days, 1),
        dice.choice(days),
    )


def _pieces(world: World, queue: list[Told]) -> tuple[list[Piece], set[str]]:
    """Hand out bows and yards one by one, the earliest due first."""
    home, yards = dict(world.home), dict(world.yards)
    later = {c: n for c, (n, _) in world.coming.items()}
    need = {}
    for told_ in queue:
        for kind, count in told_.kinds.items():
            while count and home[kind]:
                home[kind], count = home[kind] - 1, count - 1
            need[told_.code, kind] = count
    pieces, never = [], set()
    for told_ in queue:
        for kind in told_.kinds:
            name, colour = kind.split(":")
            each, set_up, setting = KINDS[name]
            first = True
            for _ in range(need[told_.code, kind]):
                if yards[colour]:
                    yards[colour] -= 1
                    since = START
                elif later[colour]:
                    later[colour] -= 1
                    day = world.coming[colour][1]
                    since = datetime.combine(day, time(12))
                else:
                    never.add(told_.code)
                    continue
                last = pieces[-1] if pieces and not first else None
                if last is None or last.since != since:
                    pieces.append(
                        Piece(told_.code, since, told_.by(setting), 0, setting)
                    )
                pieces[-1].left += each + (set_up if first else 0)
                first = False
    return pieces, never


def _live(world: World) -> tuple[dict[str, datetime | None], dict[str, bool]]:
    """Work minute by minute; give when each order is ready, and whether too late."""
    queue = sorted(world.orders, key=lambda one: (one.by(0), one.code))
    pieces, never = _pieces(world, queue)
    now = START
    shut = {*world.off, world.fair}
    while any(piece.left for piece in pieces):
        if 20 <= now.hour < 22 and now.date() not in shut:
            here = [p for p in pieces if p.left and p.since <= now]
            if here:
                pick = min(here, key=lambda piece: piece.by)
                pick.left -= 1
                if not pick.left:
                    pick.ends = now + MINUTE
        now += MINUTE
    ready, late = {}, {}
    for one in queue:
        own = [p for p in pieces if p.order == one.code]
        ends = [p.ends + p.setting * MINUTE for p in own]
        ready[one.code] = None if one.code in never else max(ends, default=START)
        late[one.code] = any(p.ends > p.by for p in own)
    return ready, late


def _tell(world: World):
    taken = [
        order(
            one.code, one.due.isoformat(), one.kinds, post_days=one.post,
            hour=f"{one.hour:%H:%M}" if one.hour else None,
        )
        for one in world.orders
    ]  # fmt: skip
    bows = BowsOpening(bows=tuple((k, n) for k, n in world.home.items() if n))
    coming = [
        on_the_way(f"R{c}", c, n, day.isoformat())
        for c, (n, day) in world.coming.items()
    ]
    spools = [spool(f"S{c}", c, n) for c, n in world.yards.items()]
    shop = tuple(e for e in SHOP if e.kind != "spool-received")
    shut: FairAnnounced = fair("F1", "Kelp Street Fair", world.fair.isoformat())
    off = hours(off=tuple(day.isoformat() for day in world.off))
    extra = [bows] if bows.bows else []
    return told(*taken, *extra, *coming, *spools, shut, bench=off, shop=shop)


@pytest.mark.parametrize("seed", range(120))
def test_the_plan_is_what_living_it_minute_by_minute_gives(seed):
    """Ready times to the minute, and the same orders late, in small random weeks."""
    world = _draw(seed)
    ready, late = _live(world)

    made = due_dates(_tell(world), now=NOW, today=TODAY)

    found = {
        one.code: one.ready_at and one.ready_at.replace(tzinfo=None)
        for one in made.orders
    }
    assert found == ready
    assert {o.code for o in made.orders if o.state == "late" and o.make} == {
        code for code, is_late in late.items() if is_late and ready[code]
    }


def test_the_random_weeks_hold_every_state():
    """The draws above would prove little if all of them were easy."""
    states = {
        one.state
        for seed in range(60)
        for one in due_dates(_tell(_draw(seed)), now=NOW, today=TODAY).orders
    }
    assert states >= {"ready", "meets", "close", "late", "no ribbon"}
