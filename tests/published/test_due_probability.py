"""The chance of a due time, three-point sums, learning curves, sums of lognormals.

"Read in print" means the figures were read there; "from memory" that they were
recalled and recomputed. Printed chances often use a rounded z: they are met to 0.002,
the unrounded ones to a millionth.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from planner.engines.learning import (
    ErlangSum,
    NormalSum,
    average_minutes,
    average_run_minutes,
    chain,
    exponent,
    lognormal_sum,
    longest_path,
    run_minutes,
    three_point,
    unit_minutes,
)


def test_the_seven_task_chain_has_the_printed_chance():
    """Taylor, Introduction to Management Science, ch. 8, read in print (z rounded to
    1.79; unrounded 0.96318)."""
    points = {1: (5, 8, 17), 3: (3, 5, 7), 5: (4, 6, 8), 7: (3, 4, 5)}
    total = chain(three_point(*p) for p in points.values())

    assert (total.mean, total.variance) == pytest.approx((24, 5))
    assert total.chance_by(28) == pytest.approx(0.9633, abs=0.002)
    assert total.chance_by(28) == pytest.approx(
        stats.norm.cdf(4 / math.sqrt(5)), abs=1e-9
    )


def test_the_vacuum_cleaner_project_has_the_printed_chance():
    """Anderson, Sweeney & Williams; means read in print, three points from memory
    (z rounded to 1.82)."""
    points = [(4, 5, 12), (2, 3, 4), (2.5, 3.5, 7.5), (1.5, 2, 2.5), (1, 2, 3)]
    total = chain(three_point(*p) for p in points)

    assert total.mean == pytest.approx(17)
    assert total.variance == pytest.approx(2.72, abs=0.005)
    assert math.sqrt(total.variance) == pytest.approx(1.65, abs=0.005)
    assert total.chance_by(20) == pytest.approx(0.9656, abs=0.002)


def test_the_yacht_has_the_printed_chances_and_date():
    """Render & Stair, the yacht problem; inputs read in print, answers from memory."""
    total = NormalSum(21, 4)

    assert [total.chance_by(d) for d in (17, 20, 23, 25)] == pytest.approx(
        [0.0228, 0.3085, 0.8413, 0.9772], abs=5e-5
    )
    assert total.due_for(0.95) == pytest.approx(24.29, abs=0.005)


def test_the_builder_meets_his_bonus_date_with_the_printed_chance():
    """Hillier & Lieberman, the construction project, from memory."""
    assert NormalSum(44, 9).chance_by(47) == pytest.approx(0.84, abs=0.005)


def test_three_exponential_jobs_are_done_in_time_as_the_poisson_table_says():
    """1 - P(N <= 2; 4) = 0.7619, Poisson table from memory."""
    total = ErlangSum(3, 2)

    assert total.chance_by(8) == pytest.approx(0.7619, abs=5e-5)
    assert total.due_for(total.chance_by(8)) == pytest.approx(8)


MILL = {
    "A": (1, 2, 3), "B": (2, 3, 4), "C": (1, 2, 3), "D": (2, 4, 6),
    "E": (1, 4, 7), "F": (1, 2, 9), "G": (3, 4, 11), "H": (1, 2, 3),
}  # fmt: skip
MILL_AFTER = {"C": "A", "D": "AB", "E": "C", "F": "C", "G": "DE", "H": "FG"}


def test_the_paper_mill_has_the_printed_path_and_chance():
    """Heizer & Render, the project chapter, from memory; P(16) printed with z rounded
    to .57, exact 0.714625."""
    times = {k: three_point(*p) for k, p in MILL.items()}
    ends, path = longest_path({k: t.mean for k, t in times.items()}, MILL_AFTER)
    total = chain(times[k] for k in path)

    assert [t.mean for t in times.values()] == pytest.approx([2, 3, 2, 4, 4, 3, 5, 2])
    assert [t.variance for t in times.values()] == pytest.approx(
        [0.11, 0.11, 0.11, 0.44, 1.0, 1.78, 1.78, 0.11], abs=0.005
    )
    assert (max(ends.values()), "".join(path)) == (pytest.approx(15), "ACEGH")
    assert total.variance == pytest.approx(3.11, abs=0.005)
    assert math.sqrt(total.variance) == pytest.approx(1.76, abs=0.005)
    assert total.chance_by(16) == pytest.approx(0.7157, abs=0.002)
    assert total.chance_by(16) == pytest.approx(0.714625, abs=1e-6)
    assert total.due_for(0.99) == pytest.approx(19.1, abs=0.005)


FOURTEEN = {
    "A": (5, 5, 7), "B": (1, 2, 5), "C": (5, 5, 5), "D": (4, 8, 13), "E": (1, 10, 17),
    "F": (1, 5, 7), "G": (2, 6, 9), "H": (4, 4, 6), "I": (2, 7, 10), "J": (2, 4, 7),
    "K": (6, 10, 13), "L": (2, 6, 6), "M": (2, 2, 3), "N": (7, 7, 12),
}  # fmt: skip
FOURTEEN_AFTER = {
    "C": "A", "D": "A", "E": "BC", "F": "D", "G": "D", "H": "EF", "I": "GH", "J": "I",
    "K": "I", "L": "J", "M": "K", "N": "LM",
}  # fmt: skip


def test_fourteen_tasks_have_the_printed_means_spreads_and_finishes():
    """A problem in the style of Heizer & Render, read in print; duration own."""
    times = {k: three_point(*p) for k, p in FOURTEEN.items()}
    ends, _ = longest_path({k: t.mean for k, t in times.items()}, FOURTEEN_AFTER)

    assert [times[k].mean for k in "ABCDEFG"] == pytest.approx(
        [5.33, 2.33, 5.0, 8.17, 9.67, 4.67, 5.83], abs=0.0051
    )
    assert [times[k].mean for k in "HIJKLMN"] == pytest.approx(
        [4.33, 6.67, 4.17, 9.83, 5.33, 2.17, 7.83], abs=0.0051
    )
    assert [math.sqrt(t.variance) for t in times.values()] == pytest.approx(
        [0.33, 0.67, 0, 1.5, 2.67, 1.0, 1.17, 0.33, 1.33, 0.83, 1.17, 0.67, 0.17, 0.83],
        abs=0.0051,
    )
    assert [ends[k] for k in "ABCDEF"] == pytest.approx(
        [5.33, 2.33, 10.33, 13.5, 20.0, 18.17], abs=0.0051
    )
    assert ends["N"] == pytest.approx(50.8333, abs=1e-4)


UNIT_TABLE = [
    (0.8, 3, 0.7021), (0.8, 4, 0.64), (0.8, 5, 0.5956), (0.8, 10, 0.4765),
    (0.8, 20, 0.3812), (0.8, 25, 0.3548), (0.8, 50, 0.2838), (0.8, 100, 0.2271),
    (0.85, 3, 0.7729), (0.85, 4, 0.7225), (0.85, 10, 0.5828), (0.9, 3, 0.8462),
    (0.9, 5, 0.783), (0.9, 6, 0.7616), (0.9, 10, 0.7047), (0.9, 20, 0.6342),
    (0.7, 3, 0.5682), (0.7, 10, 0.3058),
]  # fmt: skip
SUM_TABLE = [
    (0.8, 3, 2.502), (0.8, 4, 3.142), (0.8, 5, 3.738), (0.8, 10, 6.315),
    (0.8, 20, 10.485), (0.8, 25, 12.309), (0.85, 4, 3.345), (0.85, 10, 7.116),
    (0.9, 3, 2.746), (0.9, 6, 5.101), (0.9, 10, 7.994), (0.9, 20, 14.608),
    (0.7, 10, 4.932),
]  # fmt: skip


def test_unit_coefficients_meet_the_handbook_table():
    """Standard operations-management table, from memory."""
    found = [float(unit_minutes(1, rate, n)) for rate, n, _ in UNIT_TABLE]

    assert found == pytest.approx([u for *_, u in UNIT_TABLE], abs=6e-5)


def test_cumulative_coefficients_meet_the_handbook_table():
    """Standard table; 6.315, 2.746 and 5.101 read in Heizer & Render, the rest from
    memory."""
    found = [run_minutes(1, rate, done=0, more=n) for rate, n, _ in SUM_TABLE]

    assert found == pytest.approx([c for *_, c in SUM_TABLE], abs=6.1e-4)


def test_the_fourth_boat_costs_what_is_printed():
    """Heizer & Render, module E: 125,000 hours and the cost at 90 % read in print, the
    85 % answer from memory. The printed total uses the coefficient 3.345."""
    fourth = float(unit_minutes(125_000, 0.85, 4))

    assert (fourth, fourth * 40) == pytest.approx((90_312.5, 3_612_500), abs=0.01)
    assert float(unit_minutes(125_000, 0.9, 4)) * 40 == pytest.approx(4_050_000)
    total = run_minutes(125_000, 0.85, done=0, more=4)
    assert total == pytest.approx(418_176.8546, abs=1e-3)
    assert total == pytest.approx(125_000 * 3.345, rel=5e-4)


def test_the_two_learning_curves_are_kept_apart():
    """Closed forms (own case): four units by average 256, by unit 314.2."""
    assert 4 * average_minutes(100, 0.8, 4) == pytest.approx(256, abs=1e-9)
    assert average_run_minutes(100, 0.8, done=0, more=4) == pytest.approx(256, abs=1e-9)
    assert average_run_minutes(100, 0.8, done=2, more=2) == pytest.approx(96, abs=1e-9)
    by_unit = run_minutes(100, 0.8, done=0, more=4)
    assert by_unit == pytest.approx(314.210370277856, abs=1e-9)


def test_exponents_are_the_logarithms_of_the_rates():
    """Standard table, from memory."""
    assert [exponent(r) for r in (0.7, 0.8, 0.85, 0.9)] == pytest.approx(
        [-0.5146, -0.3219, -0.2345, -0.152], abs=5e-5
    )


def test_two_lognormal_times_add_up_by_their_moments():
    """Fenton's moment match, own; true quantiles by numerical convolution differ by
    0.03 % at the 90th and 0.23 % at the 95th percentile."""
    total = lognormal_sum([math.log(110), math.log(100)], [0.25, 0.15])

    assert (total.mu, total.sigma) == pytest.approx(
        (5.357471506703519, 0.15107669872815854), abs=1e-12
    )
    assert [total.due_for(p) for p in (0.9, 0.95)] == pytest.approx(
        [257.51657, 272.04583], abs=1e-4
    )
    assert [total.due_for(p) for p in (0.9, 0.95)] == pytest.approx(
        [257.42907, 272.67797], rel=0.0025
    )


def test_twelve_equal_lognormal_times_match_mean_and_variance():
    """Closed form: both moments match exactly."""
    total = lognormal_sum([0.0] * 12, [0.3] * 12)

    assert (total.mu, total.sigma) == pytest.approx(
        (2.525998038429491, 0.08841505933390514), abs=1e-9
    )
    assert (total.mean, total.variance) == pytest.approx(
        (12.552334318904602, 1.2365169529991984), abs=1e-9
    )


def test_the_convolved_quantiles_are_themselves_confirmed_by_simulation():
    """Second method for the true quantiles above: 400,000 seeded draws."""
    rng = np.random.default_rng(5)
    total = 110 * np.exp(0.25 * rng.normal(size=400_000))
    total += 100 * np.exp(0.15 * rng.normal(size=400_000))

    assert np.quantile(total, [0.9, 0.95]) == pytest.approx(
        [257.42907, 272.67797], rel=0.002
    )
