"""The pages as a browser shows them: nothing asked for, clipped, lost or unreadable."""

import base64
import os
import re
import shutil
import subprocess
from importlib.util import find_spec
from pathlib import Path

import page_samples as samples
import pytest

from planner.commands.files import write_page

pytestmark = pytest.mark.browser

REPORTS = tuple(samples.reports())
FULL = ("front", "stock", "due", "fair", "story")
FLAGS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
SMALLEST = 11
"""Height of the smallest letters a page may show, CSS pixels."""

CLIPPED = """() => [...document.querySelectorAll('body *')].filter(each => {
  const style = getComputedStyle(each);
  return !each.closest('.vh') && !each.closest('svg') && each.textContent.trim()
    && (/hidden|clip/.test(style.overflowX + style.overflowY)
        || style.textOverflow === 'ellipsis')
    && (each.scrollWidth > each.clientWidth + 1
        || each.scrollHeight > each.clientHeight + 1);
}).map(each => each.outerHTML.slice(0, 120))"""

SMALL = """least => [...document.querySelectorAll('body *')].filter(each => {
  const own = [...each.childNodes].some(n => n.nodeType === 3 && n.data.trim());
  if (!own || each.closest('.vh, defs, style')) return false;
  const svg = each.ownerSVGElement;
  const scale = svg ? each.getScreenCTM().a : 1;
  return parseFloat(getComputedStyle(each).fontSize) * scale < least - 0.01;
}).map(each => each.outerHTML.slice(0, 120))"""

OUTSIDE = """() => [...document.querySelectorAll('svg.picture')].flatMap(svg => {
  const frame = svg.getBoundingClientRect();
  return [...svg.querySelectorAll('text')].filter(text => {
    const box = text.getBoundingClientRect();
    return box.left < frame.left - 1 || box.right > frame.right + 1
      || box.top < frame.top - 1 || box.bottom > frame.bottom + 1;
  }).map(text => text.textContent);
})"""

NAMELESS = """() => [...document.querySelectorAll('.scroller')].filter(each =>
  each.tabIndex !== 0 || each.getAttribute('role') !== 'region'
  || !(each.getAttribute('aria-label') || each.getAttribute('aria-labelledby'))
).map(each => each.outerHTML.slice(0, 120))"""

AXE = """async () => (await axe.run(document, {
  runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice']
})).violations.map(rule => rule.id + ': ' + rule.nodes[0].html.slice(0, 160))"""


def lacking(what):
    """Skip, or fail where a browser was promised."""
    if os.environ.get("BOWS_NEED_BROWSER"):
        pytest.fail(f"BOWS_NEED_BROWSER is set, but there is no {what}")
    pytest.skip(f"no {what} here: the pages were not looked at in a browser")


def axe_script():
    """Find the axe-core script in whichever package brings it."""
    for name in ("axe_playwright_python", "axe_core_python"):
        spec = find_spec(name)
        if spec and spec.origin:
            path = Path(spec.origin).with_name("axe.min.js")
            if path.is_file():
                return path.read_text(encoding="utf-8")
    return lacking("axe-core (pip install '.[browser]')")


@pytest.fixture(scope="module", name="browser")
def _browser():
    program = os.environ.get("BOWS_CHROMIUM") or shutil.which("chromium")
    if not program:
        lacking("Chromium (set BOWS_CHROMIUM to its program)")
    if not find_spec("playwright"):
        lacking("playwright (pip install '.[browser]')")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=program, args=list(FLAGS))
        yield browser
        browser.close()


@pytest.fixture(scope="module", name="files")
def _files(tmp_path_factory):
    folder = tmp_path_factory.mktemp("a folder with reports")
    return {
        name: write_page(view, out=folder / f"{name}.html")
        for name, view in samples.reports().items()
    }


@pytest.fixture(name="opened")
def _opened(browser, files):
    """Open a report, and give the page with all it said and asked for."""
    contexts = []

    def open_it(name, *, width=1280, scheme="light", **more):
        context = browser.new_context(
            viewport={"width": width, "height": 900}, color_scheme=scheme, **more
        )
        contexts.append(context)
        page = context.new_page()
        said, asked = [], []
        page.on("console", lambda message: said.append(message.text))
        page.on("pageerror", lambda error: said.append(str(error)))
        page.on("request", lambda request: asked.append(request.url))
        page.goto(files[name].as_uri())
        return page, said, asked

    yield open_it
    for context in contexts:
        context.close()


@pytest.mark.parametrize("name", REPORTS)
def test_a_page_says_nothing_and_asks_for_nothing(opened, files, name):
    """No console message, and no request but for the file itself."""
    _, said, asked = opened(name)

    assert said == []
    assert [url for url in asked if url != "data:,"] == [files[name].as_uri()]


@pytest.mark.parametrize(
    ("name", "scheme"),
    [*((name, "light") for name in REPORTS), *((name, "dark") for name in FULL)],
)
def test_axe_finds_nothing_to_object_to(opened, name, scheme):
    """WCAG 2.2 A and AA and the best practices, in light and in dark."""
    page, *_ = opened(name, scheme=scheme, bypass_csp=True)
    page.evaluate(axe_script())

    assert page.evaluate(AXE) == []


