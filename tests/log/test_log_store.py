"""Entries are appended whole, read back, and found again."""

from __future__ import annotations

import os
import sqlite3
import stat
import subprocess
import sys
from contextlib import suppress
from datetime import timedelta
from pathlib import Path

import pytest
from log_toys import (
    NOON,
    ROOT,
    TOYS,
    ToyCorrected,
    ToyCut,
    ToyHypothesis,
    add,
    all_rows,
    cut,
    fill,
    guest,
    seeded,
)

from planner.errors import HeadMoved, LogTrouble, NoShop, NotAShop, Unreadable
from planner.events.base import Entry, Fact
from planner.log.chain import GENESIS, Head, event_hash
from planner.log.check import check_log
from planner.log.codec import decode_many, encode
from planner.log.draft import Appended
from planner.log.ids import uuid7, uuid8_from
from planner.log.people import PrivateText
from planner.log.store import Log


def test_a_new_shop_is_empty(log: Log) -> None:
    assert log.head() == Head(seq=0, entry=0, hash=GENESIS)
    assert all_rows(log) == []
    assert log.row(1) is None
    assert log.entry_rows(1) == []


def test_an_entry_is_written_with_all_its_columns(log: Log) -> None:
    first, second = ToyCut(spool="S7"), ToyCut(spool="S8", note="navy")
    entry = Entry(facts=(Fact(first, "2026-11-24"), Fact(second, "2026-11-25")))

    done = log.append(entry, expected=log.head(), recorded=NOON, rand=seeded())

    chance, ms, stamp = seeded(), 1_795_608_000_000, "2026-11-25T12:00:00.000Z"
    one = (1, uuid7(ms, chance(10)), 1, "toy-cut", 3, "2026-11-24", stamp)
    one_hash = event_hash(*one, encode(first), GENESIS)
    two = (2, uuid7(ms, chance(10)), 1, "toy-cut", 3, "2026-11-25", stamp)
    two_hash = event_hash(*two, encode(second), one_hash)
    assert all_rows(log) == [
        (*one, encode(first), GENESIS, one_hash),
        (*two, encode(second), one_hash, two_hash),
    ]
    assert done == Appended(1, 2, 1, Head(seq=2, entry=1, hash=two_hash))
    assert log.head() == done.head


def test_entries_are_numbered_without_a_gap(log: Log) -> None:
    with pytest.raises(LogTrouble):
        add(log, cut(), cut(id="x"))
    done = add(log, cut("S1"), cut("S2")) + add(log, cut("S3"))

    assert [(a.first_seq, a.last_seq, a.entry) for a in done] == [
        (1, 1, 1),
        (2, 2, 2),
        (3, 3, 3),
    ]
    assert [row[0] for row in log.entry_rows(2)] == [2]


def test_what_was_written_is_there_when_the_file_is_opened_again(
    log: Log, shop: Path
) -> None:
    fill(log, 5)
    before, head = all_rows(log), log.head()
    log.close()

    with Log.open(shop, using=TOYS, readonly=True) as again:
        assert (all_rows(again), again.head()) == (before, head)
        assert decode_many(all_rows(again), using=TOYS)[4] == ToyCut(spool="S5")


def test_rows_come_in_chunks_after_one_seq_and_up_to_another(log: Log) -> None:
    fill(log, 7)

    chunks = [[row[0] for row in rows] for rows in log.rows(1, 6, chunk=2)]

    assert chunks == [[2, 3], [4, 5], [6]]


def test_reading_ends_at_the_head_seen_at_its_start_and_blocks_nobody(
    log: Log, shop: Path
) -> None:
    fill(log, 4)
    reading = log.rows(chunk=2)
    seen = [row[0] for row in next(reading)]

    with Log.open(shop, using=TOYS, patience=0) as other:
        add(other, cut("late"))

    assert seen + [row[0] for rows in reading for row in rows] == [1, 2, 3, 4]
    assert log.head().seq == 5


