"""Sets and single bows that share bows and limits: against every choice there is."""

from __future__ import annotations

import itertools
from functools import cache

import numpy as np
import pytest
from scipy import stats

from planner.engines.counts import CountLaw
from planner.engines.fair_choice import Offer, beside_sets, choose, in_all
from planner.engines.fair_good import WEAR, Good, Room, SetGood
from planner.engines.fair_salvage import CERTAIN

ASKED = np.arange(300)
BENCH, TABLE, SPEND = ("bench", ""), ("table", ""), ("spend", "")


def chances(law: CountLaw) -> stats.rv_discrete:
    """Give scipy's own negative binomial."""
    return stats.nbinom(law.shape, law.shape / (law.shape + law.mean))


def worths_left(good: Good) -> np.ndarray:
    """Say what the first, second, ... bow left over is worth, by the words of it."""
    ahead = CountLaw(good.law.mean * good.later, good.law.shape * max(good.later, 1.0))
    return good.salvage * (CERTAIN + (1 - CERTAIN) * chances(ahead).sf(ASKED))


def shop(seed: int) -> tuple[list[Good], list[SetGood], list[Room]]:
    """Three kinds, a set of two kinds and a set of three with two of one; limits."""
    rng = np.random.default_rng(seed)
    goods = [
        Good(
            kind=str(i), law=CountLaw(float(rng.uniform(0.8, 2.5)), 2.0),
            price=int(rng.integers(600, 1200)), cost=float(rng.integers(100, 300)),
            time=float(rng.integers(20, 200)), salvage=float(rng.integers(20, 110)),
            minutes=10.0, have=int(rng.integers(0, 4)), later=float(rng.uniform(0, 2)),
            uses={BENCH: float(rng.integers(6, 20)), TABLE: 1.0,
                  SPEND: float(rng.integers(100, 300))},
            may_make=bool(rng.random() < 0.8), single=bool(rng.random() < 0.8),
        )
        for i in range(3)
    ]  # fmt: skip
    sets = [
        SetGood("ab", CountLaw(float(rng.uniform(0.4, 2.0)), 3.0),
                int(rng.integers(1300, 2200)), ((0, 1), (1, 1))),
        SetGood("abbc", CountLaw(float(rng.uniform(0.4, 1.5)), 3.0),
                int(rng.integers(2500, 4200)), ((0, 1), (1, 2), (2, 1))),
    ]  # fmt: skip
    rooms = [
        Room("bench", "", float(rng.integers(20, 120)), 60),
        Room("table", "", float(rng.integers(6, 14)), 10),
        Room("spend", "", float(rng.integers(500, 2500)), 1_000),
    ]
    return goods, sets, rooms


@cache
def sold_alone(seed: int, at: int, n: int) -> float:
    """Give a kind's expected worth when so many come singly, over all demands."""
    good = shop(seed)[0][at]
    left = np.append(0.0, np.cumsum(worths_left(good)))
    sold = np.minimum(ASKED, n)
    each = good.price * sold + left[max(good.have, n) - sold] - left[good.have]
    return float(chances(good.law).pmf(ASKED) @ each) - WEAR * good.price * n


@cache
def sold_in_sets(seed: int, which: int, n: int) -> float:
    """Give a set's expected worth likewise; those left over are worth their bows."""
    goods, sets, _ = shop(seed)
    one, back = sets[which], np.zeros(n + 1)
    for j in range(n):
        back[j + 1] = back[j] + sum(
            k * worths_left(goods[at])[max(goods[at].have - 1, 0) + k * j]
            for at, k in one.members
        )
    sold = np.minimum(ASKED, n)
    each = one.price * sold + back[n - sold] - WEAR * one.price * n
    return float(chances(one.law).pmf(ASKED) @ each)


@cache
def taken_away(seed: int, at: int) -> tuple[float, ...]:
    """Give what the bows at hand are worth left over, the last of them first."""
    good = shop(seed)[0][at]
    return tuple(worths_left(good)[: good.have][::-1].tolist())


