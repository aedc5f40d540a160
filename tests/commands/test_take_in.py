"""A file taken in: all of it or nothing, and twice no more than once."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from functools import partial
from pathlib import Path

import pytest

from planner.commands.main import WHERE
from planner.fold import Folder
from planner.log.store import Log
from tests.commands.conftest import Said, Typed

Written = Callable[..., str]
Event = tuple[str, str, bytes]

EVENING = (
    ("2026-05-10", "cut", "4 4in navy"),
    ("2026-05-10", "made", "4 4in navy 95min"),
    ("2026-05-10", "made", "2 4in red"),
    ("2026-05-11", "sold", "3 4in navy for 24.00"),
    ("2026-05-11", "sold", "1 4in navy, 1 4in red @7.50"),
    ("2026-05-11", "taken-back", "1 4in navy for 8"),
    ("2026-05-11", "spoiled", "1 3in red"),
    ("2026-05-11", "give", "1 4in red --as sample"),
    ("2026-05-11", "move", "1 4in red --to post"),
    ("2026-05-11", "write-off", "1 4in red --why faded"),
    ("2026-05-11", "found", "2 4in white"),
    ("2026-05-11", "lost", "1 4in white --why 'a windy day'"),
    ("2026-05-12", "count", "1 4in red, 0 4in white"),
    ("2026-05-12", "in", "white 1.5in 50yd --paid 14.00 --lot K2"),
    ("2026-05-12", "read", "S1 96yd"),
    ("2026-05-12", "spool found", "red 1.5in 20yd"),
    ("2026-05-12", "spool end", "S1 14in"),
    ("2026-05-12", "spool scrap", "S1 18in --why flaw"),
    ("2026-05-12", "supply in", "100 card --paid 3.00"),
    ("2026-05-12", "supply count", "190 long clip"),
    ("2026-05-12", "supply used", "1 card"),
    ("2026-05-12", "sitting", "1h 20min"),
    ("2026-05-12", "scrap", "1 C1"),
    ("2026-05-12", "apart", "1 4in navy"),
    ("2026-05-12", "have", "2 5in red"),
    ("2026-05-12", "spool empty", "S2"),
)
"""One of nearly every word, as she would type it."""


@pytest.fixture(autouse=True)
def _known(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(WHERE, "take-in", "take_in:take_in")


@pytest.fixture(name="written")
def _written(tmp_path: Path) -> Written:
    """Write a file of lines; give its path as she would type it."""

    def write(*lines: str, name: str = "sales.csv", head: str = "day,what,qty,kind"):
        path = tmp_path / name
        path.write_text("\n".join([head, *lines]) + "\n", encoding="utf-8")
        return str(path)

    return write


@pytest.fixture(name="shop")
def _shop(tmp_path: Path) -> Path:
    return tmp_path / "shop" / "shop.bows"


def take(typed: Typed, path: str, *options: str) -> Said:
    return typed(["take-in", path, *options])


def events(shop: Path, *, after: int = 0) -> list[Event]:
    with Log.open(shop, readonly=True) as log:
        return [(r[3], r[5], r[7]) for rows in log.rows() for r in rows if r[2] > after]


def balances(typed: Typed) -> dict[str, object]:
    """Give the stock as it stands, but for the foot that names the log's head."""
    answer = json.loads(typed("stock --json").out)
    return {k: v for k, v in answer.items() if k not in ("foot", "odd")}


def reds(typed: Typed) -> int:
    """Count the red bows; the small shop begins with six."""
    cells = json.loads(typed("stock --json").out)["cells"]
    return sum(cell["free"] for cell in cells if cell["colour"] == "red")


SALES = (
    "2026-05-10,made,4,4in navy",
    "2026-05-11,sold,3,4in navy",
    "2026-05-12,sold,1,4in red",
)


