"""A slip of the finger is taken as typed, and said back as odd."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.commands.conftest import Typed
from tests.commands.small_shop import put


@pytest.fixture(autouse=True)
def _shop(tmp_path: Path) -> None:
    put(tmp_path)


@pytest.mark.parametrize(
    ("line", "odd"),
    [
        ("made 12 4in red 1min", "0.083 min a bow is odd"),
        ("made 1 4in red 23h", "1.4e+03 min a bow is odd"),
        ("made 100000 4in navy", "100,000 bows in one batch is a great many"),
        ("sold 100000 4in red", "100,000 bows in one sale is a great many"),
        ("sold 1 4in red @80000", "CAD 80,000.00 is far from the list's CAD 8.00 for"),
        ("sold 2 4in red for 1.60", "CAD 1.60 is far from the list's CAD 16.00 for"),
        ("sold 1 4in red @80.00", "CAD 80.00 is far from the list's CAD 8.00 for"),
        ("sold 3 4in red @0.80", "CAD 0.80 is far from the list's CAD 8.00 for"),
        ("made 501 4in navy", "501 bows in one batch is a great many"),
        ("read S1 200yd", "that is more than the 100 yd on its label"),
    ],
)
def test_what_is_far_from_the_usual_is_said_back(
    line: str, odd: str, typed: Typed
) -> None:
    """It is written, with what is odd and how to take it back."""
    said = typed(line)

    assert said.code == 0, said.err
    assert odd in said.err
    assert "if it was another: bows undo" in said.err


@pytest.mark.parametrize(
    "line",
    [
        "made 12 4in red 95min",
        "made 1 4in red 1min",
        "made 1 4in red 40min",
        "sold 2 4in red @5.00",
        "sold 2 4in red @79.99",
        "sold 2 4in red @0.81",
        "made 500 4in navy",
        "sold 2 4in red for 0",
        "sold 2 4in red for 12.00",
        "sold 2 4in red",
        "read S1 86yd",
    ],
)
def test_what_is_usual_is_passed_over(line: str, typed: Typed) -> None:
    """A cheap sale, a gift, a slow evening are no slips."""
    said = typed(line)

    assert said.code == 0, said.err
    assert "if it was another" not in said.err


@pytest.mark.parametrize("line", ["spool scrap S2 18in", "scrap 2 C1"])
def test_a_reason_never_told_is_kept_as_not_told(line: str, typed: Typed) -> None:
    """No flaw and no mis-cut is invented."""
    said = typed(f"{line} --json").out

    assert json.loads(said)["events"][0]["why"] == "not told"


def test_a_sale_before_the_bows_were_made_names_the_day(typed: Typed) -> None:
    """Today is right; before that day an entry is missing, and why says so."""
    said = typed("sold 2 4in navy --on 2026-05-11")
    why = typed("why 4in navy").out.splitlines()
    enough = typed("sold 1 4in red --on 2026-05-11")

    assert said.code == 0
    assert (
        "by Mon 11 May the records had only 0 of them there: an entry is missing"
        in (said.err)
    )
    assert [x for x in why if "an entry is missing before this day" in x] == [
        x for x in why if "bows sold" in x
    ]
    assert "missing" not in enough.err


def test_an_order_asked_before_is_named_when_it_is_taken_as_new(typed: Typed) -> None:
    """The quote stays asked; the way to take that one is said."""
    typed("order ask 2 4in navy --for P1 --due fri")
    other = typed("order take 3 4in navy --for P1 --due fri")
    same = typed("order take 2 4in navy --for P1 --due fri")

    assert "stays asked" not in other.err
    assert "O2, asked for the same, stays asked; if this is that one: bows undo" in (
        same.err
    )
    assert "bows order take O2" in same.err
