"""Entering a cutting list: the cuts as they were made, in one entry."""

from __future__ import annotations

import pytest
from selling_toys import INCH, NAVY, NOW, SHOP, ZONE

from planner.errors import Unknown
from planner.events.base import Fact
from planner.events.bench import RibbonCut
from planner.events.plans import CuttingPlanAccepted
from planner.events.restock import SpoolReceived
from planner.fold import fold_facts
from planner.ledgers.state import Ledgers
from planner.plans.cutting import Cut, CuttingPlan, Part, Run, RunCuts, Want
from planner.rules.cutting import done

BODY = 27 * INCH


def shop() -> Ledgers:
    """The toy shop with two navy spools of 10 yd."""
    spools = [
        SpoolReceived(spool=code, ribbon="navy", length=360 * INCH, lot=code)
        for code in ("S1", "S2")
    ]
    events = enumerate([*SHOP, *spools], 1)
    return fold_facts([(n, Fact(e, "2026-11-01")) for n, e in events], zone=ZONE)


def a_list() -> CuttingPlan:
    """Two orders' navy bows from two runs of S1, and knots ahead from S2."""
    body = (Part("body", BODY),)
    wants = (
        Want("navy", body, 3, "O1", NAVY), Want("navy", body, 2, "O2", NAVY),
        Want("navy", (Part("knot", 4 * INCH),), 90),
    )  # fmt: skip
    first = Run("S1", "navy", "S1", 100 * INCH)
    second = Run("S1", "navy", "S1", 260 * INCH, nth=2)
    other = Run("S2", "navy", "S2", 360 * INCH)
    return CuttingPlan(
        wants,
        (
            RunCuts(first, (Cut(0, "body", BODY, 3, 19 * INCH),)),
            RunCuts(second, (Cut(1, "body", BODY, 2, 206 * INCH),)),
            RunCuts(other, (Cut(2, "knot", 4 * INCH, 90, 0),)),
        ),
        (), (), 9 * INCH,
    )  # fmt: skip


def test_parts_alike_from_one_spool_make_one_bundle() -> None:
    """Two orders' bodies are one bundle; what was cut is kept to be scored."""
    proposed = done(shop(), plan=a_list(), head="abcd", when=NOW)

    assert [fact.event for fact in proposed.facts] == [
        CuttingPlanAccepted(
            head="abcd",
            cuts=(("S1", "body", BODY, 5), ("S2", "knot", 4 * INCH, 90)),
        ),
        RibbonCut(bundle="C1", spool="S1", role="body", length=BODY, count=5,
                  for_kind=NAVY, revision=1),
        RibbonCut(bundle="C2", spool="S2", role="knot", length=4 * INCH, count=90),
    ]  # fmt: skip
    assert proposed.said == (
        "bundle C1: 5 body parts of 27 in from S1 (navy 7/8 in grosgrain): "
        "10 yd → 6 yd 9 in left",
        "bundle C2: 90 knot parts of 4 in from S2 (navy 7/8 in grosgrain): "
        "10 yd → nothing left",
    )
    assert proposed.warnings == ()


def test_a_list_may_be_entered_spool_by_spool() -> None:
    """Only what was cut from the spool named is entered and kept."""
    proposed = done(shop(), plan=a_list(), head="abcd", when=NOW, spools=["S2"])

    assert [fact.event.kind for fact in proposed.facts] == [
        "cutting-plan-accepted", "ribbon-cut",
    ]  # fmt: skip
    assert proposed.facts[0].event == CuttingPlanAccepted(
        head="abcd", cuts=(("S2", "knot", 4 * INCH, 90),)
    )


def test_a_list_without_such_cuts_is_refused() -> None:
    """A spool that the list doesn't touch has nothing to enter."""
    with pytest.raises(Unknown) as refused:
        done(shop(), plan=a_list(), head="abcd", when=NOW, spools=["S3"])

    assert refused.value.instead == "bows cutting"


def test_more_than_the_records_have_is_taken_and_said() -> None:
    """What was cut is a fact: it is entered, as not yet explained where need be."""
    plan = a_list()
    wide = Cut(2, "knot", 4 * INCH, 95, -20 * INCH)
    longer = CuttingPlan(
        plan.wants, (RunCuts(plan.runs[2].run, (wide,)),), (), (), 9 * INCH
    )

    proposed = done(shop(), plan=longer, head="abcd", when=NOW)

    assert proposed.warnings == (
        "that is 20 in more than the records have on S2; entered as not yet explained",
    )
