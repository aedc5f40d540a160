"""What to bring of several items: against brute force on small cases."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.engines.counts import CountLaw
from planner.engines.demands import (
    Demand,
    Discrete,
    LogNormal,
    Lomax,
    Normal,
    TruncatedNormal,
    Uniform,
)
from planner.engines.newsvendor import (
    Item,
    allocate,
    best_quantity,
    critical_ratio,
    outcome,
    reach,
    share_one_limit,
    worth_of_limits,
)


def _random_items(seed, limits, equal=False):
    rng = np.random.default_rng(seed)
    items = []
    for _ in range(int(rng.integers(2, 5))):
        price, cost = rng.uniform(6, 20), rng.uniform(2, 5)
        salvage = rng.uniform(0, 0.9) * cost
        uses = tuple(np.ones(limits) if equal else rng.uniform(1, 9, limits).round(1))
        items.append(
            Item(
                reach(CountLaw(rng.uniform(0.3, 4), rng.uniform(0.6, 8))),
                price, cost, salvage, uses,
                held=0 if equal else int(rng.integers(0, 4)),
                held_cost=salvage + 0.05,
                held_uses=(0.0,) * (limits - 1) + uses[-1:],
            )
        )  # fmt: skip
    room = [float(x) for x in rng.uniform(3, 30, limits)]
    return items, room


def _value(item, quantity):
    """Price times chances less what each bow costs beyond its salvage, one by one."""
    total = 0.0
    for n in range(quantity):
        spent = item.held_cost if n < item.held else item.cost
        total += (item.price - item.salvage) * item.reach[n] - (spent - item.salvage)
    return total


def _by_counting(items, room):
    best = 0.0
    ranges = [range(min(len(i.reach), 9) + 1) for i in items]
    for q in itertools.product(*ranges):
        used = sum(i.used(n) for i, n in zip(items, q, strict=True))
        if np.all(used <= np.asarray(room) + 1e-9):
            best = max(best, sum(_value(i, n) for i, n in zip(items, q, strict=True)))
    return best


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize(("limits", "equal"), [(1, True), (1, False), (3, False)])
def test_no_other_quantities_within_the_limits_give_more(seed, limits, equal):
    """Brute force over every vector up to nine of each."""
    items, room = _random_items(seed, limits, equal)
    found = allocate(items, room)
    value = sum(_value(i, n) for i, n in zip(items, found.quantities, strict=True))

    assert found.proved
    assert found.profit == pytest.approx(value)
    assert max(found.quantities) > 9 or found.profit == pytest.approx(
        _by_counting(items, room), abs=1e-9
    )
    assert np.all(np.asarray(found.used) <= np.asarray(room) + 1e-6)


@pytest.mark.parametrize("within", [0.001, 0.02])
def test_a_choice_within_a_share_is_proven_to_fall_short_by_no_more(within):
    """Forty items under three limits, against the exact choice and the bound."""
    for seed in range(4):
        items = _random_items(seed, 3)[0] * 14
        room = list(np.sum([i.used(i.gains().size) for i in items], axis=0) * 0.5)
        best = allocate(items, room)
        near = allocate(items, room, within=within)

        assert near.profit <= best.profit + 1e-6 <= near.bound + 2e-6
        assert near.bound - near.profit <= within * near.bound + 1e-6


def test_without_limits_each_item_gets_its_own_best_quantity():
    """The last bow that pays is the smallest q with F(q) >= the critical ratio."""
    laws = [CountLaw(3.2, 2.0), CountLaw(0.4), CountLaw(9.0, 0.7)]
    items = [Item(reach(law), 12, 4, 1, ()) for law in laws]
    alone = tuple(best_quantity(law, price=12, cost=4, salvage=1) for law in laws)
    profits = [
        outcome(law, q, price=12, cost=4, salvage=1).profit
        for law, q in zip(laws, alone, strict=True)
    ]
    found = allocate(items, [])

    assert found.quantities == alone
    assert found.profit == pytest.approx(sum(profits))


def test_bows_at_hand_are_brought_when_nothing_new_can_be_made():
    """With no minutes left, only the table stands against what is there."""
    law = CountLaw(5.0, 4.0)
    item = Item(
        reach(law), 10, 3, 1, (8.0, 1.0), held=4, held_cost=1.2, held_uses=(0.0, 1.0)
    )

    assert allocate([item], [0.0, 20.0]).quantities == (4,)
    assert allocate([item], [-30.0, 20.0]).quantities == (4,)
    assert allocate([item], [16.0, 20.0]).quantities == (6,)
    assert allocate([item], [16.0, 5.0]).quantities == (5,)


def test_one_more_step_of_a_limit_is_worth_what_solving_again_says():
    """A step too small for one bow is worth nothing; an hour is worth what it makes."""
    items = [
        Item(reach(CountLaw(m)), p, c, s, (float(t),))
        for m, p, c, s, t in [
            (4.2, 9, 2, 1, 6),
            (2.6, 12, 3, 1.5, 9),
            (6, 7, 1.5, 0.75, 5),
        ]
    ]
    hour = worth_of_limits(items, [60.0], steps=[60.0])

    assert worth_of_limits(items, [0.0]) == (0.0,)
    assert hour[0] == pytest.approx(
        allocate(items, [120.0]).profit - allocate(items, [60.0]).profit
    )
    assert worth_of_limits(items, [1000.0]) == (0.0,)


def test_no_items_need_nothing():
    """An empty stall has its plan too."""
    found = allocate([], [60.0, 20.0])

    assert (found.quantities, found.profit, found.used) == ((), 0.0, (0.0, 0.0))


def test_equal_gains_go_to_the_earlier_item_every_time():
    """The plan doesn't depend on anything but what was asked."""
    item = Item(reach(CountLaw(3.0)), 10, 4, 1, (1.0,))

    assert allocate([item, item, item], [4]).quantities == (2, 1, 1)


