"""Evenings at the bench: what she takes up, cuts, makes and spoils."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from planner.events import bench
from planner.events.base import Event
from planner.events.fields import PartUse
from planner.scenario.chance import binomial, happens, times
from planner.scenario.clock import minute_of
from planner.scenario.maker import EVENING, Maker, Order
from planner.scenario.spools import cut, cut_event, finish_off
from planner.scenario.typing_up import (
    BREAK,
    Session,
    note_batch,
    sitting_code,
    type_up,
)
from planner.scenario.world import HOME, Bundle, Use

LATE = 22 * 60 + 40
"""When she sits down again if she must, minutes since midnight."""
SPOILT = ("scorched", "crooked knot", "came out short", "glue on front")


@dataclass(frozen=True, slots=True)
class Job:
    """Something to make: for an order, or for the next fair."""

    kind: str
    count: int
    order: Order | None = None


def sit(maker: Maker, day: date) -> None:
    """Work an evening or a Saturday morning, if she does."""
    for hours in maker.process.bench.rules:
        if day.weekday() in hours.weekdays and _comes(maker, day):
            _sit(maker, day, minute_of(hours.start), minute_of(hours.end))


def _comes(maker: Maker, day: date) -> bool:
    b, rng = maker.process.bench, maker.dice("bench")
    if any(day in visit.days for visit in maker.visits):
        return False
    for weeks in b.away_weeks_before:
        if 0 <= (day - maker.weeks_ago(weeks)).days % 364 < 7:
            return False
    return happens(rng, b.idle_attend if maker.is_idle(day) else b.attend)


def _sit(maker: Maker, day: date, start: int, end: int) -> None:
    b, rng = maker.process.bench, maker.dice("bench")
    planned = end - start
    budget = planned * min(b.share * times(rng, b.share_spread), 1.35)
    late = rng.randint(0, 9)
    session = Session("", day, start + late, budget, planned, times(rng, b.between))
    while (job := next_job(maker, session)) and _work(maker, session, job):
        pass
    if session.batches and happens(rng, b.cut_ahead):
        _cut_ahead(maker, session)
    if session.lines:
        type_up(maker, session)


def sit_for(maker: Maker, day: date, order: Order) -> None:
    """Sit down late for one order that must be done."""
    session = Session("", day, LATE, 240, 0, 1.0)
    for kind, count in order.lacking().items():
        taken = min(max(maker.free(kind), 0), count)
        order.have[kind] = order.have.get(kind, 0) + taken
        if count > taken:
            _work(maker, session, Job(kind, count - taken, order))
    if session.lines:
        type_up(maker, session)


def next_job(maker: Maker, session: Session) -> Job | None:
    """Give what she takes up next: orders by due day, then the widest gap."""
    for order in sorted(maker.orders, key=lambda o: (o.due, o.code)):
        if order.state != "open" or order.held:
            continue
        for kind, count in order.lacking().items():
            if kind not in session.stuck:
                return Job(kind, min(count, maker.process.bench.batch), order)
    return _for_stock(maker, session)


def _for_stock(maker: Maker, session: Session) -> Job | None:
    """Give the kind furthest below what she wishes to have for the next fair."""
    b, rng = maker.process.bench, maker.dice("bench")
    if maker.is_idle(session.day) and not happens(rng, b.idle_stock):
        return None
    free = maker.all_free()
    gaps = {
        kind: wish - free[kind]
        for kind, wish in maker.wish.items()
        if kind not in session.stuck
    }
    wide = {k: g for k, g in gaps.items() if g >= 2 or (g and free[k] <= 0)}
    if not wide:
        return None
    kind = max(wide, key=lambda k: (wide[k], maker.belief.get(k, 0.0), k))
    return Job(kind, min(max(wide[kind], rng.randint(*b.least_batch)), b.batch))


def minutes_each(maker: Maker, kind: str) -> float:
    """Give the median minutes a bow takes her by now (a power law with a floor)."""
    b, made = maker.process.bench, maker.pattern(kind)
    past = (maker.practice[made.pattern] + b.made_before) / (b.made_before + 200)
    return made.minutes * max(float(past**-b.learning), b.floor)


def _work(maker: Maker, session: Session, job: Job) -> bool:
    """Make one batch; says whether the evening goes on."""
    made = maker.pattern(job.kind)
    left = session.budget - session.used - made.set_up
    count = min(job.count, int(left / (minutes_each(maker, job.kind) * session.pace)))
    if count < 1:
        return False
    count = _cut_for(maker, session, job.kind, count)
    if count < 1:
        session.stuck.add(job.kind)
        return True
    _make(maker, session, job, count)
    return True


def _cut_for(maker: Maker, session: Session, kind: str, count: int) -> int:
    """Cut what a batch lacks; returns how many bows there are parts for."""
    typed = not happens(maker.dice("habits"), maker.process.habits.cut_untold)
    events: list[Event] = []
    for role, (length, each) in maker.cuts[maker.pattern(kind).pattern].items():
        ribbon = maker.ribbon(kind, role)
        lack = count * each - _waiting(maker, ribbon, role, length)
        if lack > 0:
            bundles, met = cut(maker, ribbon, role, length, lack, typed=typed)
            events += [_cut_line(maker, session, b, kind) for b in bundles if b.told]
            events += met
    session.note(*events)
    _miscut(maker, session, kind)
    _finish_spools(maker, session, kind)
    return _fit(maker, kind, count)


def _waiting(maker: Maker, ribbon: str, role: str, length: int) -> int:
    return sum(b.count for b in maker.world.waiting(ribbon, role, length))


def _fit(maker: Maker, kind: str, count: int) -> int:
    """Count the bows the parts on the bench suffice for."""
    for role, (length, each) in maker.cuts[maker.pattern(kind).pattern].items():
        have = _waiting(maker, maker.ribbon(kind, role), role, length)
        count = min(count, have // each)
    return count


def _cut_line(maker: Maker, session: Session, made: Bundle, kind: str) -> Event:
    revision, code = maker.revision(kind), sitting_code(maker, session)
    return cut_event(made, kind=kind, revision=revision, sitting=code)


def _miscut(maker: Maker, session: Session, kind: str) -> None:
    """Now and then a part is cut wrong and thrown out (and typed)."""
    if not happens(maker.dice("cutting"), maker.process.losses.miscut):
        return
    role, (length, _) = next(iter(maker.cuts[maker.pattern(kind).pattern].items()))
    waiting = maker.world.waiting(maker.ribbon(kind, role), role, length)
    spare = [b for b in waiting if b.told and b.count > 1]
    if spare:
        use = maker.world.take_from(spare[-1], 1)
        session.note(bench.PartsScrapped(
            bundle=use.bundle.code, spool=str(use.bundle.told), role=role,
            length=length, count=1, why="mis-cut",
        ))  # fmt: skip


def _finish_spools(maker: Maker, session: Session, kind: str) -> None:
    roles = maker.cuts[maker.pattern(kind).pattern]
    for ribbon in dict.fromkeys(maker.ribbon(kind, role) for role in roles):
        shortest = maker.shortest(ribbon)
        for taken in maker.world.spools.get(ribbon, ()):
            session.note(*finish_off(maker, taken, shortest))


def _make(maker: Maker, session: Session, job: Job, count: int) -> None:
    made = maker.pattern(job.kind)
    session.used += made.set_up + _minutes(maker, session, job.kind, count)
    spoiled = binomial(maker.dice("bench"), count, made.spoil)
    session.batches += 1
    if count > spoiled:
        uses = take_parts(maker, job.kind, count - spoiled)
        finished = _finished(maker, session, job, count - spoiled, uses)
        note_batch(
            maker, session, finished, uses, _spoiled(maker, session, job.kind, spoiled)
        )
    else:
        session.note(*_spoiled(maker, session, job.kind, spoiled))
    session.used += BREAK


def _minutes(maker: Maker, session: Session, kind: str, count: int) -> float:
    rng, spread, total = maker.dice("bench"), maker.process.bench.within, 0.0
    for _ in range(count):
        total += minutes_each(maker, kind) * session.pace * times(rng, spread)
        maker.practice[maker.pattern(kind).pattern] += 1
    return total


def take_parts(maker: Maker, kind: str, count: int) -> list[Use]:
    """Take the parts of so many bows off the bench."""
    uses: list[Use] = []
    for role, (length, each) in maker.cuts[maker.pattern(kind).pattern].items():
        uses += maker.world.take(maker.ribbon(kind, role), role, length, count * each)
    return uses


def _told(use: Use) -> PartUse:
    b = use.bundle
    if b.told is None:
        return PartUse(role=b.role, length=b.length, count=use.count)
    return PartUse(
        role=b.role, length=b.length, count=use.count, bundle=b.code, spool=b.told
    )


def _finished(
    maker: Maker, session: Session, job: Job, count: int, uses: list[Use]
) -> bench.BowsFinished:
    kind = job.kind
    maker.world.put(HOME, kind, count)
    maker.made[kind] += count
    if job.order:
        job.order.have[kind] = job.order.have.get(kind, 0) + count
    setting = maker.pattern(kind).setting
    return bench.BowsFinished(
        batch=maker.codes.next("B"), made=kind, revision=maker.revision(kind),
        count=count, parts=tuple(_told(use) for use in uses),
        supplies=_supplies(maker, kind, count), sitting=sitting_code(maker, session),
        order=job.order.code if job.order else None,
        ready=maker.clock.stamp(session.day, session.now + setting),
    )  # fmt: skip


def _supplies(maker: Maker, kind: str, count: int) -> tuple[tuple[str, int], ...]:
    rng, made = maker.dice("supplies"), maker.pattern(kind)
    broken = {s.supply: s.broken for s in maker.process.supplies}
    used = []
    for supply in (made.clip, "card"):
        used += maker.world.use_units(supply, count)
        maker.world.break_units(supply, binomial(rng, count, broken[supply]))
    return tuple(used)


def _spoiled(maker: Maker, session: Session, kind: str, count: int) -> list[Event]:
    """Spoil bows; some she doesn't type, and their parts stay in her records."""
    if not count:
        return []
    uses, rng = take_parts(maker, kind, count), maker.dice("habits")
    if happens(rng, maker.process.habits.spoiled_untold):
        for use in uses:
            if use.bundle.told is not None:
                spool = maker.world.all_spools[use.bundle.told]
                spool.causes["spoiled, not typed"] -= use.bundle.length * use.count
        return []
    return [bench.BowsSpoiled(
        made=kind, revision=maker.revision(kind), count=count,
        scrapped=tuple(_told(use) for use in uses),
        sitting=sitting_code(maker, session), why=rng.choice(SPOILT),
    )]  # fmt: skip


