"""
How long an entry takes, from the key to the prompt, against what it can't do without.

Run: ``python tests/bench/bench_startup.py [PAIRS]``, with the tool installed.  Four
processes are run in turn: one that imports typer and pydantic's bare BaseModel and ends
(pydantic loads half of itself only when a field is told), one that imports the names of
pydantic an event needs, a trivial typer command with one pydantic model, and
``bows sold 1 classic 4in navy`` on the demo's log.
Ratios of medians are given, of the time on the wall and of the processor, and what a
write loads of the heavy packages (which must be nothing).  Compiled code is warm.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Mapping, Sequence
from pathlib import Path
from statistics import median

HEAVY = ("numpy", "scipy", "jinja2", "sqlite_utils")
NEEDED = "import typer\nfrom pydantic import BaseModel"
USED = "import typer\nfrom pydantic import BaseModel, Field, TypeAdapter"
TRIVIAL = """
import typer
from pydantic import BaseModel

class Sale(BaseModel):
    count: int

app = typer.Typer()

@app.command()
def sold(count: int, who: str = ""):
    print(Sale(count=count).model_dump_json())

app()
"""
WRITE = """
import sys
sys.argv = ["bows", "sold", "1", "classic", "4in", "navy"]
from planner.commands.main import run
try:
    run()
finally:
    heavy = [name for name in {heavy!r} if name in sys.modules]
    if heavy:
        raise SystemExit(f"a write loads {{heavy}}")
"""

Figures = list[tuple[float, float]]
"""Seconds on the wall and of the processor, run by run."""


def once(command: Sequence[str], env: Mapping[str, str]) -> tuple[float, float]:
    """Run a command; give its seconds on the wall and of the processor."""
    before, began = os.times(), time.perf_counter()
    done = subprocess.run(command, env=env, capture_output=True, check=False)
    took, after = time.perf_counter() - began, os.times()
    if done.returncode:
        raise SystemExit(done.stderr.decode())
    spent = (after.children_user - before.children_user) + (
        after.children_system - before.children_system
    )
    return took, spent


def measure(commands: Mapping[str, Sequence[str]], env: Mapping[str, str], pairs: int
            ) -> dict[str, Figures]:  # fmt: skip
    """Run the commands in turn, so many times."""
    found: dict[str, Figures] = {name: [] for name in commands}
    for _ in range(pairs):
        for name, command in commands.items():
            found[name].append(once(command, env))
    return found


def main() -> None:
    """Measure and print."""
    pairs = int(sys.argv[1]) if len(sys.argv) > 1 else 21
    python = [sys.executable, "-c"]
    commands = {
        "import": [*python, NEEDED],
        "used": [*python, USED],
        "trivial": [*python, TRIVIAL, "3"],
        "sold": [*python, WRITE.format(heavy=HEAVY)],
    }
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        env = {**os.environ, "BOWS_SHOP": str(folder / "shop"), "NO_COLOR": "1",
               "BOWS_CACHE": str(folder / "cache")}  # fmt: skip
        env.pop("PYTHONDONTWRITEBYTECODE", None)
        bows = [*python, "from planner.commands.main import run; run()"]
        once([*bows, "demo", env["BOWS_SHOP"]], env)
        measure(commands, env, 2)
        found = measure(commands, env, pairs)
    for index, what in enumerate(("wall", "processor")):
        middle = {k: median(v[index] for v in runs) for k, runs in found.items()}
        least = {k: min(v[index] for v in runs) for k, runs in found.items()}
        print(
            f"{what}: import {middle['import'] * 1000:.0f} ms, names an event needs "
            f"{middle['used'] * 1000:.0f} ms, trivial "
            f"{middle['trivial'] * 1000:.0f} ms, sold {middle['sold'] * 1000:.0f} ms; "
            f"sold / names {middle['sold'] / middle['used']:.2f} "
            f"(least {least['sold'] / least['used']:.2f}), "
            f"sold / import {middle['sold'] / middle['import']:.2f} "
            f"(least {least['sold'] / least['import']:.2f}), sold / trivial "
            f"{middle['sold'] / middle['trivial']:.2f} "
            f"(least {least['sold'] / least['trivial']:.2f})"
        )
    print(f"loaded by the write of {', '.join(HEAVY)}: none")


if __name__ == "__main__":
    main()
