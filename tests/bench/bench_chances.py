"""
What drawing a plan costs: 4,096 draws x 60 orders x 60 days.

    python -m tests.bench.bench_chances

Prints ratios taken in one run. Placing the tasks: to a fixed numpy kernel of the same
size (one comparison of every draw's 60 totals with its 60 days, counted up), wanted at
most 15. All of it, drawing included: to the kernel, and to the simulation in plain
Python that the tests compare it with, wanted at least 50 times faster.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import timedelta
from random import Random

import numpy as np

from planner.engines.chances import Bench, off_bench
from planner.engines.draws import Draws
from planner.engines.odds import leaving, odds
from planner.engines.work import draft, look_ahead
from tests.engines.due_toys import GLUED, NAVY, NOW, RED, TODAY, order, told
from tests.engines.test_odds import Plain

DRAWS, ORDERS, DAYS, PLAIN = 4096, 60, 60, 100


def fastest(run: Callable[[], object], times: int = 7) -> float:
    """Give the seconds of the processor that the fastest of some runs took."""
    best = float("inf")
    for _ in range(times):
        begun = time.process_time()
        run()
        best = min(best, time.process_time() - begun)
    return best


def kernel() -> float:
    """Time the fixed kernel."""
    rng = np.random.default_rng(1)
    gone = np.cumsum(rng.uniform(0, 156, (DRAWS, DAYS)), axis=1)
    wanted = np.cumsum(rng.lognormal(4, 0.3, (DRAWS, ORDERS)), axis=1)
    return fastest(lambda: (gone[:, None, :] < wanted[:, :, None]).sum(axis=-1))


def placing(base: float) -> None:
    """Time the placing alone, with no order, some and every order waiting."""
    rng = np.random.default_rng(1)
    bench = Bench(
        np.arange(DAYS) * 1440.0 + 1200, np.full(DAYS, 120.0),
        rng.uniform(0, 1.3, (DAYS, DRAWS)),
    )  # fmt: skip
    work = rng.lognormal(4, 0.3, (ORDERS, DRAWS))
    for name, every in (("none", 0), ("one in ten", 10), ("every one", 1)):
        release = np.zeros((ORDERS, DRAWS), dtype=np.int64)
        if every:
            release[every - 1 :: every] = rng.integers(
                0, 20, release[every - 1 :: every].shape
            )
        took = fastest(lambda release=release: off_bench(bench, work, release))
        print(f"placing, {name} waiting for ribbon: {took / base:.1f} kernels")


def whole(base: float) -> None:
    """Time all of it, and the same in plain Python."""
    luck = Random(1)
    led = told(
        *(
            order(
                f"O{n}", (TODAY + timedelta(days=luck.randint(1, 58))).isoformat(),
                {luck.choice((NAVY, RED, GLUED)): luck.randint(2, 14)},
            )
            for n in range(ORDERS)
        )
    )  # fmt: skip
    ahead = look_ahead(led, now=NOW, today=TODAY, days=DAYS - 1)
    plan = draft(ahead)
    plain = Plain(led, 1, ahead)
    for name, run, by_hand in (
        ("drawn and placed", leaving, lambda: [plain.once() for _ in range(PLAIN)]),
        ("with each order's finish", odds, lambda: plain.chances(PLAIN)),
    ):
        took = fastest(lambda run=run: run(Draws(ahead, DRAWS), plan))
        slow = fastest(by_hand, 3) * DRAWS / PLAIN
        print(
            f"{name}: {took / base:.1f} kernels, {1000 * took:.0f} ms; "
            f"{slow / took:.0f} times as fast as plain Python"
        )


if __name__ == "__main__":
    fixed = kernel()
    print(f"fixed kernel: {1000 * fixed:.0f} ms")
    placing(fixed)
    whole(fixed)
