"""
How far from the best a choice can be where buyers turn: gaps and times, by kinds.

Run `PYTHONPATH=. python tests/bench/bench_turning.py [KINDS ...]`.  Invented shops of
families of four colours at one price, with bench, table and eight ribbons; prints the
proven gap on the fairs drawn as a share of the profit, what the bounding adds to the
search, and the processor's seconds of each.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from typing import Any

import numpy as np

from planner.engines.counts import CountLaw, count_draws
from planner.engines.fair_choice import choose
from planner.engines.fair_good import Good, Room
from planner.engines.turning import DRAWN, Turning, turn_over
from planner.engines.turning_bound import bounded

SHOPS = 5
SHARE = 0.3
"""Of those whose colour is gone, the share that turns."""


def shop(kinds: int, seed: int) -> tuple[list[Good], list[Room], Turning]:
    """Draw kinds, limits at about half the need, and fairs."""
    rng = np.random.default_rng(seed)
    means = (rng.gamma(1.5, 1.2, kinds) + 0.2).tolist()
    family = np.arange(kinds) // 4
    prices = rng.integers(600, 1700, kinds // 4 + 1)
    goods = [
        Good(
            kind=str(n), law=CountLaw(mean, 3.0), price=int(prices[family[n]]),
            cost=float(rng.integers(80, 240)), salvage=40.0, time=200.0, minutes=10.0,
            have=int(rng.integers(0, 3)),
            uses={("bench", ""): float(rng.integers(8, 14)), ("table", ""): 1.0,
                  ("ribbon", str(n % 8)): 25.0},
        )
        for n, mean in enumerate(means)
    ]  # fmt: skip
    rooms = [Room("bench", "", 6 * kinds, 60), Room("table", "", 1.7 * kinds, 10)]
    rooms += [Room("ribbon", str(n), 2.5 * kinds, 100) for n in range(8)]
    drawn = count_draws(means, shapes=[3.0] * kinds, shock=5.0, size=DRAWN, rng=rng)
    return goods, rooms, Turning(drawn.astype(float), family, SHARE)


def timed(work: Callable[[], Any]) -> tuple[float, Any]:
    """Give the processor's seconds and the answer."""
    start = time.process_time()
    answer = work()
    return time.process_time() - start, answer


def main(sizes: list[int]) -> None:
    """Print a line for each number of kinds."""
    for kinds in sizes:
        rows = []
        for seed in range(SHOPS):
            goods, rooms, turning = shop(kinds, seed)
            alone = choose(goods, rooms, at_least=0)
            search, found = timed(
                lambda: turn_over(alone, goods, rooms, turning, at_least=0)  # noqa: B023
            )
            more, best = timed(
                lambda: bounded(found, goods, (), rooms, turning, at_least=0)  # noqa: B023
            )
            moved = best.quantities != found.quantities
            rows.append((best.gap / best.profit, search, more, float(moved)))
        gaps, search, more, moved = np.array(rows).T
        print(
            f"{kinds} kinds, {SHOPS} shops: gap at most {max(gaps):.4%}, mean "
            f"{gaps.mean():.4%}; search {search.mean():.2f} s, bound {more.mean():.2f} "
            f"s; a better choice came up in {int(moved.sum())}"
        )


if __name__ == "__main__":
    main([int(word) for word in sys.argv[1:]] or [12, 40, 100, 200])
