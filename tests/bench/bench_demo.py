"""
How long the demo takes against the same reports made from a log that is there.

Run: ``python tests/bench/bench_demo.py [PAIRS]``, with the tool installed.  Whole
processes in turn: ``bows demo FOLDER``, then ``bows --shop FOLDER report``.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from pathlib import Path
from statistics import median

BOWS = (sys.executable, "-c", "from planner.commands.main import run; run()")


def once(*words: str) -> float:
    """Run a command; give its seconds."""
    began = time.perf_counter()
    subprocess.run([*BOWS, *words], check=True, capture_output=True)
    return time.perf_counter() - began


def pair() -> tuple[float, float]:
    """Give the seconds of a demo, and of the reports from its log."""
    with tempfile.TemporaryDirectory() as folder:
        shop = str(Path(folder) / "demo")
        return once("demo", shop), once("--shop", shop, "report")


def main() -> None:
    """Measure and print."""
    pairs = [pair() for _ in range(int(sys.argv[1]) if len(sys.argv) > 1 else 5)]
    demo, reports = (median(column) for column in zip(*pairs, strict=True))
    ratio = median(one / other for one, other in pairs)
    print(f"demo {demo:.2f} s, reports {reports:.2f} s, ratio {ratio:.2f}")


if __name__ == "__main__":
    main()
