"""Questions asked again at once, and refusals that name what they refuse."""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.commands.conftest import Said, Typed
from tests.commands.small_shop import put

Answering = Callable[..., Said]


@pytest.fixture(name="answering")
def _answering(typed: Typed, monkeypatch: pytest.MonkeyPatch) -> Answering:
    """Set up a shop on a terminal, answering its questions."""

    def open_with(*answers: str) -> Said:
        left = iter(answers)
        monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
        monkeypatch.setattr("builtins.input", lambda: next(left))
        said = typed("open")
        assert next(left, None) is None
        return said

    return open_with


def test_each_answer_that_cannot_be_read_is_asked_again_at_once(
    answering: Answering, typed: Typed
) -> None:
    """None of the other answers is lost; what to answer is said."""
    said = answering(
        "My bows", "america/new york", "America/New_York", "dollars", "usd", "feet",
        "us", "huge", "90in", "4in", "navy", "ten-ish", "12", "much", "8.00",
    )  # fmt: skip

    assert said.code == 0, said.err
    assert "entry 1 written; all that follows rests on it" in said.err
    assert said.err.count("Which time zone?") == 2
    assert "  try: America/New_York\n" in said.err
    assert said.err.count("Which currency?") == 2
    assert said.err.count("metric?") == 2
    assert said.err.count("Which finished sizes") == 3
    assert said.err.count("How many minutes") == 2
    assert said.err.count("What does a bow sell for?") == 2
    assert said.err.count("What is the shop called?") == 1
    assert "4 in navy" in typed("have 1 4in navy").out


def test_options_that_cannot_be_read_are_refused(typed: Typed) -> None:
    """Without a terminal nothing can be asked; the option is named."""
    said = typed('open --zone "new york" --currency USD')

    assert said.code == 2
    assert said.err.splitlines()[1] == "  try: --zone America/New_York"
    assert typed("stock").code == 2


def test_an_evenings_refusals_name_their_lines(
    tmp_path: Path, typed: Typed, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Beside each refusal, and all together at the end, by number and text."""
    put(tmp_path)
    lines = "have 1 4in red\n\nhave 3 4in nvay\nsell 2 4in red\nhave 1 4in red\n"
    monkeypatch.setattr("sys.stdin", io.StringIO(lines))
    said = typed("log")

    assert said.code == 2
    assert said.err.count('refused: line 3, "have 3 4in nvay"') == 1
    assert said.err.count('refused: line 4, "sell 2 4in red"') == 1
    assert said.err.splitlines()[-4:-1] == [
        "2 lines were refused; what the others said is written.",
        '  line 3, "have 3 4in nvay"',
        '  line 4, "sell 2 4in red"',
    ]


@pytest.mark.parametrize(
    "line",
    ["have 3 4in nvay --json", "--json stock --nonsense", "--json sell 2 4in red"],
)
def test_a_refusal_is_an_object_where_one_is_asked(
    line: str, tmp_path: Path, typed: Typed
) -> None:
    """The words stay on stderr for her to read."""
    put(tmp_path)
    said = typed(line)
    told = json.loads(said.out)

    assert said.code == 2
    assert told["schema"] == "spool-to-stall/refusal/1"
    assert said.err.splitlines() == [told["refused"], f"  try: {told['instead']}"]


@pytest.mark.parametrize(
    ("word", "meant"),
    [("sell", "sold"), ("make", "made"), ("making", "made"), ("spoil", "spoiled"),
     ("losing", "lost"), ("color", "colour"), ("buy", "in"), ("stokc", "stock")],
)  # fmt: skip
def test_another_form_of_a_commands_word_is_told_the_word(
    word: str, meant: str, typed: Typed
) -> None:
    """It is a hint; only the word itself is a command."""
    said = typed(f"{word} 3 4in navy")

    assert said.code == 2
    assert said.err.splitlines()[1] == f"  try: bows {meant}"


def test_a_table_written_to_a_dash_goes_to_the_screen(
    tmp_path: Path, typed: Typed, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No file of that name is made, by this command or any other."""
    put(tmp_path)
    monkeypatch.chdir(tmp_path)
    dash, plain = typed("csv stock -"), typed("csv stock")
    page = typed("stock --page -")

    assert dash.out == plain.out != ""
    assert page.code == 2
    assert not (tmp_path / "-").exists()
