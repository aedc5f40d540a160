"""Whatever a file or an evening holds: it is taken whole, or refused untouched."""

from __future__ import annotations

import csv
import io
import json
import shlex
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from freezegun import freeze_time
from hypothesis import given
from hypothesis import strategies as st

from planner.log.codec import parse
from planner.log.store import Log
from planner.rules.take_in_rows import COLUMNS
from tests.commands.conftest import DAY
from tests.fuzz import words as w
from tests.fuzz.test_fuzz_commands import LONG
from tests.fuzz.typing import must_hold, own_folder, type_line, whole


@pytest.fixture(autouse=True, scope="module")
def _frozen() -> Iterator[None]:
    with freeze_time(DAY, tick=False, ignore=["hypothesis"]):
        yield


# -- the evening's lines ---------------------------------------------------------------

_ASIDE = {"log", "demo", "report", "open", "what-if"}
TYPED = st.one_of(
    st.sampled_from([one for one in w.COMMANDS if one[0] not in _ASIDE])
    .flatmap(lambda one: w.argv(*one))
    .map(shlex.join),
    st.sampled_from(("undo", "again", "", "done ", "sold 1 4in red", "# a remark")),
    st.text(max_size=40),
    st.binary(max_size=20).map(lambda data: data.decode("utf-8", "surrogateescape")),
)
"""Lines of an evening; also bytes that are no text, as a terminal may send them."""


@LONG
@given(st.lists(TYPED, max_size=6))
def test_an_evening_goes_on_whatever_is_typed(lines: list[str]) -> None:
    """A line is an entry or a refusal; the next one is read all the same."""
    with own_folder() as folder:
        answer = type_line(["log"], folder, typed="\n".join([*lines, "have 1 4in red"]))

        must_hold(["log"], answer, folder)
        assert "bug of ours" not in answer.err, f"{lines}\n{answer.err}"
        stopped = any(line.strip().lower() in ("done", "quit") for line in lines)
        assert answer.wrote or stopped


# -- a file of lines -------------------------------------------------------------------

_WHAT = ("cut", "made", "sold", "give", "count", "in", "read", "spoiled", "have")
_CELLS = {
    "day": w.DAYS, "what": _WHAT, "qty": w.COUNTS, "kind": w.KINDS,
    "length": w.LENGTHS, "price": w.MONEY, "spool": w.SPOOLS, "place": w.PLACES,
    "line": ("sold 1 4in red", "cut 3 4in navy", "made 2 4in navy 20min", "undo"),
}  # fmt: skip


def _row(columns: list[str]) -> st.SearchStrategy[list[str]]:
    cells = (
        st.one_of(st.sampled_from(_CELLS.get(name, w.WORDS)), w.junk)
        for name in columns
    )
    return st.tuples(*cells).map(list)


def _sheet(columns: list[str]) -> st.SearchStrategy[bytes]:
    return st.lists(_row(columns), max_size=6).map(lambda rows: _csv([columns, *rows]))


def _csv(rows: list[list[str]]) -> bytes:
    told = io.StringIO()
    csv.writer(told).writerows(rows)
    return told.getvalue().encode("utf-8", "replace")


HEADERS = st.one_of(
    st.sampled_from((
        ["day", "line"], ["day", "what", "qty", "kind"], ["line"],
        ["day", "what", "qty", "kind", "length", "price", "place", "spool"],
    )),
    st.lists(st.sampled_from(list(COLUMNS)), unique=True, max_size=6),
    st.lists(w.junk, max_size=4),
)  # fmt: skip


def damaged(whole_file: bytes) -> st.SearchStrategy[bytes]:
    """Put bytes in a file that were not there, or leave some out."""
    at = st.integers(0, max(len(whole_file) - 1, 0))
    cut = st.tuples(at, st.integers(0, 40), st.binary(max_size=8))
    return cut.map(lambda c: whole_file[: c[0]] + c[2] + whole_file[c[0] + c[1] :])


SHEETS = st.one_of(
    HEADERS.flatmap(_sheet),
    HEADERS.flatmap(_sheet).flatmap(damaged),
    st.binary(max_size=60),
)


