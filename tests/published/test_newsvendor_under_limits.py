"""Several items that share a limit: published rules and cases counted out."""

from __future__ import annotations

import itertools
from fractions import Fraction

import pytest

from planner.engines.counts import CountLaw
from planner.engines.demands import Normal, Uniform
from planner.engines.newsvendor import Item, allocate, outcome, reach, share_one_limit


def test_ten_parkas_share_a_capacity_at_one_common_risk():
    """Hammond & Raman, case 9-695-022, exhibit 10 (from memory; the six committee
    forecasts give every printed mean and sd). With equal margins the best division
    puts all at the same z: mean - k * 2 sd."""
    means = [1017, 1042, 1358, 2525, 1100, 2150, 1113, 4017, 3296, 2383]
    spreads = [194, 323, 248, 340, 381, 404, 524, 556, 1047, 697]
    laws = [Normal(m, 2 * s) for m, s in zip(means, spreads, strict=True)]
    shares, worth = share_one_limit(
        laws, price=1, cost=0, salvage=-1e-9, uses=1, limit=10000
    )
    z = [(m - q) / (2 * s) for m, q, s in zip(means, shares, spreads, strict=True)]

    assert z == pytest.approx([1.0607764] * 10, abs=1e-6)
    assert shares == pytest.approx(
        [605, 357, 832, 1804, 292, 1293, 1, 2837, 1075, 904], abs=0.6
    )
    assert worth > 0


UNIFORM = [(10, 4, 1, 0, 90), (20, 8, 2, 10, 70), (6, 3, 0, 20, 120)]


def _under_budget(budget):
    price, cost, salvage, _, _ = zip(*UNIFORM, strict=True)
    laws = [Uniform(low, high) for *_, low, high in UNIFORM]
    return laws, share_one_limit(
        laws, price=price, cost=cost, salvage=salvage, uses=cost, limit=budget
    )


def test_a_budget_over_uniform_demands_is_divided_as_the_closed_form_says():
    """Condition of Hadley & Whitin; numbers own, in exact fractions."""
    laws, (shares, worth) = _under_budget(600)
    profit = sum(
        outcome(law, q, price=p, cost=c, salvage=s).profit
        for law, q, (p, c, s, _, _) in zip(laws, shares, UNIFORM, strict=True)
    )

    assert shares == pytest.approx(
        [float(Fraction(n, 157)) for n in (6420, 5850, 7240)], abs=1e-9
    )
    assert worth == pytest.approx(75 / 157, abs=1e-9)
    assert profit == pytest.approx(96600 / 157, abs=1e-9)
    assert _under_budget(850)[1] == (pytest.approx([60, 50, 70]), 0.0)


@pytest.mark.parametrize(
    ("budget", "quantities", "worth"),
    [(100, ("15/7", "80/7", "0"), "81/56"), (60, ("0", "15/2", "0"), "3/2")],
)
def test_a_tight_budget_drops_the_poorer_items_to_nothing(budget, quantities, worth):
    """The same items, by hand in fractions: above a worth of 1 the third never pays;
    with u = 6 - 4 worth the others spend 40 u + 80 + 160 u / 3; at a worth of 3/2 only
    the sure demand of the second is left, and the budget takes a part of it."""
    _, (shares, found) = _under_budget(budget)

    assert shares == pytest.approx([float(Fraction(q)) for q in quantities], abs=1e-6)
    assert found == pytest.approx(float(Fraction(worth)), abs=1e-9)


MEANS, PRICES = [4.2, 2.6, 6.0, 1.5], [9, 12, 7, 18]
COSTS, SALVAGES, MINUTES = [2, 3, 1.5, 4.5], [1, 1.5, 0.75, 2], [6, 9, 5, 14]


def _items(uses):
    return [
        Item(reach(CountLaw(m)), p, c, s, tuple(map(float, u)))
        for m, p, c, s, u in zip(MEANS, PRICES, COSTS, SALVAGES, uses, strict=True)
    ]


@pytest.mark.parametrize(
    ("uses", "limits", "quantities", "profit"),
    [
        ([()] * 4, [], (7, 4, 9, 3), 89.7739693709888),
        ([(c,) for c in COSTS], [30], (5, 2, 6, 1), 76.01160818678959),
        ([(m,) for m in MINUTES], [90], (4, 3, 5, 1), 74.5722115684745),
        ([(1,)] * 4, [10], (3, 2, 3, 2), 63.480370061017695),
    ],
    ids=["no limit", "money", "minutes", "count"],
)
def test_whole_bows_under_one_limit_are_the_best_of_all_vectors(
    uses, limits, quantities, profit
):
    """Own case: brute force over all whole vectors agrees with these figures."""
    best = allocate(_items(uses), limits)

    assert best.quantities == quantities
    assert best.profit == pytest.approx(profit, abs=1e-8)
    assert best.proved


def test_all_three_limits_at_once_match_counting_every_vector():
    """Second method: every whole vector within money, minutes and count."""
    uses = list(zip(COSTS, MINUTES, [1] * 4, strict=True))
    limits = [25, 80, 11]
    laws = [CountLaw(m) for m in MEANS]
    best = (-1.0, ())
    for q in itertools.product(range(8), range(5), range(10), range(4)):
        spent = [sum(n * u[j] for n, u in zip(q, uses, strict=True)) for j in range(3)]
        if all(a <= b for a, b in zip(spent, limits, strict=True)):
            rows = zip(laws, q, PRICES, COSTS, SALVAGES, strict=True)
            gain = sum(
                outcome(d, n, price=p, cost=c, salvage=s).profit
                for d, n, p, c, s in rows
            )
            best = max(best, (gain, q))
    found = allocate(_items(uses), limits)

    assert (found.profit, found.quantities) == (pytest.approx(best[0]), best[1])
    assert found.proved
