"""Every command explains itself, with an example that runs."""

from __future__ import annotations

import json
import re
import shlex
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from planner.commands.lazy import make_command
from planner.commands.main import WHERE
from tests.commands.conftest import Typed


def _leaves(table: Mapping[str, Any], path: str = "") -> list[tuple[str, str]]:
    found = []
    for name, target in table.items():
        if not name:
            continue
        if isinstance(target, Mapping):
            found += _leaves(target, f"{path}{name} ")
        else:
            found.append((f"{path}{name}", target))
    return found


COMMANDS = _leaves(WHERE)
EXAMPLE = re.compile(r"^Example: (.*)$", re.M)
NEEDS_FILES = {
    "import", "take-in", "what-if", "demo", "open", "tables", "csv", "report",
    "export", "back-up", "log", "forget", "calendar", "rescue",
}  # fmt: skip
"""Commands whose examples need a file or a folder of their own; run below."""


QUESTIONS = (
    "stock", "due", "fair plan", "story S7", "story --all", "check", "spools",
    "orders", "fairs", "bundles", "supplies", "catalogue", "entries", "why S7",
    "why 4in navy", "rush 6 4in navy --due fri", "people", "setting",
)  # fmt: skip


def example_of(name: str, target: str) -> str:
    command = make_command(name.split()[-1], target)
    found = EXAMPLE.search(command.help or "")
    assert found, f"{name} has no example in its help"
    return found[1]


@pytest.mark.parametrize(("name", "target"), COMMANDS, ids=[n for n, _ in COMMANDS])
def test_every_command_has_help_and_an_example_of_itself(
    name: str, target: str
) -> None:
    """The help says what it does in a sentence and shows the command in use."""
    example = example_of(name, target)

    assert f"bows {name}" in example or f"{name.split()[-1]} " in example


@pytest.mark.parametrize(
    ("name", "target"),
    [c for c in COMMANDS if c[0].split()[0] not in NEEDS_FILES],
    ids=[n for n, _ in COMMANDS if n.split()[0] not in NEEDS_FILES],
)
def test_the_example_in_the_help_runs_on_the_demo_shop(
    name: str, target: str, demo: Typed
) -> None:
    """What the help shows can be typed as it stands."""
    words = shlex.split(example_of(name, target))
    assert words[0] == "bows"

    said = demo(words[1:])

    assert said.code == 0, said.err


def test_the_examples_that_need_files_run_too(demo: Typed, tmp_path: Path) -> None:
    """Those that write or read files do as their help says, in a folder of theirs."""
    made = tmp_path / "made"
    made.mkdir()

    assert demo(["report", str(made / "pages")]).code == 0
    assert demo(["back-up", str(made)]).code == 0
    assert demo(["export", str(made / "log.jsonl")]).code == 0
    assert demo(["rescue", str(made / "rescued.bows")]).code == 0
    assert demo(["forget", "P3"]).code == 0

    other = made / "other" / "shop.bows"

    assert demo(["import", str(made / "log.jsonl")], shop=other).code == 0


def test_every_question_answers_json_after_its_words(demo: Typed) -> None:
    """`bows --shop d stock --json` gives one object with its schema."""
    for line in QUESTIONS:
        said = demo(f"{line} --json")

        assert said.code == 0, said.err
        assert json.loads(said.out)["schema"].startswith("spool-to-stall/"), line
