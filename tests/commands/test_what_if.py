"""Questions answered as if something had happened, and nothing written."""

from __future__ import annotations

import json
import shlex
from collections.abc import Callable
from pathlib import Path

import pytest

from planner.commands.main import WHERE
from planner.fold import Hypothetical
from planner.ledgers.state import Ledgers
from planner.pages import shipped
from planner.rules.bench import sitting
from planner.rules.supposing import Supposed, read_supposed
from planner.rules.take_in_rows import Line
from planner.values.moments import When
from tests.commands.conftest import Said, Typed

Supposing = Callable[..., str]

QUESTIONS = (
    "stock", "due", "fair plan", "spools", "bundles", "orders", "fairs", "supplies",
    "catalogue", "story S40", "story --all", "why S40", "why shop", "people", "hours",
    "setting", "rush 6 classic 4in navy --due friday",
)  # fmt: skip
EXAMPLES = ("what-if-ill.txt", "what-if-big-order.txt")


@pytest.fixture(autouse=True)
def _known(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(WHERE, "what-if", "whatif:what_if")


@pytest.fixture(name="file")
def _file(tmp_path: Path) -> Supposing:
    def write(*lines: str) -> str:
        path = tmp_path / "suppose.txt"
        path.write_text("\n".join(lines) + "\n", encoding="utf-8")
        return str(path)

    return write


@pytest.fixture(name="shop")
def _shop(tmp_path: Path) -> Path:
    return tmp_path / "shop" / "shop.bows"


def ask(typed: Typed, path: str, question: str, *, shop: Path | None = None) -> Said:
    return typed(["what-if", path, "--", *shlex.split(question)], shop=shop)


def answer(said: Said) -> dict[str, object]:
    """Give what an answer says, but for the foot that names the log's head."""
    assert said.code == 0, said.err
    return {k: v for k, v in json.loads(said.out).items() if k != "foot"}


class TestNothingIsWritten:
    @pytest.mark.parametrize("question", QUESTIONS)
    def test_every_question_is_answered_and_the_log_keeps_its_bytes(
        self, demo, shop, question
    ):
        """Not one byte, and no file beside it."""
        before, beside = shop.read_bytes(), sorted(shop.parent.iterdir())

        said = ask(demo, "what-if-big-order.txt", question)

        assert said.code == 0, said.err
        assert said.err.startswith("supposing 6 things that have not happened")
        assert shop.read_bytes() == before
        assert sorted(shop.parent.iterdir()) == beside

    @pytest.mark.parametrize("line", ["made 2 4in navy", "undo", "wage 12.00"])
    def test_a_command_that_writes_only_shows_what_it_would(
        self, small, file, shop, line
    ):
        """It is a dry run on what is supposed."""
        before = shop.read_bytes()

        said = ask(small, file("made 4 4in navy"), line)

        assert said.code == 0
        assert "a dry run: nothing was written" in said.err
        assert shop.read_bytes() == before

    @pytest.mark.parametrize(
        "line", ["log", "take-in x.csv", "check", "import x.jsonl"]
    )
    def test_commands_about_the_log_itself_are_refused(self, small, file, line):
        """Nothing supposed stands in it."""
        said = ask(small, file("made 4 4in navy"), line)

        assert (said.code, said.out) == (2, "")
        assert "looks at the log itself" in said.err

    def test_supposed_pages_are_not_written_among_the_real_ones(self, small, file):
        """They want a folder of their own."""
        said = ask(small, file("made 4 4in navy"), "report")

        assert said.code == 2
        assert "-- report what-if-pages" in said.err

    def test_what_is_supposed_is_of_a_type_that_nothing_appends(self):
        """The log takes facts; these are none."""
        made = sitting(Ledgers(), minutes=95, when=When("2026-05-14"))

        supposed = Supposed(Line(1, {}, "", 1), made)

        assert list(supposed.events) == [
            Hypothetical(made.facts[0].event, "2026-05-14")
        ]


class TestAsIfItHadHappened:
    def test_the_answer_is_what_it_would_be_had_she_typed_it(
        self, small, file, tmp_path, shop
    ):
        """A second shop in which it was typed gives the same answer."""
        other = tmp_path / "typed" / "shop.bows"
        other.parent.mkdir()
        other.write_bytes(shop.read_bytes())
        for line in (
            "in white 1.5in 50yd --on 2026-05-14",
            "cut 4 4in navy --on 2026-05-15",
            "made 4 4in navy 95min --on 2026-05-15",
            "sold 1 4in red",
        ):
            assert small(line, shop=other).code == 0
        path = file(
            "tomorrow: in white 1.5in 50yd   # if it comes",
            "fri: cut 4 4in navy", "fri: made 4 4in navy 95min", "sold 1 4in red",
        )  # fmt: skip

        for question in ("stock --json", "spools --json", "bundles --json"):
            supposed = answer(ask(small, path, question))
            typed = answer(small(question, shop=other))
            _without_places(supposed), _without_places(typed)
            assert supposed == typed

    def test_it_says_how_many_things_it_supposes_and_when(self, small, file):
        """In talk, with the days worked out, and at the foot of the answer."""
        said = ask(small, file("fri: made 4 4in navy 95min"), "stock --json")

        assert "supposing 2 things that have not happened (suppose.txt)" in said.err
        assert "Fri 15 May 2026: batch B1: 4 bows" in said.err
        assert "supposing 2 things" in json.loads(said.out)["foot"]["made"]

    def test_an_order_can_be_supposed_with_its_due_day_and_hour(self, small, file):
        """Nobody's; it stands among the others with its bows."""
        path = file("order 6 4in navy, 2 4in red @9.50 due fri at 16:00")

        due = answer(ask(small, path, "due --json"))
        assert [
            (order["code"], order["due_on"], sum(x["count"] for x in order["lines"]))
            for order in due["orders"]
        ] == [("O1", "2026-05-15", 8)]

    def test_an_order_can_be_supposed_called_off(self, small, file):
        """The bench is free of it."""
        assert small("order take 6 4in navy --due fri").code == 0

        due = answer(ask(small, file("called off O1"), "due --json"))

        assert due["orders"] == []

    @pytest.mark.parametrize(
        ("line", "hours"),
        [
            ("ill thu", "mon-thu 20:00-22:00, not 14 may 2026"),
            (
                "ill mon to wed",
                "mon-thu 20:00-22:00, not 18 may 2026 to 20 may 2026",
            ),
            ("hours sat 9:00-12:00", "sat 09:00-12:00"),
        ],
    )
    def test_bench_hours_can_be_supposed_away(self, small, file, line, hours):
        """Days she is ill have none."""
        assert ask(small, file(line), "hours").out == hours + "\n"

    def test_extra_hours_on_days_she_is_ill_are_gone_too(self, small, file):
        """Those of other days stay."""
        small("hours mon 20:00-22:00, also 16 may 9-12, also 23 may 9-12")

        said = ask(small, file("ill sat"), "hours")

        assert said.out == (
            "mon 20:00-22:00, not 16 may 2026, also 23 may 2026 09:00-12:00\n"
        )

    @pytest.mark.parametrize("name", EXAMPLES)
    def test_the_examples_that_ship_with_it_can_be_asked_by_name(self, demo, name):
        """Their remarks say which questions to ask."""
        text = (shipped("scenarios") / name).read_text(encoding="utf-8")
        asked = [
            line.split(" -- ")[1]
            for line in text.splitlines()
            if line.startswith(f"#   bows what-if {name} -- ")
        ]

        assert len(asked) >= 2
        for question in asked:
            assert ask(demo, name, question).code == 0


def _without_places(told: dict[str, object]) -> None:
    """Leave out where events stand in the log: what is supposed stands nowhere."""

    def strip(value: object) -> object:
        if isinstance(value, dict):
            drop = ("entry", "entries", "seq", "typed", "recorded", "made", "links")
            return {k: strip(v) for k, v in value.items() if k not in drop}
        return [strip(v) for v in value] if isinstance(value, list) else value

    bare = strip(told)
    assert isinstance(bare, dict)
    told.clear()
    told.update(bare)


class TestWhatCanNotBeSupposed:
    def test_each_line_that_can_not_be_is_named(self, small, file):
        """With what to type instead; the question is not asked."""
        said = ask(small, file(
            "# so far so good", "fri: zzz 3", "ill noday", "order 3 4in navy",
            "called off O99", "banana: made 3 4in navy", "made 0 4in navy",
        ), "stock")  # fmt: skip

        assert (said.code, said.out) == (2, "")
        lines = [line.strip()[:7] for line in said.err.splitlines()[1:-1]]
        assert lines == [f"line {n}:" for n in (2, 3, 4, 5, 6, 7)]

    @pytest.mark.parametrize(
        ("lines", "words"),
        [
            (("# nothing", ""), "Nothing is supposed"),
            (("made 3 4in\x07 navy",), "hidden character"),
            (("made 3 4in navy",) * 1_001, "at most 1,000"),
        ],
    )
    def test_a_file_that_supposes_nothing_or_too_much_is_refused(
        self, small, file, lines, words
    ):
        """With what to do."""
        said = ask(small, file(*lines), "stock")

        assert said.code == 2
        assert words in said.err

    def test_no_such_file_is_refused(self, small):
        """And no shop is looked at."""
        assert ask(small, "no-such.txt", "stock").code == 2

    def test_lines_keep_their_numbers_past_remarks_and_gaps(self):
        """So that a refusal names the line she sees."""
        lines = read_supposed("# a\n\nfri 14:30: made 2 4in navy # b\nsold 1 4in #c\n")

        assert [(x.number, x.cells) for x in lines] == [
            (3, {"line": "made 2 4in navy", "day": "fri 14:30"}),
            (4, {"line": "sold 1 4in"}),
        ]
