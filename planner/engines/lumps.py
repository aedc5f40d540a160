"""
Which excesses hold whole cuts missing from the records, and how long those are.

An excess is the clean remainder, normal with a known spread, plus perhaps a lump: a cut
never entered, two of them, or more.  Lumps are as long as the cuts that were entered,
and the more cuts a stretch holds the likelier one is missing.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

from planner.ledgers.state import Bundle

if TYPE_CHECKING:
    from numpy.random import Generator
    from numpy.typing import NDArray

    Array = NDArray[Any]

POINTS = 60
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

    @cached_property
    def every(self) -> Array:
        """What may be added: nothing, nothing (but wide), one cut, two, one less."""
        import numpy as np

        return np.concatenate([[0.0, 0.0], self.one, self.two, -self.one])

    @cached_property
    def wide(self) -> Array:
        """What the spread is multiplied by for each of `every`."""
        import numpy as np

        made = np.ones(len(self.every))
        made[1] = TAIL[1]
        return made


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
class Chosen:
    """
    One guess at what each excess holds.

    `lump` is what to take off it, `wide` what its spread is multiplied by (none tells
    nothing: more cuts are missing than two), `missing` how many cuts that is.
    """

    lump: Array
    wide: Array
    missing: Array

    @property
    def clean(self) -> Array:
        """Rows that hold no lump and aren't off for reasons unknown."""
        made: Array = (self.wide == 1.0) & (self.lump == 0.0)
        return made


def choose(kinds: Lumps, r: Array, s: Array, rate: float, chance: Generator) -> Chosen:
    """Draw what each excess holds, for remainders `r` with spreads `s`."""
    import numpy as np

    summed = np.cumsum(_weights(kinds, r, s, rate), axis=1)
    drawn = chance.random(len(r)) * summed[:, -1]
    pick = (summed < drawn[:, None]).sum(axis=1)
    more = pick >= len(kinds.every)
    at = np.where(more, 0, pick)
    many = np.searchsorted([2, 2 + POINTS, 2 + 2 * POINTS], pick, side="right")
    missing = np.where(more, 3, np.where(many == 3, 0, many))
    return Chosen(kinds.every[at], np.where(more, np.inf, kinds.wide[at]), missing)


def _weights(kinds: Lumps, r: Array, s: Array, rate: float) -> Array:
    """Weigh every lump for every row, and last that more than two cuts are missing."""
    import numpy as np

    none, one, two, more, down = _shares(kinds.cuts * rate)
    spread = s[:, None] * kinds.wide
    near = np.exp(-0.5 * ((r[:, None] - kinds.every) / spread) ** 2) / spread
    ends = 2, 2 + POINTS, 2 + 2 * POINTS
    near[:, 0] *= none * (1 - TAIL[0])
    near[:, 1] *= none * TAIL[0]
    near[:, ends[0] : ends[1]] *= one[:, None] / POINTS
    near[:, ends[1] : ends[2]] *= two[:, None] / POINTS
    near[:, ends[2] :] *= down[:, None] / POINTS
    inside = (r > 0) & (r < kinds.most)
    flat = np.where(inside, 1.0, 1e-9) * more * np.sqrt(2 * np.pi) / kinds.most
    return np.column_stack([near, flat])


def _shares(mean: Array) -> list[Array]:
    """Give the chances of no cut missing, one, two, more, and one too many."""
    import numpy as np

    none = np.exp(-mean * (1 + TOO_MANY))
    one, two = mean * none, mean**2 / 2 * none
    down = TOO_MANY * mean * none
    return [none, one, two, np.maximum(1 - none - one - two - down, 0.0), down]
