"""Sets of several kinds on the page of the plan, its packing list, and the tally."""

from __future__ import annotations

import re

from planner import pages
from planner.engines.fair import plan_fair
from planner.events.base import Fact
from planner.events.fair import FairPacked
from planner.views import fair_plan_builder, tally_builder
from planner.views.fair_plan import FairPlan
from tests.engines.fair_toys import AHEAD, TODAY, ahead
from tests.engines.test_fair_sets import NAVY, RED, named, season, shop


def page(*facts: object) -> FairPlan:
    """Plan the fair ahead and build its view."""
    led = shop(*facts)
    plan = plan_fair(led, ahead(led), today=TODAY, hours_minutes=400)
    return fair_plan_builder.build(led, plan, today=TODAY, made="now")


def test_sets_stand_beside_the_kinds_and_their_bows_are_counted_once() -> None:
    """The packing list sums to all bows; each kind says how many are in sets."""
    view = page(named(), season(3, 2))
    (duo,) = view.sets
    cells = {cell.kind: cell for cell in view.cells}

    assert (duo.name, duo.holds, duo.price) == (
        "the duo",
        "1 × 4in navy, 1 × 4in red",
        "$20.00",
    )
    assert duo.bows == 2 * duo.bring > 0
    assert {kind: cell.in_sets for kind, cell in cells.items()} == {
        "4in navy": duo.bring,
        "4in red": duo.bring,
    }
    assert all("of them in sets): own" in cell.why for cell in view.cells)
    assert view.bring == sum(cell.bring for cell in view.cells)
    assert "8 sold at 4 fairs where it could be had" in duo.why
    assert any(
        "8 sets sold at past fairs, typed as such, say how" in line
        for line in view.rests_on
    )
    html = pages.page(view)
    assert len(re.findall("Sets to make up of those bows", html)) == 1
    assert "the duo" in html.split('id="packing"')[1]


def test_a_page_without_sets_has_no_word_of_them() -> None:
    """A set that isn't worth making up is told of under what the plan rests on."""
    plain, cheap = page(season(3, 0)), page(named(40), season(3, 2))

    assert plain.sets == cheap.sets == ()
    assert not any("set" in line.split() for line in plain.rests_on)
    assert any(line.startswith("1 set with a price") for line in cheap.rests_on)
    assert 'id="sets"' not in pages.page(cheap)


def test_the_tally_lists_the_sets_that_the_stall_makes_up() -> None:
    """Two of a red bow are needed for one set, and only one is there."""
    led = shop(
        named(), named(3_000, "reds", red=2),
        Fact(FairPacked(fair=AHEAD, bows=((NAVY, 4), (RED, 1))), "2026-11-24"),
    )  # fmt: skip
    view = tally_builder.build(led, ahead(led), today=TODAY, made="now")

    assert [(x.name, x.holds, x.price) for x in view.sets] == [
        ("the duo", "1 × 4in navy, 1 × 4in red", "$20.00")
    ]
    assert "tick the boxes of its bows above as well" in pages.page(view)
