"""What was said of a fair beforehand, beside what came: shared by two reports."""

from __future__ import annotations

from statistics import fmean
from typing import Any

from planner.plans.fair_scored import FairScore
from planner.views.common import View


class FairSaid(View):
    """What was said of one fair beforehand, beside what came."""

    told: str
    """"accepted" with a plan, or "worked out" now from the fairs before it."""
    came: float
    """Bows sold in all, those not typed at the middle of their range."""
    came_shown: str
    """What is known of that, ready to show."""
    within_total: bool | None
    """Whether the total came within its range; None where that can't be told."""
    within: int
    """Kinds that came within their range."""
    kinds: int
    """Kinds scored; none where no sale was typed."""
    loss: float | None
    """Mean loss a kind, bows, where last time can be compared; None where not."""
    last_loss: float | None
    """The same of as many as last time."""


def said_of(score: FairScore) -> dict[str, Any]:
    """Give the fields of `FairSaid`, for a report that adds its own."""
    pairs = score.compared
    own, last = (fmean(x) for x in zip(*pairs, strict=True)) if pairs else (None, None)
    return dict(FairSaid(
        told=score.told, came=round(score.total.sold, 2), came_shown=came(score),
        within_total=score.total_within, within=score.within if score.typed else 0,
        kinds=len(score.kinds) if score.typed else 0, loss=own, last_loss=last,
    ))  # fmt: skip


def came(score: FairScore) -> str:
    """Say what is known of the bows sold in all: typed, and what may come on top."""
    if score.most == score.typed:
        return f"{score.typed:,}"
    if score.least == score.most:
        return f"{score.most:,}, {score.typed:,} of them typed"
    return f"{score.least:,} to {score.most:,}, {score.typed:,} of them typed"


def total_said(score: FairScore) -> str:
    """Give the total that was said, with the range of nine in ten."""
    spread = score.total.spread
    return f"{spread[2]:,} ({spread[0]:,} to {spread[-1]:,})"
