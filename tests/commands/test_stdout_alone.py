"""Nothing but results on stdout, whatever a library prints there by itself."""

from __future__ import annotations

import subprocess
import sys

ASK = """
import os, sys
from planner.commands import say
say.alone()
os.write(1, b"a note of the solver")
say.out("the answer " + str(sys.__stdout__ is sys.stdout))
os.write(1, b"another")
"""


def test_what_the_solver_prints_by_itself_is_not_part_of_an_answer() -> None:
    """A note written to file 1 from C would spoil the JSON that somebody reads."""
    done = subprocess.run(
        [sys.executable, "-c", ASK], capture_output=True, text=True, check=True
    )

    assert done.stdout == "the answer True\n"
    assert done.stderr == ""


def test_without_a_stdout_nothing_goes_wrong() -> None:
    """As when a program is begun with its stdout closed."""
    ask = "import sys; sys.stdout = None; from planner.commands import say; say.alone()"
    done = subprocess.run([sys.executable, "-c", ask], capture_output=True, text=True)

    assert (done.returncode, done.stderr) == (0, "")
