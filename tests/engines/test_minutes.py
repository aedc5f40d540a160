"""The median minutes a bow takes: stated, learned, and blended."""

from __future__ import annotations

import math

import pytest

from planner.engines.minutes import Minutes, Seen, median_minutes, weighted_median
from planner.errors import Unknown
from planner.events.base import Event, Fact
from planner.events.bench import BowsFinished, SittingLogged
from planner.events.catalogue import Part, PatternRevised, Step
from planner.fold import fold_facts

INCH = 25_400_000


def pattern(code, *, seconds=600, set_up=10, setting=60, revision=1):
    steps = (Step(name="fold", seconds=seconds),) if seconds else ()
    return PatternRevised(
        pattern=code, revision=revision, name=code, size=4 * INCH, width=INCH,
        parts=(Part(role="body", length=27 * INCH),), steps=steps,
        set_up=set_up, setting=setting,
    )  # fmt: skip


def batch(code, kind, count, *, minutes=None, sitting=None, revision=1):
    return BowsFinished(
        batch=code, made=kind, revision=revision, count=count, minutes=minutes,
        sitting=sitting,
    )  # fmt: skip


def sitting(code, minutes):
    return SittingLogged(sitting=code, minutes=minutes)


def told(*events: Event):
    return fold_facts(
        [(n, Fact(e, "2026-11-20")) for n, e in enumerate(events, 1)],
        zone="America/New_York",
    )


def test_without_sittings_her_stated_minutes_stand():
    led = told(pattern("bow"))
    assert median_minutes(led, "bow:navy") == Minutes(600.0, 10, 60, 0, True)


def test_a_batch_with_minutes_counts_as_one_sitting_against_three_stated():
    led = told(pattern("bow"), batch("B1", "bow:navy", 12, minutes=58))
    # (58 - 10) / 12 = 4 minutes; one part of it, three of the stated 10.
    by_hand = 60 * math.exp((math.log(4) + 3 * math.log(10)) / 4)
    assert median_minutes(led, "bow:red").median_seconds == pytest.approx(by_hand)


def test_many_sittings_all_but_overrule_what_she_stated():
    batches = [batch(f"B{n}", "bow:navy", 12, minutes=58) for n in range(60)]
    found = median_minutes(told(pattern("bow"), *batches), "bow:navy")
    assert 4.0 < found.median_seconds / 60 < 4.5
    assert found.sittings == 60


def test_a_slip_in_one_sitting_hardly_moves_the_median():
    usual = [batch(f"B{n}", "bow:navy", 12, minutes=58) for n in range(8)]
    slip = batch("B99", "bow:navy", 1, minutes=900)
    without = median_minutes(told(pattern("bow"), *usual), "bow:navy")
    slipped = median_minutes(told(pattern("bow"), *usual, slip), "bow:navy")
    assert slipped.median_seconds < 1.02 * without.median_seconds


def test_a_sitting_of_one_pattern_in_two_colours_is_shared_by_all_its_bows():
    led = told(
        pattern("bow", seconds=0), sitting("T1", 80),
        batch("B1", "bow:navy", 8, sitting="T1"),
        batch("B2", "bow:red", 4, sitting="T1"),
    )  # fmt: skip
    # Two batches, set up twice: (80 - 20) / 12 bows.
    assert median_minutes(led, "bow:navy").median_seconds == pytest.approx(300)


def test_a_mixed_sitting_is_split_by_what_each_was_expected_to_take():
    led = told(
        pattern("big", seconds=600, set_up=0), pattern("small", seconds=300, set_up=0),
        sitting("T1", 48),
        batch("B1", "big:navy", 4, sitting="T1"),
        batch("B2", "small:navy", 4, sitting="T1"),
    )  # fmt: skip
    # 60 minutes expected, 48 spent: 0.8 of each, worth half a sitting shared 40 : 20.
    big, small = (median_minutes(led, k).median_seconds for k in ("big:x", "small:x"))
    share = 0.5 * 2 / 3
    assert big == pytest.approx(600 * 0.8 ** (share / (share + 3)))
    share = 0.5 / 3
    assert small == pytest.approx(300 * 0.8 ** (share / (share + 3)))


def test_minutes_told_with_one_batch_are_not_counted_again_for_the_others():
    led = told(
        pattern("bow", seconds=0, set_up=0), pattern("pin", seconds=0, set_up=0),
        sitting("T1", 90),
        batch("B1", "bow:navy", 6, minutes=60, sitting="T1"),
        batch("B2", "pin:navy", 10, sitting="T1"),
    )  # fmt: skip
    assert median_minutes(led, "bow:navy").median_seconds == pytest.approx(600)
    assert median_minutes(led, "pin:navy").median_seconds == pytest.approx(180)


def test_fewer_minutes_than_the_set_up_say_nothing():
    led = told(pattern("bow"), batch("B1", "bow:navy", 12, minutes=5))
    assert median_minutes(led, "bow:navy") == Minutes(600.0, 10, 60, 0, True)


def test_an_old_revision_counts_in_proportion_to_what_was_stated():
    old = pattern("bow", seconds=300, set_up=0)
    new = pattern("bow", seconds=600, set_up=0, revision=2)
    led = told(old, new, batch("B1", "bow:navy", 10, minutes=40))
    # 4 minutes where 5 were stated: 0.8 of today's 10, one part in four.
    assert median_minutes(led, "bow:navy").median_seconds == pytest.approx(
        600 * 0.8**0.25
    )


def test_a_pattern_nobody_knows_the_minutes_of_takes_the_middle_of_the_others():
    led = told(
        pattern("a", seconds=240), pattern("b", seconds=300), pattern("c", seconds=900),
        pattern("new", seconds=0),
    )  # fmt: skip
    found = median_minutes(led, "new:navy")
    assert (found.median_seconds, found.guess) == (300.0, True)


def test_with_nothing_known_of_any_pattern_eight_minutes_are_guessed():
    assert median_minutes(told(pattern("new", seconds=0)), "new:x").bench(5) == 50.0


def test_an_unknown_pattern_is_refused():
    with pytest.raises(Unknown):
        median_minutes(told(pattern("bow")), "bonnet:navy")


def test_no_bows_need_no_set_up():
    assert Minutes(600.0, 10, 60, 0, True).bench(0) == 0.0


def test_the_weighted_median_has_half_the_weight_on_either_side():
    seen = [Seen(1.0, 1.0, 0), Seen(2.0, 1.0, 0), Seen(9.0, 3.0, 0)]
    assert weighted_median(seen) == 9.0
    assert weighted_median([*seen, Seen(1.5, 1.0, 0)]) == 5.5


def test_a_median_of_nothing_is_refused():
    with pytest.raises(ValueError, match="says nothing"):
        weighted_median([])
