"""What the scripts about trust share: their options, small shops, what they print."""

from __future__ import annotations

import argparse
import os
import random
import shlex
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, redirect_stderr, redirect_stdout
from dataclasses import dataclass
from io import StringIO
from pathlib import Path
from tempfile import TemporaryDirectory

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from freezegun import freeze_time  # noqa: E402

from planner.commands.main import main as bows  # noqa: E402
from planner.log.chain import Row  # noqa: E402
from planner.log.store import Log  # noqa: E402

DAY = "2026-05-13 12:00:00"
SMALL = (
    'open --name "Tern and Thimble" --zone America/Halifax --currency CAD '
    '--sizes "3in 4in 5in" --colours "navy, red, white" --price 8.00',
    "in navy 1.5in 100yd --paid 24.50",
    "in red 1.5in 100yd --paid 14.00",
    "supply in 200 long clip --paid 18.00",
    "hours mon-thu 20:00-22:00",
    "have 6 4in red",
    'fair new "Spring market" sat 10-16 --fee 60',
    'order take "3 4in navy" --due fri --for "Maren Oak"',
)
"""A small shop, as it is typed."""


@dataclass(frozen=True, slots=True)
class Asked:
    """How many runs at most, in how many minutes, their seed, and bare options."""

    runs: int
    seed: int
    minutes: float
    options: frozenset[str] = frozenset()

    def each(self) -> Iterator[int]:
        """Count the runs, as long as there is time."""
        end = time.monotonic() + 60 * self.minutes
        for run in range(self.runs):
            if time.monotonic() > end:
                return
            yield run


def asked(words: str | None, *, runs: int, options: tuple[str, ...] = ()) -> Asked:
    """Read ``--runs``, ``--seed``, ``--minutes`` and options."""
    reader = argparse.ArgumentParser(description=words)
    reader.add_argument("--runs", type=int, default=runs)
    reader.add_argument("--seed", type=int, default=1)
    reader.add_argument("--minutes", type=float, default=1e6)
    for option in options:
        reader.add_argument(f"--{option}", action="store_true")
    told = reader.parse_args()
    chosen = frozenset(option for option in options if getattr(told, option))
    return Asked(told.runs, told.seed, told.minutes, chosen)


@contextmanager
def workshop() -> Iterator[Path]:
    """Give a folder that is gone afterwards; the cache lies in it too."""
    with TemporaryDirectory(prefix="bows-") as name:
        os.environ["BOWS_CACHE"] = str(Path(name) / "cache")
        yield Path(name)


def typed(shop: Path, line: str) -> tuple[int, str]:
    """Type a line at a shop in this process; give its exit code and all it said."""
    said = StringIO()
    with redirect_stdout(said), redirect_stderr(said):
        code = bows(["--shop", str(shop), *shlex.split(line)])
    return code, said.getvalue()


def small_shop(folder: Path) -> Path:
    """Type a small shop; give its file."""
    with freeze_time(DAY, tick=False):
        for line in SMALL:
            code, said = typed(folder, line)
            assert code == 0, said
    return folder / "shop.bows"


def demo_rows(folder: Path) -> tuple[list[Row], list[tuple[str, str, str, str, bytes]]]:
    """Give the demo's events, and its texts about people."""
    with freeze_time(DAY, tick=False):
        code, said = typed(folder, f"demo {folder / 'demo'}")
    assert code == 0, said
    with Log.open(folder / "demo" / "shop.bows", readonly=True) as log:
        return [row for rows in log.rows() for row in rows], log.private_rows()


def chance(asked: Asked, run: int) -> random.Random:
    """Give the chance of one run, the same every time."""
    return random.Random(f"{asked.seed} {run}")


def tell(name: str, counts: dict[str, int], wrong: list[str]) -> None:
    """Print what was counted; end with 1 when anything went wrong."""
    print(f"{name}: " + ", ".join(f"{n:,} {what}" for what, n in counts.items()))
    for one in wrong[:20]:
        print(f"  WRONG: {one}")
    print(f"  {len(wrong)} wrong")
    sys.exit(bool(wrong))
