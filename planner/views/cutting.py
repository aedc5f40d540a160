"""The cutting list: what to cut from which spool, and how near that is to the best."""

from __future__ import annotations

from typing import ClassVar, Literal

from planner.plans.cutting import What
from planner.views.common import Oddity, Report, Swatch, View

End = Literal["nothing", "of use", "too short"]
"""What is left of a run: nothing, an end worth keeping, one that isn't."""


class CutLine(View):
    """Parts cut one after another from a spool."""

    count: int
    """How many parts."""
    role: str
    """What they are for in the bow."""
    length_nm: int
    """Length of one, nanometres."""
    length: str
    """The same, ready to show."""
    what: str
    """The kind or set they are for, as she types it."""
    claim: str
    """The order or fair they are for; empty when for none."""
    left_nm: int
    """What the run then still holds, over-cut allowed for, nanometres."""
    left: str
    """The same, ready to show."""


class RunCut(View):
    """What to cut from one spool, or from one unbroken run of it."""

    spool: str
    """The spool's short code."""
    ribbon: str
    """Width and colour, as she calls the ribbon."""
    swatch: Swatch
    """Its colour."""
    lot: str
    """Its dye lot, or the delivery standing in for it."""
    run: int
    """Which run of the spool, counted from its loose end."""
    runs: int
    """How many runs are on it, as far as joins were found."""
    opens: bool
    """Whether it is a new spool, opened for this."""
    start_nm: int
    """Book length of the run, nanometres."""
    start: str
    """The same, ready to show."""
    likely_nm: int
    """That less over-cut since the spool was read: what the list counts on, nm."""
    likely: str
    """The same, ready to show."""
    cuts: tuple[CutLine, ...]
    """The cuts, in order."""
    end_nm: int
    """What is left of the run, over-cut allowed for, nanometres."""
    end: str
    """The same, ready to show, with what to do about it."""
    end_is: End
    """Whether that is worth keeping."""


class UncutLine(View):
    """Sets that no ribbon is left for."""

    what: str
    """The kind or set, as she types it."""
    sets: int
    """How many are left uncut."""
    claim: str
    """The order or fair that waits; empty when none does."""
    ribbon: str
    """The ribbon that is short."""


class CutLevel(View):
    """One thing kept low, the weightiest first; lengths are nanometres."""

    what: What
    """What it is."""
    name: str
    """The same in words."""
    value: int
    """How much of it the list has."""
    shown: str
    """The same, ready to show."""
    bound: int
    """The least that any list could have, if as good in all above it."""
    bound_shown: str
    """The same, ready to show."""
    proved: bool
    """Whether the list has no more of it than any must."""


class CuttingList(Report):
    """What to cut from which spool, in order, with what is left after each."""

    schema_name: ClassVar[str] = "spool-to-stall/cutting/1"
    title: ClassVar[str] = "Cutting list"
    template: ClassVar[str] = "cutting.html.j2"

    short: str
    """The answer in a sentence or two."""
    asked: str
    """What she named, or the orders and fairs it is for; empty for all to make."""
    runs: tuple[RunCut, ...] = ()
    """Spool by spool, in the order they came."""
    uncut: tuple[UncutLine, ...] = ()
    """What there is no ribbon for."""
    parts: int
    """Parts to cut in all."""
    ribbon_nm: int
    """Ribbon cut in all, nanometres."""
    ribbon: str
    """The same, ready to show."""
    levels: tuple[CutLevel, ...] = ()
    """What was kept low, in order."""
    proved: bool
    """Whether no list could do better, in the order of the levels."""
    verdict: str
    """The same in words, or by how much the list may be off."""
    done: str
    """What to type when it is cut; empty when there is nothing to cut."""
    rests_on: tuple[str, ...] = ()
    """What the list rests on."""
    odd: tuple[Oddity, ...] = ()
    """What is odd about the spools, with what to type about it."""
