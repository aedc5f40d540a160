"""Choosing quantities for many kinds at once: how near the best, and what it says."""

from __future__ import annotations

import numpy as np
import pytest

from planner.engines.counts import CountLaw
from planner.engines.fair_choice import MANY, WITHIN, choose
from planner.engines.fair_good import Good, Room


def _goods(count: int, seed: int) -> list[Good]:
    rng = np.random.default_rng(seed)
    return [
        Good(
            kind=str(i), law=CountLaw(float(rng.gamma(1.5, 2.0)) + 0.1, 3.0),
            price=int(rng.integers(600, 1400)), cost=float(rng.integers(80, 240)),
            salvage=20.0, minutes=10.0, have=int(rng.integers(0, 3)),
            uses={("bench", ""): float(rng.integers(6, 20)), ("table", ""): 1.0},
        )
        for i in range(count)
    ]  # fmt: skip


ROOMS = [Room("bench", "", 1_500, 60), Room("table", "", 220, 10)]


@pytest.mark.parametrize("at_least", [0, 2])
def test_many_kinds_may_fall_short_by_a_thousandth_and_say_so(at_least: int) -> None:
    """The choice for few kinds is proven the best; that for many comes near it."""
    many = choose(_goods(MANY + 20, seed=3), ROOMS, at_least=at_least)
    few = choose(_goods(MANY, seed=3), ROOMS, at_least=at_least)

    assert 0 <= many.gap <= WITHIN * many.profit + 1e-6
    assert few.gap == 0.0
    assert all(used <= room.available + 1e-6
               for used, room in zip(many.used, ROOMS, strict=True))  # fmt: skip


def test_more_bench_is_worth_about_as_much_whether_or_not_the_best_is_proven() -> None:
    """The worth in parts of an hour against the same hour by exact choices."""
    goods = _goods(MANY + 1, seed=5)
    exact = choose(goods[:MANY], ROOMS, at_least=0).worth[0]
    near = choose(goods, ROOMS, at_least=0).worth[0]

    assert exact is not None
    assert near == pytest.approx(exact, rel=0.2)
