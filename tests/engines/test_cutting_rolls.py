"""Lengths from rolls of one length: few rolls, and no bound above what can be done."""

from __future__ import annotations

from collections.abc import Iterator
from random import Random

import numpy as np
import pytest

from planner.engines.cutting import pack
from planner.engines.cutting_bounds import (
    Demand,
    Watch,
    continuous,
    dual_feasible,
    martello_toth,
)
from planner.engines.cutting_columns import Pool, in_parts, proved_bound
from planner.engines.cutting_fits import best_fill, best_fit, first_fit, fullest_first
from planner.plans.cutting import Packing


def fewest(lengths: list[int], room: int) -> int:
    """The fewest rolls, by trying every way of sharing the parts out."""
    best = len(lengths)

    def place(at: int, rolls: list[int]) -> None:
        nonlocal best
        if len(rolls) >= best:
            return
        if at == len(lengths):
            best = len(rolls)
            return
        for i, left in enumerate(rolls):
            if left >= lengths[at] and left not in rolls[:i]:
                place(at + 1, [*rolls[:i], left - lengths[at], *rolls[i + 1 :]])
        place(at + 1, [*rolls, room - lengths[at]])

    place(0, [])
    return best


def toys() -> Iterator[tuple[dict[int, int], int]]:
    """Small cases of many shapes, each the same every time."""
    chance = Random(7)
    for _ in range(60):
        room = chance.choice([10, 30, 100, 997])
        longest = chance.choice([room, room // 2, room * 2 // 3])
        parts = [chance.randint(max(room // 9, 1), longest) for _ in range(9)]
        yield {x: parts.count(x) for x in parts}, room


@pytest.mark.parametrize("toy", list(toys()))
def test_few_parts_take_the_fewest_rolls_there_are(
    toy: tuple[dict[int, int], int],
) -> None:
    """Against every way of sharing nine parts out; the bounds stay below."""
    wanted, room = toy
    demand = Demand.of(wanted, room)
    parts = [x for x, n in wanted.items() for _ in range(n)]
    best = fewest(sorted(parts, reverse=True), room)

    found = pack(wanted, room, seconds=2)

    bounds = [f(demand) for f in (continuous, martello_toth, dual_feasible)]
    assert found.bins == best
    assert found.bound <= best
    assert max(bounds) <= best


@pytest.mark.parametrize("toy", list(toys())[:20])
def test_any_worths_of_the_lengths_give_a_bound_that_holds(
    toy: tuple[dict[int, int], int],
) -> None:
    """Weak duality in whole numbers: even nonsense never proves too much."""
    wanted, room = toy
    demand = Demand.of(wanted, room)
    best = fewest([x for x, n in wanted.items() for _ in range(n)], room)
    rng = np.random.default_rng(3)

    for scale in (1e-9, 0.1, 1.0, 50.0):
        worth = scale * rng.normal(0.5, 1.0, len(demand.lengths))
        assert proved_bound(demand, worth)[0] <= best


def test_a_bound_a_hair_above_a_whole_number_of_rolls_is_not_rounded_up() -> None:
    """Thirty parts of a third each fill ten rolls: a worth of 0.3334 can't say 11."""
    demand = Demand.of({1: 30}, 3)

    assert proved_bound(demand, np.array([1 / 3 + 1e-4]))[0] == 10


@pytest.mark.parametrize("seed", range(10))
def test_a_roll_is_filled_with_what_is_worth_most(seed: int) -> None:
    """Against every choice of counts, with worths unlike lengths."""
    chance = Random(seed)
    lengths = [chance.randint(2, 12) for _ in range(4)]
    counts = [chance.randint(0, 3) for _ in range(4)]
    worth = [chance.randint(-2, 9) for _ in range(4)]
    every = np.array(np.meshgrid(*[range(n + 1) for n in counts])).reshape(4, -1).T

    best, chosen = best_fill(lengths, counts, 25, worth)

    fits = every[every @ np.array(lengths) <= 25]
    assert best == (fits @ np.array(worth)).max()
    assert best == np.dot(chosen, worth)
    assert np.dot(chosen, lengths) <= 25


def test_quick_ways_cut_all_that_is_wanted() -> None:
    """First fit, best fit and filling up each cut every part, no roll too full."""
    demand = Demand.of({50: 3, 34: 5, 20: 7, 11: 4}, 100)

    for plan in (first_fit(demand), best_fit(demand), fullest_first(demand)):
        assert tuple(map(sum, zip(*plan, strict=True))) == demand.counts
        assert all(demand.filled(roll) <= 100 for roll in plan)


def test_lengths_in_nanometres_are_packed_like_the_same_in_inches() -> None:
    """What all lengths are multiples of is divided out, the roll's odd rest dropped."""
    inch = 25_400_000
    wanted = {20: 17, 32: 25, 7: 31}

    inches = pack(wanted, 360)
    nanometres = pack({x * inch: n for x, n in wanted.items()}, 360 * inch + 5)

    assert (nanometres.bins, nanometres.bound) == (inches.bins, inches.bound)
    assert inches.proved


def test_lengths_without_a_common_measure_are_packed_whole() -> None:
    """Primes of nanometres on a spool of 100 yd: no plan is a nanometre too long."""
    wanted = {520_700_003: 41, 812_800_019: 37, 177_800_009: 90}
    room = 91_440_000_001

    found = pack(wanted, room, seconds=1)

    assert all(sum(lengths) <= room for _, lengths in found.plan)
    assert found == Packing(1, 1, found.plan)


def test_a_part_ten_nanometres_too_long_is_not_squeezed_in() -> None:
    """Two halves fit a roll; two halves and ten nanometres need two."""
    half = 45_720_000_000

    assert pack({half: 2}, 2 * half).bins == 1
    assert pack({half: 1, half + 10: 1}, 2 * half).bins == 2


def test_a_bound_below_the_plan_is_told_as_such() -> None:
    """Where time is out before a proof, the plan says by how much it may be off."""
    packing = Packing(62, 61, ())

    assert not packing.proved


def test_nothing_wanted_takes_no_roll() -> None:
    """No parts, no rolls, and that is proved."""
    assert pack({}, 100) == Packing(0, 0, ())


@pytest.mark.parametrize("wanted", [{0: 1}, {-3: 1}, {101: 1}, {5: -1}])
def test_what_is_no_length_is_refused(wanted: dict[int, int]) -> None:
    """A length of nothing, one longer than the roll, less than no parts."""
    with pytest.raises(ValueError, match=r"length|longer"):
        pack(wanted, 100)


def test_the_same_question_gets_the_same_plan_without_a_clock() -> None:
    """Seconds are counted in rounds of work where no clock is passed in."""
    chance = Random(5)
    wanted = {chance.randint(200, 700): chance.randint(1, 4) for _ in range(25)}

    assert pack(wanted, 1000, seconds=1) == pack(wanted, 1000, seconds=1)


def test_time_that_is_out_still_leaves_a_plan() -> None:
    """No second at all: the quick ways answer, with a bound that holds."""
    found = in_parts(Demand.of({36: 61, 31: 40, 14: 21}, 100), Pool(), Watch(0))
    packing = pack({36: 61, 31: 40, 14: 21}, 100, seconds=0)

    assert packing.bound <= packing.bins
    assert not found.settled
