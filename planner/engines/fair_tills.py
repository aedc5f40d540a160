"""A fair's bows kind by kind, its tills, and between what bounds its sales lie."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

from planner.ledgers.bows import PLACE, SOLD, UNNOTICED, stall
from planner.ledgers.catalogue import catalogue
from planner.ledgers.fairs import Fair
from planner.ledgers.money import BANK, CASH, fair_day
from planner.ledgers.state import Ledgers
from planner.ledgers.timeline import Row
from planner.plans.settlement import DaySettled, KindSettled
from planner.values.moments import end_of_day


def sold_in_all(led: Ledgers, fair: Fair) -> tuple[int, int, int]:
    """Give the bows typed as sold at a settled fair, and the least and most sold."""
    kinds = [kind_settled(led, fair, kind) for kind in kinds_of(fair)]
    unnoticed, days = list(unnoticed_of(fair)), list(tills(led, fair))
    typed = sum(k.sold for k in kinds) + sum(n for _, n in unnoticed)
    least, most = untyped(led, fair, kinds, unnoticed, days)
    return typed, typed + least, typed + most


def kinds_of(fair: Fair) -> list[str]:
    """Give the kinds that were packed, sold or came back, each once."""
    named = dict.fromkeys([*fair.packed, *fair.sold, *fair.back])
    return [
        k for k in named
        if not k.endswith(UNNOTICED)
        and (fair.packed.get(k) or fair.sold.get(k) or fair.back.get(k))
    ]  # fmt: skip


def kind_settled(led: Ledgers, fair: Fair, kind: str) -> KindSettled:
    """Account for the bows of one kind."""
    brought, sold = fair.packed.get(kind, 0), fair.sold.get(kind, 0)
    gone, back = _gone(led, fair, kind), fair.back.get(kind, 0)
    missing = brought - sold - gone - back
    least, most = next((row[1:] for row in fair.unlogged if row[0] == kind), (0, 0))
    # What was typed since is sold by now, and no longer among the missing.
    most = min(most, max(missing, 0))
    return KindSettled(
        kind=kind, planned=fair.plan.get(kind, 0) if fair.plan is not None else None,
        brought=brought, sold=sold, gone=gone, back=back, missing=missing,
        least=min(least, most), most=most,
        out=tuple((day, hour) for k, day, hour in fair.sold_out if k == kind),
    )  # fmt: skip


def _gone(led: Ledgers, fair: Fair, kind: str) -> int:
    """Count what left the stall for good and was not sold: gifts, prizes, spoiled."""
    account = PLACE + stall(fair.code)
    rows = led.bows.why(kind, account)
    return sum(row.amount for row in rows if _for_good(row, account))


def _for_good(row: Row, account: str) -> bool:
    other = row.target
    return (
        row.reading is None
        and row.source == account
        and other != SOLD
        and not other.startswith(PLACE)
    )


def unnoticed_of(fair: Fair) -> Iterator[tuple[str, int]]:
    """Walk the sales whose colour was not noticed, by pattern."""
    for kind, count in fair.sold.items():
        if kind.endswith(UNNOTICED) and count > 0:
            yield kind.removesuffix(UNNOTICED), count


def day_till(
    led: Ledgers, fair: Fair, today: str
) -> tuple[DaySettled, tuple[int, int]]:
    """
    Give the till of a fair's day, with its typed cash and card sales.

    The day is today if it is one of the fair's; else the next, else the last one.
    """
    days = tuple(tills(led, fair))
    ahead = [day for day in days if day.day >= today]
    one = ahead[0] if ahead else days[-1]
    item = fair_day(fair.code, one.day)
    return one, (_typed(led, item, CASH), _typed(led, item, BANK))


def tills(led: Ledgers, fair: Fair) -> Iterator[DaySettled]:
    """Walk the tills of a fair's days."""
    told = _by_day(led, fair)
    for day, opens, closes in fair.days:
        opened, closed = (
            told.get(("fair-day-opened", day)),
            told.get(("fair-day-closed", day)),
        )
        item = fair_day(fair.code, day)
        typed = sum(_typed(led, item, purse) for purse in (CASH, BANK))
        yield DaySettled(
            day=day, opens=opens, closes=closes,
            float_=opened.float_ if opened else 0, typed=typed,
            cash=closed.cash if closed else None, card=closed.card if closed else None,
        )  # fmt: skip


def untyped(
    led: Ledgers, fair: Fair, kinds: Sequence[KindSettled],
    unnoticed: Sequence[tuple[str, int]], days: Sequence[DaySettled],
) -> tuple[int, int]:  # fmt: skip
    """
    Bound in all the bows sold without being typed.

    Those of one kind too many don't bring back the missing ones of another.
    Money m over the typed sales buys at most m / the lowest price of those missing;
    taking bows one by one comes within the highest price of m, or takes all, so no
    choice that comes as near has fewer than m / the highest, rounded down.
    """
    lacking = sum(max(k.missing, 0) for k in kinds)
    missing = max(lacking - sum(n for _, n in unnoticed), 0)
    least = min(sum(k.least for k in kinds), missing)
    most = min(sum(k.most for k in kinds), missing)
    prices = [_price(led, fair, k.kind) for k in kinds if k.most > 0]
    over = _over(days)
    if over is None or not all(prices) or not prices:
        return least, most
    known = [price for price in prices if price]
    most = min(most, over // min(known))
    return min(max(least, min(most, over // max(known))), most), most


def _price(led: Ledgers, fair: Fair, kind: str) -> int | None:
    zone = ZoneInfo(led.zone)
    then = end_of_day(date.fromisoformat(fair.last_day), zone)
    cat = catalogue(led)
    return cat.price(kind, "fair", then) or cat.price(kind, "fair")


def _over(days: Sequence[DaySettled]) -> int | None:
    """Give what the takings are over the typed sales; None if any wasn't counted."""
    if any(day.counted is None for day in days):
        return None
    return max(sum((day.counted or 0) - day.typed for day in days), 0)


def _by_day(led: Ledgers, fair: Fair) -> Mapping[tuple[str, str], Any]:
    """Give the newest opening and closing told of each day."""
    events = (kept.event for kept in led.page("fairs", fair.code))
    kinds = ("fair-day-opened", "fair-day-closed")
    return {(e.kind, e.day): e for e in events if e.kind in kinds}


def _typed(led: Ledgers, item: str, purse: str) -> int:
    rows = [row for row in led.money.why(item, purse) if row.reading is None]
    return sum(r.amount if r.target == purse else -r.amount for r in rows)
