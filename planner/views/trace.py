"""A trace: from a spool to bows and people, or from a batch or an order to spools."""

from __future__ import annotations

from typing import ClassVar, Literal

from planner.views.common import Report, Swatch, View

Sure = Literal["known", "inferred", "possible"]
"""An entry says so; worked out first in, first out; or nothing says and it could be."""


class TracedBundle(View):
    """Parts cut from the spool in one go."""

    code: str
    """The bundle's code."""
    role: str
    """The part."""
    count: int
    """How many were cut."""
    length: str
    """Length of each, ready to show."""
    cut_on: str
    """ISO day it was cut."""
    cut: str
    """The same in words."""
    waiting: int
    """Parts still waiting: these can be pulled."""
    batches: tuple[str, ...]
    """Batches made of it."""


class TracedWent(View):
    """Bows of a batch that left."""

    count: int
    """How many; at most so many where it is only possible."""
    where: str
    """Where: an order, a sale, a fair."""
    who: str
    """The person, as kept beside the log; empty when none is told."""
    day_on: str
    """ISO day."""
    day: str
    """The same in words."""
    entry: int
    """Its entry's number."""
    sure: Sure
    """How surely."""


class TracedBatch(View):
    """A batch, and where its bows are."""

    code: str
    """The batch's code."""
    kind: str
    """What it is, as she would type it."""
    count: int
    """How many were made."""
    made_on: str
    """ISO day they were made."""
    made: str
    """The same in words."""
    sure: Sure
    """How surely it belongs to what was asked."""
    labelled: int
    """Labels printed for it."""
    here_least: int
    """Bows of it here at least."""
    here_likely: int
    """Likely still here: first in, first out."""
    here_most: int
    """Here at most."""
    here: str
    """The same, ready to show."""
    places: str
    """Where bows of that kind are."""
    went: tuple[TracedWent, ...]
    """Where the others went."""


class TracedSource(View):
    """What a batch was made of."""

    batch: str
    """The batch."""
    what: str
    """The spool's code, or the supply and its lot."""
    ribbon: str
    """The ribbon; empty for a supply."""
    role: str
    """The part it was cut for."""
    lot: str
    """Dye lot or delivery, or the supply's lot."""
    supplier: str
    """Who sold it."""
    received_on: str
    """ISO day it came."""
    received: str
    """The same in words."""
    bundle: str
    """The bundle, if known, with the day it was cut."""
    sure: Sure
    """How surely."""


class Trace(Report):
    """A trace, forward or back."""

    schema_name: ClassVar[str] = "spool-to-stall/trace/1"
    title: ClassVar[str] = "Trace"
    template: ClassVar[str] = "trace.html.j2"

    code: str
    """What was asked about."""
    what: str
    """It in words."""
    forward: bool
    """Whether it goes from a spool on; else back to spools."""
    swatches: tuple[Swatch, ...] = ()
    """Its colours."""
    short: str
    """The answer in one sentence."""
    pull: tuple[str, ...]
    """What is still here and can be pulled, line by line."""
    people: tuple[str, ...]
    """Whom it reached or could have reached, the surest first."""
    bundles: tuple[TracedBundle, ...] = ()
    """The spool's bundles."""
    batches: tuple[TracedBatch, ...]
    """The batches, the surest first."""
    sources: tuple[TracedSource, ...] = ()
    """What they were made of."""
    note: str
    """What known, inferred and possible mean."""