class TestWhatIsEntered:
    def test_a_line_enters_what_typing_it_enters(self, small, written, tmp_path, shop):
        """Typed one by one and taken in at once, the events are the same."""
        path = written(
            *(f'{day};"{word} {rest}"' for day, word, rest in EVENING), head="day;line"
        )
        other = tmp_path / "typed" / "shop.bows"
        other.parent.mkdir()
        other.write_bytes(shop.read_bytes())
        before = len(events(shop))

        taken = take(small, path)
        for day, word, rest in EVENING:
            said = small(f"{word} {rest} --on {day}", shop=other)
            assert said.code == 0, said.err

        assert taken.code == 0, taken.err
        assert events(shop)[before:-1] == events(other)[before:]
        assert events(shop)[-1][0] == "file-taken-in"

    def test_cells_enter_what_the_line_enters(self, small, written, tmp_path, shop):
        """Named columns and a typed line are two forms of one thing."""
        other = tmp_path / "lines" / "shop.bows"
        other.parent.mkdir()
        other.write_bytes(shop.read_bytes())
        before = len(events(shop))
        head = "day,what,qty,kind,minutes,price,spool,length,how,place,to,why,lot"
        cells = written(
            "2026-05-10,cut,4,4in navy,,,S1,,,,,,",
            "2026-05-10,made,4,4in navy,95,,,,,,,,",
            '2026-05-11,sold,3,4in navy,,"24,00",,,card,home,,,',
            "2026-05-11,given,1,4in red,,,,,prize,,,,",
            "2026-05-11,move,1,4in red,,,,,,,post,,",
            "2026-05-11,write-off,1,4in red,,,,,,,,faded,",
            "2026-05-12,in,2,white 1.5in,,28.00,,50 yd,,,,,K2",
            "2026-05-12,read,,,,,S1,96yd,weighed,,,,",
            head=head,
        )
        lines = written(
            '2026-05-10,"cut 4 4in navy --from S1"',
            '2026-05-10,"made 4 4in navy 95min"',
            '2026-05-11,"sold 3 4in navy for 24.00 --how card --at home"',
            '2026-05-11,"give 1 4in red --as prize"',
            '2026-05-11,"move 1 4in red --to post"',
            '2026-05-11,"write-off 1 4in red --why faded"',
            '2026-05-12,"in white 1.5in 50yd --spools 2 --paid 28.00 --lot K2"',
            '2026-05-12,"read S1 96yd --how weighed"',
            head="day,line", name="lines.csv",
        )  # fmt: skip

        assert take(small, cells).code == 0
        assert small(["take-in", lines], shop=other).code == 0

        assert events(shop)[before:-1] == events(other)[before:-1]

    def test_each_line_sees_what_the_lines_above_it_did(self, small, written):
        """Bows made in the file can be sold in it without a word of doubt."""
        said = take(small, written(
            "2026-05-10,cut,4,4in navy", "2026-05-10,made,4,4in navy",
            "2026-05-11,sold,4,4in navy",
        ))  # fmt: skip

        assert said.code == 0
        assert "!" not in said.err

    def test_what_contradicts_the_records_is_taken_with_its_line_named(
        self, small, written
    ):
        """A fact she witnessed is never refused."""
        said = take(small, written("2026-05-11,sold,9,4in red"))

        assert said.code == 0
        assert "line 2: that is 3 more" in said.err

    def test_two_equal_lines_are_two(self, small, written):
        """She sold three twice that day."""
        take(small, written("2026-05-11,sold,2,4in red", "2026-05-11,sold,2,4in red"))

        assert reds(small) == 6 - 2 - 2

    def test_a_dry_run_says_it_all_and_writes_nothing(self, small, written, shop):
        """What would be entered is counted by kind."""
        before = shop.read_bytes()

        said = take(small, written(*SALES), "--dry-run")

        assert "3 lines entered (2 × bows sold, 1 × bows finished)" in said.out
        assert shop.read_bytes() == before

    def test_one_entry_a_line_and_a_record_of_the_file(self, small, written, shop):
        """The record names each line's number, id and entry."""
        with Log.open(shop, readonly=True) as log:
            first = log.head().entry + 1

        take(small, written(*SALES))

        with Log.open(shop, readonly=True) as log:
            rows = [row for chunk in log.rows() for row in chunk if row[2] >= first]
        assert [row[2] for row in rows] == [first, first + 1, first + 2, first + 3]
        assert {row[1][14] for row in rows[:3]} == {"8"}
        record = json.loads(rows[-1][7])
        assert (record["take_in"], record["name"]) == ("I1", "sales.csv")
        assert [(n, e) for n, _, e in record["rows"]] == [
            (2, first), (3, first + 1), (4, first + 2),
        ]  # fmt: skip

    def test_notes_beside_the_lines_stay_in_the_file(self, small, written, shop):
        """A note may name a person; the log never does."""
        path = written("2026-05-11,sold,1,4in red,for Quill Ashdown",
                       head="day,what,qty,kind,note")  # fmt: skip

        assert take(small, path).code == 0

        assert b"Ashdown" not in shop.read_bytes()

    def test_json_tells_entries_and_warnings(self, small, written):
        """One object, with the line of each warning."""
        said = take(small, written("2026-05-11,sold,9,4in red"), "--json")

        told = json.loads(said.out)
        assert told["schema"] == "spool-to-stall/take-in/1"
        assert (told["take_in"], told["entered"], told["known"]) == ("I1", 1, 0)
        assert told["warnings"][0]["line"] == 2


