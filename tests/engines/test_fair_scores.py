"""Settled fairs scored: by hand, and against the same as last time."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from planner.engines.fair_scores import (
    fair_score,
    fair_scores,
    quantile_loss,
    spread_of,
)
from planner.engines.scoring import crps_draws
from planner.events.base import Fact
from planner.events.fair import FairDayClosed, FairPlanAccepted
from planner.ledgers.fairs import fair_of
from tests.engines.fair_toys import past, set_up, told

NAVY, RED = "4in:navy", "4in:red"


def accepted(code, day, spread, sold):
    event = FairPlanAccepted(
        fair=code,
        bring=((NAVY, 8), (RED, 6)),
        head="ab",
        spread=spread,
        sold_spread=sold,
    )
    return Fact(event, day)


def two_fairs(*more):
    return told(
        set_up(),
        past("F1", "2026-05-02", {NAVY: 8, RED: 8}, {NAVY: 5, RED: 2}),
        *more,
        past("F2", "2026-08-01", {NAVY: 8, RED: 6}, {NAVY: 7, RED: 3}),
    )


PLAN = accepted(
    "F2", "2026-07-30", ((NAVY, (2, 5, 8, 11, 15)), (RED, (0, 1, 2, 3, 4))),
    (3, 6, 9, 11, 13),
)  # fmt: skip


def test_a_plan_is_scored_by_the_figures_kept_with_it():
    """By hand; no more than the eight navy ones brought can sell."""
    led = two_fairs(PLAN)
    score = fair_score(led, fair_of(led, "F2"))

    assert score is not None
    assert (score.told, score.within, score.total.within) == ("accepted", 2, True)
    navy, red = score.kinds
    assert navy.spread == (2, 5, 8, 8, 8)
    assert navy.loss == pytest.approx(
        2 * (0.15 * 0.05 * 5 + 0.225 * 0.25 * 2 + 0.25 * 0.5 * 1
             + 0.225 * 0.25 * 1 + 0.15 * 0.05 * 1)
    )  # fmt: skip
    assert red.loss == pytest.approx(
        2 * (0.15 * 0.05 * 3 + 0.225 * 0.25 * 2 + 0.25 * 0.5 * 1
             + 0.225 * 0.25 * 0 + 0.15 * 0.05 * 1)
    )  # fmt: skip
    assert [(x.last, x.last_loss) for x in score.kinds] == [(5.0, 2.0), (2.0, 1.0)]
    assert (score.total.sold, score.total.last) == (10.0, 7.0)


def test_a_plan_for_the_second_day_is_not_what_the_fair_is_scored_by():
    closed = Fact(FairDayClosed(fair="F2", day="2026-08-01", cash=0), "2026-08-01")
    later = accepted("F2", "2026-08-02", ((NAVY, (0,) * 5),), (0,) * 5)
    led = two_fairs(PLAN, closed, later)

    assert fair_of(led, "F2").sold_spread == (3, 6, 9, 11, 13)


def test_without_a_plan_it_is_worked_out_from_the_fairs_before_alone():
    """What sold at the fair itself, or later, changes nothing of what is said."""
    led = two_fairs()
    other = told(
        set_up(),
        past("F1", "2026-05-02", {NAVY: 8, RED: 8}, {NAVY: 5, RED: 2}),
        past("F2", "2026-08-01", {NAVY: 8, RED: 6}, {NAVY: 1, RED: 6}),
        past("F3", "2026-09-01", {NAVY: 8, RED: 6}, {NAVY: 8}),
    )
    one, two = (fair_score(x, fair_of(x, "F2")) for x in (led, other))

    assert one is not None
    assert two is not None
    assert one.told == "worked out"
    assert [x.spread for x in one.kinds] == [x.spread for x in two.kinds]
    assert one.total.spread == two.total.spread


def test_the_first_fair_has_no_last_time():
    score = fair_scores(two_fairs(), newest=2)[0]

    assert score.fair == "F1"
    assert [x.last for x in (*score.kinds, score.total)] == [None] * 3
    assert score.compared == ()


def test_a_single_figure_loses_its_distance():
    assert quantile_loss(7.5, (5,) * 5) == pytest.approx(2.5)
    assert quantile_loss(2, (5,) * 5) == pytest.approx(3)


def test_five_quantiles_stand_for_the_crps():
    """Over many counts drawn, the true law loses least, and about its CRPS."""
    rng = np.random.default_rng(3)
    law = stats.nbinom(4, 4 / (4 + 30))
    draws = law.rvs(4_000, random_state=rng)
    came = law.rvs(800, random_state=rng)
    spread = spread_of(draws)

    def mean_loss(shift, width=1.0):
        moved = [round(spread[2] + width * (q - spread[2]) + shift) for q in spread]
        return float(np.mean([quantile_loss(c, moved) for c in came]))

    crps = float(np.mean([crps_draws(c, draws) for c in came]))

    assert mean_loss(0) == pytest.approx(crps, rel=0.04)
    others = [mean_loss(8), mean_loss(-8), mean_loss(0, 0.3), mean_loss(0, 2.0)]
    assert mean_loss(0) < min(others)
