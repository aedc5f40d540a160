"""The next sittings: what to make in each, in which order."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime


@dataclass(frozen=True, slots=True)
class Piece:
    """
    Some work of one order (or fair) and kind within a sitting.

    `bows` are those finished in it, `of` all that the order still needs of the kind;
    `set_up` says whether it begins with setting up.
    """

    order: str
    kind: str
    bows: int
    of: int
    start: datetime
    end: datetime
    minutes: float
    set_up: bool


@dataclass(frozen=True, slots=True)
class Sitting:
    """One sitting ahead: the day it begins on, its hours, and what fills it."""

    day: date
    start: datetime
    end: datetime
    minutes: float
    pieces: tuple[Piece, ...]

    @property
    def free(self) -> float:
        """Bench minutes that no order takes."""
        return max(self.minutes - sum(piece.minutes for piece in self.pieces), 0.0)


@dataclass(frozen=True, slots=True)
class BenchPlan:
    """The sittings of some days ahead under the named policy."""

    today: date
    last: date
    sittings: tuple[Sitting, ...]
    any_hours: bool
    policy: str
