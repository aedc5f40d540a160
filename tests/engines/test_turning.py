"""Quantities when buyers turn to another colour: against every choice; in a plan."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from planner.engines.counts import CountLaw, count_draws
from planner.engines.fair_choice import Choice, choose
from planner.engines.fair_forecast import forecast
from planner.engines.fair_good import Good, Room
from planner.engines.turning import Turning, turn_over
from planner.events.catalogue import ColourNamed
from tests.engines.fair_toys import ahead, fair, past, set_up, told

MEANS = [3.0, 2.0, 1.5, 2.5]


def _goods(seed: int) -> list[Good]:
    rng = np.random.default_rng(seed)
    return [
        Good(
            kind=str(i), law=CountLaw(mean), price=int(rng.integers(600, 1200)),
            cost=float(rng.integers(150, 400)), salvage=50.0, minutes=10.0, have=i % 2,
            uses={("bench", ""): float(rng.integers(6, 20))},
        )
        for i, mean in enumerate(MEANS)
    ]  # fmt: skip


def _turning(share: float, family: list[int]) -> Turning:
    drawn = count_draws(
        MEANS, shapes=[np.inf] * 4, shock=np.inf, size=300,
        rng=np.random.default_rng(1),
    )  # fmt: skip
    return Turning(drawn.astype(float), np.array(family), share)


def _profit(goods: list[Good], turning: Turning, brought: tuple[int, ...]) -> float:
    """Second method: exact sales alone, and turned sales counted fair by fair."""
    total = 0.0
    for good, n in zip(goods, brought, strict=True):
        new = max(n - good.have, 0)
        total += (good.price - good.salvage) * float(good.law.sold(n))
        total -= 0.01 * good.price * n + (good.cost - good.salvage) * new
    for wanted in turning.wanted:
        for f in set(turning.family.tolist()):
            at = [i for i in range(4) if turning.family[i] == f]
            left = [max(brought[i] - wanted[i], 0.0) for i in at]
            missed = sum(max(wanted[i] - brought[i], 0.0) for i in at)
            taken = min(turning.share * missed, sum(left)) / max(sum(left), 1e-12)
            gains = [goods[i].price - goods[i].salvage for i in at]
            total += taken * float(np.dot(left, gains)) / len(turning.wanted)
    return total


@pytest.mark.parametrize("seed", range(3))
def test_the_search_comes_near_the_best_of_every_choice(seed: int) -> None:
    """Four kinds in two families under bench minutes: 4,000 choices, each counted."""
    goods, turning = _goods(seed), _turning(0.5, [0, 0, 1, 1])
    rooms = [Room("bench", "", 80, 60)]
    alone = choose(goods, rooms, at_least=0)
    found = turn_over(alone, goods, rooms, turning, at_least=0)
    minutes = [good.uses["bench", ""] for good in goods]
    profits = [
        _profit(goods, turning, brought)
        for brought in itertools.product(range(6), repeat=4)
        if sum(m * max(n - g.have, 0)
               for m, n, g in zip(minutes, brought, goods, strict=True)) <= 80
    ]  # fmt: skip
    ours, before = (_profit(goods, turning, x.quantities) for x in (found, alone))

    assert ours >= before
    assert ours >= max(profits) * 0.995
    assert found.used[0] <= 80
    assert found.profit - alone.profit <= ours - before + 1e-6 * ours


def test_where_none_turn_the_choice_stays() -> None:
    """Exact sales alone move nothing: the choice was the best already."""
    goods, rooms = _goods(4), [Room("bench", "", 90, 60)]
    alone: Choice = choose(goods, rooms, at_least=0)
    same = turn_over(alone, goods, rooms, _turning(0.0, [0, 0, 0, 0]), at_least=0)

    assert same.quantities == alone.quantities


def test_a_least_number_on_show_is_kept_while_buyers_turn() -> None:
    """A kind comes with three or not at all, before and after."""
    goods, rooms = _goods(5), [Room("bench", "", 120, 60)]
    found = turn_over(
        choose(goods, rooms, at_least=3), goods, rooms,
        _turning(0.7, [0, 0, 0, 0]), at_least=3,
    )  # fmt: skip

    assert all(n == 0 or n >= 3 for n in found.quantities)


def _blues(hour: str | None) -> list[object]:
    """Six fairs with enough of both blues, six at which navy went early."""
    both = {"2in:navy": 20, "2in:sky": 20}
    short = {"2in:navy": 3, "2in:sky": 20}
    enough = [
        past(f"F{n}", f"2026-0{n}-07", both, {"2in:navy": 10, "2in:sky": 4})
        for n in range(1, 7)
    ]
    early = [
        past(f"F1{n}", f"2026-0{n}-21", short, {"2in:navy": 3, "2in:sky": 9},
             out={"2in:navy": hour})
        for n in range(1, 7)
    ]  # fmt: skip
    named = (ColourNamed(colour=c, name=c, hex="#1f2a5a", family="blue")
             for c in ("navy", "sky"))  # fmt: skip
    return [set_up(("2in",), ("navy", "sky")), *named, *enough, *early, fair()]


def test_a_plan_reckons_with_those_who_turn_only_where_hours_tell() -> None:
    """About five of seven and a half who found no navy took sky instead."""
    kinds = ("2in:navy", "2in:sky")
    known, unknown = (told(*_blues(hour)) for hour in ("11:30", None))
    cast = forecast(known, ahead(known), kinds, price=800)

    assert cast.turn.low > 0.1
    assert cast.turn.share == pytest.approx(0.6, abs=0.15)
    assert cast.turn.low < cast.turn.share < cast.turn.high
    assert cast.law("2in:sky").mean < 6.0
    assert forecast(unknown, ahead(unknown), kinds, price=800).turn.low == 0.0
