"""The square code on a batch label."""

from __future__ import annotations

import re

from planner.views.labels_builder import QUIET, code


def test_the_code_is_a_whole_square_with_three_corner_marks_and_a_quiet_zone() -> None:
    """ISO/IEC 18004: 7 x 7 finder patterns in three corners, 17 + 4 v modules."""
    size, path = code("Reed\nmade 2026-05-01\nbatch B12")
    dark = _dark(path)
    side = size - 2 * QUIET

    assert (side - 17) % 4 == 0
    for x, y in ((0, 0), (side - 7, 0), (0, side - 7)):
        assert _finder(dark, x + QUIET, y + QUIET)
    assert not _finder(dark, side - 7 + QUIET, side - 7 + QUIET)
    assert min(min(p) for p in dark) == QUIET
    assert max(max(p) for p in dark) == QUIET + side - 1


def test_the_code_tells_one_batch_from_another() -> None:
    assert code("batch B12") == code("batch B12")
    assert code("batch B12") != code("batch B13")


def _dark(path: str) -> set[tuple[int, int]]:
    """Draw the path again, module by module."""
    return {
        (int(x) + n, int(y))
        for x, y, width in re.findall(r"M(\d+),(\d+)h(\d+)v1h-\d+z", path)
        for n in range(int(width))
    }


def _finder(dark: set[tuple[int, int]], left: int, top: int) -> bool:
    rings = (
        (x, y, max(abs(x - 3), abs(y - 3)) != 2) for x in range(7) for y in range(7)
    )
    return all(((left + x, top + y) in dark) == ring for x, y, ring in rings)
