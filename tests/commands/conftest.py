"""A shop to type commands at, in this process, on a frozen day."""

from __future__ import annotations

import shlex
import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from freezegun import freeze_time

from planner.commands.main import main

DAY = "2026-05-13 12:00:00"
"""A Wednesday; the demo's fair is the Saturday after."""


@dataclass
class Said:
    """What a command line answered."""

    code: int
    out: str
    err: str


Typed = Callable[..., Said]


@pytest.fixture(name="frozen")
def _frozen() -> Iterator[None]:
    with freeze_time(DAY, tick=False, ignore=["hypothesis"]):
        yield


@pytest.fixture(name="typed")
def _typed(tmp_path: Path, capsys: pytest.CaptureFixture[str], frozen: None) -> Typed:
    """Type a line as she would (after ``bows``) at the shop in a folder of its own."""

    def type_line(line: str | list[str], *, shop: Path | None = None) -> Said:
        words = shlex.split(line) if isinstance(line, str) else line
        capsys.readouterr()
        code = main(["--shop", str(shop or tmp_path / "shop"), *words])
        said = capsys.readouterr()
        return Said(code, said.out, said.err)

    return type_line


@pytest.fixture(name="small")
def _small(typed: Typed) -> Typed:
    """A small shop: three sizes, three colours, two spools, some bows."""
    for line in (
        'open --name "Tern and Thimble" --zone America/Halifax --currency CAD '
        '--sizes "3in 4in 5in" --colours "navy, red, white" --price 8.00',
        "in navy 1.5in 100yd --paid 24.50",
        "in red 1.5in 50yd --paid 14.00",
        "supply in 200 long clip --paid 18.00",
        "supply in 200 card --paid 6.00",
        "hours mon-thu 20:00-22:00",
        "have 6 4in red",
    ):
        assert typed(line).code == 0, line
    return typed


@pytest.fixture(name="demo_file", scope="session")
def _demo_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's shop file, made once."""
    folder = tmp_path_factory.mktemp("demo")
    with freeze_time(DAY, tick=False, ignore=["hypothesis"]):
        assert main(["demo", str(folder / "demo")]) == 0
    return folder / "demo" / "shop.bows"


@pytest.fixture(name="demo")
def _demo(demo_file: Path, tmp_path: Path, typed: Typed) -> Typed:
    """A copy of the demo shop to type at."""
    target = tmp_path / "shop" / "shop.bows"
    target.parent.mkdir()
    shutil.copy(demo_file, target)
    return typed
