"""What the readings leave possible, against answers worked out another way."""

from __future__ import annotations

import numpy as np
import pytest

from planner.engines.lumps import Lumps, choose, lumps
from planner.engines.overcut_draws import (
    ALL_LOTS,
    LOT_SPREAD,
    ROLE_SPREAD,
    Design,
    draw,
)

ROWS, TRUE = 100, 0.4


def plain(kinds: Lumps) -> Design:
    """Rows of one role with a body's over-cut, no label among them."""
    chance = np.random.default_rng(3)
    parts = chance.integers(5, 40, ROWS).astype(float)
    spread = np.full(ROWS, 3.0)
    y = TRUE * parts + chance.normal(0, 3.0, ROWS)
    return Design(np.column_stack([parts, parts]), y, spread, kinds, ("body",), ())


def test_without_lumps_the_draws_are_the_least_squares_answer() -> None:
    """Nearly: rows that may be off for no reason known count a little less."""
    design = plain(lumps([50.0], np.zeros(ROWS)))
    drawn = draw(design)
    parts = design.x[:, 0]
    exact = float(parts @ design.y / (parts @ parts))
    off = 3.0 / float(parts @ parts) ** 0.5

    both = drawn.beta[:, 0] + drawn.beta[:, 1]

    assert both.mean() == pytest.approx(exact, abs=0.35 * off)
    assert both.std() == pytest.approx(off, rel=0.2)
    assert drawn.scale.mean() == pytest.approx(1.0, abs=0.3)


def test_a_guess_nothing_tells_of_comes_back_as_it_was_stated() -> None:
    """One role: how far it lies from the mean of all is the stated spread."""
    drawn = draw(plain(lumps([50.0], np.zeros(ROWS))), draws=2000)

    assert drawn.beta[:, 1].std() == pytest.approx(ROLE_SPREAD, rel=0.15)


def test_lots_never_read_are_as_unsure_as_was_stated() -> None:
    """Off each other by one guess, all together by another: t with four lots' trust."""
    design = plain(lumps([50.0], np.zeros(ROWS)))
    wide = np.column_stack([design.x, np.zeros((ROWS, 2))])
    lots = Design(wide, design.y, design.spread, design.kinds, ("body",), ("a", "b"))

    drawn = draw(lots, draws=4000)

    apart = drawn.beta[:, 2] - drawn.beta[:, 3]
    # A t of four degrees of freedom has its quartiles at 0.7407 of its unit.
    assert np.quantile(abs(apart), 0.5) == pytest.approx(
        0.7407 * LOT_SPREAD * 2**0.5, rel=0.12
    )
    common = (drawn.beta[:, 2] + drawn.beta[:, 3]) / 2
    assert np.quantile(abs(common), 0.5) > 0.6745 * ALL_LOTS


def test_a_cut_never_entered_is_seen_and_takes_the_figure_nowhere() -> None:
    """One row in twenty holds a lump of 150 in: those rows are named, the rest not."""
    design = plain(lumps([140.0, 150.0, 160.0], np.ones(ROWS)))
    lost = np.arange(0, ROWS, 20)
    design.y[lost] += 150.0

    drawn = draw(design)

    both = drawn.beta[:, 0] + drawn.beta[:, 1]
    assert (drawn.missing[lost] > 0.9).all()
    assert (np.delete(drawn.missing, lost) < 0.1).all()
    assert both.mean() == pytest.approx(TRUE, abs=0.05)


def test_a_cut_too_many_is_told_from_one_too_few() -> None:
    """A remainder one cut below nothing is one entered twice: none is missing."""
    kinds = lumps([100.0], [30.0, 30.0])
    chance = np.random.default_rng(1)
    held = choose(kinds, np.array([100.0, -100.0]), np.ones(2), 0.05, chance)

    assert list(held.lump) == [100.0, -100.0]
    assert list(held.missing) == [1, 0]


def test_the_same_readings_give_the_same_figures() -> None:
    """No chance that isn't passed in."""
    design = plain(lumps([50.0], np.ones(ROWS)))

    assert (draw(design, draws=20).beta == draw(design, draws=20).beta).all()
