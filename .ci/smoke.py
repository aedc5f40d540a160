"""
Try every command of the installed program, away from the repository.

Run in a folder holding the shop "a demo": ``python -I smoke.py``.  Each command's own
example is typed at the demo, in one process; a command whose module, package, template
or data file didn't come along ends as a bug of ours or says what is missing.
"""

from __future__ import annotations

import contextlib
import io
import re
import shlex
import sys
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import planner
from planner.commands.lazy import make_command
from planner.commands.main import WHERE, main
from planner.pages import shipped

SHOP = "a demo"
MOST_REFUSED = 12
"""On some days of the week "fri" is asked about, and the day's fair is another."""
FILES = {
    "sales.csv": "day,line\n2026-01-05,have 2 4in navy\n",
    "what-if.txt": "tomorrow: in navy 1.5in 100yd\n",
}
OWN = {
    "demo": ["stock"],  # one was made before this; making another takes its time
    "log": ["log"],
    "take-in": ["take-in", "sales.csv"],
    "import": ["import", "log.jsonl"],
    "export": ["export", "log.jsonl"],
    "back-up": ["back-up", "copy.bows"],
    "forget": ["--yes", "forget", "P3"],
    "what-if": ["what-if", "what-if-ill.txt", "--", "due"],
}  # fmt: skip
"""Commands whose examples want files of hers, or a terminal."""
LAST = ("import", "forget", "undo")


def commands(table: Mapping[str, Any], before: str = "") -> Iterator[tuple[str, str]]:
    """Walk every command with its target."""
    for name, target in table.items():
        if isinstance(target, Mapping):
            yield from commands(target, f"{before}{name} ")
        elif name:
            yield f"{before}{name}", target


def words_of(name: str, target: str) -> list[str]:
    """Give what is typed after ``bows`` to try a command."""
    if name in OWN:
        return OWN[name]
    made = make_command(name.split()[-1], target)
    example = re.search(r"^Example: bows (.*)$", made.help or "", re.M)
    if example is None:
        raise SystemExit(f"{name} has no example")
    return shlex.split(example[1])


def typed(words: list[str]) -> tuple[int, str]:
    """Type one line; give its exit code and what it said."""
    out, err = io.StringIO(), io.StringIO()
    shop = "new.bows" if words[0] == "import" else SHOP
    sys.stdin = io.StringIO("have 1 4in navy\n")
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = main(["--shop", shop, *words])
    return code, err.getvalue()


def failure(code: int, said: str) -> bool:
    """Say whether an answer shows something that didn't come along."""
    return code not in (0, 2) or "Traceback" in said or "install it again" in said


def smoke() -> None:
    """Try all; end with 1 when one of them shows a fault."""
    inside = Path(planner.__file__).resolve().parent
    if (inside.parent / "pyproject.toml").exists():
        raise SystemExit(f"{inside} is the repository, not an installed program")
    for folder in ("reports", "scenarios"):
        assert shipped(folder).parent == inside, f"{folder} is not in the program"
    for name, text in FILES.items():
        Path(name).write_text(text, "utf-8")
    tried = sorted(commands(WHERE), key=lambda one: one[0] in LAST)
    said = {name: typed(words_of(name, target)) for name, target in tried}
    bad = {name: words for name, (code, words) in said.items() if failure(code, words)}
    refused = {name: words for name, (code, words) in said.items() if code == 2}
    print(f"{len(said)} commands tried, {len(refused)} refused, {len(bad)} failed")
    for name, words in (bad or refused).items():
        print(f"  {name}: {words.strip().splitlines()[:1]}")
    sys.exit(1 if bad or len(refused) > MOST_REFUSED else 0)


if __name__ == "__main__":
    smoke()
