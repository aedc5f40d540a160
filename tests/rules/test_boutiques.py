"""Boutiques: given what happened, when she tells of one, then these events."""

from __future__ import annotations

import pytest

from planner.errors import Absurd, Unknown
from planner.events.bows import BowsMoved
from planner.events.selling import BoutiqueNoted, BoutiqueStatement, WholesaleSold
from planner.rules import boutiques
from planner.rules.base import Proposal
from planner.rules.pricing import Wanted

from .selling_toys import NAVY, NOW, RED, given

THIMBLE = "boutique:the-thimble"
NOTED = BoutiqueNoted(place=THIMBLE, name="The Thimble", basis_points=4_000)
LEFT = BowsMoved(bows=((NAVY, 4), (RED, 2)), source="home", to=THIMBLE)


def unit(kind: str, count: int) -> Wanted:
    """Name bows of a kind."""
    return Wanted(kind, ((kind, 1),), count)


def events(proposed: Proposal) -> list[object]:
    """Give the events of a proposal."""
    return [fact.event for fact in proposed.facts]


class TestNoted:
    def test_a_boutique_gets_a_place_of_its_own(self):
        """A boutique is a place, named after it."""
        made = boutiques.noted(
            given(), name="The Thimble", basis_points=4_000, when=NOW
        )

        assert events(made) == [NOTED]
        assert made.said == ("boutique The Thimble: commission 40 %",)

    def test_another_commission_is_said_before_and_after(self):
        """A commission told anew is said before and after."""
        made = boutiques.noted(
            given(NOTED), name="The Thimble", basis_points=3_750, when=NOW
        )

        assert made.said == ("boutique The Thimble: commission 40 % → 37.5 %",)


class TestConsigned:
    def test_bows_move_from_home_to_the_boutique(self):
        """Bows left with a boutique stay hers, at another place."""
        made = boutiques.consigned(
            given(NOTED), place=THIMBLE, bows={NAVY: 4, RED: 2}, when=NOW
        )

        assert events(made) == [LEFT]
        assert made.said == (
            "left with The Thimble: 4 classic 4 in navy, 2 classic 4 in red",
            "at home: classic 4 in navy 10 → 6, classic 4 in red 5 → 3",
            "at The Thimble: classic 4 in navy 0 → 4, classic 4 in red 0 → 2",
        )

    def test_more_than_home_holds_is_taken_with_a_warning(self):
        """More bows than the records have at home were left: taken."""
        made = boutiques.consigned(given(NOTED), place=THIMBLE, bows={RED: 7}, when=NOW)

        assert made.warnings == (
            "that is 2 more classic 4 in red than the records have at home; entered "
            "as not yet explained",
        )

    def test_an_unknown_boutique_and_no_bows_are_refused(self):
        """A boutique must be noted first, and bows be named."""
        with pytest.raises(Unknown) as refused:
            boutiques.consigned(given(), place=THIMBLE, bows={RED: 1}, when=NOW)
        with pytest.raises(Absurd):
            boutiques.consigned(given(NOTED), place=THIMBLE, bows={}, when=NOW)

        assert refused.value.instead == "bows boutique new NAME --commission 40"


class TestStatement:
    def test_gross_commission_and_payment_follow_from_what_was_sold(self):
        """Three at 8.00 less 40 % are 14.40."""
        made = boutiques.statement(
            given(NOTED, LEFT), place=THIMBLE, sold=[unit(NAVY, 2), unit(RED, 1)],
            when=NOW,
        )  # fmt: skip

        assert events(made) == [
            BoutiqueStatement(
                place=THIMBLE, sold=((NAVY, 2), (RED, 1)), gross=2400, commission=960,
                paid=1440,
            )
        ]  # fmt: skip
        assert made.said == (
            "The Thimble sold 2 classic 4 in navy, 1 classic 4 in red",
            "$24.00 less commission $9.60 = $14.40; paid $14.40",
            "at The Thimble: classic 4 in navy 4 → 2, classic 4 in red 2 → 1",
        )
        assert made.warnings == ()

    def test_bows_given_back_come_home_in_the_same_entry(self):
        """A statement may bring bows home."""
        made = boutiques.statement(
            given(NOTED, LEFT), place=THIMBLE, sold=[unit(NAVY, 2)], back={RED: 2},
            gross=1500, commission=600, paid=500, when=NOW,
        )  # fmt: skip

        assert events(made) == [
            BoutiqueStatement(
                place=THIMBLE, sold=((NAVY, 2),), gross=1500, commission=600, paid=500
            ),
            BowsMoved(bows=((RED, 2),), source=THIMBLE, to="home"),
        ]
        assert made.said[2:] == (
            "at The Thimble: classic 4 in navy 4 → 2, classic 4 in red 2 → 0",
            "came back: 2 classic 4 in red",
            "at home: classic 4 in red 3 → 5",
        )
        assert made.warnings == ("$4.00 of it is still owed to you",)

    def test_another_commission_too_much_money_and_too_many_bows_are_taken(self):
        """What a statement gets wrong is said, and the statement taken."""
        made = boutiques.statement(
            given(NOTED, LEFT), place=THIMBLE, sold=[unit(RED, 3)], commission=1000,
            paid=1440, when=NOW,
        )  # fmt: skip

        assert made.warnings == (
            "its commission of 40 % would be $9.60",
            "that is $0.40 more than it owed for these",
            "that is 1 more classic 4 in red than the records have at The Thimble; "
            "entered as not yet explained",
        )

    def test_an_empty_statement_is_refused(self):
        """A statement says something."""
        with pytest.raises(Absurd) as refused:
            boutiques.statement(given(NOTED), place=THIMBLE, when=NOW)

        assert refused.value.instead == (
            'bows boutique statement "The Thimble" 3 4in navy --paid 14.40'
        )


class TestWholesale:
    def test_bows_sold_outright_take_the_wholesale_price(self):
        """Wholesale takes its own price list."""
        made = boutiques.wholesale(
            given(), items=[unit(NAVY, 6)], when=NOW, buyer="Bell & Daughter"
        )

        assert events(made) == [
            WholesaleSold(bows=((NAVY, 6),), taken=2700, buyer="Bell & Daughter")
        ]
        assert made.said == (
            "sold wholesale 6 classic 4 in navy for $27.00, by bank",
            "at home: classic 4 in navy 10 → 4",
        )

    def test_money_told_goes_before_the_list_and_may_come_later(self):
        """A price agreed goes before the list; unpaid is said."""
        made = boutiques.wholesale(
            given(), items=[unit(NAVY, 12)], when=NOW, taken=5000, how="not yet"
        )

        assert events(made) == [
            WholesaleSold(bows=((NAVY, 12),), taken=5000, how="not yet")
        ]
        assert made.said[0].endswith("for $50.00, not paid yet")
        assert made.warnings == (
            "that is 2 more classic 4 in navy than the records have at home; entered "
            "as not yet explained",
        )
