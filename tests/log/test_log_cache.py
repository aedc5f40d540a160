"""The cache's file: what was written or nothing, for its owner alone."""

from __future__ import annotations

import os
import sqlite3
import stat
from collections.abc import Iterator
from pathlib import Path
from random import Random

import pytest

from planner.errors import CacheLost
from planner.log.cache import Cache, build, wipe

CELLS = [(0, b"head"), (7, b"seven"), (8, b""), (9, bytes(range(256)) * 20)]


@pytest.fixture(name="path")
def _path(tmp_path: Path) -> Path:
    return tmp_path / "its own folder" / "0123.cache"


@pytest.fixture(name="cache")
def _cache(path: Path) -> Iterator[Cache]:
    assert build(path, CELLS)
    cache = Cache.open(path)
    assert cache is not None
    yield cache
    cache.close()


def test_what_was_written_is_read(cache: Cache) -> None:
    """Cell by cell, or several in a row."""
    assert [cache.get(number) for number, _ in CELLS] == [data for _, data in CELLS]
    assert cache.span(7, 3) == [data for _, data in CELLS[1:]]


def test_a_cell_that_is_not_there_is_lost(cache: Cache) -> None:
    """What can't be read was not written by us."""
    with pytest.raises(CacheLost):
        cache.get(1)
    with pytest.raises(CacheLost):
        cache.span(6, 4)


@pytest.mark.skipif(os.name == "nt", reason="folders there are private by themselves")
def test_file_and_folder_are_for_their_owner_alone(cache: Cache, path: Path) -> None:
    """What she has in stock is nobody else's business."""
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert stat.S_IMODE(path.parent.stat().st_mode) == 0o700


@pytest.mark.skipif(os.name == "nt", reason="no such modes there")
def test_a_file_that_others_may_use_is_not_trusted(path: Path) -> None:
    """Whoever can write it could make her records up."""
    build(path, CELLS)
    path.chmod(0o666)

    assert Cache.open(path) is None


def test_changed_cells_are_written_and_dropped_ones_gone(
    cache: Cache, path: Path
) -> None:
    """Those that didn't change stay as they were."""
    assert cache.update([(7, b"VII"), (0, b"new head")], [8], b"head")
    cache.close()

    again = Cache.open(path)
    assert again is not None
    assert [again.get(n) for n in (0, 7, 9)] == [b"new head", b"VII", CELLS[3][1]]
    with pytest.raises(CacheLost):
        again.get(8)
    again.close()


def test_of_two_processes_the_first_to_write_goes_before(
    cache: Cache, path: Path
) -> None:
    """The other's ledgers came out of cells that are no longer those."""
    other = Cache.open(path)
    assert other is not None
    other.close()
    other = Cache.open(path)
    assert other is not None
    cache.close()
    assert other.update([(0, b"newer"), (7, b"x")], [], b"head")
    other.close()

    late = Cache.open(path)
    assert late is not None
    assert not late.update([(0, b"mine"), (7, b"y")], [], b"head")
    late.close()
    last = Cache.open(path)
    assert last is not None
    assert (last.get(0), last.get(7)) == (b"newer", b"x")
    last.close()


def test_a_reader_keeps_what_it_began_with(cache: Cache, path: Path) -> None:
    """While it computes, a writer gives up and a whole new cache takes its place."""
    assert cache.get(7) == b"seven"
    other = Cache.open(path)
    assert other is not None
    assert not other.update([(0, b"newer"), (7, b"x")], [], b"head")
    assert build(path, [(0, b"newest"), (7, b"z")])

    assert cache.get(7) == b"seven"
    other.close()


def test_a_full_disk_or_a_folder_that_may_only_be_read_is_no_trouble(
    tmp_path: Path,
) -> None:
    """There is then no cache."""
    blocked = tmp_path / "a file"
    blocked.touch()

    assert not build(blocked / "0123.cache", CELLS)
    assert Cache.open(blocked / "0123.cache") is None


@pytest.mark.parametrize("seed", range(60))
def test_damage_is_noticed_or_does_no_harm(path: Path, seed: int) -> None:
    """Bytes flipped or cut off anywhere: what is read is what was written, or lost."""
    build(path, CELLS)
    chance, data = Random(seed), bytearray(path.read_bytes())
    if seed % 5 == 0:
        del data[chance.randrange(len(data)) :]
    else:
        for _ in range(chance.choice((1, 1, 40))):
            data[chance.randrange(len(data))] ^= 1 << chance.randrange(8)
    path.write_bytes(data)
    cache = Cache.open(path)

    for number, written in CELLS if cache is not None else ():
        try:
            assert cache is not None
            assert cache.get(number) == written
        except CacheLost:
            pass


def test_wiping_leaves_nothing(cache: Cache, path: Path) -> None:
    """Nor what an unfinished one has left; other shops' caches stay."""
    cache.close()
    leftover = path.with_name(path.name + ".99.part")
    other = path.with_name("4567.cache")
    leftover.touch()
    other.touch()
    wipe(path)

    assert list(path.parent.iterdir()) == [other]


def test_what_is_no_cache_at_all_is_not_taken_for_one(path: Path) -> None:
    """An empty file, text, another data base."""
    build(path, CELLS)
    for content in (b"", b"not a data base " * 400):
        path.write_bytes(content)
        cache = Cache.open(path)
        if cache is not None:
            with pytest.raises(CacheLost):
                cache.get(0)
    path.unlink()
    other = sqlite3.connect(path)
    other.execute("CREATE TABLE cell (x)")
    other.close()
    path.chmod(0o600)
    cache = Cache.open(path)
    assert cache is not None
    with pytest.raises(CacheLost):
        cache.get(0)
