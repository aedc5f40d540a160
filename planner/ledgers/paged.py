"""The rarer events, kept whole on a page of their noun under the thing's own key."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from planner.events.base import Body
from planner.ledgers.state import Ledgers, Spot

NOUNS: Mapping[str, tuple[str, str]] = {
    "shop-set-up": ("shop", ""),
    "setting-changed": ("shop", ""),
    "bench-hours-set": ("hours", ""),
    "wage-set": ("shop", ""),
    "fees-set": ("shop", ""),
    "price-set": ("prices", "what"),
    "cost-share-set": ("costs", "what"),
    "person-noted": ("people", "person"),
    "person-forgotten": ("people", "person"),
    "colour-named": ("colours", "colour"),
    "ribbon-named": ("ribbons", "ribbon"),
    "supply-named": ("supplies", "supply"),
    "pattern-revised": ("patterns", "pattern"),
    "colourway-named": ("colourways", "colourway"),
    "set-named": ("sets", "set"),
    "retired": ("retired", "what"),
    "restock-ordered": ("restocks", "restock"),
    "restock-cancelled": ("restocks", "restock"),
    "join-found": ("joins", "spool"),
    "spool-set-aside": ("aside", "spool"),
    "spool-read": ("readings", "spool"),
    "trimmings-measured": ("trimmings", "role"),
    "display-kept": ("display", "made"),
    "labels-printed": ("labels", "batch"),
    "batch-named": ("labels", "batch"),
    "order-asked": ("orders", "order"),
    "order-taken": ("orders", "order"),
    "order-changed": ("orders", "order"),
    "order-ready": ("orders", "order"),
    "order-called-off": ("orders", "order"),
    "order-paid": ("orders", "order"),
    "order-refunded": ("orders", "order"),
    "order-handed-over": ("orders", "order"),
    "order-lost-in-post": ("orders", "order"),
    "order-returned": ("orders", "order"),
    "bows-reserved": ("reserves", "claimant"),
    "boutique-noted": ("boutiques", "place"),
    "boutique-statement": ("boutiques", "place"),
    "fair-announced": ("fairs", "fair"),
    "fair-called-off": ("fairs", "fair"),
    "fair-plan-accepted": ("fairs", "fair"),
    "fair-packed": ("fairs", "fair"),
    "fair-day-opened": ("fairs", "fair"),
    "fair-day-closed": ("fairs", "fair"),
    "fair-sold-out": ("fairs", "fair"),
    "fair-cost-paid": ("fairs", "fair"),
    "fair-settled": ("fairs", "fair"),
    "crowd-told": ("fairs", "fair"),
    "promise-made": ("promises", "order"),
    "bench-plan-accepted": ("plans", ""),
    "cutting-plan-accepted": ("plans", ""),
    "note-written": ("notes", "about_what"),
    "entry-corrected": ("corrections", ""),
    "file-taken-in": ("take-ins", "name"),
    "event-lost": ("lost", ""),
    "log-rescued": ("lost", ""),
}
"""Kind -> the noun whose page it is kept on, and the body field that is its key."""


def _keeper(noun: str, field: str) -> Callable[[Ledgers, Body, Spot], None]:
    if not field:
        return lambda led, e, at: led.keep(noun, "", at)
    return lambda led, e, at: led.keep(noun, e.get(field, ""), at)


POSTS: Mapping[str, Callable[[Ledgers, Body, Spot], None]] = {
    kind: _keeper(noun, field) for kind, (noun, field) in NOUNS.items()
}
