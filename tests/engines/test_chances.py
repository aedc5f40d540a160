"""Many draws at once give what one draw at a time, worked by hand, would."""

from __future__ import annotations

import math
from random import Random

import numpy as np
import pytest

from planner.engines.chances import Bench, off_bench
from planner.engines.learning import ErlangSum, NormalSum


def by_hand(start, length, rate, work, release):
    """
    Follow the policy through one draw, sitting by sitting.

    In each, the first task of the order that may be worked on and isn't done goes on.
    """
    left, done = list(work), [math.inf] * len(work)
    for sitting, begin in enumerate(start):
        clock, end = begin, begin + length[sitting]
        for task, since in enumerate(release):
            if left[task] <= 0 or since > sitting or not rate[sitting]:
                continue
            takes = left[task] / rate[sitting]
            if clock + takes <= end + 1e-9:
                clock += takes
                left[task], done[task] = 0.0, clock
            else:
                left[task] -= (end - clock) * rate[sitting]
                break
    return done


def case(seed, *, draws=5):
    """Draw a bench and some work: sittings missed, tasks that come later or never."""
    luck = Random(seed)
    sittings, tasks = luck.randint(1, 12), luck.randint(1, 9)
    start, clock = [], 0.0
    for _ in range(sittings):
        clock += luck.uniform(0, 900)
        start.append(clock)
        clock += 180
    length = [luck.choice((30.0, 90.0, 180.0)) for _ in start]
    rate = [
        [luck.choice((0.0, 0.7, 1.0, luck.uniform(0.2, 1.4))) for _ in start]
        for _ in range(draws)
    ]
    work = [[luck.uniform(5, 200) for _ in range(tasks)] for _ in range(draws)]
    late = [luck.random() < 0.4 for _ in range(tasks)]
    release = [
        [luck.randint(0, sittings) if x else 0 for x in late] for _ in range(draws)
    ]
    return start, length, rate, work, release


def all_at_once(start, length, rate, work, release):
    """Give the draws as rows, as they came in."""
    draws, sittings = len(rate), len(start)
    rates = np.array(rate, dtype=float).reshape(draws, sittings).T
    bench = Bench(np.array(start), np.array(length), rates)
    found = off_bench(bench, np.array(work, dtype=float).T, np.array(release, int).T)
    return found.T


@pytest.mark.parametrize("seed", range(150))
def test_every_draw_is_what_it_would_be_by_hand(seed):
    """Random benches and work, releases and missed sittings included."""
    start, length, rate, work, release = case(seed)

    found = all_at_once(start, length, rate, work, release)

    assert found.tolist() == [
        pytest.approx(by_hand(start, length, *one), abs=1e-5)
        for one in zip(rate, work, release, strict=True)
    ]


def one_long_sitting(work):
    bench = Bench(np.array([0.0]), np.array([1e6]), np.ones((1, len(work))))
    return off_bench(bench, work.T, np.zeros(work.T.shape, dtype=np.int64)).T


def test_three_exponential_tasks_end_as_the_poisson_table_says():
    """Closed form: the chance of three or more Poisson events by then."""
    work = np.random.default_rng(4).exponential(2.0, size=(40_000, 3))
    ends = one_long_sitting(work)[:, -1]

    for due in (3.0, 8.0, 12.0):
        told = ErlangSum(3, 2.0).chance_by(due)
        assert (ends <= due).mean() == pytest.approx(told, abs=0.01)


def test_a_chain_of_normal_tasks_ends_as_their_sum_does():
    """Closed form: means and variances add."""
    work = np.random.default_rng(5).normal(50.0, 5.0, size=(40_000, 9))
    ends = one_long_sitting(work)[:, -1]

    assert (ends <= 465).mean() == pytest.approx(
        NormalSum(450, 225).chance_by(465), abs=0.01
    )


def test_without_sittings_nothing_ever_leaves_the_bench():
    assert all_at_once([], [], [[]], [[5.0]], [[0]]).tolist() == [[math.inf]]


def test_no_tasks_give_no_moments():
    assert all_at_once([0.0], [60.0], [[1.0]], [[]], [[]]).shape == (1, 0)


def test_what_never_comes_in_is_never_made_and_holds_nothing_up():
    found = all_at_once([0.0], [60.0], [[1.0]], [[30.0, 40.0]], [[1, 0]])
    assert found.tolist() == [[math.inf, 40.0]]


def test_a_task_gives_way_to_one_before_it_from_the_sitting_it_comes_in():
    # The second works 60 min alone, waits for the first's 30, then does its last 10.
    found = all_at_once(
        [0.0, 100.0], [60.0, 60.0], [[1.0, 1.0]], [[30.0, 70.0]], [[1, 0]]
    )
    assert found.tolist() == [[130.0, 140.0]]
