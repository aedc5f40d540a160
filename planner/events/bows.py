"""Events of finished bows: opening stock, moves, gifts, write-offs, finds, counts."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from planner.events.base import Event
from planner.events.fields import (
    Code,
    Count,
    CountOrNone,
    KindCount,
    KindTally,
    Number,
    Text,
)

OneKindOrMore = Annotated[tuple[KindCount, ...], Field(min_length=1)]


class BowsOpening(Event):
    """Bows she already had when her records began."""

    kind = "bows-opening"

    bows: OneKindOrMore
    place: Code = "home"
    batch: Code | None = None


class BowsMoved(Event):
    """Bows went from one place to another."""

    kind = "bows-moved"

    bows: OneKindOrMore
    source: Code
    to: Code
    fair: Code | None = None
    batch: Code | None = None


class BowsGiven(Event):
    """Bows were given away: a gift, a prize, a sample, own use."""

    kind = "bows-given"

    bows: OneKindOrMore
    place: Code = "home"
    how: Literal["gift", "prize", "sample", "own use"] = "gift"
    batch: Code | None = None


class BowsWrittenOff(Event):
    """Bows were written off (faded, torn, a bad clip)."""

    kind = "bows-written-off"

    bows: OneKindOrMore
    place: Code = "home"
    why: Text = ""
    batch: Code | None = None


class BowsFound(Event):
    """Bows turned up that the records don't have."""

    kind = "bows-found"

    bows: OneKindOrMore
    place: Code = "home"


class BowsLost(Event):
    """Bows are gone and she knows it (taken, dropped, lost in the post)."""

    kind = "bows-lost"

    bows: OneKindOrMore
    place: Code = "home"
    why: Text = ""


class DisplayKept(Event):
    """How many bows of a kind stay on show and are not for sale; moves nothing."""

    kind = "display-kept"

    made: Code
    count: CountOrNone


class StockCounted(Event):
    """
    A reading: bows counted at a place, kind by kind.

    `whole` means the place was counted through: kinds not named are none there.
    """

    kind = "stock-counted"

    place: Code
    counts: tuple[KindTally, ...]
    whole: bool = False
    fair: Code | None = None


class SupplyCounted(Event):
    """A reading: whole units left of supply lots."""

    kind = "supply-counted"

    counts: tuple[tuple[Code, CountOrNone], ...]


class LabelsPrinted(Event):
    """Labels were printed for a batch: its number is now on the cards."""

    kind = "labels-printed"

    batch: Code
    count: Count


class BatchNamed(Event):
    """
    She told which batch bows that left came from (pins an inferred link).

    `seq` is the event of that entry with which they left.
    """

    kind = "batch-named"

    batch: Code
    entry: Number
    count: Count
    seq: Number | None = None
