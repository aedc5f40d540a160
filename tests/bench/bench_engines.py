"""
Time the engines at the size of a large shop; prints, asserts nothing.

Run `python tests/bench/bench_engines.py`; figures are the best of three, as multiples
of a fixed kernel (the singular values of a 400 by 400 matrix) taken in the same run.
Then whole answers of shops that the tests build, and two things refused or found among
much.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from datetime import date
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))

from planner.engines.counts import CountLaw, total_pmf
from planner.engines.due import due_dates
from planner.engines.fair import plan_fair
from planner.engines.newsvendor import Item, allocate, reach, worth_of_limits
from planner.engines.pooling import History, pool
from planner.engines.rush import rush
from planner.engines.sequence import Job, fewest_late, preemptive_edd
from planner.engines.turns import least_tardiness
from planner.ledgers.state import Ledgers
from planner.values.names import Candidate, find
from planner.values.units import parse_length
from tests.engines import due_toys, fair_toys
from tests.values.helpers import outcome


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


def answers() -> dict[str, Callable[[], object]]:
    """Give whole answers about large shops: a fair, orders, a rush."""
    sizes = [f"{n}in" for n in range(2, 14)]
    colours = [f"colour{n}" for n in range(20)]
    kinds, rng = [f"{s}:{c}" for s in sizes for c in colours], np.random.default_rng(3)
    facts = []
    for month in range(1, 9):
        packed = dict(zip(kinds, rng.poisson(2, len(kinds)).tolist(), strict=True))
        packed = {kind: n for kind, n in packed.items() if n}
        sold = {k: min(n, int(rng.poisson(1.5))) for k, n in packed.items()}
        sold = {kind: n for kind, n in sold.items() if n}
        facts += fair_toys.past(f"F{month}", f"2026-0{month}-05", packed, sold)
    stall = fair_toys.told(
        fair_toys.set_up(sizes, colours), fair_toys.hours(),
        fair_toys.fair(table=2_000_000_000), facts,
    )  # fmt: skip
    bench = due_toys.told(*(
        due_toys.order(f"O{n}", f"2026-12-{1 + n % 28:02}",
                       {due_toys.NAVY: 3 + n % 7, due_toys.RED: n % 5 + 1})
        for n in range(40)
    ))  # fmt: skip
    when = {"now": due_toys.NOW, "today": due_toys.TODAY}
    asked = {"kind": due_toys.NAVY, "count": 600, "due": date(2026, 11, 28)}
    return {
        "a fair of 240 kinds after eight": lambda: _afresh(
            stall, lambda: plan_fair(
                stall, fair_toys.ahead(stall), today=fair_toys.TODAY)),
        "due dates of forty orders": lambda: _afresh(
            bench, lambda: due_dates(bench, **when)),
        "a rush among them, sixty days scanned": lambda: _afresh(
            bench, lambda: rush(bench, **when, **asked)),
    }  # fmt: skip


def _afresh(led: Ledgers, answer: Callable[[], object]) -> object:
    led.memo.clear()
    return answer()


def many() -> dict[str, Callable[[], object]]:
    """Give a search among a thousand kinds, and ten megabytes of junk to refuse."""
    kinds = [
        Candidate(f"{size}-in-{at}", f"{size} in shade{at:03d}")
        for size in range(1, 11)
        for at in range(100)
    ]
    junk = "9" * 10_000_000
    return {
        "one of a thousand kinds found": lambda: find("4in shade042", kinds, what="k"),
        "ten megabytes of junk refused": lambda: outcome(parse_length, junk),
    }


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
    matrix = rng.normal(size=(400, 400))
    base = best_of_three(lambda: np.linalg.svd(matrix, compute_uv=False))
    print(f"the kernel takes {1000 * base:.0f} ms")
    for name, work in {**cases, **answers(), **many()}.items():
        print(f"{best_of_three(work) / base:9.2f}  {name}")
    plan, late = allocate(stall, limits), fewest_late(jobs)
    print(
        f"proved: divided {plan.proved}, fewest late {late.proved} ({len(late.keys)})"
    )


if __name__ == "__main__":
    main()
