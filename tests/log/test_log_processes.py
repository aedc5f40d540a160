"""
Several processes at one file, and processes that are killed.

kill -9 shows that nothing acknowledged is lost when a program dies.  It doesn't show
what a power failure does: then the system's own buffers are lost as well.
"""

from __future__ import annotations

import random
import subprocess
import sys
import time
from pathlib import Path

import pytest
from log_toys import ROOT, TOYS, all_rows

from planner.log.check import check_log
from planner.log.codec import decode_many
from planner.log.store import Log

_PRELUDE = """
import os, sys
sys.path.insert(0, "tests/log")
from pathlib import Path
from log_toys import NOON, TOYS, add, cut
from planner.errors import HeadMoved
from planner.log.store import Log
log = Log.open(Path(sys.argv[1]), using=TOYS, patience=30)
"""
_FOR_EVER = """
number = 0
while True:
    number += 1
    add(log, cut(f"{sys.argv[2]}-{number}"), cut("second", note="x" * 3000))
    print(number, flush=True)
"""
_LOOK_AND_WRITE = """
moved = 0
for number in range(25):
    while True:
        try:
            head = log.head()
            add(log, cut(f"{sys.argv[2]} after {head.seq}"), expected=head)
            break
        except HeadMoved:
            moved += 1
log.close()
"""


def _start(script: str, shop: Path, name: str) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-c", _PRELUDE + script, str(shop), name],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        text=True,
    )


@pytest.mark.parametrize("round", range(4))
def test_nothing_acknowledged_is_lost_when_the_process_is_killed(
    log: Log, shop: Path, round: int
) -> None:
    with _start(_FOR_EVER, shop, "S") as process:
        assert process.stdout is not None
        seen = [process.stdout.readline()]
        time.sleep(random.Random(round).uniform(0.0, 0.2))
        process.kill()
        seen += process.stdout.readlines()
    acknowledged = int([line for line in seen if line.endswith("\n")][-1])

    with Log.open(shop, using=TOYS) as again:
        report = check_log(again)
        pairs, rest = divmod(report.events, 2)
        assert report.faults == ()
        assert rest == 0
        assert acknowledged <= pairs <= acknowledged + 1


def test_two_processes_writing_at_once_neither_lose_nor_mix_an_entry(
    log: Log, shop: Path
) -> None:
    """Each entry says on which head it rests, and stands right after it."""
    both = [_start(_LOOK_AND_WRITE, shop, name) for name in ("ann", "ben")]
    for process in both:
        process.communicate()

    spools = [event.spool for event in decode_many(all_rows(log), using=TOYS)]  # type: ignore[attr-defined]
    assert [process.returncode for process in both] == [0, 0]
    assert sorted(spool.split()[0] for spool in spools) == ["ann"] * 25 + ["ben"] * 25
    assert [int(spool.split()[-1]) for spool in spools] == list(range(50))
    assert check_log(log).whole
