"""Events of one spool: opened part-used, read, joined, flawed, sent out, used up."""

from __future__ import annotations

from typing import Literal

from planner.events.base import Event
from planner.events.fields import Amount, Code, Length, LengthOrNone, Name, Text


class SpoolFoundPartUsed(Event):
    """A spool she already had, part-used: the length is her estimate (nm)."""

    kind = "spool-found-part-used"

    spool: Code
    ribbon: Code
    length: Length
    label: Length | None = None
    paid: Amount = 0
    supplier: Name = "not told"
    lot: Code


class SpoolRead(Event):
    """A reading: what was really left on the spool, measured or weighed (nm)."""

    kind = "spool-read"

    spool: Code
    left: LengthOrNone
    how: Literal["measured", "weighed", "judged", "ran out"] = "measured"


class JoinFound(Event):
    """A join was found: the spool is two runs; `left` nm were still behind it."""

    kind = "join-found"

    spool: Code
    left: Length | None = None


class SpoolWoundInTwo(Event):
    """Ribbon was wound from one spool onto a new one."""

    kind = "spool-wound-in-two"

    spool: Code
    onto: Code
    length: Length


class EndKept(Event):
    """A remnant was cut off and kept: it moves from the spool to the ends kept."""

    kind = "end-kept"

    spool: Code
    length: Length


class EndScrapped(Event):
    """A kept end was cut up or thrown out, by reason."""

    kind = "end-scrapped"

    spool: Code
    length: Length
    why: Code


class RibbonScrapped(Event):
    """Ribbon of a spool was scrapped: a flaw, a mis-cut, a join, a sample."""

    kind = "ribbon-scrapped"

    spool: Code
    length: Length
    why: Code


class RibbonSent(Event):
    """Ribbon left the shop: given, sold, lent, or returned to the supplier."""

    kind = "ribbon-sent"

    spool: Code
    length: Length
    how: Literal["given", "sold", "lent", "returned"]
    amount: Amount = 0
    note: Text = ""


class RibbonCameBack(Event):
    """Lent ribbon came back."""

    kind = "ribbon-came-back"

    spool: Code
    length: Length


class SpoolSetAside(Event):
    """A spool is not to be cut for now (a doubtful lot); the claim moves nothing."""

    kind = "spool-set-aside"

    spool: Code
    why: Text = ""
    aside: bool = True
