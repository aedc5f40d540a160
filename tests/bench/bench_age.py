"""
What age does to a shop: logs of ten thousand, a hundred thousand, a million events.

Run: ``python tests/bench/bench_age.py [--demo] [EVENTS ...]``.  For each size are told

- a cold fold, balances of every item included, against reading every column of every
  row into tuples (for the first time in a process, as the fold does, and once more,
  when memory is at hand), with the memory it takes at most (with ``--demo`` of the
  demo's own process, which takes longer to write; else of an invented old shop);
- ``stock``, ``due`` and an entry (``sold``), as processes from start to end, against
  the same on a shop of a thousand events with the same catalogue, orders and spools,
  the cache being there for both; and how long and large making the cache is.

Every ratio is of figures taken in one run, one after another.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Mapping
from pathlib import Path
from statistics import median

SIZES = (10_000, 100_000, 1_000_000)
SMALL = 1_000
PAIRS = 5
"""So often a log is read and folded, in turn, each by a process of its own."""
QUESTIONS = {
    "stock": ["stock"],
    "due": ["due"],
    "sold": ["sold", "1", "4in", "navy"],
}
RUN = "from planner.commands.main import run; run()"

READ = """
import json, sys, time
from pathlib import Path
from planner.log.store import Log
took = []
for _ in range(3):
    with Log.open(Path(sys.argv[1]), readonly=True) as log:
        began = time.perf_counter()
        rows = log.db.execute("SELECT * FROM event ORDER BY seq").fetchall()
        took.append(time.perf_counter() - began)
        count = len(rows)
        del rows
print(json.dumps({"read": took[0], "again": sorted(took)[1], "events": count}))
"""

FOLD = """
import json, sys, time
from pathlib import Path
from planner.commands.session import Session
def peak():
    try:
        import resource
    except ImportError:
        return 0
    unit = 1 if sys.platform == "darwin" else 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * unit
session = Session(Path(sys.argv[1]))
began = time.perf_counter()
led = session.folded()
folded, memory = time.perf_counter() - began, peak()
for book in led.books:
    for item in book.items:
        book.balance(item)
added = time.perf_counter() - began
session.keep()
print(json.dumps({"fold": folded, "with balances": added, "memory": memory,
                  "keep": time.perf_counter() - began - added, "in all": peak()}))
"""

WRITE = """
import sys
from pathlib import Path
sys.path.insert(0, {here!r})
from old_shop import write
print(write(Path(sys.argv[1]), int(sys.argv[2])))
"""

WRITE_DEMO = """
import json, os, sys
from datetime import datetime
from itertools import islice
from pathlib import Path
from planner.log.store import Log
from planner.scenario import blow_up
parameters = json.loads(Path({scenario!r}).read_text("utf-8"))
told = blow_up(parameters, last_day=datetime.now().date(), events=int(sys.argv[2]))
with Log.create(Path(sys.argv[1])) as log:
    while some := list(islice(told, 10_000)):
        log.append_all([one.entry for one in some], expected=None,
                       recorded=[one.recorded for one in some], rand=os.urandom)
"""

Figures = dict[str, float]


def told(script: str, *words: str, env: Mapping[str, str]) -> Figures:
    """Run a script in a process of its own; give what it tells."""
    command = [sys.executable, "-c", script, *words]
    done = subprocess.run(
        command, env=env, capture_output=True, text=True, encoding="utf-8", check=True
    )
    found: Figures = json.loads(done.stdout) if done.stdout.startswith("{") else {}
    return found


def seconds(words: list[str], env: Mapping[str, str]) -> float:
    """Give the seconds of a command, from start to end."""
    began = time.perf_counter()
    subprocess.run(
        [sys.executable, "-c", RUN, *words], env=env, capture_output=True, check=True
    )
    return time.perf_counter() - began


def environment(folder: Path, shop: Path) -> dict[str, str]:
    """Give the surroundings of a shop's commands."""
    env = {**os.environ, "BOWS_SHOP": str(shop), "BOWS_CACHE": str(folder / "cache")}
    env.pop("PYTHONDONTWRITEBYTECODE", None)
    return env


def cold(folder: Path, shop: Path) -> str:
    """Measure reading and folding without a cache; the cache is there afterwards."""
    env, pairs = environment(folder, shop), list[tuple[Figures, Figures]]()
    while len(pairs) < PAIRS:
        pairs.append((told(READ, str(shop), env=env), told(FOLD, str(shop), env=env)))
    read = {name: median(read[name] for read, _ in pairs) for name in pairs[0][0]}
    fold = {name: median(fold[name] for _, fold in pairs) for name in pairs[0][1]}
    times = sorted(fold["fold"] / read["read"] for read, fold in pairs)
    again = median(fold["fold"] / read["again"] for read, fold in pairs)
    events = read["events"]
    size = sum(one.stat().st_size for one in (folder / "cache").iterdir())
    whole, large = fold["with balances"] / read["read"], shop.stat().st_size
    return (
        f"{events:>9,.0f} events: read {read['read']:.2f} s, fold {fold['fold']:.2f} s "
        f"({median(times):.1f}x, {times[0]:.1f}x to {times[-1]:.1f}x in {PAIRS} pairs; "
        f"{again:.1f}x of reading them once more; {fold['fold'] / events * 1e6:.1f} µs "
        f"an event; with all balances {whole:.1f}x), at most "
        f"{fold['memory'] / 1e6:.0f} MB; cache made in {fold['keep']:.1f} s, "
        f"{size / 1e6:.0f} MB beside {large / 1e6:.0f} MB, at most "
        f"{fold['in all'] / 1e6:.0f} MB"
    )


def warm(folder: Path, small: Path, old: Path) -> str:
    """Measure questions and an entry on two shops in turn, caches being there."""
    shops = {"small": environment(folder, small), "old": environment(folder, old)}
    took: dict[tuple[str, str], list[float]] = {}
    for turn in range(8):
        for name, words in QUESTIONS.items():
            for age, env in shops.items():
                one = seconds(words, env)
                if turn > 1:
                    took.setdefault((name, age), []).append(one)
    return "; ".join(
        f"{name} {median(took[name, 'old']) * 1000:.0f} ms, "
        f"{median(took[name, 'old']) / median(took[name, 'small']):.2f}x"
        for name in QUESTIONS
    )


def main() -> None:
    """Measure and print."""
    words = sys.argv[1:]
    demo = "--demo" in words
    sizes = [int(word) for word in words if word.isdecimal()] or SIZES
    here = Path(__file__).resolve().parent
    scenario = here.parents[1] / "scenarios" / "harbour.json"
    script = (WRITE_DEMO if demo else WRITE).format(
        here=str(here), scenario=str(scenario)
    )
    with tempfile.TemporaryDirectory() as name:
        small = Path(name) / "small.bows"
        env = environment(Path(name), small)
        told(WRITE.format(here=str(here)), str(small), str(SMALL), env=env)
        for size in sizes:
            folder = Path(name) / str(size)
            folder.mkdir()
            shop = folder / "shop.bows"
            told(script, str(shop), str(size), env=env)
            print(cold(folder, shop), flush=True)
            if not demo:
                print(f"{'':>9} {warm(folder, small, shop)}", flush=True)
            shop.unlink()


if __name__ == "__main__":
    main()
