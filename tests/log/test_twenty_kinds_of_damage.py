"""
Twenty-six kinds of tampering and damage, planted in copies of a log of real events.

`bows check` names every one: the event where the file itself shows it, else by the head
printed at a report's foot.  Without that head the last six can't be seen by anybody.
"""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from freezegun import freeze_time

from planner.commands.main import main
from planner.log.chain import GENESIS, Row, event_hash, short
from planner.log.schema import SCHEMA

AT = 300
"""The event that is tampered with."""
Plant = Callable[[sqlite3.Connection], None]


def opened(path: Path) -> sqlite3.Connection:
    """Open a copy as somebody would who knows SQLite: the guards are put aside."""
    db = sqlite3.connect(path, isolation_level=None)
    db.execute("PRAGMA ignore_check_constraints = ON")
    for (name,) in db.execute(
        "SELECT name FROM sqlite_master WHERE type = 'trigger'"
    ).fetchall():
        db.execute(f"DROP TRIGGER {name}")
    return db


def closed(db: sqlite3.Connection) -> None:
    """Put the guards back, so that only the chain can tell."""
    for words in SCHEMA:
        if words.startswith("CREATE TRIGGER"):
            db.execute(words)
    db.close()


def sql(*lines: str) -> Plant:
    """Plant by plain statements; ``:at`` is the event."""

    def plant(db: sqlite3.Connection) -> None:
        for line in lines:
            db.execute(line, {"at": AT} if ":at" in line else {})

    return plant


def rows_of(db: sqlite3.Connection) -> list[Row]:
    """Read all events."""
    return db.execute("SELECT * FROM event ORDER BY seq").fetchall()


def rewritten(change: Callable[[list[Row]], list[Row]]) -> Plant:
    """Rewrite the log and make the whole chain fit, number by number."""

    def plant(db: sqlite3.Connection) -> None:
        rows = change(rows_of(db))
        db.execute("DELETE FROM event")
        prev, entry, before = GENESIS, 0, None
        for seq, row in enumerate(rows, start=1):
            entry += row[2] != before
            before = row[2]
            head = (seq, row[1], entry, *row[3:8], prev)
            prev = event_hash(*head)
            db.execute("INSERT INTO event VALUES (?,?,?,?,?,?,?,?,?,?)", (*head, prev))

    return plant


def own_hash_made_to_fit(db: sqlite3.Connection) -> None:
    """Change one event and its own hash; the next one still carries the old."""
    row = rows_of(db)[AT - 1]
    body = row[7].replace(b'"', b' "', 1)
    new = event_hash(*row[:7], body, row[8])
    db.execute("UPDATE event SET body = ?, hash = ? WHERE seq = ?", (body, new, AT))


def added_at_the_end(db: sqlite3.Connection) -> None:
    """Copy an old event to the end, under an id of its own, unchained."""
    row = rows_of(db)[AT - 1]
    last = rows_of(db)[-1]
    id_ = row[1][:-1] + ("0" if row[1][-1] != "0" else "1")
    db.execute(
        "INSERT INTO event VALUES (?,?,?,?,?,?,?,?,?,?)",
        (last[0] + 1, id_, last[2] + 1, *row[3:]),
    )


def swapped(db: sqlite3.Connection) -> None:
    """Let two neighbours trade their bodies."""
    one, two = rows_of(db)[AT - 1 : AT + 1]
    for seq, row in ((AT, two), (AT + 1, one)):
        db.execute(
            "UPDATE event SET kind = ?, version = ?, body = ? WHERE seq = ?",
            (row[3], row[4], row[7], seq),
        )


