"""What typing a line in a folder of its own came to, and what must hold of it."""

from __future__ import annotations

import io
import json
import os
from collections.abc import Iterator, Sequence
from contextlib import chdir, contextmanager, redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from unittest.mock import patch

from planner.commands.main import main
from planner.commands.session import Session, current
from planner.ledgers import laws
from planner.log.check import check_log
from planner.log.store import Log
from tests.commands.small_shop import small_shop

EXAMPLES = int(os.environ.get("BOWS_FUZZ", "8"))
"""Lines tried a command; BOWS_FUZZ=500 looks longer and elsewhere."""
SEEDED = "BOWS_FUZZ" not in os.environ
"""Whether the same lines are tried each time."""


@dataclass(frozen=True)
class Answer:
    """What a command line came to."""

    code: int
    out: str
    err: str
    wrote: bool


@contextmanager
def own_folder() -> Iterator[Path]:
    """Work in a folder with a copy of the small shop and some files of hers."""
    with TemporaryDirectory() as name, chdir(name):
        folder = Path(name)
        (folder / "shop").mkdir()
        (folder / "shop" / "shop.bows").write_bytes(small_shop())
        (folder / "there").write_text("mine")
        (folder / "lines.csv").write_text("day,line\n2026-05-12,have 2 4in red\n")
        (folder / "what-if.txt").write_text("tomorrow: in navy 1.5in 100yd\n")
        yield folder


def type_line(
    words: Sequence[str], folder: Path, *, typed: str = "", shop: Path | None = None
) -> Answer:
    """Type a line, and on it what `typed` has, as a process would see it."""
    shop = shop or folder / "shop" / "shop.bows"
    before = _bytes(shop)
    out, err = _stream(), _stream()
    with redirect_stdout(out), redirect_stderr(err), patch("sys.stdin", _lines(typed)):
        code = main(["--shop", str(shop), *words])
        current().close()
    return Answer(code, _text(out), _text(err), _bytes(shop) != before)


def _bytes(shop: Path) -> bytes:
    return shop.read_bytes() if shop.exists() else b""


def _stream() -> io.TextIOWrapper:
    """Make a stream as `run` makes standard output and error."""
    return io.TextIOWrapper(io.BytesIO(), encoding="utf-8", errors="replace")


def _lines(typed: str) -> io.TextIOWrapper:
    told = typed.encode("utf-8", "surrogateescape")
    return io.TextIOWrapper(io.BytesIO(told), encoding="utf-8")


def _text(stream: io.TextIOWrapper) -> str:
    stream.flush()
    return stream.buffer.getvalue().decode("utf-8")  # type: ignore[attr-defined]


def must_hold(words: Sequence[str], answer: Answer, folder: Path) -> None:
    """No bug reaches her; a refusal writes nothing; what is written is whole."""
    told = f"{list(words)!r}\n{answer.out}\n{answer.err}"
    assert "Traceback" not in answer.out + answer.err, told
    assert answer.code in (0, 2), told
    if answer.code == 2 and words[0] != "log":
        assert not answer.wrote, told
        assert answer.err.strip() or answer.out.strip(), told
    if answer.wrote:
        assert whole(folder / "shop" / "shop.bows") == [], told
    assert (folder / "there").read_text() == "mine", told
    if "--json" in words and answer.code == 0 and answer.out.strip():
        assert isinstance(json.loads(answer.out), dict), told


def whole(shop: Path) -> list[str]:
    """Name what is wrong with a shop file: its chain, its events, its laws."""
    with Log.open(shop, readonly=True) as log:
        faults = [str(fault) for fault in check_log(log).faults]
    session = Session(shop)
    broken = laws.broken(session.folded())
    session.close()
    return faults + broken
