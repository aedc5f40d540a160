"""What measuring tells of ribbon: labels against tolerances, over-cut, cut lengths."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Verdict = Literal[
    "passes", "fails: one is too short", "fails: short on average", "only shown"
]
"""What a lot test says; a lot of too few spools is only shown."""


@dataclass(frozen=True, slots=True)
class LotTest:
    """
    The errors of a lot's spools (nm, read less label), and what is made of them.

    `limit` is what the mean may fall short by, by chance alone; None when only shown.
    """

    errors: tuple[int, ...]
    mean: float
    sd: float
    factor: float
    limit: float | None
    verdict: Verdict


@dataclass(frozen=True, slots=True)
class SpoolCheck:
    """
    A spool's label against what it held (nm).

    `low` and `high` are the same where it was read before its first cut.  One that ran
    out gives an interval, good only if every cut of it was entered; `sure` tells them
    apart.
    """

    spool: str
    lot: str
    label: int
    low: int
    high: int
    tolerance: int
    sure: bool

    @property
    def short(self) -> bool:
        """Whether it certainly held less than the label by more than is allowed."""
        return self.sure and self.label - self.high > self.tolerance

    @property
    def looks_short(self) -> bool:
        """Whether the whole interval lies below what is allowed."""
        return not self.sure and self.label - self.high > self.tolerance


@dataclass(frozen=True, slots=True)
class LotCheck:
    """A lot's spools that were read before their first cut, and the lot's test."""

    lot: str
    ribbon: str
    supplier: str
    spools: tuple[str, ...]
    test: LotTest


@dataclass(frozen=True, slots=True)
class Measured:
    """Every label that can be judged, by spool and by lot, and the rule's name."""

    rule: str
    spools: tuple[SpoolCheck, ...]
    lots: tuple[LotCheck, ...]
    least: int


@dataclass(frozen=True, slots=True)
class Estimate:
    """A figure with its interval (nm, or a share) at the level stated beside it."""

    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Stretch:
    """
    What a spool lost between two fixings of what is on it (nm).

    `parts` counts parts cut by role; `excess` is how much more went than is booked;
    `label` is the labelled length where it begins at the label, else 0; `spread` the
    standard deviation of what reading and thrown-away ends may add; `expected` the
    mean of the latter; `cuts` counts the times she cut.
    """

    spool: str
    lot: str
    first: int
    last: int
    parts: tuple[tuple[str, int], ...]
    excess: int
    label: int
    expected: float
    spread: float
    longest: int
    cuts: int


@dataclass(frozen=True, slots=True)
class Bulk:
    """
    A loss that over-cut and label can't account for: a bundle never entered, say.

    `length` nm is what they leave over, between the events `first` and `last`.
    """

    spool: str
    length: float
    first: int
    last: int
    certainty: float
    """How many spreads it stands off the rest."""


@dataclass(frozen=True, slots=True)
class OverCut:
    """
    How much longer parts are cut than meant (nm a part), by role.

    `level` is that of every interval; `label` the error of each lot's labels as a
    share (below 0: short).  `apart` is False when the readings can't tell over-cut and
    label error from each other; `roles_apart` when they can't tell the roles.
    """

    level: float
    parts: dict[str, Estimate]
    mean: Estimate | None
    counts: dict[str, int]
    label: dict[str, Estimate]
    bulk: tuple[Bulk, ...]
    stretches: tuple[Stretch, ...]
    apart: bool
    roles_apart: bool
    why: str = ""
