"""The cache at work: answers stay the same, whatever becomes of it."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from random import Random
from typing import Any

import pytest

from planner.commands import caching
from planner.commands.session import Session
from planner.errors import CacheLost
from planner.ledgers import laws
from planner.ledgers.keeping import Head

from .conftest import DAY, Typed

QUESTIONS = ("stock", "spools", "orders", "fairs", "due", "supplies", "catalogue",
             "bundles", "why 4in navy", "story S34")  # fmt: skip


@pytest.fixture(name="shop")
def _shop(demo: Typed, tmp_path: Path) -> Path:
    return tmp_path / "shop" / "shop.bows"


def _file(shop: Path) -> Path:
    return caching.cache_path(shop)


def _head(shop: Path) -> Head | None:
    with Session(shop).log as log:
        found = caching.resume(log)
        if found is None:
            return None
        found[1].file.close()
        return found[1].head


def _answers(typed: Typed) -> list[str]:
    return [f"{said.code} {said.out}" for said in map(typed, QUESTIONS)]


def test_answers_are_the_same_with_and_without(demo: Typed, shop: Path) -> None:
    """Also after entries that only the tail holds, late ones and counts among them."""
    _answers(demo)
    assert _head(shop) is not None
    for line in ("sold 1 4in navy", "cut 2 4in navy", "count 7 4in navy",
                 "made 1 4in navy 20min --on yesterday", "order pay O3 5.00",
                 "count --whole 3 4in navy",
                 "have 2 4in red --on 2026-05-01"):  # fmt: skip
        demo(line)
    cached = _answers(demo)
    _file(shop).unlink()

    assert _answers(demo) == cached


def test_what_was_worked_out_is_kept_until_it_changes(
    demo: Typed, shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Asked again, nothing is learned anew; after a batch, her pace is."""
    from planner.engines import pace

    looked: list[object] = []
    real = pace.observations

    def observations(*args: Any) -> Any:
        looked.append(args)
        return real(*args)

    monkeypatch.setattr(pace, "observations", observations)
    first = demo("due").out
    assert demo("due").out == first
    assert len(looked) == 1
    demo("sold 1 4in navy")
    demo("due")
    assert len(looked) == 1
    demo("made 2 4in navy 30min")
    demo("due")
    assert len(looked) == 2


def test_a_cache_is_a_full_fold(demo: Typed, shop: Path) -> None:
    """The same fingerprint, over everything that ledgers hold."""
    demo("stock")
    demo("sold 2 4in navy")
    resumed, fresh = Session(shop), Session(shop)

    assert laws.fingerprint(resumed.ledgers()) == laws.fingerprint(fresh.folded())
    assert laws.broken(resumed.ledgers()) == []
    resumed.close()
    fresh.close()


def test_an_entry_taken_back_is_folded_anew(demo: Typed, shop: Path) -> None:
    """A correction changes what is long past, and what the cache made of it."""
    before = demo("stock").out
    demo("sold 1 4in navy")
    assert demo("stock").out != before
    demo("undo")

    after = demo("stock").out
    assert [x for x in after.splitlines() if "head" not in x] == [
        x for x in before.splitlines() if "head" not in x
    ]


