"""Chances stated against how often they came true: pure geometry."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from planner.views.how_good import ChanceGroup

SIDE, LEFT, TOP = 300.0, 64.0, 14.0
"""The square from 0 to 100 % either way, and where it begins."""
SMALL, LARGE = 4.0, 11.0
"""Radius of a group of one promise, and of the largest."""


@dataclass(frozen=True, slots=True)
class Dot:
    """A group: its middle, size, the span it may lie in, and its count."""

    x: float
    y: float
    radius: float
    low: float
    high: float
    count: int


@dataclass(frozen=True, slots=True)
class CalibrationPicture:
    """A square with a diagonal that good chances lie on."""

    width: float
    height: float
    side: float
    left: float
    top: float
    dots: tuple[Dot, ...]
    ticks: tuple[tuple[float, float, str], ...]


def calibration_picture(groups: Sequence[ChanceGroup]) -> CalibrationPicture | None:
    """Lay the groups out; None without any."""
    if not groups:
        return None
    most = max(group.count for group in groups)
    return CalibrationPicture(
        width=LEFT + SIDE + 60, height=TOP + SIDE + 44, side=SIDE, left=LEFT, top=TOP,
        dots=tuple(
            Dot(
                _x(group.told), _y(group.came),
                round(SMALL + (LARGE - SMALL) * (group.count / most) ** 0.5, 2),
                _y(group.low), _y(group.high), group.count,
            )
            for group in groups
        ),
        ticks=tuple((_x(at / 4), _y(at / 4), f"{25 * at} %") for at in range(5)),
    )  # fmt: skip


def _x(share: float) -> float:
    return round(LEFT + SIDE * share, 2)


def _y(share: float) -> float:
    return round(TOP + SIDE * (1 - share), 2)
