"""Events of the bench: sittings, cuts, bows finished, spoiled, reworked, apart."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from planner.events.base import Event
from planner.events.fields import (
    Code,
    Count,
    CountOrNone,
    Length,
    Minutes,
    Moment,
    PartUse,
    Text,
    UnitCount,
)


class SittingLogged(Event):
    """A stretch of bench time, in worked minutes; it may mix kinds."""

    kind = "sitting-logged"

    sitting: Code
    minutes: Annotated[int, Field(gt=0, le=1440)]
    planned: Minutes | None = None
    note: Text = ""


class RibbonCut(Event):
    """
    A bundle was cut: `count` parts of `length` nm in one go from one spool.

    `for_kind` is None where standard parts are cut ahead for no kind in particular.
    """

    kind = "ribbon-cut"

    bundle: Code
    spool: Code
    role: Code
    length: Length
    count: Count
    for_kind: Code | None = None
    revision: Count | None = None
    sitting: Code | None = None


class PartsRecut(Event):
    """Parts of a bundle were cut down to a new length; the rest was trimmed off."""

    kind = "parts-recut"

    bundle: Code
    spool: Code
    role: Code
    onto: Code
    old_length: Length
    new_length: Length
    count: Count


class PartsScrapped(Event):
    """Parts of a bundle were scrapped, by reason (mis-cut, spoiled, flaw, sample)."""

    kind = "parts-scrapped"

    bundle: Code
    spool: Code
    role: Code
    length: Length
    count: Count
    why: Code


class PartsCounted(Event):
    """A count of the parts waiting in a bundle: a reading."""

    kind = "parts-counted"

    bundle: Code
    spool: Code
    role: Code
    length: Length
    count: CountOrNone


class BowsFinished(Event):
    """
    A batch of bows was finished in one go: the unit of tracing and labels.

    `parts` names bundles as far as known; `minutes` is what the batch alone took, when
    told; `ready` is when the glue has set.
    """

    kind = "bows-finished"

    batch: Code
    made: Code
    revision: Count | None
    count: Count
    place: Code = "home"
    parts: tuple[PartUse, ...] = ()
    supplies: tuple[UnitCount, ...] = ()
    sitting: Code | None = None
    minutes: Annotated[int, Field(gt=0, le=10_000)] | None = None
    order: Code | None = None
    ready: Moment | None = None


class BatchPartsTold(Event):
    """Which bundles a batch was made from, told afterwards (a cut entered late)."""

    kind = "batch-parts-told"

    batch: Code
    parts: Annotated[tuple[PartUse, ...], Field(min_length=1)]


class BowsSpoiled(Event):
    """
    Bows came out spoiled before they were finished.

    `scrapped` parts are gone, `kept` ones stay in their bundles and are only told.
    """

    kind = "bows-spoiled"

    made: Code
    revision: Count | None
    count: Count
    scrapped: tuple[PartUse, ...] = ()
    kept: tuple[PartUse, ...] = ()
    supplies: tuple[UnitCount, ...] = ()
    sitting: Code | None = None
    why: Text = ""


class BowsReworked(Event):
    """Finished bows became another kind (a new centre knot, say)."""

    kind = "bows-reworked"

    was: Code
    became: Code
    batch: Code
    count: Count
    place: Code = "home"
    parts: tuple[PartUse, ...] = ()
    supplies: tuple[UnitCount, ...] = ()


class BowsTakenApart(Event):
    """Finished bows were taken apart; their ribbon is scrapped where it is known."""

    kind = "bows-taken-apart"

    made: Code
    count: Count
    place: Code = "home"
    batch: Code | None = None
    scrapped: tuple[PartUse, ...] = ()


class TrimmingsMeasured(Event):
    """
    Trimmings of bows as made: what was cut off after tying (nm in all).

    `each` holds single measurements for learning; `short` bows came out too short.
    """

    kind = "trimmings-measured"

    spool: Code
    role: Code
    length: Length
    batch: Code | None = None
    each: tuple[Length, ...] = ()
    short: CountOrNone = 0
