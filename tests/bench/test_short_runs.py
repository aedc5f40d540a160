"""The scripts about trust, a few runs of each; the long ones are run by hand."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

HERE = Path(__file__).parent


@pytest.mark.skipif(os.name == "nt", reason="they kill processes as POSIX does")
@pytest.mark.parametrize(
    "words",
    [
        "bench_damage.py --runs 20",
        "bench_kills.py --runs 10",
        "bench_writers.py --runs 3 --writers 4",
        "bench_power.py --runs 60",
    ],
)
def test_a_short_run_finds_nothing_wrong(words: str) -> None:
    """Each ends with 1 when anything was wrong, and tells what."""
    script, *told = words.split()
    done = subprocess.run(
        [sys.executable, str(HERE / script), *told],
        capture_output=True, text=True, check=False,
    )  # fmt: skip

    assert (done.returncode, done.stderr) == (0, ""), done.stdout
    assert "0 wrong" in done.stdout


@pytest.mark.skipif(shutil.which("strace") is None, reason="it needs strace")
def test_the_power_script_sees_what_a_disk_that_lies_about_syncing_does() -> None:
    """A check that sees nothing would always be content."""
    words = [sys.executable, str(HERE / "bench_power.py"), "--runs", "30", "--lying"]
    done = subprocess.run(words, capture_output=True, text=True, check=False)

    assert (done.returncode, done.stderr) == (1, "")
    assert "acknowledged; the last is" in done.stdout