def counted(
    seed: int, goods: list[Good], sets: list[SetGood], singly: tuple[int, ...],
    in_sets: tuple[int, ...],
) -> tuple[float, np.ndarray] | None:  # fmt: skip
    """Add up profit over all demands, and what is used; None where it can't be."""
    profit, used = 0.0, np.zeros(3)
    for at, (good, n) in enumerate(zip(goods, singly, strict=True)):
        taken = sum(k * dict(s.members).get(at, 0)
                    for s, k in zip(sets, in_sets, strict=True))  # fmt: skip
        here = min(taken, max(good.have - n, 0))
        made = max(n - good.have, 0) + taken - here
        if (made and not good.may_make) or (n and not good.single):
            return None
        profit += sold_alone(seed, at, n) - (good.cost + good.time) * made
        profit -= sum(taken_away(seed, at)[:here])
        used += [made * good.uses[BENCH], n + taken, made * good.uses[SPEND]]
    profit += sum(sold_in_sets(seed, at, n) for at, n in enumerate(in_sets))
    return profit, used


@pytest.mark.parametrize("least", [0, 2])
@pytest.mark.parametrize("seed", range(8))
def test_a_choice_with_sets_is_the_best_of_every_choice(seed: int, least: int) -> None:
    """Up to five of each kind and four of each set: 5,400 choices, each counted."""
    goods, sets, rooms = shop(seed)
    found = choose(goods, rooms, at_least=least, sets=sets)
    limits = np.array([room.available for room in rooms])
    best = -np.inf
    for singly in itertools.product(range(6), repeat=3):
        for in_sets in itertools.product(range(5), repeat=2):
            if any(0 < n < least for n in (*singly, *in_sets)):
                continue
            told = counted(seed, goods, sets, singly, in_sets)
            if told and np.all(told[1] <= limits + 1e-9):
                best = max(best, told[0])
    ours = counted(seed, goods, sets, found.quantities, found.sets)

    assert ours is not None
    assert found.gap == 0
    assert found.profit == pytest.approx(ours[0], abs=0.05)
    offer = Offer.of(goods, sets, rooms)
    assert found.profit == pytest.approx(offer.profit(found.quantities, found.sets))
    assert ours[0] == pytest.approx(best, abs=0.05)
    assert found.used == pytest.approx(ours[1].tolist())
    assert np.all(ours[1] <= limits + 1e-6)


@pytest.mark.parametrize("seed", range(8))
def test_no_bow_at_hand_comes_twice(seed: int) -> None:
    """What sets take of those at hand and what comes singly is all there is."""
    goods, sets, rooms = shop(seed)
    found = choose(goods, rooms, at_least=0, sets=sets)
    rest, free = beside_sets(found, goods, sets, rooms)
    bows = in_all(found, sets)

    for at, good in enumerate(goods):
        assert found.taken[at] + min(found.quantities[at], good.have) <= good.have
        assert rest[at].have == good.have - found.taken[at]
        made = max(bows[at] - good.have, 0)
        assert made == max(found.quantities[at] - rest[at].have, 0) + (
            bows[at] - found.quantities[at] - found.taken[at]
        )
    singly = sum(found.quantities)
    assert rooms[1].available - free[1].available == pytest.approx(sum(bows) - singly)


@pytest.mark.parametrize("seed", range(8))
def test_parts_bound_what_whole_bows_give_and_sets_add(seed: int) -> None:
    """With sets on offer no less is gained than without, and parts gain no less yet."""
    goods, sets, rooms = shop(seed)
    limits = [room.available for room in rooms]
    whole = choose(goods, rooms, at_least=0, sets=sets).profit
    alone = choose(goods, rooms, at_least=0).profit

    assert Offer.of(goods, sets, rooms).in_parts(limits)[0] >= whole - 1e-6
    assert whole >= alone - 1e-6
