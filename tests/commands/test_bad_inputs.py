"""What can't be read or can't be meant is refused, in words that help, unwritten."""

from __future__ import annotations

import ast
import io
import os
import re
import sqlite3
import sys
from collections.abc import Callable, Mapping
from pathlib import Path

import pytest

import planner
from planner.commands.main import WHERE
from planner.log.store import Log
from tests.commands.conftest import Typed
from tests.commands.small_shop import put, small_shop

JUNK = "z" * 10_000_000


@pytest.fixture(name="shop")
def _shop(tmp_path: Path) -> Path:
    return put(tmp_path)


def case(line: str | list[str], what: str, instead: str) -> object:
    """One refusal: what is typed, what is wrong with it, what to type instead."""
    words = line if isinstance(line, str) else " ".join(w[:24] for w in line)
    return pytest.param(line, what, instead, id=ascii(words)[1:-1])


COUNTS = (
    case("cut 0 4in navy", "None at all (0 bows) is nothing to enter.", "such as 12"),
    case("cut -3 4in navy", '"-3" is less than nothing.', "bows cut 12 4in navy"),
    case("cut 1/2 4in navy", '"1/2" is not a whole number of bows.', "whole number"),
    case("count 3.5 4in navy", '"3.5" is not a whole number', "whole number"),
    case("made twelve 4in navy", '"twelve" can\'t be read as a number', "such as 12"),
    case("cut 99999999 4in navy", "99,999,999 bows is more than 100,000", "1 to"),
    case("cut 4in navy", '"4in" can\'t be read as a number of bows.', "such as 12"),
    case("supply in 0 card", "None at all (0 units)", "such as 12"),
    case("supply count -5 card", '"-5" is less than nothing.', "bows supply count 180"),
    case("in navy 1.5in 100yd --spools 0", "None at all (0 spools)", "such as 12"),
    case("rush 0 4in navy --due fri", "None at all (0 bows)", "such as 12"),
    case("sold 3", '"3" is no count and kind.', "6 4in navy, 2 4in red @8.50"),
    case("count navy", '"navy" is no count and kind.', "bows count 12 4in navy"),
    case('set "pair" "navy"', '"navy" is no count and kind.', "6 4in navy, 2 4in red"),
    case('set pair "2 4in navy @8"', "A set has one price", 'bows price 15.00 "pair"'),
    case("order take 6 4in navy --due fri --weight 0", "at least 1 for --weight", "6"),
    case("entries --last 0", "takes at least 1 for --last", "bows entries --last 10"),
)
LENGTHS = (
    case("in navy 1.5in 0yd", '"0yd" is no length at all.', "3 yd 8 in"),
    case("in navy 1.5in -5yd", '"-5" is less than nothing.', "bows in navy 1.5in"),
    case("in navy 1.5in 100000yd", "longer than any ribbon (2,000 yd", "3 yd 8 in"),
    case("in navy", "The length on the label is missing", "bows in navy 1.5in 100yd"),
    case("in navy 0.75in 5,000yd", "The comma in", '"5000"'),
    case("read S1 5000yd", '"5000yd" is longer than any ribbon', "3 yd 8 in"),
    case("read S1 banana", '"banana" can\'t be read as a length.', "3 yd 8 in"),
    case("cut 3 4in navy --length 9999yd --from S1", "longer than any", "3 yd 8 in"),
    case("recut 3 C2 7in", "C2 is cut at 6 in; a recut is shorter", "bows recut 3 C2"),
    case("ribbon navy 900yd", "no width of a ribbon (at most 6 in)", "such as 1.5in"),
    case('pattern big 900yd --width 1.5in --part "body 9in"', "no size of", "4in"),
    case(
        'pattern tiny 4in --width 1.5in --part "body 2in"',
        "A 4 in bow can't be made of 2 in of ribbon.", '--part "body 32in"',
    ),
    case(
        'pattern tiny 4in --width 1.5in --part "body"',
        "A part is a role and a length.", '--part "body 32in"',
    ),
)  # fmt: skip
DAYS = (
    case(
        'cut 12 4in navy --on "13 may 2106"',
        "Thu 13 May 2106, about 80 years off", "within 10 years of today",
    ),
    case("cut 12 4in navy --on 1926-05-13", "about 100 years off", "within 10 years"),
    case('cut 12 4in navy --on "30 feb"', "February 2026 has 28 days", '"28 feb 2026"'),
    case("cut 12 4in navy --on 5/12", "say which figure is the month", '"5 dec"'),
    case("order take 3 4in navy --due 2062-05-13", "about 36 years off", "10 years"),
    case("order take 3 4in navy --due 5/12", "which figure is the month", '"12 may"'),
    case("order take 3 4in navy", "An order needs its due day.", "--due fri"),
    case('order ask 6 4in navy --until "30 feb"', "has 28 days", '"28 feb 2026"'),
    case("rush 6 4in navy --due yesterday", "Tue 12 May 2026 is over.", "--due fri"),
    case("fair new Spring sat", "can't be read as a day with its hours", "10:00-16:00"),
    case("fair new Spring sat 16:00-10:00", "before it opens at 16:00", "hours of 24"),
    case("stock --as-of nonsense", '"nonsense" can\'t be read as a day.', '"last sat"'),
    case(
        'restock order Tide --ribbon "2 x navy 1.5in 100yd" --expected "20 may" '
        '--latest "14 may"',
        "The latest day, Thu 14 May 2026, lies before", "--latest DAY",
    ),
    case("hours mon-thu 25:00-26:00", 'There is no time of day "25:00".', '"8pm"'),
    case("made 12 4in navy 0min", '"0min" is no time at all.', '"1h35"'),
    case("made 12 4in navy 9999h", "more than 24 hours", '"1h35"'),
    case("made 12 4in navy 95", '"95" of what?', "95min"),
)  # fmt: skip
MONEY = (
    case("in navy 1.5in 100yd --paid 12.345", "could stand for thousands", '"12.34"'),
    case("in navy 1.5in 100yd --paid -5", '"-5" is less than nothing.', '"4.50"'),
    case(f"in navy 1.5in 100yd --paid {'9' * 14}", "more than ten million", '"4.50"'),
    case("sold 3 4in navy @-8", '"-8" is less than nothing.', '"4.50"'),
    case("sold 3 4in navy for abc", '"abc" can\'t be read as an amount.', '"4.50"'),
    case("price 0 4in", '"0" is no money at all.', '"4.50"'),
    case("fees 200%", "That is no share.", "bows fees 2.6% 0.10"),
    case("sold 3 4in red --how barter", '"barter" is no way to pay.', "--how cash"),
)
NAMES = (
    case("cut 12 4in nvay", "There is no kind", "mean classic 4 in navy?"),
    case("cut 12 navy", '"navy" fits 3 of the kinds.', "classic 3 in navy"),
    case("cut 12 4in", '"4in" fits 3 of the kinds.', "classic 4 in white"),
    case("have 3 unicorn", 'There is no kind "unicorn".', "bows catalogue"),
    case("in plum 1.5in 100yd", 'There is no ribbon "plum 1.5in".', "bows ribbon"),
    case("supply in 5 unicorn", 'There is no supply "unicorn".', "long clip"),
    case("colour sea mist", "no standard colour", '--hex "#rrggbb"'),
    case("colour teal #12", "is not a colour value", "--hex teal"),
    case("cut 12 4in navy --from S99", 'There is no spool "S99".', "bows spools"),
    case("cut 12 4in navy --role nose", "has no such part", "body, knot"),
    case("scrap 1 C9", 'There is no bundle "C9".', "bows bundles"),
    case("sold 3 4in navy --batch B99", 'There is no batch "B99".', "bows entries"),
    case("order hand O9", 'There is no order "O9".', "bows orders"),
    case("order take 3 4in red --due fri --for P9", 'There is no person "P9".', "NAME"),
    case("note hello --person P9", 'There is no person "P9".', "bows people"),
    case("fair change F9 --crowd busy", 'There is no fair "F9".', "Spring market F1"),
    case("sold 3 4in navy --at moon", 'There is no place "moon".', "Spring market F1"),
    case("restock in R9", 'There is no restock "R9".', "bows restock order"),
    case(
        "boutique consign moon 3 4in red", "There is no boutique", "bows boutique new"
    ),
    case("setting nonsense 4", 'There is no setting "nonsense".', "salvage share"),
    case('setting "salvage share" lots', "a whole number up to 100", "40"),
    case('setting "late day" maybe', "late day is before or counts", "before"),
    case("story S99", 'There is no spool "S99".', "bows spools"),
    case("why S99", 'There is no spool "S99".', "bows spools"),
    case("why S1 --account moon", 'There is no account "moon".', "in bundle C1"),
    case("retire moon", 'no thing of the catalogue "moon"', "bows catalogue"),
    case(
        'price "navy cherry pair" 14.00',
        "The price comes first",
        "bows price 14.00 navy cherry pair",
    ),
    case("price 4in 8.00", "The price comes first", "bows price 8.00 4in"),
    case("give 1 4in red --as bribe", 'Bows are not given as "bribe".', "--as gift"),
    case("move 1 4in red --to home", "from home to where they are", "--to stall"),
    case("rework 1 4in red to 4in red", "changes nothing", "4in navy to 4in red"),
    case("fair crowd vast", '"vast" is no size of a crowd.', "quiet, thin, usual"),
)
ENTRIES = (
    case("undo 8", "1 entry rests on entry 8: 9.", "bows undo 8 --along"),
    case("undo 12", "Entry 12 is already taken back.", "bows entries"),
    case("undo 99", "There is no entry 99.", "bows entries"),
    case("undo 1", "Entry 1 set up the shop", "bows --shop ANOTHER-FOLDER open"),
    case("undo 1 --along", "Entry 1 set up the shop", "ANOTHER-FOLDER"),
    case("undo abc", "bows undo takes a whole number for entry.", "bows undo"),
    case("again 10", "Entry 10 is not one to enter twice", "type it out"),
    case("again 12", "Entry 12 is already taken back.", "bows entries"),
    case("order pay O1 0", '"0" is no money at all.', '"4.50"'),
    case("order change O1 --due fri", "Nothing about O1 would change.", "--add"),
    case('order change O1 --remove "9 4in navy"', "O1 has only 3", "bows orders"),
    case("fair settle", "Say what came back.", "bows fair settle 3 4in navy"),
    case("fair accept --head zz", '"zz" is no log head.', "at the foot of the plan"),
    case("fair plan --at-least -3", "is no number of bows on show", "--at-least 4"),
    case("fair plan --at-least 99999999999", "is no number of bows", "up to 999"),
    case("fair accept --head 0123-4567", "made from an older log", "bows fair plan F1"),
    case("check --against zz", "no hash of a report", "16 digits at its foot"),
)
COMMANDS = (
    case("cut", "bows cut wants more: How many bows.", "bows cut 12 4in navy"),
    case("cut 12", "wants more: The kind: size and colour.", "bows cut 12 4in navy"),
    case("ct 12 4in navy", 'bows has no command "ct".', "bows cut"),
    case("order tkae 3 4in navy", 'no command "tkae"', "bows order take"),
    case("cut 12 4in navy --form S1", 'no option "--form"', "--from"),
    case("cut 12 4in navy --on", "--on wants a value after it.", "bows"),
    case("spool send S1 2yd", "wants --as: given, sold, lent", "--as given"),
    case("undo 8 9", 'more than bows undo takes: "9"', "bows undo"),
    case("rework 2 4in navy", 'Put "to" between the kind', "to 4in red"),
    case("story", "Which spool?", "bows story S7"),
)
JUNKS = (
    case(["cut", JUNK, "4in navy"], "10,000,000 characters, far too long", "12"),
    case(["cut", "3", JUNK], "far too long for a kind", "bows catalogue"),
    case(["cut", "3", "4in navy", "--on", JUNK], "far too long for a day", "today"),
    case(["cut", "3", "4in navy", f"--{JUNK}"], 'no option "--zzz', "--help"),
    case(
        ["order", "take", "3 4in red", "--due", "fri", "--for", JUNK], "at most", "200"
    ),
    case(["note", JUNK], "The note is 10,000,000 characters long", "1000000"),
    case([JUNK], 'bows has no command "zzz', "bows --help"),
    case(["story", JUNK], 'There is no spool "zzz', "bows spools"),
    case(["undo", "9" * 5000], "takes a whole number for entry", "bows undo"),
    case(["stock", "--page", JUNK], "can't be used", "another file"),
    case(
        ["cut", "3", "4in navy\x00"], "has a hidden character in it", "bows catalogue"
    ),
    case(
        ["cut", "3", "4in\x1b[31mnavy"],
        "has a hidden character in it",
        "bows catalogue",
    ),
    case(
        ["cut", "3", "4in \u202enavy"],
        '"4in \\u202enavy" has a hidden',
        "bows catalogue",
    ),
    case(["colour", "na\u202evy", "#112233"], "The colour's name has a hidden", "hand"),
    case(["note", "a\x07b"], "The note has a hidden character (U+0007)", "by hand"),
    case(["note", ""], "Nothing readable was typed for the note.", "letters, digits"),
    case(
        ["cost", "", "3"], "Nothing readable was typed for the cost's name.", "letters"
    ),
)
EVERY = (*COUNTS, *LENGTHS, *DAYS, *MONEY, *NAMES, *ENTRIES, *COMMANDS, *JUNKS)


