"""The share that turns to another colour: planted shops, and the plain cases."""

from __future__ import annotations

import numpy as np
import pytest

from planner.engines.pooling import History, pool
from planner.engines.substitution import Stalls, Substitution, fit_substitution
from tests.engines.planted_fairs import HOURS, plant


def _fit(seed: int, share: float, **told) -> Substitution:
    shop = plant(np.random.default_rng(seed), share=share, **told)
    whole = np.full(shop.sold.shape, HOURS)
    pooled = pool(
        History(
            shop.sold, whole * shop.gone, np.zeros(whole.shape, bool), shop.size,
            shop.colour, brought=shop.brought.astype(float),
        )
    )  # fmt: skip
    return fit_substitution(
        Stalls(
            sold=shop.sold, exposure=whole, gone=shop.gone, family=shop.family,
            prior_mean=pooled.mean_of_neighbours, prior_shape=pooled.kappa,
            shock=pooled.shock,
        )
    )  # fmt: skip


def test_a_planted_share_is_within_its_interval_about_nine_times_in_ten() -> None:
    """Sixteen shops of ten fairs; 14.4 hits are to be expected, 11 are the least."""
    found = [_fit(seed, 0.3) for seed in range(2_000, 2_016)]

    assert sum(x.low <= 0.3 <= x.high for x in found) >= 11
    assert np.mean([x.share for x in found]) == pytest.approx(0.3, abs=0.12)


def test_more_that_turn_give_a_larger_share() -> None:
    """Eight shops where none turn against eight where six in ten do."""
    few = np.mean([_fit(seed, 0.0).share for seed in range(8)])
    many = np.mean([_fit(seed, 0.6).share for seed in range(8)])

    assert few < 0.2 < 0.4 < many


def test_where_nothing_sold_out_the_share_is_not_known() -> None:
    assert _fit(1, 0.3, ample=True) == Substitution(0.0, 0.0, 1.0, 0.0)
