"""The same process, as large as a load test wants it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Any

import pytest

from planner.scenario import Told, blow_up

from .seasons import LAST_DAY, fold


@pytest.fixture(name="many", scope="module")
def _many(harbour: Mapping[str, Any]) -> list[Told]:
    return list(blow_up(harbour, last_day=LAST_DAY, events=30_000))


def test_it_stops_with_the_entry_that_reaches_the_number(many: list[Told]) -> None:
    """As many events as asked, and not an entry more."""
    counts = [len(told.entry.facts) for told in many]

    assert sum(counts) >= 30_000
    assert sum(counts[:-1]) < 30_000


def test_it_streams(harbour: Mapping[str, Any]) -> None:
    """A million events need not be held to see the first."""
    stream = blow_up(harbour, last_day=LAST_DAY, events=1_000_000)

    assert isinstance(stream, Iterator)
    assert next(stream).entry.facts[0].event.kind == "shop-set-up"


def test_it_stays_in_order_and_within_ten_years(many: list[Told]) -> None:
    """Moments of recording rise, and no day is absurdly far back."""
    recorded = [told.recorded for told in many]

    assert recorded == sorted(recorded)
    assert recorded[0].year >= LAST_DAY.year - 9


def test_makers_share_one_row_of_codes(many: list[Told]) -> None:
    """However many hands, a batch's code is given once and the catalogue told once."""
    kinds = Counter(f.event.kind for told in many for f in told.entry.facts)
    bundles = Counter(
        fact.event.bundle
        for told in many
        for fact in told.entry.facts
        if fact.event.kind == "ribbon-cut"
    )

    assert kinds["shop-set-up"] == 1
    assert kinds["colour-named"] == 20
    assert max(bundles.values()) == 1


def test_it_folds(many: list[Told], harbour: Mapping[str, Any]) -> None:
    """Every spool and kind still sums to nothing."""
    led = fold(many, harbour["shop"]["zone"])

    for book in (led.ribbon, led.bows, led.supplies):
        for item in book.items:
            assert sum(book.balance(item).accounts.values()) == 0
