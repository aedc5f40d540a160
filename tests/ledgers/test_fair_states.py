"""A fair's state, hours and tallies, read from its page in order of happening."""

from __future__ import annotations

import pytest

from planner.events.base import Event
from planner.events.bows import BowsMoved, BowsOpening
from planner.events.fair import (
    CrowdTold,
    FairAnnounced,
    FairCalledOff,
    FairCostPaid,
    FairDay,
    FairDayClosed,
    FairDayOpened,
    FairPacked,
    FairPlanAccepted,
    FairSettled,
    FairSoldOut,
)
from planner.events.selling import BowsSold, SaleTakenBack, UnloggedSalesTold
from planner.ledgers.fairs import Fair, at_stall, coming_fairs, fairs, past_fairs
from planner.ledgers.money import fair_day
from planner.ledgers.stock import Claim, claims
from planner.ledgers.timeline import UNEXPLAINED

from .telling import told

NAVY, RED = "classic-4in:navy", "classic-4in:red"
SAT, SUN = "2026-11-07", "2026-11-08"
THU, FRI, MON = "2026-11-05", "2026-11-06", "2026-11-09"
DAYS = (
    FairDay(day=SAT, opens="10:00", closes="16:00"),
    FairDay(day=SUN, opens="11:00", closes="15:00"),
)
ANNOUNCED = FairAnnounced(fair="F1", name="Harbour Fair", days=DAYS, fee=6000)
PLANNED = FairPlanAccepted(fair="F1", bring=((NAVY, 8), (RED, 2)), head="ab")
PACKED = FairPacked(fair="F1", bows=((NAVY, 6),))
SETTLED = FairSettled(fair="F1", back=((NAVY, 1),), unlogged=((NAVY, 0, 2),))
BOWS = (BowsOpening(bows=((NAVY, 10), (RED, 1))), "2026-10-01")


def _sold(count: int, taken: int = 0) -> BowsSold:
    return BowsSold(bows=((NAVY, count),), taken=taken, place="stall:F1", fair="F1")


def _fair(*facts: tuple[Event, str]) -> Fair:
    return fairs(told((ANNOUNCED, "2026-10-10"), *facts))["F1"]


class TestStates:
    @pytest.mark.parametrize(
        ("facts", "state"),
        [
            ([], "announced"),
            ([(PLANNED, THU)], "planned"),
            ([(PLANNED, THU), (PACKED, FRI)], "packed"),
            ([(PACKED, FRI), (PLANNED, THU)], "packed"),
            ([(PACKED, FRI), (SETTLED, SUN)], "settled"),
            ([(SETTLED, SUN), (PACKED, FRI)], "settled"),
            ([(FairCalledOff(fair="F1"), FRI)], "called off"),
            ([(PACKED, FRI), (FairCalledOff(fair="F1", at="13:00"), SAT)], "packed"),
        ],
    )
    def test_a_fair_goes_from_announced_to_settled(
        self, facts: list[tuple[Event, str]], state: str
    ) -> None:
        """In the order things happened, whatever order they were typed in."""
        assert _fair(*facts).state == state

    def test_a_fair_told_anew_takes_the_newest_word(self) -> None:
        """The body is the new whole; what was planned stays."""
        anew = ANNOUNCED.model_copy(update={"fee": 7000, "crowd": 5})
        fair = _fair((PLANNED, THU), (anew, "2026-10-20"))

        assert (fair.fee, fair.crowd, fair.plan) == (7000, 5, {NAVY: 8, RED: 2})

    def test_a_fair_nobody_announced_is_no_fair_yet(self) -> None:
        """Its sales are kept for when it is."""
        late = told((_sold(2), SAT), (ANNOUNCED, "2026-10-10"))

        assert fairs(told((_sold(2), SAT))) == {}
        assert fairs(late)["F1"].sold == {NAVY: 2}

    def test_a_fair_is_coming_until_its_last_day_is_over_or_it_is_settled(self) -> None:
        """On Sunday it is still on; settled, it is past."""
        on, over = told((ANNOUNCED, THU)), told((ANNOUNCED, THU), (SETTLED, SUN))

        assert [f.code for f in coming_fairs(on, SUN)] == ["F1"]
        assert coming_fairs(on, MON) == []
        assert coming_fairs(over, SAT) == []
        assert [f.code for f in past_fairs(over)] == ["F1"]


class TestHours:
    @pytest.mark.parametrize(
        ("day", "at", "minutes"),
        [
            (SAT, "13:00", 180),
            (SUN, "13:00", 360 + 120),
            (SUN, "09:00", 360),
            (SAT, "17:30", 360),
            (MON, "13:00", 360 + 120),
            (FRI, "13:00", 180),
        ],
    )
    def test_a_fair_called_off_at_an_hour_ends_on_the_day_it_is_told_of(
        self, day: str, at: str, minutes: int
    ) -> None:
        """The days before were whole, the days after never came."""
        off = FairCalledOff(fair="F1", at=at, why="gale")

        assert _fair((off, day)).open_minutes == minutes

    def test_a_fair_not_called_off_is_open_for_all_its_hours(self) -> None:
        """Six hours on Saturday, four on Sunday."""
        assert _fair().open_minutes == 600

    def test_the_day_it_was_called_off_is_the_shops_own(self) -> None:
        """02:00 in UTC on Sunday is still Saturday evening here."""
        off = FairCalledOff(fair="F1", at="15:00")

        assert _fair((off, f"{SUN}T02:00:00+00:00")).open_minutes == 300


