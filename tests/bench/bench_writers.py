"""
Twenty who write at once, while others plan.

Run: ``python tests/bench/bench_writers.py [--runs 200] [--writers 20]``.  Each writer
is a process of `bows log` that is given so many lines (cuts, batches, sales, ribbon
in); two more ask `bows due` and `bows fair plan` again and again meanwhile.  Then

- every line was answered by an entry's number, each number once, and each is there;
- nothing said "locked", "another program" or anything of an error;
- no rule decided on a stale head: the same lines typed one after another, in the order
  in which the log has them, by one process at a fresh shop, give the same events;
- `bows check` finds the log whole.
"""

from __future__ import annotations

import argparse
import os
import random
import re
import shutil
import subprocess
import sys
import time
from collections import Counter
from datetime import date, timedelta
from pathlib import Path

from trusting import ROOT, small_shop, tell, typed, workshop

from planner.log.chain import Row
from planner.log.store import Log

RUN = "from planner.commands.main import run; run()"
WRITTEN = re.compile(r"^entry (\d+) written", re.M)
TROUBLE = re.compile(r"locked|nother program|bug of ours|Traceback|keep writing|try:")
WORDS = (
    "cut {n} 4in navy", "cut {n} 4in red", "made {n} 4in navy", "made {n} 4in red",
    "sold {n} 4in navy", "in red 1.5in 50yd --paid {n}.00", "give {n} 4in red",
    "supply in {n} card --paid 3.00", "sitting {n}min",
)  # fmt: skip
PLANS = (["due", "--json"], ["fair", "plan", "--json"])


def lines_of(writer: int, count: int) -> list[str]:
    """Give a writer's lines; each writer's have a day of their own."""
    chance = random.Random(writer)
    return [
        f"{chance.choice(WORDS).format(n=chance.randint(1, 9))} --on {day_of(writer)}"
        for _ in range(count)
    ]


def day_of(writer: int) -> str:
    """Give a writer's day."""
    return f"2026-04-{writer + 1:02}"


def started(shop: Path, words: list[str], **more: object) -> subprocess.Popen[str]:
    """Start a process of `bows`."""
    command = [sys.executable, "-c", RUN, "--shop", str(shop), *words]
    env = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONUNBUFFERED": "1"}
    return subprocess.Popen(command, text=True, env=env, **more)  # type: ignore[call-overload, no-any-return]


def writing(shop: Path, lines: list[str], out: Path) -> subprocess.Popen[str]:
    """Start a writer."""
    source = out.with_suffix(".lines")
    source.write_text("\n".join(lines) + "\n", encoding="utf-8")
    with source.open() as stdin, out.open("w") as stdout:
        return started(
            shop, ["log"], stdin=stdin, stdout=stdout, stderr=subprocess.STDOUT
        )


def plan_while(shop: Path, writers: list[subprocess.Popen[str]]) -> tuple[int, str]:
    """Ask both plans while anybody writes; how often, and what went wrong."""
    asked, wrong = 0, ""
    while any(one.poll() is None for one in writers):
        both = [
            started(shop, words, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)
            for words in PLANS
        ]
        for one in both:
            said = one.communicate()[1]
            asked += 1
            if one.returncode or TROUBLE.search(said):
                wrong = said.strip()
    return asked, wrong


def rows_after(shop: Path, seq: int) -> list[Row]:
    """Read the events after one."""
    with Log.open(shop, readonly=True) as log:
        return [row for rows in log.rows(after=seq) for row in rows]


def in_turn(rows: list[Row], lines: dict[str, list[str]]) -> list[str]:
    """Give the lines in the order in which the log has their entries."""
    left = {day: iter(some) for day, some in lines.items()}
    firsts = {row[2]: row[5][:10] for row in reversed(rows)}
    return [next(left[firsts[entry]]) for entry in sorted(firsts)]


def told(rows: list[Row]) -> list[tuple[int, str, str, bytes]]:
    """Give of each event what rules decide: its entry, kind, day and body."""
    return [(row[2], row[3], row[5], row[7]) for row in rows]


def answered(outs: list[Path]) -> tuple[list[int], list[str]]:
    """Give the numbers of entries that were told, and what was told of trouble."""
    numbers: list[int] = []
    wrong: list[str] = []
    for out in outs:
        said = out.read_text(encoding="utf-8")
        numbers += [int(number) for number in WRITTEN.findall(said)]
        wrong += [line for line in said.splitlines() if TROUBLE.search(line)]
    return numbers, wrong


def measure(folder: Path, writers: int, runs: int) -> tuple[Counter[str], list[str]]:
    """Let them write; give what was counted and what went wrong."""
    (folder / "shop").mkdir()
    shop = small_shop(folder / "shop")
    soon = (date.today() + timedelta(days=9)).isoformat()
    code, said = typed(shop, f'fair new "Winter market" "{soon} 10-16"')
    assert code == 0, said
    fresh = Path(shutil.copy(shop, folder / "fresh.bows"))
    before = rows_after(shop, 0)[-1]
    lines = {day_of(n): lines_of(n, runs) for n in range(writers)}
    outs = [folder / f"{day}.out" for day in lines]
    began = time.perf_counter()
    every = [
        writing(shop, some, out) for some, out in zip(lines.values(), outs, strict=True)
    ]
    asked, wrong_plan = plan_while(shop, every)
    took = time.perf_counter() - began
    numbers, wrong = answered(outs)
    rows = rows_after(shop, before[0])
    wrong += [wrong_plan] if wrong_plan else []
    expected = list(range(before[2] + 1, before[2] + 1 + writers * runs))
    if sorted(numbers) != expected:
        wrong.append(f"{len(numbers)} answers, {len(set(numbers))} numbers")
    if sorted({row[2] for row in rows}) != expected:
        wrong.append("the log hasn't just these entries")
    else:
        again = writing(fresh, in_turn(rows, lines), folder / "again.out")
        again.wait()
        if told(rows_after(fresh, before[0])) != told(rows):
            wrong.append("typed one after another they come to something else")
    code, said = typed(shop, "check")
    wrong += [said] if code else []
    counts = Counter({"entries": len(numbers), "plans meanwhile": asked})
    counts["ms an entry"] = round(1000 * took / max(len(numbers), 1))
    return counts, wrong


def main() -> None:
    """Measure and print."""
    reader = argparse.ArgumentParser(description=__doc__)
    reader.add_argument("--runs", type=int, default=200)
    reader.add_argument("--writers", type=int, default=20)
    asked = reader.parse_args()
    with workshop() as folder:
        counts, wrong = measure(folder, asked.writers, asked.runs)
    tell(f"{asked.writers} writers, {asked.runs} entries each", counts, wrong)


if __name__ == "__main__":
    main()
