"""The picture of when each order may be ready: figures worked out by hand."""

from __future__ import annotations

from planner.views.due import BenchDay, DueOrder, FinishDay
from planner.views.finish import (
    ACROSS,
    BAR,
    IN_TIME,
    LEFT,
    TOO_LATE,
    finish_picture,
)

DAYS = tuple(
    BenchDay(
        day_on=f"2026-11-{23 + n}", day="", planned_minutes=120 * (n % 2), planned="",
        used_minutes=0, used="",
    )
    for n in range(7)
)  # fmt: skip
EACH = ACROSS / 7


def order(*finish, due="2026-11-25", chance=0.75):
    return DueOrder(
        code="O1", who="", lines=(), due_on=due, due="", work_minutes=60, work="",
        ready_on="", ready="", slack_minutes=0, slack="", state="close", chance=chance,
        chance_shown="75 %",
        finish=tuple(FinishDay(day_on=d, in_time=a, late=b) for d, a, b in finish),
    )  # fmt: skip


SPREAD = order(("2026-11-23", 0.25, 0.0), ("2026-11-24", 0.5, 0.0),
               ("2026-11-26", 0.0, 0.125), ("2027-01-30", 0.0, 0.015))  # fmt: skip


def test_each_day_has_a_bar_as_tall_as_it_is_likely():
    (row,) = finish_picture([SPREAD], DAYS).rows
    assert [(bar.x, bar.height, bar.weave) for bar in row.bars] == [
        (LEFT + 1.5, BAR / 2, IN_TIME),
        (round(LEFT + EACH + 1.5, 2), BAR, IN_TIME),
        (round(LEFT + 3 * EACH + 1.5, 2), BAR / 4, TOO_LATE),
    ]


def test_bars_stand_on_their_line():
    (row,) = finish_picture([SPREAD], DAYS).rows
    assert {bar.y + bar.height for bar in row.bars} == {row.base}


def test_a_day_in_time_and_late_has_one_bar_on_the_other():
    both = order(("2026-11-24", 0.5, 0.0), ("2026-11-25", 0.25, 0.25))
    (row,) = finish_picture([both], DAYS).rows
    low, high = row.bars[1:]
    assert (low.weave, high.weave) == (IN_TIME, TOO_LATE)
    assert high.y + high.height == low.y


def test_the_flag_stands_where_the_due_day_begins():
    (row,) = finish_picture([SPREAD], DAYS).rows
    assert row.due_x == round(LEFT + 2 * EACH, 2)


def test_what_lies_beyond_the_picture_is_told_in_per_cent():
    short = order(("2026-11-24", 0.5, 0.0), ("2026-11-26", 0.0, 0.25))
    assert finish_picture([short], DAYS).rows[0].beyond == "25 % later"


def test_days_with_bench_hours_are_marked():
    picture = finish_picture(
        [order(("2026-11-24", 0.5, 0), ("2026-11-25", 0.2, 0))], DAYS
    )
    assert picture.bench == tuple(
        (round(LEFT + n * EACH, 2), round(EACH, 2)) for n in (1, 3, 5)
    )


def test_orders_without_a_spread_are_no_picture():
    assert finish_picture([order(("2026-11-23", 1.0, 0.0))], DAYS) is None
    assert finish_picture([], DAYS) is None
