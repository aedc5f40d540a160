"""
The field types that event bodies share, with their units and bounds.

Lengths are whole nanometres, amounts minor units of the shop's currency, stretches of
time whole minutes or seconds.  All whole numbers stay within ±(2^53 - 1) (RFC 8259).
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from planner.events.base import Value

SAFE = 2**53 - 1
"""Largest whole number every JSON reader keeps exactly (RFC 8259, section 6)."""

Length = Annotated[int, Field(gt=0, le=2_000 * 914_400_000)]
"""A length of ribbon in nanometres, more than nothing and no more than 2,000 yd."""
LengthOrNone = Annotated[int, Field(ge=0, le=2_000 * 914_400_000)]
"""A length in nanometres that may be nothing (an empty spool)."""
Count = Annotated[int, Field(gt=0, le=100_000)]
"""How many, at least one."""
CountOrNone = Annotated[int, Field(ge=0, le=100_000)]
"""How many, perhaps none."""
Amount = Annotated[int, Field(ge=0, le=SAFE)]
"""Money in minor units, never negative: the event's kind says which way it went."""
Minutes = Annotated[int, Field(ge=0, le=100_000)]
"""Whole minutes."""
Seconds = Annotated[int, Field(ge=0, le=100_000)]
"""Whole seconds (steps of a pattern are shorter than a minute)."""
Code = Annotated[str, StringConstraints(min_length=1, max_length=120)]
"""A short code or slug that names one thing for ever."""
Text = Annotated[str, StringConstraints(max_length=1_000_000)]
"""Words of hers that name no person."""
Name = Annotated[str, StringConstraints(min_length=1, max_length=200)]
"""The name of a thing (never of a person)."""
Paid = Annotated[int, Field(gt=0, le=SAFE)]
"""Money in minor units, more than nothing."""
Number = Annotated[int, Field(ge=1, le=SAFE)]
"""The number of an entry or a line, from 1."""
Day = Annotated[
    str,
    StringConstraints(pattern=r"^\d{4}-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])$"),
]
"""A day, ``YYYY-MM-DD``."""
Clock = Annotated[str, StringConstraints(pattern=r"^\d{2}:\d{2}$")]
"""An hour of the day, ``HH:MM``."""
Moment = Annotated[str, StringConstraints(pattern=r"^\d{4}-\d{2}-\d{2}(T.+)?$")]
"""A day or an RFC 3339 date-time with its offset."""
Hex = Annotated[str, StringConstraints(pattern=r"^#[0-9a-f]{6}$")]
"""A colour, ``#rrggbb``."""

KindCount = tuple[Code, Count]
"""A kind (or ``pattern:?`` where the colour wasn't noticed) and how many."""
KindTally = tuple[Code, CountOrNone]
"""A kind and how many were counted, perhaps none."""
UnitCount = tuple[Code, Count]
"""A supply lot and how many whole units."""

Channel = Literal["retail", "wholesale", "fair"]
"""The price lists she keeps."""


class PartUse(Value):
    """
    Parts that went somewhere together: `count` cuts of `length` nm for `role`.

    `bundle` and `spool` are None where her records don't tell: such parts post nothing
    to the ribbon ledger, since what nobody saw is not invented.
    """

    role: Code
    length: Length
    count: Count
    bundle: Code | None = None
    spool: Code | None = None


class LineItem(Value):
    """
    A line of an order: `count` selling units of `what` at `price` minor units each.

    `what` is a kind or a set; `kinds` says how many bows of each kind one unit holds.
    """

    line: Annotated[int, Field(ge=1, le=999)]
    what: Code
    count: Count
    price: Amount
    kinds: tuple[KindCount, ...]
