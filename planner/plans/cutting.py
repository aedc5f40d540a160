"""What to cut from which spool, and how near that is to the best there is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

What = Literal["uncut", "lots", "new spools", "unusable end", "part spools"]
"""
What is kept low, in this order: sets left uncut, dye lots of an order beyond its first,
new spools opened, ribbon left at an end too short for use (nm), part spools touched.
"""


@dataclass(frozen=True, slots=True)
class Packing:
    """
    Lengths cut from rolls of one length.

    `plan` gives (how many rolls, the lengths cut from each); `bound` rolls are needed
    at least, which is proved.
    """

    bins: int
    bound: int
    plan: tuple[tuple[int, tuple[int, ...]], ...]

    @property
    def proved(self) -> bool:
        """Whether no plan can do with fewer rolls."""
        return self.bins == self.bound


@dataclass(frozen=True, slots=True)
class Part:
    """
    So many parts that a set takes for one role, each taking `length` (nm) of ribbon.

    `over` of it is over-cut allowed for: she measures off `told`.
    """

    role: str
    length: int
    count: int = 1
    over: int = 0

    @property
    def told(self) -> int:
        """What one is meant to measure, nm."""
        return self.length - self.over


@dataclass(frozen=True, slots=True)
class Allowance:
    """
    Over-cut allowed for (nm a part): by role, and for roles never measured.

    It is the most it comes to on average, `sure` (a share); from `parts` parts.  None
    is allowed for where too little was read: `why`.
    """

    roles: Mapping[str, int] = field(default_factory=dict)
    others: int = 0
    sure: float = 0.0
    parts: int = 0
    why: str = ""

    def of(self, role: str) -> int:
        """Give what a part of a role is likely longer than told, nm."""
        return self.roles.get(role, self.others)


@dataclass(frozen=True, slots=True)
class Want:
    """
    Sets to cut from one ribbon; the parts of a set must come from one dye lot.

    A set is a bow, a pair, or whatever is worn together.  `order` is None for what no
    order waits for: then each set may be of its own lot.  `kind` is None where a set
    holds several; `fair` is the fair it is made for.
    """

    ribbon: str
    parts: tuple[Part, ...]
    sets: int
    order: str | None = None
    kind: str | None = None
    fair: str | None = None

    @property
    def length(self) -> int:
        """Length of one set, nm."""
        return sum(part.length * part.count for part in self.parts)


@dataclass(frozen=True, slots=True)
class Run:
    """
    One unbroken length (nm) of a spool.

    `slack` is kept free for a join not yet found; `begun` says whether the spool has
    been cut from; `nth` counts a spool's runs from its loose end; `gone` is what the
    books have on it beyond `length`: over-cut since it was read.
    """

    spool: str
    ribbon: str
    lot: str
    length: int
    begun: bool = True
    slack: int = 0
    nth: int = 1
    gone: int = 0

    @property
    def free(self) -> int:
        """Length that parts may take, nm."""
        return max(self.length - self.slack, 0)


@dataclass(frozen=True, slots=True)
class Cut:
    """
    So many parts cut one after another, and what is then left of the run (nm).

    Each takes `length`; `over` of it is over-cut allowed for.
    """

    want: int
    role: str
    length: int
    count: int
    left: int
    over: int = 0

    @property
    def told(self) -> int:
        """What one is meant to measure, nm."""
        return self.length - self.over


@dataclass(frozen=True, slots=True)
class RunCuts:
    """What to cut from one run, in this order."""

    run: Run
    cuts: tuple[Cut, ...]

    @property
    def left(self) -> int:
        """What is left of the run when all is cut, nm."""
        return self.cuts[-1].left if self.cuts else self.run.length


@dataclass(frozen=True, slots=True)
class Level:
    """
    One thing kept low: what the plan has, and the least that any plan could have.

    The bound holds among plans as good in all levels before it.
    """

    what: What
    value: int
    bound: int

    @property
    def proved(self) -> bool:
        """Whether the plan has no more of it than any must."""
        return self.value == self.bound


@dataclass(frozen=True, slots=True)
class CuttingPlan:
    """
    Cuts by run, and how the plan stands at each level, the weightiest first.

    `wants` are what was asked, named in cuts by their place; `uncut` gives (want, sets)
    that no ribbon was left for; `usable` (nm) is the shortest end worth keeping.
    """

    wants: tuple[Want, ...]
    runs: tuple[RunCuts, ...]
    uncut: tuple[tuple[int, int], ...]
    levels: tuple[Level, ...]
    usable: int

    @property
    def proved(self) -> bool:
        """Whether nothing can be better, in the order of the levels."""
        return all(level.proved for level in self.levels)

    @property
    def cut(self) -> int:
        """Length of all parts cut, nm."""
        return sum(c.length * c.count for run in self.runs for c in run.cuts)

    @property
    def gap(self) -> float:
        """
        Give by how much of the ribbon cut the unusable ends may exceed the least.

        Infinite when a level before them isn't proved.
        """
        before = [level for level in self.levels[:3] if not level.proved]
        ends = self.levels[3]
        over = (ends.value - ends.bound) / max(self.cut, 1)
        return float("inf") if before else over
