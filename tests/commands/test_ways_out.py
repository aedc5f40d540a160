"""What a refusal says to type instead is what she meant."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.commands.conftest import Typed
from tests.commands.small_shop import put


@pytest.fixture(autouse=True)
def _shop(tmp_path: Path) -> None:
    put(tmp_path)


def test_a_new_colour_says_how_it_and_its_ribbon_are_named(typed: Typed) -> None:
    """What the answer says to type makes the kind."""
    before = typed("made 2 4in green")
    named = [typed("colour green"), typed("ribbon green 1.5in")]
    halfway = typed("made 2 4in orange")

    assert before.err.splitlines() == [
        'There is no kind "4in green".',
        "  try: bows colour green, then: bows ribbon green 1.5in   (or see: bows "
        "catalogue)",
    ]
    assert [said.code for said in named] == [0, 0]
    assert typed("made 2 4in green").code == 0
    assert "bows colour orange" in halfway.err


def test_a_colour_without_ribbon_of_that_width_says_only_the_ribbon(
    typed: Typed,
) -> None:
    """Its name is there already."""
    typed("colour green")

    assert "try: bows ribbon green 1.5in   (then" in typed("made 2 4in green").err


@pytest.mark.parametrize(
    ("name", "shade"),
    [
        ("sage green", 'green   (roughly; or its own "#rrggbb")'),
        ("ditchwater", '"#rrggbb"   (six digits of red, green and blue; or a CSS'),
    ],
)
def test_a_shade_to_be_told_is_suggested_without_a_wrong_one(
    name: str, shade: str, typed: Typed
) -> None:
    """No navy for green; a standard colour among the words is offered as rough."""
    said = typed(f"colour {name}").err

    assert f"try: bows colour {name} --hex {shade}" in said
    assert "1f2a5c" not in said


@pytest.mark.parametrize("part", ["tails 10in x2", "tails 10in x 2", "tails 10in 2x"])
def test_a_part_with_its_number_last_is_told_where_it_goes(
    part: str, typed: Typed
) -> None:
    """The right form is said in full, and stands in the help."""
    line = ["pattern", "tails", "4in", "--width", "1.5in", "--part", part]
    said = typed(line).err

    assert said.splitlines()[1] == '  try: --part "2 x tails 10in"'
    assert "2 x tails" in typed("pattern --help").out


@pytest.mark.parametrize("word", ["have", "found", "give", "lost", "write-off"])
def test_bows_of_several_kinds_are_listed_with_commas(word: str, typed: Typed) -> None:
    """As an order takes them; each is found and counted."""
    said = typed(f"{word} 2 4in navy, 3 4in red")

    assert said.code == 0, said.err
    assert "2 classic 4 in navy, 3 classic 4 in red" in said.out.splitlines()[0]
    assert said.out.splitlines()[0].count(" → ") == 2
    assert typed(f"{word} 2 4in navy, 0 4in red").code == 2


def test_bows_of_several_kinds_are_of_no_one_batch(typed: Typed) -> None:
    """A batch is of one kind, so each kind is a line of its own."""
    said = typed("give 1 4in navy, 1 4in red --batch B1")

    assert said.code == 2
    assert said.err.splitlines()[0] == "A batch is of one kind."


def test_a_list_where_one_kind_is_taken_says_so(typed: Typed) -> None:
    """A batch is of one kind."""
    said = typed("made 2 4in navy, 3 4in red").err.splitlines()

    assert said == [
        "That is more than one kind.",
        "  try: a line for each, such as: 4in navy",
    ]


def test_hours_and_minutes_with_a_colon_are_told_how_to_be_typed(typed: Typed) -> None:
    """It may be meant either way, so it is asked; what is said can be typed."""
    said = typed("made 10 4in navy 1:20").err

    assert said.splitlines()[0] == '"1:20" of what?'
    assert "try: 1h20 " in said
    assert "80min" in said
    assert "80 min" in typed("made 10 4in navy 1h20").out


def test_a_cost_told_the_wrong_way_round_is_turned_round(typed: Typed) -> None:
    """First what it was."""
    said = typed("cost 5 parking")

    assert said.code == 2
    assert said.err.splitlines()[1] == "  try: bows cost parking 5"


@pytest.mark.parametrize(
    "words", ["4in ?", "4in not noticed", "4in colour not noticed", "4in not-noticed"]
)
def test_a_colour_not_noticed_can_be_said_in_words(words: str, typed: Typed) -> None:
    """Words are safe in any shell; they mean what the question mark means."""
    said = typed(f"sold 1 {words}")

    assert "sold 1 classic 4 in (colour not noticed) at home" in said.out