@pytest.mark.parametrize("width", [320, 1280])
@pytest.mark.parametrize("name", REPORTS)
def test_every_word_can_be_read_at_any_width(opened, name, width):
    """Nothing clipped, nothing under 11 px, no sideways scroll, scrollers named."""
    page, *_ = opened(name, width=width)

    assert page.evaluate(CLIPPED) == []
    assert page.evaluate(SMALL, SMALLEST) == []
    assert page.evaluate(OUTSIDE) == []
    assert page.evaluate(NAMELESS) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_the_skip_link_is_first_and_leads_to_the_report(opened):
    """One Tab and Enter pass the masthead, and the link is seen while it has focus."""
    page, *_ = opened("stock")
    page.keyboard.press("Tab")
    shown = page.evaluate("document.activeElement.getBoundingClientRect().top >= 0")
    page.keyboard.press("Enter")

    assert shown
    assert page.evaluate("location.hash") == "#report"


@pytest.mark.parametrize("name", ["front", "due", "story"])
def test_forced_colours_keep_the_pictures_outlined(opened, name):
    """Where the system takes the colours away, the lines stay."""
    page, *_ = opened(name, forced_colors="active")
    strokes = page.evaluate(
        "[...document.querySelectorAll('.swatch .edge, .picture .line')]"
        ".map(each => getComputedStyle(each).stroke)"
    )

    assert strokes
    assert "none" not in strokes


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("name", [*FULL, "empty-fair"])
def test_a_page_prints(opened, tmp_path, name, paper):
    """On either paper: at least a page, upright, with text that can be found again."""
    page, *_ = opened(name, scheme="dark")
    out = tmp_path / "page.pdf"
    page.pdf(path=str(out), format=paper)

    assert len(re.findall(rb"/Type\s*/Page\b", out.read_bytes())) > 0
    if shutil.which("pdftotext"):
        done = subprocess.run(
            ["pdftotext", "-layout", str(out), "-"], capture_output=True, check=True
        )
        text = done.stdout.decode("utf-8")
        assert samples.reports()[name].foot.head in text


@pytest.mark.parametrize("name", ["stock", "fair", "story", "due"])
def test_on_paper_nothing_is_wider_than_the_sheet(opened, name):
    """Scrollers are opened for print, so whatever is in them must fit A4 and Letter."""
    page, *_ = opened(name, width=703)  # 210 mm less margins, at 96 dots an inch
    page.emulate_media(media="print")

    assert page.evaluate("document.documentElement.scrollWidth") <= 703
    assert page.evaluate(SMALL, SMALLEST) == []


def test_in_print_the_page_is_light_even_where_the_screen_is_dark(opened):
    """Ink on white, whatever she prefers on the screen."""
    page, *_ = opened("front", scheme="dark")
    page.emulate_media(media="print", color_scheme="dark")
    tokens = page.evaluate(
        "['--paper', '--ink'].map(name =>"
        " getComputedStyle(document.documentElement).getPropertyValue(name).trim())"
    )

    assert tokens == ["#fff", "#2c231d"]


EXPLAINED = """() => [...document.querySelectorAll('.scroller')].flatMap(box => {
  const seen = box.getBoundingClientRect();
  return [0, 99999].flatMap(end => {
    box.scrollLeft = end;
    return [...box.querySelectorAll('caption > span')].map(words => {
      const at = words.getBoundingClientRect();
      return at.width > 0 && at.left >= seen.left - 1 && at.right <= seen.right + 1;
    });
  });
})"""


def test_what_explains_a_table_stays_in_sight_on_a_telephone(opened):
    """However far the table is scrolled, its sentences wrap to what is seen."""
    page, *_ = opened("fair", width=360)
    shown = page.evaluate(EXPLAINED)

    assert shown
    assert all(shown)


def edges(page, box):
    """Give the colours of a box's left and right edge, a pixel in, without its text."""
    page.add_style_tag(content=".scroller table { visibility: hidden; }")
    png = box.screenshot()
    return page.evaluate(
        """async src => {
          const image = new Image();
          image.src = src;
          await image.decode();
          const board = document.createElement('canvas');
          [board.width, board.height] = [image.width, image.height];
          const pen = board.getContext('2d');
          pen.drawImage(image, 0, 0);
          const middle = Math.floor(image.height / 2);
          return [1, image.width - 2].map(
            x => [...pen.getImageData(x, middle, 1, 1).data].join());
        }""",
        "data:image/png;base64," + base64.b64encode(png).decode(),
    )


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_a_table_shows_on_which_side_more_of_it_lies(opened, scheme):
    """A line on the right, then on both sides, then on the left; none where it fits."""
    page, *_ = opened("fair", width=360, scheme=scheme, bypass_csp=True)
    box = page.query_selector(".scroller:has(.matrix)")
    seen = []
    for share in (0, 0.5, 1):
        box.evaluate(
            "(b, s) => b.scrollLeft = s * (b.scrollWidth - b.clientWidth)", share
        )
        left, right = edges(page, box)
        seen.append((left, right))
    (paper, line), both, end = seen

    assert line != paper
    assert both == (line, line)
    assert end == (line, paper)
    page.set_viewport_size({"width": 1280, "height": 900})
    assert edges(page, box) == [paper, paper]
