"""Balances as timelines: readings, late entries, what is not yet explained."""

from __future__ import annotations

from datetime import date

import pytest

from planner.events.base import Entry, Fact
from planner.events.bench import BowsFinished, PartsCounted, RibbonCut
from planner.events.bows import BowsMoved, BowsOpening, StockCounted, SupplyCounted
from planner.events.fields import PartUse
from planner.events.restock import SpoolReceived, SupplyReceived, SupplyUsed
from planner.events.selling import BowsSold
from planner.events.spool import SpoolFoundPartUsed, SpoolRead
from planner.fold import Folder, Hypothetical, fold_facts, moment_of
from planner.ledgers.stock import stock
from planner.ledgers.timeline import OPENING, UNEXPLAINED, Balance, Row
from planner.log.bodies import read_bodies
from planner.log.chain import START as HEAD
from planner.log.codec import decode_many, registry
from planner.log.draft import lay_out

from .telling import HERE, INCH, START, YARD, ZONE, Telling, told

NAVY, RED = "classic-4in:navy", "classic-4in:red"
MON, TUE, WED, THU = "2026-11-02", "2026-11-03", "2026-11-04", "2026-11-05"
SPOOL = SpoolReceived(spool="S7", ribbon="navy", length=50 * YARD, lot="L1")


def _cut(bundle: str, count: int, inches: int = 36) -> RibbonCut:
    return RibbonCut(
        bundle=bundle, spool="S7", role="body", length=inches * INCH, count=count
    )


def _read(yards: int) -> SpoolRead:
    return SpoolRead(spool="S7", left=yards * YARD)


def _sold(kind: str, count: int) -> BowsSold:
    return BowsSold(bows=((kind, count),), taken=0, place="home")


def _home(*counts: tuple[str, int], whole: bool = False) -> StockCounted:
    return StockCounted(place="home", counts=counts, whole=whole)


def _yards(balance: Balance) -> dict[str, float]:
    return {account: nm / YARD for account, nm in balance.accounts.items()}


def _opening(kind: str, count: int) -> BowsOpening:
    return BowsOpening(bows=((kind, count),))


