"""Build the view of how good the promises were."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from statistics import fmean

from planner.ledgers.fairs import fairs
from planner.ledgers.state import Ledgers
from planner.plans.bench_scored import SittingScore
from planner.plans.fair_scored import FairScore
from planner.plans.scored import Group, HowGood, Promised
from planner.values.days import short_day
from planner.views import naming
from planner.views.due_builder import chance_words
from planner.views.fair_said import said_of, total_said
from planner.views.foot import foot
from planner.views.how_good import (
    BenchKept,
    ChanceGroup,
    FairKept,
    HowGoodReport,
    PromiseKept,
)

FEW = 20
"""Promises decided below which little can be told."""


def build(
    led: Ledgers, scores: HowGood, settled: Sequence[FairScore] = (),
    sat: Sequence[SittingScore] = (), *, made: str,
) -> HowGoodReport:  # fmt: skip
    """Show how good the promises and the plans of fairs and of the bench were."""
    return HowGoodReport(
        shop=naming.shop_view(led),
        foot=foot(led, as_of=scores.today.isoformat(), known_on=None, made=made),
        short=short(scores), scored=scores.scored, met=scores.met, brier=scores.brier,
        brier_shown=_score(scores.brier), plain_brier=scores.plain_brier,
        plain_shown=_compared(scores), compared=scores.compared,
        within=_of(scores.within, scores.spread),
        by_late=_of(scores.by_late, scores.spread),
        days_off="" if scores.pinball is None else f"{scores.pinball:.2f} days",
        groups=tuple(_group(one) for one in scores.groups),
        promises=tuple(_promise(one, scores) for one in reversed(scores.promises)),
        fairs=tuple(_fair(led, one) for one in reversed(settled)),
        fairs_short=fairs_short(settled),
        benches=tuple(_bench(one) for one in reversed(sat)),
        benches_short=benches_short(sat),
        rests_on=tuple(_rests_on(scores)),
    )  # fmt: skip


def short(scores: HowGood) -> str:
    """Answer in a sentence or two."""
    if not scores.promises:
        return (
            "No promise was kept yet: take an order with bows rush ... --take or "
            "bows promise ... --take."
        )
    if not scores.scored:
        return f"None of {len(scores.promises)} promises is decided yet."
    stated = sum(g.count * g.told for g in scores.groups) / scores.scored
    said = (
        f"{scores.met} of {scores.scored} promises were met, where "
        f"{round(100 * stated)} % were to be."
    )
    if scores.own_brier is None or scores.plain_brier is None or scores.scored < FEW:
        return said
    better = scores.own_brier < scores.plain_brier
    return said + (
        f" The chances were {'better' if better else 'no better'} than stated minutes "
        "and full hours."
    )


def fairs_short(some: Sequence[FairScore]) -> str:
    """Say how good the figures for fairs were, all together."""
    if not some:
        return ""
    known = [one for one in some if one.total_within is not None]
    kinds, within = (
        sum(said_of(one)[what] for one in some) for what in ("kinds", "within")
    )
    said = (
        f"{sum(one.total_within or False for one in known)} of {len(known)} fairs sold "
        f"in all within the range stated for nine in ten, and {within} of {kinds} "
        "kinds at them did."
    )
    if len(known) < len(some):
        said += f" Of {len(some) - len(known)} it can't be told."
    pairs = [pair for one in some for pair in one.compared]
    if not pairs:
        return said
    own, last = (fmean(each) for each in zip(*pairs, strict=True))
    better = "better" if own < last else "no better"
    return (
        f"{said} A kind was {own:.2f} bows off; as many as last time would "
        f"have been {last:.2f} off: "
        f"{better}."
    )


def benches_short(sat: Sequence[SittingScore]) -> str:
    """Say how much of what was planned for the bench was made when it was planned."""
    if not sat:
        return ""
    done, bows = sum(one.done for one in sat), sum(one.bows for one in sat)
    days = "1 day" if len(sat) == 1 else f"{len(sat)} days"
    return (
        f"{done:,} of {bows:,} bows that accepted bench plans named were made on their "
        f"day, {days} in all."
    )


def _bench(one: SittingScore) -> BenchKept:
    return BenchKept(
        day_on=one.day.isoformat(), day=short_day(one.day), planned=one.bows,
        made=one.done, minutes=one.minutes, minutes_shown=naming.minutes(one.minutes),
        worked=one.worked,
        worked_shown="not told" if one.worked is None else naming.minutes(one.worked),
    )  # fmt: skip


def _fair(led: Ledgers, one: FairScore) -> FairKept:
    said = said_of(one)
    own, last = said["loss"], said["last_loss"]
    return FairKept(
        code=one.fair, fair=fairs(led)[one.fair].name, said=total_said(one),
        losses="" if own is None else f"{own:.2f} against {last:.2f}", **said,
    )  # fmt: skip


def _score(brier: float | None) -> str:
    return "" if brier is None else f"{brier:.3f}"


def _compared(scores: HowGood) -> str:
    if scores.own_brier is None or scores.plain_brier is None:
        return ""
    return f"{scores.own_brier:.3f} against {scores.plain_brier:.3f}"


def _of(count: int, total: int) -> str:
    return (
        f"{count} of {total} ({round(100 * count / total)} %)" if total else "none yet"
    )


def _group(one: Group) -> ChanceGroup:
    return ChanceGroup(
        chances=f"{round(100 * one.least)} to {round(100 * one.most)} %",
        count=one.count, told=one.told, told_shown=chance_words(one.told),
        came=one.came, came_shown=f"{round(100 * one.came)} %", low=one.low,
        high=one.high,
    )  # fmt: skip


def _promise(one: Promised, scores: HowGood) -> PromiseKept:
    met = one.in_time(scores.today)
    return PromiseKept(
        order=one.order, made_on=one.made.isoformat(), due_on=one.due.isoformat(),
        due=short_day(one.due), chance=one.chance,
        chance_shown=chance_words(one.chance),
        finished_on=one.finished.isoformat() if one.finished else "",
        finished=short_day(one.finished) if one.finished else "",
        came="open" if met is None else "in time" if met else "late",
        plain_on=one.plain.isoformat() if one.plain else "",
        plain=short_day(one.plain) if one.plain else "",
    )  # fmt: skip


def _rests_on(scores: HowGood) -> Iterator[str]:
    yield (
        "An order counts as ready on the day it was told ready, or the last bows were "
        "made for it, or else was handed over."
    )
    if 0 < scores.scored < FEW:
        yield f"{scores.scored} promises tell little yet: luck may account for much."
    if scores.compared < scores.scored:
        yield f"Stated minutes and full hours were worked out for {scores.compared}."
