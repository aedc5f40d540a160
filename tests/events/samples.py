"""One rich sample of every event kind; a new kind without one fails by name."""

from __future__ import annotations

from planner.events import (
    bench,
    bows,
    catalogue,
    fair,
    notes,
    orders,
    plans,
    restock,
    selling,
    shop,
    spool,
)
from planner.events.base import Event, Kept
from planner.events.fields import LineItem, PartUse

INCH = 25_400_000
YARD = 914_400_000
NAVY, RED, UNNOTICED = "classic-4in:navy", "classic-4in:red", "classic-4in:?"
SEAL = "9f" * 32
NOTE = Kept(key="note-17", seal=SEAL)

BODY = PartUse(role="body", length=27 * INCH, count=6, bundle="C12", spool="S7")
KNOT = PartUse(role="knot", length=4 * INCH, count=6)
LINES = (
    LineItem(line=1, what=NAVY, count=6, price=850, kinds=((NAVY, 1),)),
    LineItem(line=2, what="harbour-pair", count=2, price=1500,
             kinds=((NAVY, 1), (RED, 1))),
)  # fmt: skip

_SHOP: tuple[Event, ...] = (
    shop.ShopSetUp(
        name="Knot Quay", zone="America/New_York", currency="USD", units="us",
        paper="letter", about=True,
    ),
    shop.SettingChanged(name="late day", value="before"),
    shop.BenchHoursSet(
        words="tue thu 19:30-22:00, not 26 nov, sat 28 nov 06:00-08:00",
        rules=(
            shop.BenchStretch(
                rule="FREQ=WEEKLY;BYDAY=TU,TH", start="19:30", end="22:00",
                first="2026-01-01",
            ),
        ),
        off=("2026-11-26",),
        extra=(shop.ExtraStretch(day="2026-11-28", start="06:00", end="08:00"),),
    ),
    shop.PriceSet(what="classic-4in", channel="retail", price=850),
    shop.WageSet(an_hour=2200),
    shop.FeesSet(basis_points=260, fixed=10),
    shop.CostShareSet(what="clip-40", price=12),
    shop.PersonNoted(person="P3", kept=(NOTE, Kept(key="name-3", seal=SEAL))),
    shop.PersonForgotten(person="P3"),
)  # fmt: skip

_CATALOGUE: tuple[Event, ...] = (
    catalogue.ColourNamed(colour="navy", name="harbour navy", hex="#1f2a5a",
                          family="blue"),
    catalogue.RibbonNamed(
        ribbon="navy", colour="navy", width=7 * INCH // 8, material="grosgrain",
        finish="printed", trade_number="5",
    ),
    catalogue.SupplyNamed(supply="glue", name="glue stick", yields=20),
    catalogue.PatternRevised(
        pattern="classic-4in", revision=2, name="classic 4 in", size=4 * INCH,
        width=7 * INCH // 8,
        parts=(
            catalogue.Part(role="body", length=27 * INCH),
            catalogue.Part(role="knot", length=4 * INCH, count=1),
        ),
        supplies=(catalogue.SupplyNeed(supply="clip-40", count=1),),
        steps=(
            catalogue.Step(name="pleat and tie", seconds=150),
            catalogue.Step(name="pearl", seconds=40, optional=True),
        ),
        set_up=10, setting=240,
    ),
    catalogue.ColourwayNamed(
        colourway="navy-red", name="navy with a red knot", lead="navy",
        ribbons=(("knot", "red"), ("*", "navy")),
    ),
    catalogue.SetNamed(set="harbour-pair", name="harbour pair",
                       kinds=((NAVY, 1), (RED, 1))),
    catalogue.Retired(what="mint"),
)  # fmt: skip

_RESTOCK: tuple[Event, ...] = (
    restock.RestockOrdered(
        restock="R4", supplier="Quayside Trimmings",
        ribbons=(restock.RibbonAwaited(ribbon="navy", length=100 * YARD, spools=2,
                                       price=1890),),
        supplies=(restock.SupplyAwaited(supply="clip-40", units=200, price=1600),),
        expected="2026-12-01", latest="2026-12-04", freight=650, discount=200,
    ),
    restock.RestockCancelled(restock="R4", why="out of the colour"),
    restock.SpoolReceived(
        spool="S7", ribbon="navy", length=100 * YARD, paid=1937,
        supplier="Quayside Trimmings", lot="L1", restock="R4",
    ),
    restock.SupplyReceived(
        lot="U3", supply="clip-40", units=200, paid=1660,
        supplier="Quayside Trimmings", restock="R4",
    ),
    restock.SupplySentBack(lot="U3", units=20, refund=166),
    restock.SupplyUsed(lot="U4", units=1),
    restock.SupplyLost(lot="U3", units=2, why="bent"),
    restock.SupplyFound(lot="U5", supply="card", units=75, paid=300),
)  # fmt: skip