class TestTwice:
    def test_taking_the_same_file_in_twice_changes_nothing(self, small, written, shop):
        """And says so."""
        path = written(*SALES)
        take(small, path)
        before = shop.read_bytes()

        said = take(small, path)

        assert said.code == 0
        assert said.out == "sales.csv: nothing new; 3 lines known already\n"
        assert shop.read_bytes() == before

    @pytest.mark.parametrize(
        "saved",
        [
            "\ufeffday;what;qty;kind\r\n2026-05-10;made;4;4in navy\r\n"
            "2026-05-11;sold;3;4in navy\r\n2026-05-12;sold;1;4in red\r\n",
            "kind\tday\twhat\tqty\tnote\n4in navy\t2026-05-10\tmade\t4\t\n\n"
            "4in navy\t2026-05-11\tsold\t3\t\n4in red\t2026-05-12\tsold\t1\t\n",
            '"day","what","qty","kind"\n"2026-05-10","made","4","4in navy"\n'
            '"2026-05-11","sold","3","4in navy"\n"2026-05-12","sold","1"," 4in red"\n',
        ],
        ids=["mark and semicolons", "tabs, other order, empty column", "all quoted"],
    )  # fmt: skip
    def test_saved_another_way_it_is_the_same_file(
        self, small, written, tmp_path, saved
    ):
        """Lines are known by their words."""
        take(small, written(*SALES))
        other = tmp_path / "sales (1).csv"
        other.write_bytes(saved.encode())

        said = take(small, str(other))

        assert said.out == "sales (1).csv: nothing new; 3 lines known already\n"

    def test_a_grown_file_enters_only_what_is_new(self, small, written):
        """She keeps one file and takes it in each week."""
        take(small, written(*SALES))

        said = take(small, written(*SALES, "2026-05-13,sold,1,4in red"))

        assert "1 line entered" in said.out
        assert "passed over: 3 lines known already" in said.out

    def test_a_line_known_from_another_file_is_said(self, small, written):
        """She may mean it once more; then it wants a note of its own."""
        take(small, written(*SALES))

        said = take(small, written(SALES[1], "2026-05-13,sold,1,4in red", name="b.csv"))

        assert "1 line entered" in said.out
        assert "line 2: it stood in another file before" in said.err

    def test_a_line_she_took_back_stays_taken_back(self, small, written):
        """Taking the grown file in once more doesn't enter it again."""
        said = take(small, written(*SALES))
        entry = int(said.err.split("entries ")[1].split()[0]) + 1
        assert small(f"undo {entry}").code == 0

        again = take(small, written(*SALES))

        assert again.out == (
            "sales.csv: nothing new; 2 lines known already, 1 line taken back since\n"
        )


