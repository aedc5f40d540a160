"""A small shop typed once, then copied for every test that types odd things at it."""

from __future__ import annotations

import shlex
from functools import lru_cache
from pathlib import Path
from tempfile import TemporaryDirectory

from freezegun import freeze_time

from planner.commands.main import main
from tests.commands.conftest import DAY

LINES = (
    'open --name "Tern and Thimble" --zone America/Halifax --currency CAD '
    '--sizes "3in 4in 5in" --colours "navy, red, white" --price 8.00',
    "in navy 1.5in 100yd --paid 24.50",
    "in red 1.5in 50yd --paid 14.00",
    "supply in 200 long clip --paid 18.00",
    "supply in 200 card --paid 6.00",
    "hours mon-thu 20:00-22:00",
    "have 6 4in red",
    "cut 12 4in navy",
    "made 4 4in navy 40min",
    'fair new "Spring market" sat 10-16 --fee 60',
    'order take "3 4in navy" --due fri --for "Maren Oak"',
    "sold 1 4in red",
    "undo",
)
"""
Entries 1 to 13: spools S1 (navy, 87 yd 12 in left) and S2 (red), bundles C1 (bodies)
and C2 (knots), batch B1 of 4, fair F1 on Saturday, order O1 for P1; 12 is taken back.
"""


@lru_cache(maxsize=1)
def small_shop() -> bytes:
    """Type the lines and give the shop file."""
    with TemporaryDirectory() as folder, freeze_time(DAY, tick=False):
        for line in LINES:
            assert main(["--shop", folder, *shlex.split(line)]) == 0, line
        return (Path(folder) / "shop.bows").read_bytes()


def put(folder: Path) -> Path:
    """Put a copy of the shop where the fixture `typed` looks for it."""
    target = folder / "shop" / "shop.bows"
    target.parent.mkdir()
    target.write_bytes(small_shop())
    return target
