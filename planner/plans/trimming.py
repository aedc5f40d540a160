"""Cut lengths as the engine recommends them, and first guesses for new sizes."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Needs:
    """
    What bows of one pattern needed of one part (nm), as measured after tying.

    `measured` is cut length less trimming; `short` are the cut lengths of bows that
    came out too short: they needed more.  `room` is every bow's cut length.
    """

    pattern: str
    role: str
    measured: tuple[int, ...]
    short: tuple[int, ...]
    room: tuple[int, ...]
    left_out: int = 0
    """Measurements of several bows in one sum, which tell no spread."""


@dataclass(frozen=True, slots=True)
class CutLength:
    """
    A cut length that with `confidence` leaves no more than 1 - `coverage` short.

    Lengths in nm.  `bound` is what the model says, `length` that rounded up to a step
    she can measure; `counted` the bound by counting alone, None where it can't tell.
    `saved` is nm a year (below 0: more ribbon), `saved_money` minor units a year.
    """

    needs: Needs
    coverage: float
    confidence: float
    now: int
    mean: float
    sd: float
    factor: float
    bound: float
    length: int
    counted: int | None
    least: int
    """Bows it takes before counting alone can tell."""
    parts_a_year: int
    saved: int
    saved_money: int
    ignoring: int
    """What would come out if the short ones were ignored: too little."""


@dataclass(frozen=True, slots=True)
class Guess:
    """
    A first range (nm) for the body of a new size, from the geometry of its loops.

    A guess: `why` says of what it is made, line by line.
    """

    size: int
    width: int
    loops: int
    low: int
    high: int
    why: tuple[tuple[str, int, int], ...]
