"""Events of restocking: on the way, in, sent back, cancelled."""

from __future__ import annotations

from planner.events.base import Event, Value
from planner.events.fields import Amount, Code, Count, Day, Length, Name, Text


class RibbonAwaited(Value):
    """Spools on the way: `spools` of a ribbon, `length` nm on each label."""

    ribbon: Code
    length: Length
    spools: Count = 1
    price: Amount = 0


class SupplyAwaited(Value):
    """Units of a supply on the way."""

    supply: Code
    units: Count
    price: Amount = 0


class RestockOrdered(Event):
    """Ribbon or supplies were ordered; expected between two days."""

    kind = "restock-ordered"

    restock: Code
    supplier: Name
    ribbons: tuple[RibbonAwaited, ...] = ()
    supplies: tuple[SupplyAwaited, ...] = ()
    expected: Day
    latest: Day
    freight: Amount = 0
    discount: Amount = 0


class RestockCancelled(Event):
    """What was still on the way of a restock won't come."""

    kind = "restock-cancelled"

    restock: Code
    why: Text = ""


class SpoolReceived(Event):
    """
    One spool came in: its label's length (nm) and its share of the price.

    `lot` is the dye lot or, where ribbon carries none, the delivery standing in for it;
    `paid` holds freight and discount shared out, in minor units.
    """

    kind = "spool-received"

    spool: Code
    ribbon: Code
    length: Length
    paid: Amount = 0
    supplier: Name = "not told"
    lot: Code
    restock: Code | None = None


class SupplyReceived(Event):
    """A lot of a supply came in: whole units and what they cost."""

    kind = "supply-received"

    lot: Code
    supply: Code
    units: Count
    paid: Amount = 0
    supplier: Name = "not told"
    restock: Code | None = None


class SupplySentBack(Event):
    """Units of a supply lot went back to the supplier."""

    kind = "supply-sent-back"

    lot: Code
    units: Count
    refund: Amount = 0


class SupplyUsed(Event):
    """Whole units of a supply were used up (a glue stick, a reel of thread)."""

    kind = "supply-used"

    lot: Code
    units: Count


class SupplyLost(Event):
    """Units of a supply were lost or broken."""

    kind = "supply-lost"

    lot: Code
    units: Count
    why: Text = ""


class SupplyFound(Event):
    """Opening stock of a supply, or units found again."""

    kind = "supply-found"

    lot: Code
    supply: Code
    units: Count
    paid: Amount = 0
