"""
What a fair's hours, crowd, season and roof do to how much is asked for.

A fair's exposure is its hours to a power, times a power of its crowd class, times a
factor outdoors and one before Christmas.  All four are fitted to what past fairs'
factors still show and shrunk towards what is usual, so that few fairs move them little.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import astuple, dataclass
from datetime import date

import numpy as np

from planner.engines.counts import Floats
from planner.engines.fair_history import USUAL_CROWD, FairTold, crowd_of
from planner.engines.pooling_values import Pooled
from planner.ledgers.fairs import Fair

USUAL_HOURS = 6.0
"""Hours of a usual day; exposure is told in hours of such a day."""
CHRISTMAS = (11, 12)
"""Months in which gifts are bought."""
FEWEST = 3
"""Past fairs below which nothing is fitted."""


@dataclass(frozen=True, slots=True)
class Powers:
    """Powers of crowd and hours, and logs of the factors outdoors and at Christmas."""

    crowd: float = 1.0
    hours: float = 1.0
    outdoor: float = 0.0
    christmas: float = 0.0


TRAITS = ("crowd", "hours", "outdoor", "christmas")
"""Names of what the powers belong to, in their order."""
USUAL = Powers()
"""In proportion to crowd and hours, and nothing else: what the fit is shrunk to."""
SPREADS = np.array(astuple(Powers(0.35, 0.25, 0.3, 0.3)))
"""Prior spreads: a crowd's power give or take a third, a roof's factor likewise."""
LEAST = Powers(0.0, 0.3, -0.7, -0.7)
MOST = Powers(2.5, 1.5, 0.7, 0.7)
"""Bounds: half to twice for a roof or a season."""


def traits(*, crowd: int, hours: float, indoor: bool, day: str) -> Floats:
    """Give the logs that the powers multiply."""
    christmas = date.fromisoformat(day).month in CHRISTMAS
    return np.array([
        math.log(crowd / USUAL_CROWD), math.log(hours / USUAL_HOURS),
        float(not indoor), float(christmas),
    ])  # fmt: skip


def exposure_of(found: Floats, powers: Powers) -> float:
    """Give the exposure of a fair with such traits, in usual hours."""
    return USUAL_HOURS * math.exp(float(found @ np.array(astuple(powers))))


def traits_of(fair: Fair) -> Floats:
    """Give a coming fair's traits; one of no length counts as an hour."""
    return traits(
        crowd=crowd_of(fair), hours=fair.open_minutes / 60 or 1.0,
        indoor=fair.indoor, day=fair.first_day,
    )  # fmt: skip


def exposure(fair: Fair, powers: Powers) -> float:
    """Give a coming fair's exposure."""
    return exposure_of(traits_of(fair), powers)


def told_traits(one: FairTold) -> Floats:
    """Give a past fair's traits."""
    return traits(crowd=one.crowd, hours=one.hours, indoor=one.indoor, day=one.day)


def fit_powers(told: Sequence[FairTold], pooled: Pooled, was: Powers) -> Powers:
    """
    Fit the powers to the factors that fairs showed beyond those of `was`.

    A weighted ridge regression of the logs of factors on the traits about their
    means; the factors' spread is their fitted shape's (Gelman et al., Bayesian Data
    Analysis, section on linear regression with a prior).
    """
    if len(told) < FEWEST:
        return was
    weight = np.array([one.weight for one in told])
    away = np.array([told_traits(one) for one in told])
    away -= np.average(away, axis=0, weights=weight)
    factor = np.log(np.maximum(pooled.fairs, 1e-6))
    factor -= np.average(factor, weights=weight)
    noise = np.diag(1 / pooled.shock / SPREADS**2)
    start, prior = np.array(astuple(was)), np.array(astuple(USUAL))
    seen = away.T @ (weight * (factor + away @ (start - prior)))
    found = prior + np.linalg.solve(away.T @ (weight[:, None] * away) + noise, seen)
    return Powers(*np.clip(found, astuple(LEAST), astuple(MOST)).tolist())