class TestAllOrNothing:
    def test_each_problem_is_named_by_line_and_column_and_nothing_is_entered(
        self, small, written, shop
    ):
        """The good lines among them wait too."""
        before = shop.read_bytes()

        said = take(small, written(
            *SALES, "2026-05-11,sold,0,4in navy", "2026-05-11,sol,3,4in navy",
            "some day,sold,3,4in navy", "2026-05-11,sold,3,4in nvy",
            "2026-05-11,sold,,4in navy", "2026-05-11,sold,3,4in navy,9",
            "2026-05-11,sold,3,\x07", "1940-05-11,sold,3,4in navy",
        ))  # fmt: skip

        assert (said.code, said.out) == (2, "")
        places = [line.strip().split(": ")[0] for line in said.err.splitlines()[1:-1]]
        assert places == [
            "line 5, column qty", "line 6, column what", "line 7, column day",
            "line 8, column kind", "line 9, column qty", "line 10",
            "line 11, column kind", "line 12, column day",
        ]  # fmt: skip
        assert "8 problems; nothing was entered" in said.err
        assert shop.read_bytes() == before

    def test_no_more_than_ten_problems_are_named_at_once(self, small, written):
        """Twenty would help nobody."""
        said = take(small, written(*["2026-05-11,sold,0,4in navy"] * 20))

        assert "at least 10 problems" in said.err
        assert said.err.count("column qty") == 10

    def test_a_typed_line_that_can_not_be_taken_is_named_as_such(self, small, written):
        """With the part of it that is wrong."""
        said = take(small, written(
            "2026-05-11,sold 3 4in nvy", "2026-05-11,sold 3 4in navy --on fri",
            "2026-05-11,order take 3 4in navy", "2026-05-11,read S99 4yd",
            '2026-05-11,"sold 3 ""4in navy"', "2026-05-11,sold", head="day,line",
        ))  # fmt: skip

        lines = [line.strip() for line in said.err.splitlines()[1:-1]]
        assert lines[0].startswith('line 2, column line: kind: There is no kind "4in')
        assert lines[1].startswith("line 3, column line: The day can't stand")
        assert lines[2].startswith('line 4, column line: "order" is no word')
        assert lines[3].startswith("line 5, column line: spool: There is no spool")
        assert lines[4].startswith("line 6, column line: A quotation mark is left open")
        assert lines[5].startswith("line 7, column line: kind: Nothing stands there")

    def test_a_cell_that_means_nothing_to_the_word_is_refused(self, small, written):
        """Nothing she wrote is silently left out."""
        said = take(small, written("2026-05-11,sold,3,4in navy,95",
                                   head="day,what,qty,kind,minutes"))  # fmt: skip

        assert "line 2, column minutes: sold takes no minutes." in said.err

    @pytest.mark.parametrize(
        ("data", "words"),
        [
            ("day,what\n".encode("utf-16"), "UTF-16"),
            (
                b"day,what,qty,kind\n2026-05-11,sold,1,4in ros\xe9\n",
                "Line 2 has a char",
            ),
            (b"2026-05-11,sold,3,4in navy\n", 'no column "what"'),
            (b"day,what,qty,colour\n", '"colour"?'),
            (b"day,what,day\n", "stands twice"),
            (b"day,line,qty\n", 'beside "line"'),
            (b"", 'no column "what"'),
            (b"\x00" * 100, 'no column "what"'),
            (b"junk " * 2_000_000, 'no column "what"'),
            (b"day,what,qty,kind\n" + b"x" * 20_000_000, "at most 20,000,000"),
            (b'day,what,qty,kind\n2026-05-11,"sold"x,3,4in navy\n', "Line 2 can't be"),
        ],
    )
    def test_what_is_no_such_file_is_refused_with_what_to_do(
        self, small, tmp_path, shop, data, words
    ):
        """Quickly, and with nothing entered."""
        before = shop.read_bytes()
        path = tmp_path / "x.csv"
        path.write_bytes(data)

        said = take(small, str(path))

        assert said.code == 2
        assert words in said.err
        assert "try: " in said.err
        assert shop.read_bytes() == before

    def test_a_folder_or_no_file_at_all_is_refused(self, small, tmp_path):
        """It says which."""
        assert "is no file" in take(small, str(tmp_path)).err
        assert "can't be read" in take(small, str(tmp_path / "no.csv")).err


