"""Promises kept and scored, figures worked out by hand."""

from __future__ import annotations

from datetime import date

import pytest

from planner.engines.promises import how_good, plain_finish, promises
from planner.events.base import Fact
from planner.events.bench import BowsFinished, SittingLogged
from planner.events.orders import (
    OrderCalledOff,
    OrderChanged,
    OrderHandedOver,
    OrderReady,
)
from planner.events.plans import PromiseMade
from planner.fold import fold_facts
from planner.plans.scored import Promised

from .due_toys import HOURS, NAVY, NOW, SHOP, ZONE, order

HEAD = "0" * 16


def lived(*facts):
    begun = [(e, "2026-11-01") for e in (*SHOP, HOURS)]
    rows = [Fact(e, day) for e, day in (*begun, *facts)]
    return fold_facts(list(enumerate(rows, 1)), zone=ZONE)


def promised(code, due, chance, **days):
    return PromiseMade(order=code, due=due, chance=chance, head=HEAD, **days)


TAKEN = (
    (order("O1", "2026-11-14", {NAVY: 2}), "2026-11-10"),
    (promised("O1", "2026-11-14", 900_000, early="2026-11-10", likely="2026-11-11",
              late="2026-11-13"), "2026-11-10"),
)  # fmt: skip


def test_an_order_told_ready_was_finished_that_day():
    (one,) = promises(lived(*TAKEN, (OrderReady(order="O1"), "2026-11-12")))
    assert (one.finished, one.in_time(date(2026, 11, 20))) == (date(2026, 11, 12), True)


def test_without_that_the_last_bows_made_for_it_say_when():
    made = BowsFinished(batch="B1", made=NAVY, revision=1, count=2, order="O1")
    handed = OrderHandedOver(order="O1", bows=((NAVY, 2),))
    (one,) = promises(lived(*TAKEN, (made, "2026-11-11"), (handed, "2026-11-16")))
    assert one.finished == date(2026, 11, 11)


def test_or_else_the_day_it_was_handed_over():
    handed = OrderHandedOver(order="O1", bows=((NAVY, 2),))
    (one,) = promises(lived(*TAKEN, (handed, "2026-11-16")))
    assert (one.finished, one.in_time(date(2026, 11, 20))) == (
        date(2026, 11, 16),
        False,
    )


def test_an_open_order_is_decided_once_its_day_has_gone_by():
    (one,) = promises(lived(*TAKEN))
    assert one.finished is None
    assert one.in_time(date(2026, 11, 14)) is None
    assert one.in_time(date(2026, 11, 15)) is False


def test_a_promise_is_not_scored_once_its_day_was_changed_or_it_was_called_off():
    line = order("O1", "2026-11-20", {NAVY: 2}).lines
    moved = OrderChanged(order="O1", lines=line, due="2026-11-20")
    assert promises(lived(*TAKEN, (moved, "2026-11-11"))) == ()
    assert promises(lived(*TAKEN, (OrderCalledOff(order="O1"), "2026-11-11"))) == ()


def test_simple_reckoning_takes_stated_minutes_and_full_hours():
    """Ten minutes a bow were stated, thirty are usual by now."""
    slow = [
        (e, "2026-11-05")
        for n in range(9)
        for e in (
            SittingLogged(sitting=f"T{n}", minutes=110, planned=120),
            BowsFinished(
                batch=f"B{n}", made=NAVY, revision=1, count=3, sitting=f"T{n}"
            ),
        )
    ]
    led = lived(*slow, (order("O1", "2026-11-29", {NAVY: 9}), "2026-11-20"))
    # 20 min to set up and 90 at the bench: this evening.
    assert plain_finish(led, "O1", now=NOW) == date(2026, 11, 23)


def one(code, chance, due, finished, plain, *, spread=(10, 12, 14)):
    def on(day):
        return date(2026, 11, day) if day else None

    return Promised(
        code, 1, date(2026, 11, 9), on(due), chance, *map(on, spread), on(finished),
        on(plain), True,
    )  # fmt: skip


KEPT = [
    one("O1", 0.9, 14, 12, 13), one("O2", 0.8, 14, 15, 13), one("O3", 0.6, 14, 14, 15),
    one("O4", 0.3, 14, 9, 16),
]  # fmt: skip


def test_scores_are_those_worked_out_by_hand():
    found = how_good(KEPT, date(2026, 11, 20), {})
    assert (found.scored, found.met, found.spread) == (4, 3, 4)
    # (0.1^2 + 0.8^2 + 0.4^2 + 0.7^2) / 4
    assert found.brier == found.own_brier == pytest.approx(1.3 / 4)
    # Sure of O1, O2 (wrong), not O3 (wrong), not O4 (wrong).
    assert found.plain_brier == pytest.approx(3 / 4)
    # By the 14th: O1, O3, O4; O4 came before the 10th.
    assert (found.by_late, found.within) == (3, 2)


def test_the_pinball_loss_is_in_days():
    found = how_good(KEPT[:1], date(2026, 11, 20), {})
    # Finished on the 12th: 2 days after early (0.1), on likely, 2 before late (0.1).
    assert found.pinball == pytest.approx((0.1 * 2 + 0 + 0.1 * 2) / 3)


def test_promises_still_open_are_kept_and_not_scored():
    found = how_good([one("O1", 0.9, 30, None, 13)], date(2026, 11, 20), {})
    assert (found.scored, found.brier, found.groups, len(found.promises)) == (
        0, None, (), 1,
    )  # fmt: skip
