"""The pages of a report: which there are, and that each leads to the others."""

from __future__ import annotations

import re
from pathlib import Path

from tests.commands.conftest import Typed

SETTLED = (
    'fair new "Quay fair" today 9:00-13:00 --fee 20',
    "fair accept 4 4in red",
    "fair pack",
    "fair settle 3 red",
    'fair new "Mill fair" sat 9:00-13:00 --fee 20 --guess 10',
)


def written(typed: Typed, folder: Path) -> dict[str, set[str]]:
    """Write a report; give each page with the pages it leads to."""
    assert typed(["report", str(folder)]).code == 0
    return {
        page.name: set(re.findall(r'href="([^"#:]+\.html)"', page.read_text("utf-8")))
        for page in folder.glob("*.html")
    }


def test_the_pages_of_fairs_are_among_those_of_a_report(
    small: Typed, tmp_path: Path
) -> None:
    """The settlement of the fair over, and the tally once something is to come."""
    for line in SETTLED:
        assert small(line).code == 0, line
    before = written(small, tmp_path / "before")
    assert small("fair accept 2 4in red").code == 0
    after = written(small, tmp_path / "after")

    assert "settlement-F1.html" in before
    assert set(after) - set(before) == {"tally-F2.html"}
    for pages in (before, after):
        for name, leads_to in pages.items():
            others = set(pages) - {name}
            assert others <= leads_to | {n for n in others if n.startswith("story-")}
            assert leads_to <= set(pages)


def test_without_a_fair_over_or_ahead_there_are_no_pages_of_fairs(
    small: Typed, tmp_path: Path
) -> None:
    """Nothing leads to a page that isn't there."""
    pages = written(small, tmp_path / "none")

    assert not [name for name in pages if name.startswith(("settlement", "tally"))]
    assert all(leads_to <= set(pages) for leads_to in pages.values())
