"""
How likely an excess is when whole cuts may be missing from the records.

An excess is the clean remainder, normal with a known spread, plus perhaps a lump: a cut
never entered, two of them, or more.  Lumps are as long as the cuts that were entered,
and the more cuts a stretch holds the likelier one is missing.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from math import pi, sqrt
from typing import TYPE_CHECKING, Any

from planner.ledgers.state import Bundle

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[Any]

POINTS = 120
"""Lengths that stand for all the cuts."""
TAIL = 0.05, 5.0
"""Share and width (in spreads) of what is off for no reason known."""
BEGIN = 0.02
"""Share of cuts never entered, to begin with: a stated guess."""
WORTH = 20.0
"""Cuts that the guess counts for."""
TOO_MANY = 0.1
"""A cut entered twice, or off another spool, for each one never entered."""


def sizes_of(bundles: Iterable[Bundle]) -> list[int]:
    """Give the lengths of cuts (nm): bundles cut off one spool at one moment."""
    cuts: dict[tuple[str, int], int] = defaultdict(int)
    for one in bundles:
        cuts[one.spool, one.when] += one.length * one.count
    return list(cuts.values())


@dataclass(frozen=True)
class Lumps:
    """
    The kinds of lump: `one` and `two` are lengths that stand for all, `cuts` how many
    cuts each stretch holds; a row with none can have no lump.
    """

    one: Array
    two: Array
    cuts: Array

    @property
    def most(self) -> float:
        """The longest lump reckoned with; longer ones are as likely as any."""
        return float(self.two.max()) * 2


def lumps(sizes: Iterable[float], cuts: Iterable[float]) -> Lumps:
    """Stand some lengths in for all cuts, and for any two of them."""
    import numpy as np

    every = np.sort(np.asarray(list(sizes), dtype=float))
    steps = (np.arange(POINTS) + 0.5) / POINTS
    one = np.quantile(every, steps)
    # Pairs met in an order that mixes short with long.
    two = np.sort(one + one[(np.arange(POINTS) * 7 + 3) % POINTS])
    return Lumps(one, two, np.asarray(list(cuts), dtype=float))


@dataclass(frozen=True)
class Told:
    """
    What the excesses tell at one trial: log density, its slope, the chance of none.

    `missing` is the expected number of cuts never entered.
    """

    logged: Array
    slope: Array
    clean: Array
    above: Array
    missing: Array


def weigh(kinds: Lumps, r: Array, s: Array, rate: float) -> Told:
    """Weigh clean against lumped, for remainders `r` with spreads `s`."""
    import numpy as np

    mean = kinds.cuts * rate
    shares = _shares(mean)
    none, none_slope = _near(r[:, None], s)
    up, up_slope = _near(r[:, None] - kinds.one, s)
    two, two_slope = _near(r[:, None] - kinds.two, s)
    down, down_slope = _near(r[:, None] + kinds.one, s)
    wide, wide_slope = _near(r[:, None], s * TAIL[1])
    flat = np.where((r > 0) & (r < kinds.most), 1 / kinds.most, 1e-9 / kinds.most)
    parts = [
        shares[0] * (1 - TAIL[0]) * none, shares[1] * up, shares[2] * two,
        shares[3] * flat, shares[4] * down, shares[0] * TAIL[0] * wide,
    ]  # fmt: skip
    total = np.maximum(sum(parts), 1e-300)
    slopes = [
        shares[0] * (1 - TAIL[0]) * none_slope, shares[1] * up_slope,
        shares[2] * two_slope, shares[4] * down_slope,
        shares[0] * TAIL[0] * wide_slope,
    ]  # fmt: skip
    above = (parts[1] + parts[2] + parts[3]) / total
    missing = (parts[1] + 2 * parts[2] + 3 * parts[3]) / total
    return Told(np.log(total), sum(slopes) / total, parts[0] / total, above, missing)


def _shares(mean: Array) -> list[Array]:
    """Give the chances of no cut missing, one, two, more, and one too many."""
    import numpy as np

    none = np.exp(-mean * (1 + TOO_MANY))
    one, two = mean * none, mean**2 / 2 * none
    down = TOO_MANY * mean * none
    return [none, one, two, np.maximum(1 - none - one - two - down, 0.0), down]


def _near(off: Array, s: Array) -> tuple[Array, Array]:
    """Give the mean normal density of some distances, and its slope."""
    import numpy as np

    wide = s[:, None]
    each = np.exp(-0.5 * (off / wide) ** 2) / (wide * sqrt(2 * pi))
    return each.mean(axis=1), (-each * off / wide**2).mean(axis=1)