def test_there_are_sixty_refusals_at_least() -> None:
    """The list is what it is meant to be."""
    assert len(EVERY) >= 60


@pytest.mark.parametrize(("line", "what", "instead"), EVERY)
def test_what_cannot_be_meant_is_refused_and_nothing_is_written(
    line: str | list[str], what: str, instead: str, typed: Typed, shop: Path
) -> None:
    """Exit code 2, what is wrong, what to type instead; the file is as it was."""
    said = typed(line)

    assert (said.code, said.out) == (2, "")
    wrong, _, hint = said.err.partition("\n  try: ")
    assert what in wrong
    assert instead in hint
    assert len(said.err) < 1_000
    assert shop.read_bytes() == small_shop()
    assert os.listdir(shop.parent) == ["shop.bows"]


NOT_OPENED = (
    case("--currency XXQ", 'There is no currency with the code "XXQ".', "USD"),
    case("--zone Mars/Base", 'There is no time zone "Mars/Base".', "America/Chicago"),
    case("--units cubits", "Units are us or metric.", "--units us"),
    case("--sizes banana", '"banana" can\'t be read as a length.', "32in"),
    case("--sizes 900yd", "no size of a bow", "4in"),
    case("--price -3", '"-3" is less than nothing.', '"4.50"'),
    case("--minutes 0", '"0" is no time at all.', '"95min"'),
    case("--name ''", "Nothing readable was typed for the shop's name.", "letters"),
)


