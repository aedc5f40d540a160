"""Events of the shop itself: set-up, settings, hours, prices, wage, fees, people."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from planner.events.base import Event, Kept, Value
from planner.events.fields import (
    Amount,
    Channel,
    Clock,
    Code,
    Day,
    Name,
    Text,
)


class ShopSetUp(Event):
    """The shop was set up: its name, time zone, currency and units."""

    kind = "shop-set-up"

    name: Name
    zone: Name
    currency: Annotated[str, StringConstraints(pattern=r"^[A-Z]{3}$")]
    units: Literal["us", "metric"]
    paper: Literal["letter", "a4"]


class SettingChanged(Event):
    """A setting of the shop was given a new value."""

    kind = "setting-changed"

    name: Code
    value: Text


class BenchStretch(Value):
    """Recurring bench time: an RFC 5545 rule and two hours of the day."""

    rule: Text
    start: Clock
    end: Clock
    first: Day


class ExtraStretch(Value):
    """Bench time on one day."""

    day: Day
    start: Clock
    end: Clock


class BenchHoursSet(Event):
    """She said when she can work; replaces what she had said before."""

    kind = "bench-hours-set"

    words: Text
    rules: tuple[BenchStretch, ...]
    off: tuple[Day, ...] = ()
    extra: tuple[ExtraStretch, ...] = ()


class PriceSet(Event):
    """
    A price of a kind, a set or a whole pattern was set for a price list.

    Amounts are minor units each, from the day the event happened.
    """

    kind = "price-set"

    what: Code
    channel: Channel
    price: Amount


class WageSet(Event):
    """What she wants an hour at the bench to earn, in minor units."""

    kind = "wage-set"

    an_hour: Amount


class FeesSet(Event):
    """What a card payment costs: basis points of the amount and a fixed part."""

    kind = "fees-set"

    basis_points: Annotated[int, Field(ge=0, le=10_000)]
    fixed: Amount


class CostShareSet(Event):
    """What one unit of a supply or a metre of ribbon is reckoned to cost, if told."""

    kind = "cost-share-set"

    what: Code
    price: Amount


class PersonNoted(Event):
    """A customer was noted under a key; name and details are kept beside the log."""

    kind = "person-noted"

    person: Code
    kept: tuple[Kept, ...]


class PersonForgotten(Event):
    """A person's name and details were deleted for good; the key stays."""

    kind = "person-forgotten"

    person: Code
