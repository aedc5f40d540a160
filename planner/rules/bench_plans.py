"""Rules of bench plans: the next sittings kept, so that they can be scored."""

from __future__ import annotations

from planner.errors import Absurd
from planner.events.plans import BenchPlanAccepted
from planner.ledgers.state import Ledgers
from planner.plans.bench import BenchPlan
from planner.rules.base import Proposal, plural, proposal
from planner.rules.pricing import day_words
from planner.values.moments import When


def accepted(led: Ledgers, plan: BenchPlan, *, head: str, when: When) -> Proposal:
    """
    Propose to keep the next sittings: the bows finished in each, and their minutes.

    Raises:
        Absurd: when no bow would be finished in them.
    """
    rows: dict[tuple[str, str], tuple[int, float]] = {}
    for sitting in plan.sittings:
        for piece in sitting.pieces:
            key = sitting.day.isoformat(), piece.kind
            bows, minutes = rows.get(key, (0, 0.0))
            rows[key] = bows + piece.bows, minutes + piece.minutes
    kept = [(*key, bows, round(took)) for key, (bows, took) in rows.items() if bows]
    if not kept:
        raise Absurd(
            "No bow for an order would be finished in the next sittings.",
            instead="bows due",
        )
    days = {row[0] for row in kept}
    return proposal(
        [BenchPlanAccepted(head=head, sittings=tuple(kept))], when,
        f"{plural(sum(row[2] for row in kept), 'bow')} planned in "
        f"{plural(len(days), 'sitting')}, up to {day_words(max(days))}",
    )  # fmt: skip
