"""Taking entries back, taking that back, and entering something once more."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from freezegun import freeze_time

from planner.events.base import Entry, Fact
from planner.events.bench import BowsFinished
from planner.log.store import Log
from tests.commands.conftest import Typed
from tests.commands.small_shop import put

COUNTED = ("spools", "supplies", "bundles", "orders", "fairs", "stock")
"""Questions whose answers are balances."""


@pytest.fixture(name="shop", autouse=True)
def _shop(tmp_path: Path) -> Path:
    return put(tmp_path)


def balances(typed: Typed) -> dict[str, Any]:
    """All that the questions say, but for the foot, which names the log."""
    found = {}
    for question in COUNTED:
        answer = json.loads(typed(f"{question} --json").out)
        answer.pop("foot", None)
        found[question] = answer
    return found


def taken_back(typed: Typed) -> list[int]:
    """The entries struck out in the list of entries."""
    answer = json.loads(typed("entries --last 100 --json").out)
    return [x["entry"] for x in answer["entries"] if x["taken_back"]]


@pytest.mark.parametrize(
    "line",
    [
        "cut 3 4in red",
        "made 2 4in navy 20min",
        "made 2 5in red",
        "sold 9 4in red",
        "count 1 4in red",
        "count --whole 2 4in navy",
        "read S1 40yd",
        "spool wind S1 20yd",
        "spoiled 1 4in navy --keep knot",
        "order hand O1",
        "order change O1 --add '2 4in red'",
        "order pay O1 10",
        "fair pack 2 4in navy",
        "supply used 5 card",
        "rework 2 4in navy to 4in red",
        "in white 1.5in 50yd --spools 2 --paid 25.01",
    ],
)
def test_what_is_taken_back_leaves_all_as_if_never_typed(
    line: str, typed: Typed
) -> None:
    """The same balances; taking the undo back gives the entry's own again."""
    before = balances(typed)
    assert typed(line).code == 0
    after = balances(typed)
    undone = typed("undo")
    back = balances(typed)
    again = typed("undo 15")

    assert undone.out.startswith("entry 14 is taken back: ")
    assert back == before
    assert again.out.splitlines()[-1] == "so entry 14 counts again"
    assert balances(typed) == after
    assert "The laws hold" in typed("check").out


def test_a_second_undo_goes_one_entry_further_back(typed: Typed) -> None:
    """Corrections are passed over; 12 was taken back when the shop was typed."""
    said = [typed("undo").out.strip() for _ in range(3)]

    assert said == [
        "entry 11 is taken back: person noted, order taken",
        "entry 10 is taken back: fair announced",
        "entry 9 is taken back: sitting logged, bows finished",
    ]
    assert taken_back(typed) == [9, 10, 11, 12]


def test_undo_goes_back_to_the_opening_of_the_shop_and_stops(typed: Typed) -> None:
    """What set up the shop stays."""
    for _ in range(10):
        assert typed("undo").code == 0
    said = typed("undo")

    assert said.code == 2
    assert "There is nothing to take back." in said.err
    assert typed("stock").code == 0


def test_what_others_rest_on_is_refused_or_takes_them_along(typed: Typed) -> None:
    """The bows made of a cut go with it, when she says so."""
    refused = typed("undo 8")
    said = typed("undo 8 --along")

    assert refused.code == 2
    assert "1 entry rests on entry 8: 9." in refused.err
    assert said.out.splitlines() == [
        "entry 8 is taken back: ribbon cut",
        "and what rests on it: 9",
    ]
    assert taken_back(typed) == [8, 9, 12]
    held = json.loads(typed("spools --json").out)["spools"]
    assert [spool["left"] for spool in held] == ["100 yd", "50 yd"]


def test_what_was_taken_along_comes_back_along(typed: Typed) -> None:
    """One correction is one entry: undone as a whole."""
    before = balances(typed)
    typed("undo 8 --along")
    said = typed("undo 14")

    assert said.out.splitlines() == [
        "entry 14 is taken back: took back 8, 9",
        "so entries 8, 9 count again",
    ]
    assert balances(typed) == before


def test_an_entry_cannot_come_back_without_what_it_rests_on(typed: Typed) -> None:
    """Bows made of a cut that is taken back too would be made of nothing."""
    typed("undo 9")
    typed("undo 8")
    refused = typed("undo 14")
    cut_back = typed("undo 15")
    made_back = typed("undo 14")

    assert refused.code == 2
    assert "It rests on C1, C2, taken back as well." in refused.err
    assert (cut_back.code, made_back.code) == (0, 0)
    assert taken_back(typed) == [12, 14, 15]


