"""What can be traced from a spool to people, and from a batch or an order to spools."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Sure = Literal["known", "inferred", "possible"]
"""An entry says so; first in, first out; or it could be, since nothing says."""


@dataclass(frozen=True, slots=True)
class BundleTrace:
    """A bundle of a spool: parts cut and parts still waiting; lengths in nm."""

    bundle: str
    role: str
    length: int
    count: int
    waiting: int
    day: str
    batches: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Went:
    """
    Bows of a batch that left: at most `count` went there.

    `seq` is the event; `order`, `person` and `fair` as far as told.
    """

    batch: str
    where: str
    count: int
    sure: Sure
    seq: int
    order: str = ""
    person: str = ""
    fair: str = ""


@dataclass(frozen=True, slots=True)
class BatchTrace:
    """
    A batch: whether it holds the spool's ribbon for certain, and what is still here.

    `here` are bows (least, likely, most) of it that may still be at `places`.
    """

    batch: str
    kind: str
    count: int
    day: str
    sure: Sure
    here: tuple[int, int, int]
    places: tuple[str, ...]
    went: tuple[Went, ...]
    labelled: int = 0


@dataclass(frozen=True, slots=True)
class Forward:
    """Where a spool's ribbon went; `left` and `ends` nm can be pulled."""

    spool: str
    left: int
    ends: int
    bundles: tuple[BundleTrace, ...]
    batches: tuple[BatchTrace, ...]


@dataclass(frozen=True, slots=True)
class Source:
    """A spool, or a lot of a supply, that went into a batch."""

    batch: str
    what: str
    role: str
    lot: str
    supplier: str
    received: str
    sure: Sure
    bundle: str = ""
    cut: str = ""
    parts: int = 0


@dataclass(frozen=True, slots=True)
class Backward:
    """What a batch, or an order's bows, were made of."""

    code: str
    batches: tuple[BatchTrace, ...]
    sources: tuple[Source, ...]
    untold: int = 0
    """Bows of an order that no batch could be found for."""