def test_a_bow_at_hand_that_costs_more_than_a_new_one_is_refused():
    """Then the second could be worth more than the first, and the rule is void."""
    with pytest.raises(ValueError, match="cost more"):
        Item((0.9,), 10, 3, 1, (), held=1, held_cost=4)
    with pytest.raises(ValueError, match="use more"):
        Item((0.9,), 10, 3, 1, (1.0,), held=1, held_cost=2, held_uses=(2.0,))
    with pytest.raises(ValueError, match="rise"):
        Item((0.4, 0.9), 10, 3, 1, ())


def test_a_salvage_at_or_above_cost_has_no_best_quantity():
    """It says so, rather than giving infinity."""
    with pytest.raises(ValueError, match="lower salvage"):
        critical_ratio(price=10, cost=3, salvage=3)


def test_an_item_that_does_not_pay_is_not_brought():
    """Price at or below cost: nothing."""
    assert best_quantity(CountLaw(8.0), price=3, cost=3, salvage=1) == 0


@pytest.mark.parametrize(
    ("law", "frozen"),
    [
        (Normal(30, 9), "norm(30, 9)"),
        (LogNormal(3, 0.4), "lognorm(0.4, scale=np.exp(3))"),
        (Uniform(12, 40), "uniform(12, 28)"),
        (Lomax(25.0), "expon(scale=25)"),
        (Lomax(60.0, 4.0), "lomax(4, scale=60)"),
        (TruncatedNormal(20, 15), "truncnorm(-20 / 15, np.inf, 20, 15)"),
        (TruncatedNormal(20, 15, 0, 50), "truncnorm(-20 / 15, 2, 20, 15)"),
    ],
    ids=lambda x: x if isinstance(x, str) else "",
)
def test_laws_agree_with_numerical_integration(law: Demand, frozen: str):
    """Second method: scipy.stats quantiles and the integral of its tail."""
    from scipy import integrate, stats

    other = eval(frozen, {"np": np, **vars(stats)})
    tails = [
        integrate.quad(other.sf, q, other.ppf(1 - 1e-13), limit=200)[0]
        for q in (5.0, 20.0, 38.0)
    ]

    assert law.mean == pytest.approx(other.mean())
    assert [law.quantile(r) for r in (0.1, 0.5, 0.9)] == pytest.approx(
        list(other.ppf([0.1, 0.5, 0.9]))
    )
    assert [law.lost(q) for q in (5.0, 20.0, 38.0)] == pytest.approx(tails, rel=1e-6)


def test_a_history_used_as_it_is_brings_one_of_its_values():
    """Of ten past fairs, the smallest sales that seven didn't exceed."""
    law = Discrete.seen([4, 9, 6, 6, 2, 11, 5, 7, 6, 8])

    assert law.mean == pytest.approx(6.4)
    assert law.quantile(0.7) == 7
    assert law.lost(7) == pytest.approx((2 + 4 + 1) / 10)


@given(limit=st.floats(1, 200))
@settings(max_examples=30, deadline=None)
def test_a_shared_limit_is_met_and_never_passed(limit):
    """Either everything that pays fits, or the limit is used up."""
    laws = [Normal(30, 9), Uniform(20, 60), Lomax(25.0)]
    shares, worth = share_one_limit(
        laws, price=[9, 12, 7], cost=[3, 5, 2], salvage=1, uses=[1, 2, 1], limit=limit
    )
    used = float(np.dot(shares, [1, 2, 1]))

    assert used <= limit * (1 + 1e-6) + 1e-6
    assert worth == 0 or used == pytest.approx(limit, rel=1e-5, abs=1e-5)
