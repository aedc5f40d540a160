"""Orders of jobs on one bench: textbook tables and optima.

"Read in print" means the figures were read there; "from memory" that they were
recalled and recomputed; own cases are ones on which two methods agree.
"""

from __future__ import annotations

import pytest

from planner.engines.sequence import (
    Job,
    edd,
    fewest_late,
    in_turn,
    largest_lateness,
    least_lateness_unbroken,
    moore_hodgson,
    preemptive_edd,
    unbroken_bound,
)
from planner.engines.turns import (
    best_on_time,
    earliest_harmless,
    insertions,
    lawler,
    least_tardiness,
    turn_table,
)


def _jobs(minutes, dues, keys=None):
    keys = keys or [str(i + 1) for i in range(len(minutes))]
    return [Job(k, p, d) for k, p, d in zip(keys, minutes, dues, strict=True)]


CALENDAR = _jobs(
    [8, 16, 40, 5, 3], [d - 274 for d in (313, 312, 325, 314, 314)], "ABCDE"
)


@pytest.mark.parametrize(
    ("rule", "order", "tardiness", "flow", "there"),
    [
        ("FCFS", "ABCDE", 14.8, 47.4, 3.3),
        ("EDD", "BADEC", 4.2, 34.6, 2.4),
        ("SPT", "EDABC", 4.2, 26.2, 1.8),
        ("LPT", "CBADE", 20.8, 60.2, 4.2),
    ],
)
def test_five_jobs_from_day_275_give_the_printed_table(
    rule, order, tardiness, flow, there
):
    """Heizer & Render, Operations Management 10e, problem 15.10, read in print. The
    first day counts: a job ends on day 274 plus its flow time."""
    table = turn_table(CALENDAR, rule)

    assert table.order == tuple(order)
    assert (table.mean_tardiness, table.mean_flow) == pytest.approx((tardiness, flow))
    assert table.jobs_there == pytest.approx(there, abs=0.05)


def test_the_end_days_count_the_first_day():
    """The same problem: end days and total tardiness of first come, first served."""
    ready = in_turn(CALENDAR).ready

    assert {k: 274 + x for k, x in ready.items()} == {
        "A": 282, "B": 298, "C": 338, "D": 343, "E": 346
    }  # fmt: skip
    assert turn_table(CALENDAR, "FCFS").mean_tardiness * 5 == pytest.approx(74)


def test_six_jobs_give_the_printed_table():
    """Heizer & Render, solved problems 15.2 and 15.3: the shortest-first table and the
    earliest-due tardiness read in print, first come recomputed."""
    jobs = _jobs([6, 12, 14, 2, 10, 4], [22, 14, 30, 18, 25, 34], "ABCDEF")
    spt, due, first = (turn_table(jobs, rule) for rule in ("SPT", "EDD", "FCFS"))

    assert spt.order == tuple("DFAEBC")
    assert (spt.mean_flow, spt.jobs_there, spt.mean_tardiness) == pytest.approx(
        (20.67, 2.58, 6.33), abs=0.005
    )
    assert 100 * spt.utilisation == pytest.approx(38.7, abs=0.05)
    assert (spt.mean_flow * 6, spt.mean_tardiness * 6) == pytest.approx((124, 38))
    assert due.mean_tardiness == pytest.approx(5.5)
    assert (first.mean_flow, first.mean_tardiness, first.jobs_there) == pytest.approx(
        (30.33, 9.17, 3.79), abs=0.005
    )


FIRM = _jobs([6, 2, 8, 3, 9], [8, 6, 18, 15, 23], "ABCDE")


@pytest.mark.parametrize(
    ("rule", "order", "flow", "use", "there", "tardiness"),
    [
        ("FCFS", "ABCDE", 15.4, 36.4, 2.75, 2.2),
        ("SPT", "BDACE", 13.0, 43.1, 2.32, 1.8),
        ("EDD", "BADCE", 13.6, 41.2, 2.42, 1.2),
        ("LPT", "ECADB", 20.6, 27.2, 3.68, 9.6),
    ],
)
def test_the_architects_jobs_give_the_printed_table(
    rule, order, flow, use, there, tardiness
):
    """Heizer & Render ch. 15, the architectural firm, from memory, recomputed; printed
    to one or two places."""
    table = turn_table(FIRM, rule)

    assert table.order == tuple(order)
    assert (table.mean_flow, table.mean_tardiness) == pytest.approx((flow, tardiness))
    assert 100 * table.utilisation == pytest.approx(use, abs=0.06)
    assert table.jobs_there == pytest.approx(there, abs=0.01)


@pytest.mark.parametrize(
    ("rule", "order", "flow", "tardiness", "late"),
    [
        ("FCFS", "12345", 53.6, 24.2, 3),
        ("SPT", "45123", 27.0, 8.6, 1),
        ("EDD", "35421", 47.0, 6.6, 4),
        ("CR", "32451", 57.8, 17.4, 4),
    ],
)
def test_the_machine_shop_gives_the_printed_table(rule, order, flow, tardiness, late):
    """Nahmias, Production and Operations Analysis, example 8.2, from memory."""
    jobs = _jobs([11, 29, 31, 1, 2], [61, 45, 31, 33, 32])
    table = turn_table(jobs, rule)

    assert table.order == tuple(order)
    assert (table.mean_flow, table.mean_tardiness, table.late) == pytest.approx(
        (flow, tardiness, late)
    )


