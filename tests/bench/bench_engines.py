"""
Time the engines at the size of a large shop; prints, asserts nothing.

Run `python tests/bench/bench_engines.py`; figures are the best of three, in seconds.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np

from planner.engines.counts import CountLaw, total_pmf
from planner.engines.newsvendor import Item, allocate, reach, worth_of_limits
from planner.engines.pooling import History, pool
from planner.engines.sequence import Job, fewest_late, preemptive_edd
from planner.engines.turns import least_tardiness


def best_of_three(work: Callable[[], object]) -> float:
    """Seconds of the fastest of three runs."""
    times = []
    for _ in range(3):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def items(kinds: int, rng: np.random.Generator) -> list[Item]:
    """Kinds with some bows at hand, three limits: minutes, money, table."""
    found = []
    for _ in range(kinds):
        law = CountLaw(float(rng.gamma(1.5, 2.0)) + 0.1, 3.0)
        uses = (float(rng.integers(6, 20)), float(rng.integers(80, 240)), 1.0)
        held = int(rng.integers(0, 4))
        found.append(
            Item(reach(law), 900.0, uses[1], 60.0, uses, held, 65.0, (0.0, 0.0, 1.0))
        )
    return found


def history(kinds: int, fairs: int, rng: np.random.Generator) -> History:
    """Fairs at which a third of the kinds brought sold out at an unknown time."""
    exposure = 6.0 * (rng.random((fairs, kinds)) < 0.6)
    asked = rng.poisson(exposure * rng.gamma(2, 0.2, kinds))
    sold = np.minimum(asked, 3).astype(float)
    return History(
        sold, exposure, asked >= 3, np.arange(kinds) % 12, np.arange(kinds) // 12
    )


def main() -> None:
    """Print one line an engine."""
    rng = np.random.default_rng(1)
    stall, past = items(120, rng), history(240, 20, rng)
    jobs = [
        Job(str(i), float(rng.integers(20, 90)), float(rng.integers(60, 1500)),
            release=float(rng.integers(0, 300)))
        for i in range(30)
    ]  # fmt: skip
    limits = [900.0, 12_000.0, 260.0]
    cases: dict[str, Callable[[], object]] = {
        "fit 240 kinds, 20 fairs, a third sold out": lambda: pool(past),
        "divide 3 limits among 120 kinds": lambda: allocate(stall, limits),
        "and the worth of each limit": lambda: worth_of_limits(
            stall, limits, steps=[60.0, 1000.0, 10.0]
        ),
        "total of 120 kinds under a shock": lambda: total_pmf(
            [2.0] * 120, shapes=[3.0] * 120, shock=8.0
        ),
        "policy over 30 jobs": lambda: preemptive_edd(jobs),
        "fewest late of 30 jobs": lambda: fewest_late(jobs),
        "least tardiness of 15 jobs": lambda: least_tardiness(
            [Job(j.key, j.minutes, j.due) for j in jobs[:15]]
        ),
    }
    for name, work in cases.items():
        print(f"{best_of_three(work):9.4f}  {name}")
    plan, late = allocate(stall, limits), fewest_late(jobs)
    print(
        f"proved: divided {plan.proved}, fewest late {late.proved} ({len(late.keys)})"
    )


if __name__ == "__main__":
    main()
