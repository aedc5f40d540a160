"""The median minutes a bow takes: stated, learned, and blended."""

from __future__ import annotations

import pytest

from planner.engines.minutes import Minutes, median_minutes
from planner.engines.pace import pace
from planner.engines.sittings import observations
from planner.errors import Unknown
from planner.events.base import Event, Fact
from planner.events.bench import BowsFinished, BowsSpoiled, SittingLogged
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


def seconds(led, kind="bow:navy"):
    return median_minutes(led, kind).median_seconds


def test_without_sittings_her_stated_minutes_stand():
    led = told(pattern("bow"))
    found = median_minutes(led, "bow:navy")
    assert (found.set_up_minutes, found.setting_minutes) == (10, 60)
    assert (found.median_seconds, found.sittings, found.stated) == (
        pytest.approx(600.0), 0, True,
    )  # fmt: skip


def test_one_batch_moves_the_median_from_what_she_stated_towards_what_was_seen():
    led = told(pattern("bow"), batch("B1", "bow:navy", 12, minutes=58))
    # (58 - 10) / 12 = 4 minutes where 10 were stated.
    assert 240 < seconds(led, "bow:red") < 480


def test_more_batches_move_it_further_each_less_than_the_one_before():
    def after(n):
        made = [batch(f"B{i}", "bow:navy", 12, minutes=58) for i in range(n)]
        return seconds(told(pattern("bow"), *made))

    steps = [after(n) - after(n + 1) for n in range(5)]
    assert steps == sorted(steps, reverse=True)
    assert steps[-1] > 0


def test_many_sittings_all_but_overrule_what_she_stated():
    batches = [batch(f"B{n}", "bow:navy", 12, minutes=58) for n in range(60)]
    found = median_minutes(told(pattern("bow"), *batches), "bow:navy")
    assert 3.9 < found.median_seconds / 60 < 4.2
    assert found.sittings == 60


def test_a_slip_in_one_sitting_hardly_moves_the_median():
    usual = [batch(f"B{n}", "bow:navy", 12, minutes=58) for n in range(8)]
    slip = batch("B99", "bow:navy", 1, minutes=900)
    without = seconds(told(pattern("bow"), *usual))
    assert seconds(told(pattern("bow"), *usual, slip)) < 1.03 * without


def test_a_sitting_of_one_pattern_in_two_colours_is_shared_by_all_its_bows():
    led = told(
        pattern("bow", seconds=0), sitting("T1", 80),
        batch("B1", "bow:navy", 8, sitting="T1"),
        batch("B2", "bow:red", 4, sitting="T1"),
    )  # fmt: skip
    # Two batches, set up twice: (80 - 20) / 12 bows.
    (seen,) = observations(led, {"bow": 480.0})["bow"]
    assert (seen.seconds, seen.bows, seen.count) == (300, 12, 1)


def test_a_mixed_sitting_is_split_by_what_each_was_expected_to_take():
    led = told(
        pattern("big", seconds=600, set_up=0), pattern("small", seconds=300, set_up=0),
        sitting("T1", 48),
        batch("B1", "big:navy", 4, sitting="T1"),
        batch("B2", "small:navy", 4, sitting="T1"),
    )  # fmt: skip
    # 60 minutes expected, 48 spent: 0.8 of each, worth half a sitting shared 40 : 20.
    seen = observations(led, {"big": 600.0, "small": 300.0})
    assert [(s.seconds, s.count) for (s,) in seen.values()] == [
        (pytest.approx(480), pytest.approx(1 / 3)),
        (pytest.approx(240), pytest.approx(1 / 6)),
    ]


def test_minutes_told_with_one_batch_are_not_counted_again_for_the_others():
    led = told(
        pattern("bow", seconds=0, set_up=0), pattern("pin", seconds=0, set_up=0),
        sitting("T1", 90),
        batch("B1", "bow:navy", 6, minutes=60, sitting="T1"),
        batch("B2", "pin:navy", 10, sitting="T1"),
    )  # fmt: skip
    seen = observations(led, {"bow": 480.0, "pin": 480.0})
    assert [one.seconds for (one,) in seen.values()] == [600, 180]


def test_bows_spoiled_in_a_sitting_took_their_share_of_its_minutes():
    led = told(
        pattern("bow", set_up=0), sitting("T1", 60),
        batch("B1", "bow:navy", 10, sitting="T1"),
        BowsSpoiled(made="bow:navy", revision=1, count=2, sitting="T1"),
    )  # fmt: skip
    (seen,) = observations(led, {"bow": 600.0})["bow"]
    assert (seen.seconds, seen.bows) == (300, 12)


def test_fewer_minutes_than_the_set_up_say_nothing():
    led = told(pattern("bow"), batch("B1", "bow:navy", 12, minutes=5))
    found = median_minutes(led, "bow:navy")
    assert (found.median_seconds, found.sittings) == (pytest.approx(600), 0)


def test_an_old_revision_counts_in_proportion_to_what_was_stated():
    old = pattern("bow", seconds=300, set_up=0)
    new = pattern("bow", seconds=600, set_up=0, revision=2)
    led = told(old, new, batch("B1", "bow:navy", 10, minutes=40))
    # 4 minutes where 5 were stated: 0.8 of today's 10.
    (seen,) = observations(led, {"bow": 600.0})["bow"]
    assert seen.seconds == pytest.approx(480)


def test_a_pattern_nobody_knows_the_minutes_of_takes_the_middle_of_the_others():
    led = told(
        pattern("a", seconds=240), pattern("b", seconds=300), pattern("c", seconds=900),
        pattern("new", seconds=0),
    )  # fmt: skip
    found = median_minutes(led, "new:navy")
    assert (found.median_seconds, found.guess) == (pytest.approx(300.0), True)


def test_with_nothing_known_of_any_pattern_eight_minutes_are_guessed():
    found = median_minutes(told(pattern("new", seconds=0)), "new:x")
    assert found.bench(5) == pytest.approx(50.0)


def test_what_one_pattern_shows_of_her_stated_minutes_is_believed_of_the_others():
    made = [batch(f"B{n}", "bow:navy", 12, minutes=154) for n in range(9)]
    led = told(pattern("bow"), pattern("pin", seconds=300), *made)
    # Twelve minutes a bow where ten were stated: so five are likelier six.
    assert 300 < seconds(led, "pin:navy") < 360


def test_a_few_bows_are_less_sure_than_many_and_a_guess_less_than_a_word():
    led = told(pattern("bow"), pattern("new", seconds=0))
    known = pace(led)

    def width(code, bows):
        high = known.quantile(code, 0.9, bows=bows)
        return high / known.quantile(code, 0.1, bows=bows)

    assert width("bow", 1) > width("bow", 50)
    assert width("new", 10) > width("bow", 10)


def test_an_unknown_pattern_is_refused():
    with pytest.raises(Unknown):
        median_minutes(told(pattern("bow")), "bonnet:navy")


def test_no_bows_need_no_set_up():
    assert Minutes(600.0, 10, 60, 0, True).bench(0) == 0.0
