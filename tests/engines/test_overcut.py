"""Over-cut, label errors and cuts never entered, on shops where they were planted."""

from __future__ import annotations

import pytest

from planner.engines.overcut import LEAST, over_cut
from planner.engines.short_measure import measured
from planner.ledgers.timeline import UNEXPLAINED

from .planted_shops import INCH, Planted, plant

SHOPS = 30


@pytest.fixture(name="shops", scope="module")
def _shops() -> list[Planted]:
    return [plant(seed, spools=24) for seed in range(SHOPS)]


def test_the_interval_holds_the_planted_over_cut_about_as_often_as_it_says(
    shops: list[Planted],
) -> None:
    """Nine in ten of 30 shops: fewer than 22 would come up once in 150 tries."""
    held = 0
    for shop in shops:
        found = shop.found
        total = sum(found.counts.values())
        true = sum(n * shop.over[role] for role, n in found.counts.items()) / total
        assert found.mean is not None
        held += found.mean.low <= true <= found.mean.high

    assert held >= 22


def test_every_role_is_told_with_the_parts_it_rests_on(shops: list[Planted]) -> None:
    found = shops[0].found
    bundles = shops[0].led.bundles.values()

    assert set(found.parts) == {"body", "knot"}
    assert all(e.low < e.value < e.high for e in found.parts.values())
    assert all(
        0 < n <= sum(b.count for b in bundles if b.role == role)
        for role, n in found.counts.items()
    )


def test_a_long_cut_never_entered_shows_on_its_spool_and_is_mostly_named(
    shops: list[Planted],
) -> None:
    """What is shown is the spool it was cut from; others are hardly ever named."""
    lost = shown = named = wrong = 0
    for shop in shops:
        bulk = {b.spool for b in shop.found.bulk}
        wrong += len(bulk - shop.missing.keys())
        for spool, nm in shop.missing.items():
            rows = list(shop.led.ribbon.items[spool].rows())
            if nm >= 150 * INCH and rows[-1].reading is not None:
                lost += 1
                shown += shop.led.ribbon.balance(spool)[UNEXPLAINED] > 0
                named += spool in bulk

    assert lost > 100
    assert shown == lost
    assert named >= 0.85 * lost
    assert wrong <= 0.05 * lost


def test_short_spools_read_before_their_first_cut_are_mostly_found(
    shops: list[Planted],
) -> None:
    short = found = fine = alarms = 0
    for shop in shops:
        for check in measured(shop.led).spools:
            if check.sure:
                true = check.label - shop.came[check.spool] > check.tolerance
                short, found = short + true, found + (true and check.short)
                fine, alarms = fine + (not true), alarms + (not true and check.short)

    assert short > 15
    assert found >= 0.8 * short
    assert alarms <= 0.05 * fine


def test_spools_never_read_before_a_cut_nor_twice_leave_label_and_over_cut_one() -> (
    None
):
    """Both take more the more of a spool is used: the answer says it can't tell."""
    shop = plant(3, spools=20, missing_share=0.0, read_share=0.0, midway=0.0)
    found = shop.found

    assert not found.apart
    assert "can't be told apart" in found.why


def test_a_few_readings_before_the_first_cut_tell_them_apart() -> None:
    shop = plant(3, spools=20, missing_share=0.0, read_share=0.6, midway=0.0)

    assert shop.found.apart


def test_too_few_readings_say_so_and_what_to_do() -> None:
    found = over_cut(plant(1, spools=1).led)

    assert len(found.stretches) < LEAST
    assert (found.parts, found.mean) == ({}, None)
    assert "(bows read S7 31yd); that takes 5 readings, and so far there" in found.why
