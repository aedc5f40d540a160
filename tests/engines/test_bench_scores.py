"""Accepted bench plans against what was made, counted by hand."""

from __future__ import annotations

from datetime import date

from planner.engines.bench_scores import bench_scores
from planner.events.base import Fact
from planner.events.bench import BowsFinished, SittingLogged
from planner.events.plans import BenchPlanAccepted
from planner.fold import fold_facts
from planner.plans.bench_scored import SittingScore

from .due_toys import HOURS, NAVY, RED, SHOP, ZONE

MONDAY, TUESDAY = date(2026, 11, 23), date(2026, 11, 24)


def plan(*rows):
    return BenchPlanAccepted(head="0" * 16, sittings=rows)


def made(batch, kind, count, sitting=None):
    return BowsFinished(
        batch=batch, made=kind, revision=1, count=count, sitting=sitting
    )


def scored(*told, today=date(2026, 11, 26)):
    """Fold events with the moments they happened at."""
    begun = [Fact(e, "2026-11-01") for e in (*SHOP, HOURS)]
    facts = [*begun, *(Fact(event, when) for when, event in told)]
    return bench_scores(fold_facts(list(enumerate(facts, 1)), zone=ZONE), today)


PLAN = plan(
    ("2026-11-23", NAVY, 6, 80), ("2026-11-23", RED, 2, 40), ("2026-11-24", RED, 8, 80),
)  # fmt: skip


def test_bows_are_set_against_those_of_their_kind_and_day():
    found = scored(
        ("2026-11-23", PLAN),
        ("2026-11-23", SittingLogged(sitting="T1", minutes=95, planned=120)),
        ("2026-11-23", made("B1", NAVY, 5, "T1")),
        ("2026-11-24", made("B2", RED, 9)),
    )
    assert found == (
        SittingScore(MONDAY, {NAVY: 6, RED: 2}, {NAVY: 5, RED: 0}, 120, 95),
        SittingScore(TUESDAY, {RED: 8}, {RED: 9}, 80, None),
    )
    assert [(one.bows, one.done) for one in found] == [(8, 5), (8, 8)]


def test_a_day_that_is_not_over_is_not_scored():
    assert [one.day for one in scored(("2026-11-23", PLAN), today=TUESDAY)] == [MONDAY]
    assert scored(("2026-11-23", PLAN), today=MONDAY) == ()


def test_a_new_plan_takes_the_place_of_the_old_one_from_its_day_on():
    found = scored(
        ("2026-11-23", PLAN), ("2026-11-24", plan(("2026-11-25", NAVY, 3, 50)))
    )
    assert [(one.day.day, one.bows) for one in found] == [(23, 8), (25, 3)]


def test_bows_made_past_midnight_are_the_eves():
    found = scored(
        ("2026-11-23", PLAN), ("2026-11-24T00:40:00-05:00", made("B1", NAVY, 6))
    )
    assert found[0].made[NAVY] == 6


def test_without_a_plan_there_is_nothing_to_score():
    assert scored(("2026-11-23", made("B1", NAVY, 6))) == ()
