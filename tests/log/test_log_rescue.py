"""A damaged file written anew: what is whole is kept, under its number."""

from __future__ import annotations

import json
import os
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from freezegun import freeze_time
from log_toys import NOON, seeded

from planner.commands.main import main
from planner.errors import Damaged, LogTrouble, NoShop
from planner.events.base import Entry, Fact, Kept
from planner.events.notes import NoteWritten
from planner.events.shop import PersonForgotten, PersonNoted, ShopSetUp
from planner.log.carving import carved_events, page_sizes
from planner.log.chain import Row, row_hash, short
from planner.log.check import CheckReport, check_log
from planner.log.codec import parse, registry
from planner.log.people import new_private
from planner.log.rescue import Rescue, rescue
from planner.log.schema import SCHEMA
from planner.log.store import Log

SET_UP = ShopSetUp(
    name="Knot Quay",
    zone="America/New_York",
    currency="USD",
    units="us",
    paper="letter",
)
COUNT = 60
Hurt = Callable[..., None]


def _note(number: int, *, size: int = 20) -> Entry:
    text = f"note {number} " + "x" * size
    return Entry(facts=(Fact(NoteWritten(text=text), "2026-11-25"),))


def _person(name: str, rand: Callable[[int], bytes]) -> Entry:
    kept = new_private("P1", "name", name, rand)
    event = PersonNoted(person="P1", kept=(Kept(key=kept.key, seal=kept.seal),))
    return Entry(facts=(Fact(event, "2026-11-25"),), private=(kept,))


def _write(log: Log, *entries: Entry) -> None:
    log.append_all(entries, expected=None, recorded=NOON, rand=seeded(log.head().seq))


@pytest.fixture(name="whole")
def _whole(tmp_path: Path) -> Path:
    """A shop of sixty entries, one of them too long for a page, and one person."""
    path = tmp_path / "shop.bows"
    with Log.create(path) as log:
        _write(log, Entry(facts=(Fact(SET_UP, "2026-11-25"),)))
        _write(log, *(_note(n) for n in range(2, 30)), _note(30, size=30_000))
        _write(log, _person("Ilse", seeded()))
        _write(log, *(_note(n) for n in range(32, COUNT + 1)))
    return path


def _rows(path: Path) -> list[Row]:
    with Log.open(path, readonly=True) as log:
        return [row for rows in log.rows() for row in rows]


def _hurt(path: Path, *seqs: int) -> None:
    """Change a byte in the body of some events."""
    data = bytearray(path.read_bytes())
    for row in _rows(path):
        if row[0] in seqs:
            data[data.index(row[7]) + 9] ^= 0x01
    path.write_bytes(data)


def _rescue(path: Path, name: str = "new.bows") -> Rescue:
    return rescue(
        path, path.with_name(name), using=registry(), recorded=NOON, rand=os.urandom
    )


def _checked(made: Rescue, against: bytes | None = None) -> CheckReport:
    with Log.open(made.path, readonly=True) as log:
        return check_log(log, against=against.hex() if against else None)


def test_a_whole_file_is_copied_to_the_same_head(whole: Path) -> None:
    made = _rescue(whole)

    assert _rows(made.path) == _rows(whole)
    assert (made.events, made.lost, made.texts, made.texts_lost) == (COUNT, (), 1, 0)


def test_a_lost_event_leaves_a_mark_and_all_others_keep_their_numbers(
    whole: Path,
) -> None:
    """Corrections name entries by number: none may move."""
    before = _rows(whole)
    _hurt(whole, 7, 8, 40)

    made = _rescue(whole)

    after = _rows(made.path)
    assert made.lost == (7, 8, 40)
    assert [row[:3] for row in after if row[3] != "event-lost"][: COUNT - 3] == [
        row[:3] for row in before if row[0] not in made.lost
    ]
    assert [row[2] for row in after[:COUNT]] == [row[2] for row in before]
    assert after[:6] == before[:6]
    assert [row[3:8] for row in after[8:39]] == [row[3:8] for row in before[8:39]]
    assert parse(after[7][7]) == {"hash": before[7][9].hex()}  # as event 9 tells
    assert after[COUNT][3] == "log-rescued"


