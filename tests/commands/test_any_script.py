"""Names from right to left, emoji, notes as long as a book: all is answered."""

from __future__ import annotations

import json
import re
import shlex
from pathlib import Path

import html5lib
import pytest

from tests.commands.conftest import Typed

ROSE, SHOP, FAIR, BOUTIQUE = "ורוד", "סרטים של מאיה 🎀", "שוק האביב 🎪", "בוטיק הנמל"
SVG = "{http://www.w3.org/2000/svg}"
PEOPLE = ("מאיה אלון", "نور الهدى", "👩‍👩‍👧 Ada 🎀", "Z̷̢̛a̴l̶g̸o")
LONG = ("a 🎀 שלום <b>&\"'`$(x)` " * 50_000)[:1_000_000]
LINES = (
    ["open", "--name", SHOP, "--zone", "Asia/Jerusalem", "--currency", "ILS",
     "--sizes", "3in 4in", "--colours", "navy, red", "--price", "8.00"],
    ["hours", "mon-sun 18:00-22:00"],
    ["colour", ROSE, "--hex", "#ff0099"],
    ["ribbon", ROSE, "1.5in"],
    ["in", ROSE, "1.5in", "100yd", "--paid", "24.50", "--lot", "א 🎀", "--of", "ספק"],
    ["cut", "9", "4in", ROSE],
    ["made", "6", "4in", ROSE, "60min"],
    ["spool", "scrap", "S1", "4in", "--why", "כתם 🎀"],
    ["sold", "1", "4in", ROSE],
    *(["order", "take", "1", "4in", ROSE, "--due", "fri", "--for", who, "--note", "🎀"]
      for who in PEOPLE),
    ["fair", "new", FAIR, "sat", "10-16", "--fee", "20", "--guess", "12"],
    ["boutique", "new", BOUTIQUE, "--commission", "40"],
    ["boutique", "consign", BOUTIQUE, "1", "4in", ROSE],
    ["note", LONG],
    ["note", LONG, "--person", "P1"],
    ["note", LONG, "--about", "S1"],
)  # fmt: skip
ASKED = (
    "fair plan", "due", "stock", "spools", "bundles", "orders", "fairs", "supplies",
    "catalogue", "story S1", "trace S1", "trace O1", "bench", "how-good", "cutting",
    "why S1", f"why 4in {ROSE}", "entries", "people", "check", "setting", "hours",
    "promise 2 4in red", "rush 1 4in red --due thu",
)  # fmt: skip


@pytest.fixture(name="written")
def _written(typed: Typed) -> Typed:
    for line in LINES:
        said = typed(line)
        assert said.code == 0, f"{shlex.join(line)[:100]}: {said.err}"
    return typed


def test_every_question_is_answered_in_words_and_in_json(written: Typed) -> None:
    """Nothing in a name or a note is too long or too odd for an answer."""
    for line in ASKED:
        plain, told = written(line), written(f"{line} --json")

        assert (plain.code, told.code) == (0, 0), f"{line}: {plain.err}{told.err}"
        assert "Traceback" not in plain.out + plain.err + told.err
        assert isinstance(json.loads(told.out), dict)
        assert len(plain.out) < 20_000, line


def test_pages_keep_her_words_apart_from_ours(written: Typed, tmp_path: Path) -> None:
    """Each name from right to left stands by itself, or it would turn ours round."""
    assert written(["report", str(tmp_path / "pages")]).code == 0
    found = 0
    for page in sorted((tmp_path / "pages").glob("*.html")):
        text = page.read_text(encoding="utf-8")
        assert len(text) < 300_000
        tree = html5lib.parse(text, namespaceHTMLElements=False)
        own = [*tree.iter("bdi"), *tree.iter("code"), *tree.iter(f"{SVG}text")]
        for apart in own:  # paragraphs of their own
            tail = apart.tail
            apart.clear()
            apart.tail = tail
        for element in tree.find("body").iter():
            for words in (element.text or "", element.tail or ""):
                hers = any("א" <= letter <= "ת" for letter in words)
                assert not hers, (page.name, element.tag, words)
        found += text.count(ROSE)

    assert found > 4
    assert re.search(r"\bcode \{ unicode-bidi: isolate", text)


def test_what_was_written_is_kept_to_the_letter(written: Typed, tmp_path: Path) -> None:
    """Exported, and taken in by another shop, it is the same."""
    log, people = tmp_path / "log.jsonl", tmp_path / "people.jsonl"
    assert written(["export", str(log), "--people", str(people)]).code == 0
    other = tmp_path / "other" / "shop.bows"
    said = written(["import", str(log), "--people", str(people)], shop=other)

    assert said.code == 0, said.err
    for line in ("people", "orders", "fairs"):
        assert written(line, shop=other).out == written(line).out
    told = json.loads(written("people --json", shop=other).out)["people"]
    assert told[0]["details"] == f"note: 🎀; note: {LONG}"
