"""
Quick ways of cutting: longest first, and filling each roll as full as it goes.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import numpy.typing as npt

from planner.engines.cutting_bounds import Demand, Pattern

Whole = npt.NDArray[np.int64]


def best_fill(
    lengths: Sequence[int], counts: Sequence[int], room: int, worth: Sequence[int]
) -> tuple[int, Pattern]:
    """
    Fill one roll with the parts worth most together: exact, in whole numbers.

    Lengths, room and worth are whole; at most `counts` of each.  Returns the worth and
    how many of each.  Takes room for (pieces x room) marks, so keep the room small.
    """
    pieces = list(_pieces(lengths, counts, room, worth))
    best = np.zeros(room + 1, dtype=np.int64)
    taken = []
    for at, n in pieces:
        size = n * lengths[at]
        with_it = best[: room + 1 - size] + n * worth[at]
        better = with_it > best[size:]
        np.copyto(best[size:], with_it, where=better)
        taken.append(better)
    return int(best[room]), _read_back(lengths, pieces, taken, room)


def _pieces(
    lengths: Sequence[int], counts: Sequence[int], room: int, worth: Sequence[int]
) -> Iterator[tuple[int, int]]:
    """Give counts as 1, 2, 4 ... and a rest: any number up to it is a sum of them."""
    for at, (length, count) in enumerate(zip(lengths, counts, strict=True)):
        left, step = min(count, room // length) if worth[at] > 0 else 0, 1
        while left:
            yield at, min(step, left)
            left, step = left - min(step, left), 2 * step


def _read_back(
    lengths: Sequence[int],
    pieces: Sequence[tuple[int, int]],
    taken: Sequence[npt.NDArray[np.bool_]],
    room: int,
) -> Pattern:
    chosen = [0] * len(lengths)
    for (at, n), better in zip(reversed(pieces), reversed(taken), strict=True):
        left = room - n * lengths[at]
        if left >= 0 and better[left]:
            chosen[at] += n
            room = left
    return tuple(chosen)


def first_fit(demand: Demand, counts: Sequence[int] | None = None) -> list[Pattern]:
    """Put each part, longest first, on the first roll with room for it."""
    return _in_turn(demand, counts, best=False)


def best_fit(demand: Demand, counts: Sequence[int] | None = None) -> list[Pattern]:
    """Put each part, longest first, on the fullest roll with room for it."""
    return _in_turn(demand, counts, best=True)


def _in_turn(
    demand: Demand, counts: Sequence[int] | None, *, best: bool
) -> list[Pattern]:
    rooms: list[int] = []
    rolls: list[list[int]] = []
    for at, length in enumerate(demand.lengths):
        for _ in range((counts or demand.counts)[at]):
            fits = [i for i, room in enumerate(rooms) if room >= length]
            if not fits:
                fits = [len(rooms)]
                rooms.append(demand.room)
                rolls.append([0] * len(demand.lengths))
            roll = min(fits, key=rooms.__getitem__) if best else fits[0]
            rooms[roll] -= length
            rolls[roll][at] += 1
    return [tuple(roll) for roll in rolls]


def fullest_first(
    demand: Demand, counts: Sequence[int] | None = None, *, keen: int = 0
) -> list[Pattern]:
    """
    Fill roll after roll as full as it goes, each with the longest part left.

    `keen` leans towards long parts: it weighs a part's length up by so many percent
    of the share of the roll it takes.
    """
    left = list(counts or demand.counts)
    worth = [100 * x * demand.room + keen * x * x for x in demand.lengths]
    rolls = []
    while any(left):
        at = next(i for i, n in enumerate(left) if n)
        left[at] -= 1
        room = demand.room - demand.lengths[at]
        _, rest = best_fill(demand.lengths, left, room, worth)
        roll = tuple(n + (i == at) for i, n in enumerate(rest))
        left[at] += 1
        # The same roll again while there are parts for it.
        times = min(left[i] // n for i, n in enumerate(roll) if n)
        left = [n - times * k for n, k in zip(left, roll, strict=True)]
        rolls += [roll] * times
    return rolls
