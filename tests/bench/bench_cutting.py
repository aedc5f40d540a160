"""
Time the cutting engine, and hold it to known bounds; prints, asserts nothing.

Run `python tests/bench/bench_cutting.py`: 200 parts from 12 part-used spools with runs
and lots, against first-fit decreasing.  With a folder of instances after it, each text
file in it is packed too.  A file holds the number of lengths, the roll's length, then
each length with its demand, or each part's length alone.  An `index.csv` beside them
may tell what is known (name, published_lb, published_ub, proved_lb, found_ub).
"""

from __future__ import annotations

import argparse
import csv
import time
from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from random import Random

from planner.engines.cutting import pack, plan_cuts
from planner.engines.cutting_bounds import Demand
from planner.engines.cutting_fits import first_fit
from planner.engines.cutting_runs import Question, in_turn, scores
from planner.plans.cutting import Part, Run, Want
from planner.values.units import NM_PER_INCH, NM_PER_YARD

HALF = NM_PER_INCH // 2
EIGHTH = NM_PER_INCH // 8
BOWS = (
    (("loops", 41, 1), ("tails", 19, 1)),
    (("loops", 64, 1),),
    (("loops", 41, 1), ("tails", 19, 1), ("knot", 7, 1)),
    (("loops", 30, 1), ("tails", 25, 1)),
    (("loops", 52, 1), ("knot", 7, 1)),
    (("loops", 22, 2),),
)
"""Parts of invented bows: role, half inches, how many."""


def read(path: Path) -> tuple[dict[int, int], int]:
    """Read an instance: (demand by length, roll)."""
    count, room, *rest = (int(word) for word in path.read_text("utf-8").split())
    if len(rest) == count:
        return dict(Counter(rest)), room
    wanted: Counter[int] = Counter()
    for x, n in zip(rest[::2], rest[1::2], strict=True):
        wanted[x] += n
    return dict(wanted), room


def known(folder: Path) -> dict[str, tuple[int, int]]:
    """Read what is known of each instance: (lower, upper bound)."""
    index = folder / "index.csv"
    if not index.exists():
        return {}
    with index.open(encoding="utf-8", newline="") as file:
        return {
            row["name"]: (
                int(row["published_lb"] or row["proved_lb"]),
                int(row["published_ub"] or row["found_ub"]),
            )
            for row in csv.DictReader(file)
        }


def pack_all(folder: Path, seconds: float) -> None:
    """Print a line an instance, and how many are at what is known."""
    bounds = known(folder)
    print(f"{'instance':24} known      bound plan  ffd  gap  seconds")
    at_best = proved = count = wrong = rolls = plain = 0
    for path in sorted(folder.glob("*.txt")):
        wanted, room = read(path)
        low, high = bounds.get(path.stem, (0, 0))
        start = time.perf_counter()
        found = pack(wanted, room, seconds=seconds, clock=time.perf_counter)
        took = time.perf_counter() - start
        ffd = len(first_fit(Demand.of(wanted, room)))
        count += 1
        at_best += not high or found.bins <= high
        proved += found.proved
        rolls, plain = rolls + found.bins, plain + ffd
        wrong += bool(high) and (found.bound > high or found.bins < low)
        print(
            f"{path.stem:24} {low:4}-{high:<4} {found.bound:6} {found.bins:4} {ffd:4}"
            f" {found.bins - found.bound:4} {took:8.1f}",
            flush=True,
        )
    print(f"{at_best} of {count} at the best known, {proved} proved, {wrong} wrong")
    print(f"{rolls} rolls in all, first-fit decreasing {plain}: {rolls / plain:.4f}")