@LONG
@given(SHEETS)
def test_a_file_of_lines_is_taken_in_whole_or_not_at_all(data: bytes) -> None:
    """And once it is in, taking it in again changes nothing."""
    with own_folder() as folder:
        (folder / "mine.csv").write_bytes(data)
        words = ["take-in", "mine.csv"]
        answer = type_line(words, folder)
        must_hold(words, answer, folder)

        if answer.code == 0:
            again = type_line(words, folder)
            must_hold(words, again, folder)
            assert not again.wrote, again.err


# -- what might happen -----------------------------------------------------------------

SUPPOSED = st.lists(
    st.one_of(
        st.tuples(
            st.sampled_from(("", "fri: ", "tomorrow: ", "30 feb: ", ": ", "🎀: ")),
            st.sampled_from((
                "in navy 1.5in 100yd", "made 12 4in navy", "order 6 4in navy due fri",
                "called off O1", "called off O9", "ill mon to sun", "ill fri",
                "hours mon-thu 19:00-22:00", "hours", "order 0 4in navy due fri",
                "order 6 4in navy due 1926-05-13", "ill 0001-01-01 to 9999-12-31",
            )),
        ).map("".join),
        w.junk,
        st.text(max_size=30),
    ),
    max_size=4,
)  # fmt: skip


@LONG
@given(SUPPOSED, st.sampled_from(("due", "stock", "fair plan", "sold 1 4in red")))
def test_supposing_never_writes(lines: list[str], question: str) -> None:
    """Whatever is supposed, and whatever is asked then."""
    with own_folder() as folder:
        told = "\n".join(lines).encode("utf-8", "replace")
        (folder / "mine.txt").write_bytes(told)
        words = ["what-if", "mine.txt", "--", *question.split()]
        answer = type_line(words, folder)

        must_hold(words, answer, folder)
        assert not answer.wrote


# -- exported logs ---------------------------------------------------------------------


def exported(folder: Path) -> tuple[bytes, bytes]:
    """Export the small shop: its log, and its people."""
    answer = type_line(["export", "log.jsonl", "--people", "people.jsonl"], folder)
    assert answer.code == 0, answer.err
    return (folder / "log.jsonl").read_bytes(), (folder / "people.jsonl").read_bytes()


_VALUES: tuple[Any, ...] = (
    None, True, 0, -1, 2**63, 2**70, 1.5, "", "x", "\ud83d", [], {}, [[]], "9" * 5_000,
)  # fmt: skip
_LINES = (b"", b"{", b"[]", b"null", b'"x"', b"[" * 100_000, b"{}", b"NaN", b"\xff")


def other_lines(data: bytes) -> st.SearchStrategy[bytes]:
    """Change a field of a line, swap lines, lose one, put another in."""
    lines = data.splitlines()
    at = st.integers(0, len(lines) - 1)
    field = st.tuples(at, st.integers(0, 9), st.sampled_from(_VALUES))
    return st.one_of(
        field.map(lambda f: _joined(_field_changed(lines, *f))),
        st.tuples(at, at).map(lambda t: _joined(_swapped(lines, *t))),
        at.map(lambda n: _joined([*lines[:n], *lines[n + 1 :]])),
        st.tuples(at, st.sampled_from(_LINES)).map(
            lambda t: _joined([*lines[: t[0]], t[1], *lines[t[0] :]])
        ),
        damaged(data),
        st.just(data),
    )


def _joined(lines: list[bytes]) -> bytes:
    return b"\n".join(lines)


def _field_changed(lines: list[bytes], at: int, which: int, new: Any) -> list[bytes]:
    fields = json.loads(lines[at])
    fields[sorted(fields)[which % len(fields)]] = new
    return [*lines[:at], json.dumps(fields).encode(), *lines[at + 1 :]]


def _swapped(lines: list[bytes], one: int, other: int) -> list[bytes]:
    made = list(lines)
    made[one], made[other] = made[other], made[one]
    return made


