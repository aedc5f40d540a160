"""
Reports as pages: the only user of jinja2, which is loaded when a page is asked for.

A page is one file: its style is inlined, it asks the network for nothing and runs no
script.  Everything in it is escaped unless a template writes it out itself.
"""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from planner.errors import Trouble
from planner.views.bench import bench_picture
from planner.views.calibration import calibration_picture
from planner.views.common import Report, grid
from planner.views.due import DueDates
from planner.views.fair_plan import FairPlan
from planner.views.finish import finish_picture
from planner.views.flow import flow_picture
from planner.views.how_good import HowGoodReport
from planner.views.pictures import (
    ACCOUNT_WEAVES,
    bookmark,
    hatching,
    order_weaves,
    ribbon,
)
from planner.views.settlement import FairSettlement
from planner.views.stock import StockMatrix
from planner.views.stories import Stories
from planner.views.story import SpoolStory
from planner.views.strip import strip_picture
from planner.views.tally import TallySheet

if TYPE_CHECKING:
    from jinja2 import Environment

PACKAGE = Path(__file__).parent
STYLES = ("tokens.css", "sheet.css", "tables.css", "pictures.css", "paper.css")
"""The style sheets, in the order they are inlined."""


def shipped(name: str, *, package: Path = PACKAGE) -> Path:
    """
    Find a folder that ships with the package: `reports` or `scenarios`.

    Inside an installed package it is `planner/_NAME`; in a checkout it stands beside
    `pyproject.toml`.  Raises Trouble when it is in neither place.
    """
    inside = package / f"_{name}"
    if inside.is_dir():
        return inside
    beside = package.parent / name
    if beside.is_dir() and (package.parent / "pyproject.toml").is_file():
        return beside
    raise Trouble(
        f"the folder `{name}` that belongs to this program is missing",
        instead="install it again: pip install --force-reinstall spool-to-stall",
    )


def page(view: Report) -> str:
    """Give the page of a view as one self-contained HTML text."""
    template = _environment(shipped("reports")).get_template(view.template)
    return template.render(view=view, **_pictures(view))


def signed(number: int) -> str:
    """Show a whole number with a true minus sign."""
    return str(number).replace("-", "−")


def _pictures(view: Report) -> dict[str, Any]:
    """Work out what a template draws beyond the view's own fields."""
    if isinstance(view, SpoolStory):
        strip = strip_picture(view.strip, unit=view.unit, unit_nm=view.unit_nm)
        return {"strip": strip, "weaves": ACCOUNT_WEAVES}
    if isinstance(view, Stories):
        return {"flow": flow_picture(view.ribbons)}
    if isinstance(view, DueDates):
        codes = (part.order for day in view.days for part in day.segments)
        return {
            "bench": bench_picture(view.days),
            "weaves": order_weaves(codes),
            "finish": finish_picture(view.orders, view.days),
        }
    if isinstance(view, HowGoodReport):
        return {"calibration": calibration_picture(view.groups)}
    if isinstance(view, StockMatrix | FairPlan | FairSettlement | TallySheet):
        return {"cells": _cells(view)}
    return {}


def _cells(
    view: StockMatrix | FairPlan | FairSettlement | TallySheet,
) -> dict[tuple[str, str], Any]:
    return dict(grid(view.cells))


@lru_cache(maxsize=4)
def _environment(folder: Path) -> Environment:
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    environment = Environment(
        loader=FileSystemLoader(folder),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters.update(hatching=hatching, signed=signed)
    environment.globals.update(ribbon=ribbon, bookmark=bookmark, style=_style(folder))
    return environment


def _style(folder: Path) -> str:
    """Join the style sheets; they are ours, so they are not escaped."""
    from markupsafe import Markup

    sheets = ((folder / name).read_text(encoding="utf-8") for name in STYLES)
    return Markup("\n".join(sheets))  # no outside text reaches it
