"""The cutting list as it is shown: on the terminal, as JSON, as a page."""

from __future__ import annotations

import html5lib
import pytest

from planner.engines.cutting import plan_cuts
from planner.events.base import Event, Fact
from planner.events.catalogue import ColourNamed, Part, PatternRevised, RibbonNamed
from planner.events.fair import FairAnnounced, FairDay, FairPlanAccepted
from planner.events.restock import SpoolReceived
from planner.events.shop import ShopSetUp
from planner.events.spool import EndKept, JoinFound
from planner.fold import fold_facts
from planner.ledgers.state import Ledgers
from planner.pages import page
from planner.plans.cutting import Allowance, CuttingPlan, Level, Run, Want
from planner.plans.cutting import Part as Piece
from planner.views.common import Oddity, Swatch
from planner.views.cutting import (
    CutLevel,
    CutLine,
    CuttingList,
    RunCut,
    UncutLine,
)
from planner.views.cutting_builder import build, verdict

INCH = 25_400_000
NAVY = "classic-4in:navy"
UNREAD = Allowance(why="nothing was read")
NASTY = "<script>alert(1)</script>"


def told(*more: Event, colour: str = "Harbour navy") -> Ledgers:
    """A shop with a navy spool of 3 yd and what happened besides."""
    events = [
        ShopSetUp(name="Tern & Thimble", zone="America/Halifax", currency="CAD",
                  units="us", paper="letter"),
        ColourNamed(colour="navy", name=colour, hex="#1f2d4d", family="navy"),
        RibbonNamed(ribbon="navy", colour="navy", width=INCH, material="satin"),
        PatternRevised(pattern="classic-4in", revision=1, name="classic 4 in",
                       size=4 * INCH, width=INCH,
                       parts=(Part(role="body", length=27 * INCH),)),
        SpoolReceived(spool="S1", ribbon="navy", length=108 * INCH, lot="L7"),
        *more,
    ]  # fmt: skip
    facts = [(n, Fact(e, "2026-11-01")) for n, e in enumerate(events, 1)]
    return fold_facts(facts, zone="America/Halifax")


def runs(slack: int = 0) -> list[Run]:
    """The spool as one run, begun."""
    return [Run("S1", "navy", "L7", 108 * INCH, slack=slack)]


def shown(led: Ledgers, sets: int, *, slack: int = 0, asked: str = "") -> CuttingList:
    """The list for so many bows of order O1."""
    wants = [Want("navy", (Piece("body", 27 * INCH),), sets, "O1", NAVY)]
    plan = plan_cuts(wants, runs(slack), usable=9 * INCH)
    return build(
        led, plan, runs(slack), UNREAD, today="2026-11-25",
        made="Wed 25 Nov 2026, 20:15", asked=asked,
    )  # fmt: skip


def test_a_list_says_what_to_cut_with_what_is_left() -> None:
    """Three bows of 27 in from 3 yd: 27 in stay, of use; nothing could be better."""
    view = shown(told(), 3)

    assert view.short == "3 parts from 1 spool, none of them new."
    assert view.runs == (
        RunCut(
            spool="S1", ribbon="Harbour navy 1 in satin",
            swatch=Swatch(hex="#1f2d4d", name="Harbour navy", pattern="level"),
            lot="L7", run=1, runs=1, opens=False, start_nm=108 * INCH, start="3 yd",
            likely_nm=108 * INCH, likely="3 yd",
            cuts=(
                CutLine(count=3, role="body", length_nm=27 * INCH, length="27 in",
                        what="4in harbour navy", claim="O1", left_nm=27 * INCH,
                        left="27 in"),
            ),
            end_nm=27 * INCH, end="27 in left", end_is="of use",
        ),
    )  # fmt: skip
    assert (view.parts, view.ribbon, view.uncut) == (3, "2 yd 9 in", ())
    assert view.proved
    assert view.verdict == (
        "No list could do better: proved, counting what is named first as the "
        "weightiest."
    )
    assert view.done == f"bows cutting --done --head {view.foot.head}"


def test_what_no_ribbon_is_left_for_is_named() -> None:
    """Six bows from a spool for four, the last inch taken."""
    view = shown(told(), 6, asked="6 4in navy")

    assert view.uncut == (
        UncutLine(what="4in harbour navy", sets=2, claim="O1",
                  ribbon="Harbour navy 1 in satin"),
    )  # fmt: skip
    assert view.short == (
        "4 parts from 1 spool, none of them new; there is not enough Harbour navy 1 in "
        "satin."
    )
    assert (view.runs[0].end, view.runs[0].end_is) == ("nothing left", "nothing")
    assert view.levels[0] == CutLevel(
        what="uncut", name="sets left uncut", value=2, shown="2", bound=2,
        bound_shown="2", proved=True,
    )  # fmt: skip
    assert view.done.startswith("bows cutting '6 4in navy' --done --head ")


def test_a_list_with_nothing_to_cut_says_so() -> None:
    """No table, nothing to enter."""
    led = told()
    none = plan_cuts([], [], usable=9 * INCH)

    view = build(led, none, [], Allowance(), today="2026-11-25", made="now")

    assert view.short == "Nothing is to cut: no order or accepted plan asks for a bow."
    assert (view.runs, view.levels, view.done) == ((), (), "")


