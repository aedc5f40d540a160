"""Nobody is named where others look; nothing calls out; the forgotten are gone."""

from __future__ import annotations

import os
import re
import shlex
import socket
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from freezegun import freeze_time

from planner.commands import caching
from planner.log.store import Log
from tests.commands.conftest import DAY, Typed
from tests.commands.small_shop import put
from tests.commands.test_help import COMMANDS, example_of
from tests.fuzz.typing import own_folder, type_line, whole

NAME, PLACE = "Aldous Quillfeather", "11 Gannet Row, Port Elsewhere"
CALLS = (
    "socket.", "urllib.", "http.", "ftplib.", "smtplib.", "imaplib.", "poplib.",
    "telnetlib.", "webbrowser.", "subprocess.", "os.system", "os.exec", "os.spawn",
    "os.posix_spawn", "os.fork",
)  # fmt: skip
"""What Python itself tells its auditors when anything reaches out or listens."""

_watched: list[list[str]] = []


def _audit(event: str, _: object) -> None:
    if _watched and event.startswith(CALLS):
        _watched[-1].append(event)


sys.addaudithook(_audit)


@contextmanager
def watched() -> Iterator[list[str]]:
    """Cut the network off and note whatever reaches for it, or for a process."""
    seen: list[str] = []
    with pytest.MonkeyPatch.context() as patch:
        for name in ("socket", "create_connection", "getaddrinfo", "create_server"):
            patch.setattr(socket, name, _no_network)
        _watched.append(seen)
        try:
            yield seen
        finally:
            _watched.pop()


def _no_network(*_: object, **__: object) -> None:
    raise OSError("the network is cut")


def test_the_watch_sees_what_calls_out() -> None:
    """A test of the test: a look-up and a socket of the system are both seen."""
    import _socket

    with watched() as seen:
        _socket.socket().close()
        with pytest.raises(OSError, match="cut"):
            socket.getaddrinfo("localhost", 1)

    assert seen == ["socket.__new__"]


CODES = {
    r"\bS\d+\b": "S1", r"\bC\d+\b": "C1", r"\bB\d+\b": "B1", r"\bO\d+\b": "O1",
    r"\bF\d+\b": "F1", r"\bP\d+\b": "P1", r"\b(blush|slate|butter|plum)\b": "navy",
}  # fmt: skip


def _example(name: str, target: str) -> list[str]:
    line = example_of(name, target)
    for code, known in CODES.items():
        line = re.sub(code, known, line)
    words = shlex.split(line)
    return words[1:] if words[0] == "bows" else name.split()