NAMED: dict[str, Plant] = {
    "a body is changed": sql(
        "UPDATE event SET body = CAST(replace(CAST(body AS TEXT), '\"', ' \"')"
        " AS BLOB) WHERE seq = :at",
    ),
    "a day is changed": sql("UPDATE event SET happened = '2020-02-02' WHERE seq = :at"),
    "a moment of typing is changed": sql(
        "UPDATE event SET recorded = '2020-02-02T02:02:02.000Z' WHERE seq = :at"
    ),
    "a kind is changed": sql("UPDATE event SET kind = 'bows-lost' WHERE seq = :at"),
    "a version is changed": sql("UPDATE event SET version = 7 WHERE seq = :at"),
    "an entry's number is changed": sql(
        "UPDATE event SET entry = entry + 5 WHERE seq = :at"
    ),
    "an id is changed": sql(
        "UPDATE event SET id = '017f22e2-79b0-7cc3-98c4-dc0c0c07398f' WHERE seq = :at"
    ),
    "a link is changed": sql("UPDATE event SET prev = zeroblob(32) WHERE seq = :at"),
    "a hash is changed": sql("UPDATE event SET hash = zeroblob(32) WHERE seq = :at"),
    "an event is taken out": sql("DELETE FROM event WHERE seq = :at"),
    "two events trade places": swapped,
    "an event's own hash is made to fit": own_hash_made_to_fit,
    "a body is emptied": sql("UPDATE event SET body = x'7b7d' WHERE seq = :at"),
    "a day is no day": sql("UPDATE event SET happened = 'yesterdays' WHERE seq = :at"),
}
"""Name -> what somebody does to one event; `bows check` names it, or the next one."""