def test_the_cache_follows_the_log(
    demo: Typed, shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A question brings it up; entries only when many have come together."""
    monkeypatch.setattr(caching, "A_FEW", 3)
    monkeypatch.setattr(caching, "TAIL", 5)
    demo("stock")
    first = _head(shop)
    for _ in range(3):
        demo("sold 1 4in navy")
    assert first is not None
    assert _head(shop) == first
    demo("stock")
    second = _head(shop)
    assert second is not None
    assert second.seq == first.seq + 3
    for _ in range(6):
        demo("sold 1 4in navy")
    third = _head(shop)
    assert third is not None
    assert third.seq == second.seq + 5


@pytest.mark.parametrize("seed", range(25))
def test_a_damaged_cache_never_shows(demo: Typed, shop: Path, seed: int) -> None:
    """Whatever bytes are wrong, she gets the same answer."""
    right = demo("stock").out
    file, chance = _file(shop), Random(seed)
    data = bytearray(file.read_bytes())
    if seed % 5 == 0:
        del data[chance.randrange(len(data)) :]
    else:
        for _ in range(chance.choice((1, 30, 3000))):
            data[chance.randrange(len(data))] ^= 1 << chance.randrange(8)
    file.write_bytes(data)
    caching._off.clear()

    said = demo("stock")
    assert (said.code, said.out) == (0, right)
    assert demo("sold 1 4in navy").code == 0
    caching._off.clear()


def test_a_cache_lost_in_the_middle_of_an_entry_writes_it_once(
    demo: Typed, shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The rule is asked once more, of ledgers folded anew."""
    demo("stock")
    taken, lost = caching.take_up, []

    def cut_off(*args: object, **more: object) -> object:
        led = taken(*args, **more)  # type: ignore[arg-type]
        if not lost:
            lost.append(led)

            def gone() -> object:
                raise CacheLost("gone")

            led.plain = dict.fromkeys(led.plain, gone)
        return led

    monkeypatch.setattr(caching, "take_up", cut_off)
    with Session(shop).log as log:
        before = log.head().entry
    assert demo("sold 1 4in navy").code == 0
    caching._off.clear()

    with Session(shop).log as log:
        assert log.head().entry == before + 1
    assert len(lost) == 1


def test_code_that_changed_folds_anew(
    demo: Typed, shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What other code made of the log may mean something else."""
    demo("stock")
    assert _head(shop) is not None
    monkeypatch.setattr(caching, "FORMAT", caching.FORMAT + 1)

    # This process goes on with the code it began with; the next one has the new.
    assert _head(shop) is not None
    caching.code_version.cache_clear()
    assert _head(shop) is None
    assert demo("stock").code == 0
    assert _head(shop) is not None
    caching.code_version.cache_clear()


def test_another_log_in_its_place_is_folded_anew(demo: Typed, shop: Path) -> None:
    """A backup put back lacks what the cache knows, or has other events there."""
    old = shop.read_bytes()
    for _ in range(30):
        demo("sold 1 4in navy")
    demo("stock")
    assert _head(shop) is not None
    shop.write_bytes(old)

    assert _head(shop) is None


def test_a_cache_that_can_not_be_written_is_no_trouble(
    demo: Typed, shop: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """Nor one that can't be read."""
    right = demo("stock").out
    blocked = tmp_path / "a file"
    blocked.touch()
    monkeypatch.setenv("BOWS_CACHE", str(blocked))
    said = demo("stock")

    assert (said.code, said.out, said.err) == (0, right, said.err)
    assert "Traceback" not in said.err


def test_questions_about_another_day_leave_the_cache_alone(
    demo: Typed, shop: Path
) -> None:
    """It holds today's ledgers and no others."""
    demo("stock --as-of 2026-04-01")
    demo("stock --known-on 2026-04-01")

    assert not _file(shop).exists()


def test_forgetting_somebody_wipes_the_cache(small: Typed, tmp_path: Path) -> None:
    """No file of ours holds the name then, and none ever was in the cache."""
    shop = tmp_path / "shop" / "shop.bows"
    small('order take 2 4in navy --for "Aldous Quillfeather" --due 2026-06-01')
    for _ in range(20):
        small("have 1 4in red")
    small("stock")
    assert b"Quillfeather" not in _file(shop).read_bytes()
    assert small(["--yes", "forget", "P1"]).code == 0

    assert [p for p in _file(shop).parent.iterdir() if p.stem == _file(shop).stem] == []


def test_the_name_of_the_file_tells_nothing(shop: Path) -> None:
    """Not even where the shop lies."""
    assert _file(shop).suffix == ".cache"
    assert len(_file(shop).stem) == 32
    assert "shop" not in _file(shop).name


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere platformdirs is asked")
def test_the_cache_lies_where_caches_of_this_user_do(
    shop: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """As platformdirs says, which a write has no time to load."""
    from platformdirs import user_cache_path

    monkeypatch.delenv("BOWS_CACHE")
    for told in ("", str(tmp_path / "xdg")):
        monkeypatch.setenv("XDG_CACHE_HOME", told)
        where = user_cache_path("spool-to-stall", appauthor=False)
        assert caching.cache_path(shop).parent == where


_PROBE = """
import sys
from freezegun import freeze_time
before = set(sys.modules)
from planner.commands import main
with freeze_time({day!r}, tick=False):
    code = main.main(["--shop", {shop!r}, "sold", "1", "4in", "navy"])
print(code, *(name for name in set(sys.modules) - before
              if name.startswith("planner.events.")
              or name in ("numpy", "scipy", "jinja2", "sqlite_utils")))
"""


def test_an_entry_decodes_nothing_of_the_past(demo: Typed, shop: Path) -> None:
    """With the cache, the classes of other events are not even made."""
    demo("stock")
    script = _PROBE.format(day=DAY, shop=str(shop))
    done = subprocess.run(
        [sys.executable, "-W", "ignore", "-c", script],
        capture_output=True, text=True, encoding="utf-8", check=False,
        env={**os.environ, "PYTHONPATH": str(Path(caching.__file__).parents[2])},
    )  # fmt: skip
    code, *loaded = done.stdout.splitlines()[-1].split()

    assert code == "0", done.stderr
    assert set(loaded) == {
        f"planner.events.{name}" for name in ("base", "fields", "selling")
    }


def test_a_cache_that_lacks_a_part_is_folded_anew(
    demo: Typed, shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Written by another version under this one's name, say."""
    right = demo("stock").out
    read = caching.read_head

    def lacking(file: Any) -> Head:
        head = read(file)
        del head.shelves["pages.orders"]
        return head

    monkeypatch.setattr(caching, "read_head", lacking)

    assert _head(shop) is None
    assert (said := demo("stock")).code == 0
    assert said.out == right
