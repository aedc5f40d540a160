"""The pages of the demo shop, whole as she gets them, looked at in a browser."""

from __future__ import annotations

import re
import shutil
import subprocess
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from freezegun import freeze_time
from test_browser import (
    AXE,
    CLIPPED,
    NAMELESS,
    OUTSIDE,
    SMALL,
    SMALLEST,
    _browser,  # noqa: F401  the fixture `browser`
    axe_script,
)

from planner.commands.main import main

pytestmark = pytest.mark.browser

DAY = "2026-05-13 12:00:00"
"""A Wednesday: the demo's fair is the Saturday after."""
PAGES = ("index", "stock", "due", "fair-plan", "spools", "story")
ASKED = {
    "cutting": ["cutting"],
    "trace": ["trace", "S7"],
    "trim": ["trim"],
    "rush": ["rush", "6", "4in navy", "--due", "fri"],
    "promise": ["promise", "20", "4in navy"],
    "bench": ["bench"],
    "how-good": ["how-good"],
    "settlement": ["fair", "settlement"],
    "tally": ["fair", "tally", "F1"],
    "fair-day": ["fair", "day", "F1"],
    "labels": ["labels", "12", "B12"],
}
"""Pages that are written when asked for, and the questions."""
WIDTHS = (320, 768, 1280)
PAPERS = ("A4", "Letter")
SHEET = 703
"""What an A4 sheet less its margins is wide, at 96 dots an inch."""
DESK = 900
"""A narrow window on a desk, in dots."""
SCROLLED = """[...document.querySelectorAll('.scroller')]
  .filter(each => each.scrollWidth > each.clientWidth + 1)
  .map(each => each.getAttribute('aria-labelledby'))"""
LINKS = "[...document.querySelectorAll('a[href]')].map(one => one.getAttribute('href'))"


@dataclass
class Looked:
    """What a browser found on one page, opened once."""

    path: Path
    said: list[str] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)
    axe: dict[str, list[str]] = field(default_factory=dict)
    hidden: list[str] = field(default_factory=list)
    wide: dict[str, int] = field(default_factory=dict)
    scrolled: list[str] = field(default_factory=list)
    printed: dict[str, tuple[int, str]] = field(default_factory=dict)
    links: list[str] = field(default_factory=list)
    lost: list[str] = field(default_factory=list)
    head: str = ""


@pytest.fixture(scope="module", name="pages")
def _pages(browser, tmp_path_factory) -> dict[str, Path]:
    """Make the demo once; which spool's story is looked at may change with it."""
    folder = tmp_path_factory.mktemp("a folder with a demo") / "demo"
    with freeze_time(DAY, tick=False, ignore=["hypothesis"]):
        assert main(["demo", str(folder)]) == 0
        for name, words in ASKED.items():
            page = folder.parent / f"{name}.html"
            asked = ["--shop", str(folder), *words, "--page", str(page)]
            assert main(asked) == 0, name
    found = {path.stem: path for path in sorted((folder / "reports").glob("*.html"))}
    found["story"] = next(found[name] for name in found if name.startswith("story-"))
    return found | {name: folder.parent / f"{name}.html" for name in ASKED}


@pytest.fixture(scope="module", name="looked")
def _looked(browser, pages):
    """Look at a page the first time it is asked for."""
    seen: dict[str, Looked] = {}

    def look(name: str) -> Looked:
        if name not in seen:
            seen[name] = look_at(browser, pages[name])
        return seen[name]

    return look


def look_at(browser: Any, path: Path) -> Looked:
    """Open a page and try all that is asked of it."""
    context = browser.new_context(viewport={"width": 1280, "height": 900},
                                  bypass_csp=True)  # fmt: skip
    page, found = context.new_page(), Looked(path)
    page.on("console", lambda message: found.said.append(message.text))
    page.on("pageerror", lambda error: found.said.append(str(error)))
    page.on("request", lambda request: found.asked.append(request.url))
    page.goto(path.as_uri())
    found.links = page.evaluate(LINKS)
    found.lost = [
        each for each in found.links
        if len(each) > 1 and each.startswith("#") and page.query_selector(each) is None
    ]  # fmt: skip
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 900})
        found.hidden += page.evaluate(CLIPPED) + page.evaluate(SMALL, SMALLEST)
        found.hidden += page.evaluate(OUTSIDE) + page.evaluate(NAMELESS)
        found.wide[str(width)] = page.evaluate("document.body.parentNode.scrollWidth")
    page.set_viewport_size({"width": DESK, "height": 900})
    found.scrolled = page.evaluate(SCROLLED)
    page.evaluate(axe_script())
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        found.axe[scheme] = page.evaluate(AXE)
    found.head = re.findall("--against ([0-9a-f-]{19})", page.inner_text("footer"))[0]
    _print(page, found)
    context.close()
    return found


def _print(page: Any, found: Looked) -> None:
    """Print a page on either paper: how many sheets, and the text on them."""
    page.set_viewport_size({"width": SHEET, "height": 900})
    page.emulate_media(media="print")
    found.wide["print"] = page.evaluate("document.body.parentNode.scrollWidth")
    for paper in PAPERS:
        out = found.path.with_suffix(f".{paper}.pdf")
        page.pdf(path=str(out), format=paper)
        sheets = len(re.findall(rb"/Type\s*/Page\b", out.read_bytes()))
        found.printed[paper] = (sheets, _text(out))


def _text(out: Path) -> str:
    if not shutil.which("pdftotext"):
        return ""
    command = ["pdftotext", "-layout", str(out), "-"]
    return subprocess.run(command, capture_output=True, check=True).stdout.decode()


@pytest.mark.parametrize("name", [*PAGES, *ASKED])
class TestAPageOfTheDemo:
    """Each of its pages, but for the stories, of which one stands for all."""

    def test_it_says_nothing_and_asks_for_nothing(self, looked, name):
        """No console message, and no request but for the file itself."""
        found = looked(name)

        assert found.said == []
        assert {url for url in found.asked if url != "data:,"} == {found.path.as_uri()}

    def test_axe_finds_nothing_to_object_to(self, looked, name):
        """WCAG 2.2 A and AA and the best practices, in light and in dark."""
        assert looked(name).axe == {"light": [], "dark": []}

    def test_every_word_can_be_read_at_any_width(self, looked, name):
        """Nothing clipped or too small, no sideways scroll: on a phone, at a desk."""
        found = looked(name)

        assert found.hidden == []
        assert all(found.wide[str(width)] <= width for width in WIDTHS), found.wide

    def test_it_prints(self, looked, name):
        """On A4 and Letter, nothing wider than the sheet, the head at its foot."""
        found = looked(name)

        assert found.wide["print"] <= SHEET
        for sheets, text in found.printed.values():
            assert sheets
            assert found.head in text or not shutil.which("pdftotext")


def test_the_orders_fit_a_narrow_window_on_a_desk(looked):
    """The table of due dates doesn't scroll sideways there."""
    assert looked("due").scrolled == []


@pytest.mark.parametrize("name", PAGES)
def test_the_links_of_a_page_lead_to_what_is_there(looked, pages, name):
    """To pages beside it, and to places within it."""
    found = looked(name)
    named = {one.partition("#")[0] for one in found.links} - {""}

    assert named
    assert named <= {path.name for path in pages.values()}
    assert found.lost == []