class TestChangedLines:
    def test_a_changed_line_is_offered_as_a_correction(self, small, written, shop):
        """The old line, its entry and the new words; nothing is entered by itself."""
        take(small, written(*SALES))
        before = shop.read_bytes()
        path = written(SALES[0], "2026-05-11,sold,2,4in navy", SALES[2])

        said = take(small, path)

        assert said.code == 2
        assert "what was line 3 (entry " in said.err
        assert "is now line 3: day=2026-05-11, kind=4in navy, qty=2" in said.err
        assert "--correct" in said.err
        assert shop.read_bytes() == before

    def test_a_correction_leaves_the_balances_of_the_file_as_it_is(
        self, small, written, tmp_path, shop
    ):
        """As if the old line had never been taken in."""
        other = tmp_path / "fresh" / "shop.bows"
        other.parent.mkdir()
        other.write_bytes(shop.read_bytes())
        take(small, written(*SALES))
        path = written(SALES[0], "2026-05-11,sold,2,4in navy", SALES[2],
                       "2026-05-13,sold,1,4in red")  # fmt: skip

        said = take(small, path, "--correct")
        small(["take-in", path], shop=other)

        assert said.code == 0
        assert "taken back first: 1 entry" in said.out
        fresh = json.loads(small("stock --json", shop=other).out)
        assert balances(small)["cells"] == fresh["cells"]
        assert (
            take(small, path).out == "sales.csv: nothing new; 4 lines known already\n"
        )

    def test_lines_that_rest_on_a_changed_one_are_entered_once_more(
        self, small, written, tmp_path, shop
    ):
        """The bows were made of parts whose cut was put right."""
        other = tmp_path / "fresh" / "shop.bows"
        other.parent.mkdir()
        other.write_bytes(shop.read_bytes())
        take(small, written("2026-05-10,cut,4,4in navy", *SALES))
        path = written("2026-05-10,cut,6,4in navy", *SALES)

        said = take(small, path, "--correct")
        small(["take-in", path], shop=other)

        assert "taken back first: 2 entries" in said.out
        spools = [
            json.loads(small("spools --json", shop=at).out)["spools"]
            for at in (shop, other)
        ]
        assert spools[0] == spools[1]
        assert (
            take(small, path).out == "sales.csv: nothing new; 4 lines known already\n"
        )

    def test_an_entry_she_typed_on_top_of_a_changed_line_stops_it(
        self, small, written, shop
    ):
        """She is told which, and takes it back herself."""
        take(small, written("2026-05-10,cut,4,4in navy"))
        assert small("made 4 4in navy").code == 0
        before = shop.read_bytes()

        said = take(small, written("2026-05-10,cut,6,4in navy"), "--correct")

        assert said.code == 2
        assert "rest on a changed line" in said.err
        assert "--along" in said.err
        assert shop.read_bytes() == before

    def test_a_renamed_file_is_the_same_one_if_half_its_lines_are(self, small, written):
        """Of four lines two are the same and one was changed; with three new, none."""
        four = (*SALES, "2026-05-13,sold,1,4in red")
        take(small, written(*four))
        half = (*four[:2], "2026-05-12,sold,2,4in red")
        quarter = (four[0], "2026-05-12,sold,2,4in red", "2026-05-13,sold,2,4in red")

        said = take(small, written(*half, name="copy.csv"))
        other = take(small, written(*quarter, name="other.csv"), "--dry-run")

        assert said.code == 2
        assert "is now line 4: day=2026-05-12, kind=4in red, qty=2" in said.err
        assert other.code == 0, other.err

    def test_told_that_they_are_new_changed_lines_come_on_top(self, small, written):
        """The old entry still counts, then."""
        take(small, written("2026-05-11,sold,1,4in red", SALES[2]))

        said = take(small, written("2026-05-11,sold,2,4in red", SALES[2]), "--new")

        assert said.code == 0
        assert reds(small) == 6 - 1 - 2 - 1

    def test_a_line_changed_and_changed_back_counts_as_it_stands(self, small, written):
        """Three states of one file, each taken in."""
        first = ("2026-05-11,sold,1,4in red", SALES[0])
        second = ("2026-05-11,sold,2,4in red", SALES[0])
        take(small, written(*first))
        take(small, written(*second), "--correct")

        said = take(small, written(*first), "--correct")

        assert said.code == 0
        assert reds(small) == 6 - 1

    def test_a_line_gone_from_the_file_is_said_and_still_counts(self, small, written):
        """It may only have been cut off the file's top."""
        take(small, written(*SALES))

        said = take(small, written(*SALES[:2]))

        assert "what was line 4 stands in the file no more; entry " in said.err

    def test_another_week_under_the_same_name_is_another_file(self, small, written):
        """Its lines are new, not changes of the last week's."""
        take(small, written(*SALES))

        said = take(small, written("2026-05-13,sold,1,4in red"))

        assert said.code == 0
        assert "1 line entered" in said.out

    def test_a_file_of_one_line_can_be_corrected_too(self, small, written):
        """Same name, same day, as many lines: it was changed throughout."""
        take(small, written("2026-05-11,sold,1,4in red"))

        said = take(small, written("2026-05-11,sold,2,4in red"))

        assert said.code == 2
        assert "--correct" in said.err


