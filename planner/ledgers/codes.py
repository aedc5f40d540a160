"""
Short codes such as S7 or B12: which things bear them, and which numbers are taken.

A code stays taken when its entry is taken back: a label or a list with it may have
been printed, and what that names must never become another thing.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from planner.events.base import Body
from planner.ledgers.compact import Coded, Compact
from planner.ledgers.shelves import Shelf, code_number
from planner.ledgers.state import Ledgers

KINDS: Mapping[str, str] = {
    "spool-received": "spool",
    "spool-found-part-used": "spool",
    "spool-wound-in-two": "onto",
    "ribbon-cut": "bundle",
    "parts-recut": "onto",
    "bows-finished": "batch",
    "bows-reworked": "batch",
    "sitting-logged": "sitting",
    "order-asked": "order",
    "order-taken": "order",
    "fair-announced": "fair",
    "supply-received": "lot",
    "supply-found": "lot",
    "restock-ordered": "restock",
    "person-noted": "person",
    "file-taken-in": "take_in",
}
"""Kind -> the body field whose code it brings into being."""

REGISTRIES: Mapping[str, str] = {
    "S": "spools", "C": "bundles", "B": "batches", "T": "sittings", "L": "lots",
}  # fmt: skip
"""Letter -> the registry of the things whose codes begin with it."""

NOUNS: Mapping[str, str] = {
    "O": "orders", "F": "fairs", "R": "restocks", "P": "people",
}  # fmt: skip
"""Letter -> the noun on whose pages they stand."""


def note_taken(led: Ledgers, taken_back: Iterable[tuple[str, Body]]) -> None:
    """Note the codes that entries taken back had given, by kind and body."""
    for kind, body in taken_back:
        letter, number = code_number(body[KINDS[kind]])
        if number > led.given.get(letter, 0):
            led.given[letter] = number


def newest(led: Ledgers, letter: str) -> int:
    """Give the newest number ever given of a letter's codes, 0 when none was."""
    there = _there(led, letter)
    if isinstance(there, Shelf | Compact | Coded):
        number = there.newest(letter)
    else:
        numbers = (n for found, n in map(code_number, there) if found == letter)
        number = max(numbers, default=0)
    return max(number, led.given.get(letter, 0))


def _there(led: Ledgers, letter: str) -> Iterable[str]:
    if letter in REGISTRIES:
        registry: Iterable[str] = getattr(led, REGISTRIES[letter])
        return registry
    if letter in NOUNS:
        return led.keys(NOUNS[letter])
    return [kept.event.take_in for kept in led.all_kept("take-ins")]
