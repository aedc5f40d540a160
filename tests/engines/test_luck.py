"""What is drawn is spread as it is said to be, and depends on nothing but its name."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import special, stats

from planner.engines.draws import spoils
from planner.engines.luck import normal, uniforms


def test_a_thing_is_drawn_alike_whatever_is_drawn_beside_it():
    alone = uniforms(7, ["batch O1 bow:navy 0"], 100)
    among = uniforms(7, ["sitting 2026-11-23 1", "batch O1 bow:navy 0"], 100)
    assert alone[0].tolist() == among[1].tolist()
    assert among[0].tolist() != among[1].tolist()


def test_another_seed_is_another_chance():
    one, other = (uniforms(seed, ["pace"], 10).tolist() for seed in (1, 2))
    assert one != other


def test_uniform_numbers_become_normal_ones():
    """Against the normal table; 200,000 draws, so 0.005 is more than four errors."""
    drawn = normal(uniforms(3, ["one", "other"], 100_000)).ravel()
    for z in (-2.5, -1.0, 0.0, 0.5, 1.6449):
        assert (drawn <= z).mean() == pytest.approx(float(special.ndtr(z)), abs=0.005)
    assert np.corrcoef(drawn[:50_000], drawn[50_000:100_000])[0, 1] == pytest.approx(
        0, abs=0.02
    )
    assert np.isfinite(normal(np.zeros((1, 2), dtype=np.float32))).all()


@pytest.mark.parametrize(("bows", "chance"), [(1, 0.3), (8, 0.05), (60, 0.2)])
def test_bows_spoiled_on_the_way_are_negative_binomial(bows, chance):
    """Second method: scipy's distribution function, inverted draw by draw."""
    luck = uniforms(5, ["spoiled"], 2_000)
    found = spoils(np.array([[bows]]), np.full(luck.shape, chance), luck)
    wanted = stats.nbinom.ppf(luck.astype(float), bows, 1 - chance)
    assert found.tolist() == wanted.astype(int).tolist()


def test_each_row_has_its_own_bows_and_chance():
    luck = np.array([[0.95], [0.95]], dtype=np.float32)
    found = spoils(np.array([[1], [20]]), np.array([[0.0], [0.1]]), luck)
    assert found.tolist() == [[0], [int(stats.nbinom.ppf(0.95, 20, 0.9))]]
