"""
Least weighted lateness on published instances.

    python -m tests.bench.bench_weighted INSTANCES.json [KICKS]

The file holds {"cases": [{"n", "instance", "p", "w", "d", "published"}, ...]}. Prints
by size how often the published value is reached and beaten, the times, and the gaps;
then the gap with the program of the bound solved, for each case where
the cheap bound leaves one, and the time that takes.
"""

from __future__ import annotations

import json
import sys
import time
from pathlib import Path
from statistics import median
from typing import NamedTuple

from planner.engines.sequence import Job
from planner.engines.weighted import KICKS, least_weighted_lateness
from planner.engines.weighted_bounds import proved_bound, table_of


def main(path: str, kicks: int) -> None:
    """Solve all instances and print what came of it."""
    cases = json.loads(Path(path).read_text("utf-8"))["cases"]
    for n in sorted({case["n"] for case in cases}):
        rows = [_solved(case, kicks) for case in cases if case["n"] == n]
        reached = sum(row.cost == row.told for row in rows)
        beaten = sum(row.cost < row.told for row in rows)
        times = sorted(row.seconds for row in rows)
        print(
            f"n = {n}: {reached} of {len(rows)} reached, {beaten} beaten; "
            f"{median(times):.2f} s at median, {times[-1]:.2f} s at most"
        )
        print("  not reached:", [r[:2] for r in rows if r.cost > r.told])
        _gaps("priced", [row.priced for row in rows])
        _gaps("solved", [row.solved for row in rows])
        took = sorted(row.proving for row in rows if row.proving)
        if took:
            print(
                f"  solving: {median(took):.1f} s at median, {took[-1]:.1f} s at most"
            )


def _gaps(name: str, gaps: list[float]) -> None:
    rising, proved = sorted(gaps), sum(gap < 1e-9 for gap in gaps)
    over = sum(gap > 0.05 for gap in gaps)
    print(
        f"  bound {name}: {proved} proved best; below by {100 * median(rising):.2f} % "
        f"at median, {100 * rising[-1]:.1f} % at most, {over} by more than 5 %",
        flush=True,
    )


class Row(NamedTuple):
    """What was published, found, how long it took, and the gaps of both bounds."""

    told: float
    cost: float
    seconds: float
    priced: float
    solved: float
    proving: float


def _solved(case: dict, kicks: int) -> Row:
    rows = zip(case["p"], case["d"], case["w"], strict=True)
    jobs = [Job(str(i), p, due=d, weight=w) for i, (p, d, w) in enumerate(rows)]
    begun = time.process_time()
    found = least_weighted_lateness(jobs, kicks=kicks)
    seconds, gap, proving = time.process_time() - begun, found.gap, 0.0
    if gap > 1e-9:
        begun = time.process_time()
        bound = min(proved_bound(table_of(jobs, 0.0)), found.cost)
        proving = time.process_time() - begun
        gap = min(gap, 1 - bound / found.cost)
    return Row(case["published"], found.cost, seconds, found.gap, gap, proving)


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]) if len(sys.argv) > 2 else KICKS)
