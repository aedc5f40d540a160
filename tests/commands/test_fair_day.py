"""A fair from the boxes to the kitchen table, typed as she would; then an order."""

from __future__ import annotations

import json

import pytest

from tests.commands.conftest import Typed


def test_a_fair_day_typed_as_it_comes_ends_with_what_was_not_typed(small: Typed):
    """Six packed, two typed as sold, three home: the takings tell the last one."""
    lines = {
        'fair new "Quay fair" today 9:00-13:00 --fee 20 --crowd busy': "fair F1: Quay",
        "fair accept 6 4in red": "plan for F1, Quay fair: 6 bows",
        "fair pack": "at home: classic 4 in red 6 → 0",
        "fair open --float 40": "CAD 40.00 in the till",
        "sold 2 4in red": "at the stall at Quay fair for CAD 16.00 in cash",
        "fair close 24": "closed on Wed 13 May 2026",
        "fair settle 3 red": "1 missing; 1 sold without being typed",
        "fair unlogged 1 red": "1 classic 4 in red",
    }
    for line, words in lines.items():
        said = small(line)
        assert (said.code, words in said.out) == (0, True), said


@pytest.mark.parametrize("place", ["stall", '"quay fair"'])
def test_bows_moved_to_the_stall_count_as_brought(small: Typed, place: str):
    """She may say it either way: what is missing afterwards is the same."""
    small('fair new "Quay fair" today 9:00-13:00 --fee 20')
    moved = small(f"move 6 4in red --to {place}")
    small("sold 2 4in red")
    settled = small("fair settle 3 red")

    assert moved.out.splitlines() == [
        "moved 6 classic 4 in red from home to the stall at Quay fair",
        "brought to F1, Quay fair: 0 → 6 bows",
    ]
    assert "nothing was packed" not in small("sold 1 4in red").err
    assert "6 brought, 2 typed as sold, 3 came back" in settled.out


def test_an_order_typed_from_the_question_to_the_money(small: Typed):
    """An order asked, taken, part handed over, and the rest with what is owed."""
    assert small('order ask 4 4in red --for "Maren Oak"').code == 0
    assert small('order take O1 --due "fri 16:00" --deposit 10').code == 0
    assert small("order hand O1 1 red").code == 0
    said = small("order hand O1 --json")

    answer = json.loads(said.out)
    assert (said.code, answer["said"][0], answer["warnings"]) == (
        0,
        "order O1: 3 classic 4 in red handed over, worth CAD 24.00",
        [
            "O1 was never marked ready",
            "CAD 22.00 is still owed for what was handed over: bows order pay O1 22.00",
        ],
    )


@pytest.mark.parametrize(
    "line",
    [
        "sold 3 4in violet", "sold 0 4in red", "sold 2 4in red for 1.234",
        "sold 2 4in red --at nowhere", "order take 2 4in red", "order ready O9",
        "order take 2 4in red --due 5/12", "order take 2 4in red --due 2106-01-01",
        "fair new x sat", "fair new x sat 16-10", "fair pack", "fair settle 3 red",
        "reserve O9 2 4in red",
    ],
)  # fmt: skip
def test_what_can_t_be_meant_is_refused_and_nothing_written(small: Typed, line):
    """Exit code 2, what to try, and no entry."""
    before = json.loads(small("entries --last 1 --json").out)
    said = small(line)

    assert (said.code, said.out) == (2, "")
    assert "  try: " in said.err
    assert json.loads(small("entries --last 1 --json").out) == before
