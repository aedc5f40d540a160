"""
What the cache keeps worked out, and the parts of the ledgers each of it rests on.

A part is a registry or list of the ledgers, or the pages of a noun.
"""

from __future__ import annotations

from collections.abc import Mapping

CATALOGUE = (
    "colours", "ribbons", "supplies", "colourways", "sets", "retired", "patterns",
    "prices",
)  # fmt: skip
"""Nouns whose pages the catalogue is read from."""

RESTS: Mapping[str, tuple[str, ...]] = {
    "catalogue": tuple(f"pages.{noun}" for noun in CATALOGUE),
    "shop": ("pages.shop",),
    "pace": ("batches", "sittings", "spoiled", "pages.patterns"),
    "hours worked": ("sittings",),
    "bench days": ("sittings", "batches", "bundles", "pages.orders"),
    "spoilage": ("batches", "spoiled"),
    "lateness": ("spools", "lots", "pages.restocks"),
}
"""What is worked out -> what it rests on; it holds until one of these changes."""
