"""
Least weighted lateness on published instances.

    python -m tests.bench.bench_weighted INSTANCES.json [KICKS]

The file holds {"cases": [{"n", "instance", "p", "w", "d", "published"}, ...]}. Prints
by size how often the published value is reached and beaten, the times, and the gaps.
"""

from __future__ import annotations

import json
import sys
import time
from pathlib import Path
from statistics import median

from planner.engines.sequence import Job
from planner.engines.weighted import KICKS, least_weighted_lateness


def main(path: str, kicks: int) -> None:
    """Solve all instances and print what came of it."""
    cases = json.loads(Path(path).read_text("utf-8"))["cases"]
    for n in sorted({case["n"] for case in cases}):
        rows = [_solved(case, kicks) for case in cases if case["n"] == n]
        reached = sum(cost == told for told, cost, _, _ in rows)
        beaten = sum(cost < told for told, cost, _, _ in rows)
        times = sorted(row[3] for row in rows)
        gaps = sorted(1 - bound / cost for _, cost, bound, _ in rows if cost)
        print(
            f"n = {n}: {reached} of {len(rows)} reached, {beaten} beaten; "
            f"{median(times):.2f} s at median, {times[-1]:.2f} s at most; "
            f"bound below by {100 * median(gaps):.1f} % at median, "
            f"{100 * gaps[-1]:.1f} % at most"
        )
        print("  not reached:", [(t, c) for t, c, _, _ in rows if c > t])


def _solved(case: dict, kicks: int) -> tuple[float, float, float, float]:
    rows = zip(case["p"], case["d"], case["w"], strict=True)
    jobs = [Job(str(i), p, due=d, weight=w) for i, (p, d, w) in enumerate(rows)]
    begun = time.perf_counter()
    found = least_weighted_lateness(jobs, kicks=kicks)
    return case["published"], found.cost, found.bound, time.perf_counter() - begun


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]) if len(sys.argv) > 2 else KICKS)