class TestTallies:
    def test_what_was_sold_packed_and_told_is_added_up(self) -> None:
        """Typed, unlogged, taken back; topped up; costs; sold out; crowd."""
        back = SaleTakenBack(bows=((NAVY, 1),), returned=0, place="stall:F1", fair="F1")
        more = UnloggedSalesTold(fair="F1", bows=((NAVY, 2),), place="stall:F1")
        top_up = PACKED.model_copy(update={"top_up": True, "bows": ((RED, 1),)})
        fair = _fair(
            (PACKED, FRI), (top_up, SAT), (_sold(4), SAT), (back, SAT), (more, SUN),
            (FairDayOpened(fair="F1", day=SAT), SAT),
            (FairDayClosed(fair="F1", day=SAT, cash=3400), SAT),
            (FairSoldOut(fair="F1", made=NAVY, day=SAT, at="14:10"), SAT),
            (FairCostPaid(fair="F1", what="parking", amount=900), SAT),
            (CrowdTold(fair="F1", crowd=2), SUN), (SETTLED, SUN),
        )  # fmt: skip

        assert (fair.packed, fair.sold) == ({NAVY: 6, RED: 1}, {NAVY: 5})
        assert (fair.opened, fair.closed, fair.costs) == ([SAT], [SAT], 900)
        assert (fair.sold_out, fair.crowd_told) == ([(NAVY, SAT, "14:10")], 2)
        assert (fair.back, fair.unlogged) == ({NAVY: 1}, ((NAVY, 0, 2),))

    def test_bows_moved_to_the_stall_are_brought_to_the_fair(self) -> None:
        """Packed or moved is the same to the fair; what went home early was not."""
        to_stall = BowsMoved(bows=((NAVY, 4), (RED, 1)), source="home", to="stall:F1")
        early = BowsMoved(bows=((RED, 1),), source="stall:F1", to="home")
        settling = early.model_copy(update={"bows": ((NAVY, 3),), "fair": "F1"})

        assert _fair((to_stall, FRI)).state == "packed"
        assert _fair((to_stall, FRI), (PACKED, FRI)).packed == {NAVY: 10, RED: 1}
        assert _fair((to_stall, FRI), (early, SAT)).packed == {NAVY: 4}
        assert _fair((to_stall, FRI), (settling, SUN)).packed == {NAVY: 4, RED: 1}
        assert _fair((early, SAT)).packed == {}

    def test_the_stall_holds_what_was_packed_and_not_sold(self) -> None:
        """Six packed, four sold."""
        led = told(BOWS, (PACKED, FRI), (_sold(4), SAT))

        assert at_stall(led, "F1") == {NAVY: 2}

    def test_takings_counted_are_a_reading_of_that_day_alone(self) -> None:
        """34.00 in the till, 25.50 typed: 8.50 of sales were not typed."""
        closed = FairDayClosed(fair="F1", day=SAT, cash=3400)
        led = told((_sold(3, 2550), SAT), (closed, SAT), (_sold(1, 850), SUN))

        assert led.money.balance(fair_day("F1", SAT)).accounts == {
            "sales:fair": -2550, "cash": 3400, UNEXPLAINED: -850
        }  # fmt: skip
        assert led.money.balance(fair_day("F1", SUN)).accounts == {
            "sales:fair": -850, "cash": 850
        }  # fmt: skip

    def test_a_sale_belongs_to_the_shops_own_day_of_the_fair(self) -> None:
        """Stamped in UTC a Saturday evening's sale may bear Sunday's date."""
        led = told((_sold(1, 850), f"{SUN}T00:30:00+00:00"))

        assert led.money.balance(fair_day("F1", SAT))["cash"] == 850


class TestClaims:
    def test_an_accepted_plan_claims_what_is_at_home_and_not_yet_packed(self) -> None:
        """Eight navy planned, six of ten packed; two red planned, one there."""
        led = told(BOWS, (ANNOUNCED, THU), (PLANNED, THU), (PACKED, FRI))

        assert claims(led) == [Claim("F1", NAVY, 2), Claim("F1", RED, 1)]

    @pytest.mark.parametrize("end", [SETTLED, FairCalledOff(fair="F1")])
    def test_a_fair_that_is_over_claims_nothing(self, end: Event) -> None:
        """Settled or called off."""
        led = told(BOWS, (ANNOUNCED, THU), (PLANNED, THU), (end, SUN))

        assert claims(led) == []
