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
    """Give clips with their share of the price."""
    return OnTheWay(
        "R1", "clip", False, 0, units, "2026-11-10", "2026-11-12", 8 * units
    )


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


TWO_LINES = ORDERED.model_copy(
    update={
        "ribbons": (
            RibbonAwaited(ribbon="navy", length=50 * YARD, spools=2, price=1200),
            RibbonAwaited(ribbon="navy", length=100 * YARD, spools=1, price=2100),
        ),
        "supplies": (),
    }
)
"""Two lines of one ribbon in one restock: two small spools and a big one."""


def _came(length: int, spools: int) -> list[SpoolReceived]:
    return [
        SPOOL.model_copy(update={"spool": f"S{20 + n}", "length": length * YARD})
        for n in range(spools)
    ]


def _left(*came: SpoolReceived) -> dict[int, int]:
    """Give the spools still on the way by the yards on their label."""
    led = told((TWO_LINES, MON), *((spool, TUE) for spool in came))
    return {way.length // YARD: way.count for way in on_the_way(led)}


def test_a_spool_that_came_counts_against_the_line_of_its_length() -> None:
    """The big one came: both small ones are still to come."""
    assert _left(*_came(100, 1)) == {50: 2}
    assert _left(*_came(50, 1)) == {50: 1, 100: 1}
    assert _left(*_came(50, 2)) == {100: 1}


def test_more_of_one_length_than_ordered_counts_against_the_other_line() -> None:
    """Three small ones came where two and a big one were ordered: all is in."""
    assert _left(*_came(50, 3)) == {}
    assert _left(*_came(100, 2)) == {50: 1}
    assert _left(*_came(75, 1)) == {50: 1, 100: 1}
