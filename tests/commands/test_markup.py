"""Names with markup or formulas in them: words on every page, text in every table."""

from __future__ import annotations

import csv
import io
import re
import shlex
from pathlib import Path

import html5lib
import pytest

from tests.commands.conftest import Typed

SCRIPT = "<script>alert(1)</script>"
IMAGE = '"><img src=x onerror=alert(1)>'
AMPERSAND = "Tom & Jo's <b>bold</b> {{ 6*7 }}"
LINES = (
    ["open", "--name", f"Shop {SCRIPT}", "--zone", "America/Halifax", "--currency",
     "CAD", "--sizes", "3in, 4in", "--colours", "red, white", "--price", "8.00"],
    ["hours", "mon-sun 18:00-22:00"],
    ["colour", f"sky {SCRIPT}", "--hex", "#87ceeb"],
    ["ribbon", f"sky {SCRIPT}", "1.5in", "--material", f"silk {IMAGE}"],
    ["ribbon", f"sky {SCRIPT}", "0.875in"],
    ["supply", "new", f"clip {SCRIPT}"],
    ["pattern", f"loop {IMAGE}", "4in", "--width", "1.5in", "--part", "body 32in",
     "--supply", f"1 x clip {SCRIPT}", "--step", f"tie {SCRIPT} 9min"],
    ["in", f"sky {SCRIPT}", "1.5in", "silk", "50yd", "--paid", "14.00", "--of",
     f"Mill {SCRIPT}", "--lot", f"lot {IMAGE}"],
    ["in", "red", "1.5in", "50yd", "--lot", AMPERSAND, "--of", f"Mill {SCRIPT}"],
    ["cut", "12", "classic", "4in", "red"],
    ["scrap", "1", "C1", "--why", f"tore {SCRIPT}"],
    ["spoiled", "1", "classic", "4in", "red", "--why", f"slip {IMAGE}"],
    ["made", "6", "classic", "4in", "red", "60min"],
    ["read", "S2", "20yd"],
    ["spool", "scrap", "S2", "4in", "--why", f"stain {SCRIPT}"],
    ["read", "S1", "40yd"],
    ["fair", "new", f"Fair {IMAGE} {SCRIPT}", "sat", "10-16", "--fee", "20", "--guess",
     "12"],
    ["order", "take", "3 classic 4in red", "--due", "fri", "--for", f"Ann {SCRIPT}",
     "--note", f"ring {IMAGE}"],
    ["order", "take", "2 classic 4in red", "--due", "next fri", "--for", AMPERSAND],
    ["boutique", "new", f"Moon {SCRIPT}", "--commission", "40"],
    ["note", f"seen {SCRIPT}", "--about", "S2"],
    ["sold", "9", "classic", "4in", "red"],
)  # fmt: skip
"""Every place a name of hers can be typed, each with markup in it."""


@pytest.fixture(name="marked")
def _marked(typed: Typed) -> Typed:
    for line in LINES:
        said = typed(line)
        assert said.code == 0, f"{shlex.join(line)}: {said.err}"
    return typed


def test_what_she_names_is_words_on_every_page(marked: Typed, tmp_path: Path) -> None:
    """No element, no handler, no template of hers gets into a page; the words do."""
    folder = tmp_path / "pages"
    assert marked(["report", str(folder)]).code == 0
    pages = sorted(folder.glob("*.html"))
    shown = ""
    for page in pages:
        root = html5lib.parse(page.read_text("utf-8"), namespaceHTMLElements=False)
        tags = [each.tag for each in root.iter()]
        keys = [key for each in root.iter() for key in each.attrib]
        links = [each.get("href", "") for each in root.iter("a")]
        assert [tag for tag in tags if tag in ("script", "img", "b")] == [], page.name
        assert [key for key in keys if str(key).startswith("on")] == [], page.name
        assert [href for href in links if ":" in href] == [], page.name
        shown += " ".join(" ".join(root.itertext()).split()) + "\n"

    assert len(pages) >= 5
    for words in (f"Shop {SCRIPT}", f"Ann {SCRIPT}", f"Fair {IMAGE}", "{{ 6*7 }}",
                  f"Mill {SCRIPT}", f"tore {SCRIPT}"):  # fmt: skip
        assert words in shown, words


FORMULAS = ("=1+2", "+cmd", "@sum(a1)", "-2+3", "＝1")


def test_formulas_become_text_in_csv_and_numbers_stay_numbers(
    small: Typed,
) -> None:
    """An apostrophe before what a spreadsheet would run; a negative amount is none."""
    for name in FORMULAS:
        said = small(["colour", "--hex", "#112233", "--", name])
        assert said.code == 0, said.err
    small("sold 9 4in red")
    colours = list(csv.DictReader(io.StringIO(small("csv colours").out)))
    moved = list(csv.DictReader(io.StringIO(small("csv bows_movements").out)))

    names = {row["name"] for row in colours}
    assert {f"'{name}" for name in FORMULAS} <= names
    cells = [cell for row in (*colours, *moved) for cell in row.values()]
    formula = re.compile(r"[=+@＝]|-(?!\d)")
    assert [cell for cell in cells if formula.match(cell.strip())] == []
    assert any(re.fullmatch(r"-?\d+", cell) for row in moved for cell in row.values())