@pytest.mark.parametrize("seq", [3, 6, 8, 20, 40, COUNT])
def test_the_head_on_an_old_page_is_still_known(whole: Path, seq: int) -> None:
    """Before the damage, after it, and that of the lost event itself."""
    old = _rows(whole)[seq - 1][9]
    _hurt(whole, 8)

    report = _checked(_rescue(whole), old)

    assert report.whole
    assert report.extends == COUNT + 1 - seq
    assert report.lost == (8,)
    assert "Lost before the log was rescued: event 8." in report.lines()


def test_a_head_that_never_was_is_not_found_after_a_rescue(whole: Path) -> None:
    _hurt(whole, 8)

    assert _checked(_rescue(whole), b"\xab" * 32).extends is None


def test_a_rescued_log_that_is_damaged_and_rescued_again_knows_both_heads(
    whole: Path,
) -> None:
    first = _rows(whole)
    _hurt(whole, 8)
    second = _rescue(whole)
    middle = _rows(second.path)
    _hurt(second.path, 5, 20)
    third = _rescue(second.path, "third.bows")

    for seq in (3, 6, 15, 25, COUNT):
        assert _checked(third, first[seq - 1][9]).extends == COUNT + 2 - seq
        assert _checked(third, middle[seq - 1][9]).extends == COUNT + 2 - seq
    assert _checked(third).lost == (5, 8, 20)


def test_an_event_changed_after_a_rescue_does_not_fit_its_old_hash(whole: Path) -> None:
    """Even where the whole chain was made to fit: the old one is reckoned too."""
    _hurt(whole, 8)
    made = _rescue(whole)
    rows = _rows(made.path)
    prev = rows[19][8]
    with closing(sqlite3.connect(made.path, isolation_level=None)) as db:
        db.execute("DROP TRIGGER event_is_never_changed")
        for row in rows[19:]:
            body = row[7].replace(b"note 20", b"note 99")
            new = (*row[:7], body, prev, b"")
            prev = row_hash(new)
            db.execute(
                "UPDATE event SET body = ?, prev = ?, hash = ? WHERE seq = ?",
                (body, new[8], prev, row[0]),
            )
        for words in SCHEMA:
            if "event_is_never_changed" in words:
                db.execute(words)

    assert [str(fault) for fault in _checked(made).faults] == [
        "Event 20: it doesn't fit the hash it had before the log was rescued."
    ]


@pytest.mark.parametrize("page", [0, 1, 2, 3, 4, 5])
def test_a_page_gone_loses_what_stood_on_it_alone(whole: Path, page: int) -> None:
    """The beginning of the file, the roots of tables, indexes, events, long bodies."""
    before = {row[0]: row for row in _rows(whole)}
    data = whole.read_bytes()
    gone = data[: page * 4096] + os.urandom(4096) + data[(page + 1) * 4096 :]
    whole.write_bytes(gone)
    left = {row[0] for row in carved_events(gone)}

    made = rescue(
        whole, whole.with_name("new.bows"), using=registry(), recorded=NOON,
        rand=os.urandom, first=SET_UP,
    )  # fmt: skip

    after = {row[0]: row for row in _rows(made.path)}
    assert len(left) >= COUNT - 20
    assert {seq for seq, row in before.items() if after[seq][3:8] == row[3:8]} >= left
    assert _checked(made, before[max(left)][9]).whole


def test_pages_of_another_size_are_read_as_the_file_tells() -> None:
    assert page_sizes(b"\0" * 16 + b"\x10\x00") == [4096]
    assert page_sizes(b"\0" * 16 + b"\x04\x00") == [1024, 4096]
    assert page_sizes(b"\0" * 16 + b"\x00\x01") == [65536, 4096]
    assert page_sizes(b"\0" * 16 + b"\x12\x34") == [4096]


