"""Over-cut allowed for in cutting lists: spools planned to their end aren't short."""

from __future__ import annotations

from random import Random

import pytest

from planner.engines.cutting import plan_cuts
from planner.engines.cutting_over import STEPS, allowance, as_likely, with_over
from planner.events.base import Fact
from planner.events.bench import RibbonCut
from planner.events.spool import SpoolRead
from planner.fold import fold_facts
from planner.plans.cutting import Allowance, CuttingPlan, Part, Run, Want

from .due_toys import INCH, SHOP, YARD, ZONE, told
from .planted_shops import Planted, plant

EIGHTH = INCH // 8
SHOPS = 10
BOW = (Part("body", 26 * INCH), Part("knot", 6 * INCH))


@pytest.fixture(name="shops", scope="module")
def _shops() -> list[Planted]:
    return [plant(seed, spools=24) for seed in range(SHOPS)]


def test_it_is_the_upper_end_of_what_was_measured_rounded_up(
    shops: list[Planted],
) -> None:
    """Role by role where the readings tell them apart, else that of all parts."""
    for shop in shops[:4]:
        found, allowed = shop.found, allowance(shop.led)

        assert found.mean is not None
        high = {role: one.high for role, one in found.parts.items()}
        for role in found.parts:
            most = high[role] if found.roles_apart else found.mean.high
            assert 0 <= allowed.of(role) - most < STEPS["us"]
        assert 0 <= allowed.of("streamer") - found.mean.high < STEPS["us"]
        assert allowed.sure == pytest.approx(0.95)
        assert allowed.parts == sum(found.counts.values())


def test_nothing_is_allowed_for_where_too_little_was_read() -> None:
    """It says why, and parts stay as long as told."""
    wants = [Want("navy", BOW, 3)]
    allowed = allowance(told())

    assert "bows read" in allowed.why
    assert with_over(wants, allowed) == wants


def test_parts_take_their_allowance_and_are_told_without_it() -> None:
    """Allowing twice is allowing once."""
    allowed = Allowance({"body": EIGHTH}, others=INCH, sure=0.95)
    once = with_over([Want("navy", BOW, 3, "O1")], allowed)

    body, knot = once[0].parts
    assert (body.length, body.over, body.told) == (
        26 * INCH + EIGHTH,
        EIGHTH,
        26 * INCH,
    )
    assert (knot.length, knot.told) == (7 * INCH, 6 * INCH)
    assert with_over(once, allowed) == once


def test_runs_lose_what_was_over_cut_since_they_were_read() -> None:
    """Twelve bodies before the reading count no more; ten after it do: 1 1/4 in."""
    days = ("2026-11-20", "2026-11-21", "2026-11-22")
    events = cut("C1", 12), SpoolRead(spool="S1", left=900 * YARD), cut("C2", 10)
    facts = [(n, Fact(event, "2026-11-01")) for n, event in enumerate(SHOP, 1)]
    facts += [
        (n, Fact(*one)) for n, one in enumerate(zip(events, days, strict=True), 50)
    ]
    led = fold_facts(facts, zone=ZONE)
    loose = Run("S1", "navy", "S1", 60 * YARD)
    inner = Run("S1", "navy", "S1", YARD, nth=2)
    allowed = Allowance({"body": EIGHTH}, others=INCH, sure=0.95)

    found = as_likely(led, [loose, inner], allowed)

    assert [(run.length, run.gone) for run in found] == [
        (60 * YARD - 2 * INCH, 2 * INCH), (YARD, 0),
    ]  # fmt: skip


def test_a_run_never_loses_more_than_it_has() -> None:
    """The books may be behind by more than they say is left."""
    led = told(cut("C1", 900))
    allowed = Allowance(others=INCH, sure=0.95)

    assert as_likely(led, [Run("S1", "navy", "S1", YARD)], allowed) == [
        Run("S1", "navy", "S1", 0, gone=YARD)
    ]


def cut(bundle: str, count: int) -> RibbonCut:
    return RibbonCut(bundle=bundle, spool="S1", role="body", length=YARD, count=count)


def really(plan: CuttingPlan, over: dict[str, float], chance: Random) -> int:
    """What cutting a list takes (nm), each part over-cut as she really does."""
    return sum(
        c.told + max(round(chance.gauss(1, 0.35) * over[c.role]), 0)
        for one in plan.runs for c in one.cuts for _ in range(c.count)
    )  # fmt: skip


def test_spools_planned_to_their_end_are_seldom_short(shops: list[Planted]) -> None:
    """Cut as they are over-cut: without the allowance every list runs short."""
    room, chance = 33 * 32 * INCH, Random(5)
    run, knots = Run("S9", "navy", "L", room), Want("navy", BOW[1:], 200)
    short = {True: 0, False: 0}
    for shop in shops:
        for allowed in (allowance(shop.led), Allowance()):
            wants = with_over([Want("navy", BOW, 33, "O1"), knots], allowed)
            plan = plan_cuts(wants, [run], usable=9 * INCH)
            assert plan.runs[0].left < 7 * INCH
            short[bool(allowed.sure)] += really(plan, shop.over, chance) > room

    assert short[True] <= SHOPS // 5
    assert short[False] == SHOPS
