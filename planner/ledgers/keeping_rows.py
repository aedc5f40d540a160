"""What each registry and list of the ledgers looks like in the cache, and back."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, NamedTuple

from planner.ledgers.paged import NOUNS as _PAGED
from planner.ledgers.state import (
    Arrived,
    Batch,
    Bundle,
    Ledgers,
    Lot,
    PartRow,
    Sitting,
    Spoiled,
    Spool,
)  # fmt: skip

BOOKS = ("ribbon", "bows", "supplies", "money")
NOUNS = tuple(sorted({noun for noun, _ in _PAGED.values()}))


class Entry(NamedTuple):
    """How a registry's entry is written, and read given its key."""

    write: Callable[[Any], Any]
    read: Callable[[str, Any], Any]


class Line(NamedTuple):
    """How one of a list is written and read, given the ledgers."""

    write: Callable[[Ledgers, Any], Any]
    read: Callable[[Ledgers, Any], Any]


def _same(value: Any) -> Any:
    return value


def _as_kept(key: str, value: Any) -> Any:
    return value


def _named(made: type[Any]) -> Entry:
    return Entry(_same, lambda key, row: made(*row))


def _batch(key: str, row: Any) -> Batch:
    row[5] = tuple(map(tuple, row[5]))
    row[6] = tuple(map(tuple, row[6]))
    return Batch(*row)


def _part_rows(key: str, rows: Any) -> list[PartRow]:
    return [tuple(row) for row in rows]


REGISTRIES: Mapping[str, Entry] = {
    "spools": _named(Spool),
    "bundles": _named(Bundle),
    "batches": Entry(_same, _batch),
    "batch_parts": Entry(_same, _part_rows),
    "untold_parts": Entry(_same, _as_kept),
    "wound_early": Entry(_same, _as_kept),
    "sittings": _named(Sitting),
    "lots": _named(Lot),
    "last_cut": Entry(_same, lambda key, row: tuple(row)),
    "newest_lot": Entry(_same, lambda key, row: tuple(row)),
    "arrived": Entry(_same, lambda key, rows: [Arrived(*row) for row in rows]),
    "made_for": Entry(_same, _as_kept),
    "fair_sales": Entry(_same, _as_kept),
    "fair_sets": Entry(_same, _as_kept),
    "fair_moves": Entry(_same, _as_kept),
    "fair_days": Entry(_same, _as_kept),
}
"""Attribute of the ledgers -> how its entries are kept."""


def _counted(led: Ledgers, one: tuple[int, int, int]) -> Any:
    return [*one, led.bows.names[one[2]]]


def _count_of(led: Ledgers, row: Any) -> Any:
    when, seq, number, name = row
    return when, seq, led.bows.learn(number, name)


def _tuple(led: Ledgers, row: Any) -> Any:
    return tuple(row)


def _row(led: Ledgers, one: Any) -> Any:
    return one


RUNS: Mapping[str, Line] = {
    "late": Line(_row, _tuple),
    "batch_out": Line(_row, _tuple),
    "spoiled": Line(_row, lambda led, row: Spoiled(*row)),
    "whole_counts": Line(_counted, _count_of),
}
"""List of the ledgers -> how its entries are kept; only bows are counted through."""


def run_of(led: Ledgers, name: str) -> list[Any]:
    """Give one of the lists."""
    return getattr(led.bows if name == "whole_counts" else led, name)  # type: ignore[no-any-return]


def set_run(led: Ledgers, name: str, run: list[Any]) -> None:
    """Put a list in its place."""
    setattr(led.bows if name == "whole_counts" else led, name, run)
