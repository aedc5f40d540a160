"""`bows log`: an evening typed in one go, a line an entry."""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.commands.conftest import Said, Typed
from tests.commands.small_shop import put, small_shop

Evening = Callable[..., Said]


@pytest.fixture(name="shop", autouse=True)
def _shop(tmp_path: Path) -> Path:
    return put(tmp_path)


@pytest.fixture(name="evening")
def _evening(typed: Typed, monkeypatch: pytest.MonkeyPatch) -> Evening:
    """Type lines at one open process."""

    def type_lines(*lines: str, options: tuple[str, ...] = (), end: str = "\n") -> Said:
        monkeypatch.setattr("sys.stdin", io.StringIO("\n".join(lines) + end))
        return typed([*options, "log"])

    return type_lines


def test_an_evening_is_entered_line_by_line(evening: Evening) -> None:
    """Each is echoed as when typed alone; an empty line and the end show the totals."""
    said = evening(
        "cut 2 4in red", "made 2 4in red 20min", "", "sold 1 4in red", "done",
        "sold 5 4in red",
    )  # fmt: skip

    assert said.code == 0, said.err
    assert said.out.splitlines() == [
        "bundle C3: 2 body parts of 32 in from S2 (red 1 1/2 in grosgrain): "
        "50 yd → 48 yd 8 in left",
        "bundle C4: 2 knot parts of 6 in from S2 (red 1 1/2 in grosgrain): "
        "48 yd 8 in → 47 yd 32 in left",
        "batch B2: 2 bows, classic 4 in red: 6 → 8 at home",
        "sitting T2: 20 min, 10.0 min a bow",
        "the glue wants 5 min to set before they go out",
        "so far: 2 entries (1 × cut, 1 × made)",
        "sold 1 classic 4 in red at home for CAD 8.00 in cash",
        "at home: classic 4 in red 8 → 7",
        "so far: 3 entries (1 × cut, 1 × made, 1 × sold)",
    ]
    assert said.err.splitlines() == [
        f"entry {n} written; to take it back: bows undo" for n in (14, 15, 16)
    ]


@pytest.mark.parametrize("word", ["done", "quit", "exit", "end", "DONE "])
def test_a_word_or_the_end_of_the_lines_ends_it(word: str, evening: Evening) -> None:
    """Nothing after it is read."""
    assert evening(word, "have 1 4in red").out == ""
    assert evening("have 1 4in red", end="").out.startswith("had already: 1")
    assert evening("", end="").code == 0


def test_undo_within_an_evening_takes_back_its_last_entry(
    evening: Evening, typed: Typed
) -> None:
    """The next line sees the ledgers without it."""
    said = evening("have 3 4in white", "undo", "have 2 4in white", "again", "undo 14")

    assert said.code == 2
    assert [line for line in said.out.splitlines() if "white" in line] == [
        "had already: 3 classic 4 in white: 0 → 3 at home",
        "had already: 2 classic 4 in white: 0 → 2 at home",
        "at home: classic 4 in white 2 → 4",
    ]
    assert "Entry 14 is already taken back." in said.err
    assert json.loads(typed("why 4in white --json").out)["amount"] == "4"


def test_a_refusal_stops_nothing_and_the_exit_code_tells_of_it(
    evening: Evening,
) -> None:
    """What the other lines said is written."""
    said = evening(
        "have 3 4in nvay", "have 1 4in red", "cut 0 4in red", "fnd 2 4in red"
    )

    assert said.code == 2
    assert said.out.splitlines() == [
        "had already: 1 classic 4 in red: 6 → 7 at home",
        "so far: 1 entry (1 × have)",
    ]
    assert 'There is no kind "4in nvay".' in said.err
    assert 'bows has no command "fnd".' in said.err
    assert "3 lines were refused; what the others said is written." in said.err


def test_one_refused_line_is_one(evening: Evening) -> None:
    """Not "1 lines"."""
    assert "1 line was refused;" in evening("have 0 4in red").err


def test_words_are_quoted_as_on_any_command_line(
    evening: Evening, typed: Typed
) -> None:
    """A "bows" before the line, a remark after it: both do no harm."""
    said = evening(
        "bows order take '2 4in red' --due fri --for 'Ann \"Bo\" Oak'  # called at six",
        "# only a remark",
        'note "it\'s raining"',
    )

    assert said.code == 0, said.err
    assert 'P2 is new: Ann "Bo" Oak' in said.out
    assert "so far: 2 entries (1 × order, 1 × note)" in said.out


@pytest.mark.parametrize("line", ["note it's raining", 'note "open'])
def test_an_open_quotation_mark_is_explained(line: str, evening: Evening) -> None:
    """An apostrophe alone is one to a command line."""
    said = evening(line)

    assert said.code == 2
    assert "open quotation mark or apostrophe" in said.err
    assert 'note "it\'s raining"' in said.err


@pytest.mark.parametrize(
    "line", ["log", "demo other", "open --name X", "--json stock", "what-if f -- due"]
)
def test_what_needs_a_process_of_its_own_is_refused(
    line: str, evening: Evening, shop: Path
) -> None:
    """No shop within a shop; the options before a command are the evening's own."""
    said = evening(line)

    assert said.code == 2
    assert "can't be typed here." in said.err
    assert shop.read_bytes() == small_shop()


def test_questions_may_be_asked_in_between(evening: Evening) -> None:
    """They see what was just entered, and are no entries."""
    said = evening("have 4 4in white", "stock", "due", "why 4in white")

    assert said.code == 0, said.err
    assert "classic 4 in white: at home 4" in said.out
    assert said.out.splitlines()[-1] == "so far: 1 entry (1 × have)"


def test_a_dry_run_is_no_entry(evening: Evening, shop: Path) -> None:
    """It is shown and not counted."""
    said = evening("have 4 4in white --dry-run")

    assert said.code == 0
    assert "so far" not in said.out
    assert shop.read_bytes() == small_shop()


def test_all_lines_answer_in_json_when_the_evening_does(evening: Evening) -> None:
    """One object a line that writes; the totals are talk and stay away from it."""
    said = evening("have 1 4in white", "have 3 4in white", options=("--json",))
    decoder, text, found = json.JSONDecoder(), said.out.strip(), []
    while text:
        answer, end = decoder.raw_decode(text)
        found.append(answer["entry"])
        text = text[end:].strip()

    assert found == [14, 15]


def test_an_evening_comes_to_the_same_as_its_lines_typed_alone(
    evening: Evening, typed: Typed, tmp_path: Path
) -> None:
    """Ledgers carried on from line to line are those folded anew."""
    lines = (
        "cut 2 4in red", "made 2 4in red", "sold 9 4in red", "undo", "count 5 4in red",
        "read S1 80yd", "cut 70 4in navy", "undo", "supply count 100 card",
    )  # fmt: skip
    alone = tmp_path / "alone" / "shop.bows"
    alone.parent.mkdir()
    alone.write_bytes(small_shop())
    evening(*lines)
    for line in lines:
        typed(line, shop=alone)

    for question in ("stock", "spools", "bundles", "supplies"):
        one, two = (
            json.loads(typed(f"{question} --json", shop=where).out)
            for where in (None, alone)
        )
        for answer in (one, two):
            answer.pop("foot", None)
        assert one == two, question
