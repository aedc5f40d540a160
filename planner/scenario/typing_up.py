"""How an evening gets into the notebook: as it went, days later, or with a slip."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

from planner.events import bench
from planner.events.base import Event
from planner.events.bows import LabelsPrinted
from planner.events.fields import PartUse
from planner.scenario.chance import binomial, happens, swapped
from planner.scenario.maker import Maker
from planner.scenario.notebook import Draft
from planner.scenario.process import inches
from planner.scenario.world import Use

BREAK = 3.0
"""Minutes between two batches."""
CATCHING_UP = 19 * 60 + 5
"""When she types evenings that have gone by, minutes since midnight."""


@dataclass(slots=True, eq=False)
class Session:
    """One sitting as it goes; times are minutes since midnight."""

    code: str
    day: date
    start: int
    budget: float
    planned: int
    pace: float
    used: float = 0.0
    stuck: set[str] = field(default_factory=set)
    lines: list[tuple[float, tuple[Event, ...]]] = field(default_factory=list)
    slips: list[tuple[int, tuple[Event, ...]]] = field(default_factory=list)
    cuts_left_out: list[tuple[bench.BowsFinished, Sequence[Use]]] = field(
        default_factory=list
    )
    batches: int = 0

    @property
    def now(self) -> float:
        """The minute it is."""
        return self.start + self.used

    def note(self, *events: Event) -> None:
        """Keep an entry to be typed, now or when she catches up."""
        if events:
            self.lines.append((self.now, events))


def sitting_code(maker: Maker, session: Session) -> str:
    """Give the sitting its code when the first thing is done in it."""
    if not session.code:
        session.code = maker.codes.next("T")
    return session.code


def note_batch(
    maker: Maker,
    session: Session,
    made: bench.BowsFinished,
    uses: Sequence[Use],
    spoiled: Sequence[Event],
) -> None:
    """Note a batch: now and then with a slip, its trimmings, its labels."""
    habits, rng = maker.process.habits, maker.dice("habits")
    if not maker.near_the_end(session.day) and happens(rng, habits.slip):
        _slip(maker, session, made, spoiled)
        return
    session.note(made, *spoiled)
    _trimmings(maker, session, made)
    _labels(maker, session, made)
    if any(use.bundle.told is None for use in uses):
        session.cuts_left_out.append((made, uses))


def _slip(
    maker: Maker, session: Session, right: bench.BowsFinished, spoiled: Sequence[Event]
) -> None:
    """Mistype a count; it is put right some days later, or never found."""
    rng, habits = maker.dice("habits"), maker.process.habits
    wrong = right.model_copy(update={"count": swapped(rng, right.count)})
    session.note(wrong, *spoiled)
    if happens(rng, habits.slip_found):
        again = right.model_copy(update={"batch": maker.codes.next("B")})
        session.slips.append((len(session.lines) - 1, (again, *spoiled)))
    else:
        maker.world.unlike(right.made, "slip of the finger", right.count - wrong.count)


def _labels(maker: Maker, session: Session, made: bench.BowsFinished) -> None:
    if happens(maker.dice("trimmings"), maker.process.habits.labels):
        session.note(LabelsPrinted(batch=made.batch, count=made.count))


def _trimmings(maker: Maker, session: Session, made: bench.BowsFinished) -> None:
    """Now and then measure what was trimmed off each bow of a batch."""
    spool = next((p.spool for p in made.parts if p.role == "body" and p.spool), None)
    rng, truth = maker.dice("trimmings"), maker.process.ribbon_truth
    if spool is None or not happens(rng, maker.process.habits.trimmings):
        return
    count = min(made.count, 10)
    drawn = [rng.gauss(truth.trim_in, truth.trim_spread_in) for _ in range(count)]
    each = tuple(max(round(d * 16), 1) * inches(1 / 16) for d in drawn if d > 1 / 32)
    short = count - len(each) + binomial(rng, 1, truth.too_short)
    if each:
        session.note(bench.TrimmingsMeasured(
            spool=spool, role="body", length=sum(each), batch=made.batch, each=each,
            short=short,
        ))  # fmt: skip


def type_up(maker: Maker, session: Session) -> None:
    """Type the evening: as it went, or days later with those since."""
    on = _typing_day(maker, session)
    _sitting(maker, session)
    drafts = [_line(maker, session, on, line) for line in session.lines]
    for index, events in session.slips:
        _put_right(maker, session, drafts[index], events)
    for made, uses in session.cuts_left_out:
        _cut_late(maker, session, on, made, uses)


def _typing_day(maker: Maker, session: Session) -> date:
    habits, rng = maker.process.habits, maker.dice("habits")
    day = session.day
    if happens(rng, habits.late_evening) and not maker.near_the_end(day):
        day += timedelta(rng.randint(*habits.late_days))
    # She catches up in order: no evening is typed before an earlier one.
    maker.behind = max(maker.behind, day)
    return maker.behind


def _line(
    maker: Maker, session: Session, on: date, line: tuple[float, tuple[Event, ...]]
) -> Draft:
    minute, events = line
    typed = (on, minute + 2 if on == session.day else CATCHING_UP)
    return maker.write(*events, day=session.day, minute=minute, typed=typed)


def _sitting(maker: Maker, session: Session) -> None:
    """Log the sitting: with the batch, where the evening made only one."""
    if not session.code:
        return
    maker.sitting_minutes[session.code] = session.used
    if session.batches == 1 and not session.slips:
        _with_its_batch(session)
    else:
        minutes = max(round(session.used / 5) * 5, 5)
        session.note(_logged(session, minutes))


def _logged(session: Session, minutes: int) -> Event:
    return bench.SittingLogged(
        sitting=session.code, minutes=minutes, planned=session.planned
    )


def _with_its_batch(session: Session) -> None:
    minutes = max(round(session.used - BREAK), 1)
    for index, (minute, events) in enumerate(session.lines):
        first = events[0]
        if isinstance(first, bench.BowsFinished):
            told = first.model_copy(update={"minutes": minutes})
            all_told = (_logged(session, minutes), told, *events[1:])
            session.lines[index] = (minute, all_told)


def _put_right(
    maker: Maker, session: Session, wrong: Draft, events: tuple[Event, ...]
) -> None:
    """Find a slip some days after: take the entry back and type it anew."""
    rng, minute = maker.dice("habits"), session.lines[0][0]
    day = maker.clock.day_of(wrong.recorded) + timedelta(rng.randint(1, 4))
    maker.take_back(wrong, day, CATCHING_UP - 25, why="typed the wrong number")
    typed = (day, CATCHING_UP - 24.0)
    maker.write(*events, day=session.day, minute=minute, typed=typed)


def _cut_late(
    maker: Maker, session: Session, on: date, made: bench.BowsFinished,
    uses: Sequence[Use],
) -> None:  # fmt: skip
    """Some days later, type the cut behind a batch that was typed without one."""
    rng, habits = maker.dice("habits"), maker.process.habits
    if maker.near_the_end(session.day) or not happens(rng, habits.cut_told_late):
        return
    events: list[Event] = []
    for use in (use for use in uses if use.bundle.told is None):
        events += _late_pair(maker, made, use)
    when = (on + timedelta(rng.randint(1, 4)), CATCHING_UP - 10)
    maker.write(*events, day=session.day, minute=session.start, typed=when)


def _late_pair(maker: Maker, made: bench.BowsFinished, use: Use) -> list[Event]:
    b, code = use.bundle, maker.codes.next("C")
    b.spool.causes["cut not typed"] += b.length * use.count
    part = PartUse(
        role=b.role, length=b.length, count=use.count, bundle=code, spool=b.spool.code
    )
    cut = bench.RibbonCut(
        bundle=code, spool=b.spool.code, role=b.role, length=b.length, count=use.count,
        for_kind=made.made, revision=made.revision,
    )  # fmt: skip
    return [cut, bench.BatchPartsTold(batch=made.batch, parts=(part,))]