@pytest.mark.parametrize(("options", "what", "instead"), NOT_OPENED)
def test_a_shop_is_not_opened_with_what_cannot_be_read(
    options: str, what: str, instead: str, typed: Typed, tmp_path: Path
) -> None:
    """No half a shop is left behind."""
    said = typed(f"open --sizes 4in --colours navy --price 8 {options}")

    assert (said.code, said.out) == (2, "")
    assert what in said.err
    assert instead in said.err
    assert not (tmp_path / "shop").exists()


def test_a_colour_whose_name_tells_no_shade_is_named_as_drawn_grey(typed: Typed):
    """A slip in a colour's name would else be a grey ribbon on every page."""
    opened = typed('open --sizes 4in --colours "navy, chartroose, Dove Grey" --price 8')

    assert "by the name of chartroose: drawn grey until told" in opened.err
    assert typed('colour chartroose --hex "#c03a5b"').code == 0


@pytest.mark.parametrize("line", ["stock", "cut 12 4in navy", "log", "check", "report"])
def test_without_a_shop_she_is_told_how_to_open_one(
    line: str, typed: Typed, tmp_path: Path
) -> None:
    """Nothing is made where nothing was."""
    said = typed(line)

    assert (said.code, said.out) == (2, "")
    assert "There is no shop at " in said.err
    assert "bows open   (or look round first: bows demo)" in said.err
    assert not (tmp_path / "shop").exists()


