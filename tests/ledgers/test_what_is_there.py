"""What lies on the shelf: spools begun or whole, lots of supplies, in their order."""

from __future__ import annotations

from planner.events.bench import RibbonCut
from planner.events.bows import BowsOpening
from planner.events.fields import LineItem
from planner.events.orders import BowsReserved, OrderTaken
from planner.events.restock import SpoolReceived, SupplyReceived, SupplyUsed
from planner.events.spool import EndKept
from planner.ledgers.stock import lots_to_use, ribbon_left, spools, stock

from .telling import INCH, YARD, told

LINE = LineItem(
    line=1, what="classic-4in:navy", count=4, price=850,
    kinds=(("classic-4in:navy", 1),),
)  # fmt: skip
TAKEN = OrderTaken(order="O1", lines=(LINE,), due="2026-11-20")
MON, TUE, WED = "2026-11-02", "2026-11-03", "2026-11-04"


def _spool(code: str) -> SpoolReceived:
    return SpoolReceived(spool=code, ribbon="navy", length=50 * YARD, lot="L1")


def test_a_spool_is_begun_once_something_was_taken_off_it() -> None:
    """One that only came in is whole."""
    cut = RibbonCut(bundle="C1", spool="S1", role="body", length=36 * INCH, count=2)
    led = told((_spool("S1"), MON), (_spool("S2"), MON), (cut, TUE))

    assert [(s.spool, s.left // YARD, s.begun) for s in spools(led)] == [
        ("S1", 48, True), ("S2", 50, False),
    ]  # fmt: skip


def test_an_account_nothing_went_to_holds_nothing() -> None:
    """Of one spool an end was kept, of the other none; of a third nothing is known."""
    end = EndKept(spool="S1", length=14 * INCH)
    led = told((_spool("S1"), MON), (_spool("S2"), MON), (end, TUE))

    assert [led.ribbon.held(spool, "ends") for spool in ("S1", "S2", "S3")] == [
        14 * INCH, 0, 0,
    ]  # fmt: skip
    assert led.ribbon.held("S1", "trimmed") == 0
    assert led.ribbon.held("S2", "left") == 50 * YARD


def test_what_is_left_of_a_ribbon_is_on_all_its_spools_together() -> None:
    """Fifty yards and forty-eight; of red there is none on record."""
    cut = RibbonCut(bundle="C1", spool="S1", role="body", length=36 * INCH, count=2)
    led = told((_spool("S1"), MON), (_spool("S2"), MON), (cut, TUE))

    assert ribbon_left(led) == {"navy": 98 * YARD}
    assert ribbon_left(told((_spool("S1"), MON))) == {"navy": 50 * YARD}


def test_units_are_used_from_the_oldest_lot_and_what_is_over_from_the_newest() -> None:
    """Three clips of U1 and four of U2, whichever was typed first."""
    led = told(
        (SupplyReceived(lot="U2", supply="clip", units=4), TUE),
        (SupplyReceived(lot="U1", supply="clip", units=5), MON),
        (SupplyUsed(lot="U1", units=2), WED),
    )

    assert lots_to_use(led, "clip", 2) == [("U1", 2)]
    assert lots_to_use(led, "clip", 5) == [("U1", 3), ("U2", 2)]
    assert lots_to_use(led, "clip", 7) == [("U1", 3), ("U2", 4)]
    assert lots_to_use(led, "clip", 8) == [("U1", 3), ("U2", 5)]
    assert lots_to_use(led, "clip", 9) == [("U1", 3), ("U2", 6)]
    assert lots_to_use(led, "card", 1) == []


def test_bows_nobody_has_a_claim_on_are_free() -> None:
    """All of them, where nothing was ordered and no fair is planned."""
    led = told((BowsOpening(bows=(("classic-4in:navy", 4),)), MON))
    found = stock(led)["classic-4in:navy"]

    assert (found.home, found.claimed, found.free, found.everywhere) == (4, 0, 4, 4)
    assert found.unexplained == 0


def test_bows_promised_before_any_were_made_are_claimed_one_for_one() -> None:
    """Four are set aside that nobody has made yet."""
    kind = "classic-4in:navy"
    led = told((BowsReserved(claimant="O1", bows=((kind, 4),)), MON), (TAKEN, MON))
    found = stock(led)[kind]

    assert (found.home, found.claimed, found.free) == (0, 4, -4)
