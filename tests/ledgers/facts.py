"""Facts drawn at random, plausible ones and others she might type by mistake."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

from planner.events import bench, bows, fair, orders, restock, selling, spool
from planner.events.fields import PartUse

from .telling import INCH

DAYS = [f"2026-10-{day}" for day in range(28, 32)] + [
    f"2026-11-{day:02}" for day in range(1, 8)
]
"""Among them the first of November, when the clocks go back."""

days = st.sampled_from(DAYS)
offsets = st.sampled_from(["-05:00", "-04:00", "+00:00", "+02:00"])
clocks = st.sampled_from(["00:10:00", "09:30:00", "12:00:00", "21:45:00"])
moments = days | st.builds("{}T{}{}".format, days, clocks, offsets)

kinds = st.sampled_from(["classic-4in:navy", "classic-4in:red", "classic-4in:?"])
places = st.sampled_from(["home", "stall:F1", "boutique:pier"])
spools = st.sampled_from(["S1", "S2", "S3"])
bundles = st.sampled_from(["C1", "C2", "C3", "C4"])
lots = st.sampled_from(["U1", "U2"])
fairs = st.none() | st.just("F1")
counts = st.integers(1, 12)
batches = st.none() | st.sampled_from(["B1", "B2", "B3"])
perhaps_none = st.integers(0, 12)
lengths = st.integers(1, 40).map(lambda n: n * INCH) | st.integers(1, 10**9)
long_lengths = st.integers(10 * INCH, 500 * INCH)
left = st.just(0) | long_lengths
sums = st.integers(0, 5000)
whys = st.sampled_from(["flaw", "mis-cut"])
roles = st.sampled_from(["body", "knot"])
kind_counts = st.lists(
    st.tuples(kinds, counts), min_size=1, max_size=2, unique_by=lambda pair: pair[0]
).map(tuple)
tallies = st.lists(
    st.tuples(kinds, perhaps_none), max_size=2, unique_by=lambda pair: pair[0]
).map(tuple)
units = st.lists(
    st.tuples(lots, counts), max_size=2, unique_by=lambda pair: pair[0]
).map(tuple)
from_a_bundle = st.builds(
    PartUse, role=roles, length=lengths, count=counts, bundle=bundles, spool=spools
)
from_a_spool = st.builds(
    PartUse, role=roles, length=lengths, count=counts, spool=spools
)
from_nowhere = st.builds(PartUse, role=roles, length=lengths, count=counts)
parts = st.lists(from_a_bundle | from_a_spool | from_nowhere, max_size=2).map(tuple)
some_parts = st.lists(from_a_bundle, min_size=1, max_size=2).map(tuple)


def of(cls: Any, **fields: Any) -> st.SearchStrategy[Any]:
    """Draw an event of a class from the strategies of its fields."""
    return st.builds(cls, **fields)


RIBBON = (
    of(restock.SpoolReceived, spool=spools, ribbon=st.just("navy"),
       length=long_lengths, paid=sums, lot=st.just("L1")),
    of(spool.SpoolFoundPartUsed, spool=spools, ribbon=st.just("red"),
       length=long_lengths, lot=st.just("L2")),
    of(spool.SpoolRead, spool=spools, left=left),
    of(spool.SpoolRead, spool=spools, left=left),
    # Wound onto itself it would come before it came: no rule writes that.
    of(spool.SpoolWoundInTwo, spool=spools, onto=spools, length=lengths).filter(
        lambda event: event.spool != event.onto
    ),
    of(spool.EndKept, spool=spools, length=lengths),
    of(spool.EndScrapped, spool=spools, length=lengths, why=whys),
    of(spool.RibbonScrapped, spool=spools, length=lengths, why=whys),
    of(spool.RibbonSent, spool=spools, length=lengths, amount=sums,
       how=st.sampled_from(["given", "sold", "lent", "returned"])),
    of(spool.RibbonCameBack, spool=spools, length=lengths),
)  # fmt: skip

BENCH = (
    of(bench.RibbonCut, bundle=bundles, spool=spools, role=roles, length=lengths,
       count=counts),
    of(bench.PartsRecut, bundle=bundles, spool=spools, role=roles, onto=bundles,
       old_length=st.just(30 * INCH), new_length=lengths, count=counts),
    of(bench.PartsScrapped, bundle=bundles, spool=spools, role=roles, length=lengths,
       count=counts, why=whys),
    of(bench.PartsCounted, bundle=bundles, spool=spools, role=roles, length=lengths,
       count=perhaps_none),
    of(bench.BowsFinished, batch=st.sampled_from(["B1", "B2"]), made=kinds,
       revision=st.just(1), count=counts, place=places, parts=parts, supplies=units),
    of(bench.BatchPartsTold, batch=st.sampled_from(["B1", "B2"]), parts=some_parts),
    of(bench.BowsSpoiled, made=kinds, revision=st.just(1), count=counts,
       scrapped=parts, kept=parts, supplies=units),
    of(bench.BowsReworked, was=kinds, became=kinds, batch=st.just("B3"), count=counts,
       place=places, parts=parts, supplies=units),
    of(bench.BowsTakenApart, made=kinds, count=counts, place=places, scrapped=parts,
       batch=batches),
    of(bench.TrimmingsMeasured, spool=spools, role=roles, length=lengths),
)  # fmt: skip

SHELF = (
    of(bows.BowsOpening, bows=kind_counts, place=places),
    of(bows.BowsMoved, bows=kind_counts, source=places, to=places),
    of(bows.BowsGiven, bows=kind_counts, place=places, batch=batches,
       how=st.sampled_from(["gift", "own use"])),
    of(bows.BowsWrittenOff, bows=kind_counts, place=places, batch=batches),
    of(bows.BowsFound, bows=kind_counts, place=places),
    of(bows.BowsLost, bows=kind_counts, place=places),
    of(bows.StockCounted, place=places, counts=tallies, whole=st.booleans()),
    of(bows.StockCounted, place=places, counts=tallies, whole=st.booleans()),
    of(fair.FairPacked, fair=st.just("F1"), bows=tallies, source=places),
    of(bows.BatchNamed, batch=st.sampled_from(["B1", "B2", "B3"]), entry=counts,
       seq=st.integers(1, 40), count=counts),
)  # fmt: skip

HOWS = st.sampled_from(["cash", "card", "bank", "not yet"])
SELLING = (
    of(selling.BowsSold, bows=kind_counts, taken=sums, place=places, how=HOWS,
       fee=sums, fair=fairs, batch=batches),
    of(selling.SaleTakenBack, bows=kind_counts, returned=sums, place=places, how=HOWS,
       fair=fairs),
    of(selling.BoutiqueStatement, place=places, sold=kind_counts, gross=sums,
       commission=sums, paid=sums),
    of(selling.WholesaleSold, bows=kind_counts, taken=sums, place=places, how=HOWS),
    of(selling.UnloggedSalesTold, fair=st.just("F1"), bows=kind_counts, place=places),
    of(selling.CostPaid, what=st.just("postage"), amount=counts),
    of(fair.FairCostPaid, fair=st.just("F1"), what=st.just("fee"), amount=counts),
    of(fair.FairDayClosed, fair=st.just("F1"), day=days, cash=sums,
       card=st.none() | sums),
    of(orders.OrderPaid, order=st.just("O1"), amount=counts),
    of(orders.OrderRefunded, order=st.just("O1"), amount=counts),
    of(orders.OrderHandedOver, order=st.just("O1"), bows=kind_counts, place=places,
       earned=sums, batch=batches),
    of(orders.OrderLostInPost, order=st.just("O1"), bows=kind_counts,
       refund_owed=sums),
    of(orders.OrderReturned, order=st.just("O1"), made=kinds, count=counts,
       place=places, to=st.sampled_from(["stock", "rework", "written off"]),
       refund_owed=sums),
)  # fmt: skip

SUPPLIES = (
    of(restock.SupplyReceived, lot=lots, supply=st.just("clip"), units=counts,
       paid=sums),
    of(restock.SupplyFound, lot=lots, supply=st.just("clip"), units=counts),
    of(restock.SupplySentBack, lot=lots, units=counts, refund=sums),
    of(restock.SupplyUsed, lot=lots, units=counts),
    of(restock.SupplyLost, lot=lots, units=counts),
    of(bows.SupplyCounted, counts=st.lists(
        st.tuples(lots, perhaps_none), max_size=2, unique_by=lambda pair: pair[0]
    ).map(tuple)),
)  # fmt: skip

ANYTHING = st.sampled_from(RIBBON + BENCH + SHELF + SELLING + SUPPLIES).flatmap(
    lambda kind: kind
)
"""Any fact, each kind as likely as another."""
COUNTS = st.one_of(RIBBON[2], BENCH[3], SHELF[6], SELLING[7], SUPPLIES[5])
"""A reading of any kind."""