class TestReadings:
    def test_a_reading_fixes_the_balance_at_its_moment(self) -> None:
        """What it changes goes to not yet explained; cuts go on from there."""
        led = told((SPOOL, MON), (_cut("C1", 10), TUE), (_read(38), WED),
                   (_cut("C2", 5), THU))  # fmt: skip

        assert _yards(led.ribbon.balance("S7")) == {
            OPENING: -50, "left": 33, "bundle:C1": 10, "bundle:C2": 5, UNEXPLAINED: 2,
        }  # fmt: skip

    def test_a_reading_above_the_book_leaves_less_than_nothing_unexplained(
        self,
    ) -> None:
        """More on the spool than the records say is as unexplained as less."""
        led = told((SPOOL, MON), (_cut("C1", 10), TUE), (_read(41), WED))

        assert _yards(led.ribbon.balance("S7")) == {
            OPENING: -50, "left": 41, "bundle:C1": 10, UNEXPLAINED: -1
        }  # fmt: skip

    def test_a_cut_typed_late_before_a_reading_changes_its_difference_alone(
        self,
    ) -> None:
        """Today's balance is what she read and what happened since."""
        facts = [(SPOOL, MON), (_cut("C1", 10), TUE), (_read(38), WED)]
        before, after = told(*facts), told(*facts, (_cut("C9", 2), TUE))

        assert before.ribbon.balance("S7")["left"] == 38 * YARD
        assert before.ribbon.balance("S7")[UNEXPLAINED] == 2 * YARD
        assert _yards(after.ribbon.balance("S7")) == {
            OPENING: -50, "left": 38, "bundle:C1": 10, "bundle:C9": 2
        }  # fmt: skip

    def test_of_two_readings_the_one_that_happened_last_holds(self) -> None:
        """Typed in any order; each one's difference is its own."""
        led = told((SPOOL, MON), (_cut("C1", 10), TUE), (_read(30), THU),
                   (_read(39), WED))  # fmt: skip

        balance = led.ribbon.balance("S7")
        assert balance["left"] == 30 * YARD
        assert [
            (row.reading, row.amount)
            for row in led.ribbon.why("S7", "left")
            if row.reading is not None
        ] == [(39 * YARD, -1 * YARD), (30 * YARD, -9 * YARD)]

    def test_a_reading_before_the_first_cut_corrects_the_opening(self) -> None:
        """The label was wrong by a yard; nothing is unexplained."""
        led = told((SPOOL, MON), (_read(49), TUE), (_cut("C1", 10), WED))

        assert _yards(led.ribbon.balance("S7")) == {
            OPENING: -49, "left": 39, "bundle:C1": 10
        }  # fmt: skip

    def test_a_reading_before_the_first_cut_corrects_her_estimate_too(self) -> None:
        """Of a spool found part-used she only judged the length."""
        found = SpoolFoundPartUsed(spool="S8", ribbon="red", length=40 * YARD, lot="L2")
        led = told((found, MON), (SpoolRead(spool="S8", left=33 * YARD), MON))

        assert _yards(led.ribbon.balance("S8")) == {OPENING: -33, "left": 33}

    def test_a_cut_typed_late_before_it_makes_a_reading_no_longer_the_first(
        self,
    ) -> None:
        """Then what is missing may have been cut, and is not yet explained."""
        led = told((SPOOL, MON), (_read(38), WED), (_cut("C1", 10), TUE))

        assert _yards(led.ribbon.balance("S7")) == {
            OPENING: -50, "left": 38, "bundle:C1": 10, UNEXPLAINED: 2
        }  # fmt: skip

    def test_a_count_of_parts_says_nothing_of_the_label(self) -> None:
        """Parts that wait though no cut is on record are not yet explained."""
        counted = PartsCounted(
            bundle="C1", spool="S7", role="body", length=36 * INCH, count=3
        )
        led = told((SPOOL, MON), (counted, TUE))

        assert _yards(led.ribbon.balance("S7")) == {
            OPENING: -50, "left": 50, "bundle:C1": 3, UNEXPLAINED: -3
        }  # fmt: skip

    def test_supplies_are_read_in_whole_units(self) -> None:
        """Four clips fewer than the records say are not yet explained."""
        led = told(
            (SupplyReceived(lot="U3", supply="clip", units=200), MON),
            (SupplyUsed(lot="U3", units=20), TUE),
            (SupplyCounted(counts=(("U3", 176),)), WED),
        )

        assert led.supplies.balance("U3") == Balance(
            {OPENING: -200, "left": 176, "used": 20, UNEXPLAINED: 4}, {}
        )


class TestDaysAlone:
    def test_a_movement_with_a_day_alone_counts_at_noon(self) -> None:
        """Noon in the shop, whatever the clocks do that day."""
        assert moment_of("ribbon-cut", MON, HERE) == moment_of(
            "ribbon-cut", f"{MON}T12:00:00-05:00", HERE
        )

    @pytest.mark.parametrize("kind", ["spool-read", "stock-counted", "supply-counted",
                                      "parts-counted", "fair-day-closed"])  # fmt: skip
    def test_a_reading_with_a_day_alone_counts_at_its_end(self, kind: str) -> None:
        """After all that happened that day."""
        assert moment_of(kind, MON, HERE) == moment_of(
            kind, f"{MON}T23:59:59.999999-05:00", HERE
        )

    def test_a_sale_at_any_hour_comes_before_that_days_count(self) -> None:
        """She sold till late and counted that day: the count already knows."""
        led = told((_opening(NAVY, 10), MON), (_home((NAVY, 6)), TUE),
                   (_sold(NAVY, 4), f"{TUE}T21:30:00-05:00"))  # fmt: skip

        assert led.bows.balance(NAVY) == Balance(
            {OPENING: -10, "at:home": 6, "sold": 4}, {}
        )

    def test_a_count_at_an_hour_knows_nothing_of_that_evening(self) -> None:
        """Counted at ten, sold without an hour (so at noon): the sale comes off."""
        led = told((_opening(NAVY, 10), MON), (_sold(NAVY, 4), TUE),
                   (_home((NAVY, 10)), f"{TUE}T10:00:00-05:00"))  # fmt: skip

        assert led.bows.balance(NAVY)["at:home"] == 6


