"""
What a bow that comes back is still worth, and what that makes of each bow brought.

A bow left over may sell at the fairs after this one: the j-th of a kind is worth its
salvage in part for certain, and for the rest by the chance that the fairs expected in
the season ahead ask for j.  So the worth falls with how many are left, and with how
little of the season is.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

import numpy as np

from planner.engines.counts import CountLaw, Floats
from planner.ledgers.fairs import CALLED_OFF, Fair, fairs
from planner.ledgers.state import Ledgers

SEASON = timedelta(days=90)
"""How far ahead bows left over are thought of."""
CERTAIN = 0.25
"""Share of the salvage that even the last bow left is worth: orders, boutiques."""
YEAR = timedelta(days=365)


def fairs_later(led: Ledgers, fair: Fair) -> float:
    """
    Give the fairs expected in the season after a fair.

    Those announced, or as many as a year ago were held in the same weeks, whichever is
    more; while the records hold less than that year, as many as its fairs so far say.
    One where no other fair is known at all.
    """
    after = date.fromisoformat(fair.last_day)
    days = [
        date.fromisoformat(one.first_day) for one in fairs(led).values()
        if one.code != fair.code and one.state != CALLED_OFF
    ]  # fmt: skip
    if not days:
        return 1.0
    told = sum(after < day <= after + SEASON for day in days)
    before = after - YEAR
    if min(days) > before:
        held = sum(before < day <= after for day in days)
        return max(float(told), held * (SEASON / YEAR))
    return float(max(told, sum(before < day <= before + SEASON for day in days)))


def salvages(law: CountLaw, first: float, later: float, count: int) -> Floats:
    """Give the worth of the first, second, ... of `count` bows of a kind left over."""
    ahead = CountLaw(law.mean * later, law.shape * max(later, 1.0))
    chances = ahead.sf(np.arange(count)) if later > 0 else np.zeros(count)
    return np.asarray(first * (CERTAIN + (1 - CERTAIN) * chances))


def chances_worth(
    chances: Sequence[float], price: float, left: Floats, held: int
) -> Floats:
    """
    Give what each bow brought is worth, as a share of its price.

    chances: P(D >= 1), P(D >= 2), ...; left: worth of the first, second, ... bow that
    isn't sold.  Of the `held` bows there are, one sold is one less left, whether it is
    brought or not, so that the first left of all is added and charged with it; a new
    one that isn't sold adds to those left.  Never rises from bow to bow, since `left`
    falls.
    """
    p = np.asarray(chances, dtype=np.float64)
    n = np.arange(1, p.size + 1)
    fewer = np.append(1.0, p[:-1]) - p
    added = np.convolve(fewer, left[: p.size])[: p.size] if p.size else p
    gone = left[np.clip(held - n, 0, left.size - 1)] if left.size else 0.0
    there = p * (price - gone) + (left[0] if left.size else 0.0)
    return np.asarray(np.where(n <= held, there, price * p + added) / price)
