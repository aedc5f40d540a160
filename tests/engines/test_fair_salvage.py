"""What a bow left over is worth, and what that makes of each bow brought."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.engines.counts import CountLaw
from planner.engines.fair_good import Good
from planner.engines.fair_salvage import fairs_later, salvages
from planner.events.base import Fact
from planner.events.fair import FairCalledOff
from tests.engines.fair_toys import ahead, fair, set_up, told

PRICE, COST, WEAR = 800, 120.0, 8.0


def good(mean, shape, have, salvage, later):
    return Good(
        kind="k", law=CountLaw(mean, shape), price=PRICE, cost=COST, salvage=salvage,
        minutes=10.0, have=have, uses={}, later=later,
    )  # fmt: skip


def profits(one, most):
    """Add up over every demand: sold, left over (brought or not), made, carried."""
    asked = np.arange(1_200)
    chance = one.law.pmf(asked)
    left = np.append(0.0, np.cumsum(salvages(one.law, one.salvage, one.later, 400)))
    found = []
    for bring in range(most + 1):
        sold = np.minimum(asked, bring)
        made = COST * max(bring - one.have, 0) + WEAR * bring
        money = PRICE * sold + left[max(bring, one.have) - sold] - made
        found.append(float(chance @ money))
    return found


@settings(deadline=None, max_examples=60)
@given(
    mean=st.floats(0.3, 20), shape=st.floats(1.0, 50), have=st.integers(0, 12),
    salvage=st.floats(0, 110), later=st.floats(0, 6),
)  # fmt: skip
def test_each_bow_is_worth_what_it_adds_to_the_profit_over_every_demand(
    mean, shape, have, salvage, later
):
    """Against enumeration; and it never rises from bow to bow."""
    one = good(mean, shape, have, salvage, later)
    item = one.item(())
    reach = np.array(item.reach)
    spent = np.where(np.arange(reach.size) < have, item.held_cost, item.cost)
    gains = item.price * reach - spent

    count = min(reach.size, have + 8)
    added = np.diff(profits(one, count)).tolist()
    assert gains[:count].tolist() == pytest.approx(added, abs=1e-6 * PRICE)
    assert (np.diff(reach) <= 1e-12).all()


def test_the_worth_falls_with_how_many_are_left_and_with_the_season():
    law = CountLaw(6.0, 4.0)
    many, one, none = (salvages(law, 40.0, later, 12) for later in (4.0, 1.0, 0.0))

    for left in (many, one):
        assert (np.diff(left) < 0).all()
    assert (many > one).all()
    assert (one > none).all()
    assert none == pytest.approx(np.full(12, 10.0))
    assert many[0] < 40.0


def test_fewer_are_brought_where_no_fair_comes_after():
    few, more = (good(6.0, 4.0, 0, 110.0, later) for later in (0.0, 5.0))

    assert few.item(()).gains().size < more.item(()).gains().size


def later_of(*others):
    led = told(set_up(), fair(), [Fact(e, "2025-01-01") for e in others])
    return fairs_later(led, ahead(led))


def test_fairs_announced_in_the_season_after_are_counted():
    assert later_of() == 1
    assert later_of(fair("F1", "2026-12-12"), fair("F2", "2027-03-20")) == 1
    off = fair("F1", "2026-12-12"), FairCalledOff(fair="F1")
    assert later_of(*off, fair("F2", "2027-03-20")) == 0


def test_with_a_year_of_records_last_year_s_season_counts_too():
    year = [
        fair("F1", "2025-06-01"), fair("F2", "2025-12-06"), fair("F3", "2026-01-31"),
        fair("F4", "2026-05-01"),
    ]  # fmt: skip
    assert later_of(*year) == 2


def test_with_less_than_a_year_it_is_as_many_as_so_far():
    short = [fair("F1", "2026-05-02"), fair("F2", "2026-08-01")]

    assert later_of(*short) == pytest.approx(2 * 90 / 365)
    assert math.isclose(later_of(*short, fair("F3", "2026-12-05")), 1.0)
