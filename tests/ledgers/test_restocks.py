"""What is still on the way of a restock: ordered, less what came in."""

from __future__ import annotations

from planner.events.restock import (
    RestockCancelled,
    RestockOrdered,
    RibbonAwaited,
    SpoolReceived,
    SupplyAwaited,
    SupplyReceived,
)
from planner.ledgers.restocks import OnTheWay, on_the_way

from .telling import YARD, told

MON, TUE, WED = "2026-11-02", "2026-11-03", "2026-11-04"
ORDERED = RestockOrdered(
    restock="R1",
    supplier="Quayside Trimmings",
    expected="2026-11-10",
    latest="2026-11-12",
    ribbons=(RibbonAwaited(ribbon="navy", length=50 * YARD, spools=2, price=1200),),
    supplies=(SupplyAwaited(supply="clip", units=100, price=800),),
)
SPOOL = SpoolReceived(
    spool="S7", ribbon="navy", length=50 * YARD, lot="L1", restock="R1"
)
CLIPS = SupplyReceived(lot="U1", supply="clip", units=60, restock="R1")


def _ribbon(spools: int) -> OnTheWay:
    return OnTheWay(
        "R1", "navy", True, 50 * YARD, spools, "2026-11-10", "2026-11-12", 1200
    )


def _clips(units: int) -> OnTheWay:
    return OnTheWay("R1", "clip", False, 0, units, "2026-11-10", "2026-11-12", 800)


def test_all_that_was_ordered_is_on_the_way() -> None:
    """Two spools and a hundred clips."""
    assert on_the_way(told((ORDERED, MON))) == [_clips(100), _ribbon(2)]


def test_what_came_in_in_part_is_no_longer_on_the_way() -> None:
    """One spool and sixty clips came, whichever was typed first."""
    facts = (ORDERED, MON), (SPOOL, TUE), (CLIPS, WED)

    assert on_the_way(told(*facts)) == [_clips(40), _ribbon(1)]
    assert on_the_way(told(*facts[::-1])) == [_clips(40), _ribbon(1)]


def test_what_came_without_a_restock_counts_against_none() -> None:
    """Bought at the shop round the corner."""
    other = SPOOL.model_copy(update={"restock": None})

    assert on_the_way(told((ORDERED, MON), (other, TUE))) == [_clips(100), _ribbon(2)]


def test_nothing_of_a_cancelled_restock_is_on_the_way() -> None:
    """What came of it stays; the rest won't."""
    off = RestockCancelled(restock="R1")

    assert on_the_way(told((ORDERED, MON), (SPOOL, TUE), (off, WED))) == []
