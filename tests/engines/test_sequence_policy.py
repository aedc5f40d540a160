"""The named policy and the fewest late, against brute force; sittings and gaps."""

from __future__ import annotations

import itertools
import math
from functools import cache

import numpy as np
import pytest

from planner.engines.sequence import (
    Job,
    Segment,
    Timeline,
    fewest_late,
    in_turn,
    largest_lateness,
    least_lateness_unbroken,
    moore_hodgson,
    preemptive_edd,
    unbroken_bound,
)
from planner.engines.turns import (
    insertions,
    lawler,
    least_tardiness,
    turn_table,
)

SITTINGS = Timeline([(10, 14), (20, 23), (40, 90)])


def _random_jobs(seed, n=4, released=True):
    rng = np.random.default_rng(seed)
    return [
        Job(
            str(i),
            float(rng.integers(1, 4)),
            float(rng.integers(3, 13)),
            release=float(rng.integers(0, 6)) if released else 0.0,
            weight=float(rng.integers(1, 5)),
            setting=float(rng.integers(0, 3)),
        )
        for i in range(n)
    ]


def _least_by_slots(jobs, clock_of):
    """Least largest lateness over all schedules in slots of one bench minute."""

    @cache
    def best(now, left):
        if not any(left):
            return -math.inf
        open_jobs = [i for i, x in enumerate(left) if x and _open(jobs[i], now)]
        if not open_jobs:
            return best(now + 1, left)
        return min(_after(i, now, left) for i in open_jobs)

    def _open(job, now):
        return clock_of.to_bench(job.release) <= now if clock_of else job.release <= now

    def _after(i, now, left):
        rest = tuple(x - (j == i) for j, x in enumerate(left))
        end = clock_of.to_clock(now + 1) if clock_of else now + 1
        late = end + jobs[i].setting - jobs[i].due if rest[i] == 0 else -math.inf
        return max(late, best(now + 1, rest))

    return best(0, tuple(int(j.minutes) for j in jobs))


@pytest.mark.parametrize("seed", range(40))
def test_no_way_to_interrupt_gives_a_smaller_largest_lateness(seed):
    """Horn's rule against every schedule in slots of one minute, setting minded."""
    jobs = _random_jobs(seed)

    plan = preemptive_edd(jobs)

    assert largest_lateness(jobs, plan.ready) == _least_by_slots(jobs, None)


@pytest.mark.parametrize("seed", range(40))
def test_gaps_between_sittings_leave_the_policy_optimal(seed):
    """The same brute force over sittings with nights between, lateness by the clock."""
    jobs = [
        Job(j.key, j.minutes, 10 + 3 * j.due, release=4 * j.release, setting=j.setting)
        for j in _random_jobs(seed)
    ]

    plan = preemptive_edd(jobs, SITTINGS)

    assert largest_lateness(jobs, plan.ready) == _least_by_slots(jobs, SITTINGS)


def _most_on_time(jobs, timeline=None):
    """Every set of jobs to drop, smallest first, then lightest."""
    sets = itertools.chain.from_iterable(
        itertools.combinations(jobs, k) for k in range(len(jobs) + 1)
    )
    fits = [
        (len(out), sum(j.weight for j in out))
        for out in sets
        if largest_lateness(
            kept := [j for j in jobs if j not in out],
            preemptive_edd(kept, timeline).ready,
        )
        <= 0
    ]
    return min(fits), min(weight for _, weight in fits)


@pytest.mark.parametrize("seed", range(30))
@pytest.mark.parametrize("timeline", [None, SITTINGS], ids=["plain", "sittings"])
def test_no_smaller_or_lighter_set_of_late_jobs_will_do(seed, timeline):
    """Against every set of seven jobs, with release times, setting and gaps."""
    jobs = _random_jobs(seed, 7)
    if timeline:
        jobs = [
            Job(j.key, j.minutes, 10 + 3 * j.due, 4 * j.release, j.weight, j.setting)
            for j in jobs
        ]
    fewest, lightest = _most_on_time(jobs, timeline)
    by_count = fewest_late(jobs, timeline)
    by_weight = fewest_late(jobs, timeline, by_weight=True)

    assert ((len(by_count.keys), by_count.weight), by_weight.weight) == (
        fewest,
        lightest,
    )
    assert by_count.proved
    assert by_weight.proved


