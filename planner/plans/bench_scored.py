"""What bench plans that she said yes to planned, and what came of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class SittingScore:
    """
    One day of a bench plan that is over.

    planned and made are bows by kind, `made` those of the kinds planned that were
    finished that day. `minutes` were planned; `worked` were told, None where none were.
    """

    day: date
    planned: Mapping[str, int]
    made: Mapping[str, int]
    minutes: int
    worked: int | None

    @property
    def bows(self) -> int:
        """Bows planned."""
        return sum(self.planned.values())

    @property
    def done(self) -> int:
        """Bows of those planned that were made that day, kind by kind."""
        return sum(min(n, self.made.get(kind, 0)) for kind, n in self.planned.items())
