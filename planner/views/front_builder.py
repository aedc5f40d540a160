"""Build the front page from the other views, so that it can't say anything else."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date

from planner.engines.audit import most_unexplained
from planner.ledgers.catalogue import catalogue
from planner.ledgers.orders import READY, Order, open_orders
from planner.ledgers.state import Ledgers
from planner.views import naming
from planner.views.common import Link, Mood, SpoolLeft
from planner.views.due import DueDates, DueOrder
from planner.views.fair_plan import FairPlan
from planner.views.foot import foot
from planner.views.frontpage import Answer, FrontPage, OpenOrder
from planner.views.stock_builder import LOW, oddities, spools_left

NAMES: Mapping[str, str] = {
    "front": "index.html",
    "stock": "stock.html",
    "due": "due.html",
    "fair": "fair-plan.html",
}
"""File names of the pages, in order of the links on each."""

_MOODS: Mapping[str, Mood] = {
    "ready": "fine",
    "meets": "fine",
    "close": "look",
    "late": "act",
    "no ribbon": "act",
    "no supplies": "act",
    "no bench hours": "act",
}
_MOST = 4


def build(
    led: Ledgers, *, fair: FairPlan | None, due: DueDates, today: date, made: str,
    names: Mapping[str, str], stories: Iterable[str] = (), links: tuple[Link, ...] = (),
) -> FrontPage:  # fmt: skip
    """Give the three answers in short, and what asks for a look."""
    cat, written = catalogue(led), set(stories)
    return FrontPage(
        shop=naming.shop_view(led), links=links,
        foot=foot(led, as_of=today.isoformat(), known_on=None, made=made),
        day=naming.day(today.isoformat(), today), fair=_fair(fair), due=_due(due),
        ribbon=_ribbon(led, written),
        orders=tuple(_order(led, o, due, today, names) for o in open_orders(led)),
        spools_low=tuple(_low(led, written)), missing=tuple(oddities(led, today)),
        colours=tuple(naming.swatch(cat, code) for code in list(cat.colours)[:24]),
    )  # fmt: skip


def _fair(fair: FairPlan | None) -> Answer:
    question = "What shall I bring to the next fair?"
    if fair is None:
        return Answer(
            question=question, mood="fine", short="No fair is ahead.",
            typed="bows fair new NAME DAY 10:00-16:00",
        )  # fmt: skip
    points = tuple(
        f"make {turn.count} × {turn.kind} ({turn.time})"
        for turn in fair.make_next[:_MOST]
    )
    mood: Mood = "act" if fair.make and fair.days_left <= 7 else "look"
    return Answer(
        question=question, mood=mood if fair.make else "fine", short=fair.short,
        points=points, typed="bows fair plan",
        link=Link(text="Fair plan", href=NAMES["fair"]),
    )  # fmt: skip


def _due(due: DueDates) -> Answer:
    worst = [o for o in due.orders if _MOODS.get(o.state, "look") != "fine"]
    acts = any(_MOODS.get(o.state, "look") == "act" for o in worst)
    return Answer(
        question="Can every order be ready when it is due?",
        mood="act" if acts else "look" if worst else "fine", short=due.short,
        points=tuple(_due_point(o) for o in worst[:_MOST]), typed="bows due",
        link=Link(text="Due dates", href=NAMES["due"]),
    )  # fmt: skip


def _due_point(order: DueOrder) -> str:
    what = ", ".join(f"{line.count} × {line.kind}" for line in order.lines)
    words = f"{order.code}, {what}, due {order.due}: {order.state}"
    return f"{words} ({order.waits_for})" if order.waits_for else words


def _ribbon(led: Ledgers, written: set[str]) -> Answer:
    found = most_unexplained(led)
    if not found:
        return Answer(
            question="Where did the ribbon go?", mood="fine",
            short="Every inch of every spool is accounted for.",
            typed="bows story --all",
        )  # fmt: skip
    cat = catalogue(led)
    points = tuple(
        f"{code}, {cat.ribbon_name(led.spools[code].ribbon)}: {_off_words(led, nm)}"
        for code, nm in found[:_MOST]
    )
    worst = found[0][0]
    gone = sum(nm for _, nm in found if nm > 0)
    over = -sum(nm for _, nm in found if nm < 0)
    in_all = [f"{naming.length(led, gone)} gone in all"] if gone else []
    in_all += [f"{naming.length(led, over)} taken that was never entered"] * bool(over)
    return Answer(
        question="Where did the ribbon go?", mood="look",
        short=f"{len(found)} of {len(led.spools)} spools "
        f"{'holds' if len(found) == 1 else 'hold'} something not yet "
        f"explained: {', '.join(in_all)}.",
        points=points, typed=f"bows story {worst}",
        link=Link(text=f"Story of {worst}", href=f"story-{worst}.html")
        if worst in written else None,
    )  # fmt: skip


def _off_words(led: Ledgers, nm: int) -> str:
    if nm > 0:
        return f"{naming.length(led, nm)} not yet explained"
    return f"{naming.length(led, -nm)} more went out of it than the records had"


def _order(
    led: Ledgers, order: Order, due: DueDates, today: date, names: Mapping[str, str]
) -> OpenOrder:
    cat = catalogue(led)
    told = next((o for o in due.orders if o.code == order.code), None)
    state = READY if order.state == READY else told.state if told else order.state
    what = ", ".join(
        f"{line.count} × {naming.typed(cat, line.what)}" for line in order.lines
    )
    return OpenOrder(
        code=order.code, who=names.get(order.person or "", order.person or ""),
        what=what, due_on=order.due or "",
        due=naming.day(order.due, today) if order.due else "no day",
        mood=_MOODS.get(state, "fine"), state=state,
    )  # fmt: skip


def _low(led: Ledgers, written: set[str]) -> Iterable[SpoolLeft]:
    low = [s for s in spools_left(led) if 0 < s.left_nm < LOW]
    for spool in sorted(low, key=lambda s: s.left_nm)[:12]:
        kept = spool.code in written
        yield spool if kept else spool.model_copy(update={"href": ""})
