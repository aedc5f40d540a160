"""Least weighted lateness: against brute force, and moves against doing them."""

from __future__ import annotations

from itertools import permutations
from random import Random

import numpy as np
import pytest

from planner.engines import weighted
from planner.engines.sequence import Job
from planner.engines.turns import least_tardiness
from planner.engines.weighted import least_weighted_lateness
from planner.engines.weighted_bounds import lower_bound, proved_bound, table_of


def jobs(seed, count, *, later=False, parts=False):
    luck = Random(seed)
    total = 30 * count
    return [
        Job(
            f"J{n}", luck.randint(5, 60) + (luck.random() if parts else 0),
            due=luck.uniform(0.1, 0.9) * total, weight=luck.randint(1, 5),
            release=luck.randint(0, total // 2) if later else 0,
        )
        for n in range(count)
    ]  # fmt: skip


def cost_of(order):
    now = total = 0.0
    for job in order:
        now = max(now, job.release) + job.minutes
        total += job.weight * max(now - job.off_bench, 0)
    return total


@pytest.mark.parametrize("seed", range(20))
def test_up_to_fifteen_jobs_are_solved_exactly(seed):
    some = jobs(seed, 7, parts=True)
    found = least_weighted_lateness(some)
    assert found.proved
    assert found.cost == pytest.approx(min(map(cost_of, permutations(some))))
    known = {job.key: job for job in some}
    assert cost_of([known[key] for key in found.keys]) == pytest.approx(found.cost)


@pytest.mark.parametrize("seed", range(12))
def test_the_search_finds_what_the_exact_way_finds(seed, monkeypatch):
    """Second method: the dynamic program over sets, on 12 jobs; the bound is below."""
    some = jobs(seed, 12, parts=seed % 2 == 1)
    best, _ = least_tardiness(some)
    monkeypatch.setattr(weighted, "EXACT", 0)
    found = least_weighted_lateness(some)
    assert found.cost == pytest.approx(best)
    assert 0 <= found.bound <= best + 1e-6


@pytest.mark.parametrize("seed", range(10))
def test_jobs_that_come_later_are_waited_for(seed):
    """Brute force over six jobs with releases."""
    some = jobs(seed, 6, later=True)
    found = least_weighted_lateness(some, kicks=40)
    best = min(map(cost_of, permutations(some)))
    assert found.cost == pytest.approx(best)
    assert found.bound <= best + 1e-6


@pytest.mark.parametrize("seed", range(6))
def test_what_a_move_gains_is_what_doing_it_gains(seed):
    """Each swap and insertion, done and costed anew."""
    some = jobs(seed, 9)
    table = table_of(some, 0.0)
    search = weighted._Search(table, here=True)
    order = np.random.default_rng(seed).permutation(9)
    gains, kinds = weighted._gains(table, order)
    for first in range(9):
        for last in range(first + 1, 9):
            costs = []
            for kind in range(3):
                made = order.copy()
                weighted._move(made, first, last, kind)
                costs.append(search.cost(made))
            assert gains[first, last] == pytest.approx(min(costs) - search.cost(order))
            chosen = costs[kinds[first, last]]
            assert chosen == pytest.approx(min(costs))


def test_without_lateness_the_bound_meets_it():
    easy = [Job(f"J{n}", 10, due=1000) for n in range(20)]
    found = least_weighted_lateness(easy)
    assert (found.cost, found.proved, found.gap) == (0, True, 0)


def test_the_bound_is_near_where_many_are_late():
    some = jobs(3, 30)
    found = least_weighted_lateness(some, kicks=60)
    table = table_of(some, 0.0)
    assert lower_bound(table, found.cost, steps=400) <= found.cost
    assert found.gap < 0.05


def test_the_same_seed_gives_the_same_order():
    some = jobs(8, 25)
    once, twice = (least_weighted_lateness(some, kicks=20) for _ in range(2))
    assert once == twice


def test_no_jobs_cost_nothing():
    assert least_weighted_lateness([]).cost == 0


@pytest.mark.parametrize("seed", range(10))
@pytest.mark.parametrize("later", [False, True], ids=["all here", "some later"])
def test_the_program_solved_is_below_the_best_and_above_its_prices(seed, later):
    """Brute force over six jobs; priced, the same program can't be higher."""
    some = jobs(seed, 6, later=later)
    best = min(map(cost_of, permutations(some)))
    table = table_of(some, min(job.release for job in some))
    solved = proved_bound(table)
    assert 0.9 * best <= solved <= best + 1e-6
    assert lower_bound(table, best, steps=300) <= max(solved, 0) * (1 + 1e-6) + 1


def test_minutes_with_fractions_are_rounded_down_in_the_bound():
    """Twelve jobs against the dynamic program over sets."""
    some = jobs(4, 12, parts=True)
    best, _ = least_tardiness(some)
    assert 0.9 * best <= proved_bound(table_of(some, 0.0)) <= best + 1e-6


def test_with_proof_the_order_of_many_is_known_to_be_the_best(monkeypatch):
    monkeypatch.setattr(weighted, "EXACT", 0)
    some = jobs(11, 18)
    found = least_weighted_lateness(some, proof=True)
    assert found.gap < 0.01
