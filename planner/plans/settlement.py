"""A settled fair: where every bow brought went, and what each day took."""

from __future__ import annotations

from dataclasses import dataclass

from planner.plans.fair_scored import FairScore


@dataclass(frozen=True, slots=True)
class KindSettled:
    """
    Where the bows of a kind went: brought = sold + gone + back + missing (signed).

    `planned` was to be brought by the plan accepted, None without one; `gone` were
    given, taken as prizes or written off at the stall; `missing` are unaccounted for,
    below nothing where more were sold or came back than were brought.  Of those
    `least` to `most` may have been sold without being typed.  `out` are the day and
    hour (None: not told) it was told sold out.
    """

    kind: str
    planned: int | None
    brought: int
    sold: int
    gone: int
    back: int
    missing: int
    least: int
    most: int
    out: tuple[tuple[str, str | None], ...] = ()


@dataclass(frozen=True, slots=True)
class DaySettled:
    """
    One day's till, minor units: float, typed sales, and takings as counted (or None).

    `card` is None where it was not looked up; `opens` and `closes` are '' on a day
    that was not announced as one of the fair's.
    """

    day: str
    opens: str
    closes: str
    float_: int
    typed: int
    cash: int | None
    card: int | None

    @property
    def counted(self) -> int | None:
        """Takings as counted, None where they weren't."""
        return None if self.cash is None else self.cash + (self.card or 0)

    @property
    def takings(self) -> int:
        """Takings as counted, else as typed."""
        return self.typed if self.counted is None else self.counted


@dataclass(frozen=True, slots=True)
class Settlement:
    """
    A settled fair in all; money is minor units.

    `unnoticed` are sales without their colour by pattern (they explain some of its
    missing bows); of what is missing beyond those `untyped` (least and most, in all)
    may have been sold without being typed; `costs` are those told, or the fee where
    none was; `materials` what the ribbon and supplies of the bows sold cost, None where
    no price is known; `beyond` what the takings are over the typed sales by more
    than all missing bows would have brought, None where that can't be told; `sets` are
    those sold, by their code; `first` says that no fair was settled before it.
    """

    fair: str
    kinds: tuple[KindSettled, ...]
    unnoticed: tuple[tuple[str, int], ...]
    untyped: tuple[int, int]
    days: tuple[DaySettled, ...]
    costs: int
    materials: int | None
    score: FairScore | None
    beyond: int | None = None
    sets: tuple[tuple[str, int], ...] = ()
    first: bool = False

    def total(self, what: str) -> int:
        """Add up one column over the kinds."""
        return sum(getattr(kind, what) for kind in self.kinds)

    @property
    def missing(self) -> int:
        """Bows missing, kind by kind, less those sold with the colour not noticed."""
        lacking = sum(max(kind.missing, 0) for kind in self.kinds)
        return max(lacking - sum(n for _, n in self.unnoticed), 0)

    @property
    def too_many(self) -> int:
        """Bows sold or come back beyond those brought, kind by kind."""
        return sum(max(-kind.missing, 0) for kind in self.kinds)

    @property
    def sold(self) -> int:
        """Bows typed as sold, with those whose colour was not noticed."""
        return self.total("sold") + sum(n for _, n in self.unnoticed)

    @property
    def takings(self) -> int:
        """Takings of all days."""
        return sum(day.takings for day in self.days)
