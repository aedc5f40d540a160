"""Learning curves, three-point guesses and lognormal sums: edges and refusals."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from planner.engines.learning import (
    ErlangSum,
    LogNormalSum,
    NormalSum,
    exponent,
    lognormal_sum,
    longest_path,
    run_minutes,
    three_point,
    unit_minutes,
)


def test_practice_stops_helping_at_the_floor():
    """First bow 30 minutes at 80 %, never under 9."""
    assert unit_minutes(30, 0.8, [1, 2, 4, 64], floor=9).tolist() == pytest.approx(
        [30, 24, 19.2, 9]
    )


def test_runs_add_up_whatever_the_cut():
    """Ten and then fifteen take as long as twenty-five."""
    parts = (
        run_minutes(30, 0.85, done=0, more=10),
        run_minutes(30, 0.85, done=10, more=15),
    )

    assert sum(parts) == pytest.approx(run_minutes(30, 0.85, done=0, more=25))


def test_a_rate_of_one_means_no_learning():
    """Every bow takes the same."""
    assert (exponent(1.0), run_minutes(6, 1.0, done=100, more=10)) == (0.0, 60.0)


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: exponent(1.2), "learning rate"),
        (lambda: exponent(0), "learning rate"),
        (lambda: three_point(5, 4, 9), "must rise"),
        (lambda: longest_path({"a": 1, "b": 1}, {"a": "b", "b": "a"}), "one another"),
    ],
)
def test_what_makes_no_sense_is_refused_in_words(call, says):
    """A ValueError that says what would do."""
    with pytest.raises(ValueError, match=says):
        call()


def test_a_sum_that_does_not_vary_is_met_or_not():
    """Three points all the same: certain."""
    sure = three_point(3, 3, 3)

    assert (sure.chance_by(2.9), sure.chance_by(3)) == (0.0, 1.0)
    assert LogNormalSum(0.0, 0.0).chance_by(1.0) == 1.0
    assert LogNormalSum(0.0, 0.5).chance_by(0.0) == 0.0


@pytest.mark.parametrize(
    ("total", "other"),
    [
        (NormalSum(24, 5), stats.norm(24, math.sqrt(5))),
        (ErlangSum(4, 2.5), stats.erlang(4, scale=2.5)),
        (LogNormalSum(1.2, 0.3), stats.lognorm(0.3, scale=math.exp(1.2))),
    ],
    ids=["normal", "erlang", "lognormal"],
)
def test_chances_and_dates_agree_with_another_method(total, other):
    """scipy.stats as the second method."""
    dues = [total.due_for(p) for p in (0.1, 0.5, 0.9)]

    assert dues == pytest.approx(list(other.ppf([0.1, 0.5, 0.9])))
    assert [total.chance_by(d) for d in dues] == pytest.approx([0.1, 0.5, 0.9])


def test_the_sum_of_unlike_lognormals_has_the_moments_of_the_parts():
    """Second method: scipy.stats means and variances, added."""
    parts = [stats.lognorm(s, scale=math.exp(m)) for m, s in ((1, 0.4), (2, 0.1))]
    total = lognormal_sum([1, 2], [0.4, 0.1])

    assert total.mean == pytest.approx(sum(p.mean() for p in parts))
    assert total.variance == pytest.approx(sum(p.var() for p in parts))
    assert np.isfinite(total.due_for(0.999))