def other_table(path: Path) -> None:
    kept = sqlite3.connect(path)
    kept.execute("CREATE TABLE bow (name)")
    kept.commit()
    kept.close()


FILES: Mapping[str, Callable[[Path], object]] = {
    "an empty file": lambda path: path.write_bytes(b""),
    "a text": lambda path: path.write_text("hello"),
    "a table of another program": other_table,
    "half a shop": lambda path: path.write_bytes(small_shop()[:5000]),
    "a folder": Path.mkdir,
}


@pytest.mark.parametrize("line", ["stock", "have 3 4in red", "check", "undo"])
@pytest.mark.parametrize("kind", FILES)
def test_what_is_no_shop_is_left_alone(
    kind: str, line: str, typed: Typed, tmp_path: Path
) -> None:
    """It is named, and a backup is spoken of; not a byte of it is changed."""
    path = tmp_path / "some.bows"
    FILES[kind](path)
    before = path.read_bytes() if path.is_file() else sorted(path.iterdir())

    said = typed(line, shop=path / "shop.bows" if kind == "a folder" else path)

    assert (said.code, said.out) == (2, "")
    assert "backup" in said.err or "bows open" in said.err
    assert before == (path.read_bytes() if path.is_file() else sorted(path.iterdir()))


def test_a_shop_is_never_opened_over_another(typed: Typed, shop: Path) -> None:
    """Neither by `open` nor by `demo`."""
    for line in ("open --name Other", f"demo '{shop.parent}'"):
        said = typed(line)

        assert (said.code, said.out) == (2, "")
        assert "already" in said.err
        assert "ANOTHER-FOLDER" in said.err
    assert shop.read_bytes() == small_shop()


