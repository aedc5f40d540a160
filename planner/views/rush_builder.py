"""Build the rush order's view from the engine's answer."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date, datetime

from planner.ledgers.catalogue import Catalogue, catalogue
from planner.ledgers.state import Ledgers
from planner.plans.rush import Moved, RushAnswer, Way
from planner.plans.taking import stretch_minutes, stretch_words
from planner.values.days import short_day
from planner.views import due_basis, due_builder, naming
from planner.views.due import DueOrder
from planner.views.foot import foot
from planner.views.rush import Rush, RushMove, RushWay


def build(
    led: Ledgers,
    answer: RushAnswer,
    *,
    made: str,
    names: Mapping[str, str] | None = None,
    as_of: str = "",
    known_on: str | None = None,
) -> Rush:
    """Show whether a rush can be ready when due, and what it would move."""
    cat = catalogue(led)
    own = due_builder.order_view(led, cat, answer.rush, answer.plan, {})
    called = names or {}
    return Rush(
        shop=naming.shop_view(led),
        foot=foot(
            led, as_of=as_of or answer.plan.today.isoformat(), known_on=known_on,
            made=made,
        ),
        kind=naming.typed(cat, answer.kind), count=answer.count,
        due_on=answer.due.isoformat(), due=own.due, verdict=answer.verdict,
        short=short(cat, answer, own),
        from_stock=sum(line.at_hand for line in answer.rush.lines),
        make=answer.rush.make, work_minutes=own.work_minutes, work=own.work,
        ready_on=own.ready_on, ready=own.ready, slack_minutes=own.slack_minutes,
        slack=own.slack, waits_for=own.waits_for,
        moves=tuple(_move(led, cat, answer, one, called) for one in answer.moved),
        earliest_on=answer.earliest.isoformat() if answer.earliest else "",
        earliest=short_day(answer.earliest) if answer.earliest else "",
        chance=answer.rush.chance, chance_shown=own.chance_shown,
        early_late=early_late(answer.rush.early, answer.rush.late),
        ways=tuple(_ways(led, cat, answer)), sure=_sure(answer),
        typed=_typed(cat, answer),
        rests_on=due_basis.rests_on(led, cat, answer.plan),
    )  # fmt: skip


def short(cat: Catalogue, answer: RushAnswer, own: DueOrder) -> str:
    """Answer in a sentence or two."""
    what = f"{answer.count:,} {naming.typed(cat, answer.kind)} by {own.due}"
    match answer.verdict:
        case "yes":
            said = f"Yes: {what} can be ready {_when(own)}{_at(own)}"
            return f"{said}, and nobody is made late."
        case "yes, but":
            said = f"Yes, but: {what} can be ready {_when(own)}{_at(own)}"
            said += "".join(f"; {cost}" for cost in _cost(answer)) + "."
        case "no":
            said = f"No: {what} {_too_late(own)}."
        case _:
            said = f"Not as things stand: {what} wants {own.waits_for}."
    return said + _earliest(answer)


def _when(own: DueOrder) -> str:
    return "from stock, now" if own.ready == "ready now" else own.ready


def _too_late(own: DueOrder) -> str:
    if own.state == "late":
        return f"would be ready only {own.ready}{_at(own)}"
    return f"would be in time only with a chance of {own.chance_shown}"


def _at(own: DueOrder) -> str:
    return (
        f" ({own.chance_shown} sure)" if own.chance_shown and own.work_minutes else ""
    )


def _cost(answer: RushAnswer) -> list[str]:
    """Say at whose cost it would be."""
    late = [m.code for m in answer.moved if m.newly_late and m.after.state == "late"]
    bare = [m.code for m in answer.moved if m.newly_late and m.after.state != "late"]
    later = [m.code for m in answer.moved if m.later_still]
    said = []
    if late:
        said.append(f"{due_basis.listed(late)} would be late for it")
    if bare:
        said.append(f"{due_basis.listed(bare)} would lack what it takes")
    if later:
        said.append(f"{due_basis.listed(later)}, late already, would be later still")
    falls = [m.code for m in answer.moved if m.falls and not m.newly_late]
    falls = [code for code in falls if code not in later]
    if falls:
        said.append(
            f"{due_basis.listed(falls)} would be less sure than they ought to be"
        )
    return said


def _sure(answer: RushAnswer) -> str:
    return "at 90 % and nobody's cost" if answer.plan.draws else "at nobody's cost"


def _earliest(answer: RushAnswer) -> str:
    if answer.earliest is not None:
        day = short_day(answer.earliest)
        return f" {day} is the first day that could be promised {_sure(answer)}."
    if answer.verdict in ("no ribbon", "no supplies"):
        return " No day can be promised before that is on the way."
    last = short_day(answer.scanned_to)
    return f" No day up to {last} could be promised {_sure(answer)}."


def _move(
    led: Ledgers, cat: Catalogue, answer: RushAnswer, one: Moved,
    names: Mapping[str, str],
) -> RushMove:  # fmt: skip
    was = due_builder.order_view(led, cat, one.before, answer.plan, names)
    now = due_builder.order_view(led, cat, one.after, answer.plan, names)
    return RushMove(
        code=one.code, who=now.who, due_on=now.due_on, due=now.due,
        before_on=was.ready_on, before=was.ready, after_on=now.ready_on,
        after=now.ready, was=was.state, state=now.state, newly_late=one.newly_late,
        later_still=one.later_still, chance_before=one.before.chance,
        chance_before_shown=was.chance_shown, chance_after=one.after.chance,
        chance_after_shown=now.chance_shown, falls=one.falls,
    )  # fmt: skip


def early_late(early: date | datetime | None, late: date | datetime | None) -> str:
    """Say from which to which day a finish is spread."""
    if early is None:
        return ""
    return f"{_short(early)} to {_short(late) if late else 'later still'}"


def _short(day: date | datetime) -> str:
    return short_day(day.date() if isinstance(day, datetime) else day)


def _ways(led: Ledgers, cat: Catalogue, answer: RushAnswer) -> Iterator[RushWay]:
    for number, way in enumerate(answer.ways, 1):
        more = stretch_minutes(way.stretches)
        extra = (
            f"{naming.minutes(more)}: {stretch_words(way.stretches)}" if more else ""
        )
        due = short_day(way.due) + (f", {way.hour}" if way.hour else "")
        yield RushWay(
            number=number, what=_what(cat, way), count=way.count,
            due_on=way.due.isoformat(), due=due, chance=way.chance,
            chance_shown=due_builder.chance_words(way.chance),
            early_late=early_late(way.early, way.late), falls=way.falls,
            extra_minutes=more, extra=extra, fair_lost_minor=way.fair_lost,
            hours_cost_minor=way.hours, lateness_minor=way.lateness,
            cost_minor=way.cost, cost=naming.money(led, way.cost),
            cost_of=_cost_of(led, way),
            typed=_asking(cat, answer) + f" --take {number}",
        )  # fmt: skip


def _what(cat: Catalogue, way: Way) -> str:
    match way.what:
        case "from the fair":
            bows = ", ".join(f"{n} {naming.typed(cat, k)}" for k, n in way.taken)
            return f"with {bows} set aside for {way.fair}"
        case "more hours":
            return "with more bench time"
        case "later day":
            return f"for {short_day(way.due)}"
        case "fewer bows":
            return f"{way.count:,} of them"
        case _:
            return "as asked"


def _cost_of(led: Ledgers, way: Way) -> str:
    parts = (
        ("of the fair", way.fair_lost), ("of bench time", way.hours),
        ("of others' lateness", way.lateness),
    )  # fmt: skip
    return ", ".join(f"{naming.money(led, x)} {what}" for what, x in parts if x)


def _asking(cat: Catalogue, answer: RushAnswer) -> str:
    due = answer.due.isoformat() + (f" {answer.hour}" if answer.hour else "")
    said = f"bows rush {answer.count} {naming.typed(cat, answer.kind)} "
    said += f'--due "{due}"' if answer.hour else f"--due {due}"
    return said + (f" --post-days {answer.post_days}" if answer.post_days else "")


def _typed(cat: Catalogue, answer: RushAnswer) -> str:
    if answer.ways:
        return _asking(cat, answer) + " --take 1"
    return (
        f"bows order take {answer.count} {naming.typed(cat, answer.kind)} "
        f"--due {answer.due.isoformat()} --rush"
    )