@pytest.mark.parametrize("seed", range(20))
def test_two_rules_agree_where_all_jobs_are_here(seed):
    """Moore and Hodgson's rule and the exact search drop equally many."""
    jobs = _random_jobs(seed, 9, released=False)
    on_time, late = moore_hodgson(jobs)

    assert len(late) == len(fewest_late(jobs).keys)
    kept = [j for k in on_time for j in jobs if j.key == k]
    assert largest_lateness(kept, in_turn(kept).ready) <= 0


def test_a_search_cut_short_still_answers_and_says_it_is_not_proved():
    """Forty jobs due at once: all but three must be late."""
    jobs = [Job(str(i), 2, 6) for i in range(40)]
    found = fewest_late(jobs, nodes=50)

    assert (len(found.keys), found.proved) == (37, False)


@pytest.mark.parametrize("seed", range(12))
def test_whole_jobs_are_ordered_as_well_as_any_order_can(seed):
    """Branch and bound, and the bound it starts from, against all permutations."""
    jobs = _random_jobs(seed, 5)
    best = min(
        largest_lateness(jobs, in_turn(order).ready)
        for order in itertools.permutations(jobs)
    )
    found, order = least_lateness_unbroken(jobs)
    known = {j.key: j for j in jobs}

    assert found == best
    assert largest_lateness(jobs, in_turn([known[k] for k in order]).ready) == best
    assert unbroken_bound(jobs) <= best


@pytest.mark.parametrize("seed", range(12))
def test_tardiness_is_the_least_of_all_orders(seed):
    """Dynamic program against all permutations of six jobs, with weights."""
    jobs = _random_jobs(seed, 6, released=False)

    def cost(order):
        ready = in_turn(order).ready
        return sum(j.weight * max(ready[j.key] - j.due, 0) for j in order)

    total, keys = least_tardiness(jobs)
    known = {j.key: j for j in jobs}

    assert total == min(map(cost, itertools.permutations(jobs)))
    assert cost([known[k] for k in keys]) == total


@pytest.mark.parametrize("seed", range(12))
def test_the_largest_cost_is_the_least_of_all_allowed_orders(seed):
    """Lawler's rule against all permutations, with jobs that must come after others."""
    rng = np.random.default_rng(seed)
    minutes = [float(x) for x in rng.integers(1, 6, 5)]
    slopes, floors = rng.integers(1, 5, 5), rng.integers(0, 20, 5)
    costs = [lambda c, i=i: float(max(slopes[i] * c, floors[i])) for i in range(5)]
    after = {0: [3], 1: [3, 4]}

    def cost(order):
        ends = itertools.accumulate(minutes[i] for i in order)
        return max(costs[i](c) for i, c in zip(order, ends, strict=True))

    def allowed(order):
        at = {i: n for n, i in enumerate(order)}
        return all(at[i] < at[j] for i, late in after.items() for j in late)

    worst, order = lawler(minutes, costs, after)

    assert worst == min(cost(o) for o in itertools.permutations(range(5)) if allowed(o))
    assert allowed(order)
    assert cost(order) == worst


