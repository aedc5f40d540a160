"""What is shown while something takes longer than a second."""

from __future__ import annotations

import io
import time
from pathlib import Path
from types import SimpleNamespace

import pytest

from planner.commands import progress
from planner.commands.progress import showing
from tests.commands.conftest import Typed
from tests.commands.small_shop import put


class Terminal(io.StringIO):
    """A terminal that keeps all that was written to it."""

    def isatty(self) -> bool:
        """Say that it is one."""
        return True


@pytest.fixture(name="terminal")
def _terminal(monkeypatch: pytest.MonkeyPatch) -> Terminal:
    """Stand in for stderr, with a second that is quickly over."""
    terminal = Terminal()
    seen = SimpleNamespace(stderr=terminal, argv=["bows", "stock"])
    monkeypatch.setattr(progress, "sys", seen)
    monkeypatch.setattr(progress, "PATIENCE", 0.01)
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm")
    return terminal


def work(terminal: Terminal) -> None:
    """Be at it until something was said, or for ten seconds."""
    for _ in range(1000):
        if terminal.getvalue():
            return
        time.sleep(0.01)


def test_long_work_is_named_and_wiped_out_afterwards(terminal: Terminal) -> None:
    """The words stand in a line of their own, and are gone when it is done."""
    with showing("planning the fair"):
        work(terminal)

    said = "planning the fair … 1 s"
    assert terminal.getvalue() == f"\r{said}\r{' ' * len(said)}\r"


def test_without_colours_it_is_said_once(
    terminal: Terminal, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No going back in the line, no codes."""
    monkeypatch.setenv("NO_COLOR", "1")
    with showing("planning the fair"):
        work(terminal)

    assert terminal.getvalue() == "planning the fair …\n"


def test_quick_work_shows_nothing(
    terminal: Terminal, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Less than a second is not worth a word."""
    monkeypatch.setattr(progress, "PATIENCE", 60.0)
    with showing("planning the fair"):
        pass

    assert terminal.getvalue() == ""


@pytest.mark.parametrize("where", ["asked", "typed", "piped"])
def test_nothing_is_shown_beside_json_or_off_a_terminal(
    terminal: Terminal, monkeypatch: pytest.MonkeyPatch, where: str
) -> None:
    """Whatever reads the answer reads nothing else."""
    if where == "typed":
        monkeypatch.setattr(progress.sys, "argv", ["bows", "stock", "--json"])
    if where == "piped":
        monkeypatch.setattr(terminal, "isatty", lambda: False)
    with showing("planning the fair", json=where == "asked"):
        time.sleep(0.1)

    assert terminal.getvalue() == ""


def test_an_inner_step_says_nothing_of_its_own(terminal: Terminal) -> None:
    """One thing at a time."""
    with showing("making up a year"):
        work(terminal)
        with showing("reading 12 events"):
            time.sleep(0.05)

    assert "reading" not in terminal.getvalue()


def test_what_goes_wrong_ends_it(terminal: Terminal) -> None:
    """The line is wiped out, and the next work is shown again."""
    for _ in range(2):
        with pytest.raises(ValueError, match="torn"), showing("planning"):
            raise ValueError("torn")

    assert progress._shown == []


def test_the_long_questions_show_what_they_do(
    tmp_path: Path, typed: Typed, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A fold, a fair plan, due dates, a take-in: each says what it is at."""
    put(tmp_path)
    sales = tmp_path / "sales.csv"
    sales.write_text("day,line\n2026-05-13,sold 1 4in red\n", encoding="utf-8")
    said: list[str] = []
    monkeypatch.setattr(progress, "_wanted", lambda: said.append("") or False)
    for line in ("stock", "fair plan", "due", f"take-in {sales}"):
        before = len(said)
        assert typed(line).code == 0, line
        assert len(said) > before, line
