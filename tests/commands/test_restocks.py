"""Restocks as she types them: what each spool and lot cost, to the cent."""

from __future__ import annotations

import json
import os
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.events.base import Entry, Event, Fact
from planner.events.catalogue import ColourNamed, RibbonNamed, SupplyNamed
from planner.events.restock import (
    RestockOrdered,
    RibbonAwaited,
    SpoolReceived,
    SupplyAwaited,
    SupplyReceived,
)
from planner.ledgers.restocks import on_the_way
from planner.log.store import Log
from planner.rules.spools import restock_in
from planner.values.moments import When
from tests.commands.conftest import Typed
from tests.commands.small_shop import put
from tests.ledgers.telling import YARD, Telling

NOW = When("2026-11-11T12:00:00-05:00")


@pytest.fixture(name="shop")
def _shop(tmp_path: Path) -> Path:
    return put(tmp_path)


def came_in(typed: Typed, line: str) -> list[dict[str, Any]]:
    """What a command entered, as --json gives it."""
    events: list[dict[str, Any]] = json.loads(typed(f"{line} --json").out)["events"]
    return events


def test_a_price_is_shared_over_spools_to_the_cent(shop: Path, typed: Typed) -> None:
    """Three spools for 50.00: sixteen and two thirds each."""
    ordered = typed('restock order "Low Tide" --ribbon "3 x red 1.5in 50yd = 50.00"')
    spools = came_in(typed, "restock in R1")

    assert "  3 × red 1 1/2 in grosgrain" in ordered.out.splitlines()
    assert sorted(spool["paid"] for spool in spools) == [1666, 1667, 1667]


def test_freight_and_discount_are_shared_to_the_cent(shop: Path, typed: Typed) -> None:
    """All that was paid is on some spool or lot."""
    typed(
        'restock order "Low Tide" --ribbon "3 x red 1.5in 50yd = 50.00" '
        '--ribbon "1 x red 1.5in 100yd = 29.99" --supply "70 x card = 7.01" '
        "--freight 6.50 --discount 1.99"
    )
    paid = [event["paid"] for event in came_in(typed, "restock in R1")]

    assert (len(paid), sum(paid)) == (5, 5000 + 2999 + 701 + 650 - 199)


def test_what_came_earlier_is_not_paid_twice(shop: Path, typed: Typed) -> None:
    """Of an order in two deliveries, the second costs what is left of the price."""
    typed(
        'restock order "Low Tide" --ribbon "2 x red 1.5in 50yd = 30.00" '
        '--supply "100 x card = 8.00" --freight 4.00'
    )
    first: tuple[Event, ...] = (
        SpoolReceived(spool="S9", ribbon="grosgrain-1-1-2-red", length=50 * YARD,
                      lot="K1", restock="R1", paid=1700),
        SupplyReceived(lot="L9", supply="card", units=60, restock="R1", paid=500),
    )  # fmt: skip
    due = came_in(typed, "restock in R1 --dry-run")
    ribbon = next(event["ribbon"] for event in due if "ribbon" in event)
    with Log.open(shop) as log:
        facts = tuple(
            Fact(
                event.model_copy(update={"ribbon": ribbon})
                if isinstance(event, SpoolReceived) else event, "2026-05-13",
            )
            for event in first
        )  # fmt: skip
        log.append(
            Entry(facts), expected=None,
            recorded=datetime(2026, 5, 13, 12, tzinfo=UTC), rand=os.urandom,
        )  # fmt: skip
    rest = came_in(typed, "restock in R1")

    assert {(e["kind"], e.get("units")) for e in rest} == {
        ("spool-received", None),
        ("supply-received", 40),
    }
    assert sum(e["paid"] for e in rest) == 3000 + 800 + 400 - 1700 - 500


@given(
    spools=st.lists(
        st.tuples(st.integers(1, 9), st.integers(0, 9_999), st.sampled_from([50, 100])),
        max_size=4,
    ),
    cards=st.lists(st.tuples(st.integers(1, 500), st.integers(0, 9_999)), max_size=2),
    freight=st.integers(0, 3_000),
    discount=st.integers(0, 3_000),
)
def test_the_costs_of_a_restock_sum_to_what_was_paid(
    spools: list[tuple[int, int, int]],
    cards: list[tuple[int, int]],
    freight: int,
    discount: int,
) -> None:
    """Whatever was ordered; a discount beyond the price leaves nothing to pay."""
    if not spools and not cards:
        return
    telling = _shop_of_red_and_cards()
    order = RestockOrdered(
        restock="R1", supplier="Low Tide", expected="2026-11-10", latest="2026-11-12",
        ribbons=tuple(
            RibbonAwaited(ribbon="red", length=yards * YARD, spools=n, price=price)
            for n, price, yards in spools
        ),
        supplies=tuple(
            SupplyAwaited(supply="card", units=n, price=price) for n, price in cards
        ),
        freight=freight, discount=discount,
    )  # fmt: skip
    telling.tell(order, "2026-11-02")
    proposed = restock_in(telling.folded(), restock="R1", lot=None, when=NOW)
    paid = [fact.event.paid for fact in proposed.facts]  # type: ignore[attr-defined]
    price = sum(n * price for n, price, _ in spools) + sum(p for _, p in cards)

    assert sum(paid) == max(price + freight - discount, 0)
    assert min(paid) >= 0
    assert len(paid) == sum(n for n, _, _ in spools) + len(cards)
    for fact in proposed.facts:
        telling.tell(fact.event, "2026-11-11")
    assert on_the_way(telling.folded()) == []


def _shop_of_red_and_cards() -> Telling:
    telling = Telling()
    telling.tell(
        [
            ColourNamed(colour="red", name="red", hex="#cc0000", family="red"),
            RibbonNamed(ribbon="red", colour="red", width=38_100_000,
                        material="grosgrain"),
            SupplyNamed(supply="card", name="card"),
        ],
        "2026-11-01",
    )  # fmt: skip
    return telling
