"""Promises that were kept, with what came of them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class Promised:
    """
    One promise, and what came of it.

    `chance` was stated of meeting `due`; early, likely and late were to be met one,
    five and nine times in ten. `finished` is the day its bows were ready, None while
    they aren't. `plain` is the day it would have been ready by stated minutes and full
    hours, `plain_known` whether that was worked out.
    """

    order: str
    seq: int
    made: date
    due: date
    chance: float
    early: date | None
    likely: date | None
    late: date | None
    finished: date | None
    plain: date | None = None
    plain_known: bool = False

    def in_time(self, today: date) -> bool | None:
        """Say whether it was met; None while it may still be."""
        if self.finished is not None:
            return self.finished <= self.due
        return False if self.due < today else None


@dataclass(frozen=True, slots=True)
class Group:
    """Promises of one range of chances: how many, their mean chance, how many met."""

    least: float
    most: float
    count: int
    told: float
    came: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class HowGood:
    """
    How good the promises were.

    `scored` of them are decided. `brier` is the mean squared error of the chances,
    `plain_brier` that of stated minutes and full hours on `compared` of them, with
    `own_brier` of the same. `within` counts finishes between early and late (80 % are
    to be) and `by_late` those by the late day (90 %), of `spread` that have both.
    `pinball` is the mean loss of the three days, in days.
    """

    promises: tuple[Promised, ...]
    today: date
    scored: int
    met: int
    brier: float | None
    compared: int
    own_brier: float | None
    plain_brier: float | None
    spread: int
    within: int
    by_late: int
    pinball: float | None
    groups: tuple[Group, ...]
    error: float | None