@pytest.mark.parametrize(("name", "target"), COMMANDS, ids=[n for n, _ in COMMANDS])
def test_no_command_listens_or_calls_out(
    name: str, target: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With the network cut each does the same; not a socket is made, nor a process."""
    with freeze_time(DAY, tick=False), own_folder() as folder:
        monkeypatch.setenv("HOME", str(folder))
        free = type_line(_example(name, target), folder)
    with freeze_time(DAY, tick=False), own_folder() as folder, watched() as seen:
        monkeypatch.setenv("HOME", str(folder))
        cut = type_line(_example(name, target), folder)

    assert seen == []
    assert (cut.code, cut.wrote) == (free.code, free.wrote)
    assert cut.code in (0, 2)


# -- names -----------------------------------------------------------------------------


@pytest.fixture(name="shop")
def _shop(tmp_path: Path, typed: Typed) -> Path:
    """A shop with somebody who has two orders, an address and a note."""
    shop = put(tmp_path)
    for line in (
        f"order take '2 4in red' --due fri --for '{NAME}' --note 'lives at {PLACE}'",
        "order take '1 4in navy' --due 'next sat' --for P2 --deposit 3",
        f"note --person P2 '{NAME} likes {PLACE}'",
        *(f"have {n} 4in white" for n in range(1, 30)),
        "stock",
    ):
        assert typed(line).code == 0, line
    return shop


TO_SHOW = (
    "due --hide-names", "fair plan F1", "stock", "story S1", "story --all", "cutting",
    "bench", "how-good", "labels 2 B1", "trim 'classic 4 in'",
    "rush 2 4in red --due fri",
)  # fmt: skip


@pytest.mark.parametrize("line", TO_SHOW)
def test_a_page_to_show_names_nobody(
    line: str, typed: Typed, shop: Path, tmp_path: Path
) -> None:
    """What hangs at the bench or the stall says whose order it is by its code alone."""
    said = typed(f"{line} --page '{tmp_path}/page.html'")
    page = tmp_path / "page.html"

    assert said.code == 0, said.err
    assert [word for word in NAME.split() if word in page.read_text("utf-8")] == []
    assert "Quillfeather" not in said.out + said.err


def test_calendar_tables_and_export_name_nobody(
    typed: Typed, shop: Path, tmp_path: Path
) -> None:
    """People stand there by their keys; names leave only with --people."""
    for line in ("calendar a.ics", "tables b.db", "csv orders c.csv", "export d.jsonl"):
        command, *rest, file = line.split()
        said = typed([command, *rest, str(tmp_path / file)])
        assert said.code == 0, said.err

        assert b"Quillfeather" not in (tmp_path / file).read_bytes(), line


def test_no_file_is_called_by_a_name(typed: Typed, shop: Path, tmp_path: Path) -> None:
    """Neither a page nor a backup, a cache or a leftover."""
    assert typed(f"report '{tmp_path}/pages'").code == 0
    assert typed(f"back-up '{tmp_path}'").code == 0
    folders = (tmp_path, caching.cache_path(shop).parent)
    files = [one.name for folder in folders for one in folder.rglob("*")]

    assert len(files) > 5
    assert [one for one in files if re.search("quill|aldous|gannet", one, re.I)] == []


@pytest.mark.parametrize("line", ["order hand O9", "forget P9", "order pay O2 none"])
def test_a_refusal_names_nobody(line: str, typed: Typed, shop: Path) -> None:
    """What may be copied into a mail for help has no name in it."""
    said = typed(line)

    assert said.code == 2
    assert "Quillfeather" not in said.out + said.err


def test_a_bug_of_ours_tells_no_name(
    typed: Typed, shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nor is anything of it written to a file: there is no log of errors at all."""
    before = sorted(shop.parent.rglob("*"))
    monkeypatch.setattr(Log, "head", lambda self: 1 / 0)

    said = typed("people")
    bug = typed("have 1 4in red")

    assert (said.code, bug.code) == (0, 1)
    assert "Quillfeather" not in bug.out + bug.err
    assert sorted(shop.parent.rglob("*")) == before


@pytest.mark.skipif(os.name == "nt", reason="Windows has no such modes")
def test_only_the_owner_reads_what_may_name_somebody(
    typed: Typed, shop: Path, tmp_path: Path
) -> None:
    """Whatever the shell's own habit, and in a folder that others may look into."""
    tmp_path.chmod(0o755)
    before = os.umask(0)
    try:
        made = typed("stock")
        typed(f"due --page '{tmp_path}/due.html'")
        typed(f"back-up '{tmp_path}/copy.bows'")
        typed(f"export '{tmp_path}/log.jsonl' --people '{tmp_path}/people.jsonl'")
        typed(f"calendar '{tmp_path}/dues.ics'")
        typed("open --name Other --zone UTC", shop=tmp_path / "other.bows")
    finally:
        os.umask(before)
    cache = caching.cache_path(shop)
    files = [one for one in tmp_path.rglob("*") if one.is_file() and one != shop]
    files.append(cache)

    assert made.code == 0
    assert len(files) == 7
    assert {str(f): oct(f.stat().st_mode & 0o077) for f in files} == {
        str(f): "0o0" for f in files
    }


# -- forgetting ------------------------------------------------------------------------


def _traces(text: str) -> list[bytes]:
    """Give the bytes a name may stand as, whole and word by word."""
    parts = [text, *text.split()]
    forms = {form for part in parts for form in (part, part.lower(), part.upper())}
    return [f.encode(code) for f in forms for code in ("utf-8", "utf-16-le")]


def test_who_is_forgotten_is_in_no_byte_of_any_file(
    typed: Typed, shop: Path, tmp_path: Path
) -> None:
    """Not in the shop file, its free pages or the cache; and the chain holds."""
    with Log.open(shop, readonly=True) as log:
        salts = [row[4] for row in log.private_rows() if row[1] == "P2"]
        before = [row for rows in log.rows() for row in rows]
    traces = [*_traces(NAME), *_traces("Gannet"), *salts]
    assert any(trace in shop.read_bytes() for trace in traces)

    assert typed(["--yes", "forget", "P2"]).code == 0
    typed("stock")

    folders = (tmp_path, caching.cache_path(shop).parent)
    files = [one for top in folders for one in top.rglob("*") if one.is_file()]
    bare = b"\n".join(one.read_bytes() for one in files)
    with Log.open(shop, readonly=True) as log:
        after = [row for rows in log.rows() for row in rows]
    assert len(salts) == 3
    assert [trace for trace in traces if trace in bare] == []
    assert after[: len(before)] == before
    assert whole(shop) == []
    assert "Maren Oak" in typed("people").out


@pytest.mark.parametrize(
    "line",
    [
        "order off O2 --why 'aldous quillfeather moved away'",
        "note 'rang Aldous Quillfeather, no answer'",
        "write-off 1 4in red --why 'for Aldous Quillfeather'",
    ],
)
def test_a_name_is_not_put_where_it_can_not_be_forgotten(
    line: str, typed: Typed, shop: Path
) -> None:
    """Free words of an entry are kept for good; told so, she may still insist."""
    before = shop.read_bytes()
    said = typed(line)

    assert said.code == 2
    assert "is P2, and these words are kept for good." in said.err
    assert "bows note --person P2" in said.err
    assert shop.read_bytes() == before
    assert typed(["--yes", *shlex.split(line)]).code == 0