def _cut_ahead(maker: Maker, session: Session) -> None:
    """Cut standard knots ahead, for no kind in particular."""
    rng = maker.dice("cutting")
    kind, count = rng.choice(maker.kinds), 12 + 6 * rng.randint(0, 2)
    length, _ = maker.cuts[maker.pattern(kind).pattern]["knot"]
    ribbon = maker.ribbon(kind, "knot")
    bundles, met = cut(maker, ribbon, "knot", length, count, typed=True)
    code = session.code or None
    events = [cut_event(b, kind=None, revision=None, sitting=code) for b in bundles]
    session.note(*events, *met)


def cut_for_waiting(maker: Maker, day: date) -> None:
    """Cut the first line of an order that waits its turn; the parts wait with it."""
    held = [o for o in maker.orders if o.held and all(map(maker.can_cut, o.need))]
    for order in sorted(held, key=lambda o: o.due)[:1]:
        kind, count = next(iter(order.lacking().items()))
        events: list[Event] = []
        for role, (length, each) in maker.cuts[maker.pattern(kind).pattern].items():
            ribbon = maker.ribbon(kind, role)
            bundles, met = cut(maker, ribbon, role, length, count * each, typed=True)
            events += [
                cut_event(b, kind=kind, revision=maker.revision(kind), sitting=None)
                for b in bundles
            ]
            events += met
        if events:
            maker.write(*events, day=day, minute=EVENING + 2)
