"""Questions of what can be promised, and taking an order as it was worked out."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Annotated

import typer

from planner.commands import items as read
from planner.commands import say
from planner.commands.asking import made_words, names
from planner.commands.options import DryRun, Json
from planner.commands.questions import Page, finish
from planner.commands.session import Session, current
from planner.errors import Absurd, Unreadable
from planner.ledgers.state import Ledgers
from planner.rules import orders
from planner.rules.base import Proposal, next_code
from planner.rules.finding import find_unit
from planner.rules.pricing import wanted
from planner.values.daywords import spoken
from planner.values.quantities import parse_count

if TYPE_CHECKING:
    from planner.plans.rush import Promise, RushAnswer, Way
    from planner.views.promise import PromiseDays
    from planner.views.rush import Rush

Quantity = Annotated[str, typer.Argument(help="How many.", metavar="QTY")]
Kind = Annotated[list[str], typer.Argument(help="The kind or set.")]
Take = Annotated[
    int | None, typer.Option("--take", min=1, help="Take the order in this way.")
]
For = Annotated[
    str | None, typer.Option("--for", help="Whose it is: a name, or a code like P3.")
]
Price = Annotated[str | None, typer.Option("--price", help="The price of one.")]
Post = Annotated[
    int, typer.Option("--post-days", min=0, max=365, help="Days in the post.")
]


def rush(
    quantity: Quantity,
    words: Kind,
    by: Annotated[str, typer.Option("--due", help="When it is wanted: fri 16:00.")],
    take: Take = None,
    person: For = None,
    price: Price = None,
    post_days: Post = 0,
    costs: Annotated[
        bool, typer.Option("--costs/--no-costs", help="Say what each way costs.")
    ] = True,
    dry_run: DryRun = False,
    json: Json = False,
    page: Page = None,
) -> None:
    """
    Ask whether a rush order could be ready, whom it would make late, and the ways.

    Nothing is written unless a way is taken. The page names no other customer.

    Example: bows rush 6 4in navy --due fri
    """
    s = current()
    count, (day, hour) = parse_count(quantity, what="bows"), read.due(s, by)
    assert day is not None
    if day < s.today.isoformat():
        over = spoken(date.fromisoformat(day))
        raise Absurd(f"{over} is over.", instead="bows rush 6 4in navy --due fri")

    def answer(led: Ledgers, *, priced: bool) -> RushAnswer:
        from planner.engines.draws import DRAWS
        from planner.engines.rush import rush as ask

        return ask(
            led, now=s.now.moment.astimezone(s.zone), today=s.today,
            kind=find_unit(led, words)[0], count=count, due=date.fromisoformat(day),
            hour=hour, post_days=post_days, draws=DRAWS, costs=priced,
            code=next_code(led, "O"),
        )  # fmt: skip

    def rule(led: Ledgers) -> Proposal:
        found = answer(led, priced=False)
        way = _nth(found.ways, take or 1)
        return _taken(s, led, words, way, person=person, price=price,
                      post_days=post_days, is_rush=True)  # fmt: skip

    if take is not None:
        s.write(rule, dry_run=dry_run, json=json)
        return
    from planner.views.rush_builder import build

    led = s.ledgers()
    called = None if page is not None else names(s)
    view = build(led, answer(led, priced=costs), made=made_words(s), names=called)
    if finish(s, view, json=json, page=page):
        _say_rush(view, costs=costs)


def _nth(ways: tuple[Way, ...], number: int) -> Way:
    if number > len(ways):
        raise Unreadable(
            f"There {_count(len(ways))}, no {number}.",
            instead="--take 1, or look again",
        )
    return ways[number - 1]


def _count(ways: int) -> str:
    return "is 1 way" if ways == 1 else f"are {ways} ways"


def _taken(
    s: Session, led: Ledgers, words: list[str], way: Way, *, person: str | None,
    price: str | None, post_days: int, is_rush: bool,
) -> Proposal:  # fmt: skip
    """Turn a way into the order, with the promise kept to be scored."""
    from planner.log.chain import short
    from planner.rules.promises import promised

    whose = read.who(s, person)
    unit = wanted(led, " ".join(words), way.count, read.money(led, price))
    made = orders.taken(
        led, items=[unit], when=s.now.when, rand=s.rand, due=way.due.isoformat(),
        hour=way.hour, person=whose.person, new_person=whose.new_person, rush=is_rush,
        post_days=post_days,
    )  # fmt: skip
    return promised(led, made, way, head=short(led.head_hash), when=s.now.when)


def _say_rush(view: Rush, *, costs: bool) -> None:
    say.out(view.short)
    say.out(f"from stock {view.from_stock}, to make {view.make}: {view.work}")
    if view.early_late and view.make:
        say.out(f"ready {view.early_late}, nine times in ten by the second")
    if view.moves:
        say.table(
            ("order", "who", "due", "ready without it", "ready with it", "chance",
             "state"),
            [(m.code, m.who, m.due, m.before, m.after,
              f"{m.chance_before_shown} → {m.chance_after_shown}", m.state)
             for m in view.moves],
        )  # fmt: skip
    if view.ways:
        say.out("")
        say.table(
            ("way", "", "due", "chance", "costs", "falls short", "more bench time"),
            [(str(w.number), w.what, w.due, w.chance_shown,
              _costs(w.cost, w.cost_of) if costs else "", ", ".join(w.falls), w.extra)
             for w in view.ways],
            right=(0, 3),
        )  # fmt: skip
    if view.earliest:
        say.out(f"the earliest day {view.sure}: {view.earliest}")
    say.out(f"to take it: {view.typed}")


def _costs(cost: str, of: str) -> str:
    return f"{cost} ({of})" if of else cost


def promise(
    quantity: Quantity,
    words: Kind,
    take: Take = None,
    person: For = None,
    price: Price = None,
    post_days: Post = 0,
    dry_run: DryRun = False,
    json: Json = False,
    page: Page = None,
) -> None:
    """
    Ask which day to promise an order for: 50, 80, 90 and 95 times in a hundred.

    Nothing is written unless a day is taken.

    Example: bows promise 20 4in navy
    """
    s, count = current(), parse_count(quantity, what="bows")

    def answer(led: Ledgers) -> Promise:
        from planner.engines.draws import DRAWS
        from planner.engines.rush import promise as ask

        return ask(
            led, now=s.now.moment.astimezone(s.zone), today=s.today,
            kind=find_unit(led, words)[0], count=count, draws=DRAWS,
            post_days=post_days, code=next_code(led, "O"),
        )  # fmt: skip

    def rule(led: Ledgers) -> Proposal:
        from planner.engines.rush import way_on

        found = answer(led)
        day = _nth_day(found, take or 1)
        way = way_on(
            led, now=s.now.moment.astimezone(s.zone), today=s.today, kind=found.kind,
            count=count, due=day, post_days=post_days, code=next_code(led, "O"),
        )  # fmt: skip
        return _taken(s, led, words, way, person=person, price=price,
                      post_days=post_days, is_rush=False)  # fmt: skip

    if take is not None:
        s.write(rule, dry_run=dry_run, json=json)
        return
    from planner.views.promise_builder import build

    led = s.ledgers()
    view = build(led, answer(led), made=made_words(s))
    if finish(s, view, json=json, page=page):
        _say_promise(view)


def _nth_day(found: Promise, number: int) -> date:
    days = [day for _, day in found.days[:number]]
    if number > len(found.days) or days[-1] is None:
        raise Unreadable(
            f"There is no day {number} to take.", instead="look again without --take"
        )
    return days[-1]


def _say_promise(view: PromiseDays) -> None:
    say.out(view.short)
    say.out(f"from stock {view.from_stock}, to make {view.make}: {view.work}")
    say.table(
        ("way", "sure", "promise for"),
        [(str(d.number), d.chance_shown, d.due or "no day") for d in view.days],
        right=(0, 1),
    )
    known = [day for day in view.days if day.typed]
    if known:
        say.out(f"to take it: {known[-1].typed}")
    for line in view.rests_on:
        say.out(f"  · {line}")
