"""The account of a settled fair: its bows, its tills, and the plan's score."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date
from zoneinfo import ZoneInfo

from planner.engines.fair_costs import Materials
from planner.engines.fair_scores import fair_score
from planner.engines.fair_tills import (
    kind_settled,
    kinds_of,
    tills,
    unnoticed_of,
    untyped,
)
from planner.ledgers.bows import UNNOTICED
from planner.ledgers.catalogue import catalogue
from planner.ledgers.fairs import Fair, past_fairs
from planner.ledgers.money import fair_day
from planner.ledgers.state import Ledgers
from planner.plans.settlement import DaySettled, KindSettled, Settlement
from planner.values.moments import end_of_day


def settlement(led: Ledgers, fair: Fair) -> Settlement:
    """Account for a fair that was settled."""
    kinds = tuple(kind_settled(led, fair, kind) for kind in kinds_of(fair))
    days = tuple(sorted((*tills(led, fair), *other_days(led, fair)),
                        key=lambda one: one.day))  # fmt: skip
    unnoticed = tuple(unnoticed_of(fair))
    # A day with typed sales alone, not announced, leaves the others' counts whole.
    bound = [day for day in days if day.opens or day.counted is not None]
    return Settlement(
        fair=fair.code, kinds=kinds, unnoticed=unnoticed,
        untyped=untyped(led, fair, kinds, unnoticed, bound), days=days,
        costs=fair.costs or fair.fee,
        materials=_materials(led, fair), score=fair_score(led, fair),
        beyond=_beyond(led, fair, kinds, bound), sets=tuple(_sets(led, fair)),
        first=not any(x.first_day < fair.first_day for x in past_fairs(led)),
    )  # fmt: skip


def other_days(led: Ledgers, fair: Fair) -> Iterator[DaySettled]:
    """Walk the tills of days that have money of the fair and were not announced."""
    announced = {fair_day(fair.code, day) for day, _, _ in fair.days}
    head = fair_day(fair.code, "")
    days = tuple(
        (item.removeprefix(head), "", "")
        for item in led.money.items
        if item.startswith(head) and item not in announced
    )
    yield from tills(led, replace(fair, days=days))


def _beyond(
    led: Ledgers, fair: Fair, kinds: Sequence[KindSettled], days: Sequence[DaySettled]
) -> int | None:
    """Give the takings that not even all missing bows, sold dear, would explain."""
    if any(day.counted is None for day in days):
        return None
    cat, zone = catalogue(led), ZoneInfo(led.zone)
    then = end_of_day(date.fromisoformat(fair.last_day), zone)
    prices: dict[str, list[int]] = {}
    for one in kinds:
        price = cat.price(one.kind, "fair", then) or cat.price(one.kind, "fair")
        if one.missing > 0 and not price:
            return None
        pattern = prices.setdefault(one.kind.partition(":")[0], [])
        pattern += [price or 0] * max(one.missing, 0)
    seen = dict(unnoticed_of(fair))
    # Those sold with the colour not noticed were typed: the cheapest, as far as known.
    most = sum(sum(sorted(each)[seen.get(p, 0) :]) for p, each in prices.items())
    over = sum((day.counted or 0) - day.typed for day in days)
    return max(over - most, 0)


def _sets(led: Ledgers, fair: Fair) -> Iterator[tuple[str, int]]:
    """Walk the sets sold, by the bows that went in them."""
    cat = catalogue(led)
    for code, bows in fair.in_sets.items():
        held = sum(n for _, n in cat.sets[code].kinds) if code in cat.sets else 0
        if held and (sold := sum(bows.values()) // held) > 0:
            yield code, sold


def _materials(led: Ledgers, fair: Fair) -> int | None:
    """Give what the bows typed as sold took in ribbon and supplies, if all is known."""
    prices = Materials(led)
    each = {k: prices.of(k) for k in kinds_of(fair) if _whole(led, k)}
    total = 0.0
    for kind, count in fair.sold.items():
        one = each.get(kind)
        if kind.endswith(UNNOTICED):
            one = _usual(each, kind.removesuffix(UNNOTICED))
        if one is None:
            return None
        total += one * count
    return round(total)


def _whole(led: Ledgers, kind: str) -> bool:
    cat = catalogue(led)
    pattern, way = cat.split(kind)
    return pattern in cat.patterns and way in cat.colourways


def _usual(each: Mapping[str, float | None], pattern: str) -> float | None:
    """Give the mean cost of a pattern's kinds, for sales without a colour."""
    own = [x for k, x in each.items() if x and k.partition(":")[0] == pattern]
    return sum(own) / len(own) if own else None
