"""Where every bow of a settled fair went, and what each day took."""

from __future__ import annotations

from datetime import date

import pytest

from planner.engines.settlement import settlement
from planner.events.base import Fact
from planner.events.bows import BowsGiven, BowsOpening
from planner.events.catalogue import SetNamed
from planner.events.fair import (
    FairAnnounced,
    FairCostPaid,
    FairDay,
    FairDayClosed,
    FairDayOpened,
    FairPacked,
    FairSettled,
    FairSoldOut,
)
from planner.events.selling import BowsSold, UnloggedSalesTold
from planner.ledgers.bows import stall
from planner.ledgers.fairs import fair_of
from planner.plans.fair_scored import FairScore, Scored
from planner.plans.settlement import DaySettled, KindSettled
from planner.views.settlement_builder import build, score_words
from tests.engines.fair_toys import fair, set_up, told

NAVY, RED, SMALL = "4in:navy", "4in:red", "2in:navy"
PLACE, DAY = stall("F1"), "2026-10-03"
PRICES = {"4in": 900, "2in": 500}


def sold(bows, taken):
    return BowsSold(bows=tuple(bows.items()), taken=taken, place=PLACE, fair="F1")


def the_fair(*more, unlogged=(), cash=None, card=None):
    """Ten navy, six red and four small packed; six, one, one typed as sold."""
    days = (FairDay(day=DAY, opens="10:00", closes="16:00"),)
    bows = ((NAVY, 10), (RED, 6), (SMALL, 4))
    events = [
        BowsOpening(bows=bows),
        FairAnnounced(fair="F1", name="Quay", days=days, fee=2_000),
        FairPacked(fair="F1", bows=bows),
        FairDayOpened(fair="F1", day=DAY, float_=4_000),
        sold({NAVY: 6}, 5_400), sold({RED: 1, SMALL: 1}, 1_400),
        BowsGiven(bows=((RED, 1),), place=PLACE, how="prize"),
        FairSoldOut(fair="F1", made=NAVY, day=DAY, at="14:00"),
    ]  # fmt: skip
    if cash is not None:
        events.append(FairDayClosed(fair="F1", day=DAY, cash=cash, card=card))
    events += [
        FairSettled(fair="F1", back=((RED, 3), (SMALL, 2)), unlogged=unlogged),
        *more,
    ]
    led = told(set_up(prices=PRICES), [Fact(event, DAY) for event in events])
    return settlement(led, fair_of(led, "F1"))


def test_every_bow_brought_is_accounted_for():
    made = the_fair(unlogged=((NAVY, 1, 4), (RED, 0, 1), (SMALL, 0, 1)))

    assert made.kinds == (
        KindSettled(NAVY, None, 10, 6, 0, 0, 4, 1, 4, ((DAY, "14:00"),)),
        KindSettled(RED, None, 6, 1, 1, 3, 1, 0, 1),
        KindSettled(SMALL, None, 4, 1, 0, 2, 1, 0, 1),
    )
    for kind in made.kinds:
        assert kind.brought == kind.sold + kind.gone + kind.back + kind.missing
    assert made.sold == 8


def test_the_till_of_a_day_stands_beside_its_typed_sales():
    made = the_fair(cash=7_000, card=2_000)

    assert made.days == (DaySettled(DAY, "10:00", "16:00", 4_000, 6_800, 7_000, 2_000),)
    assert (made.takings, made.costs) == (9_000, 2_000)
    assert the_fair().takings == 6_800


@pytest.mark.parametrize(
    ("over", "bounds"), [(0, (0, 0)), (900, (1, 1)), (1_900, (2, 3)), (9_999, (6, 6))]
)
def test_sales_not_typed_are_bounded_in_all_by_the_takings(over, bounds):
    """Against every choice of the missing bows that comes as near as any can."""
    ranges = ((NAVY, 0, 4), (RED, 0, 1), (SMALL, 0, 1)) if over else ()
    made = the_fair(unlogged=ranges, cash=6_800 + over)

    choices = [
        (900 * (n + r) + 500 * s, n + r + s)
        for n in range(5) for r in range(2) for s in range(2)
        if 900 * (n + r) + 500 * s <= over
    ]  # fmt: skip
    near = max(money for money, _ in choices)
    counts = [count for money, count in choices if money == near]
    assert made.untyped == bounds
    assert bounds[0] <= min(counts) <= max(counts) <= bounds[1]