_SPOOL: tuple[Event, ...] = (
    spool.SpoolFoundPartUsed(
        spool="S8", ribbon="red", length=40 * YARD, label=100 * YARD, paid=700,
        supplier="Quayside Trimmings", lot="L2",
    ),
    spool.SpoolRead(spool="S7", left=63 * YARD + 5 * INCH, how="weighed"),
    spool.JoinFound(spool="S7", left=41 * YARD),
    spool.SpoolWoundInTwo(spool="S7", onto="S9", length=20 * YARD),
    spool.EndKept(spool="S7", length=11 * INCH),
    spool.EndScrapped(spool="S7", length=11 * INCH, why="faded"),
    spool.RibbonScrapped(spool="S7", length=3 * INCH, why="flaw"),
    spool.RibbonSent(spool="S7", length=2 * YARD, how="sold", amount=300,
                     note="to a neighbour's guild"),
    spool.RibbonCameBack(spool="S7", length=YARD),
    spool.SpoolSetAside(spool="S7", why="doubtful lot", aside=True),
)  # fmt: skip

_BENCH: tuple[Event, ...] = (
    bench.SittingLogged(sitting="T5", minutes=95, planned=90, note="radio on"),
    bench.RibbonCut(
        bundle="C12", spool="S7", role="body", length=27 * INCH, count=12,
        for_kind=NAVY, revision=2, sitting="T5",
    ),
    bench.PartsRecut(
        bundle="C12", spool="S7", role="body", onto="C13", old_length=27 * INCH,
        new_length=20 * INCH, count=2,
    ),
    bench.PartsScrapped(
        bundle="C12", spool="S7", role="body", length=27 * INCH, count=1,
        why="mis-cut",
    ),
    bench.PartsCounted(
        bundle="C12", spool="S7", role="body", length=27 * INCH, count=9
    ),
    bench.BowsFinished(
        batch="B6", made=NAVY, revision=2, count=6, place="home", parts=(BODY, KNOT),
        supplies=(("U3", 6),), sitting="T5", minutes=70, order="O3",
        ready="2026-11-25T23:40:00-05:00",
    ),
    bench.BatchPartsTold(
        batch="B6",
        parts=(PartUse(role="knot", length=4 * INCH, count=6, bundle="C14",
                       spool="S8"),),
    ),
    bench.BowsSpoiled(
        made=NAVY, revision=2, count=1,
        scrapped=(BODY.model_copy(update={"count": 1}),),
        kept=(KNOT.model_copy(update={"count": 1}),), supplies=(("U3", 1),),
        sitting="T5", why="scorched",
    ),
    bench.BowsReworked(
        was=NAVY, became="classic-4in:navy-red", batch="B7", count=2, place="home",
        parts=(KNOT.model_copy(update={"count": 2, "spool": "S8"}),),
        supplies=(("U3", 2),),
    ),
    bench.BowsTakenApart(
        made=NAVY, count=1, place="home", batch="B6",
        scrapped=(BODY.model_copy(update={"count": 1}),),
    ),
    bench.TrimmingsMeasured(
        spool="S7", role="body", length=3 * INCH, batch="B6",
        each=(INCH, 2 * INCH), short=1,
    ),
)  # fmt: skip

_BOWS: tuple[Event, ...] = (
    bows.BowsOpening(bows=((NAVY, 10), (RED, 4)), place="home", batch="B0"),
    bows.BowsMoved(bows=((NAVY, 2),), source="home", to="boutique:pier",
                   fair="F2", batch="B6"),
    bows.BowsGiven(bows=((NAVY, 1),), place="home", how="prize", batch="B6"),
    bows.BowsWrittenOff(bows=((RED, 1),), place="home", why="faded", batch="B0"),
    bows.BowsFound(bows=((RED, 2),), place="home"),
    bows.BowsLost(bows=((RED, 1),), place="stall:F2", why="blown off the pier"),
    bows.DisplayKept(made=NAVY, count=1),
    bows.StockCounted(place="home", counts=((NAVY, 7), (RED, 0)), whole=True,
                      fair="F2"),
    bows.SupplyCounted(counts=(("U3", 170), ("U4", 0))),
    bows.LabelsPrinted(batch="B6", count=6),
    bows.BatchNamed(batch="B6", entry=31, count=2, seq=57),
)  # fmt: skip