class TestWholeCounts:
    def test_kinds_not_named_are_none_there(self) -> None:
        """Counted through: what she didn't name isn't there."""
        led = told((_opening(NAVY, 10), MON), (_opening(RED, 4), MON),
                   (_home((NAVY, 10), whole=True), TUE))  # fmt: skip

        assert led.bows.balance(NAVY)["at:home"] == 10
        assert led.bows.balance(RED) == Balance({OPENING: -4, UNEXPLAINED: 4}, {})

    def test_kinds_typed_later_but_there_before_are_none_there_too(self) -> None:
        """A batch entered late was not on the shelf when she counted it through."""
        led = told((_opening(NAVY, 10), MON), (_home((NAVY, 10), whole=True), WED),
                   (_opening(RED, 4), MON))  # fmt: skip

        assert led.bows.balance(RED) == Balance({OPENING: -4, UNEXPLAINED: 4}, {})

    def test_kinds_that_came_afterwards_are_there(self) -> None:
        """The count says nothing about what came after it."""
        led = told((_home((NAVY, 10), whole=True), TUE), (_opening(RED, 4), WED))

        assert led.bows.balance(RED)["at:home"] == 4

    def test_other_places_are_not_counted_with_it(self) -> None:
        """She counted the shelf at home, not the boutique's."""
        moved = BowsMoved(bows=((RED, 3),), source="home", to="boutique:pier")
        led = told((_opening(RED, 4), MON), (moved, TUE), (_home(whole=True), WED))

        assert led.bows.balance(RED).under("at:") == {"boutique:pier": 3}

    def test_a_partial_count_leaves_other_kinds_alone(self) -> None:
        """She counted the navy ones."""
        led = told((_opening(RED, 4), MON), (_home((NAVY, 1)), TUE))

        assert led.bows.balance(RED)["at:home"] == 4


class TestShortfalls:
    def test_a_shortfall_stands_under_not_yet_explained(self) -> None:
        """Ten bows sold of four: an entry is missing, and no place holds minus six."""
        led = told((_opening(NAVY, 4), MON), (_sold(NAVY, 10), TUE))

        assert led.bows.balance(NAVY) == Balance(
            {OPENING: -4, "sold": 10, UNEXPLAINED: -6}, {"at:home": 6}
        )

    @pytest.mark.parametrize("day", [MON, TUE, WED, THU])
    def test_a_late_entry_clears_it_whichever_day_it_is_dated(self, day: str) -> None:
        """Before the sale, the same day, or (dated wrongly) after it."""
        led = told((_opening(NAVY, 4), MON), (_sold(NAVY, 10), TUE),
                   (_opening(NAVY, 6), day))  # fmt: skip

        assert led.bows.balance(NAVY) == Balance({OPENING: -10, "sold": 10}, {})

    def test_a_reading_clears_it_for_good(self) -> None:
        """Counted two after the sale: eight came from somewhere unexplained."""
        led = told((_opening(NAVY, 4), MON), (_sold(NAVY, 10), TUE),
                   (_home((NAVY, 2)), WED))  # fmt: skip

        assert led.bows.balance(NAVY) == Balance(
            {OPENING: -4, "at:home": 2, "sold": 10, UNEXPLAINED: -8}, {}
        )

    def test_more_cut_than_the_spool_held_is_taken_and_shown_as_missing(self) -> None:
        """She saw herself cut it: the spool was longer, or it was another one."""
        led = told((SPOOL, MON), (_cut("C1", 53), TUE))

        assert led.ribbon.balance("S7").missing == {"left": 3 * YARD}
        assert _yards(led.ribbon.balance("S7")) == {
            OPENING: -50, "bundle:C1": 53, UNEXPLAINED: -3
        }  # fmt: skip

    def test_a_spool_nobody_entered_can_be_cut(self) -> None:
        """All of it is missing until the spool is entered."""
        late = told((_cut("C1", 2), TUE), (SPOOL, MON))

        assert told((_cut("C1", 2), TUE)).ribbon.balance("S7") == Balance(
            {"bundle:C1": 2 * YARD, UNEXPLAINED: -2 * YARD}, {"left": 2 * YARD}
        )
        assert late.ribbon.balance("S7").missing == {}

    def test_parts_of_a_batch_that_no_bundle_holds_are_missing_in_that_bundle(
        self,
    ) -> None:
        """Three more bodies made up than were cut."""
        part = PartUse(role="body", length=36 * INCH, count=5, bundle="C1", spool="S7")
        made = BowsFinished(batch="B1", made=NAVY, revision=1, count=5, parts=(part,))
        led = told((SPOOL, MON), (_cut("C1", 2), TUE), (made, WED))

        assert led.ribbon.balance("S7").missing == {"bundle:C1": 3 * YARD}
        assert led.ribbon.balance("S7")["bows"] == 5 * YARD


