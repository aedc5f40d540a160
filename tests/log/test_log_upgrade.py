"""A shop of an older format is brought up after a backup, or stays as it was."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest
from log_toys import TOYS, all_rows, fill

from planner.errors import Damaged, LogTrouble, NotAShop
from planner.log.check import check_log
from planner.log.schema import SCHEMA
from planner.log.store import Log

_INDEX = next(words for words in SCHEMA if "INDEX correction" in words)


@pytest.fixture(name="old")
def _old(shop: Path) -> Iterator[Path]:
    """An invented format 0, which had no index of corrections."""
    with Log.create(shop, using=TOYS) as log:
        fill(log, 5)
        log.db.execute("DROP INDEX correction")
        log.db.execute("PRAGMA user_version = 0")
    return shop


def _add_the_index(db: sqlite3.Connection) -> None:
    db.execute(_INDEX)


def _lose_an_event(db: sqlite3.Connection) -> None:
    db.execute("DROP TRIGGER event_is_never_deleted")
    db.execute("DELETE FROM event WHERE seq = 5")


def _fail_half_way(db: sqlite3.Connection) -> None:
    db.execute(_INDEX)
    raise sqlite3.OperationalError("disk I/O error")


def test_an_older_shop_is_brought_up_after_a_backup_beside_it(old: Path) -> None:
    before = old.read_bytes()
    with Log.open(old, using=TOYS, migrations={0: _add_the_index}) as log:
        assert check_log(log).whole
        assert len(all_rows(log)) == 5

    copy = old.with_name("shop-before-format-1-1.bows")
    assert sorted(old.parent.iterdir()) == [copy, old]
    assert copy.read_bytes()[:16] == before[:16]
    with Log.open(old, using=TOYS) as again:
        assert again.head().seq == 5
    assert sorted(old.parent.iterdir()) == [copy, old]
    with Log.open(copy, using=TOYS, migrations={0: _add_the_index}) as kept:
        assert kept.head().seq == 5


def test_an_earlier_backup_is_never_replaced(old: Path) -> None:
    earlier = old.with_name("shop-before-format-1-1.bows")
    earlier.write_text("mine")
    with Log.open(old, using=TOYS, migrations={0: _add_the_index}):
        pass

    assert earlier.read_text() == "mine"
    assert old.with_name("shop-before-format-1-2.bows").exists()


@pytest.mark.parametrize(
    ("migrations", "trouble", "why"),
    [
        ({}, NotAShop, "is of format 0, which nothing brings up"),
        ({0: _lose_an_event}, Damaged, "without changing its events"),
        ({0: _fail_half_way}, LogTrouble, "disk I/O error"),
    ],
)
def test_an_upgrade_that_fails_leaves_the_shop_as_it_was(
    old: Path, migrations: dict, trouble: type[Exception], why: str
) -> None:
    before = old.read_bytes()

    with pytest.raises(trouble, match=why):
        Log.open(old, using=TOYS, migrations=migrations)

    assert old.read_bytes() == before


def test_a_reader_asks_for_the_older_shop_to_be_brought_up_first(old: Path) -> None:
    with pytest.raises(LogTrouble, match="must be brought up first"):
        Log.open(old, using=TOYS, readonly=True, migrations={0: _add_the_index})

    assert list(old.parent.iterdir()) == [old]
