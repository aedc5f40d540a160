"""
What drawing a plan costs: 4,096 draws x 60 orders x 60 days.

    python tests/bench/bench_chances.py

Prints ratios taken in one run: to a fixed numpy kernel of the same size (one
comparison of every draw's 60 totals with its 60 days, counted up), at most 15; and
to the same draws one by one in plain Python, at least 50 times faster.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np

from planner.engines.chances import Bench, off_bench

DRAWS, ORDERS, DAYS, PLAIN = 4096, 60, 60, 64


def fastest(run: Callable[[], object], times: int = 5) -> float:
    """Seconds of the fastest of some runs."""
    best = float("inf")
    for _ in range(times):
        begun = time.perf_counter()
        run()
        best = min(best, time.perf_counter() - begun)
    return best


def plain(start, length, rate, work, release):
    """Follow the policy through one draw."""
    left, done = list(work), [float("inf")] * len(work)
    for sitting, begin in enumerate(start):
        clock, end = begin, begin + length[sitting]
        for task, since in enumerate(release):
            if left[task] <= 0 or since > sitting or not rate[sitting]:
                continue
            takes = left[task] / rate[sitting]
            if clock + takes > end + 1e-9:
                left[task] -= (end - clock) * rate[sitting]
                break
            clock += takes
            left[task], done[task] = 0.0, clock
    return done


def main() -> None:
    """Print the ratios, with no order, some and every order waiting for ribbon."""
    rng = np.random.default_rng(1)
    bench = Bench(
        np.arange(DAYS) * 1440.0 + 1200, np.full(DAYS, 120.0),
        rng.uniform(0, 1.3, (DRAWS, DAYS)),
    )  # fmt: skip
    work = rng.lognormal(4, 0.3, (DRAWS, ORDERS))
    gone = np.cumsum(bench.rate * bench.length, axis=1)
    wanted = np.cumsum(work, axis=1)
    kernel = fastest(lambda: (gone[:, None, :] < wanted[:, :, None]).sum(axis=-1))
    print(f"fixed kernel: {1000 * kernel:.0f} ms")
    rows = [bench.start.tolist(), bench.length.tolist()]
    for name, every in (("none", 0), ("one in ten", 10), ("every one", 1)):
        release = np.zeros((DRAWS, ORDERS), dtype=np.int64)
        if every:
            some = release[:, every - 1 :: every]
            release[:, every - 1 :: every] = rng.integers(0, 20, some.shape)
        took = fastest(lambda release=release: off_bench(bench, work, release))
        lists = [x[:PLAIN].tolist() for x in (bench.rate, work, release)]
        slow = fastest(
            lambda lists=lists: [plain(*rows, *one) for one in zip(*lists, strict=True)],
            2,
        ) * DRAWS / PLAIN  # fmt: skip
        print(
            f"{name} waiting for ribbon: {took / kernel:.1f} times the kernel, "
            f"{slow / took:.0f} times faster than plain Python"
        )


if __name__ == "__main__":
    main()
