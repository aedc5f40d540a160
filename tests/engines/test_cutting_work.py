"""What is still to cut, and the runs there are to cut it from."""

from __future__ import annotations

from planner.engines.cutting_work import (
    asked_for,
    only_for,
    runs_of,
    still_to_cut,
    usable_end,
)
from planner.events.bench import RibbonCut
from planner.events.bows import BowsOpening
from planner.events.catalogue import Part as PatternPart
from planner.events.catalogue import PatternRevised
from planner.events.fair import FairPlanAccepted
from planner.events.fields import LineItem
from planner.events.orders import OrderTaken
from planner.events.shop import SettingChanged
from planner.events.spool import JoinFound, SpoolSetAside
from planner.plans.cutting import Part, Run, Want

from .due_toys import INCH, NAVY, RED, TODAY, YARD, fair, order, spool, told

BODY = (Part("body", YARD),)
LATE = "2026-12-18"


def wants(*events) -> list[Want]:
    return still_to_cut(told(*events), today=TODAY.isoformat())


def test_open_orders_come_first_the_first_due_before_the_rest() -> None:
    """Then what an accepted fair plan lacks; what nobody accepted is left alone."""
    found = wants(
        order("O1", LATE, {NAVY: 3}), order("O2", "2026-11-28", {RED: 2}),
        fair("F1", "Harbour", "2026-12-05"), fair("F2", "Mill", "2026-12-12"),
        FairPlanAccepted(fair="F1", bring=((NAVY, 4),), head="h"),
    )  # fmt: skip

    assert found == [
        Want("red", BODY, 2, "O2", RED),
        Want("navy", BODY, 3, "O1", NAVY),
        Want("navy", BODY, 4, None, NAVY, "F1"),
    ]


def test_what_some_orders_and_fairs_wait_for_is_told_alone() -> None:
    """In the order it is wanted; what nobody named is left out."""
    found = wants(
        order("O1", LATE, {NAVY: 3}), order("O2", "2026-11-28", {RED: 2}),
        fair("F1", "Harbour", "2026-12-05"),
        FairPlanAccepted(fair="F1", bring=((NAVY, 4),), head="h"),
    )  # fmt: skip

    assert only_for(found, ["F1", "O2"]) == [found[0], found[2]]
    assert only_for(found, ["O9"]) == []


def test_bows_at_home_need_no_cutting() -> None:
    """Five at home: three for the order, two for the fair's four."""
    found = wants(
        BowsOpening(bows=((NAVY, 5),)), order("O1", LATE, {NAVY: 3}),
        fair("F1", "Harbour", "2026-12-05"),
        FairPlanAccepted(fair="F1", bring=((NAVY, 4),), head="h"),
    )  # fmt: skip

    assert sum(want.sets for want in found) == 2


def cut(bundle: str, source: str, count: int) -> RibbonCut:
    return RibbonCut(bundle=bundle, spool=source, role="body", length=YARD, count=count)


def test_sets_whose_parts_wait_in_bundles_need_no_cutting() -> None:
    """Two of three wait; a role or a ribbon of another name is no help."""
    found = wants(cut("C1", "S1", 2), cut("C2", "S2", 9), order("O1", LATE, {NAVY: 3}))

    assert found == [Want("navy", BODY, 1, "O1", NAVY)]


def test_parts_of_two_lots_never_make_up_a_pair() -> None:
    """A pair needs two of one lot: one waiting part of each of two lots is no pair."""
    pair = LineItem(line=1, what="pair", count=1, price=1500, kinds=((NAVY, 2),))
    events = (spool("S9", "navy", 50), cut("C1", "S1", 1), cut("C2", "S9", 1))

    found = wants(*events, OrderTaken(order="O1", lines=(pair,), due=LATE))

    assert found == [Want("navy", (Part("body", YARD, 2),), 1, "O1", NAVY)]


def test_pairs_of_an_order_stay_pairs_and_the_rest_single() -> None:
    """Two pairs and a single bow, one bow at home: a pair is broken for none."""
    lines = (
        LineItem(line=1, what="pair", count=2, price=1500, kinds=((NAVY, 2),)),
        LineItem(line=2, what=NAVY, count=1, price=800, kinds=((NAVY, 1),)),
    )
    taken = OrderTaken(order="O1", lines=lines, due=LATE)

    assert wants(taken, BowsOpening(bows=((NAVY, 1),))) == [
        Want("navy", (Part("body", YARD, 2),), 2, "O1", NAVY)
    ]


def test_each_ribbon_of_what_is_worn_together_is_a_want_of_its_own() -> None:
    """A set of a navy and a red bow takes both; no kind is named where it is mixed."""
    led = told()

    assert asked_for(led, [(((NAVY, 1), (RED, 1)), 3)]) == [
        Want("navy", BODY, 3), Want("red", BODY, 3),
    ]  # fmt: skip


def test_roles_of_one_bow_must_match() -> None:
    """All parts that a bow takes of a ribbon are one set."""
    two = PatternRevised(
        pattern="two", revision=1, name="two", size=4 * INCH, width=INCH,
        parts=(PatternPart(role="body", length=20 * INCH, count=2),
               PatternPart(role="knot", length=4 * INCH)),
    )  # fmt: skip

    assert asked_for(told(two), [((("two:navy", 1),), 5)]) == [
        Want("navy", (Part("body", 20 * INCH, 2), Part("knot", 4 * INCH)), 5, None,
             "two:navy"),
    ]  # fmt: skip


def runs(*events) -> list[Run]:
    led = told(*events)
    return runs_of(led, asked_for(led, [(((NAVY, 1),), 1)]))


def test_a_spool_is_parted_at_the_joins_still_on_it() -> None:
    """40 yd and 12 yd lay behind its joins; the one at the cut end is passed."""
    found = runs(
        spool("S9", "navy", 100), cut("C1", "S9", 48), SpoolSetAside(spool="S1"),
        JoinFound(spool="S9", left=52 * YARD), JoinFound(spool="S9", left=40 * YARD),
        JoinFound(spool="S9", left=12 * YARD),
    )  # fmt: skip

    assert found == [
        Run("S9", "navy", "S9", 12 * YARD, nth=1),
        Run("S9", "navy", "S9", 28 * YARD, nth=2),
        Run("S9", "navy", "S9", 12 * YARD, nth=3),
    ]


def test_a_join_not_yet_found_has_a_part_of_slack() -> None:
    """On a long spool, not on the last few yards of one."""
    found = runs(spool("S9", "navy", 12), SpoolSetAside(spool="S1"))
    whole = runs()

    assert found == [Run("S9", "navy", "S9", 12 * YARD, begun=False)]
    assert whole == [Run("S1", "navy", "S1", 1000 * YARD, begun=False, slack=YARD)]


def test_the_shortest_end_worth_keeping_is_a_setting_of_hers() -> None:
    """9 in until she says otherwise."""
    changed = SettingChanged(name="end worth keeping", value=str(14 * INCH))

    assert usable_end(told()) == 9 * INCH
    assert usable_end(told(changed)) == 14 * INCH
