"""Promises kept, what came of them, and what simple reckoning would have said."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime
from statistics import fmean
from zoneinfo import ZoneInfo

from planner.engines.due import due_dates
from planner.engines.pace import stated_seconds
from planner.engines.scoring import bins, brier, calibration_error, pinball
from planner.ledgers.catalogue import catalogue
from planner.ledgers.orders import HANDED_OVER, READY, orders
from planner.ledgers.state import Kept, Ledgers
from planner.plans.scored import Group, HowGood, Promised

EDGES = (0.0, 0.5, 0.7, 0.8, 0.9, 0.95, 1.0)
"""Fixed bins of stated chances."""
MILLION = 1_000_000
QUANTILES = (0.1, 0.5, 0.9)


def promises(led: Ledgers) -> tuple[Promised, ...]:
    """
    Give the newest promise of each order with what came of it, the oldest first.

    A promise whose order was called off, or whose due day she and the customer changed
    afterwards, is left out.
    """
    found = [_promised(led, code) for code in led.keys("promises")]
    known = [one for one in found if one is not None]
    return tuple(sorted(known, key=lambda one: one.seq))


def _promised(led: Ledgers, code: str) -> Promised | None:
    kept = led.page("promises", code)[-1]
    order = orders(led).get(code)
    if order is None or order.due != kept.event.due or not order.taken:
        return None
    finished = _finished(led, code) if order.state in (READY, HANDED_OVER) else None
    if finished is None and order.state not in (READY, HANDED_OVER, "open"):
        return None
    event = kept.event
    return Promised(
        order=code, seq=kept.at.seq, made=_day(kept), due=date.fromisoformat(event.due),
        chance=event.chance / MILLION, early=_told(event.early),
        likely=_told(event.likely), late=_told(event.late), finished=finished,
    )  # fmt: skip


def _day(kept: Kept) -> date:
    return date.fromisoformat(kept.at.happened[:10])


def _told(day: str | None) -> date | None:
    return date.fromisoformat(day) if day else None


def _finished(led: Ledgers, code: str) -> date | None:
    """
    Give the day an order's bows were ready.

    Told ready; else the last batch made for it, or the day it was handed over.
    """
    page = led.page("orders", code)
    told = [_day(k) for k in page if k.event.kind == "order-ready"]
    if told:
        return told[-1]
    made = [
        date.fromisoformat(batch.happened[:10])
        for batch in led.batches.values()
        if batch.order == code
    ]
    handed = [_day(k) for k in page if k.event.kind == "order-handed-over"]
    last = handed[-1:] if not made else [min(max(made), *handed[-1:], date.max)]
    return last[0] if last else None


def plain_finish(led: Ledgers, code: str, *, now: datetime) -> date | None:
    """
    Give the day an order would be ready by stated minutes and full hours.

    The ledgers are those of that moment; what was learned by then is put aside.
    """
    stated = stated_seconds(catalogue(led))
    led.memo.clear()
    led.memo["minutes"] = {pattern: (s, 0) for pattern, s in stated.items()}
    today = now.astimezone(ZoneInfo(led.zone)).date()
    made = due_dates(led, now=now, today=today)
    led.memo.clear()
    one = next((order for order in made.orders if order.code == code), None)
    return one.ready_at.date() if one and one.ready_at else None


def how_good(
    kept: Sequence[Promised],
    today: date,
    plain: Mapping[int, date | None] | None = None,
) -> HowGood:
    """
    Score promises by what came of them.

    plain: the finish by simple reckoning of the promises it was worked out for, by seq.
    """
    known = plain or {}
    kept = [
        replace(one, plain=known[one.seq], plain_known=True)
        if one.seq in known
        else one
        for one in kept
    ]
    decided = [one for one in kept if one.in_time(today) is not None]
    both = [one for one in decided if one.plain_known]
    spread = [one for one in decided if one.early and one.late]
    met = [bool(one.in_time(today)) for one in decided]
    told = bins([one.chance for one in decided], met, EDGES) if decided else ()
    return HowGood(
        promises=tuple(kept), today=today, scored=len(decided), met=sum(met),
        brier=_brier(decided, today), compared=len(both),
        own_brier=_brier(both, today), plain_brier=_plain_brier(both, today),
        spread=len(spread), within=sum(map(_within, spread)),
        by_late=sum(map(_by_late, spread)), pinball=_pinball(spread),
        groups=tuple(
            Group(b.least, b.most, b.count, b.told, b.came, b.low, b.high) for b in told
        ),
        error=calibration_error(told) if told else None,
    )  # fmt: skip


def _brier(decided: Sequence[Promised], today: date) -> float | None:
    if not decided:
        return None
    came = [bool(one.in_time(today)) for one in decided]
    return brier(came, [one.chance for one in decided])


def _plain_brier(decided: Sequence[Promised], today: date) -> float | None:
    """Score simple reckoning, which is always sure of itself."""
    if not decided:
        return None
    said = [one.plain is not None and one.plain <= one.due for one in decided]
    return brier([bool(one.in_time(today)) for one in decided], said)


def _within(one: Promised) -> bool:
    return bool(one.early and one.finished and one.early <= one.finished) and _by_late(
        one
    )


def _by_late(one: Promised) -> bool:
    return bool(one.late and one.finished and one.finished <= one.late)


def _pinball(spread: Sequence[Promised]) -> float | None:
    """Give the mean loss of early, likely and late days, of finished ones."""
    done = [one for one in spread if one.finished and one.likely]
    if not done:
        return None
    losses = []
    for one in done:
        days = (one.early, one.likely, one.late)
        for day, share in zip(days, QUANTILES, strict=True):
            assert day is not None
            assert one.finished is not None
            losses.append(pinball([0.0], [(day - one.finished).days], share))
    return fmean(losses)
