"""View models keep their names, say what they mean and dump with their schema."""

import ast
import json
from pathlib import Path

import page_samples as samples
import pytest
from pydantic import ValidationError

import planner.views.common
from planner.views.common import Swatch, grid, swatch

FOLDER = Path(planner.views.common.__file__).parent
MODULES = ("common", "frontpage", "stock", "due", "fair_plan", "story")


def undocumented(module):
    """Name the fields that no docstring follows."""
    tree = ast.parse((FOLDER / f"{module}.py").read_text(encoding="utf-8"))
    for found in (node for node in tree.body if isinstance(node, ast.ClassDef)):
        for node, after in zip(found.body, [*found.body[1:], None], strict=True):
            told = isinstance(after, ast.Expr) and isinstance(after.value, ast.Constant)
            constant = isinstance(node, ast.AnnAssign) and "ClassVar" in ast.dump(node)
            if isinstance(node, ast.AnnAssign) and not told and not constant:
                yield f"{found.name}.{ast.unparse(node.target)}"


@pytest.mark.parametrize("module", MODULES)
def test_every_field_says_what_it_means(module):
    """Whoever reads the JSON finds each field's meaning and unit in one place."""
    assert list(undocumented(module)) == []


@pytest.mark.parametrize("name", samples.reports())
def test_a_report_dumps_with_its_schema_first(name):
    """`--json` is one object whose first key says what it is."""
    view = samples.reports()[name]
    dumped = json.loads(view.model_dump_json())

    assert next(iter(dumped.items())) == ("schema", type(view).schema_name)
    assert {key for key in dumped if key != "schema"} == set(type(view).model_fields)


def test_every_schema_name_is_its_own():
    """Five reports, five names, each with its version."""
    names = {type(view).schema_name for view in samples.reports().values()}

    assert names == {
        "spool-to-stall/front/1",
        "spool-to-stall/stock/1",
        "spool-to-stall/due/1",
        "spool-to-stall/fair-plan/1",
        "spool-to-stall/story/1",
    }


def test_a_view_is_frozen():
    """What was shown can't be changed before it is printed."""
    with pytest.raises(ValidationError):
        samples.FOOT.head = "0"


def test_a_swatch_takes_nothing_but_a_hex_colour():
    """The value goes into the picture as it stands."""
    with pytest.raises(ValidationError):
        Swatch(hex='#fff"><script>', name="white")


def test_a_swatch_is_hatched_by_its_family():
    """Her name and hex stay; the family gives the weave."""
    made = swatch(name="Harbour navy", hex="#1f2d4d", family="Navy")

    assert made == Swatch(hex="#1f2d4d", name="Harbour navy", pattern="level")


def test_cells_are_laid_out_by_colour_and_size():
    """A cell left out is simply not there."""
    view = samples.stock()

    laid = grid(view.cells)

    assert {(c.colour, c.size) for c in view.cells} == set(laid)
    assert all(laid[c.colour, c.size] is c for c in view.cells)