def test_an_entry_on_an_older_head_is_not_written(log: Log) -> None:
    seen = log.head()
    add(log, cut("S1"))

    with pytest.raises(HeadMoved, match="Entry 1 was entered meanwhile"):
        add(log, cut("S2"), expected=seen)

    assert log.head().seq == 1


def test_a_take_in_is_written_whole_or_not_at_all(log: Log) -> None:
    twice = uuid8_from("sales.csv", "row", "1")

    with pytest.raises(LogTrouble, match="an event of this id is in the log already"):
        add(log, cut("S1", id=twice), cut("S2"), cut("S3", id=twice))

    assert all_rows(log) == []


def test_a_take_in_can_ask_which_of_its_rows_are_known(log: Log) -> None:
    known, new = uuid8_from("row", "1"), uuid8_from("row", "2")
    add(log, cut(id=known))

    assert log.known([known, new]) == frozenset({known})


def test_nothing_to_append_writes_nothing(log: Log) -> None:
    assert add(log) == ()
    assert log.head().seq == 0


def test_corrections_are_found_by_their_index_without_a_scan(log: Log) -> None:
    fill(log, 3)
    add(log, Entry(facts=(Fact(ToyCorrected(entry=2), "2026-11-25"),)))
    add(log, cut())

    plan = log.db.execute(
        "EXPLAIN QUERY PLAN SELECT * FROM event"
        " WHERE kind = 'entry-corrected' ORDER BY seq"
    ).fetchall()

    assert [row[0] for row in log.corrections()] == [4]
    assert "USING INDEX correction" in plan[0][-1]


def test_a_clock_set_back_is_kept_as_it_says(log: Log) -> None:
    add(log, cut())
    add(log, cut(), recorded=NOON - timedelta(days=400))

    assert [row[6][:10] for row in all_rows(log)] == ["2026-11-25", "2025-10-21"]


@pytest.mark.parametrize(
    ("entry", "trouble", "why"),
    [
        (cut(day="yesterday"), Unreadable, "'yesterday' is no day"),
        (cut(day="2026-02-30"), Unreadable, "'2026-02-30' is no day"),
        (cut(id="7"), LogTrouble, "'7' can't be the id of an event"),
        (
            Entry(facts=(Fact(ToyHypothesis(spool="S7"), "2026-11-25"),)),
            LogTrouble,
            "ToyHypothesis is no kind of event of a log",
        ),
        (cut(weight=float("nan")), LogTrouble, "doesn't read back"),
        (Entry(facts=()), ValueError, "at least one event"),
    ],
)
def test_what_is_malformed_is_refused_and_nothing_written(
    log: Log, entry: Entry, trouble: type[Exception], why: str
) -> None:
    with pytest.raises(trouble, match=why):
        add(log, cut(), entry)

    assert log.head().seq == 0


def test_a_private_text_that_no_event_of_its_entry_seals_is_refused(log: Log) -> None:
    good = guest("P1", name="Ilse Brandt", rand=seeded())
    stray = PrivateText("k", "P1", "name", "Ilse Brandt", bytes(16), "00" * 32)

    for private in ((stray,), (*good.private, stray)):
        with pytest.raises(LogTrouble, match="doesn't fit its seal"):
            add(log, Entry(facts=good.facts, private=private))

    assert (log.head().seq, log.private_rows()) == (0, [])


def test_no_shop_says_how_to_make_one(tmp_path: Path) -> None:
    with pytest.raises(NoShop, match="bows open"):
        Log.open(tmp_path / "none.bows", using=TOYS)

    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("content", [b"", b"spool, inches\n", b"\0" * 5000])
def test_another_file_is_no_shop_and_stays_as_it_is(shop: Path, content: bytes) -> None:
    shop.write_bytes(content)

    with pytest.raises(NotAShop, match="is no shop file"):
        Log.open(shop, using=TOYS)

    assert shop.read_bytes() == content


