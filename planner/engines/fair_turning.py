"""
What past fairs tell of those whose colour was gone, laid out for the numbers.

Only fairs at which the hour of every selling out in a family was noted tell anything.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from planner.engines.counts import Floats
from planner.engines.fair_exposure import Powers, exposure_of, told_traits
from planner.engines.fair_history import FairTold, Told
from planner.engines.pooling_values import Pooled
from planner.engines.substitution import (
    Stalls,
    Substitution,
    fit_substitution,
    own_sales,
)
from planner.ledgers.catalogue import Catalogue


def families(cat: Catalogue, kinds: Sequence[str]) -> NDArray[np.int64]:
    """Number each kind's family: one pattern in colours of one family."""
    named = [(cat.split(kind)[0], _colours(cat, kind)) for kind in kinds]
    order = {name: n for n, name in enumerate(dict.fromkeys(named))}
    return np.array([order[name] for name in named], dtype=np.int64)


def _colours(cat: Catalogue, kind: str) -> str:
    """Give the family of a kind's lead colour, the colour itself where it has none."""
    colour = cat.colours.get(cat.lead(kind))
    return (colour.family or colour.code) if colour else kind


def learn_turning(
    cat: Catalogue,
    kinds: Sequence[str],
    told: Sequence[FairTold],
    powers: Powers,
    pooled: Pooled,
) -> tuple[Substitution, Floats]:
    """
    Say what share turns, and the sales that each kind's own buyers made by that.

    The second has shape (fairs, kinds), 0 where nothing is told of it; the share in it
    is the lowest that is likely.
    """
    whole = _stalls(cat, kinds, told, powers, pooled)
    at = np.flatnonzero(np.isin(whole.family, _telling(whole)))
    stalls, own = _only(whole, at), np.zeros_like(whole.sold)
    turn = fit_substitution(stalls)
    if turn.low > 0:
        own[:, at] = own_sales(stalls, turn.low)
    return turn, own


def _telling(stalls: Stalls) -> NDArray[np.int64]:
    """List the families of which something sold out while another was there."""
    found = set()
    for whole, gone in zip(stalls.exposure, stalls.gone, strict=True):
        out = stalls.family[(whole > 0) & (gone < 1)]
        there = stalls.family[whole > 0]
        found |= {int(f) for f in out if np.count_nonzero(there == f) > 1}
    return np.array(sorted(found), dtype=np.int64)


def _only(stalls: Stalls, at: NDArray[np.int64]) -> Stalls:
    return replace(
        stalls, sold=stalls.sold[:, at], exposure=stalls.exposure[:, at],
        gone=stalls.gone[:, at], family=stalls.family[at],
        prior_mean=stalls.prior_mean[at],
    )  # fmt: skip


def _stalls(
    cat: Catalogue,
    kinds: Sequence[str],
    told: Sequence[FairTold],
    powers: Powers,
    pooled: Pooled,
) -> Stalls:
    """Lay out past fairs; a family with an hour not noted counts as not brought."""
    family = families(cat, kinds)
    sold, exposed, gone = (np.zeros((len(told), len(kinds))) for _ in range(3))
    gone += 1.0
    for f, one in enumerate(told):
        whole = exposure_of(told_traits(one), powers)
        for k in _noted(kinds, family, one.kinds):
            row = one.kinds[kinds[k]]
            sold[f, k], exposed[f, k] = row.sold, whole
            gone[f, k] = row.open_share if row.sold_out else 1.0
    return Stalls(
        sold=sold, exposure=exposed, gone=gone, family=family,
        prior_mean=pooled.mean_of_neighbours, prior_shape=pooled.kappa,
        shock=pooled.shock,
    )  # fmt: skip


def _noted(
    kinds: Sequence[str], family: NDArray[np.int64], told: Mapping[str, Told]
) -> list[int]:
    """List the kinds brought whose whole family sold out at known hours, or not."""
    there = [k for k, kind in enumerate(kinds) if kind in told]
    unseen = {int(family[k]) for k in there if told[kinds[k]].hidden}
    return [k for k in there if int(family[k]) not in unseen]
