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
        "fair settle 3 red": "1 missing; 1 may have been sold without being typed",
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


def test_the_day_so_far_says_what_ought_to_be_in_the_till(small: Typed):
    """Float and typed cash; what ran out comes first, with what to type next."""
    for line in (
        'fair new "Quay fair" today 9:00-13:00, tomorrow 9:00-13:00 --fee 20',
        "have 4 4in navy", "fair pack 3 4in red, 4 4in navy", "fair open --float 40",
        "sold 3 4in red", "sold 1 4in navy --how card",
        "fair sold-out 4in red --hour 11:30",
    ):  # fmt: skip
        assert small(line).code == 0, line
    found = json.loads(small("fair day --json").out)

    assert (found["state"], found["till_minor"], found["card_minor"]) == (
        "open", 4_000 + 2_400, 800,
    )  # fmt: skip
    assert [(k["kind"], k["sold"], k["left"], k["note"]) for k in found["kinds"]] == [
        ("4in red", 3, 0, "sold out Wed 13 May 2026 11:30"), ("4in navy", 1, 3, ""),
    ]  # fmt: skip
    assert found["then"] == "bows fair close F1 24.00 --card 8.00"
    assert small("fair close 24 --card 8").code == 0
    assert json.loads(small("fair day --json").out)["then"] == "bows fair plan F1"


def test_the_second_day_is_topped_up_by_the_plan_made_from_the_first(small: Typed):
    """Plan, accept, top up: what is packed grows by what the second day wants."""
    for line in (
        'fair new "Quay fair" today 9:00-13:00, tomorrow 9:00-13:00 --guess 20',
        "have 20 4in navy", "have 4 4in red", "fair pack 3 4in red, 4 4in navy",
        "sold 4 4in navy", "sold 1 4in red", "fair close 40",
    ):  # fmt: skip
        assert small(line).code == 0, line
    plan = json.loads(small("fair plan --json").out)
    more = {c["kind"]: c["bring"] - c["stall"] for c in plan["cells"]}

    assert plan["days_over"] == 1
    assert plan["short"].startswith("For Thu 14 May: 2 are there; bring ")
    assert more["4in navy"] > 0
    assert small("fair accept").code == 0
    said = small("fair top-up")
    assert said.code == 0
    home = 20 - 4 - min(more["4in navy"], 16)
    assert f"classic 4 in navy 16 → {home}" in said.out


def test_a_settled_fair_is_accounted_for_and_its_plan_scored(small: Typed):
    """From the plan accepted to the settlement: every bow, the till, the score."""
    for line in (
        'fair new "Quay fair" today 9:00-13:00 --fee 20 --guess 9',
        "fair accept --hours 1min", "fair pack", "sold 2 4in red", "fair close 24",
        "fair settle 3 red",
    ):  # fmt: skip
        assert small(line).code == 0, (line, small(line))
    found = json.loads(small("fair settlement --json").out)
    (cell,) = found["cells"]

    assert (cell["planned"], cell["brought"], cell["sold"], cell["back"]) == (
        6,
        6,
        2,
        3,
    )
    assert (cell["missing"], cell["least"], cell["most"]) == (1, 1, 1)
    assert (found["takings_minor"], found["left_minor"] is not None) == (2_400, True)
    assert found["score"]["told"] == "accepted"
    assert found["score"]["came"] == 3
    kept = json.loads(small("how-good --json").out)["fairs"]
    assert [(f["code"], f["told"], f["came"]) for f in kept] == [("F1", "accepted", 3)]


def test_bench_hours_and_the_table_are_read_as_they_are_called(small: Typed):
    """Three of `--hours` are three hours; a table is told in bows or by its length."""
    small('fair new "Quay fair" today 9:00-13:00 --guess 40')
    plan = json.loads(small("fair plan --hours 3 --table 6ft --json").out)
    limits = {x["name"]: x["available_amount"] for x in plan["limits"]}
    short = json.loads(small("fair plan --hours 2.5 --table 60 --json").out)
    told = {x["name"]: x["available_amount"] for x in short["limits"]}

    assert limits["bench time before the fair"] == 180
    assert limits["room on the table"] == round(1.8288 * 130)
    assert told["bench time before the fair"] == 150
    assert told["room on the table"] == 60