def test_what_is_told_afterwards_is_missing_no_longer():
    told_since = UnloggedSalesTold(fair="F1", bows=((NAVY, 3),), place=PLACE, day=DAY)
    made = the_fair(told_since, unlogged=((NAVY, 1, 4),))

    assert made.kinds[0] == KindSettled(
        NAVY, None, 10, 9, 0, 0, 1, 1, 1, ((DAY, "14:00"),)
    )


def test_sales_without_a_colour_explain_some_of_what_is_missing():
    made = the_fair(sold({"4in:?": 2}, 1_800))

    assert (made.unnoticed, made.missing, made.sold) == ((("4in", 2),), 4, 10)


def test_costs_told_stand_in_for_the_fee():
    made = the_fair(FairCostPaid(fair="F1", what="parking", amount=800))

    assert made.costs == 800


def quiet_fair(*, back, unlogged, sold_typed=None, cash=None):
    """Pack ten navy and six red; nothing typed as sold unless told."""
    days = (FairDay(day=DAY, opens="10:00", closes="16:00"),)
    bows = ((NAVY, 10), (RED, 6))
    events = [
        BowsOpening(bows=bows),
        FairAnnounced(fair="F1", name="Quay", days=days, fee=2_000, guess_total=12),
        FairPacked(fair="F1", bows=bows),
        *([sold(sold_typed, 900)] if sold_typed else []),
        *([FairDayClosed(fair="F1", day=DAY, cash=cash)] if cash is not None else []),
        FairSettled(fair="F1", back=tuple(back.items()), unlogged=unlogged),
    ]
    led = told(set_up(prices=PRICES), [Fact(event, DAY) for event in events])
    made = settlement(led, fair_of(led, "F1"))
    return made, build(led, made, today=date(2026, 10, 4), written="now")


def test_missing_bows_of_one_kind_and_too_many_of_another_are_said_as_such():
    """Seven navy came back of ten, and eight red of six: no net figure hides it."""
    made, view = quiet_fair(back={NAVY: 7, RED: 8}, unlogged=((NAVY, 0, 3),))

    assert (made.missing, made.too_many, made.untyped) == (3, 2, (0, 3))
    assert (view.missing, view.too_many) == (3, 2)
    assert view.short == (
        "Quay: 16 bows brought, 0 typed as sold, 15 came back; 3 4in navy missing and "
        "2 4in red too many. Of the missing 0 to 3 may have been sold without being "
        "typed; what is too many may be counted under another kind's name, or packed "
        "without being typed."
    )
    only = quiet_fair(back={NAVY: 10, RED: 8}, unlogged=())[1]
    assert (only.missing, only.too_many) == (0, 2)
    assert only.short.endswith(
        "18 came back. 2 more came back than were brought: perhaps packed without "
        "being typed."
    )


def test_more_sold_than_brought_is_said_without_what_is_not_so():
    """None was packed in the records and none came back: no word of bows come back."""
    days = (FairDay(day=DAY, opens="10:00", closes="16:00"),)
    events = [
        BowsOpening(bows=((NAVY, 10), (RED, 6))),
        FairAnnounced(fair="F1", name="Quay", days=days, fee=0, guess_total=12),
        FairPacked(fair="F1", bows=((RED, 6),)),
        sold({NAVY: 6}, 5_400),
        FairSettled(fair="F1", back=((RED, 6),)),
    ]
    led = told(set_up(prices=PRICES), [Fact(event, DAY) for event in events])
    made = settlement(led, fair_of(led, "F1"))
    view = build(led, made, today=date(2026, 10, 4), written="now")
    notes = {cell.kind: cell.note for cell in view.cells}

    assert notes["4in navy"] == (
        "6 more were sold than were brought: perhaps packed without being typed"
    )
    assert view.short.endswith(f"6 came back. {notes['4in navy']}.")
    assert view.score.words.startswith("A first guess said ")
    assert not any("fairs before" in line for line in view.rests_on)


def test_money_of_a_day_not_announced_is_a_row_and_among_the_takings():
    """Closed on Wednesday, announced for Saturday: nothing of it vanishes."""
    wednesday = "2026-09-30"
    made = the_fair(FairDayClosed(fair="F1", day=wednesday, cash=3_000, card=500))
    led = told(set_up(), fair("F1", DAY))
    view = build(led, made, today=date(2026, 10, 4), written="now")

    assert made.days[0] == DaySettled(wednesday, "", "", 0, 0, 3_000, 500)
    assert made.takings == 3_500 + 6_800
    assert [day.day for day in view.days] == [
        "Wed 30 Sep, no day announced", "Sat 3 Oct, 10:00 to 16:00",
    ]  # fmt: skip
    assert any("Wed 30 Sep is no day announced" in line for line in view.rests_on)