class TestViews:
    def test_as_of_a_day_leaves_out_what_happened_after_it(self) -> None:
        """The end of the day, with its evening and its readings."""
        telling = Telling()
        telling.tell(SPOOL, MON)
        telling.tell(_cut("C1", 10), f"{TUE}T23:30:00-05:00")
        telling.tell(_read(39), TUE)
        telling.tell(_cut("C2", 1), f"{WED}T00:10:00-05:00")

        assert _yards(telling.folded(as_of=date(2026, 11, 3)).ribbon.balance("S7")) == {
            OPENING: -50, "left": 39, "bundle:C1": 10, UNEXPLAINED: 1
        }  # fmt: skip
        assert telling.folded(as_of=date(2026, 11, 4)).ribbon.balance("S7")["left"] == (
            38 * YARD
        )

    def test_known_on_a_day_leaves_out_what_was_typed_after_it(self) -> None:
        """Typed on Thursday, whichever day it was about."""
        telling = Telling()
        telling.tell(_opening(NAVY, 10), MON, typed=f"{MON}T20:00")
        telling.tell(_sold(NAVY, 1), TUE, typed=f"{WED}T20:00")
        telling.tell(_sold(NAVY, 2), TUE, typed=f"{THU}T20:00")

        known = [
            telling.folded(known_on=date(2026, 11, day)).bows.balance(NAVY)["at:home"]
            for day in (1, 2, 3, 4, 5)
        ]
        assert known == [0, 10, 10, 9, 7]

    def test_known_on_a_day_is_a_prefix_even_with_the_clock_set_back(self) -> None:
        """What is typed after Thursday's entry isn't Tuesday's, whatever the clock."""
        telling = Telling()
        telling.tell(_opening(NAVY, 10), MON, typed=f"{MON}T20:00")
        telling.tell(_sold(NAVY, 1), TUE, typed=f"{THU}T20:00")
        telling.tell(_sold(NAVY, 2), TUE, typed=f"{TUE}T20:00")
        led = telling.folded(known_on=date(2026, 11, 3))

        assert (led.bows.balance(NAVY)["at:home"], led.head_seq) == (10, 1)
        assert telling.folded(known_on=date(2026, 11, 5)).head_seq == 3

    def test_a_correction_typed_later_was_not_known_before(self) -> None:
        """On Tuesday the sale still stood."""
        telling = Telling()
        telling.tell(_opening(NAVY, 10), MON, typed=f"{MON}T20:00")
        sale = telling.tell(_sold(NAVY, 4), MON)
        telling.take_back(sale, typed=f"{WED}T20:00")

        assert telling.folded(known_on=date(2026, 11, 3)).bows.balance(NAVY)[
            "at:home"
        ] == 6  # fmt: skip
        assert telling.folded().bows.balance(NAVY)["at:home"] == 10

    def test_late_entries_are_counted_by_the_day_they_are_about(self) -> None:
        """Typed the next day is late; typed the same evening is not."""
        telling = Telling()
        telling.tell(_opening(NAVY, 10), MON, typed=f"{MON}T23:50")
        telling.tell(_sold(NAVY, 1), MON, typed=f"{TUE}T00:10")
        telling.tell(_sold(NAVY, 1), TUE)
        led = telling.folded()

        assert led.late == [(MON, 2)]
        assert (led.late_between(MON, TUE), led.late_between(TUE, THU)) == (1, 0)

    def test_why_gives_the_lines_behind_an_account_in_order(self) -> None:
        """Moment, seq, from, to, amount; of a reading what was read."""
        led = told((_opening(NAVY, 4), MON), (_home((NAVY, 5)), WED),
                   (_sold(NAVY, 1), TUE))  # fmt: skip
        noon, end = (moment_of("bows-sold", day, HERE) for day in (MON, TUE))

        assert led.bows.why(NAVY, "at:home") == [
            Row(noon, 1, OPENING, "at:home", 4, None),
            Row(end, 3, "at:home", "sold", 1, None),
            Row(moment_of("stock-counted", WED, HERE), 2, UNEXPLAINED, "at:home", 2, 5),
        ]

    def test_what_was_read_before_an_overlay_is_read_anew_with_it(self) -> None:
        """A what-if must not be answered from what was kept without it."""
        telling = Telling()
        telling.tell(_opening(NAVY, 4), MON)
        folder = Folder(zone=ZONE, decode=decode_many, bodies=read_bodies)
        folder.feed(telling.rows)
        kept = stock(folder.ledgers)[NAVY].home
        folder.suppose([Hypothetical(_sold(NAVY, 1), TUE)])

        assert (kept, stock(folder.ledgers)[NAVY].home) == (4, 3)
        assert folder.ledgers.hypothetical == 1

    def test_what_is_only_supposed_can_not_be_appended(self) -> None:
        """It is another type than a fact, and the log's writer finds no id on it."""
        entry = Entry(facts=(Hypothetical(_sold(NAVY, 1), TUE),))  # type: ignore[arg-type]

        with pytest.raises(AttributeError, match="id"):
            lay_out([entry], after=HEAD, recorded=START, rand=bytes, using=registry())

    def test_what_was_held_at_a_moment_can_be_asked(self) -> None:
        """Just after it, before a shortfall is shown as one."""
        led = told((_opening(NAVY, 4), MON), (_sold(NAVY, 6), TUE))
        moments = [moment_of("bows-sold", day, HERE) for day in (MON, TUE)]

        assert [led.bows.at(NAVY, "at:home", m) for m in moments] == [4, -2]
        assert led.bows.at(NAVY, "at:home", moments[0] - 1) == 0


class TestReadBeforeItCame:
    """A spool that was read before the day it is said to have come was there."""

    def test_it_is_not_counted_twice(self) -> None:
        """The reading corrects the label; the later day of receipt adds nothing."""
        day = "2026-03-02"
        read = Fact(SpoolRead(spool="S1", left=90 * YARD), day)
        came = SpoolReceived(
            spool="S1", ribbon="navy-1.5in", length=100 * YARD, lot="x"
        )

        led = fold_facts([(1, read), (2, Fact(came, "2026-03-05"))], zone="UTC")

        assert dict(led.ribbon.balance("S1").accounts) == {
            "opening": -90 * YARD,
            "left": 90 * YARD,
        }
