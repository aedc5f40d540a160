"""Files that can't be written, disks that fail, programs that don't let go."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest
from log_toys import NOON, ROOT, TOYS, add, all_rows, cut, fill, guest, seeded

from planner.errors import Busy, Damaged, LogTrouble
from planner.log import store
from planner.log.check import check_log
from planner.log.store import Log


class _Failing(sqlite3.Connection):
    """Fails at the chosen one of its writes, as a disk would."""

    fail_at = -1

    def execute(self, sql: str, *rest: object) -> sqlite3.Cursor:
        self._count(sql)
        return super().execute(sql, *rest)

    def executemany(self, sql: str, rows: Iterator) -> sqlite3.Cursor:
        return super().executemany(sql, (self._counted(row) for row in rows))

    def _counted(self, row: tuple) -> tuple:
        self._count("INSERT")
        return row

    def _count(self, sql: str) -> None:
        if sql.startswith(("INSERT", "COMMIT", "BEGIN", "DELETE")):
            if self.fail_at == 0:
                self.fail_at = -1
                raise sqlite3.OperationalError("disk I/O error")
            self.fail_at -= 1


def _failing(path: Path) -> sqlite3.Connection:
    return sqlite3.connect(path, isolation_level=None, factory=_Failing)


@pytest.mark.parametrize("at", range(6))
def test_a_write_that_fails_leaves_nothing_half_written(shop: Path, at: int) -> None:
    """BEGIN, three events, one private text, COMMIT: each of the six may fail."""
    with Log.create(shop, using=TOYS, connect=_failing) as log:
        add(log, cut("S1"))
        before = all_rows(log)
        entries = (cut("S2"), cut("S3"), guest("P1", name="Ilse", rand=seeded()))
        log.db.fail_at = at  # type: ignore[attr-defined]

        with pytest.raises(LogTrouble, match=r"disk I/O error.*nothing was written"):
            add(log, *entries)

        assert (all_rows(log), log.private_rows()) == (before, [])
        assert log.db.fail_at == -1  # type: ignore[attr-defined]
        add(log, *entries)
        assert check_log(log).whole
        assert log.head().seq == 4


def test_a_full_disk_is_said_in_words_and_leaves_the_log_whole(log: Log) -> None:
    fill(log, 3)
    before = all_rows(log)
    pages = log.db.execute("PRAGMA page_count").fetchone()[0]
    log.db.execute(f"PRAGMA max_page_count = {pages}")

    with pytest.raises(LogTrouble, match=r"is full; nothing was written\.\nMake room"):
        add(log, cut("small"), cut("big", note="x" * 100_000))

    assert all_rows(log) == before
    assert check_log(log).whole


def test_a_disk_that_gives_back_something_else_is_found_out(shop: Path) -> None:
    """The read-back is from the file, not from what was meant."""

    class Forgetful(sqlite3.Connection):
        def executemany(self, sql: str, rows: Iterator) -> sqlite3.Cursor:
            if "event" in sql:
                rows = [(*row[:7], b'{"spool":"S9"}', *row[8:]) for row in rows]
            return super().executemany(sql, rows)

    def forgetful(path: Path) -> sqlite3.Connection:
        return sqlite3.connect(path, isolation_level=None, factory=Forgetful)

    with Log.create(shop, using=TOYS, connect=forgetful) as log:
        with pytest.raises(Damaged, match="didn't give back what was written"):
            add(log, cut("S7"))
        assert log.head().seq == 0


def test_a_log_opened_for_reading_takes_no_entry(log: Log, shop: Path) -> None:
    fill(log, 2)
    with Log.open(shop, using=TOYS, readonly=True) as reader:
        with pytest.raises(LogTrouble, match="may only be read; nothing was written"):
            add(reader, cut())
        with pytest.raises(sqlite3.OperationalError):
            reader.db.execute("PRAGMA user_version = 7")
        assert len(all_rows(reader)) == 2


_READ_ONLY = """
import os, sys
sys.path.insert(0, "tests/log")
from pathlib import Path
from log_toys import TOYS, add, all_rows, cut
from planner.log.store import Log
add(Log.create(Path(sys.argv[1] + ".warm"), using=TOYS), cut())
if os.geteuid() == 0:
    os.setuid(65534)
for readonly in (True, False):
    with Log.open(Path(sys.argv[1]), using=TOYS, readonly=readonly) as log:
        print(len(all_rows(log)))
        try:
            add(log, cut())
        except Exception as trouble:
            print(type(trouble).__name__, str(trouble).splitlines()[0])
