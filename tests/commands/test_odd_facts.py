"""What she saw is always taken: said to be odd, kept as not yet explained, cleared."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from freezegun import freeze_time

from tests.commands.conftest import Typed
from tests.commands.small_shop import put

NYE = "not yet explained"
AFTER_THE_FAIR = "2026-05-18 12:00:00"


@pytest.fixture(name="shop")
def _shop(tmp_path: Path) -> Path:
    return put(tmp_path)


class Odd(NamedTuple):
    """
    An odd fact: what leads to it, how it is echoed, and where it is kept.

    `held` are accounts of `about` after it (None: no such account), reckoned by hand
    from what the small shop holds; `clears` are late entries, `then` the accounts then.
    """

    line: str
    odd: str
    about: str
    held: Mapping[str, str | None]
    clears: tuple[str, ...] = ()
    then: Mapping[str, str | None] = {}
    before: tuple[str, ...] = ()


BOUTIQUE = ("boutique new Moon --commission 40", "boutique consign moon 2 4in red")
ODDS = {
    # 60 bows of 38 in are 2,280 in; 50 yd are 1,800 in; 64 yd are 2,304 in.
    "more is cut than the spool holds": Odd(
        "cut 60 4in red --from S3", "3 yd 12 in more than the records have on S3", "S3",
        {"left": None, NYE: "−13 yd 12 in"},
        ("read S3 64yd --on 2026-05-11",), {"left": "24 in", NYE: None},
        before=("in red 1.5in 50yd --on 2026-05-10",),
    ),
    "bows are sold that the records don't have": Odd(
        "sold 9 4in red", "that is 3 more classic 4 in red than", "4in red",
        {"at:home": None, "sold": "9", NYE: "−3"},
        ("made 3 4in red --on yesterday",), {"at:home": None, "sold": "9", NYE: None},
    ),
    "what turns up afterwards clears it as well": Odd(
        "sold 9 4in red", "entered as not yet explained", "4in red",
        {NYE: "−3"}, ("found 5 4in red",), {"at:home": "2", NYE: None},
    ),
    "an order is handed over that was never ready": Odd(
        "order hand O1", "O1 was never marked ready", "4in navy",
        {"at:home": "1", "handed over": "3", NYE: None},
    ),
    "more is handed over than was ordered": Odd(
        "order hand O1 5 4in navy", "2 more classic 4 in navy than O1 still asks for",
        "4in navy", {"at:home": None, "handed over": "5", NYE: "−1"},
        ("have 1 4in navy --on yesterday",), {"at:home": None, NYE: None},
    ),
    "an order only asked is handed over": Odd(
        "order hand O2", "O2 was only asked; it is entered as taken now too", "4in red",
        {"at:home": "4", "handed over": "2", NYE: None},
        before=("order ask 2 4in red --due fri",),
    ),
    "an order is ready without its bows": Odd(
        "order ready O2", "the records have only 4 of its 9 classic 4 in navy",
        "4in navy", {"at:home": "4", NYE: None},
        before=('order take "9 4in navy" --due fri',),
    ),
    "bows of an order come back that never went": Odd(
        "order back O1 2 4in navy", "2 more classic 4 in navy than the records have as",
        "4in navy", {"at:home": "6", NYE: None},
    ),
    "a count finds more": Odd(
        "count 10 4in navy", "had 4, you counted 10; +6 goes to", "4in navy",
        {"at:home": "10", NYE: "−6"},
        ("made 6 4in navy --on yesterday",), {"at:home": "10", NYE: None},
    ),
    "a count finds more, and more are made after it": Odd(
        "count 10 4in navy", "you counted 10", "4in navy", {NYE: "−6"},
        ("made 6 4in navy",), {"at:home": "16", NYE: "−6"},
    ),
    "a count finds fewer": Odd(
        "count 1 4in navy", "you counted 1; −3 goes to", "4in navy",
        {"at:home": "1", NYE: "3"},
        ("sold 3 4in navy --on yesterday",), {"at:home": "1", "sold": "3", NYE: None},
    ),
    "a whole shelf is counted and a kind isn't there": Odd(
        "count --whole 6 4in red", "the records had 4, none counted; −4 goes to",
        "4in navy", {"at:home": None, NYE: "4"},
        ("give 4 4in navy --on yesterday",), {"given:gift": "4", NYE: None},
    ),
    # 12 bows of 38 in leave 87 yd 12 in of 100 yd.
    "a spool runs out early": Odd(
        "spool empty S1", "−87 yd 12 in against the book", "S1",
        {"left": None, NYE: "87 yd 12 in"},
        ("spool send S1 87 yd 12 in --as given --on yesterday",),
        {"left": None, NYE: None, "sent:given": "87 yd 12 in"},
    ),
    "a spool holds more than its label": Odd(
        "read S3 120yd", "32 yd 24 in against the book", "S3",
        {"left": "120 yd", NYE: "−32 yd 24 in"},
        ("read S3 132 yd 24 in --on 2026-05-11",), {"left": "120 yd", NYE: None},
        before=(
            "in navy 1.5in 100yd --on 2026-05-10",
            "cut 12 4in navy --from S3 --on 2026-05-12",
        ),
    ),
    "a fresh spool is shorter than its label": Odd(
        "read S2 49yd", "read before its first cut: 36 in less than its label", "S2",
        {"left": "49 yd", "opening": "−49 yd", NYE: None},
    ),
    "more is wound off than is left": Odd(
        "spool wind S1 90yd", "2 yd 24 in more than the records have on S1", "S1",
        {"left": None, NYE: "−2 yd 24 in"},
        ("undo",), {"left": "87 yd 12 in", NYE: None},
    ),
    "a kept end is thrown out that was never kept": Odd(
        "spool end S1 3yd --scrapped", "3 yd more than the records have on S1", "S1",
        {"ends": None, "scrapped:remnant": "3 yd", NYE: "−3 yd"},
        ("spool end S1 3yd --on yesterday",), {"ends": None, NYE: None},
    ),
    "ribbon comes back that was never lent": Odd(
        "spool back S1 5yd", "the records have nothing of S1 as lent", "S1",
        {"left": "92 yd 12 in", "sent:lent": None, NYE: "−5 yd"},
        ("spool send S1 5yd --as lent --on yesterday",),
        {"left": "87 yd 12 in", "sent:lent": None, NYE: None},
    ),
    # 8 bodies of 32 in wait in C1.
    "more parts are scrapped than a bundle holds": Odd(
        "scrap 20 C1", "that is 12 more than the records have in C1", "S1",
        {"bundle:C1": None, "scrapped:not told": "17 yd 28 in", NYE: "−10 yd 24 in"},
        ("undo",), {"bundle:C1": "7 yd 4 in", NYE: None},
    ),
    "more parts are recut than a bundle holds": Odd(
        "recut 20 C2 5in", "that is 12 more than the records have in C2", "S1",
        {"bundle:C2": None, "bundle:C3": "2 yd 28 in", NYE: "−2 yd"},
    ),
    # 4 bows of 38 in are 4 yd 8 in.
    "more is trimmed than there is in bows": Odd(
        "trimmings S1 9yd", "the records have 4 yd 8 in of S1 in bows", "S1",
        {"bows": None, "trimmed": "9 yd", NYE: "−4 yd 28 in"},
    ),
    "more is moved than is there": Odd(
        "move 5 4in white --to stall", "that is 5 more classic 4 in white", "4in white",
        {"at:home": None, "at:stall:F1": "5", NYE: "−5"},
        ("made 5 4in white --on yesterday",), {"at:stall:F1": "5", NYE: None},
    ),
    "bows nobody knew of are given away": Odd(
        "give 2 4in white", "that is 2 more classic 4 in white", "4in white",
        {"given:gift": "2", NYE: "−2"},
        ("have 2 4in white --on yesterday",), {NYE: None},
    ),
    "bows nobody knew of are lost": Odd(
        "lost 2 4in white", "that is 2 more classic 4 in white", "4in white",
        {"lost": "2", NYE: "−2"},
    ),
    "bows nobody knew of are written off": Odd(
        "write-off 2 4in white", "that is 2 more classic 4 in white", "4in white",
        {"written off": "2", NYE: "−2"},
    ),
    "bows nobody knew of are taken apart": Odd(
        "apart 2 4in white", "that is 2 more classic 4 in white", "4in white",
        {"taken apart": "2", NYE: "−2"},
    ),
    "bows nobody knew of are reworked": Odd(
        "rework 2 4in white to 4in red", "2 more classic 4 in white", "4in white",
        {"reworked": "2", NYE: "−2"},
    ),
    "a batch of another kind is taken apart": Odd(
        "apart 1 4in red --batch B1", "B1 is a batch of classic 4 in navy", "4in red",
        {"at:home": "5", "taken apart": "1"},
    ),
    "bows are made without a cut": Odd(
        "made 3 5in red", "no cut for 3 body, 3 knot", "5in red",
        {"at:home": "3", "finished": "−3", NYE: None},
    ),
    # The 4 bows made used a card each.
    "more of a supply is used than came": Odd(
        "supply used 500 card", "that is 304 more card than the records have", "L2",
        {"left": None, "used": "504", NYE: "−304"},
    ),
    "more of a supply is lost than came": Odd(
        "supply out 500 L1 --why rusty", "that is 304 more of L1", "L1",
        {"left": None, "lost": "500", NYE: "−304"},
    ),
    "a supply is used that never came": Odd(
        "supply used 2 glue stick", "no glue stick was on record", "L3",
        {"opening": "−2", "used": "2", NYE: None},
    ),
    "a supply is counted that never came": Odd(
        "supply count 5 glue stick", "no glue stick was on record", "L3",
        {"opening": "−5", "left": "5", NYE: None},
    ),
    "a boutique sold more than it had": Odd(
        "boutique statement moon 5 4in red", "3 more classic 4 in red", "4in red",
        {"at:boutique:moon": None, "sold": "5", NYE: "−3"},
        ("boutique consign moon 3 4in red --on yesterday",),
        {"at:home": "1", NYE: None}, before=BOUTIQUE,
    ),
    "more is brought to a stall where nothing was packed": Odd(
        "fair top-up 3 4in red", "nothing was packed for Spring market", "4in red",
        {"at:home": "3", "at:stall:F1": "3", NYE: None},
    ),
    "more come back from a fair than went": Odd(
        "fair settle 2 4in white", "more came back than the records have on the stall",
        "4in white", {"at:home": "2", NYE: "−2"},
        ("fair pack F1 2 4in white --on yesterday", "have 2 4in white --on yesterday"),
        {"at:home": "2", NYE: None},
    ),
    "colours nobody noticed are more than there are": Odd(
        "sold 12 4in ?", "that is 2 more classic 4 in (colour not noticed)", "4in red",
        {"at:home": "6"},
    ),
    "more is set aside than is free": Odd(
        "reserve O1 9 4in navy", "only 4 classic 4 in navy at home", "4in navy",
        {"at:home": "4", NYE: None},
    ),
    "more is paid than an order comes to": Odd(
        "order pay O1 30", "that is CAD 6.00 more than the order comes to", "money",
        {"cash": "CAD 30.00", "deposits": "−CAD 30.00"},
    ),
    "a day is told that hasn't come": Odd(
        "made 2 4in navy --on tomorrow", "that day is still to come", "4in navy",
        {"at:home": "6", NYE: None},
    ),
}  # fmt: skip


def accounts(typed: Typed, about: str) -> dict[str, str]:
    """What `bows why` gives for each account of a thing."""
    said = typed(f"why {about} --json")
    assert said.code == 0, said.err
    answer: dict[str, Any] = json.loads(said.out)
    return dict(answer["accounts"])


def some(held: Mapping[str, str], wanted: Mapping[str, str | None]) -> dict[str, Any]:
    return {name: held.get(name) for name in wanted}


@pytest.mark.parametrize("name", ODDS)
def test_an_odd_fact_is_taken_and_said_and_kept_apart(
    name: str, typed: Typed, shop: Path
) -> None:
    """Exit code 0, a warning, the balance in its place, and every law still holds."""
    fact = ODDS[name]
    for line in fact.before:
        assert typed(line).code == 0, line

    said = typed(fact.line)

    assert said.code == 0, said.err
    assert fact.odd in said.err
    assert "written; to take it back: bows undo" in said.err
    assert some(accounts(typed, fact.about), fact.held) == fact.held
    assert "The laws hold" in typed("check").out


@pytest.mark.parametrize("name", [name for name in ODDS if ODDS[name].clears])
def test_a_late_entry_clears_what_was_not_yet_explained(
    name: str, typed: Typed, shop: Path
) -> None:
    """Dated before the odd fact (or after it, as the case says), it takes its place."""
    fact = ODDS[name]
    for line in (*fact.before, fact.line, *fact.clears):
        assert typed(line).code == 0, line

    assert some(accounts(typed, fact.about), fact.then) == fact.then
    assert "The laws hold" in typed("check").out


def odd_lines(typed: Typed) -> list[tuple[str, str]]:
    answer = json.loads(typed("stock --json").out)
    return [(odd["about"], odd["what"]) for odd in answer["odd"]]


def test_the_stock_names_what_is_missing_until_it_is_typed(
    typed: Typed, shop: Path
) -> None:
    """The oddity stands in the report, and goes when the late entry comes."""
    assert odd_lines(typed) == []
    typed("sold 9 4in red")
    (seen,) = odd_lines(typed)
    typed("made 3 4in red --on yesterday")

    assert seen == (
        "classic 4 in red",
        "an entry is missing: more went than the records had (3 at home)",
    )
    assert odd_lines(typed) == []


def test_a_colour_nobody_noticed_is_no_missing_entry(typed: Typed, shop: Path) -> None:
    """The bows are there; only a count can tell which of them went."""
    typed("sold 3 4in ?")
    (seen,) = odd_lines(typed)
    why = json.loads(typed(["why", "4in", "?", "--json"]).out)

    assert seen == (
        "classic 4 in (colour not noticed)",
        "3 at home went without their colour noticed; a count tells which",
    )
    assert why["about"] == "classic 4 in (colour not noticed)"
    assert why["rows"][0]["change_amount"] == -3


def test_a_sale_at_a_fair_that_is_over_is_taken_and_its_packing_clears_it(
    typed: Typed, shop: Path
) -> None:
    """She is told how to date it; the boxes, typed late, explain the stall."""
    with freeze_time(AFTER_THE_FAIR, tick=False):
        said = typed("sold 2 4in red --at F1")
        missing = accounts(typed, "4in red")
        packed = typed("fair pack 2 4in red --on 2026-05-16")
        cleared = accounts(typed, "4in red")

    assert (said.code, packed.code) == (0, 0)
    assert "Spring market was over on Sat 16 May 2026" in said.err
    assert "--on 2026-05-16" in said.err
    assert some(missing, {NYE: 0, "at:home": 0}) == {NYE: "−2", "at:home": "6"}
    assert some(cleared, {NYE: 0, "at:home": 0}) == {NYE: None, "at:home": "4"}


def test_the_cut_behind_a_batch_is_typed_afterwards_at_the_batch_s_own_time(
    typed: Typed, shop: Path
) -> None:
    """`cut-late` takes the ribbon off the spool and puts it into the bows."""
    typed("in red 2.25in 50yd --on yesterday")
    made = typed("made 3 5in red")
    late = typed("cut-late B2")

    assert "If the cut was never typed: bows cut-late B2" in made.err
    assert late.code == 0, late.err
    # A 5 in bow is a body of 40 in and a knot of 6 in: three take 138 in of 1,800.
    held = accounts(typed, "S3")
    assert held == {"opening": "−50 yd", "left": "46 yd 6 in", "bows": "3 yd 30 in"}
    assert typed("cut-late B2").code == 2


def test_what_the_small_shop_lacks_is_said_in_the_json_too(
    typed: Typed, shop: Path
) -> None:
    """One object with the warnings in it; nothing on the side."""
    said = typed("sold 9 4in red --json")
    answer = json.loads(said.out)

    assert (said.code, said.err) == (0, "")
    assert answer["entry"] == 14
    assert answer["warnings"] == [
        "that is 3 more classic 4 in red than the records have at home; entered as "
        "not yet explained"
    ]
    assert answer["said"] == [
        "sold 9 classic 4 in red at home for CAD 72.00 in cash",
        "at home: classic 4 in red 6 → 0",
    ]


def test_a_dry_run_warns_and_writes_nothing(typed: Typed, shop: Path) -> None:
    """She may look first."""
    before = shop.read_bytes()
    said = typed("sold 9 4in red --dry-run")

    assert said.code == 0
    assert "that is 3 more classic 4 in red" in said.err
    assert "a dry run: nothing was written" in said.err
    assert shop.read_bytes() == before


def test_bows_that_came_while_others_are_missing_make_good_for_them_first(
    typed: Typed, shop: Path
) -> None:
    """The echo never shows fewer than none, nor more than the records then have."""
    typed("sold 9 4in red")
    two = typed("found 2 4in red").out.strip()
    three = typed("found 3 4in red").out.strip()

    assert two == "found: 2 classic 4 in red: 0 → 0 (1 still missing) at home"
    assert three == "found: 3 classic 4 in red: 0 → 2 at home"
