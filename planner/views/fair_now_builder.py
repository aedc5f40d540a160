"""Build the view of a day at the stall."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date

from planner.ledgers.bows import UNNOTICED
from planner.ledgers.catalogue import Catalogue, catalogue
from planner.ledgers.fairs import Fair, at_stall
from planner.ledgers.state import Ledgers
from planner.plans.settlement import DaySettled
from planner.rules.pricing import figure
from planner.values.daywords import spoken
from planner.views import naming
from planner.views.fair_now import FairNow, OnStall
from planner.views.foot import foot


def build(
    led: Ledgers, fair: Fair, till: DaySettled, purses: tuple[int, int], *,
    today: date, made: str,
) -> FairNow:  # fmt: skip
    """Show how a day stands: `purses` are its typed cash and card, minor units."""
    cat, there = catalogue(led), at_stall(led, fair.code)
    state = _state(fair, till.day)
    kinds = tuple(_kinds(cat, fair, there))
    sold = sum(max(n, 0) for n in fair.sold.values())
    left, cash = sum(there.values()), naming.money(led, till.float_ + purses[0])
    return FairNow(
        shop=naming.shop_view(led),
        foot=foot(led, as_of=today.isoformat(), known_on=None, made=made),
        code=fair.code, fair=fair.name, day_on=till.day,
        day=f"{spoken(date.fromisoformat(till.day))}, {till.opens} to {till.closes}",
        state=state, float_minor=till.float_, cash_minor=purses[0],
        card_minor=purses[1], till_minor=till.float_ + purses[0], till=cash,
        short=(
            f"{fair.name}, {state}: {naming.money(led, till.typed)} typed that day, "
            f"{cash} ought to be in the till; {sold:,} sold, {left:,} on the stall."
        ),
        kinds=kinds, left=left, sold=sold,
        then=_then(fair, state, _takings(led, purses)),
    )  # fmt: skip


def _state(fair: Fair, day: str) -> str:
    if day in fair.closed:
        return "closed"
    return "open" if day in fair.opened else "not opened"


def _takings(led: Ledgers, purses: tuple[int, int]) -> str:
    """Say the day's typed cash and card sales as closing the day takes them."""
    cash, card = (figure(led, max(minor, 0)) for minor in purses)
    return f"{cash} --card {card}" if purses[1] > 0 else cash


def _then(fair: Fair, state: str, takings: str) -> str:
    if not fair.packed:
        return f"bows fair pack {fair.code}"
    if state == "closed":
        more = len(set(fair.closed)) < len(fair.days)
        verb = "plan" if more else "settle"
        back = "" if more else " 3 4in navy, 2 4in red"
        return f"bows fair {verb} {fair.code}{back}"
    verb = "close" if state == "open" else "open"
    money = takings if state == "open" else "--float 40"
    return f"bows fair {verb} {fair.code} {money}"


def _kinds(cat: Catalogue, fair: Fair, there: Mapping[str, int]) -> Iterator[OnStall]:
    """Walk what sold or is there, what ran low first, then what sold most."""
    named = dict.fromkeys([*fair.packed, *fair.sold, *there])
    rows = [
        (k, max(fair.sold.get(k, 0), 0), there.get(k, 0)) for k in named
        if not k.endswith(UNNOTICED)
    ]  # fmt: skip
    for kind, sold, left in sorted(rows, key=lambda r: (r[2] > 1, -r[1], r[0])):
        yield OnStall(
            kind=naming.typed(cat, kind), swatches=naming.swatches_of_kind(cat, kind),
            sold=sold, left=left, note=_note(fair, kind, left),
        )  # fmt: skip


def _note(fair: Fair, kind: str, left: int) -> str:
    told = [(day, hour) for one, day, hour in fair.sold_out if one == kind]
    if told:
        day, hour = told[-1]
        said = spoken(date.fromisoformat(day))
        return f"sold out {said} {hour}" if hour else f"sold out {said}"
    if left < 0:
        return "more went than the records have there"
    return {0: "none left: sold out?", 1: "the last one"}.get(left, "")