def test_a_folder_and_another_programs_data_base_are_no_shops(tmp_path: Path) -> None:
    foreign = tmp_path / "foreign.db"
    db = sqlite3.connect(foreign)
    db.execute("CREATE TABLE t (x)")
    db.close()

    for path in (tmp_path, foreign):
        with pytest.raises(NotAShop, match="is no shop file"):
            Log.open(path, using=TOYS)


def test_a_shop_of_a_newer_format_is_left_alone(log: Log, shop: Path) -> None:
    log.db.execute("PRAGMA user_version = 99")
    log.close()

    with pytest.raises(NotAShop, match=r"newer version of this tool \(format 99\)"):
        Log.open(shop, using=TOYS)


def test_a_new_shop_never_takes_the_place_of_a_file(shop: Path) -> None:
    shop.write_text("mine")

    with pytest.raises(LogTrouble, match="it stays as it is"):
        Log.create(shop, using=TOYS)

    assert shop.read_text() == "mine"
    assert list(shop.parent.iterdir()) == [shop]


@pytest.mark.skipif(os.name == "nt", reason="Windows keeps rights another way")
def test_only_its_owner_may_read_the_shop_file(log: Log, shop: Path) -> None:
    assert stat.S_IMODE(shop.stat().st_mode) == 0o600


@pytest.mark.parametrize(
    "name",
    [
        "my shop.bows",
        "50% off?.bows" if os.name != "nt" else "50% off.bows",
        "#1 & =best;.bows",
        "naïve 結び目 🎀.bows",
        "file:shop.bows" if os.name != "nt" else "file shop.bows",
        ":memory:" if os.name != "nt" else "memory",
    ],
)
def test_any_name_of_a_file_or_folder_works(
    tmp_path: Path, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / name).mkdir()
    monkeypatch.chdir(tmp_path / name)
    for path in (tmp_path / name / name, Path(f"again {name}"), Path(f"{name}.x")):
        with Log.create(path, using=TOYS) as log:
            fill(log, 2)
        with Log.open(path, using=TOYS, readonly=True) as again:
            assert check_log(again).whole
    assert len(list((tmp_path / name).iterdir())) == 3


def test_the_log_loads_no_heavy_package() -> None:
    script = (
        "import sys; before = set(sys.modules);"
        "import planner.log.store, planner.log.people, planner.log.check;"
        "print(sorted({'numpy', 'scipy', 'jinja2', 'sqlite_utils', 'typer',"
        " 'planner.fold', 'planner.ledgers'} & (set(sys.modules) - before)))"
    )
    ran = subprocess.run(
        [sys.executable, "-c", script],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )

    assert ran.stdout.strip() == "[]"


def test_what_is_written_within_a_writing_is_part_of_it(log: Log) -> None:
    """The inner one neither commits by itself nor stays when the outer one fails."""
    failing = iter([1, 0])
    with suppress(ZeroDivisionError), log.writing():
        for number in failing:
            add(log, cut(f"S{1 // number}"))
    assert (log.head().seq, list(failing)) == (0, [])

    with log.writing():
        add(log, cut("S1"))
        add(log, cut("S2"))
    assert log.head().seq == 2


def test_a_log_appears_with_its_first_entries_or_not_at_all(tmp_path: Path) -> None:
    """Killed while it is made, it leaves no shop that was never set up."""
    seen: list[bool] = []

    def fill(log: Log) -> None:
        add(log, cut("S1"))
        seen.append(path.exists())

    def fail(log: Log) -> None:
        fill(log)
        raise ZeroDivisionError

    path = tmp_path / "new.bows"
    with pytest.raises(ZeroDivisionError):
        Log.create(path, using=TOYS, fill=fail)
    assert list(tmp_path.iterdir()) == []

    with Log.create(path, using=TOYS, fill=fill) as log:
        assert log.head().seq == 1
    assert seen == [False, False]
