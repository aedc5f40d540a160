"""The story of a spool, as the audit engine finds it."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Gone:
    """Bows of a batch that went somewhere; `known` when an entry names the batch."""

    batch: str
    where: str
    count: int
    seq: int
    known: bool
    order: str = ""
    person: str = ""
    fair: str = ""


@dataclass(frozen=True, slots=True)
class Piece:
    """
    A stretch of the spool (nm), in the order it was cut, and what became of it.

    `account` is where it is now; `bundle` and `batch` say through what.
    """

    account: str
    length: int
    seq: int
    when: int
    bundle: str = ""
    role: str = ""
    parts: int = 0
    batch: str = ""
    kind: str = ""
    why: str = ""
    gone: tuple[Gone, ...] = ()


@dataclass(frozen=True, slots=True)
class Step:
    """What one movement or reading did to the length left (nm)."""

    seq: int
    when: int
    source: str
    target: str
    change: int
    left: int
    reading: int | None = None


@dataclass(frozen=True, slots=True)
class LabelCheck:
    """
    What can be said of the labelled length (nm).

    `read` is the reading before the first cut, or None: then nothing can be said for
    sure; `tolerance` is the most it may be short by under `rule`.
    """

    label: int
    read: int | None
    tolerance: int
    rule: str

    @property
    def short(self) -> bool:
        """Whether a spool read before its first cut is short beyond the tolerance."""
        return self.read is not None and self.label - self.read > self.tolerance


@dataclass(frozen=True, slots=True)
class Story:
    """
    The whole account of one spool, lengths in nm.

    `accounts` are signed and, with the opening, sum to nothing; `pieces` follow the
    order of cutting; `joins` are what was left behind each join found.
    """

    spool: str
    opening: int
    accounts: dict[str, int]
    missing: dict[str, int]
    pieces: tuple[Piece, ...]
    steps: tuple[Step, ...]
    label: LabelCheck
    joins: tuple[tuple[int, int | None], ...] = ()
    used_up: bool = False
    uncut: tuple[tuple[str, int], ...] = field(default=())
    """Batches of this ribbon made without a cut on record, and the ribbon they take."""
    too_high: tuple[tuple[str, int, int, tuple[str, ...]], ...] = field(default=())
    """
    Those of them that what is left may still count: batch, bows, nm, possible spools.

    Nothing is posted for them.
    """
