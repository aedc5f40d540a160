"""Every event kind; `KINDS` maps the stable short name to its class."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from planner.events import (
    bench,
    bows,
    catalogue,
    fair,
    notes,
    orders,
    plans,
    restock,
    selling,
    shop,
    spool,
)
from planner.events.base import Event

_MODULES = (
    shop, catalogue, restock, spool, bench, bows, orders, selling, fair, plans, notes,
)  # fmt: skip

KINDS: Mapping[str, type[Event]] = MappingProxyType(
    {
        found.kind: found
        for module in _MODULES
        for found in vars(module).values()
        if isinstance(found, type) and issubclass(found, Event) and found.kind
    }
)
"""Stable short name -> current class of every event kind."""
