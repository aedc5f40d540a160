"""
Every event kind, by its stable short name.

`KINDS` imports a noun's module only when one of its kinds is asked for: a pydantic
class costs about half a millisecond to make, and a typed entry needs two or three.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from importlib import import_module

from planner.events.base import Event

_NAMES: dict[str, tuple[str, ...]] = {
    "shop": (
        "ShopSetUp", "SettingChanged", "BenchHoursSet", "PriceSet", "WageSet",
        "FeesSet", "CostShareSet", "PersonNoted", "PersonForgotten",
    ),
    "catalogue": (
        "ColourNamed", "RibbonNamed", "SupplyNamed", "PatternRevised",
        "ColourwayNamed", "SetNamed", "Retired",
    ),
    "restock": (
        "RestockOrdered", "RestockCancelled", "SpoolReceived", "SupplyReceived",
        "SupplySentBack", "SupplyUsed", "SupplyLost", "SupplyFound",
    ),
    "spool": (
        "SpoolFoundPartUsed", "SpoolRead", "JoinFound", "SpoolWoundInTwo", "EndKept",
        "EndScrapped", "RibbonScrapped", "RibbonSent", "RibbonCameBack",
        "SpoolSetAside",
    ),
    "bench": (
        "SittingLogged", "RibbonCut", "PartsRecut", "PartsScrapped", "PartsCounted",
        "BowsFinished", "BatchPartsTold", "BowsSpoiled", "BowsReworked",
        "BowsTakenApart", "TrimmingsMeasured",
    ),
    "bows": (
        "BowsOpening", "BowsMoved", "BowsGiven", "BowsWrittenOff", "BowsFound",
        "BowsLost", "DisplayKept", "StockCounted", "SupplyCounted", "LabelsPrinted",
        "BatchNamed",
    ),
    "orders": (
        "OrderAsked", "OrderTaken", "OrderChanged", "OrderReady", "OrderCalledOff",
        "OrderPaid", "OrderRefunded", "OrderHandedOver", "OrderLostInPost",
        "OrderReturned", "BowsReserved",
    ),
    "selling": (
        "BowsSold", "SaleTakenBack", "BoutiqueNoted", "BoutiqueStatement",
        "WholesaleSold", "CostPaid", "UnloggedSalesTold",
    ),
    "fair": (
        "FairAnnounced", "FairCalledOff", "FairPlanAccepted", "FairPacked",
        "FairDayOpened", "FairDayClosed", "FairSoldOut", "FairCostPaid",
        "FairSettled", "CrowdTold",
    ),
    "plans": ("PromiseMade", "BenchPlanAccepted", "CuttingPlanAccepted"),
    "notes": (
        "NoteWritten", "EntryCorrected", "FileTakenIn", "EventLost", "LogRescued",
    ),
}  # fmt: skip


def kind_of(class_name: str) -> str:
    """Turn a class name into its stable short name (`RibbonCut` -> `ribbon-cut`)."""
    return "".join(f"-{c.lower()}" if c.isupper() else c for c in class_name)[1:]


class _Kinds(Mapping[str, type[Event]]):
    """Stable short name -> class, imported when first asked for."""

    def __init__(self) -> None:
        self._where = {
            kind_of(name): (noun, name)
            for noun, names in _NAMES.items()
            for name in names
        }
        self._made: dict[str, type[Event]] = {}

    def __getitem__(self, kind: str) -> type[Event]:
        made = self._made.get(kind)
        if made is None:
            noun, name = self._where[kind]
            made = getattr(import_module(f"planner.events.{noun}"), name)
            self._made[kind] = made
        return made

    def __contains__(self, kind: object) -> bool:
        return kind in self._where

    def __iter__(self) -> Iterator[str]:
        return iter(self._where)

    def __len__(self) -> int:
        return len(self._where)


KINDS: Mapping[str, type[Event]] = _Kinds()
"""Stable short name -> current class of every event kind."""