@pytest.mark.parametrize(
    ("line", "instead"),
    [
        ("fair plan --hours lots", 'Type hours such as "5", "2.5", "2h30"'),
        ("fair accept --hours lots", 'Type hours such as "5", "2.5", "2h30"'),
        ("fair plan --table 1.2", "--table 60, how many it takes; or its length"),
        ("fair accept --table wide", "--table 60, how many it takes; or its length"),
    ],
)
def test_a_limit_that_can_t_be_read_is_answered_with_one_that_can(
    small: Typed, line: str, instead: str
):
    """The hint is of the very option, in its own unit."""
    small('fair new "Quay fair" today 9:00-13:00 --guess 40')
    said = small(line)

    assert (said.code, said.out) == (2, "")
    assert f"  try: {instead}" in said.err


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("fair open --day sat --float 40", "opened on Sat 16 May 2026"),
        ('fair open --on "sat 10:00" --float 40', "opened on Sat 16 May 2026"),
        ("fair open --day wed", "opened on Wed 13 May 2026"),
        ("fair close 24 --day 16may", "closed on Sat 16 May 2026"),
        ('fair close 24 --on "about sat"', "closed on Sat 16 May 2026"),
        ("fair close 24 --on sat", "closed on Sat 16 May 2026"),
        ("fair sold-out 4in red --hour 10:30 --day sat", "Sat 16 May 2026 from 10:30"),
        ('fair sold-out 4in red --on "16 may 10:30"', "Sat 16 May 2026"),
        ("fair unlogged 2 4in red --day sat", "sold at Quay fair"),
        ("fair sold-out 4in red --day yesterday", "Tue 12 May 2026"),
        ("fair sold-out 4in red --day mon", "Mon 11 May 2026"),
    ],
)  # fmt: skip
def test_a_day_told_at_a_fair_is_a_day_of_that_fair(
    small: Typed, line: str, words: str
):
    """Typed on its first day, a Wednesday: `sat` is to come, `wed` needs no asking."""
    small('fair new "Quay fair" today 9:00-13:00, sat 9:00-13:00 --fee 20')
    small("fair pack 6 4in red")
    said = small(line)

    assert (said.code, words in said.out) == (0, True), said
    assert ("is no day of" in said.err) == ("yesterday" in line or "mon" in line)


@pytest.mark.parametrize(
    ("hour", "odd"),
    [("8:59", True), ("9:00", False), ("13:00", False), ("13:01", True)],
)
def test_an_hour_at_which_the_fair_is_not_on_is_taken_and_remarked_on(
    small: Typed, hour: str, odd: bool
):
    """What she saw is entered all the same."""
    small('fair new "Quay fair" today 9:00-13:00 --fee 20')
    small("fair pack 6 4in red")
    said = small(f"fair sold-out 4in red --hour {hour}")

    assert said.code == 0
    assert ("outside that day's hours, 09:00 to 13:00" in said.err) == odd


def test_a_fair_of_next_year_by_a_date_alone_is_remarked_on(small: Typed):
    """Its year would have said it; so in `fair new` and in `fair change`."""
    new = small('fair new "Quay fair" 11 may 9:00-13:00, 12 may 9:00-13:00')
    told = small('fair change F1 --days "11 may 2028 9:00-13:00"')
    back = small('fair change F1 --days "11 may 9:00-13:00"')

    assert "for another year type it as well, as in 11 may 2026" in new.err
    assert (told.code, "another year" in told.err) == (0, False)
    assert (back.code, "another year" in back.err) == (0, True)


def test_before_any_sale_by_card_none_is_to_be_typed(small: Typed):
    """What `fair day` says to type next can be typed as it stands."""
    for line in ('fair new "Quay fair" today 9:00-13:00', "fair pack 3 4in red",
                 "fair open --float 40", "sold 1 4in red"):  # fmt: skip
        assert small(line).code == 0, line
    then = json.loads(small("fair day --json").out)["then"]

    assert then == "bows fair close F1 8.00"
    assert small(then.removeprefix("bows ")).code == 0


def test_a_tally_sheet_leaves_blanks_for_the_money(small: Typed):
    """No sum is made up before the day has been."""
    small('fair new "Quay fair" today 9:00-13:00')
    small("fair pack 3 4in red")
    found = json.loads(small("fair tally --json").out)

    assert found["settle"] == "bows fair close ______ --card ______ --fair F1"


@pytest.mark.parametrize("verb", ["pack", "top-up"])
def test_with_nothing_left_of_the_plan_the_same_command_is_said(
    small: Typed, verb: str
):
    """The hint of a top-up is a top-up; and so without any plan."""
    small('fair new "Quay fair" today 9:00-13:00 --guess 9')
    none = small(f"fair {verb}")
    small("fair accept 3 4in red")
    small("fair pack")
    left = small(f"fair {verb}")

    assert f"  try: bows fair {verb} F1 12 4in navy, 6 4in red" in none.err
    assert f"  try: bows fair {verb} F1 2 4in navy" in left.err
