"""Unlogged sales: the ranges of the sums walked as bits, against every choice tried."""

from __future__ import annotations

from itertools import product

from hypothesis import given as all_of
from hypothesis import strategies as st

from planner.rules.unlogged import Range, unlogged_ranges


def by_trying_all(missing, unnoticed, prices, difference, tolerance):
    """Try every choice of sales, as the docstring defines a possible one."""
    kinds = [kind for kind, count in missing.items() if count > 0]
    possible = []
    for choice in product(*(range(missing[kind] + 1) for kind in kinds)):
        sums, totals = {}, {}
        for kind, count in zip(kinds, choice, strict=True):
            pattern = kind.partition(":")[0]
            sums[pattern] = sums.get(pattern, 0) + count
            totals[pattern] = totals.get(pattern, 0) + missing[kind]
        capped = all(sums[p] <= max(totals[p] - unnoticed.get(p, 0), 0) for p in sums)
        money = sum(
            (prices.get(kind) or 0) * n for kind, n in zip(kinds, choice, strict=True)
        )
        if not capped:
            continue
        if difference is not None and difference <= 0 and any(choice):
            continue
        if difference is None or money <= max(difference, 0):
            possible.append((money, choice))
    if difference is not None and all(prices.get(kind) for kind in kinds):
        best = max(money for money, _ in possible)
        possible = [one for one in possible if one[0] >= best - tolerance]
    return {
        kind: Range(
            min(choice[at] for _, choice in possible),
            max(choice[at] for _, choice in possible),
        )
        for at, kind in enumerate(kinds)
    }


KINDS = ("a:x", "a:y", "a:z", "b:x", "b:y")


@all_of(
    missing=st.fixed_dictionaries({kind: st.integers(0, 3) for kind in KINDS}),
    unnoticed=st.fixed_dictionaries({p: st.integers(0, 4) for p in "ab"}),
    prices=st.fixed_dictionaries(
        {kind: st.sampled_from([None, 0, 300, 500, 500, 800]) for kind in KINDS}
    ),
    difference=st.none() | st.integers(-200, 6_000),
    tolerance=st.sampled_from([0, 0, 1, 250]),
)
def test_ranges_are_those_of_every_choice_tried(
    missing, unnoticed, prices, difference, tolerance
):
    """The ranges are exactly those found by trying every choice."""
    found = unlogged_ranges(
        missing=missing, unnoticed=unnoticed, prices=prices, difference=difference,
        tolerance=tolerance,
    )  # fmt: skip

    assert found == by_trying_all(missing, unnoticed, prices, difference, tolerance)


@all_of(
    missing=st.fixed_dictionaries({kind: st.integers(0, 3) for kind in KINDS}),
    unnoticed=st.fixed_dictionaries({p: st.integers(0, 4) for p in "ab"}),
    prices=st.fixed_dictionaries({k: st.sampled_from([300, 450, 500]) for k in KINDS}),
    difference=st.integers(0, 6_000),
)
def test_ranges_with_every_price_known_are_those_of_every_choice_tried(
    missing, unnoticed, prices, difference
):
    """With every price known the takings bind from both sides."""
    found = unlogged_ranges(
        missing=missing, unnoticed=unnoticed, prices=prices, difference=difference
    )

    assert found == by_trying_all(missing, unnoticed, prices, difference, 0)


def test_takings_that_fit_one_choice_alone_tell_it():
    """14.00 of bows at 8.00 and 6.00, one of each missing, were one of each."""
    found = unlogged_ranges(
        missing={"a:x": 2, "b:x": 2}, unnoticed={}, prices={"a:x": 800, "b:x": 600},
        difference=1400,
    )  # fmt: skip

    assert found == {"a:x": Range(1, 1), "b:x": Range(1, 1)}


def test_without_counted_takings_every_missing_bow_may_have_been_sold():
    """Nothing counted, nothing bounded: but unnoticed sales explain their share."""
    found = unlogged_ranges(
        missing={"a:x": 3, "a:y": 1, "b:x": 2}, unnoticed={"a": 2}, prices={},
        difference=None,
    )  # fmt: skip

    assert found == {"a:x": Range(0, 2), "a:y": Range(0, 1), "b:x": Range(0, 2)}


def test_takings_no_higher_than_the_typed_sales_leave_no_sale_untyped():
    """With nothing over, no missing bow was sold."""
    found = unlogged_ranges(
        missing={"a:x": 3}, unnoticed={}, prices={"a:x": 800}, difference=-100
    )

    assert found == {"a:x": Range(0, 0)}


def test_a_large_fair_in_cents_is_bounded_at_once():
    """Four hundred missing bows at odd prices are no long sum."""
    missing = {f"p{p}:c{c}": 4 for p in range(5) for c in range(20)}
    prices = {kind: 701 + 13 * int(kind[1]) for kind in missing}
    found = unlogged_ranges(
        missing=missing, unnoticed={"p1": 7}, prices=prices, difference=150_001
    )

    assert len(found) == 100
    assert all(r.least <= r.most <= 4 for r in found.values())