def test_nothing_to_cut_is_told_from_a_plan_not_accepted_and_from_parts_waiting() -> (
    None
):
    """A plan counts once it is accepted; then what has its parts is done."""
    days = (FairDay(day="2026-11-28", opens="10:00", closes="16:00"),)
    fair = FairAnnounced(fair="F1", name="Quay", days=days, fee=0)
    accepted = FairPlanAccepted(fair="F1", bring=(("4in:navy", 1),), head="a" * 64)
    none, nobody = plan_cuts([], [], usable=9 * INCH), Allowance()

    def said(*more: Event, claims: tuple[str, ...] = ()) -> str:
        return build(
            told(*more), none, [], nobody, today="2026-11-25", made="now", claims=claims
        ).short

    assert said(fair) == (
        "Nothing is to cut: no order or accepted plan asks for a bow. To count a "
        "fair's plan in: bows fair accept F1."
    )
    assert said(fair, accepted) == (
        "Nothing is to cut: all that orders and accepted plans ask for is made or has "
        "its parts."
    )
    assert said(fair, accepted, claims=("O1",)) == (
        "Nothing is to cut: no order or accepted plan asks for a bow."
    )


def test_what_it_rests_on_names_slack_and_ends_kept_apart() -> None:
    """The spools whose joins may be to come, and ends that no cut can be entered of."""
    view = shown(told(EndKept(spool="S1", length=INCH)), 2, slack=27 * INCH)

    assert view.rests_on[2:] == (
        "No over-cut is allowed for: nothing was read.",
        "A part's length stays free for a join not yet found: S1.",
        "Ends kept apart are not planned with: S1.",
    )


def test_over_cut_allowed_for_is_taken_off_what_is_left_and_told() -> None:
    """Bodies of 27 in take 27 1/2; the books know 20 in more than is likely there."""
    led = told()
    allowed = Allowance({"body": INCH // 2}, 0, 0.95, 1234)
    wants = [
        Want("navy", (Piece("body", 55 * INCH // 2, 1, INCH // 2),), 4, "O1", NAVY)
    ]
    likely = [Run("S1", "navy", "L7", 88 * INCH, gone=20 * INCH)]
    plan = plan_cuts(wants, likely, usable=9 * INCH)

    view = build(led, plan, likely, allowed, today="2026-11-25", made="now")

    run = view.runs[0]
    assert (run.start, run.likely, run.end) == ("3 yd", "2 yd 16 in", "5 1/2 in left, "
                                                "too short for use")  # fmt: skip
    assert (run.cuts[0].count, run.cuts[0].length, run.cuts[0].left) == (
        3, "27 in", "5 1/2 in"
    )  # fmt: skip
    assert (view.ribbon, view.uncut[0].sets) == ("2 yd 9 in", 1)
    assert view.rests_on[2:] == (
        "Over-cut is allowed for: 1/2 in a part, 95 % sure to be enough on average "
        "(from 1,234 parts cut). What is then left has it taken off; the books take "
        "off the lengths told.",
        "Over-cut since they were last read has likely taken 20 in off S1.",
    )


def test_allowances_that_differ_are_told_part_by_part() -> None:
    """A quarter for bodies, none for knots."""
    allowed = Allowance({"body": INCH // 4, "knot": 0}, 0, 0.95, 99)
    parts = (Piece("body", 27 * INCH + INCH // 4, 1, INCH // 4), Piece("knot", INCH))
    plan = plan_cuts([Want("navy", parts, 1)], runs(), usable=9 * INCH)

    view = build(told(), plan, runs(), allowed, today="2026-11-25", made="now")

    assert "1/4 in a body, nothing a knot, 95 % sure" in view.rests_on[2]


def test_a_join_without_its_length_is_odd() -> None:
    """Where the run ends is not known: it says what to type."""
    view = shown(told(JoinFound(spool="S1")), 2)

    assert view.odd == (
        Oddity(about="S1", what="how much lies behind its join was never told",
               instead="bows spool join S1 LENGTH"),
    )  # fmt: skip


def test_a_list_not_proved_says_by_how_much_it_may_be_off() -> None:
    """Never "best" unless the bound meets the list."""
    levels = [Level("uncut", 0, 0), Level("lots", 0, 0), Level("new spools", 0, 0)]
    ends = CuttingPlan(
        (), (), (), (*levels, Level("unusable end", 8 * INCH, 5 * INCH)), 9 * INCH
    )
    sets = CuttingPlan((), (), (), (Level("uncut", 4, 1), *levels[1:]), 9 * INCH)

    assert verdict(told(), ends) == (
        "At most 3 in from the best in ends too short for use (all above it proved)."
    )
    assert verdict(told(), sets) == (
        "At most 3 from the best in sets left uncut (nothing proved)."
    )


@pytest.mark.parametrize("sets", [0, 3, 6])
def test_the_page_is_whole_and_escaped(sets: int) -> None:
    """Strict HTML, a box to tick a line, no markup of a name she typed."""
    view = shown(told(colour=NASTY), sets)

    text = page(view)

    root = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(text)
    boxes = [e for e in root.iter("span") if e.get("class") == "box"]
    assert root.findall(".//script") == []
    assert len(boxes) == sum(len(run.cuts) for run in view.runs)


def test_every_dump_begins_with_its_schema() -> None:
    """One JSON object with a schema key, the figures as the page shows them."""
    dump = shown(told(), 3).model_dump()

    assert next(iter(dump.items())) == ("schema", "spool-to-stall/cutting/1")
