"""Lists in the order she looks in, days with their weekday, words that agree."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.commands.conftest import Typed
from tests.commands.small_shop import put


@pytest.fixture(autouse=True)
def _shop(tmp_path: Path) -> None:
    put(tmp_path)


def test_spools_are_listed_by_number(typed: Typed) -> None:
    """Whenever they came; ten comes after nine."""
    typed("in red 1.5in 50yd --spools 8 --paid 80 --on 2026-01-05")
    codes = [line.split()[0] for line in typed("spools").out.splitlines()[2:]]

    assert codes == [f"S{n}" for n in range(1, 11)]


def test_a_length_only_judged_or_wound_is_called_no_label(typed: Typed) -> None:
    """A label is what was printed on the spool."""
    typed("spool found white 1.5in 20yd")
    typed("spool found white 1.5in 20yd --label 50yd")
    typed("spool wind S1 10yd")
    labels = {x["code"]: x["label"]
              for x in json.loads(typed("spools --json").out)["spools"]}  # fmt: skip

    assert labels == {
        "S1": "100 yd", "S2": "50 yd", "S3": "20 yd as judged", "S4": "50 yd",
        "S5": "10 yd wound onto it",
    }  # fmt: skip


def test_orders_and_entries_say_the_weekday(typed: Typed) -> None:
    """Their JSON keeps plain days."""
    order = typed("orders").out.splitlines()[2]
    entry = typed("entries").out.splitlines()[-1]

    assert "Fri 15 May 2026" in order
    assert "Wed 13 May 2026, 09:00" in entry
    assert json.loads(typed("orders --json").out)["orders"][0]["due"] == "2026-05-15"


def test_an_open_order_whose_bows_are_there_says_so(typed: Typed) -> None:
    """As due does; it is ready when she has said so."""
    before = typed("orders").out.splitlines()[2]
    typed("count 2 4in navy")
    short = typed("orders").out.splitlines()[2]
    typed("count 4 4in navy")
    typed("order ready O1")
    ready = typed("orders").out.splitlines()[2]

    assert before.split()[1:4] == ["open,", "all", "made"]
    assert short.split()[1:3] == ["open", "Fri"]
    assert ready.split()[1:3] == ["ready", "Fri"]


def test_of_two_orders_for_the_same_bows_the_earlier_has_them(typed: Typed) -> None:
    """Four are there, three and two are wanted."""
    typed('order take "2 4in navy" --due sat')
    states = {x["order"]: x["all_made"]
              for x in json.loads(typed("orders --json").out)["orders"]}  # fmt: skip

    assert states == {"O1": True, "O2": False}


def test_what_events_are_counted_is_said(typed: Typed) -> None:
    """A page counts those in force, the check all that were ever written."""
    page = json.loads(typed("stock --json").out)["foot"]["events"]
    looked = typed("check").out.splitlines()[0]

    assert looked.endswith("entries, those taken back among them.")
    assert page < int(looked.split()[2])


def test_ribbon_gone_beyond_the_records_is_not_called_nothing(
    tmp_path: Path, typed: Typed
) -> None:
    """The front page says how much more went out than was there."""
    typed("cut 1 4in red")
    typed("spool send S2 84yd --as given")
    typed(f"report {tmp_path / 'pages'}")
    front = (tmp_path / "pages" / "index.html").read_text()

    assert "35 yd 2 in taken that was never entered" in front
    assert "nothing gone" not in front
    assert "more went out of it than the records had" in front
    assert "events in force stand behind this page" in front


def test_bench_hours_are_shown_as_told_in_either_form(typed: Typed) -> None:
    """As a line of words, or as JSON; with none told, JSON has none."""
    told = json.loads(typed("hours --json").out)

    assert told == {
        "schema": "spool-to-stall/hours/1", "hours": typed("hours").out.strip()
    }  # fmt: skip
    assert told["hours"] == "mon-thu 20:00-22:00"
