"""What cuts, batches and spools were, whatever order they were typed in."""

from __future__ import annotations

from planner.events.bench import BatchPartsTold, BowsFinished
from planner.events.fields import PartUse
from planner.events.restock import SpoolReceived
from planner.events.spool import SpoolWoundInTwo

from .telling import INCH, YARD, told

NAVY = "classic-4in:navy"
MON, TUE, WED = "2026-11-02", "2026-11-03", "2026-11-04"


def _part(role: str, count: int, *, of: str = "", spool: str = "") -> PartUse:
    return PartUse(
        role=role, length=27 * INCH, count=count, bundle=of or None, spool=spool or None
    )


def _batch(*parts: PartUse) -> BowsFinished:
    return BowsFinished(batch="B1", made=NAVY, revision=1, count=12, parts=parts)


def _told(*parts: PartUse) -> BatchPartsTold:
    return BatchPartsTold(batch="B1", parts=parts)


def _wound(spool: str, onto: str) -> SpoolWoundInTwo:
    return SpoolWoundInTwo(spool=spool, onto=onto, length=YARD)


class TestPartsOfABatch:
    def test_parts_told_afterwards_stand_in_place_of_unknown_ones(self) -> None:
        """Twelve bodies of nobody knows what were cut from S7 after all."""
        led = told(
            (_batch(_part("body", 12), _part("knot", 12)), TUE),
            (_told(_part("body", 12, of="C1", spool="S7")), TUE),
        )

        assert led.parts_of("B1") == (
            ("knot", 27 * INCH, 12, None, None),
            ("body", 27 * INCH, 12, "C1", "S7"),
        )

    def test_those_not_told_stay_unknown(self) -> None:
        """Five of twelve told: the other seven aren't forgotten."""
        led = told(
            (_batch(_part("body", 12)), TUE),
            (_told(_part("body", 5, of="C1", spool="S7")), TUE),
        )

        assert led.parts_of("B1") == (
            ("body", 27 * INCH, 7, None, None),
            ("body", 27 * INCH, 5, "C1", "S7"),
        )

    def test_those_of_a_known_spool_stay_though_no_bundle_is_known(self) -> None:
        """They were posted off S7, and what was told later is about the others."""
        led = told(
            (_batch(_part("body", 4, spool="S7"), _part("body", 8)), TUE),
            (_told(_part("body", 8, of="C1", spool="S9")), TUE),
        )

        assert led.parts_of("B1") == (
            ("body", 27 * INCH, 4, None, "S7"),
            ("body", 27 * INCH, 8, "C1", "S9"),
        )
        assert led.ribbon.balance("S7")["bows"] == 4 * 27 * INCH

    def test_told_before_the_batch_itself_is_typed_they_count_as_well(self) -> None:
        """The order of typing is no order of happening."""
        facts = (_batch(_part("body", 12)), TUE), (_told(_part("body", 12)), TUE)

        assert told(*facts).parts_of("B1") == told(*facts[::-1]).parts_of("B1")


class TestSpools:
    def test_a_spool_wound_in_two_is_of_the_same_ribbon_and_lot(self) -> None:
        """The new one knows where it came from."""
        came = SpoolReceived(
            spool="S7", ribbon="navy", length=50 * YARD, lot="L1", supplier="Quayside"
        )
        new = told((came, MON), (_wound("S7", "S8"), TUE)).spools["S8"]

        assert (new.ribbon, new.lot, new.supplier) == ("navy", "L1", "Quayside")
        assert (new.parent, new.label, new.paid) == ("S7", YARD, 0)

    def test_one_wound_off_a_spool_that_is_typed_late_is_of_its_ribbon_too(
        self,
    ) -> None:
        """And one wound off that one; the spool itself was typed last."""
        came = SpoolReceived(spool="S7", ribbon="navy", length=50 * YARD, lot="L1")
        facts = ((came, MON), (_wound("S7", "S8"), TUE), (_wound("S8", "S9"), WED))
        late = told(*facts[::-1])

        assert sorted((s.code, s.ribbon, s.lot) for s in late.spools.values()) == [
            (code, "navy", "L1") for code in ("S7", "S8", "S9")
        ]
