"""What the materials of a bow cost, from what was paid for spools and supplies."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from planner.ledgers.catalogue import Catalogue, catalogue
from planner.ledgers.state import Ledgers

METRE = 1_000_000_000
"""A metre in nm."""


@dataclass(frozen=True)
class Materials:
    """
    Prices of ribbon and supplies, minor units.

    What she told a metre or a unit to cost goes first, then what was paid for it, then
    (ribbon only) what others of the same area cost.  A supply without a price is free.
    """

    led: Ledgers

    @cached_property
    def cat(self) -> Catalogue:
        """The catalogue."""
        return catalogue(self.led)

    def of(self, kind: str) -> float | None:
        """Give what the materials of a new bow cost; None where nothing tells."""
        needs = self.cat.ribbon_needs(kind)
        ribbon = [self.ribbon_price(code, nm) for code, nm in needs.items()]
        priced = [x for x in ribbon if x is not None]
        if not priced or len(priced) < len(ribbon):
            return None
        supplies = self.cat.pattern_of(kind).supplies
        return sum(priced) + sum(self._use_price(c) * n for c, n in supplies)

    @cached_property
    def _told_costs(self) -> Mapping[str, int]:
        return {e.event.what: e.event.price for e in self.led.all_kept("costs")}

    @cached_property
    def _paid_a_nm(self) -> Mapping[str, float]:
        """Price of a nm by ribbon, over the spools whose price is known."""
        paid: Counter[str] = Counter()
        bought: Counter[str] = Counter()
        for spool in self.led.spools.values():
            if spool.paid > 0 and spool.label > 0:
                paid[spool.ribbon] += spool.paid
                bought[spool.ribbon] += spool.label
        return {code: paid[code] / bought[code] for code in paid}

    def ribbon_price(self, code: str, nm: int) -> float | None:
        """Give what a length (nm) of a ribbon costs; None where nothing tells."""
        if code in self._told_costs:
            return self._told_costs[code] * nm / METRE
        if code in self._paid_a_nm:
            return self._paid_a_nm[code] * nm
        return self._price_by_width(code, nm)

    def _price_by_width(self, code: str, nm: int) -> float | None:
        """Price a ribbon as the others by their area, if any is known."""
        known = [
            (price, self.cat.ribbons[other].width)
            for other, price in self._paid_a_nm.items()
            if other in self.cat.ribbons
        ]
        if not known or code not in self.cat.ribbons:
            return None
        area = sum(price / width for price, width in known) / len(known)
        return area * self.cat.ribbons[code].width * nm

    @cached_property
    def _supply_prices(self) -> Mapping[str, float]:
        paid: Counter[str] = Counter()
        units: Counter[str] = Counter()
        for lot in self.led.lots.values():
            if lot.paid > 0:
                paid[lot.supply] += lot.paid
                units[lot.supply] += lot.units
        return {code: paid[code] / units[code] for code in paid}

    def _use_price(self, code: str) -> float:
        supply = self.cat.supplies.get(code)
        told = self._told_costs.get(code, self._supply_prices.get(code, 0.0))
        return told / (supply.yields if supply else 1)
