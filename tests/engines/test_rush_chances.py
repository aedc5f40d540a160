"""A rush with chances: the same as planning anew, and the day that is 90 % sure."""

from __future__ import annotations

from datetime import date, timedelta
from random import Random

import pytest

from planner.engines.due import due_dates
from planner.engines.rush import LEVELS, RUSH, promise, rush
from planner.events.bows import BowsOpening
from planner.events.fair import FairPlanAccepted
from planner.events.plans import PromiseMade
from planner.events.shop import WageSet
from planner.plans.rush import LEVEL, falls
from planner.plans.taking import from_the_fair, stretch_minutes, with_more

from .due_toys import GLUED, NAVY, NOW, RED, SHOP, TODAY, fair, on_the_way, order, told

DRAWS = 256


def day(away: int) -> date:
    return TODAY + timedelta(days=away)


def shop(seed):
    """Give the events of a small invented shop."""
    luck = Random(seed)
    events = [
        order(f"O{n}", day(luck.randint(0, 12)).isoformat(),
              {luck.choice((NAVY, RED, GLUED)): luck.randint(1, 14)},
              weight=luck.randint(1, 3))
        for n in range(1, luck.randint(2, 6))
    ]  # fmt: skip
    if luck.random() < 0.5:
        events.append(BowsOpening(bows=((NAVY, luck.randint(1, 9)),)))
    if luck.random() < 0.3:
        events.append(on_the_way("R1", "navy", 50, day(3).isoformat(),
                                 day(luck.randint(3, 6)).isoformat()))  # fmt: skip
    ribbon = tuple(e for e in SHOP if getattr(e, "spool", "") != "S1")
    return events, ribbon if luck.random() < 0.3 else SHOP, luck


def ask(led, count, due, *, kind=NAVY, draws=DRAWS, **how):
    return rush(
        led, now=NOW, today=TODAY, kind=kind, count=count, due=due, draws=draws, **how
    )


def chances(led):
    made = due_dates(led, now=NOW, today=TODAY, draws=DRAWS)
    return {
        one.code: (one.chance, one.early, one.late, one.state) for one in made.orders
    }


@pytest.mark.parametrize("seed", range(200))
def test_once_taken_the_plan_has_the_chances_the_answer_gave(seed):
    """200 random shops: the answer is the plan made anew with the order in it."""
    events, ribbon, luck = shop(seed)
    count, due = luck.randint(1, 15), day(luck.randint(0, 12))
    kind = luck.choice((NAVY, RED, GLUED))
    answer = ask(told(*events, shop=ribbon), count, due, kind=kind)
    taken = order(RUSH, due.isoformat(), {kind: count}, rush=True)
    anew = chances(told(*events, taken, shop=ribbon))

    said = {o.code: (o.chance, o.early, o.late, o.state) for o in answer.plan.orders}
    assert said == anew
    assert {m.code: m.before.chance for m in answer.moved} == {
        code: chance
        for code, (chance, *_) in chances(told(*events, shop=ribbon)).items()
        if code in {m.code for m in answer.moved}
    }


def promised(events, ribbon, count, due):
    """Say by planning anew whether a day is 90 % sure and no other promise falls."""
    before = chances(told(*events, shop=ribbon))
    taken = order(RUSH, due.isoformat(), {NAVY: count}, rush=True)
    after = chances(told(*events, taken, shop=ribbon))
    fallen = [c for c, (was, *_) in before.items() if falls(was, after[c][0], LEVEL)]
    return after[RUSH][0] >= LEVEL and not fallen


@pytest.mark.parametrize("seed", range(40))
def test_the_earliest_day_can_be_promised_and_none_before_it(seed):
    """Checked on that day and the day before by planning anew."""
    events, ribbon, luck = shop(1000 + seed)
    count = luck.randint(1, 15)
    earliest = ask(told(*events, shop=ribbon), count, day(2)).earliest

    if earliest is None:
        assert not promised(events, ribbon, count, day(60))
        return
    assert promised(events, ribbon, count, earliest)
    if earliest > TODAY:
        assert not promised(events, ribbon, count, earliest - timedelta(days=1))


class TestWays:
    """Twenty in three days are too many to be sure, with O1 due three days later."""

    led = told(order("O1", "2026-11-29", {RED: 8}))
    answer = ask(led, 20, day(3), draws=1000)

    def way(self, what):
        return next(way for way in self.answer.ways if way.what == what)

    def test_the_first_way_is_what_she_asked_for(self):
        assert self.answer.ways[0].what == "as asked"
        assert self.answer.ways[0].chance == self.answer.rush.chance < LEVEL

    def test_every_other_way_is_sure_and_at_nobodys_cost(self):
        others = self.answer.ways[1:]
        assert {way.what for way in others} == {"more hours", "later day", "fewer bows"}
        assert all(way.chance >= LEVEL and not way.falls for way in others)

    def test_the_extra_hours_lengthen_the_first_evenings_before_it_is_due(self):
        way = self.way("more hours")
        assert way.due == day(3)
        assert way.stretches[0] == (TODAY, "22:00", "00:00")
        assert all(TODAY <= on < day(3) for on, _, _ in way.stretches)
        assert 60 <= stretch_minutes(way.stretches) <= 240

    def test_the_later_day_is_the_earliest_that_is_sure(self):
        assert self.way("later day").due == self.answer.earliest > day(3)

    def test_fewer_bows_are_the_most_that_are_sure(self):
        fewer = self.way("fewer bows").count
        one_more = ask(self.led, fewer + 1, day(3), draws=1000).ways[0]
        assert 0 < fewer < 20
        assert one_more.chance < LEVEL or one_more.falls