_ORDERS: tuple[Event, ...] = (
    orders.OrderAsked(order="O3", person="P3", lines=LINES, due="2026-12-04",
                      expires="2026-11-30", note=NOTE),
    orders.OrderTaken(
        order="O3", person="P3", lines=LINES, due="2026-12-04", hour="17:00",
        weight=3, in_parts=True, rush=True, post_days=2, note=NOTE,
    ),
    orders.OrderChanged(
        order="O3", lines=LINES[:1], due="2026-12-05", hour="12:00", weight=2,
        in_parts=True, post_days=1,
    ),
    orders.OrderReady(order="O3"),
    orders.OrderCalledOff(order="O3", why="the show is off"),
    orders.OrderPaid(order="O3", amount=2500, how="bank"),
    orders.OrderRefunded(order="O3", amount=500, how="card"),
    orders.OrderHandedOver(order="O3", bows=((NAVY, 6),), place="home", earned=5100,
                           by_post=True, batch="B6"),
    orders.OrderLostInPost(order="O3", bows=((NAVY, 6),), refund_owed=5100),
    orders.OrderReturned(order="O3", made=NAVY, count=1, place="home",
                         to="written off", refund_owed=850),
    orders.BowsReserved(claimant="O3", bows=((NAVY, 4),)),
)  # fmt: skip

_SELLING: tuple[Event, ...] = (
    selling.BowsSold(
        bows=((NAVY, 1), (UNNOTICED, 2)), taken=2400, place="stall:F2", how="card",
        fee=72, fair="F2", what="harbour-pair", batch="B6",
    ),
    selling.SaleTakenBack(bows=((NAVY, 1),), returned=850, place="stall:F2",
                          how="cash", fair="F2"),
    selling.BoutiqueNoted(place="boutique:pier", name="Pier Pieces",
                          basis_points=4000),
    selling.BoutiqueStatement(place="boutique:pier", sold=((NAVY, 2),), gross=1900,
                              commission=760, paid=1140),
    selling.WholesaleSold(bows=((RED, 3),), taken=1350, place="home", how="not yet",
                          buyer="Pier Pieces"),
    selling.CostPaid(what="postage", amount=480, note="two parcels"),
    selling.UnloggedSalesTold(fair="F2", bows=((NAVY, 1),), place="stall:F2",
                              day="2026-11-28"),
)  # fmt: skip

_FAIR: tuple[Event, ...] = (
    fair.FairAnnounced(
        fair="F2", name="Lamplight Market",
        days=(
            fair.FairDay(day="2026-11-28", opens="10:00", closes="16:00"),
            fair.FairDay(day="2026-11-29", opens="11:00", closes="15:00"),
        ),
        fee=6000, crowd=4, indoor=False, table=72 * INCH,
        guess=((NAVY, 5), ("classic-4in", 0)), guess_total=40,
    ),
    fair.FairCalledOff(fair="F2", at="13:30", why="storm"),
    fair.FairPlanAccepted(fair="F2", bring=((NAVY, 8), (RED, 0)), head="ab" * 16,
                          expected=((NAVY, 6_400_000),),
                          spread=((NAVY, (2, 4, 6, 9, 13)),),
                          sold_spread=(2, 4, 6, 8, 8)),
    fair.FairPacked(fair="F2", bows=((NAVY, 8), (RED, 0)), source="home",
                    top_up=True),
    fair.FairDayOpened(fair="F2", day="2026-11-28", float_=5000),
    fair.FairDayClosed(fair="F2", day="2026-11-28", cash=21_300, card=9_900),
    fair.FairSoldOut(fair="F2", made=NAVY, day="2026-11-28", at="14:10"),
    fair.FairCostPaid(fair="F2", what="parking", amount=900),
    fair.FairSettled(fair="F2", back=((NAVY, 2), (RED, 0)), unlogged=((NAVY, 0, 2),),
                     weather="poor", note="cold hands"),
    fair.CrowdTold(fair="F2", crowd=2),
)  # fmt: skip

_PLANS: tuple[Event, ...] = (
    plans.PromiseMade(
        order="O3", due="2026-12-04", chance=930_000, head="ab" * 16,
        early="2026-12-01", likely="2026-12-02", late="2026-12-05",
    ),
    plans.BenchPlanAccepted(head="ab" * 16, sittings=(("2026-11-26", NAVY, 6, 80),)),
    plans.CuttingPlanAccepted(head="ab" * 16, cuts=(("S7", "body", 27 * INCH, 6),)),
)  # fmt: skip

_NOTES: tuple[Event, ...] = (
    notes.NoteWritten(about_what="S7", text="curls at the edge", kept=NOTE),
    notes.EntryCorrected(entries=(31, 32), why="typed twice"),
    notes.EventLost(hash=SEAL),
    notes.LogRescued(first=12, hashes=(SEAL, "", SEAL), lost=(13,)),
    notes.FileTakenIn(take_in="K1", name="evening.csv", rows=((2, "row-2", 40),)),
)

SAMPLES: dict[str, Event] = {
    event.kind: event
    for event in (
        *_SHOP, *_CATALOGUE, *_RESTOCK, *_SPOOL, *_BENCH, *_BOWS, *_ORDERS, *_SELLING,
        *_FAIR, *_PLANS, *_NOTES,
    )
}  # fmt: skip
"""Kind -> a valid event of it, every field told."""
