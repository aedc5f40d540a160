"""Trouble with the file, the folder, or whoever was listening: said, or quiet."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from planner.commands import main as bows
from tests.commands.conftest import Typed
from tests.commands.small_shop import put

RUN = [sys.executable, "-W", "ignore", "-c",
       "from planner.commands.main import run; run()"]  # fmt: skip
ENV = {**os.environ, "PYTHONPATH": str(Path(bows.__file__).parents[2])}


@pytest.fixture(name="shop", autouse=True)
def _shop(tmp_path: Path) -> Path:
    return put(tmp_path)


def test_a_file_that_may_only_be_read_says_how_to_write(
    typed: Typed, shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Questions are answered; entries are refused with what to do."""
    monkeypatch.setattr("os.access", lambda path, mode, **more: False)
    asked, entered = typed("stock"), typed("sold 1 4in navy")

    assert asked.code == 0
    assert entered.code == 2
    assert entered.err.splitlines() == [
        f"{shop} may only be read; nothing was written.",
        "  try: Allow writing to the file and its folder, or work on a copy.",
    ]


@pytest.mark.parametrize("line", ["back-up {0}/none/copy.bows", "export {0}/none/x"])
def test_a_folder_that_is_not_there_is_named(
    line: str, typed: Typed, tmp_path: Path
) -> None:
    """Nothing is made of it silently; she is told what to do."""
    said = typed(line.format(tmp_path))

    assert said.code == 2
    assert "  try: " in said.err
    assert not (tmp_path / "none").exists()


@pytest.mark.parametrize(
    "words",
    [["export", ""], ["export", "log.jsonl", "--people", ""], ["import", ""],
     ["import", "there", "--people", ""], ["back-up", ""], ["rescue", ""],
     ["calendar", ""], ["tables", ""], ["csv", "stock", ""], ["take-in", ""],
     ["what-if", "", "due"], ["stock", "--page", ""]],
    ids=" ".join,
)  # fmt: skip
def test_a_name_of_no_letters_is_no_file(
    words: list[str], typed: Typed, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A shell gives it for "$FILE" where FILE was never set; nothing is written."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "there").write_text("{}")
    before = sorted(tmp_path.rglob("*"))
    said = typed(words)

    assert said.code == 2
    assert "bug of ours" not in said.err
    assert "  try: " in said.err
    assert sorted(tmp_path.rglob("*")) == before


@pytest.mark.parametrize("about", [[], ["--about", "S1"]])
def test_words_about_nobody_told_are_not_kept_for_good(
    about: list[str], typed: Typed, shop: Path
) -> None:
    """Meant for a person whose key is missing, they would stand in the log itself."""
    before = shop.read_bytes()
    said = typed(["note", "pays late", "--person", "", *about])

    assert said.code == 2
    assert "There is no person" in said.err
    assert shop.read_bytes() == before


def test_a_backup_into_a_missing_folder_says_to_make_it(
    typed: Typed, tmp_path: Path
) -> None:
    """Not that "it can't be used"."""
    said = typed(f"back-up {tmp_path}/none/copy.bows")

    assert said.err.splitlines() == [
        f"There is no folder {tmp_path}/none; nothing was written.",
        "  try: Make that folder first, or name another.",
    ]


def test_a_check_that_finds_damage_says_what_to_do(typed: Typed, shop: Path) -> None:
    """The file stays; a backup is looked at."""
    with sqlite3.connect(shop) as db:
        for (name,) in db.execute(
            "SELECT name FROM sqlite_master WHERE type = 'trigger'"
        ).fetchall():
            db.execute(f"DROP TRIGGER {name}")
        db.execute("UPDATE event SET happened = '2026-05-12' WHERE seq = 30")
    said = typed("check")

    assert said.code == 2
    assert "  try: keep" in said.err
    assert "bows --shop BACKUP check" in said.err


def piped(shop: Path, words: list[str], *, typed: str = "", read: int = 0) -> str:
    """Run a command whose reader goes away after some bytes; give its talk."""
    process = subprocess.Popen(
        [*RUN, "--shop", str(shop), *words], env=ENV, stdin=subprocess.PIPE,
        stdout=subprocess.PIPE, stderr=subprocess.PIPE,
    )  # fmt: skip
    assert process.stdin
    assert process.stdout
    assert process.stderr
    if not read:
        process.stdout.close()
    process.stdin.write(typed.encode())
    process.stdin.close()
    if read:
        process.stdout.read(read)
        process.stdout.close()
    talk = process.stderr.read().decode()
    process.stderr.close()
    assert process.wait() == 0, talk
    return talk


@pytest.mark.skipif(os.name == "nt", reason="pipes of another sort")
@pytest.mark.parametrize(
    "words", [["stock"], ["stock", "--json"], ["--help"], ["story", "S1", "--json"]]
)
def test_nobody_listening_is_no_trouble(words: list[str], shop: Path) -> None:
    """`bows stock | true` ends quietly."""
    talk = piped(shop, words)

    assert "roken" not in talk
    assert "bug of ours" not in talk
    assert "Traceback" not in talk


@pytest.mark.skipif(os.name == "nt", reason="pipes of another sort")
def test_an_evening_is_entered_whole_though_nobody_listens(shop: Path) -> None:
    """`bows log < lines | head -1` ends quietly, and every line was taken."""
    lines = "".join(f"sold 1 4in red for {n}.00\n" for n in range(1, 4))
    talk = piped(shop, ["log"], typed=lines)
    entries = subprocess.run(
        [*RUN, "--shop", str(shop), "entries", "--last", "3"], env=ENV, check=True,
        capture_output=True, text=True, encoding="utf-8",
    ).stdout  # fmt: skip

    assert "roken" not in talk
    assert "bug of ours" not in talk
    assert entries.count("bows sold") == 3
