"""Invented seasons: a plausible year of a maker who doesn't exist, for the demo."""

from planner.scenario.notebook import Told
from planner.scenario.season import Season, blow_up, season
from planner.scenario.truth import FairTruth, SpoolTruth, Truth

__all__ = [
    "FairTruth",
    "Season",
    "SpoolTruth",
    "Told",
    "Truth",
    "blow_up",
    "season",
]
