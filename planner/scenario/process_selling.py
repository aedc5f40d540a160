"""The parameters of an invented season's boutique, wholesale and habits."""

from __future__ import annotations

from planner.events.base import Value

Span = tuple[int, int]
"""Least and most, both included."""


class BoutiqueSpec(Value):
    """The shop that sells her bows on commission."""

    place: str
    name: str
    basis_points: int
    begins_weeks_before: int
    every_weeks: int
    bows: int
    sells_a_week: float
    loss: float
    patterns: tuple[str, ...]


class WholesaleSpec(Value):
    """Bows sold outright."""

    weeks_before: tuple[int, ...]
    bows: int
    buyer: str


class Habits(Value):
    """How she keeps her records: the shares late, untold, slipped."""

    late_evening: float
    late_days: Span
    late_small: float
    cut_untold: float
    cut_told_late: float
    spoiled_untold: float
    slip: float
    slip_found: float
    sale_typed: float
    live_fairs: float
    unnoticed: float
    sold_out_seen: float
    card: float
    home_sales_a_year: float
    gifts_a_year: float
    reads_a_week: float
    count_every_weeks: int
    labels: float
    trimmings: float
    notes_a_year: float