"""


@pytest.mark.skipif(os.name == "nt", reason="Windows keeps rights another way")
def test_a_file_she_may_only_read_is_read_and_takes_no_entry() -> None:
    """Root may write anything, so where root runs the tests the reader turns nobody."""
    with tempfile.TemporaryDirectory() as folder:
        shop = Path(folder, "shop.bows")
        with Log.create(shop, using=TOYS) as log:
            fill(log, 2)
        shop.chmod(0o444)
        Path(folder).chmod(0o755)
        ran = subprocess.run(
            [sys.executable, "-W", "ignore", "-c", _READ_ONLY, str(shop)],
            cwd=ROOT,
            capture_output=True,
            text=True,
            check=False,
        )

    assert (ran.stderr, ran.stdout.splitlines()) == (
        "",
        [
            "2",
            f"LogTrouble {shop} may only be read; nothing was written.",
            "2",
            f"LogTrouble {shop} may only be read; nothing was written.",
        ],
    )


def test_a_file_in_use_is_waited_for_and_then_told(log: Log, shop: Path) -> None:
    with (
        Log.open(shop, using=TOYS, patience=0.05) as other,
        log.writing(),
        pytest.raises(Busy, match="Another program is using") as told,
    ):
        add(other, cut())

    assert "locked" not in str(told.value)
    assert log.head().seq == 0


def test_a_forgetting_that_finds_no_room_says_what_was_done(
    shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The text is deleted by then; typed once more, it comes to its end."""

    class Cramped(sqlite3.Connection):
        full = True

        def execute(self, sql: str, *rest: object) -> sqlite3.Cursor:
            if sql == "VACUUM" and self.full:
                raise sqlite3.OperationalError("database or disk is full")
            return super().execute(sql, *rest)

    def cramped(path: Path) -> sqlite3.Connection:
        return sqlite3.connect(path, isolation_level=None, factory=Cramped)

    with Log.create(shop, using=TOYS, connect=cramped) as log:
        add(log, guest("P1", name="Ilse", rand=seeded()))
        with pytest.raises(LogTrouble, match="P1 is deleted, but") as told:
            log.forget("P1")
        assert "nothing was written" not in str(told.value)
        assert b"Ilse" not in shop.read_bytes()

        monkeypatch.setattr(Cramped, "full", False)
        assert log.forget("P1") == 0


def test_a_disk_that_fails_once_all_is_written_is_not_said_to_hold_nothing(
    shop: Path,
) -> None:
    """The journal is gone by then, and only its folder couldn't be synced."""

    class Unsynced(sqlite3.Connection):
        failing = False

        def execute(self, sql: str, *rest: object) -> sqlite3.Cursor:
            done = super().execute(sql, *rest)
            if sql == "COMMIT" and self.failing:
                raise sqlite3.OperationalError("disk I/O error")
            return done

    def unsynced(path: Path) -> sqlite3.Connection:
        return sqlite3.connect(path, isolation_level=None, factory=Unsynced)

    with Log.create(shop, using=TOYS, connect=unsynced) as log:
        log.db.failing = True  # type: ignore[attr-defined]
        with pytest.raises(LogTrouble, match="written, and may not last") as told:
            add(log, cut())

        assert "nothing was written" not in str(told.value)
        assert log.head().seq == 1


def test_who_waits_for_a_while_is_told_why(
    log: Log, shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Once, and then it goes on as soon as the other lets go."""
    monkeypatch.setattr(store, "_A_WHILE", 0.02)
    told: list[str] = []
    with Log.open(shop, using=TOYS, patience=30) as other, ExitStack() as held:

        def let_go() -> None:
            told.append("waiting")
            held.close()

        other.on_wait = let_go
        held.enter_context(log.writing())
        add(other, cut())

        assert (told, other.head().seq) == (["waiting"], 1)


def test_a_reader_that_holds_the_file_makes_a_writer_busy_not_broken(
    log: Log, shop: Path
) -> None:
    """COMMIT itself finds the file in use; what was to be written is taken back."""
    with Log.open(shop, using=TOYS, patience=0.05) as other:
        with log.snapshot(), pytest.raises(Busy):
            add(other, cut())

        add(other, cut())
        assert other.head().seq == 1


def test_a_folder_that_does_not_exist_is_named(tmp_path: Path) -> None:
    with pytest.raises(LogTrouble, match="There is no folder"):
        Log.create(tmp_path / "nowhere" / "shop.bows", using=TOYS)


@pytest.mark.parametrize("where", [0, 100, 4096 + 8, 4096 * 2 + 8])
def test_a_damaged_file_is_told_in_words(log: Log, shop: Path, where: int) -> None:
    """Whichever page is overwritten, no error of the library gets through."""
    add(log, *(cut(f"S{number}") for number in range(200)))
    log.close()
    whole = shop.read_bytes()
    shop.write_bytes(whole[:where] + b"\xa5" * 64 + whole[where + 64 :])

    assert "damaged" in _all_that_is_told(shop)


def _all_that_is_told(shop: Path) -> str:
    try:
        with Log.open(shop, using=TOYS) as log:
            report = check_log(log)
            list(log.rows())
            log.append(cut(), expected=None, recorded=NOON, rand=os.urandom)
    except LogTrouble as trouble:
        return str(trouble)
    return "" if report.whole else "damaged: " + str(report.faults)
