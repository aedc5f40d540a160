"""The account of a settled fair: its bows, its tills, and the plan's score."""

from __future__ import annotations

from collections.abc import Mapping

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
from planner.ledgers.fairs import Fair
from planner.ledgers.state import Ledgers
from planner.plans.settlement import Settlement


def settlement(led: Ledgers, fair: Fair) -> Settlement:
    """Account for a fair that was settled."""
    kinds = tuple(kind_settled(led, fair, kind) for kind in kinds_of(fair))
    days, unnoticed = tuple(tills(led, fair)), tuple(unnoticed_of(fair))
    return Settlement(
        fair=fair.code, kinds=kinds, unnoticed=unnoticed,
        untyped=untyped(led, fair, kinds, unnoticed, days), days=days,
        costs=fair.costs or fair.fee,
        materials=_materials(led, fair), score=fair_score(led, fair),
    )  # fmt: skip


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
