"""Fairs of an invented season: announced, planned by thumb, packed and settled."""

from __future__ import annotations

from datetime import date, timedelta

from planner.events import bows, fair, selling, shop
from planner.events.fields import KindTally
from planner.scenario.chance import around_one, happens, poisson
from planner.scenario.clock import clock_at, minute_of
from planner.scenario.maker import EVENING, Maker, Visit
from planner.scenario.opening import bench_rules
from planner.scenario.process import FairSpec, inches
from planner.scenario.stall import fair_day
from planner.scenario.truth import FairTruth
from planner.scenario.world import HOME

PACKING = 22 * 60 + 20
UNPACKING = 19 * 60 + 40


def plan_fairs(maker: Maker) -> None:
    """Find the days of all fairs, in order, and when each is announced."""
    years = max(((maker.last - maker.first).days + 1) // 364, 1)
    found = [
        _visit(maker, spec, 52 * year)
        for year in range(years)
        for spec in maker.process.fairs
    ]
    maker.visits = sorted([*found, _coming(maker)], key=lambda v: v.days)
    for visit in maker.visits:
        visit.announced = max(visit.announced, maker.first)
        maker.plans[visit.announced].append(("fair", visit))


def _saturday(day: date) -> date:
    return day - timedelta((day.weekday() - 5) % 7)


def _visit(maker: Maker, spec: FairSpec, weeks: int) -> Visit:
    first = _saturday(maker.weeks_ago(spec.weeks_before + weeks))
    return Visit(
        code="", name=spec.name,
        days=tuple(first + timedelta(n) for n in range(spec.days)),
        opens=minute_of(spec.opens), closes=minute_of(spec.closes), fee=spec.fee,
        crowd=spec.crowd, indoor=spec.indoor, table=inches(spec.table_ft * 12),
        announced=first - timedelta(35), planned=spec.planned,
        off_at=minute_of(spec.off_at) if spec.off_at else None,
    )  # fmt: skip


def _coming(maker: Maker) -> Visit:
    c = maker.process.coming
    return Visit(
        code="", name=c.name, days=(maker.last + timedelta(c.days_ahead),),
        opens=minute_of(c.opens), closes=minute_of(c.closes), fee=c.fee, crowd=c.crowd,
        indoor=c.indoor, table=inches(c.table_ft * 12),
        announced=maker.last - timedelta(c.announced_days_before),
    )  # fmt: skip


def announce(maker: Maker, day: date, visit: Visit) -> None:
    """Enter a fair she means to go to, with its fee."""
    visit.code = maker.codes.next("F")
    hours = [
        fair.FairDay(day=d.isoformat(), opens=clock_at(visit.opens),
                     closes=clock_at(visit.closes))
        for d in visit.days
    ]  # fmt: skip
    guess = int(_open_hours(visit, told=True) * maker.process.thumb.total_an_hour)
    maker.write(
        fair.FairAnnounced(
            fair=visit.code, name=visit.name, days=tuple(hours), fee=visit.fee,
            crowd=visit.crowd, indoor=visit.indoor, table=visit.table,
            guess_total=guess,
        ),
        day=day, minute=EVENING + 20,
    )  # fmt: skip
    fee = fair.FairCostPaid(fair=visit.code, what="fee", amount=visit.fee)
    maker.write(fee, day=day, minute=EVENING + 22)
    if visit is maker.visits[-1]:
        _keep_the_eve_free(maker, day, visit)


def _keep_the_eve_free(maker: Maker, day: date, visit: Visit) -> None:
    """Say that she will work on the eve of the fair ahead as well."""
    eve, (start, end) = visit.days[0] - timedelta(1), maker.process.coming.eve
    extra = shop.ExtraStretch(day=eve.isoformat(), start=start, end=end)
    words = f"{maker.process.bench.words}, also {eve.isoformat()} {start}-{end}"
    hours = shop.BenchHoursSet(words=words, rules=bench_rules(maker), extra=(extra,))
    maker.write(hours, day=day, minute=EVENING + 24)


def _open_hours(visit: Visit, *, told: bool = False) -> float:
    closes = visit.closes if told or visit.off_at is None else visit.off_at
    return (closes - visit.opens) / 60 * len(visit.days)


def think_ahead(maker: Maker, day: date) -> None:
    """Set what she means to have for the next fair, by her rule of thumb."""
    coming = [v for v in maker.visits if v.days[0] > day]
    if not coming:
        maker.wish = {}
        return
    visit, thumb = coming[0], maker.process.thumb
    if not maker.belief:
        _first_belief(maker)
    factor = _open_hours(visit, told=True) * visit.crowd / 3 * thumb.bring
    maker.wish = {k: round(b * factor) for k, b in maker.belief.items()}
    if visit.planned and not visit.told and (visit.days[0] - day).days <= 6:
        _accept_plan(maker, day, visit)


def _first_belief(maker: Maker) -> None:
    """Begin with her guess: sizes sell as she thinks, all colours alike."""
    size = {p.pattern: p.appeal**0.5 / len(p.colours) for p in maker.process.patterns}
    raw = {kind: size[kind.partition(":")[0]] for kind in maker.kinds}
    scale = maker.process.thumb.total_an_hour / sum(raw.values())
    maker.belief = {kind: weight * scale for kind, weight in raw.items()}


def _accept_plan(maker: Maker, day: date, visit: Visit) -> None:
    visit.told = True
    bring = tuple((kind, n) for kind, n in maker.wish.items() if n)
    event = fair.FairPlanAccepted(fair=visit.code, bring=bring, head="")
    maker.write(event, day=day, minute=EVENING + 24)


def fair_evening(maker: Maker, day: date) -> None:
    """Pack the evening before a fair, top up between its days."""
    for visit in maker.visits:
        if visit.days[0] == day + timedelta(1):
            _pack(maker, day, visit)
        elif day in visit.days[:-1]:
            _top_up(maker, day, visit)


def _pack(maker: Maker, day: date, visit: Visit) -> None:
    rng, demand = maker.dice("fairs"), maker.process.demand
    visit.really = min(max(visit.crowd + rng.choice((-1, 0, 0, 1)), 1), 5)
    visit.shock = around_one(rng, demand.shock)
    visit.live = happens(rng, maker.process.habits.live_fairs)
    spare = maker.process.thumb.most_spare
    packed = {
        kind: min(maker.free(kind), maker.wish.get(kind, 0) + spare)
        for kind in maker.kinds
    }
    _bring(maker, visit, packed)
    tally = tuple(visit.brought.items())
    maker.write(fair.FairPacked(fair=visit.code, bows=tally), day=day, minute=PACKING)


def _bring(maker: Maker, visit: Visit, packed: dict[str, int]) -> None:
    for kind, count in packed.items():
        if count > 0:
            visit.brought[kind] = visit.brought.get(kind, 0) + count
            maker.world.put(HOME, kind, -count)
            maker.world.put(visit.place, kind, count)


def _top_up(maker: Maker, day: date, visit: Visit) -> None:
    more = {
        kind: min(maker.free(kind), 3)
        for kind in sorted(visit.sold_out)
        if maker.free(kind) > 0
    }
    if more:
        _bring(maker, visit, more)
        maker.write(
            fair.FairPacked(fair=visit.code, bows=tuple(more.items()), top_up=True),
            day=day, minute=PACKING,
        )  # fmt: skip


def go_to_fairs(maker: Maker, day: date) -> None:
    """Stand at a stall today if there is a fair, and settle it when it is over."""
    for visit in maker.visits:
        if day in visit.days:
            fair_day(maker, day, visit)
            if day == visit.days[-1]:
                _settle(maker, day, visit)


def _settle(maker: Maker, day: date, visit: Visit) -> None:
    _lose_some(maker, visit)
    back = {k: n for k, n in maker.world.bows.get(visit.place, {}).items() if n > 0}
    tally: tuple[KindTally, ...] = tuple(
        (kind, back.get(kind, 0)) for kind in visit.brought
    )
    events = [
        bows.StockCounted(place=visit.place, counts=tally, whole=True, fair=visit.code),
        _home_again(visit, back),
        _settled(maker, visit, back),
    ]
    maker.write(
        *(e for e in events if e is not None), day=day, minute=UNPACKING,
        typed=(day, EVENING - 20),
    )  # fmt: skip
    for kind, count in back.items():
        maker.world.put(visit.place, kind, -count)
        maker.world.put(HOME, kind, count)
    _afterwards(maker, day, visit, back)


def _home_again(visit: Visit, back: dict[str, int]) -> bows.BowsMoved | None:
    if not back:
        return None
    return bows.BowsMoved(
        bows=tuple(back.items()), source=visit.place, to=HOME, fair=visit.code
    )


def _lose_some(maker: Maker, visit: Visit) -> None:
    """Let a few bows vanish from the stall: nobody sees it."""
    rng, share = maker.dice("losses"), maker.process.losses.stall
    for kind, count in list(maker.world.bows.get(visit.place, {}).items()):
        gone = min(poisson(rng, count * share), count)
        if gone:
            maker.world.put(visit.place, kind, -gone)
            maker.world.unlike(kind, "gone from the stall", -gone)
            visit.lost[kind] = gone


def _settled(maker: Maker, visit: Visit, back: dict[str, int]) -> fair.FairSettled:
    gaps = {
        kind: count - back.get(kind, 0) - visit.typed.get(kind, 0)
        for kind, count in visit.brought.items()
    }
    over = sum(a + b for a, b in visit.takings.values()) - visit.typed_money
    ranges = _unlogged(maker, visit, {k: g for k, g in gaps.items() if g > 0}, over)
    weather = "fine" if visit.indoor or visit.off_at is None else "poor"
    return fair.FairSettled.model_validate(
        {"fair": visit.code, "unlogged": ranges, "weather": weather,
         "back": tuple((kind, back.get(kind, 0)) for kind in visit.brought)}
    )  # fmt: skip


def _unlogged(
    maker: Maker, visit: Visit, gaps: dict[str, int], over: int
) -> tuple[tuple[str, int, int], ...]:
    """
    Bound the sales not typed, by kind, by what the takings exceed the typed sales by.

    Most: no more than the gap, and than the money could pay.  Least: what must be this
    kind even if all the other gaps were sold first.
    """
    worth = {k: n * maker.price(k, "fair", visit.days[0]) for k, n in gaps.items()}
    whole, found = sum(worth.values()), []
    for kind, gap in gaps.items():
        price = maker.price(kind, "fair", visit.days[0])
        most = min(gap, max(over, 0) // price)
        left = over - (whole - worth[kind])
        least = min(max(-(-left // price), 0), most)
        if most:
            found.append((kind, least, most))
    return tuple(found)


def _afterwards(maker: Maker, day: date, visit: Visit, back: dict[str, int]) -> None:
    rng = maker.dice("fairs")
    if happens(rng, 0.7):
        event = fair.CrowdTold(fair=visit.code, crowd=visit.really)
        maker.small(event, day=day)
    if happens(rng, 0.5):
        parking = fair.FairCostPaid(fair=visit.code, what="parking", amount=800)
        maker.small(parking, day=day)
    if visit.silent and happens(rng, 0.35):
        _remember(maker, day, visit)
    _learn(maker, visit, back)
    maker.past_fairs.append(_truth(maker, visit))


def _remember(maker: Maker, day: date, visit: Visit) -> None:
    """Let her be sure of a sale that nobody typed, a day later."""
    kind, count = next(iter(visit.silent.items()))
    told = selling.UnloggedSalesTold(
        fair=visit.code, bows=((kind, count),), place=visit.place, day=day.isoformat()
    )
    maker.world.unlike(kind, "sold, not typed", count)
    maker.write(told, day=day, typed=(day + timedelta(1), EVENING - 100))


def _learn(maker: Maker, visit: Visit, back: dict[str, int]) -> None:
    """Shift her belief towards what this fair sold, a little more where it ran out."""
    thumb = maker.process.thumb
    hours = _open_hours(visit) * visit.crowd / 3
    for kind, count in visit.brought.items():
        sold = (count - back.get(kind, 0)) / hours
        seen = sold * (thumb.sold_out_bump if not back.get(kind) else 1.0)
        old = maker.belief.get(kind, 0.0)
        maker.belief[kind] = old + thumb.last_counts * (seen - old)


def _truth(maker: Maker, visit: Visit) -> FairTruth:
    hours = _open_hours(visit)
    crowd = (visit.really / 3) ** maker.process.demand.crowd_power
    means = {
        kind: maker.appeal(kind, visit.days[0]) * hours * crowd * visit.shock
        for kind in maker.kinds
    }
    return FairTruth(
        visit.code, visit.really, hours, visit.shock, means, dict(visit.wanted),
        dict(visit.brought), dict(visit.sold), dict(visit.typed), dict(visit.lost),
    )  # fmt: skip
