"""Events of a fair: announced, planned, packed, opened, closed, settled."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from planner.events.base import Event, Value
from planner.events.fields import (
    Amount,
    Clock,
    Code,
    CountOrNone,
    Day,
    KindTally,
    LengthOrNone,
    Name,
    Paid,
    Text,
)

Quantiles = tuple[CountOrNone, CountOrNone, CountOrNone, CountOrNone, CountOrNone]
"""Bows not exceeded 5, 25, 50, 75 and 95 times in a hundred."""


class FairDay(Value):
    """One day of a fair with its opening hours."""

    day: Day
    opens: Clock
    closes: Clock


class FairAnnounced(Event):
    """
    A fair she means to go to, or tells about anew: the body is the new whole.

    `crowd` is a class from 1 (quiet) to 5 (packed); `table` is nm of table length;
    `guess` pairs a kind or pattern with the bows she thinks would sell.
    """

    kind = "fair-announced"

    fair: Code
    name: Name
    days: Annotated[tuple[FairDay, ...], Field(min_length=1, max_length=31)]
    fee: Amount = 0
    crowd: Annotated[int, Field(ge=1, le=5)] = 3
    indoor: bool = True
    table: LengthOrNone = 0
    guess: tuple[tuple[Code, Annotated[int, Field(ge=0, le=100_000)]], ...] = ()
    guess_total: CountOrNone | None = None


class FairCalledOff(Event):
    """The fair, or her part in it, is off (from an hour, if it had begun)."""

    kind = "fair-called-off"

    fair: Code
    at: Clock | None = None
    why: Text = ""


class FairPlanAccepted(Event):
    """
    She accepted a plan: how many of each kind to bring.

    It reserves the bows and feeds the bench; `head` is the log head it rested on;
    `expected` are the plan's own forecasts, kept for scoring.  So are the bows that
    will not be exceeded 5, 25, 50, 75 and 95 times in a hundred: `spread` those wished
    for by kind, `sold_spread` those sold in all.
    """

    kind = "fair-plan-accepted"
    version = 2

    fair: Code
    bring: tuple[KindTally, ...]
    head: Text
    expected: tuple[tuple[Code, Amount], ...] = ()
    spread: tuple[tuple[Code, Quantiles], ...] = ()
    sold_spread: Quantiles | None = None


class FairPacked(Event):
    """The boxes are packed: bows went from home to the stall, or were topped up."""

    kind = "fair-packed"

    fair: Code
    bows: tuple[KindTally, ...]
    source: Code = "home"
    top_up: bool = False


class FairDayOpened(Event):
    """A day of the fair began; `float_` is the change in the till."""

    kind = "fair-day-opened"

    fair: Code
    day: Day
    float_: Amount = 0


class FairDayClosed(Event):
    """
    A day of the fair ended with the takings counted.

    A reading of that day's takings: `cash` is what was taken in cash over and above
    the float.  What it exceeds the typed sales by was taken in sales not typed.
    """

    kind = "fair-day-closed"

    fair: Code
    day: Day
    cash: Amount
    card: Amount | None = None


class FairSoldOut(Event):
    """A kind was sold out from this hour on (censors what demand she saw)."""

    kind = "fair-sold-out"

    fair: Code
    made: Code
    day: Day
    at: Clock | None = None


class FairCostPaid(Event):
    """A cost of a fair: the fee, parking, a table."""

    kind = "fair-cost-paid"

    fair: Code
    what: Name
    amount: Paid


class FairSettled(Event):
    """
    The fair is over and its boxes unpacked.

    `back` is what came home, counted; the counts and the move are events of their own
    in the same entry.  `unlogged` gives, by kind, the least and most that may have
    been sold without being typed, within what takings and counts allow.
    """

    kind = "fair-settled"

    fair: Code
    back: tuple[KindTally, ...]
    unlogged: tuple[tuple[Code, CountOrNone, CountOrNone], ...] = ()
    weather: Literal["fine", "poor", "not told"] = "not told"
    note: Text = ""


class CrowdTold(Event):
    """How the fair's crowd turned out, 1 to 5; kept for the next plan."""

    kind = "crowd-told"

    fair: Code
    crowd: Annotated[int, Field(ge=1, le=5)]