def test_a_sure_rush_has_one_way():
    assert [way.what for way in ask(told(), 2, day(9)).ways] == ["as asked"]


def test_bows_set_aside_for_a_fair_are_a_way_and_the_answer_says_which():
    led = told(
        fair("F1", "Kelp Street Fair", "2026-11-28"), BowsOpening(bows=((NAVY, 20),)),
        FairPlanAccepted(fair="F1", bring=((NAVY, 18),), head="0" * 16),
    )  # fmt: skip
    answer = ask(led, 14, day(1))
    (way,) = [way for way in answer.ways if way.what == "from the fair"]
    # Two are free, twelve of the fair's eighteen would do.
    assert (way.fair, way.taken, way.chance) == ("F1", ((NAVY, 12),), 1.0)


def test_hours_at_the_bench_are_paid_at_her_wage():
    led = told(WageSet(an_hour=1800))
    (way,) = ask(led, 4, day(9), costs=True).ways
    # Four bows take 60 min: 20 to set up and ten each.
    assert (way.hours, way.fair_lost, way.cost) == (1800, None, 1800)


def test_an_order_promised_at_less_may_fall_to_that():
    base = order("O1", "2026-11-24", {RED: 7})
    plain = ask(told(base), 2, TODAY, hour="21:00")
    bold = PromiseMade(order="O1", due="2026-11-24", chance=100_000, head="0" * 16)
    (before,) = [m for m in plain.moved if m.code == "O1"]
    assert before.falls
    agreed = ask(told(base, bold), 2, TODAY, hour="21:00")
    assert [m.falls for m in agreed.moved if m.code == "O1"] == [False]


class TestPromise:
    found = promise(
        told(order("O1", "2026-11-26", {RED: 8})), now=NOW, today=TODAY, kind=NAVY,
        count=12, draws=1000,
    )  # fmt: skip

    def test_a_surer_day_is_never_an_earlier_one(self):
        days = [day for _, day in self.found.days]
        assert [chance for chance, _ in self.found.days] == list(LEVELS)
        assert days == sorted(days)
        assert days[0] < days[-1]

    def test_each_day_is_as_sure_as_it_says_and_the_day_before_is_not(self):
        led = told(order("O1", "2026-11-26", {RED: 8}))
        for chance, due in self.found.days:
            assert ask(led, 12, due, draws=1000).rush.chance >= chance
            before = ask(led, 12, due - timedelta(days=1), draws=1000)
            assert before.rush.chance < chance or before.ways[0].falls

    def test_without_ribbon_no_day_is_named(self):
        bare = tuple(e for e in SHOP if getattr(e, "spool", "") != "S1")
        found = promise(told(shop=bare), now=NOW, today=TODAY, kind=NAVY, count=2,
                        draws=100)  # fmt: skip
        assert {day for _, day in found.days} == {None}


def besides(led, code, way):
    """Give what is entered besides the order when a way is taken."""
    bows = from_the_fair(led, code, way.fair, dict(way.taken)) if way.taken else ()
    return *bows, *([with_more(led, way.stretches)] if way.stretches else ())


@pytest.mark.parametrize("seed", range(30))
def test_every_way_taken_is_true_afterwards(seed):
    """The order entered in each way, with all that goes with it, planned anew."""
    events, ribbon, luck = shop(2000 + seed)
    events += [
        BowsOpening(bows=((RED, 12),)), fair("F1", "Kelp Street Fair", "2026-12-06"),
        FairPlanAccepted(fair="F1", bring=((RED, luck.randint(3, 12)),), head="0" * 16),
    ]  # fmt: skip
    led = told(*events, shop=ribbon)
    kind, count = luck.choice((NAVY, RED)), luck.randint(8, 25)
    answer = ask(led, count, day(luck.randint(1, 4)), kind=kind, code="O9")

    for way in answer.ways:
        taken = order("O9", way.due.isoformat(), {kind: way.count}, rush=True)
        anew = chances(told(*events, taken, *besides(led, "O9", way), shop=ribbon))
        assert anew["O9"][0] == way.chance, way.what
        before = chances(led)
        level = {code for code, (was, *_) in before.items()
                 if falls(was, anew[code][0], LEVEL)}  # fmt: skip
        assert level == set(way.falls), way.what


def test_a_way_is_worked_out_under_the_code_that_the_order_gets():
    """Its draws hang on its name, so that taking it changes no chance."""
    led = told(order("O1", "2026-11-29", {RED: 8}))
    answers = [ask(led, 20, day(3), code=code) for code in ("O2", "O3")]
    assert answers[0].rush.chance != answers[1].rush.chance
    assert [one.rush.code for one in answers] == ["O2", "O3"]
