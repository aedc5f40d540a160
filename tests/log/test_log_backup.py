"""A backup proves itself, or leaves no file."""

from __future__ import annotations

import os
import stat
from contextlib import closing
from pathlib import Path

import pytest
from log_toys import TOYS, add, all_rows, cut, fill, guest, seeded

from planner.errors import Damaged, LogTrouble
from planner.log import backup, files, opening
from planner.log.backup import Backup, back_up, fingerprint
from planner.log.store import Log


def _spools(log: Log) -> str:
    return "".join(row[7].decode() for row in all_rows(log))


def test_a_backup_is_the_same_log_with_the_same_people(
    log: Log, tmp_path: Path
) -> None:
    target = tmp_path / "copy of it.bows"
    fill(log, 30)
    add(log, guest("P1", name="Ilse Brandt", rand=seeded()))

    made = back_up(log, target, refold=_spools)

    assert made == Backup(target, log.head(), fingerprint(log, refold=_spools))
    with Log.open(target, using=TOYS) as copy:
        assert all_rows(copy) == all_rows(log)
        assert copy.private_rows() == log.private_rows()
        add(copy, cut())
    assert sorted(path.name for path in tmp_path.iterdir()) == [
        "copy of it.bows",
        "shop.bows",
    ]


@pytest.mark.skipif(os.name == "nt", reason="Windows keeps rights another way")
def test_only_its_owner_may_read_a_backup(log: Log, tmp_path: Path) -> None:
    back_up(log, tmp_path / "copy.bows")

    assert stat.S_IMODE((tmp_path / "copy.bows").stat().st_mode) == 0o600


def test_a_backup_never_takes_the_place_of_a_file(log: Log, tmp_path: Path) -> None:
    target = tmp_path / "notes.txt"
    target.write_text("mine")

    with pytest.raises(LogTrouble, match="it stays as it is"):
        back_up(log, target)

    assert target.read_text() == "mine"


def test_a_file_that_appears_meanwhile_is_not_replaced(
    log: Log, tmp_path: Path
) -> None:
    target = tmp_path / "copy.bows"

    def late(some: Log) -> str:
        target.write_text("mine")
        return ""

    with pytest.raises(LogTrouble, match="it stays as it is"):
        back_up(log, target, refold=late)

    assert target.read_text() == "mine"
    assert len(list(tmp_path.iterdir())) == 2


def test_without_links_a_file_still_appears_whole_and_replaces_none(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A memory stick's file system knows no links."""

    def no_links(*_: object) -> None:
        raise OSError("not supported")

    monkeypatch.setattr(files.os, "link", no_links)
    target = tmp_path / "copy.bows"
    with files.appearing(target) as made:
        made.write_text("whole")
    with pytest.raises(LogTrouble), files.appearing(target) as made:
        made.write_text("other")

    assert target.read_text() == "whole"
    assert list(tmp_path.iterdir()) == [target]


@pytest.mark.parametrize(
    "tampering",
    [
        "DROP TRIGGER event_is_never_changed;"
        " UPDATE event SET body = x'7b7d' WHERE seq = 3",
        "DROP TRIGGER event_is_never_changed",
        "DROP TRIGGER private_is_never_changed; UPDATE private SET text = 'x'",
    ],
)
def test_a_damaged_log_gives_no_backup(
    log: Log, tmp_path: Path, tampering: str
) -> None:
    fill(log, 5)
    add(log, guest("P1", name="Ilse Brandt", rand=seeded()))
    log.db.executescript(tampering)

    with pytest.raises(Damaged, match="is damaged, so no backup was made"):
        back_up(log, tmp_path / "copy.bows")

    assert [path.name for path in tmp_path.iterdir()] == ["shop.bows"]


def test_a_copy_that_lost_something_on_the_way_is_not_kept(
    log: Log, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Here a private text, which the chain doesn't cover."""

    def lossy(source: Log, made: Path) -> None:
        with closing(opening.connect(made)) as copy:
            source.db.backup(copy)
            copy.execute("DELETE FROM private")

    add(log, guest("P1", name="Ilse Brandt", rand=seeded()))
    monkeypatch.setattr(backup, "_copy", lossy)

    with pytest.raises(Damaged, match="is not the same; none was kept"):
        back_up(log, tmp_path / "copy.bows")

    assert [path.name for path in tmp_path.iterdir()] == ["shop.bows"]


def test_the_fold_of_the_copy_is_compared_too(log: Log, tmp_path: Path) -> None:
    with pytest.raises(Damaged, match="is not the same"):
        back_up(log, tmp_path / "copy.bows", refold=lambda some: some.path.name)


def test_the_log_can_be_written_again_after_a_backup(log: Log, tmp_path: Path) -> None:
    back_up(log, tmp_path / "copy.bows")
    with Log.open(log.path, using=TOYS, patience=0) as other:
        add(other, cut())

    assert log.head().seq == 1


def test_what_a_killed_program_left_is_taken_away_after_an_hour(
    log: Log, tmp_path: Path
) -> None:
    """It may hold names; one still being written stays."""
    old, new, hers = (
        tmp_path / name
        for name in (f"{files.PREFIX}a.part", f"{files.PREFIX}b.part", ".other-a.part")
    )
    for one in (old, new, hers):
        one.write_bytes(b"Ilse")
    two_hours_ago = new.stat().st_mtime - 2 * files.AN_HOUR
    for one in (old, hers):
        os.utime(one, (two_hours_ago, two_hours_ago))

    back_up(log, tmp_path / "copy.bows")

    assert (old.exists(), new.exists(), hers.exists()) == (False, True, True)
