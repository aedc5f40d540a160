"""Asking what can be promised, taking it, and how good it was, as she types it."""

from __future__ import annotations

import json

import pytest

from planner.commands import main
from tests.commands.conftest import Typed

COMMANDS = {
    "rush": "promising:rush", "promise": "promising:promise",
    "how-good": "scoring:how_good",
}  # fmt: skip


@pytest.fixture(name="asked")
def _asked(small: Typed, monkeypatch: pytest.MonkeyPatch) -> Typed:
    for name, target in COMMANDS.items():
        monkeypatch.setitem(main.WHERE, name, target)
    return small


def test_the_days_to_promise_are_named_by_how_sure_they_are(asked: Typed) -> None:
    said = asked("promise 10 4in navy --json")

    days = json.loads(said.out)["days"]
    assert [day["chance"] for day in days] == [0.5, 0.8, 0.9, 0.95]
    on = [day["due_on"] for day in days]
    assert on == sorted(on)
    assert days[2]["typed"] == "bows promise 10 4in navy --take 3"


def test_a_day_taken_is_an_order_with_its_promise(asked: Typed) -> None:
    said = asked("promise 10 4in navy --take 3 --for Maren")

    assert said.code == 0, said.err
    assert "order O1 taken" in said.out
    assert "promised for" in said.out
    (entry,) = [
        line for line in asked("how-good --json").out.splitlines() if '"order"' in line
    ]
    assert "O1" in entry


def test_asking_writes_nothing(asked: Typed) -> None:
    before = asked("check --json").out
    asked("rush 6 4in navy --due fri")
    asked("promise 6 4in navy")

    assert asked("check --json").out == before


def test_a_rush_taken_in_another_way_is_due_on_its_own_day(asked: Typed) -> None:
    view = json.loads(asked("rush 40 4in navy --due fri --json").out)
    later = next(way for way in view["ways"] if way["what"].startswith("for "))

    said = asked(f"rush 40 4in navy --due fri --take {later['number']}")

    assert said.code == 0, said.err
    order = json.loads(asked("due --json").out)["orders"][0]
    assert (order["due_on"], order["chance"]) == (later["due_on"], later["chance"])


def test_a_rush_taken_with_more_hours_has_them_in_the_same_entry(asked: Typed) -> None:
    asked("hours mon-thu 20:00-22:00")
    view = json.loads(asked("rush 12 4in navy --due fri --json").out)
    longer = next(way for way in view["ways"] if way["extra_minutes"])
    before = asked("hours").out

    said = asked(f"rush 12 4in navy --due fri --take {longer['number']}")

    assert said.code == 0, said.err
    assert "on top" in said.out
    assert asked("hours").out.startswith(before.strip() + ", also ")
    order = json.loads(asked("due --json").out)["orders"][0]
    assert order["chance"] == longer["chance"] >= 0.9
    asked("undo")
    assert asked("hours").out == before
    assert json.loads(asked("due --json").out)["orders"] == []


def test_a_way_that_is_not_there_is_refused(asked: Typed) -> None:
    said = asked("rush 2 4in navy --due '12 jun' --take 9")

    assert (said.code, "There is 1 way, no 9." in said.err) == (2, True)


def test_a_page_of_the_rush_names_no_other_customer(asked: Typed, tmp_path) -> None:
    asked("order take 20 4in navy --due fri --for 'Maren Oak'")

    said = asked(f"rush 30 4in red --due thu --page {tmp_path / 'rush.html'}")

    assert said.code == 0, said.err
    assert "Maren" not in (tmp_path / "rush.html").read_text("utf-8")


def test_before_any_promise_it_says_how_one_is_kept(asked: Typed) -> None:
    said = asked("how-good")

    assert said.out.startswith("No promise was kept yet")


def test_a_promise_met_is_counted_and_set_against_simple_reckoning(
    asked: Typed, tmp_path
) -> None:
    asked("promise 4 4in red --take 3")
    asked("order ready O1")

    said = asked(f"how-good --page {tmp_path / 'good.html'}")

    assert said.out.startswith("1 of 1 promises were met")
    assert "Chances stated" in (tmp_path / "good.html").read_text("utf-8")
    kept = json.loads(asked("how-good --json").out)["promises"][0]
    assert (kept["order"], kept["came"], bool(kept["plain_on"])) == (
        "O1",
        "in time",
        True,
    )