GIVES = {
    "made 2 4in red": "batch",
    "in white 1.5in 50yd": "spool",
    "spool wind S1 10yd": "onto",
    "cut 2 4in red": "bundle",
    "order take '1 4in red' --due fri --for 'Maren Elm' --new": "order",
    "order take '1 4in red' --due fri --for 'Maren Ash' --new": "person",
    "fair new 'Autumn market' 2026-10-03 10-16": "fair",
    "sitting 30min": "sitting",
    "supply in 10 card": "lot",
    "restock order 'Low Tide' --ribbon '1 x red 1.5in 50yd'": "restock",
}
"""What gives a new thing a code, and the field that holds it."""


@pytest.mark.parametrize("line", GIVES)
def test_a_code_taken_back_is_never_another_things(line: str, typed: Typed) -> None:
    """What a printed label names stays what it was; restored, it has its old code."""

    def given() -> str:
        events = json.loads(typed(f"{line} --json").out)["events"]
        return next(str(e[GIVES[line]]) for e in events if GIVES[line] in e)

    first = given()
    typed("undo")
    second = given()
    typed("undo")
    third = given()
    back = typed("undo 15")
    fourth = given()

    assert back.code == 0, back.err
    assert [len({first, second, third, fourth}), first[0]] == [4, second[0]]
    assert "The laws hold" in typed("check").out


def test_a_name_typed_with_an_order_taken_back_can_be_typed_again(
    typed: Typed,
) -> None:
    """And what is kept of it beside the log can be deleted."""
    line = "order take '1 4in red' --due fri --for 'Aldous Quillfeather'"
    typed(line)
    typed("undo")
    again = typed(line)
    forgotten = typed("--yes forget P2")
    left = json.loads(typed("people --json").out)["people"]

    assert again.out.splitlines()[-1] == "P3 is new: Aldous Quillfeather"
    assert (forgotten.code, forgotten.out) == (0, "P2 is forgotten\n")
    assert [one["key"] for one in left] == ["P1", "P3"]


