"""
How long a bow takes, at median: what plans are made with.

The law behind it, with its spread, is `engines.pace`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from planner.engines.pace import pace
from planner.ledgers.catalogue import catalogue
from planner.ledgers.state import Ledgers


@dataclass(frozen=True, slots=True)
class Minutes:
    """
    What a bow of a kind takes: seconds at the bench, set-up and setting minutes.

    `sittings` is how many it was learned from, mixed ones included; `stated` whether
    she stated minutes for it.  With neither it is a guess from the other patterns.
    """

    median_seconds: float
    set_up_minutes: int
    setting_minutes: int
    sittings: int
    stated: bool

    @property
    def guess(self) -> bool:
        """Whether neither a sitting nor her own word stands behind it."""
        return not (self.sittings or self.stated)

    def bench(self, bows: int) -> float:
        """Give the median bench minutes of a batch, set-up included; none for none."""
        if bows <= 0:
            return 0.0
        return self.set_up_minutes + bows * self.median_seconds / 60


def median_minutes(led: Ledgers, kind: str) -> Minutes:
    """
    Give the median minutes of a kind.

    Raises:
        Unknown: when there is no such pattern.
    """
    pattern = catalogue(led).pattern_of(kind)
    seconds, sittings = learned(led)[pattern.code]
    return Minutes(
        seconds, pattern.set_up, pattern.setting, sittings, pattern.seconds > 0
    )


def learned(led: Ledgers) -> Mapping[str, tuple[float, int]]:
    """Give (median seconds a bow, observations behind it) by pattern, read once."""
    made = led.memo.get("minutes")
    if made is None:
        known = pace(led)
        made = led.memo["minutes"] = {
            code: (known.median(code), known.sittings[code]) for code in known.patterns
        }
    assert isinstance(made, dict)
    return made
