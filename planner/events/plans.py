"""Events of plans and promises accepted, kept so that they can be scored."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from planner.events.base import Event
from planner.events.fields import Code, Count, Day, Length, Minutes, Text

Share = Annotated[int, Field(ge=0, le=1_000_000)]
"""A probability in millionths."""


class PromiseMade(Event):
    """A due day was promised with a stated chance (millionths) and quantiles."""

    kind = "promise-made"

    order: Code
    due: Day
    chance: Share
    head: Text
    early: Day | None = None
    likely: Day | None = None
    late: Day | None = None


class BenchPlanAccepted(Event):
    """The next sittings were planned: day, kind, count and minutes each."""

    kind = "bench-plan-accepted"

    head: Text
    sittings: tuple[tuple[Day, Code, Count, Minutes], ...]


class CuttingPlanAccepted(Event):
    """A cutting list was accepted: spool, role, length (nm) and count each."""

    kind = "cutting-plan-accepted"

    head: Text
    cuts: tuple[tuple[Code, Code, Length, Count], ...]