def test_a_code_taken_back_stays_taken_in_the_cache(
    typed: Typed, shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whether the ledgers are folded anew or taken up where they were left."""
    typed("made 2 4in red")
    typed("undo")
    for _ in range(20):
        typed("have 1 4in red")
    typed("stock")
    cached = typed("made 2 4in red --dry-run").out
    monkeypatch.setenv("BOWS_CACHE", str(shop / "nowhere"))
    folded = typed("made 2 4in red --dry-run").out

    assert cached == folded
    assert cached.startswith("batch B3: ")


def test_an_entry_cannot_come_back_under_a_code_given_to_another(
    typed: Typed, shop: Path
) -> None:
    """Two batches of one number, as an older log may have them, would mix."""
    typed("undo 9")
    batch = BowsFinished(batch="B1", made="classic-5:red", revision=1, count=2)
    with Log.open(shop) as log:
        log.append(
            Entry((Fact(batch, "2026-05-13"),)), expected=None,
            recorded=datetime(2026, 5, 13, 12, tzinfo=UTC), rand=bytes,
        )  # fmt: skip
    refused = typed("undo 14")

    assert refused.code == 2
    assert "B1 is another thing by now: it can't count again as it was." in refused.err
    assert "The laws hold" in typed("check").out


def test_a_clock_set_back_hides_no_correction_and_shows_none_too_early(
    typed: Typed,
) -> None:
    """What was known on a day is the log up to the first stamp after it, whole."""

    def known(question: str) -> dict[str, Any]:
        answer: dict[str, Any] = json.loads(typed(f"{question} --json").out)
        del answer["foot"]
        return answer

    day = "stock --known-on 2026-05-14"
    before = known(day)
    with freeze_time("2026-06-20 12:00:00", tick=False):
        typed("have 1 5in navy")
    typed("undo 9")

    assert known(day) == before
    assert known("stock --known-on 2026-06-20") == known("stock")


def test_a_dry_undo_shows_and_writes_nothing(typed: Typed, shop: Path) -> None:
    """She may look first."""
    before = shop.read_bytes()
    said = typed("undo 9 --dry-run")

    assert said.out.strip() == "entry 9 is taken back: sitting logged, bows finished"
    assert shop.read_bytes() == before


def test_the_list_of_entries_says_what_was_taken_back(typed: Typed) -> None:
    """Struck out, with the entry that did it."""
    typed("undo")
    lines = typed("entries --last 4").out.splitlines()[2:]

    assert [" ".join(line.split()) for line in lines] == [
        "11 Wed 13 May 2026, 09:00 person noted, order taken taken back",
        "12 Wed 13 May 2026, 09:00 bows sold taken back",
        "13 Wed 13 May 2026, 09:00 took back 12",
        "14 Wed 13 May 2026, 09:00 took back 11",
    ]


def test_a_cut_once_more_is_off_the_same_spool_in_new_bundles(typed: Typed) -> None:
    """It says what it takes, as the first time."""
    said = typed("again 8")

    assert said.out.splitlines() == [
        "entry 8 once more: ribbon cut",
        "bundle C3: 12 body parts of 32 in from S1 (navy 1 1/2 in grosgrain): "
        "87 yd 12 in → 76 yd 24 in left",
        "bundle C4: 12 knot parts of 6 in from S1 (navy 1 1/2 in grosgrain): "
        "76 yd 24 in → 74 yd 24 in left",
    ]


def test_a_batch_once_more_takes_the_parts_that_wait_now(typed: Typed) -> None:
    """Eight of the twelve cut are left: four are taken, none invented."""
    said = typed("again 9")
    waiting = json.loads(typed("bundles --json").out)["bundles"]

    assert said.out.splitlines()[0] == (
        "batch B2: 4 bows, classic 4 in navy: 4 → 8 at home"
    )
    assert "no cut" not in said.err
    assert [(b["bundle"], b["count"]) for b in waiting] == [("C1", 4), ("C2", 4)]


def test_a_sale_once_more_warns_when_nothing_is_left(typed: Typed) -> None:
    """The same bows for the same money, and the same care as when it is typed."""
    typed("sold 4 4in red for 30")
    said = typed("again")

    assert said.code == 0
    assert said.out.splitlines() == [
        "entry 14 once more: bows sold",
        "at home: classic 4 in red 2 → 0",
    ]
    assert "that is 2 more classic 4 in red than the records have" in said.err
    cash = json.loads(typed("why money --json").out)
    assert cash["amount"] == "CAD 60.00"


@pytest.mark.parametrize("entry", [6, 10, 11])
def test_what_makes_no_sense_twice_is_refused(entry: int, typed: Typed) -> None:
    """Hours, a fair, an order: typed out anew, with their own figures."""
    said = typed(f"again {entry}")

    assert (said.code, said.out) == (2, "")
    assert f"Entry {entry} is not one to enter twice" in said.err
    assert "-" not in said.err.partition("twice")[2].partition("\n")[0]


def test_the_same_entry_twice_is_said(typed: Typed) -> None:
    """Off a terminal it is taken as one more; the echo says so, and undo is at hand."""
    first = typed("have 2 4in white")
    second = typed("have 2 4in white")
    other = typed("have 3 4in white")

    assert "says the same" not in first.err
    assert "entry 14, 0 min ago, says the same; taken as one more" in second.err
    assert "says the same" not in other.err
    assert second.code == 0


@pytest.mark.parametrize(
    ("first", "second"),
    [("--on yesterday", ""), ("", "--on mon"), ("--on mon", "--on tue"),
     ("--on 2026-05-12T14:00", "--on 2026-05-12T14:05")],
)  # fmt: skip
def test_the_same_on_another_day_or_hour_is_another_entry(
    first: str, second: str, typed: Typed
) -> None:
    """She catches up: one bow each evening is no slip."""
    typed(f"have 2 4in white {first}")

    assert "says the same" not in typed(f"have 2 4in white {second}").err


@pytest.mark.parametrize("told", ["", "--on yesterday", "--on 2026-05-12T14:00"])
def test_the_same_on_the_same_day_is_said(told: str, typed: Typed) -> None:
    """Some minutes later, when now is another moment."""
    typed(f"have 2 4in white {told}")
    with freeze_time("2026-05-13 12:03:30", tick=False):
        said = typed(f"have 2 4in white {told}")

    assert "entry 14, 3 min ago, says the same; taken as one more" in said.err


def test_what_is_entered_once_more_is_meant(typed: Typed) -> None:
    """Nothing is asked or said of it, and later slips in the same evening still are."""
    typed("have 2 4in white")
    again = typed("again")
    slip = typed("have 2 4in white")

    assert "says the same" not in again.err
    assert "entry 15, 0 min ago, says the same" in slip.err


@pytest.mark.parametrize(
    "line", ["have 2 4in white --on yesterday", "cut 2 4in red --on mon"]
)
def test_a_dry_run_shows_the_day(line: str, typed: Typed) -> None:
    """The same lines as when it is written."""
    dry = typed(f"{line} --dry-run").out
    written = typed(line).out

    assert dry == written
    assert dry.splitlines()[0] in (
        "Tue 12 May 2026 (yesterday)",
        "Mon 11 May 2026 (2 days ago)",
    )


def test_on_a_terminal_the_same_entry_is_asked_about(
    typed: Typed, monkeypatch: pytest.MonkeyPatch, shop: Path
) -> None:
    """A no writes nothing."""
    typed("have 2 4in white")
    before = shop.read_bytes()
    monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
    monkeypatch.setattr("sys.stderr.isatty", lambda: True, raising=False)
    monkeypatch.setattr("builtins.input", lambda: "")
    said = typed("have 2 4in white")

    assert "Enter it once more? [y/N]" in said.err
    assert "Nothing was written." in said.err
    assert shop.read_bytes() == before
