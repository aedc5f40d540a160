"""Events of selling: at a stall, to a boutique, wholesale; and money besides."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from planner.events.base import Event
from planner.events.fields import Amount, Code, Day, KindCount, Name, Paid, Text

Pay = Literal["cash", "card", "bank", "not yet"]


class BowsSold(Event):
    """
    Bows were sold: `taken` is the whole sum paid, in minor units.

    A kind may end in ``:?`` where the colour wasn't noticed.  Version 1 held one kind
    a sale, as `made` and `count`.
    """

    kind = "bows-sold"
    version = 2

    bows: Annotated[tuple[KindCount, ...], Field(min_length=1)]
    taken: Amount
    place: Code
    how: Pay = "cash"
    fee: Amount = 0
    fair: Code | None = None
    what: Code | None = None
    batch: Code | None = None


class SaleTakenBack(Event):
    """A buyer brought bows back at the stall or later; money was returned."""

    kind = "sale-taken-back"

    bows: Annotated[tuple[KindCount, ...], Field(min_length=1)]
    returned: Amount
    place: Code
    how: Pay = "cash"
    fair: Code | None = None


class BoutiqueNoted(Event):
    """A boutique that sells her bows: its place code and commission."""

    kind = "boutique-noted"

    place: Code
    name: Name
    basis_points: Annotated[int, Field(ge=0, le=10_000)]


class BoutiqueStatement(Event):
    """
    A boutique's statement: what it sold, its commission, what it paid.

    `gross` - `commission` is owed; `paid` is what came in with the statement.
    """

    kind = "boutique-statement"

    place: Code
    sold: tuple[KindCount, ...]
    gross: Amount
    commission: Amount
    paid: Amount


class WholesaleSold(Event):
    """Bows were sold outright to a shop at wholesale prices."""

    kind = "wholesale-sold"

    bows: Annotated[tuple[KindCount, ...], Field(min_length=1)]
    taken: Amount
    place: Code = "home"
    how: Pay = "bank"
    buyer: Name = "not told"


class CostPaid(Event):
    """A cost that is neither ribbon nor supply nor a fair's: postage, tools."""

    kind = "cost-paid"

    what: Name
    amount: Paid
    note: Text = ""


class UnloggedSalesTold(Event):
    """
    She is sure that these bows were sold though no sale was typed.

    The money is in the takings of the fair's days, so none is posted here.
    """

    kind = "unlogged-sales-told"

    fair: Code
    bows: Annotated[tuple[KindCount, ...], Field(min_length=1)]
    place: Code
    day: Day | None = None
