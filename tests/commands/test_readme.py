"""What the README shows can be typed as it stands; its command table is the help's."""

from __future__ import annotations

import re
import shlex
import sys
from pathlib import Path

import pytest
from freezegun import freeze_time

from planner.commands.lazy import make_command
from planner.commands.main import main
from tests.commands.conftest import DAY, Typed
from tests.commands.test_help import COMMANDS

README = Path(__file__).parents[2] / "README.md"
FAIR_DAY = "2026-05-16 20:00:00"
"""The Saturday of the demo's fair, in the evening."""
TABLE = re.compile(r"(<!-- commands: [^\n]*-->\n).*?(<!-- end of commands -->)", re.S)


def lines_under(heading: str) -> list[list[str]]:
    """Give the command lines shown under a heading, each in words after `bows`."""
    text = README.read_text("utf-8").partition(f"## {heading}\n")[2]
    block = text.partition("```console\n")[2].partition("```")[0]
    return [shlex.split(line)[1:] for line in block.splitlines() if line.strip()]


def command_table() -> str:
    """Make the table of commands from their help texts."""
    rows = ["| command | what it does |", "|---|---|"]
    for name, target in COMMANDS:
        first = (make_command(name.split()[-1], target).help or "").strip()
        sentence = " ".join(first.partition("\n\n")[0].split())
        rows.append(f"| `bows {name}` | {sentence} |")
    return "\n".join(rows) + "\n"


def test_the_command_table_says_what_the_help_says() -> None:
    """The README's table is made from the help texts and not by hand."""
    kept = TABLE.search(README.read_text("utf-8"))

    assert kept is not None
    assert kept[0] == f"{kept[1]}{command_table()}{kept[2]}"


def test_the_evening_of_the_readme_runs_on_the_demo_shop(demo: Typed) -> None:
    """Each line of the evening is taken."""
    shown = lines_under("An evening at the bench")

    refused = [(line, s.err) for line in shown if (s := demo(_dated(line))).code]

    assert shown
    assert refused == []


def _dated(line: list[str]) -> list[str]:
    """Turn the README's days, which are in November, into days of the frozen week."""
    days = {"fri 4 dec": "fri 22 may", "tue 1 dec": "tue 19 may"}
    return [days.get(word, word) for word in line]


def test_the_fair_day_of_the_readme_runs_on_the_demo_shop(demo: Typed) -> None:
    """Each line of the fair day is taken, on the day of the demo's fair."""
    shown = lines_under("A fair day")

    with freeze_time(FAIR_DAY, tick=False, ignore=["hypothesis"]):
        refused = [(line, s.err) for line in shown if (s := demo(line)).code]

    assert shown
    assert refused == []


def test_a_newcomer_reaches_a_first_fair_plan_from_nothing(typed: Typed) -> None:
    """The README's lines lead from no shop to a plan that brings some bows."""
    *lines, last = lines_under("From nothing to a first fair plan")

    refused = [(line, s.err) for line in lines if (s := typed(line)).code]
    plan = typed(last)

    assert refused == []
    assert plan.code == 0, plan.err
    assert plan.out.startswith("Bring ")


def test_the_what_if_of_the_readme_runs_on_the_demo_shop(
    demo: Typed, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The example file answers a question as if its events had happened."""
    monkeypatch.chdir(README.parent)
    (line,) = lines_under("Supposing")

    assert demo(line).code == 0


def test_the_demo_is_made_on_the_day_it_is_made(tmp_path: Path) -> None:
    """Its fair lies three days ahead, whatever the day."""
    with freeze_time(DAY, tick=False, ignore=["hypothesis"]):
        assert main(["demo", str(tmp_path / "a folder")]) == 0


if __name__ == "__main__" and "--rewrite" in sys.argv:
    README.write_text(
        TABLE.sub(
            lambda kept: f"{kept[1]}{command_table()}{kept[2]}",
            README.read_text("utf-8"),
        ),
        "utf-8",
    )