def test_bench_minutes_follow_the_sittings_and_lead_back_to_the_clock():
    """A night passes on the clock and not at the bench."""
    clocks = (0, 10, 12, 14, 17, 20, 23, 30, 50)

    assert [SITTINGS.to_bench(c) for c in clocks] == [0, 0, 2, 4, 4, 4, 7, 7, 17]
    assert [SITTINGS.to_clock(b) for b in (0, 2, 4, 4.5, 7, 17, 57, 58)] == [
        10, 12, 14, 20.5, 23, 50, 90, math.inf
    ]  # fmt: skip
    assert SITTINGS.split(2, 9) == [(12, 14), (20, 23), (40, 42)]
    assert SITTINGS.total == 57


def test_work_that_runs_over_a_night_is_ready_after_its_setting_time():
    """Two sittings: what leaves the bench at 22 sets until 25, while it is closed."""
    plan = preemptive_edd([Job("bow", 6, 30, setting=3)], SITTINGS)

    assert plan.segments == (Segment("bow", 0, 6),)
    assert (plan.off_bench["bow"], plan.ready["bow"]) == (22, 25)


def test_what_must_set_longer_goes_first():
    """Due together, the one with an hour to set leaves the bench first."""
    jobs = [Job("quick", 5, 100), Job("starched", 5, 100, setting=60)]

    assert [s.key for s in preemptive_edd(jobs).segments] == ["starched", "quick"]


def test_sittings_that_end_too_soon_leave_a_job_without_an_end():
    """It isn't called late by some number: there is none."""
    jobs = [Job("big", 100, 80), Job("some day", 10)]
    plan = preemptive_edd(jobs, SITTINGS)

    assert (plan.ready["big"], plan.ready["some day"]) == (math.inf, math.inf)
    assert fewest_late(jobs, SITTINGS).keys == ("big",)


def test_a_job_of_no_minutes_is_done_when_it_is_released():
    """Bows at hand only wait for their order, even between sittings."""
    plan = preemptive_edd([Job("at hand", 0, 20, release=17)], SITTINGS)

    assert (plan.segments, plan.ready["at hand"]) == ((), 17)
    assert fewest_late([Job("too late", 0, 5, release=9)]).keys == ("too late",)


def test_no_jobs_make_an_empty_plan():
    """Nothing to do, nothing late."""
    assert preemptive_edd([]).segments == ()
    assert fewest_late([]).keys == ()
    assert least_tardiness([]) == (0.0, [])
    assert moore_hodgson([]) == ([], [])
    assert largest_lateness([], {}) == -math.inf


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: Timeline([(0, 5), (4, 9)]), "overlap"),
        (lambda: Timeline([(9, 4)]), "overlap"),
        (lambda: Job("x", -1), "start at 0"),
        (lambda: Job("x", 1, due=math.nan), "no number"),
        (lambda: moore_hodgson(_random_jobs(1)), "fewest_late"),
        (lambda: least_tardiness(_random_jobs(1, 16, released=False)), "15 jobs"),
        (lambda: preemptive_edd([Job("x", 1), Job("x", 2)]), "key of its own"),
        (lambda: turn_table([]), "at least one"),
    ],
    ids=["overlap", "backwards", "minutes", "due", "released", "many", "keys", "none"],
)
def test_what_makes_no_sense_is_refused_in_words(call, says):
    """A ValueError that says what would do."""
    with pytest.raises(ValueError, match=says):
        call()


def test_a_rush_put_last_moves_nobody():
    """The last position adds no tardiness, whatever the jobs."""
    jobs = _random_jobs(3, 5, released=False)
    last = insertions(jobs, Job("R", 2, 9))[-1]

    assert (last.newly_late, last.added_tardiness, last.position) == ((), 0, 5)


def test_the_largest_lateness_can_be_no_less_than_the_table_by_due_time():
    """Jackson's rule: of all named rules the earliest due has the least of it."""
    jobs = _random_jobs(8, 7, released=False)
    plain = [Job(j.key, j.minutes, j.due) for j in jobs]
    found = {
        r: turn_table(plain, r).largest_lateness
        for r in ("FCFS", "SPT", "LPT", "EDD", "CR")
    }

    assert min(found.values()) == found["EDD"]