def test_an_exported_log_comes_back_the_same_or_not_at_all() -> None:
    """A refused one leaves no shop behind; one that is taken has the same head."""
    with own_folder() as folder:
        log, _ = exported(folder)
    events = len(log.splitlines()) - 1

    @LONG
    @given(other_lines(log))
    def look(data: bytes) -> None:
        with own_folder() as folder:
            (folder / "mine.jsonl").write_bytes(data)
            shop = folder / "new" / "shop.bows"
            answer = type_line(["import", "mine.jsonl"], folder, shop=shop)

            assert answer.code in (0, 2), answer.err
            assert shop.exists() == (answer.code == 0), answer.err
            if shop.exists():
                assert whole(shop) == []
                assert f"{events} events" in answer.out

    look()


def test_exported_people_come_back_whole_or_nothing_does() -> None:
    """Where the people can't be taken, the log isn't either."""
    with own_folder() as folder:
        log, people = exported(folder)

    @LONG
    @given(other_lines(people))
    def look(data: bytes) -> None:
        with own_folder() as folder:
            (folder / "mine.jsonl").write_bytes(log)
            (folder / "people.jsonl").write_bytes(data)
            shop = folder / "new" / "shop.bows"
            words = ["import", "mine.jsonl", "--people", "people.jsonl"]
            answer = type_line(words, folder, shop=shop)

            assert answer.code in (0, 2), answer.err
            assert shop.exists() == (answer.code == 0), answer.err

    look()


# -- long and foreign words ------------------------------------------------------------

NAMES = (
    "Zoë Łuczak-Öberg", "מארן אלון", "مَارِن بلوط", "小さなリボン", "🎀 Bow 👩‍👧‍👦",
    "e\u0301le\u0300ve", "Ǆ ﷺ ß", "O'Quill & Sons <b>", '"quoted"', "=1+1",
)  # fmt: skip


def _lines_with(name: str) -> list[list[str]]:
    return [
        ["order", "take", "2 4in red", "--due", "fri", "--for", name],
        ["fair", "new", name, "in 10 days 10:00-16:00"],
        ["colour", name, "--hex", "#123456"],
        ["ribbon", name, "1.5in"],
        ["in", name, "1.5in", "50yd", "--of", name],
        ["supply", "new", name],
        ["supply", "in", "5", name],
        ["boutique", "new", name, "--commission", "40"],
        ["--yes", "note", name],
    ]


def test_names_of_any_script_are_kept_and_shown() -> None:
    """On every page and list that shows them, and through export and import."""
    with own_folder() as folder:
        for words in (words for name in NAMES for words in _lines_with(name)):
            answer = type_line(words, folder)
            must_hold(words, answer, folder)
            assert answer.code == 0, answer.err
        for question in ("stock", "orders", "fairs", "spools", "supplies", "people"):
            assert type_line([question], folder).code == 0
        assert type_line(["report", "pages"], folder).code == 0
        exported(folder)
        words = ["import", "log.jsonl", "--people", "people.jsonl"]
        again = type_line(words, folder, shop=folder / "new.bows")
        assert again.code == 0, again.err


MEGABYTE = "a sentence of a long evening: 🎀, " * 30_000


def test_a_note_of_a_megabyte_is_kept_to_the_last_letter() -> None:
    """Typed alone, in an evening, and about a person; one letter more is refused."""
    note = MEGABYTE[:1_000_000].rstrip()
    with own_folder() as folder:
        for line in (["note", note], ["note", "--person", "P1", note]):
            answer = type_line(line, folder)
            must_hold(line, answer, folder)
            assert answer.code == 0, answer.err[:500]
        evening = type_line(["log"], folder, typed=f"note '{note}'\nhave 1 4in red\n")
        assert evening.code == 0, evening.err[:500]
        refused = type_line(["note", "z" * 1_000_001], folder)
        must_hold(["note"], refused, folder)

        with Log.open(folder / "shop" / "shop.bows", readonly=True) as log:
            kept = [parse(row[7]) for rows in log.rows() for row in rows[-4:]]
            people = [row[3] for row in log.private_rows()]

    # Texts this long are never shown as a difference, so only their being equal is.
    texts = [body["text"] == note for body in kept if body.get("text")]
    assert texts == [True, True]
    assert [text == note for text in people if len(text) > 100] == [True]
    assert refused.code == 2
