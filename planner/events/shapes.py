"""
Which fields a body holds, kind by kind, for those who read bodies without the classes.

To make the classes of all kinds takes as long as to fold ten thousand events: a fold
makes none.  What is said here is what the classes say; a test compares them.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache

FIELDS = {
    "shop-set-up": "name zone currency units paper",
    "setting-changed": "name value",
    "bench-hours-set": "words rules off extra",
    "price-set": "what channel price",
    "wage-set": "an_hour",
    "fees-set": "basis_points fixed",
    "cost-share-set": "what price",
    "person-noted": "person kept",
    "person-forgotten": "person",
    "colour-named": "colour name hex family",
    "ribbon-named": "ribbon colour width material finish trade_number",
    "supply-named": "supply name yields",
    "pattern-revised": (
        "pattern revision name size width parts supplies steps set_up setting"
    ),
    "colourway-named": "colourway name lead ribbons",
    "set-named": "set name kinds",
    "retired": "what",
    "restock-ordered": (
        "restock supplier ribbons supplies expected latest freight discount"
    ),
    "restock-cancelled": "restock why",
    "spool-received": "spool ribbon length paid supplier lot | restock",
    "supply-received": "lot supply units paid supplier | restock",
    "supply-sent-back": "lot units refund",
    "supply-used": "lot units",
    "supply-lost": "lot units why",
    "supply-found": "lot supply units paid",
    "spool-found-part-used": "spool ribbon length paid supplier lot | label",
    "spool-read": "spool left how",
    "join-found": "spool | left",
    "spool-wound-in-two": "spool onto length",
    "end-kept": "spool length",
    "end-scrapped": "spool length why",
    "ribbon-scrapped": "spool length why",
    "ribbon-sent": "spool length how amount note",
    "ribbon-came-back": "spool length",
    "spool-set-aside": "spool why aside",
    "sitting-logged": "sitting minutes note | planned",
    "ribbon-cut": "bundle spool role length count | for_kind revision sitting",
    "parts-recut": "bundle spool role onto old_length new_length count",
    "parts-scrapped": "bundle spool role length count why",
    "parts-counted": "bundle spool role length count",
    "bows-finished": (
        "batch made revision count place parts supplies | sitting minutes order ready"
    ),
    "batch-parts-told": "batch parts",
    "bows-spoiled": "made revision count scrapped kept supplies why | sitting",
    "bows-reworked": "was became batch count place parts supplies",
    "bows-taken-apart": "made count place scrapped | batch",
    "trimmings-measured": "spool role length each short | batch",
    "bows-opening": "bows place | batch",
    "bows-moved": "bows source to | fair batch",
    "bows-given": "bows place how | batch",
    "bows-written-off": "bows place why | batch",
    "bows-found": "bows place",
    "bows-lost": "bows place why",
    "display-kept": "made count",
    "stock-counted": "place counts whole | fair",
    "supply-counted": "counts",
    "labels-printed": "batch count",
    "batch-named": "batch entry count | seq",
    "order-asked": "order lines | person due expires note",
    "order-taken": "order lines due weight in_parts rush post_days | person hour note",
    "order-changed": "order lines due weight in_parts post_days | hour",
    "order-ready": "order",
    "order-called-off": "order why",
    "order-paid": "order amount how",
    "order-refunded": "order amount how",
    "order-handed-over": "order bows place earned by_post | batch",
    "order-lost-in-post": "order bows refund_owed",
    "order-returned": "order made count place to refund_owed",
    "bows-reserved": "claimant bows",
    "bows-sold": "bows taken place how fee | fair what batch",
    "sale-taken-back": "bows returned place how | fair",
    "boutique-noted": "place name basis_points",
    "boutique-statement": "place sold gross commission paid",
    "wholesale-sold": "bows taken place how buyer",
    "cost-paid": "what amount note",
    "unlogged-sales-told": "fair bows place | day",
    "fair-announced": "fair name days fee crowd indoor table guess | guess_total",
    "fair-called-off": "fair why | at",
    "fair-plan-accepted": "fair bring head expected spread | sold_spread",
    "fair-packed": "fair bows source top_up",
    "fair-day-opened": "fair day float_",
    "fair-day-closed": "fair day cash | card",
    "fair-sold-out": "fair made day | at",
    "fair-cost-paid": "fair what amount",
    "fair-settled": "fair back unlogged weather note",
    "crowd-told": "fair crowd",
    "promise-made": "order due chance head | early likely late",
    "bench-plan-accepted": "head sittings",
    "cutting-plan-accepted": "head cuts",
    "note-written": "text | about_what kept",
    "entry-corrected": "entries why",
    "file-taken-in": "take_in name rows",
    "event-lost": "hash",
    "log-rescued": "first hashes lost",
}
"""
Kind -> the fields that always stand in a body, and those that may be left out.

``about`` may be left out of every kind.
"""

VERSIONS = {"bows-sold": 2, "fair-plan-accepted": 2}
"""Kind -> its newest version, where that isn't 1."""


@cache
def shape_of(kind: str) -> tuple[frozenset[str], frozenset[str]]:
    """Give the fields that always stand in a kind's bodies, and all that may."""
    always, _, others = FIELDS[kind].partition(" | ")
    must = frozenset(always.split())
    return must, must | {*others.split(), "about"}


def fits(kind: str, version: int, fields: Iterable[str]) -> bool:
    """Say whether a body has its kind's fields: none unknown, none missing."""
    if kind not in FIELDS or version != VERSIONS.get(kind, 1):
        return False
    must, may = shape_of(kind)
    return must <= frozenset(fields) <= may