def test_takings_beyond_all_missing_bows_are_said_to_be_so():
    """Four navy and a red at 9.00 and a small at 5.00 are missing: 50.00 at most."""
    assert the_fair(cash=6_800 + 5_000).beyond == 0
    assert the_fair(cash=6_800 + 5_001).beyond == 1
    assert the_fair(cash=6_800 - 1).beyond == 0
    assert the_fair().beyond is None
    led = told(set_up(), fair("F1", DAY))
    view = build(led, the_fair(cash=20_000), today=date(2026, 10, 4), written="now")
    assert (
        "$82.00 of that can't be explained by missing bows, had all of them been sold."
        in view.rests_on
    )


def test_what_was_typed_since_in_the_colour_not_noticed_explains_no_money():
    """Two 4in sold with the colour not noticed leave three of the five missing."""
    made = the_fair(sold({"4in:?": 2}, 1_800), cash=6_800 + 1_800 + 10_000)

    assert made.beyond == 10_000 - 3 * 900 - 500


def test_bows_counted_back_of_a_kind_told_sold_out_are_remarked_on():
    again = FairSoldOut(fair="F1", made=RED, day=DAY, at=None)
    made = the_fair(again, unlogged=((NAVY, 4, 4), (RED, 0, 1)))
    led = told(set_up(), fair("F1", DAY))
    view = build(led, made, today=date(2026, 10, 4), written="now")
    notes = {cell.kind: cell.note for cell in view.cells}

    assert notes["4in red"].startswith("sold out Sat 3 Oct, yet 3 came back; ")
    assert notes["4in navy"] == (
        "sold out Sat 3 Oct at 14:00; 4 of 4 missing may have been sold without being "
        "typed"
    )
    hint = next(line for line in view.rests_on if "unlogged" in line)
    assert "bows fair unlogged F1 4 4in navy." in hint


def test_sets_sold_are_named():
    """Three sets of a navy and a red are six of the bows."""
    pair = SetNamed(set="duo", name="the duo", kinds=((NAVY, 1), (RED, 1)))
    went = BowsSold(
        bows=((NAVY, 3), (RED, 3)), taken=5_400, place=PLACE, fair="F1", what="duo"
    )
    made = the_fair(pair, went)
    led = told(set_up(), pair, fair("F1", DAY))
    view = build(led, made, today=date(2026, 10, 4), written="now")

    assert made.sets == (("duo", 3),)
    assert view.sets == ("3 the duo",)


def test_a_fair_without_a_typed_sale_says_only_what_is_known():
    """From none to thirteen may have sold: no middle is given out for what came."""
    unlogged = ((NAVY, 0, 9), (RED, 0, 4))
    made, view = quiet_fair(back={NAVY: 1, RED: 2}, unlogged=unlogged)

    assert (made.score.typed, made.score.least, made.score.most) == (0, 0, 13)
    assert view.score.came_shown == "0 to 13, 0 of them typed"
    assert (view.score.kinds, view.score.loss) == (0, None)
    assert not any("Bows off" in line for line in view.rests_on)
    assert view.score.words.endswith(
        "Sold: 0 to 13, 0 of them typed; whether that is in the range can't be told. "
        "With no sale typed nothing can be said of the kinds."
    )
    counted = quiet_fair(back={NAVY: 1, RED: 2}, unlogged=unlogged, cash=9_000)[1]
    assert counted.score.came_shown == "10, 0 of them typed"


def test_where_all_that_sold_was_typed_that_is_what_came():
    made, view = quiet_fair(back={NAVY: 9, RED: 6}, unlogged=(), sold_typed={NAVY: 1})

    assert (made.score.typed, made.score.least, made.score.most) == (1, 1, 1)
    assert (view.score.came_shown, view.score.kinds) == ("1", 2)


@pytest.mark.parametrize(
    ("least", "most", "within"),
    [(3, 9, True), (2, 10, True), (0, 13, None), (11, 13, False), (0, 1, False)],
)
def test_whether_a_range_held_is_told_only_where_it_can_be(least, most, within):
    total = Scored("", 16, (least + most) / 2, (2, 4, 6, 8, 10), 1.0)
    score = FairScore("F1", "accepted", total, (total,), 0, least, most)

    assert score.total_within is within
    assert ("can't be told" in score_words(score, None, None)) == (within is None)
    assert ("outside" in score_words(score, None, None)) == (within is False)
