"""Pages are found, whole, escaped and made of nothing but what stands in them."""

import re
import subprocess
import sys

import html5lib
import page_samples as samples
import pytest
from jinja2 import UndefinedError

from planner.commands.files import write_page
from planner.errors import Trouble
from planner.pages import page, shipped
from planner.views.common import Report

REPORTS = samples.reports()


def test_templates_in_the_package_come_before_the_checkout(tmp_path):
    """An installed package never reads a folder that happens to lie beside it."""
    package = tmp_path / "planner"
    (package / "_reports").mkdir(parents=True)
    (tmp_path / "reports").mkdir()
    (tmp_path / "pyproject.toml").touch()

    assert shipped("reports", package=package) == package / "_reports"


def test_a_checkout_is_known_by_its_pyproject(tmp_path):
    """Beside `pyproject.toml` the folder is ours; elsewhere it is somebody else's."""
    package = tmp_path / "planner"
    package.mkdir()
    (tmp_path / "reports").mkdir()

    with pytest.raises(Trouble, match=r"the folder `reports` .* is missing"):
        shipped("reports", package=package)
    (tmp_path / "pyproject.toml").touch()
    assert shipped("reports", package=package) == tmp_path / "reports"


def test_a_page_is_written_where_she_asks_for_it(tmp_path):
    """Folders on the way are made, and the file is given back."""
    out = tmp_path / "a folder" / "stock.html"

    assert write_page(samples.stock(), out=out) == out
    assert out.read_text(encoding="utf-8") == page(samples.stock())


@pytest.mark.parametrize("name", REPORTS)
def test_names_she_types_are_never_markup(name):
    """No script, no image, no handler gets onto a page, whatever a name says."""
    root = html5lib.parse(page(REPORTS[name]), namespaceHTMLElements=False)
    elements = list(root.iter())
    handlers = [key for each in elements for key in each.attrib if key.startswith("on")]

    assert [each.tag for each in elements if each.tag in ("script", "img")] == []
    assert handlers == []


@pytest.mark.parametrize("name", REPORTS)
def test_a_page_asks_for_nothing_outside_itself(name):
    """Links lead to files beside it; the policy forbids the rest."""
    text = page(REPORTS[name])
    root = html5lib.parse(text, namespaceHTMLElements=False)
    policies = [
        each.get("content")
        for each in root.iter("meta")
        if each.get("http-equiv") == "Content-Security-Policy"
    ]
    loaded = [each.get("src") for each in root.iter() if each.get("src")]
    sheets = [each.get("href") for each in root.iter("link")]

    assert policies == ["default-src 'none'; style-src 'unsafe-inline'; img-src data:"]
    assert (loaded, sheets) == ([], ["data:,"])
    assert "@import" not in text
    assert re.findall(r"url\((?!#)[^)]*\)", text) == []


@pytest.mark.parametrize("name", REPORTS)
def test_a_page_is_well_formed(name):
    """html5lib in strict mode accepts it and every id is used once."""
    text = page(REPORTS[name])
    root = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(text)
    ids = [each.get("id") for each in root.iter() if each.get("id")]

    assert len(ids) == len(set(ids))
    assert root.get("lang") == "en"
    assert len(root.findall(".//main")) == len(root.findall(".//h1")) == 1


@pytest.mark.parametrize("name", REPORTS)
def test_the_foot_of_every_page_prints_the_head_and_the_day(name):
    """The outside anchor: the printed head is what `bows check --against` takes."""
    view = REPORTS[name]
    foot = page(view).partition("<footer")[2]

    assert f"bows check --against {view.foot.head}" in foot
    assert f"As of {view.foot.as_of}" in foot


def test_every_fill_a_page_names_is_woven_in_it():
    """A weave that is not defined would leave a hole in the picture."""
    for view in REPORTS.values():
        text = page(view)
        named = set(re.findall(r"url\(#([\w-]+)\)|<use href=\"#([\w-]+)\"", text))
        defined = set(re.findall(r"<(?:pattern|symbol|path) id=\"([\w-]+)\"", text))

        assert {one or other for one, other in named} <= defined


def test_a_field_that_is_missing_stops_the_page():
    """A template never shows an empty hole for a name it got wrong."""

    class Bare(Report):
        title = "Stock"
        template = "stock.html.j2"

    with pytest.raises(UndefinedError):
        page(Bare(shop=samples.SHOP, foot=samples.FOOT))


def test_the_numbers_of_a_view_stand_on_its_page():
    """One view model: what the JSON says is what the page says."""
    view = samples.story()
    text = page(view)

    assert [line.length for line in view.accounts if line.length not in text] == []
    assert [piece.label for piece in view.strip if piece.label not in text] == []
    assert all(f">{event.entry}<" in text for event in view.events)


def test_jinja_is_loaded_only_when_a_page_is_asked_for():
    """A write command that imports the pages pays nothing for them."""
    # Some packages load jinja2 when Python starts; what counts is who loads it after.
    code = (
        "import sys\n"
        "sys.modules.pop('jinja2', None)\n"
        "import planner.pages\n"
        "print('jinja2' in sys.modules)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    )

    assert done.stdout.strip() == "False"
