"""Counting the parts that wait, and naming the batch of bows that left."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.commands.conftest import Typed
from tests.commands.small_shop import put


@pytest.fixture(name="shop", autouse=True)
def _shop(tmp_path: Path) -> Path:
    return put(tmp_path)


def waiting(typed: Typed) -> dict[str, int]:
    """The parts waiting, by bundle."""
    found = json.loads(typed("bundles --json").out)["bundles"]
    return {one["bundle"]: one["count"] for one in found}


def test_parts_that_wait_are_counted(typed: Typed) -> None:
    """Eight in the records, seven on the table; undo puts the eighth back."""
    said = typed("count-parts 7 C1")
    counted = waiting(typed)
    typed("undo")

    assert said.out.strip() == "bundle C1 counted: 7 parts"
    assert "the records had 8; −1 goes to not yet explained" in said.err
    assert (counted, waiting(typed)) == ({"C1": 7, "C2": 8}, {"C1": 8, "C2": 8})


def test_none_of_the_parts_may_be_left(typed: Typed) -> None:
    """A bundle that is used up or lost is counted as nothing."""
    typed("count-parts 0 C1")

    assert waiting(typed) == {"C2": 8}
    assert "The laws hold" in typed("check").out


@pytest.mark.parametrize("line", ["count-parts 7 C1", "name-batch 2 B1"])
def test_a_dry_run_writes_nothing(line: str, typed: Typed, shop: Path) -> None:
    """It says what it would."""
    typed("sold 2 4in navy")
    before = shop.read_bytes()
    said = typed(f"{line} --dry-run")

    assert (said.code, bool(said.out)) == (0, True)
    assert shop.read_bytes() == before


def went(typed: Typed) -> list[tuple[str, int, str]]:
    """Where the first batch went: place, bows, how surely."""
    trace = json.loads(typed("trace B1 --json").out)
    return [(w["where"], w["count"], w["sure"]) for w in trace["batches"][0]["went"]]


def test_the_last_bows_that_left_are_named_by_their_label(typed: Typed) -> None:
    """What was only likely is known from then on; undo takes it back."""
    typed("sold 3 4in navy")
    before = went(typed)
    said = typed("name-batch 3 B1")
    after = went(typed)
    typed("undo")

    assert (
        said.out.strip() == "3 bows of entry 14 (classic 4 in navy) came from batch B1"
    )
    assert [sure for _, _, sure in before] == ["inferred"]
    assert [(count, sure) for _, count, sure in after] == [(3, "known")]
    assert went(typed) == before


def test_an_entry_is_named_by_its_number(typed: Typed) -> None:
    """Not the last sale but the one before; what exceeds the records is said."""
    typed("sold 2 4in navy")
    typed("sold 1 4in navy")
    said = typed("name-batch 3 B1 --entry 14 --json")
    answer = json.loads(said.out)

    assert answer["warnings"] == [
        "entry 14 took out 2, of which 2 bows had no batch named yet"
    ]
    assert answer["events"][0]["entry"] == 14
    assert sum(count for _, count, sure in went(typed) if sure == "known") == 2


@pytest.mark.parametrize(
    "line", ["name-batch 2 B1", "name-batch 2 B1 --entry 2", "name-batch 2 B9"]
)
def test_what_never_left_is_refused(line: str, typed: Typed) -> None:
    """Nothing of that kind was sold; the batch doesn't exist."""
    said = typed(line)

    assert (said.code, said.out) == (2, "")
    assert "  try: " in said.err


@pytest.mark.parametrize(
    ("words", "code"),
    [
        ("navy cherry pair", "navy-cherry-pair"),
        ("navy-cherry-pair", "navy-cherry-pair"),
        ("long clip", "long-clip"),
        ("navy 1.5in", "navy-1.5in"),
    ],
)
def test_what_is_retired_is_named_by_its_words_or_its_code(
    typed: Typed, words: str, code: str
):
    """A set by the very name it was given; a ribbon by colour and width."""
    typed('set "navy cherry pair" "1 4in navy" "1 4in red"')
    said = typed(f"retire {words}")

    assert (said.code, f"{code} is retired" in said.out) == (0, True), said


@pytest.mark.parametrize(
    "kinds",
    ['"1 4in navy" "1 4in red"', '"1 4in navy, 1 4in red"', "1 4in navy, 1 4in red"],
)
def test_a_sets_kinds_are_typed_as_any_list_is(typed: Typed, kinds: str):
    said = typed(f'set "navy and red" {kinds} --dry-run')

    assert (said.code, "1 classic 4 in navy, 1 classic 4 in red" in said.out) == (
        0,
        True,
    ), said
