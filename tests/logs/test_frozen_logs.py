"""Logs of every released format still open, verify and fold to what they told."""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from planner.commands.main import main
from planner.commands.session import Session, current
from planner.events.selling import BowsSold
from planner.log.check import check_log
from planner.log.codec import decode_many
from planner.log.schema import FORMAT, MIGRATIONS, SCHEMA
from planner.log.store import Log

FROZEN = Path(__file__).parent / "format-1.bows"
INCH = 25_400_000
KIND = "classic-4in:navy-1.5in"


def opened(tmp_path: Path) -> Path:
    return Path(shutil.copy(FROZEN, tmp_path / "shop.bows"))


def test_a_log_of_the_first_format_verifies(tmp_path: Path) -> None:
    """Its chain holds as it was written, old bodies and all."""
    with Log.open(opened(tmp_path)) as log:
        report = check_log(log)

    assert report.whole
    assert report.events == 10


def test_a_sale_of_the_first_version_is_brought_up(tmp_path: Path) -> None:
    """Version 1 sold one kind as `made` and `count`; it reads as today's sale."""
    with Log.open(opened(tmp_path)) as log:
        rows = [row for chunk in log.rows() for row in chunk if row[3] == "bows-sold"]

    assert [row[4] for row in rows] == [1, 1]
    assert b'"made"' in rows[0][7]
    assert decode_many(rows) == [
        BowsSold(bows=((KIND, 3),), taken=2400, place="home"),
        BowsSold(bows=((KIND, 1),), taken=800, place="home"),
    ]


def test_a_log_of_the_first_format_folds_to_what_it_told(tmp_path: Path) -> None:
    """6 bows made and 4 sold leave 2; 50 yd less 6 × 32 in, read at 44 yd."""
    session = Session(opened(tmp_path))
    led = session.folded()
    session.close()

    assert dict(led.bows.balance(KIND).accounts) == {
        "finished": -6, "at:home": 2, "sold": 4,
    }  # fmt: skip
    assert dict(led.ribbon.balance("S1").accounts) == {
        "opening": -50 * 36 * INCH,
        "left": 44 * 36 * INCH,
        "bows": 6 * 32 * INCH,
        "not yet explained": (50 * 36 - 44 * 36 - 6 * 32) * INCH,
    }
    assert dict(led.money.balance("shop").accounts) == {
        "paid:ribbon": 1450, "bank": -1450, "sales:retail": -3200, "cash": 3200,
    }  # fmt: skip


def test_every_format_up_to_today_s_has_its_frozen_log() -> None:
    """A new format keeps a log of the one before it here."""
    kept = {path.name for path in FROZEN.parent.glob("format-*.bows")}

    assert kept == {f"format-{number}.bows" for number in range(1, FORMAT + 1)}


def test_a_command_on_an_older_shop_makes_a_backup_and_then_answers(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """As she meets it: she types a question, and a copy of the old file stands by."""
    index = next(words for words in SCHEMA if "INDEX correction" in words)
    monkeypatch.setitem(MIGRATIONS, 0, lambda db: db.execute(index))
    shop = opened(tmp_path)
    with closing(sqlite3.connect(shop)) as old:
        old.execute("DROP INDEX correction")
        old.execute("PRAGMA user_version = 0")
        old.commit()
        events = old.execute("SELECT * FROM event ORDER BY seq").fetchall()

    code = main(["--shop", str(shop), "spools"])
    current().close()

    copy = tmp_path / "shop-before-format-1-1.bows"
    with closing(sqlite3.connect(copy)) as kept:
        assert kept.execute("PRAGMA user_version").fetchone() == (0,)
        assert kept.execute("SELECT * FROM event ORDER BY seq").fetchall() == events
    with Log.open(shop) as log:
        assert check_log(log).whole
        assert [row for rows in log.rows() for row in rows] == events
    assert (code, "S1" in capsys.readouterr().out) == (0, True)