def test_a_text_about_a_person_that_no_whole_event_sealed_is_left_out(
    whole: Path,
) -> None:
    """It couldn't be told from one that somebody slipped in."""
    _hurt(whole, 31)

    made = _rescue(whole)

    assert (made.texts, made.texts_lost) == (0, 1)
    assert _checked(made).whole


def test_texts_about_people_are_found_in_the_bytes_but_never_forgotten_ones(
    whole: Path,
) -> None:
    """A trace of a name in a damaged file is not brought back."""
    header = os.urandom(4096)
    hurt = header + whole.read_bytes()[4096:]
    other = whole.with_name("other.bows")
    other.write_bytes(hurt)
    with Log.open(whole) as log:
        event = PersonForgotten(person="P1")
        _write(log, Entry(facts=(Fact(event, "2026-11-25"),)))
    whole.write_bytes(header + whole.read_bytes()[4096:])  # the text itself is left
    first = {"first": SET_UP, "using": registry(), "recorded": NOON, "rand": os.urandom}

    known = rescue(other, other.with_name("known.bows"), **first)
    forgotten = rescue(whole, whole.with_name("new.bows"), **first)

    with Log.open(known.path) as log:
        assert [one.text for one in log.details("P1")] == ["Ilse"]
    with Log.open(forgotten.path) as log:
        assert log.private_rows() == []


def test_a_lost_set_up_is_asked_for(whole: Path) -> None:
    """Without zone and currency no other event can be understood."""
    _hurt(whole, 1)

    with pytest.raises(Damaged, match="--zone America/Chicago --currency USD"):
        _rescue(whole)

    assert not whole.with_name("new.bows").exists()


def test_nothing_is_written_over_or_made_of_nothing(whole: Path) -> None:
    with pytest.raises(LogTrouble, match="already; it stays as it is"):
        _rescue(whole, "shop.bows")
    with pytest.raises(NoShop):
        _rescue(whole.with_name("nowhere.bows"))
    whole.write_bytes(os.urandom(20_000))
    with pytest.raises(Damaged, match="isn't one whole event"):
        _rescue(whole)
    assert [path.name for path in whole.parent.iterdir()] == ["shop.bows"]


def test_she_types_rescue_and_goes_on_with_the_new_file(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What is lost is told; the head on paper is known; the next entry is taken."""
    with freeze_time("2026-05-13 12:00:00", tick=False, ignore=["hypothesis"]):
        assert main(["demo", str(tmp_path / "demo")]) == 0
        shop, new = tmp_path / "demo" / "shop.bows", str(tmp_path / "new.bows")
        rows = _rows(shop)
        _hurt(shop, 700)
        capsys.readouterr()

        assert main(["--shop", str(shop), "check"]) == 2
        assert "Event 700: it doesn't fit its hash." in capsys.readouterr().out
        assert main(["--shop", str(shop), "rescue", new]) == 0
        said = capsys.readouterr()
        assert f"{len(rows) - 1:,} whole events written to {new}" in said.out
        assert "lost: event 700; a mark keeps each number" in said.out
        assert f'next: bows --shop "{new}" check' in said.err
        printed = short(rows[-1][9])
        assert main(["--shop", new, "check", "--json", "--against", printed]) == 0
        answer = json.loads(capsys.readouterr().out)
        assert (answer["lost"], answer["laws_broken"]) == ([700], [])
        assert answer["extends"] == 3  # events that keep the old hashes
        assert main(["--shop", new, "sold", "1", "4in", "navy"]) == 0
        assert main(["--shop", new, "rescue", new]) == 2


def test_what_only_looks_like_an_event_is_passed_over(whole: Path) -> None:
    """A header with a byte changed may tell of a text what is a blob."""
    data = bytearray(whole.read_bytes())
    body = _rows(whole)[4][7]
    at = data.index(b"note-written", data.index(body) - 120)
    header = data.rindex(b"\x00\x55", 0, at)
    kind = data.index(bytes([13 + 2 * len("note-written")]), header, at)
    data[kind] -= 1

    assert 5 not in {row[0] for row in carved_events(bytes(data))}