def shop(seed: int, room: float) -> tuple[list[Want], list[Run], int]:
    """
    Give some 200 parts, 12 part-used spools holding `room` times that, 3 new ones.

    Four lots; a third of the spools have a join, some of those with slack.
    """
    chance = Random(seed)
    wants: list[Want] = []
    parts = 0
    while parts < 200:
        order = f"O{len(wants)}" if chance.random() < 0.85 else None
        for bow in chance.sample(BOWS, chance.choice([1, 1, 2])):
            per = sum(n for _, _, n in bow)
            sets = min(chance.randint(1, 6), max((200 - parts) // per, 1))
            made = tuple(Part(role, x * HALF, n) for role, x, n in bow)
            wants.append(Want("navy", made, sets, order))
            parts += per * sets
    return wants, [*_part_used(chance, wants, room), *_new(chance)], 36 * HALF


def _part_used(chance: Random, wants: list[Want], room: float) -> list[Run]:
    need = sum(want.length * want.sets for want in wants)
    shares = [chance.uniform(0.4, 1.6) for _ in range(12)]
    runs = []
    for i, share in enumerate(shares):
        length = int(need * room * share / sum(shares)) // EIGHTH * EIGHTH
        first = int(length * chance.uniform(0.2, 0.8)) // EIGHTH * EIGHTH
        slack = chance.choice([0, 60 * HALF])
        spool, lot = f"S{i}", f"L{i % 4}"
        if chance.random() < 0.35:
            runs.append(Run(spool, "navy", lot, first))
            runs.append(Run(spool, "navy", lot, length - first, slack=slack, nth=2))
        else:
            runs.append(Run(spool, "navy", lot, length))
    return runs


def _new(chance: Random) -> list[Run]:
    lots = [chance.choice(["L0", "L1", "L4"]) for _ in range(3)]
    return [
        Run(f"N{i}", "navy", lot, 100 * NM_PER_YARD, begun=False)
        for i, lot in enumerate(lots)
    ]


def plan_all(seeds: int, seconds: float, *, counted: bool) -> None:
    """
    Print a line a shop: levels, bounds, gap, seconds; what first-fit decreasing needs.

    `counted`: without a clock, as `bows cutting` plans, in seconds of the processor.
    """
    clock = None if counted else time.perf_counter
    watch = time.process_time if counted else time.perf_counter
    print(
        "room seed  uncut lots new ends(in) part  bounds          gap %  seconds  ffd"
    )
    gaps, ours, plain = [], [0] * 5, [0] * 5
    for room in (1.02, 1.1, 1.4, 2.5):
        for seed in range(seeds):
            wants, runs, usable = shop(seed, room)
            start = watch()
            plan = plan_cuts(wants, runs, usable=usable, seconds=seconds, clock=clock)
            took = watch() - start
            question = Question(tuple(wants), tuple(runs), usable)
            values = [level.value for level in plan.levels]
            bounds = [level.bound for level in plan.levels]
            ffd = list(scores(question, in_turn(question)))
            gaps.append(plan.gap)
            ours = [a + b for a, b in zip(ours, values, strict=True)]
            plain = [a + b for a, b in zip(plain, ffd, strict=True)]
            print(
                f"{room:4} {seed:4}  {_told(values)}  {_told(bounds)}"
                f" {100 * plan.gap:8.3f} {took:7.2f}  {_told(ffd)}",
                flush=True,
            )
    within = sum(gap <= 0.005 for gap in gaps)
    print(f"{within} of {len(gaps)} within 0.5 % of the ribbon cut")
    print(f"in all: {_told(ours)}, first-fit decreasing {_told(plain)}")
    taken, first = (_taken(total) for total in (ours, plain))
    print(f"new spools opened and ends lost, against it: {taken / max(first, 1):.3f}")


def _taken(total: Sequence[int]) -> int:
    """Give new spools opened (100 yd each) and ends lost together, nm."""
    return total[2] * 100 * NM_PER_YARD + total[3]


def _told(scored: Sequence[int]) -> str:
    uncut, lots, new, ends, spools = scored
    return f"{uncut} {lots} {new} {ends / NM_PER_INCH:6.2f} {spools:2}"


def main() -> None:
    """Print the shops' lines, then those of a folder if one is named."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n\n")[0])
    parser.add_argument("folder", nargs="?", type=Path)
    parser.add_argument("--seconds", type=float, default=60.0)
    parser.add_argument("--shops", type=int, default=5)
    told = parser.parse_args()
    for counted in (True, False):
        plan_all(told.shops, 3.0, counted=counted)
    if told.folder:
        pack_all(told.folder, told.seconds)


if __name__ == "__main__":
    main()
