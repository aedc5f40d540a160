"""The stock view: what is there, what of it is promised, and what is short."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.commands.conftest import Typed
from tests.commands.small_shop import put


@pytest.fixture(autouse=True)
def _shop(tmp_path: Path) -> None:
    put(tmp_path)


def figures(typed: Typed, kind: str) -> tuple[int, int, int, int]:
    """At home, promised, short and free of a kind."""
    cells = json.loads(typed("stock --json").out)["cells"]
    cell = next(cell for cell in cells if cell["kind"] == kind)
    return cell["home"], cell["promised"], cell["short"], cell["free"]


def test_what_open_orders_want_is_promised(typed: Typed) -> None:
    """Four navy at home, three of them in an order, none reserved by hand."""
    assert figures(typed, "4in navy") == (4, 3, 0, 1)
    assert "1+3" in typed("stock").out


def test_a_reserve_for_an_order_is_not_promised_twice(typed: Typed) -> None:
    """Nor a ready order; what is handed over is promised no more."""
    typed("reserve O1 2 4in navy")
    reserved = figures(typed, "4in navy")
    typed("order ready O1")
    ready = figures(typed, "4in navy")
    typed("order hand O1 2 4in navy")

    assert reserved == ready == (4, 3, 0, 1)
    assert figures(typed, "4in navy") == (2, 1, 0, 1)


def test_more_promised_than_there_is_is_said(typed: Typed) -> None:
    """Of seven promised four are there; of five white ones none."""
    typed("order take '4 4in navy, 5 4in white' --due fri --for 'Ivo Reed'")
    said = typed("stock").out

    assert figures(typed, "4in navy") == (4, 4, 3, 0)
    assert figures(typed, "4in white") == (0, 0, 5, 0)
    assert "0+4 −3" in said
    assert "0 −5" in said
    total = json.loads(typed("stock --json").out)["total"]
    assert total["home"] + total["elsewhere"] == total["free"] + total["promised"]


def test_what_is_only_asked_is_not_promised(typed: Typed) -> None:
    """A quote binds nobody yet; an order called off no longer does."""
    typed("order ask '4 4in red' --for 'Ivo Reed'")
    typed("order off O1")

    assert figures(typed, "4in red") == (6, 0, 0, 6)
    assert figures(typed, "4in navy") == (4, 0, 0, 4)


def test_a_fair_plan_and_orders_are_promised_together(typed: Typed) -> None:
    """Two for the fair on top of the order's three: one too many."""
    typed("fair accept 2 4in navy")

    assert figures(typed, "4in navy") == (4, 4, 1, 0)


def commands(value: Any) -> Iterator[str]:
    """Walk the commands that a view names for the entries behind its figures."""
    if isinstance(value, dict):
        for inner in value.values():
            yield from commands(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from commands(inner)
    elif isinstance(value, str) and value.startswith("bows why "):
        yield from value.split("; ")


@pytest.mark.parametrize(
    ("question", "least"),
    [("stock", 6), ("due", 1), ("fair plan", 1), ("story S1", 1)],
)
def test_what_names_the_entries_behind_a_figure_can_be_typed(
    question: str, least: int, typed: Typed
) -> None:
    """Bows, spools, supplies and orders each lead to their entries."""
    told = dict.fromkeys(commands(json.loads(typed(f"{question} --json").out)))

    assert len(told) >= least
    for line in told:
        said = typed(f"{line.removeprefix('bows ')} --json")
        assert said.code == 0, (line, said.err)
        assert json.loads(said.out)["rows"]


def test_the_entries_behind_an_order_are_named(typed: Typed) -> None:
    """Three are wanted, one is handed over: two are left."""
    typed("order hand O1 1 4in navy")
    said = typed("why O1")
    rows = [" ".join(line.split()) for line in said.out.splitlines()[3:]]

    assert said.out.startswith("order O1: bows still to be handed over: 2")
    assert rows == [
        "11 2026-05-13 09:00 order taken +3 3",
        "14 2026-05-13 09:00 order handed over −1 2",
    ]
