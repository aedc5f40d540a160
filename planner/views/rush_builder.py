"""Build the rush order's view from the engine's answer."""

from __future__ import annotations

from collections.abc import Mapping

from planner.ledgers.catalogue import Catalogue, catalogue
from planner.ledgers.state import Ledgers
from planner.plans.due import Moved, RushAnswer
from planner.values.days import short_day
from planner.views import due_basis, due_builder, naming
from planner.views.due import DueOrder
from planner.views.foot import foot
from planner.views.rush import Rush, RushMove


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
        chance=answer.rush.chance, typed=_typed(cat, answer),
        rests_on=due_basis.rests_on(led, cat, answer.plan),
    )  # fmt: skip


def short(cat: Catalogue, answer: RushAnswer, own: DueOrder) -> str:
    """Answer in a sentence or two."""
    what = f"{answer.count:,} {naming.typed(cat, answer.kind)} by {own.due}"
    match answer.verdict:
        case "yes":
            return f"Yes: {what} can be ready {_when(own)}, and nobody is made late."
        case "yes, but":
            said = f"Yes, but: {what} can be ready {_when(own)}; {_cost(answer)}."
        case "no":
            said = f"No: {what} would be ready only {own.ready}."
        case _:
            said = f"Not as things stand: {what} wants {own.waits_for}."
    return said + _earliest(answer)


def _when(own: DueOrder) -> str:
    return "from stock, now" if own.ready == "ready now" else own.ready


def _cost(answer: RushAnswer) -> str:
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
    return "; ".join(said)


def _earliest(answer: RushAnswer) -> str:
    if answer.earliest is not None:
        day = short_day(answer.earliest)
        return f" {day} is the first day that could be promised at nobody's cost."
    if answer.verdict in ("no ribbon", "no supplies"):
        return " No day can be promised before that is on the way."
    last = short_day(answer.scanned_to)
    return f" No day up to {last} could be promised at nobody's cost."


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
        later_still=one.later_still,
    )  # fmt: skip


def _typed(cat: Catalogue, answer: RushAnswer) -> str:
    return (
        f"bows order take {answer.count} {naming.typed(cat, answer.kind)} "
        f"--due {answer.due.isoformat()} --rush"
    )
