"""What she types for items, money and people, read the same by every command."""

from __future__ import annotations

import pytest

from planner.commands.boutiques import basis_points
from planner.commands.items import (
    Item,
    Who,
    _found,
    pay,
    split_code,
    split_for,
    split_items,
)
from planner.errors import Absurd, Ambiguous, Refusal, Unreadable
from planner.values.names import Candidate

KEPT = [
    Candidate("P1", "Maren Oak"),
    Candidate("P2", "Jo Fenn"),
    Candidate("P3", "Jo Marsh"),
]


class TestSplitItems:
    @pytest.mark.parametrize(
        ("typed", "items"),
        [
            ("6 4in navy", [Item(6, "4in navy", None)]),
            (
                "6 4in navy, 2 4in red @8.50",
                [Item(6, "4in navy", None), Item(2, "4in red", "8.50")],
            ),
            (
                "6 4in navy @8,50,2 4in red @ 9",
                [Item(6, "4in navy", "8,50"), Item(2, "4in red", "9")],
            ),
            ("2 4 1/2in navy,", [Item(2, "4 1/2in navy", None)]),
            ("2 4in ?", [Item(2, "4in ?", None)]),
            ("", []),
        ],
    )
    def test_items_are_split_at_commas_that_stand_between_them(self, typed, items):
        """A comma inside a price doesn't split it."""
        assert split_items(typed.split(" ")) == items

    @pytest.mark.parametrize(
        "typed", ["6", "4in navy", "6 4in navy, 2", "0 4in navy", "-2 4in navy",
                  "1.5 4in navy", "2 4in navy @", "999999 4in navy"]
    )  # fmt: skip
    def test_what_is_no_count_and_kind_is_refused_with_an_example(self, typed):
        """Every refusal says what to type."""
        with pytest.raises(Refusal) as refused:
            split_items([typed])

        assert refused.value.instead

    def test_none_is_a_count_where_things_are_counted(self):
        """Where a count may be none, none is taken."""
        assert split_items(["0 4in red, none 4in navy"], zero=True) == [
            Item(0, "4in red", None), Item(0, "4in navy", None),
        ]  # fmt: skip


def test_money_and_codes_are_taken_off_the_ends():
    """The sum stands last, the code of an order or a fair first."""
    kind = ["3", "4in", "navy"]

    assert split_for([*kind, "for", "24.00"]) == (kind, "24.00")
    assert split_for(kind) == (kind, None)
    assert split_code(["f3", "2", "navy"], "F") == ("f3", ["2", "navy"])
    assert split_code(["3", "navy"], "F") == (None, ["3", "navy"])
    assert split_code(None, "O") == (None, [])


def test_ways_to_pay_are_words_of_hers():
    """Paid later is not paid yet; another word is refused with the choices."""
    ways = ("cash", "card", "not yet")

    assert [pay(word, ways) for word in ("Cash", "later", "not yet")] == [
        "cash", "not yet", "not yet",
    ]  # fmt: skip
    with pytest.raises(Unreadable) as refused:
        pay("beads", ways)
    assert refused.value.instead == "--how cash, card, later"


class TestWho:
    def test_a_name_kept_is_that_person_in_any_case_or_by_a_part(self):
        """A customer is known by her name or enough of it."""
        maren = Who(person="P1", said="for Maren Oak (P1)")

        assert [_found(name, KEPT) for name in ("maren oak", "Maren")] == [maren] * 2

    def test_a_name_not_kept_is_somebody_new(self):
        """A name that is only like another's is another person."""
        assert _found("Marin Oak", KEPT) == Who(new_person="Marin Oak")
        assert _found("Ada", []) == Who(new_person="Ada")

    def test_a_name_of_two_is_asked(self):
        """Where two people fit she is asked, and told how to say it is neither."""
        with pytest.raises(Ambiguous) as asked:
            _found("Jo", KEPT)

        assert asked.value.instead.endswith("Or, if it is somebody new: --new")


class TestBasisPoints:
    def test_a_commission_is_read_to_a_hundredth_of_a_per_cent(self):
        """Per cent with or without its sign, point or comma."""
        typed = ["40", "40%", "37.5 %", "37,25", "0", "100"]

        assert [basis_points(t) for t in typed] == [4000, 4000, 3750, 3725, 0, 10_000]

    @pytest.mark.parametrize(
        ("typed", "refusal"),
        [
            ("101", Absurd),
            ("a lot", Unreadable),
            ("-4", Unreadable),
            ("1.234", Unreadable),
        ],
    )
    def test_what_is_no_share_is_refused(self, typed, refusal):
        """More than all, less than none and junk are refused."""
        with pytest.raises(refusal):
            basis_points(typed)
