"""What is typed late, dated before a count or a reading, and what it changes."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.commands.conftest import Typed
from tests.commands.small_shop import put


@pytest.fixture(autouse=True)
def _shop(tmp_path: Path, typed: Typed) -> None:
    """The small shop, with six white bows for some days."""
    put(tmp_path)
    typed("have 6 4in white --on 2026-05-04")


def at_home(typed: Typed) -> int:
    """White bows at home, as the book has them."""
    answer = json.loads(typed("why 4in white --account at:home --json").out)
    return int(answer["amount"].replace("−", "-").split()[0])


def unexplained(typed: Typed) -> int:
    """White bows not yet explained: positive when missing."""
    said = typed('why 4in white --account "not yet explained" --json')
    return int(json.loads(said.out)["amount"].replace("−", "-").split()[0])


@pytest.mark.parametrize(
    ("line", "told", "gap"),
    [
        ("sold 2 4in white", "2 missing → nothing", 0),
        ("sold 3 4in white", "2 missing → 1 too many", -1),
        ("give 1 4in white", "2 missing → 1 missing", 1),
        ("have 3 4in white", "2 missing → 5 missing", 5),
        ("made 2 4in white", "2 missing → 4 missing", 4),
        ("found 1 4in white", "2 missing → 3 missing", 3),
    ],
)
def test_an_entry_dated_before_a_count_changes_what_it_left_unexplained(
    line: str, told: str, gap: int, typed: Typed
) -> None:
    """The bows counted are still there; the echo says so, and says what changes."""
    typed("count 4 4in white")
    before = (at_home(typed), unexplained(typed))
    said = typed(f"{line} --on yesterday")

    assert before == (4, 2)
    assert f"still 4, as counted Wed 13 May (not yet explained: {told})" in said.out
    assert "→ 0 at home" not in said.out
    assert (at_home(typed), unexplained(typed)) == (4, gap)


def test_what_was_there_by_then_is_what_a_late_entry_is_held_against(
    typed: Typed,
) -> None:
    """Six were there before the count: five sold by then are no more than that."""
    typed("count 1 4in white")
    fits = typed("sold 5 4in white --on yesterday")
    typed("undo")
    beyond = typed("sold 8 4in white --on yesterday")

    assert "more classic 4 in white than the records have" not in fits.err
    assert "that is 2 more classic 4 in white than the records have" in beyond.err


def test_an_entry_dated_after_the_count_changes_what_is_there(typed: Typed) -> None:
    """As it always did, however late it is typed."""
    typed("count 4 4in white --on mon")
    said = typed("sold 1 4in white --on tue")

    assert "at home: classic 4 in white 4 → 3" in said.out
    assert at_home(typed) == 3


def test_a_count_typed_late_is_held_against_what_was_there_by_then(
    typed: Typed,
) -> None:
    """Four were sold after it: it found all six, and today there are two."""
    typed("sold 4 4in white")
    agrees = typed("count 6 4in white --on yesterday")
    typed("undo")
    differs = typed("count --whole 5 4in white --on yesterday")

    assert "not yet explained" not in agrees.err
    assert (
        "classic 4 in white: the records had 6, you counted 5; −1 goes" in differs.err
    )
    assert at_home(typed) == 1


def test_a_cut_dated_before_a_reading_leaves_what_was_read(typed: Typed) -> None:
    """The spool holds what she measured; the gap is what changes."""
    typed("read S1 80yd")
    said = typed("cut 2 4in navy --on yesterday")
    held = json.loads(typed("spools --json").out)["spools"]

    assert said.out.count(
        "still 80 yd left, as read Wed 13 May; what is not yet explained changes"
    ) == 2  # fmt: skip
    assert "80 yd → 78 yd" not in said.out
    assert held[0]["left"] == "80 yd"


def test_a_reading_typed_late_is_held_against_the_book_by_then(typed: Typed) -> None:
    """The twelve bows were cut after it was read, and read it was as its label says."""
    agrees = typed("read S1 100yd --on mon")
    typed("undo")
    short = typed("read S1 99yd --on mon")

    assert "100 yd left (the book said 100 yd)" in agrees.out
    assert "not yet explained" not in agrees.err + short.err
    assert "read before its first cut: 36 in less than its label" in short.err


@pytest.mark.parametrize(
    ("read", "line", "words"),
    [
        ("read S1 80yd", "spool scrap S1 18in --on mon", "S1 was read after that"),
        ("read S1 80yd", "spool end S1 18in --on yesterday", "S1 was read after that"),
        ("supply count 150 card", "supply used 5 card --on yesterday",
         "card was read after that"),
    ],
)  # fmt: skip
def test_what_else_was_read_since_is_said(
    read: str, line: str, words: str, typed: Typed
) -> None:
    """Nothing is said to be more than the records have."""
    typed(read)
    said = typed(line)

    assert words in said.err
    assert "more" not in said.err
