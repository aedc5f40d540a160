"""The next sittings: what is made in each, worked out by hand."""

from __future__ import annotations

from datetime import date

from planner.engines.bench_plan import bench_plan
from planner.events.bows import BowsOpening
from planner.events.fair import FairPacked, FairPlanAccepted
from planner.events.shop import BenchHoursSet, BenchStretch

from .due_toys import NAVY, NOW, RED, TODAY, at, fair, order, told


def plan(*events, days=7, **how):
    return bench_plan(told(*events, **how), now=NOW, today=TODAY, days=days)


def pieces(made):
    return [
        (one.day.day, p.order, p.bows, p.of, p.start, p.set_up)
        for one in made.sittings for p in one.pieces
    ]  # fmt: skip


def test_bows_are_made_in_the_order_of_the_policy_sitting_by_sitting():
    made = plan(
        order("O1", "2026-11-26", {RED: 4}), order("O2", "2026-11-25", {NAVY: 6})
    )
    # O2: 20 min and six tens; O1: 20 min and two tens tonight, two tomorrow.
    assert pieces(made) == [
        (23, "O2", 6, 6, at(23, "20:00"), True),
        (23, "O1", 2, 4, at(23, "21:20"), True),
        (24, "O1", 2, 4, at(24, "20:00"), False),
    ]


def test_a_bow_counts_in_the_sitting_it_is_finished_in():
    made = plan(order("O1", "2026-11-30", {NAVY: 11}))
    # Tonight ten bows fill 120 min with the set-up; the eleventh comes tomorrow.
    assert [p[2] for p in pieces(made)] == [10, 1]


def test_all_bows_of_an_order_are_made_once():
    made = plan(order("O1", "2026-12-30", {NAVY: 33, RED: 14}), days=30)
    assert sum(p[2] for p in pieces(made)) == 47


def test_free_minutes_are_what_no_order_takes():
    made = plan(order("O1", "2026-11-30", {NAVY: 4}))
    assert [round(one.free) for one in made.sittings] == [60] + 6 * [120]


def test_only_the_days_asked_for_are_shown():
    assert [one.day.day for one in plan(days=2).sittings] == [23, 24]


def test_a_sitting_past_midnight_belongs_to_the_day_it_begins_on():
    late = BenchHoursSet(
        words="every day 22:00-1:00",
        rules=(
            BenchStretch(
                rule="FREQ=DAILY", start="22:00", end="01:00", first="2026-11-01"
            ),
        ),
    )
    made = plan(order("O1", "2026-11-30", {NAVY: 14}), bench=late)
    (first, *_) = made.sittings
    assert (first.day, first.end) == (date(2026, 11, 23), at(24, "01:00"))
    assert first.pieces[0].end == at(24, "00:40")


def test_without_bench_hours_there_is_no_sitting():
    made = plan(order("O1", "2026-11-30", {NAVY: 4}), bench=None)
    assert (made.sittings, made.any_hours) == ((), False)


def test_an_accepted_fair_plan_takes_its_turn_by_the_eve_of_the_fair():
    """An order due before it goes first, one due after it waits."""
    made = plan(
        order("O1", "2026-11-25", {RED: 4}), order("O2", "2026-12-04", {RED: 2}),
        fair("F1", "Kelp Street Fair", "2026-11-28"),
        BowsOpening(bows=((NAVY, 3),)),
        FairPlanAccepted(fair="F1", bring=((NAVY, 5),), head=""),
    )  # fmt: skip
    # 60 min for O1, 40 for the two navy ones the fair lacks, 20 left for O2's set-up.
    assert pieces(made) == [
        (23, "O1", 4, 4, at(23, "20:00"), True),
        (23, "F1", 2, 2, at(23, "21:00"), True),
        (23, "O2", 0, 2, at(23, "21:40"), True),
        (24, "O2", 2, 2, at(24, "20:00"), False),
    ]


def test_of_a_fair_the_kind_comes_first_that_is_likeliest_to_be_missed():
    spread = ((NAVY, (0, 1, 1, 2, 3)), (RED, (2, 4, 5, 6, 8)))
    made = plan(
        fair("F1", "Kelp Street Fair", "2026-11-28"),
        FairPlanAccepted(
            fair="F1", bring=((NAVY, 2), (RED, 2)), head="", spread=spread
        ),
        BowsOpening(bows=((NAVY, 1), (RED, 1))),
    )
    assert [p[1:3] for p in pieces(made)] == [("F1", 1), ("F1", 1)]
    assert [p.kind for one in made.sittings for p in one.pieces] == [RED, NAVY]


def test_what_is_packed_already_or_was_never_accepted_is_not_made():
    never = plan(fair("F1", "Kelp Street Fair", "2026-11-28"))
    packed = plan(
        fair("F1", "Kelp Street Fair", "2026-11-28"),
        FairPlanAccepted(fair="F1", bring=((NAVY, 5),), head=""),
        FairPacked(fair="F1", bows=((NAVY, 5),)),
    )
    assert pieces(never) == pieces(packed) == []