@pytest.fixture(name="year", scope="module")
def _year(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The first months of an invented shop, made quick to read through."""
    folder = tmp_path_factory.mktemp("year")
    with freeze_time("2026-05-13 12:00:00", tick=False, ignore=["hypothesis"]):
        assert main(["demo", str(folder / "demo")]) == 0
    made = folder / "demo" / "shop.bows"
    db = opened(made)
    # People stand beside the log; without their texts the chain holds all the same.
    db.execute("DELETE FROM private")
    rewritten(lambda rows: rows[:400])(db)
    closed(db)
    return made


@pytest.fixture(name="copy")
def _copy(year: Path, tmp_path: Path) -> Path:
    target = tmp_path / "shop.bows"
    shutil.copy(year, target)
    return target


def check(
    path: Path, capsys: pytest.CaptureFixture[str], *more: str
) -> tuple[int, str]:
    """Type ``bows check``."""
    capsys.readouterr()
    code = main(["--shop", str(path), "check", *more])
    said = capsys.readouterr()
    return code, said.out + said.err


def head_of(path: Path) -> str:
    """Read the head as it stands at the foot of a report."""
    db = sqlite3.connect(path)
    (found,) = db.execute("SELECT hash FROM event ORDER BY seq DESC LIMIT 1").fetchone()
    db.close()
    return short(found)


def test_the_copy_is_whole_before_anything_is_planted(
    copy: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, said = check(copy, capsys, "--against", head_of(copy))

    assert code == 0
    assert "Each is as it was written." in said


@pytest.mark.parametrize("kind", NAMED)
def test_tampering_with_an_event_is_named_by_its_number(
    copy: Path, capsys: pytest.CaptureFixture[str], kind: str
) -> None:
    db = opened(copy)
    before = rows_of(db)
    NAMED[kind](db)
    after = rows_of(db)
    closed(db)
    code, said = check(copy, capsys)

    assert before != after
    assert code != 0
    # A hash made to fit shows in the link of the next event.
    number = AT + 1 if kind == "an event's own hash is made to fit" else AT
    assert f"Event {number}:" in said


def test_the_first_event_taken_out_is_named(
    copy: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    db = opened(copy)
    db.execute("DELETE FROM event WHERE seq = 1")
    closed(db)
    code, said = check(copy, capsys)

    assert code != 0
    assert "Event 1:" in said or "never set up" in said


def test_an_event_added_at_the_end_without_the_chain_is_named(
    copy: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    db = opened(copy)
    last = len(rows_of(db))
    added_at_the_end(db)
    closed(db)
    code, said = check(copy, capsys)

    assert code != 0
    assert f"Event {last + 1}:" in said


def test_a_bit_flipped_within_an_event_is_named(
    copy: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The disk's own damage, in the middle of a body."""
    db = sqlite3.connect(copy)
    (body,) = db.execute("SELECT body FROM event WHERE seq = ?", (AT,)).fetchone()
    db.close()
    stored = bytearray(copy.read_bytes())
    place = bytes(stored).index(body) + len(body) // 2
    stored[place] ^= 0x04
    copy.write_bytes(bytes(stored))
    code, said = check(copy, capsys)

    assert code != 0
    assert f"Event {AT}:" in said


def test_a_page_overwritten_is_told(
    copy: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    db = sqlite3.connect(copy)
    (body,) = db.execute("SELECT body FROM event WHERE seq = ?", (AT,)).fetchone()
    db.close()
    stored = copy.read_bytes()
    page = stored.index(body) // 4096 * 4096
    copy.write_bytes(stored[:page] + b"\xa5" * 4096 + stored[page + 4096 :])
    code, said = check(copy, capsys)

    assert code != 0
    assert f"Event {AT}" in said or "damaged" in said


def test_a_file_cut_short_is_told(
    copy: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    stored = copy.read_bytes()
    copy.write_bytes(stored[: len(stored) - 4096 * 2])
    code, said = check(copy, capsys)

    assert code != 0
    assert "damaged" in said or "SQLite says" in said or "can't be read" in said


def test_a_guard_taken_away_is_named(
    copy: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    db = sqlite3.connect(copy)
    db.execute("DROP TRIGGER event_is_never_changed")
    db.close()
    code, said = check(copy, capsys)

    assert code != 0
    assert "event_is_never_changed" in said


def body_changed(rows: list[Row]) -> list[Row]:
    """Make somebody's count larger."""
    row = rows[AT - 1]
    changed = (*row[:7], row[7].replace(b'"', b' "', 1), *row[8:])
    return [*rows[: AT - 1], changed, *rows[AT:]]


def slipped_in(rows: list[Row]) -> list[Row]:
    """Forge an event between two others, as an entry of its own."""
    row = rows[AT - 1]
    id_ = row[1][:-1] + ("0" if row[1][-1] != "0" else "1")
    forged = (row[0], id_, -1, *row[3:])
    return [*rows[:AT], forged, *rows[AT:]]


def another_shop(rows: list[Row]) -> list[Row]:
    """Another history altogether: only the set-up is the same."""
    return [rows[0], *rows[len(rows) // 2 :]]


REWRITTEN: dict[str, Callable[[list[Row]], list[Row]]] = {
    "the last events are cut off": lambda rows: rows[:-3],
    "the last entry alone is cut off": lambda rows: [
        row for row in rows if row[2] != rows[-1][2]
    ],
    "a body is changed and the chain made to fit": body_changed,
    "an event is taken out and the chain made to fit": lambda rows: (
        rows[: AT - 1] + rows[AT:]
    ),
    "an event is slipped in and the chain made to fit": slipped_in,
    "the file is another log": another_shop,
}
"""What nothing inside the file can show: only the head on paper does."""


@pytest.mark.parametrize("kind", REWRITTEN)
def test_a_log_rewritten_throughout_is_told_by_the_head_on_paper(
    copy: Path, capsys: pytest.CaptureFixture[str], kind: str
) -> None:
    """Without that head the file looks whole, and the answer says that it may."""
    printed = head_of(copy)
    db = opened(copy)
    rewritten(REWRITTEN[kind])(db)
    closed(db)
    alone, said = check(copy, capsys)
    anchored, told = check(copy, capsys, "--against", printed)

    assert alone == 0, said
    assert "Nothing inside the file can show" in said
    assert anchored != 0
    assert f"{printed} is not found" in told


def kinds() -> Iterator[str]:
    """Every kind of damage that a test above plants."""
    yield from NAMED
    yield from REWRITTEN
    yield from ("first event out", "added at the end", "bit flipped", "page lost",
                "cut short", "guard gone")  # fmt: skip


def test_at_least_twenty_kinds_are_planted() -> None:
    assert len(set(kinds())) >= 20
