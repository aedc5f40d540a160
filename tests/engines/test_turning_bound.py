"""How far a choice can be from the best where buyers turn: against every choice."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
import pytest

from planner.engines.counts import CountLaw
from planner.engines.fair import plan_fair
from planner.engines.fair_choice import Offer, beside_sets, choose
from planner.engines.fair_good import Good, Room, SetGood
from planner.engines.turning import DRAWN, Turning, turn_over
from planner.engines.turning_bound import bounded
from planner.views import fair_plan_builder
from tests.engines.fair_toys import TODAY, ahead, told
from tests.engines.test_turning import _blues, _goods, _turning

MOST = 9


def goods_of(seed: int, *, alike: bool) -> list[Good]:
    """Four kinds that use the table, of one price where they are alike."""
    made = [replace(good, uses={**good.uses, ("table", ""): 1.0})
            for good in _goods(seed)]  # fmt: skip
    return [replace(good, price=900) for good in made] if alike else made


def _worth(
    goods: Sequence[Good], sets: Sequence[SetGood], rooms: Sequence[Room],
    turning: Turning,
) -> Callable[[Sequence[int], Sequence[int]], float]:  # fmt: skip
    """Second method for what turned sales add: family by family, fair by fair."""
    offer = Offer.of(goods, sets, rooms)
    margin = np.array([good.price - good.salvage for good in goods])

    def worth(brought: Sequence[int], in_sets: Sequence[int]) -> float:
        total = 0.0
        for f in np.unique(turning.family):
            at = turning.family == f
            left = np.maximum(np.array(brought)[at] - turning.wanted[:, at], 0)
            missed = np.maximum(turning.wanted[:, at] - np.array(brought)[at], 0)
            taken = np.minimum(turning.share * missed.sum(axis=1), left.sum(axis=1))
            part = left @ margin[at] / np.maximum(left.sum(axis=1), 1e-12)
            total += float((taken * part).mean())
        return total + offer.profit(brought, in_sets)

    return worth


@pytest.mark.parametrize("alike", [True, False])
@pytest.mark.parametrize("least", [0, 3])
@pytest.mark.parametrize("families", [[0, 0, 1, 1], [0, 0, 0, 0], [0, 0, 0, 1]])
@pytest.mark.parametrize("seed", range(4))
def test_no_choice_of_all_there_are_is_better_by_more_than_the_gap(
    seed: int, families: list[int], least: int, alike: bool
) -> None:
    """Four kinds under minutes, up to eight of each: found <= best <= found + gap."""
    goods, turning = goods_of(seed, alike=alike), _turning(0.3 + 0.15 * seed, families)
    rooms = [Room("bench", "", 60 + 20 * seed, 60)]
    alone = choose(goods, rooms, at_least=least)
    found = turn_over(alone, goods, rooms, turning, at_least=least)
    best_known = bounded(found, goods, (), rooms, turning, at_least=least)
    gap = best_known.gap
    worth, best = _worth(goods, (), rooms, turning), -np.inf
    for brought in itertools.product((0, *range(max(least, 1), MOST)), repeat=4):
        new = sum(max(n - good.have, 0) * good.uses["bench", ""]
                  for n, good in zip(brought, goods, strict=True))  # fmt: skip
        if new <= rooms[0].available:
            best = max(best, worth(brought, ()))
    ours = worth(best_known.quantities, ())

    assert ours <= best + 1e-6 <= ours + gap + 1e-3
    # Colours of one pattern have one price: there the bound is close.
    assert gap <= (0.01 if alike else 0.15) * best


def test_where_none_turn_a_whole_choice_is_proven_the_best() -> None:
    """The bound meets what the choice without turning gives."""
    goods, rooms = goods_of(2, alike=False), [Room("bench", "", 90, 60)]
    alone = choose(goods, rooms, at_least=0)
    none = _turning(0.0, [0, 0, 1, 1])
    found = bounded(alone, goods, (), rooms, none, at_least=0)

    assert found.quantities == alone.quantities
    assert found.profit == pytest.approx(alone.profit)
    assert found.gap <= 2e-4 * alone.profit


@pytest.mark.parametrize("seed", range(4))
def test_the_gap_holds_with_sets_as_well(seed: int) -> None:
    """Three kinds and a set of two of them: no choice of sets either does better."""
    goods = goods_of(seed, alike=True)[:3]
    turning = Turning(_turning(0.6, [0, 0, 0, 1]).wanted[:, :3], np.zeros(3, int), 0.6)
    sets = [SetGood("ab", CountLaw(1.5, 3.0), 2_000, ((0, 1), (1, 1)))]
    rooms = [Room("bench", "", 70, 60), Room("table", "", 9, 10)]
    alone = choose(goods, rooms, at_least=0, sets=sets)
    rest, free = beside_sets(alone, goods, sets, rooms)
    found = turn_over(alone, rest, free, turning, at_least=0)
    best_known = bounded(found, goods, sets, rooms, turning, at_least=0)
    gap = best_known.gap
    worth, best = _worth(goods, sets, rooms, turning), -np.inf
    for *brought, n in itertools.product(range(MOST), repeat=4):
        bows = [k + n * (at < 2) for at, k in enumerate(brought)]
        new = sum(max(k - good.have, 0) * good.uses["bench", ""]
                  for k, good in zip(bows, goods, strict=True))  # fmt: skip
        if new <= 70 and sum(bows) <= 9:
            best = max(best, worth(brought, (n,)))
    ours = worth(best_known.quantities, best_known.sets)

    assert ours <= best + 1e-6 <= ours + gap + 1e-3
    assert gap <= 0.02 * best


def test_a_plan_with_those_who_turn_says_how_far_from_the_best_it_can_be() -> None:
    """What is proved, and for what; where none are known to turn there is no word."""
    known, unknown = (told(*_blues(hour)) for hour in ("11:30", None))
    plans = [plan_fair(led, ahead(led), today=TODAY) for led in (known, unknown)]
    views = [
        fair_plan_builder.build(led, plan, today=TODAY, made="now")
        for led, plan in zip((known, unknown), plans, strict=True)
    ]

    assert [plan.basis.drawn for plan in plans] == [DRAWN, 0]
    assert plans[0].basis.gap <= 0.001 * plans[0].takings
    said = [line for line in views[0].rests_on if "fairs drawn by chance" in line]
    assert len(said) == 1
    assert said[0].startswith(("At most $", "Nothing could be gained"))
    assert not any("drawn by chance" in line for line in views[1].rests_on)
