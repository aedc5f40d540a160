"""
Time the division of four limits among 200 kinds; prints ratios, asserts nothing.

Run `PYTHONPATH=. python tests/bench/bench_fair_choice.py [SHOPS]`.  Against the plain
formulation given to the same solver (a 0-1 variable for each bow of each kind, ordered,
all limits), and against a fixed kernel, taken in one run; with the proven gap of both.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from typing import Any

import numpy as np
from scipy import optimize, sparse

from planner.engines.allocation import Item, allocate, reach
from planner.engines.counts import CountLaw

KINDS = 200
WITHIN = 1e-3
"""Share of the profit that both may fall short by, proven."""


def shop(seed: int) -> tuple[list[Item], list[float]]:
    """Draw kinds with minutes, ribbon, cash and table, and limits at half the need."""
    rng, items = np.random.default_rng(seed), []
    for _ in range(KINDS):
        law = CountLaw(float(rng.gamma(1.5, 2.0)) + 0.1, 3.0)
        cost = float(rng.integers(80, 240))
        uses = (float(rng.integers(6, 20)), float(rng.integers(20, 60)), cost, 1.0)
        held = int(rng.integers(0, 3))
        price = float(rng.integers(600, 1400))
        items.append(
            Item(reach(law, least=1e-3), price, cost, 0.3 * cost, uses, held,
                 0.3 * cost + 1, (0.0, 0.0, 0.0, 1.0))
        )  # fmt: skip
    need = np.sum([item.used(item.gains().size) for item in items], axis=0)
    return items, [float(x) for x in np.floor(need * (0.5, 0.55, 0.5, 0.7))]


def plain(items: list[Item], limits: list[float]) -> tuple[float, float]:
    """Give profit and bound of the plain formulation, as a textbook has it."""
    gains, uses, after = [], [], []
    for item in items:
        for n, gain in enumerate(_every_gain(item)):
            after += [(len(gains), len(gains) - 1)] if n else []
            gains.append(gain)
            uses.append(item.used(n + 1) - item.used(n))
    order = sparse.lil_matrix((len(after), len(gains)))
    for row, (late, early) in enumerate(after):
        order[row, late], order[row, early] = 1, -1
    found = optimize.milp(
        -np.array(gains), integrality=np.ones(len(gains)), bounds=optimize.Bounds(0, 1),
        constraints=[
            optimize.LinearConstraint(np.array(uses).T, -np.inf, limits),
            optimize.LinearConstraint(order.tocsr(), -np.inf, 0),
        ],
        options={"mip_rel_gap": WITHIN, "time_limit": 60.0},
    )  # fmt: skip
    return -float(found.fun), -float(found.mip_dual_bound)


def _every_gain(item: Item) -> list[float]:
    """Give what every bow up to the last of a hope adds, the losing ones as well."""
    spent = np.where(np.arange(len(item.reach)) < item.held, item.held_cost, item.cost)
    gain = (item.price - item.salvage) * np.array(item.reach) - (spent - item.salvage)
    return [float(x) for x in gain]


def kernel() -> float:
    """Sum of the singular values of one fixed matrix: the yardstick of the machine."""
    fixed = np.random.default_rng(0).normal(size=(400, 400))
    return float(np.linalg.svd(fixed, compute_uv=False).sum())


def timed(work: Callable[[], Any]) -> tuple[float, Any]:
    """Give the processor's seconds and the answer."""
    start = time.process_time()
    answer = work()
    return time.process_time() - start, answer


def main(shops: int) -> None:
    """Print a line a shop, and the medians."""
    rows = []
    for seed in range(shops):
        items, limits = shop(seed)
        ours, found = timed(lambda i=items, x=limits: allocate(i, x, within=WITHIN))
        theirs, (profit, bound) = timed(lambda i=items, x=limits: plain(i, x))
        yard, _ = timed(kernel)
        gap = (found.bound - found.profit) / found.profit
        rows.append((ours / theirs, ours / yard, gap))
        print(
            f"shop {seed}: {ours:.3f} s, plain {theirs:.3f} s, ratio {rows[-1][0]:.2f};"
            f" {rows[-1][1]:.2f} kernels; gap {gap:.2e}; plain's profit "
            f"{profit / found.profit - 1:+.1e} of ours, its gap "
            f"{bound / profit - 1:.1e}"
        )
    ratio, kernels, _ = np.median(rows, axis=0)
    worst = max(gap for _, _, gap in rows)
    print(f"median ratio {ratio:.2f}, {kernels:.2f} kernels, largest gap {worst:.2e}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 10)
