"""What she usually does, learned: hours worked, bows spoiled, restocks late."""

from __future__ import annotations

import math
from datetime import date, timedelta

import numpy as np
import pytest

from planner.engines.forecast import Share
from planner.engines.habits import (
    MISS_AFTER_WORKED,
    Lateness,
    kept_sittings,
    lateness,
    spoilage,
    worked,
)
from planner.events.base import Fact
from planner.events.bench import BowsFinished, BowsSpoiled, SittingLogged
from planner.events.restock import SpoolReceived
from planner.fold import fold_facts

from .due_toys import HOURS, NAVY, SHOP, TODAY, YARD, ZONE, on_the_way, order, told


def on(day, *events):
    """Date events of November 2026."""
    return [Fact(event, f"2026-11-{day:02}") for event in events]


def lived(*facts):
    """Fold the shop, its hours, and what happened on which day."""
    begun = [Fact(e, "2026-11-01") for e in (*SHOP, HOURS)]
    return fold_facts(list(enumerate([*begun, *facts], 1)), zone=ZONE)


def sittings(days, minutes=96, planned=120):
    return [
        fact for n in days
        for fact in on(n, SittingLogged(sitting=f"T{n}", minutes=minutes,
                                        planned=planned))
    ]  # fmt: skip


def test_with_no_sittings_a_little_less_than_her_hours_is_expected():
    found = worked(told(), TODAY)
    assert (found.seen, round(found.median, 2)) == (0, 0.88)
    assert 0.8 < found.kept < 0.9


def test_a_share_seen_again_and_again_is_believed():
    found = worked(lived(*sittings(range(2, 22))), TODAY)
    assert found.seen == 20
    assert 0.8 < found.median < 0.83


def test_days_without_a_record_are_missed_only_while_an_order_waits():
    waiting = on(5, order("O1", "2026-11-30", {NAVY: 6}))
    led = lived(*sittings([2, 3, 6, 8, 9, 10]), *waiting)
    # Her hours are every day; from the fifth, the order waits: 5, 7, 11 to 22 missed.
    assert kept_sittings(led, TODAY) == [False, True, False, True, True, True] + 12 * [
        False
    ]


def test_bows_finished_without_a_sitting_show_that_the_bench_was_kept():
    made = BowsFinished(batch="B1", made=NAVY, revision=1, count=2)
    led = lived(
        *sittings([2]), *on(3, order("O1", "2026-11-30", {NAVY: 6})), *on(4, made)
    )
    assert kept_sittings(led, date(2026, 11, 6)) == [False, True, False]


def test_a_sitting_that_ends_past_midnight_is_the_eves():
    late = Fact(SittingLogged(sitting="T3", minutes=90), "2026-11-04T00:30:00-05:00")
    led = lived(*sittings([2]), *on(2, order("O1", "2026-11-30", {NAVY: 6})), late)
    assert kept_sittings(led, date(2026, 11, 5)) == [True, True, False]


def test_sittings_are_missed_in_runs():
    """After a missed one the next is likelier missed: 30,000 seeded draws."""
    usual = worked(told(), TODAY)
    rng = np.random.default_rng(2)
    noise, luck = rng.standard_normal((2, 30_000)), rng.random((2, 30_000))
    _, both = usual.draw(rng, noise.astype(np.float32), luck.astype(np.float32))
    kept = both.T
    again = 1 - kept[~kept[:, 0], 1].mean()
    assert 1 - kept[:, 0].mean() == pytest.approx(MISS_AFTER_WORKED.mean, abs=0.01)
    assert again == pytest.approx(1.5 / 3.5, abs=0.03)


def test_spoiled_bows_are_counted_by_pattern_leaning_on_the_whole_shop():
    led = lived(
        *on(2, BowsFinished(batch="B1", made=NAVY, revision=1, count=90)),
        *on(3, BowsSpoiled(made=NAVY, revision=1, count=10)),
    )
    found = spoilage(led)
    # The shop: (0.7 + 10) of 130.7, worth 40 bows for each pattern.
    every = 10.7 / 130.7
    assert found["glued"] == Share(
        pytest.approx(40 * every), pytest.approx(40 - 40 * every)
    )
    assert found["bow"].mean == pytest.approx((40 * every + 10) / 140)


def test_a_late_restock_makes_the_next_one_likelier_late():
    came = SpoolReceived(spool="S9", ribbon="navy", length=50 * YARD, lot="S9",
                         restock="R1")  # fmt: skip
    way = on(2, on_the_way("R1", "navy", 50, "2026-11-06", "2026-11-08"))
    before = lateness(lived(*way))
    after = lateness(lived(*way, *on(14, came)))
    days = {"expected": date(2026, 12, 1), "latest": date(2026, 12, 3)}
    assert (before.seen, after.seen) == (0, 1)
    assert after.chance_by(2, **days) < before.chance_by(2, **days)


def test_days_late_are_drawn_as_their_law_says():
    """Closed form: an exponential time with a gamma rate is Lomax; 40,000 draws."""
    law, first = Lateness(4.0, 3.0), date(2026, 12, 1)
    days = {"expected": first, "latest": first + timedelta(days=4)}
    drawn = law.draw(np.random.default_rng(6), 40_000, **days)
    for late in (0, 2, 4, 9):
        assert (drawn <= late).mean() == pytest.approx(
            law.chance_by(late, **days), abs=0.01
        )


def test_with_a_sure_rate_of_one_nine_in_ten_come_by_the_latest_day():
    law, first = Lateness(1e9, 1e9), date(2026, 12, 1)
    found = law.chance_by(3, expected=first, latest=first + timedelta(days=3))
    assert found == pytest.approx(0.9)
    same_day = law.chance_by(0, expected=first, latest=first)
    assert same_day == pytest.approx(1 - math.exp(-2.5), abs=1e-6)