class TestTakingItBack:
    def test_a_whole_take_in_is_taken_back_and_can_be_taken_in_again(
        self, small, written
    ):
        """As if it had never been taken in."""
        untouched = balances(small)
        take(small, written(*SALES))
        taken = balances(small)

        said = small("take-in --back I1")

        assert "take-in I1 of sales.csv is taken back: 4 entries" in said.out
        assert balances(small) == untouched
        assert "3 lines entered" in take(small, written(*SALES)).out
        assert balances(small) == taken

    def test_taking_a_correction_back_brings_the_old_lines_into_force(
        self, small, written
    ):
        """The correction was part of that take-in."""
        take(small, written(*SALES))
        before = balances(small)
        take(small, written(*SALES[:2], "2026-05-12,sold,2,4in red"), "--correct")

        assert small("take-in --back i2").code == 0

        assert balances(small) == before

    def test_the_record_alone_taken_back_enters_nothing_twice(self, small, written):
        """A bare undo takes the last entry, which is the record."""
        take(small, written(*SALES))
        small("undo")

        said = take(small, written(*SALES))

        assert said.out == "sales.csv: nothing new; 3 lines known already\n"

    def test_a_take_in_that_never_was_is_refused(self, small):
        """With where to look."""
        said = small("take-in --back I7")

        assert (said.code, said.out) == (2, "")
        assert "There is no take-in 'I7'." in said.err


def _lines(word: str, count: int) -> list[str]:
    """Give a header and so many lines of one word."""
    cells = {"sitting": "day,what,minutes", "supply in": "day,what,qty,kind"}
    rest = {"sitting": "{n}", "supply in": "{n},long clip"}
    days = (f"2026-0{1 + n % 4}-{1 + n % 28:02}" for n in range(count))
    lines = [
        f"{day},{word}," + rest.get(word, "{n},4in navy").format(n=1 + n % 3)
        for n, day in enumerate(days)
    ]
    return [cells.get(word, "day,what,qty,kind"), *lines]


def _calls(work: Callable[[], Said]) -> int:
    """Count the calls that some work makes; it must come to a good end."""
    counted = 0

    def count(frame: object, what: str, arg: object) -> None:
        nonlocal counted
        counted += what in ("call", "c_call")

    sys.setprofile(count)
    try:
        said = work()
    finally:
        sys.setprofile(None)
    assert said.code == 0, said.err
    return counted


class TestManyLines:
    def test_five_thousand_lines_are_taken_in_with_one_fold_of_the_log(
        self, small, written, shop, monkeypatch
    ):
        """The ledgers go on line by line; nothing is folded anew for each."""
        made: list[Folder] = []
        begin = Folder.__init__

        def counting(self: Folder, **told: object) -> None:
            made.append(self)
            begin(self, **told)  # type: ignore[arg-type]

        monkeypatch.setattr(Folder, "__init__", counting)
        kinds = [f"{size}in {colour}" for size in (3, 4) for colour in ("navy", "red")]
        path = written(*(
            f"2026-0{1 + n % 4}-{1 + n % 28:02},sold,{1 + n % 3},{kinds[n % 4]}"
            for n in range(5_000)
        ))  # fmt: skip

        said = take(small, path)

        assert "5,000 lines entered (5,000 × bows sold)" in said.out
        assert len(made) == 1
        assert take(small, path).out.endswith(
            "nothing new; 5,000 lines known already\n"
        )

    @pytest.mark.parametrize("word", ["cut", "made", "sold", "sitting", "supply in"])
    def test_four_times_the_lines_are_four_times_the_work(self, small, written, word):
        """Counted in calls, since nothing here is timed by the clock."""
        few, many = (_lines(word, count) for count in (75, 300))
        take(small, written(few[1], head=few[0]), "--dry-run")  # loads what it needs

        def dry(lines: list[str]) -> Said:
            return take(small, written(*lines[1:], head=lines[0]), "--dry-run")

        work = [_calls(partial(dry, lines)) for lines in (few, many)]

        assert work[1] < 4.5 * work[0]

    def test_days_that_mean_another_day_tomorrow_are_warned_of(self, small, written):
        """They are entered as they are meant today."""
        said = take(small, written("yesterday,sold,1,4in red"))

        assert said.code == 0
        assert "line 2: write the day as 2026-11-28" in said.err