def test_shortest_first_has_the_printed_mean_flow():
    """Mechanical Engineers' Handbook vol. 3 (Kutz), example 10, read in print."""
    table = turn_table(_jobs([7, 6, 8, 5], [99] * 4), "SPT")

    assert (table.order, table.mean_flow) == (("4", "2", "1", "3"), 15)


def test_three_of_five_jobs_can_be_on_time():
    """Pinedo, Scheduling, example 3.3.3, from memory."""
    jobs = _jobs([7, 8, 4, 6, 6], [9, 17, 18, 19, 21])
    exact = fewest_late(jobs)

    assert moore_hodgson(jobs) == (["3", "4", "5"], ["1", "2"])
    assert (len(exact.keys), exact.proved) == (2, True)


def test_eight_of_ten_jobs_can_be_on_time():
    """An exercise read in print (data); the optimum is an own case."""
    jobs = _jobs(
        [19, 23, 5, 31, 17, 8, 32, 41, 26, 18],
        [48, 75, 170, 215, 205, 240, 85, 67, 100, 95],
    )

    assert set(moore_hodgson(jobs)[1]) == {"7", "8"}
    assert (len(fewest_late(jobs).keys), fewest_late(jobs).proved) == (2, True)


FOUR = [
    Job("1", 4, 8, release=0),
    Job("2", 2, 12, release=1),
    Job("3", 6, 11, release=3),
    Job("4", 5, 10, release=5),
]


def test_earliest_due_with_interruptions_gives_the_printed_stretches():
    """Pinedo, example 3.2.5, read in print."""
    plan = preemptive_edd(FOUR)

    assert [tuple(s) for s in plan.segments] == [
        ("1", 0, 4), ("3", 4, 5), ("4", 5, 10), ("3", 10, 15), ("2", 15, 17)
    ]  # fmt: skip
    assert largest_lateness(FOUR, plan.ready) == 5


def test_whole_jobs_meet_the_printed_bounds_and_optimum():
    """The same example's branch and bound, read in print."""
    bounds = {first: unbroken_bound(FOUR, first) for first in ("1", "2", "12", "13")}

    assert bounds == {"1": 5, "2": 7, "12": 6, "13": 5}
    best, order = least_lateness_unbroken(FOUR)
    assert (best, "".join(order)) == (5, "1342")


def test_the_least_largest_cost_is_found_from_the_end():
    """Pinedo, example 3.2.3, from memory: costs 1 + C, 1.2 C and 10."""
    costs = [lambda c: 1 + c, lambda c: 1.2 * c, lambda c: 10.0]
    worst, order = lawler([2, 3, 5], costs)

    assert worst == 10
    assert [i + 1 for i in order] in ([1, 2, 3], [2, 1, 3])


def test_six_jobs_by_due_time_are_late_by_one_at_most():
    """Kleinberg & Tardos, Algorithm Design, the lecture's example, from memory."""
    jobs = _jobs([3, 2, 1, 4, 3, 2], [6, 8, 9, 9, 14, 15])

    assert largest_lateness(jobs, in_turn(edd(jobs)).ready) == 1


def test_the_least_total_tardiness_is_the_printed_one():
    """Pinedo, example 3.4.5, from memory."""
    jobs = _jobs([121, 79, 147, 83, 130], [260, 266, 266, 336, 337])
    total, order = least_tardiness(jobs)

    assert total == 370
    assert "".join(order) in ("12453", "21453")


PROMISED = sorted(FIRM, key=lambda j: "BADCE".index(j.key))


def test_a_rush_job_is_tried_at_every_position():
    """Own case on the architects' jobs: two methods agree."""
    found = insertions(PROMISED, Job("R", 3, 6))
    best = best_on_time(found)

    assert [(x.position, x.ready, x.newly_late, x.added_tardiness) for x in found] == [
        (0, 3, ("A",), 9),
        (1, 5, ("A",), 9),
        (2, 11, (), 6),
        (3, 14, (), 6),
        (4, 22, (), 3),
        (5, 31, (), 0),
    ]
    assert (len(best.newly_late), best.added_tardiness) == (1, 9)
    assert earliest_harmless(found).ready == 11
    assert earliest_harmless(found, at_all=True).ready == 31


@pytest.mark.parametrize(
    ("minutes", "due", "order", "added", "harmless"),
    [(4, 12, "BARDCE", 8, 12), (5, 20, "BADRCE", 10, 16)],
)
def test_a_rush_job_can_be_on_time_and_make_no_other_late(
    minutes, due, order, added, harmless
):
    """Own cases on the architects' jobs: two methods agree."""
    found = insertions(PROMISED, Job("R", minutes, due))
    best = best_on_time(found)

    assert (best.order, best.newly_late, best.added_tardiness) == (
        tuple(order),
        (),
        added,
    )
    assert earliest_harmless(found).ready == harmless