def test_a_shop_that_may_only_be_read_answers_and_takes_nothing(
    typed: Typed, shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A locked file is no reason to hide what stands in it."""
    # The tests may run as one who may write everything, so the system is asked for.
    monkeypatch.setattr(os, "access", lambda path, mode: mode != os.W_OK)

    assert typed("stock").code == 0
    said = typed("have 3 4in red")

    assert (said.code, said.out) == (2, "")
    assert "may only be read; nothing was written" in said.err
    assert shop.read_bytes() == small_shop()


@pytest.mark.skipif(
    not hasattr(os, "geteuid") or os.geteuid() == 0, reason="this user may write all"
)
def test_a_shop_in_a_folder_that_may_only_be_read_takes_nothing(
    typed: Typed, shop: Path
) -> None:
    """No journal can be kept there, so no entry can be safe."""
    shop.parent.chmod(0o500)
    try:
        said = typed("have 3 4in red")
    finally:
        shop.parent.chmod(0o700)

    assert (said.code, said.out) == (2, "")
    assert shop.read_bytes() == small_shop()


@pytest.mark.parametrize(
    ("line", "what"),
    [
        ("export '{here}'", "is there already"),
        ("export '{there}'", "is there already"),
        ("export '{here}/no/log.jsonl'", "There is no folder"),
        ("back-up '{there}'", "something at"),
        ("export '{here}/new.jsonl' --people '{there}'", "is there already"),
        ("calendar '{there}'", "is no such file of this program"),
        ("stock --page '{there}'", "is no such file of this program"),
        ("labels 3 B1 --page '{there}'", "is no such file of this program"),
        ("due --page '{shop}'", "is no such file of this program"),
        ("calendar '{shop}'", "is no such file of this program"),
        ("csv stock '{shop}' --replace", "is no table of text"),
        ("report '~nobody-here'", "a user this computer doesn't know"),
        ("report '{there}'", "can't be used: file exists"),
        ("stock --page '{here}'", "can't be used: is a directory"),
        ("due --page '{there}/page.html'", "can't be used"),
        ("import '{there}'", "Line 1 can't be taken"),
        ("import '{here}'", "can't be read"),
        ("import '{here}/none'", "can't be read"),
        ("demo '{there}'", "can't be used"),
    ],
)
def test_files_of_hers_are_never_written_over(
    line: str, what: str, typed: Typed, shop: Path, tmp_path: Path
) -> None:
    """A folder where a file is wanted, a file that is there: both are left alone."""
    there = tmp_path / "there"
    there.write_text("mine")

    before = sorted(tmp_path.iterdir())
    said = typed(line.format(here=tmp_path, there=there, shop=shop))

    assert (said.code, said.out) == (2, "")
    assert what in said.err
    assert "Errno" not in said.err
    assert there.read_text() == "mine"
    assert sorted(tmp_path.iterdir()) == before
    assert shop.read_bytes() == small_shop()


def test_a_plan_made_from_an_older_log_is_stale(typed: Typed, shop: Path) -> None:
    """The head under the plan she saw must be today's; the hint looks again."""
    with Log.open(shop, readonly=True) as log:
        seen = log.head().hash.hex()[:16]
    assert typed("have 2 4in white").code == 0
    grown = shop.read_bytes()

    said = typed(f"fair accept F1 --head {seen}")

    assert said.code == 2
    assert "This plan for Spring market was made from an older log." in said.err
    assert "bows fair plan F1   (look again, then accept)" in said.err
    assert shop.read_bytes() == grown


def test_ten_megabytes_on_one_line_of_the_evening_are_one_refusal(
    typed: Typed, shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No piece of junk is taken for a line of its own, however it falls."""
    # A command stands where a reader of pieces of a million would begin a new line.
    line = "z" * 1_100_000 + "have 5 4in red\n"
    monkeypatch.setattr(sys, "stdin", io.StringIO(line + JUNK + "\nhave 1 4in red\n"))

    said = typed("log")

    assert said.code == 2
    assert said.err.count("That line is far too long; nothing of it was read.") == 2
    assert said.out.splitlines() == [
        "had already: 1 classic 4 in red: 6 → 7 at home",
        "so far: 1 entry (1 × have)",
    ]


def hints() -> list[str]:
    """Every "bows ..." that a refusal or a warning of the code tells her to type."""
    found = []
    for path in sorted(Path(planner.__file__).parent.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.keyword) and node.arg in ("instead", "hint"):
                parts = [n for n in ast.walk(node.value) if isinstance(n, ast.Constant)]
                text = " ".join(str(part.value) for part in parts)
                found += re.findall(r"\bbows ([a-z][a-z-]*(?: [a-z][a-z-]*)?)", text)
    return sorted(set(found))


@pytest.mark.parametrize("hint", hints())
def test_what_a_refusal_says_to_type_is_a_command_there_is(hint: str) -> None:
    """A hint that leads nowhere is worse than none."""
    first, _, second = hint.partition(" ")

    assert first in WHERE
    if isinstance(WHERE[first], Mapping):
        assert second in WHERE[first]


def test_a_cost_of_no_name_is_no_bug(typed: Typed, shop: Path) -> None:
    """It once ended as a bug of ours."""
    said = typed(["cost", "", "3"])

    assert (said.code, "bug" in said.err) == (2, False)


def test_typing_only_a_group_shows_its_commands(typed: Typed, shop: Path) -> None:
    """The help is the answer; no empty hint follows it."""
    said = typed("order")

    assert (said.code, said.err) == (2, "")
    assert "Enter an order taken" in said.out


def test_a_page_of_ours_is_written_anew(typed: Typed, tmp_path: Path) -> None:
    """And only its owner may read it, since it may name people."""
    put(tmp_path)
    page = tmp_path / "page.html"
    for bows in (1, 2):
        assert typed(f"have {bows} 4in white").code == 0
        assert typed(f"stock --page '{page}'").code == 0

    assert ">3<" in page.read_text("utf-8")
    if os.name != "nt":
        assert page.stat().st_mode & 0o777 == 0o600


def test_people_that_can_not_be_taken_leave_the_shop_without_the_log(
    typed: Typed, shop: Path, tmp_path: Path
) -> None:
    """Both files come in, or neither."""
    assert typed(f"export '{tmp_path}/log' --people '{tmp_path}/people'").code == 0
    (tmp_path / "people").write_text("{}")
    fresh = tmp_path / "fresh.bows"
    words = f"import '{tmp_path}/log' --people '{tmp_path}/people'"

    said = typed(words, shop=fresh)

    assert said.code == 2
    assert "is no spool-to-stall people" in said.err
    assert not fresh.exists()


def test_bytes_that_are_no_text_end_no_evening(
    typed: Typed, shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """They are refused like any junk, and the next line is entered."""
    data = b"have 1 4in red\nhave 1 \xff\xfe\nhave 1 4in white\n"
    stream = io.TextIOWrapper(io.BytesIO(data), encoding="utf-8")
    monkeypatch.setattr(sys, "stdin", stream)

    said = typed("log")

    assert "so far: 2 entries (2 × have)" in said.out
    assert "hidden character" in said.err


def test_a_name_with_a_decomposed_accent_finds_its_thing(
    typed: Typed, shop: Path
) -> None:
    """Names are kept composed; some keyboards and files give them in pieces."""
    assert typed("colour cre\u0301me --hex '#f5eedc'").code == 0
    assert typed("ribbon cre\u0301me 1.5in").code == 0

    assert typed("in cre\u0301me 1.5in 50yd").code == 0
    assert typed("in cr\u00e9me 1.5in 50yd").code == 0
