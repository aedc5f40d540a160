"""What really was, beside what she typed: for tests, never for the engines."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from planner.events.base import Fact

Causes = Mapping[str, int]
"""Why the truth differs from her records: cause -> truth less records."""


@dataclass(frozen=True, slots=True)
class FairTruth:
    """
    One fair as it really went; bows by kind.

    `means` are the expected wishes under that fair's crowd, season and shock,
    `wanted` those drawn, `sold` what buyers took home (substitutes included),
    `typed` the sales she typed.
    """

    fair: str
    crowd: int
    open_hours: float
    shock: float
    means: Mapping[str, float]
    wanted: Mapping[str, int]
    brought: Mapping[str, int]
    sold: Mapping[str, int]
    typed: Mapping[str, int]
    lost: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class SpoolTruth:
    """
    One spool as it really is, in nm.

    `left`, `ends` and `in_bundles` are what is there; `causes` say by how much that
    exceeds what her typed movements alone would leave.
    """

    label: int
    came: int
    left: int
    ends: int
    in_bundles: int
    causes: Causes


@dataclass(frozen=True, slots=True)
class Truth:
    """
    The hidden truth of a season.

    `rates` are bows wanted an open hour at a crowd of 3, by kind; `minutes` true
    medians a bow when practised; `over_cut` mean nm a part beyond its length, by
    role; `spoil` shares spoiled.  `bows` counts what is really at each place;
    `bow_causes` say by how much the truth of all places exceeds her typed movements.
    `untyped` are facts that happened and are not in the log yet.
    """

    rates: Mapping[str, float]
    crowd_power: float
    minutes: Mapping[str, float]
    learning: float
    over_cut: Mapping[str, float]
    spoil: Mapping[str, float]
    fairs: tuple[FairTruth, ...]
    spools: Mapping[str, SpoolTruth]
    bows: Mapping[str, Mapping[str, int]]
    bow_causes: Mapping[str, Causes]
    supplies: Mapping[str, int]
    sitting_minutes: Mapping[str, float]
    untyped: tuple[Fact, ...]
