"""
A fair of several days, planned anew from the days that are over.

What sold on them is read like a past fair of its own; the days left are planned with
their hours alone.  A good or a bad fair holds for all its days in part: half of its
luck is taken to be common to its days, the other half to be each day's own.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time
from zoneinfo import ZoneInfo

from planner.engines.fair_history import FairTold, Told, fair_told
from planner.engines.pooling_values import Pooled
from planner.ledgers.bows import PLACE, SOLD, UNNOTICED, stall
from planner.ledgers.catalogue import catalogue
from planner.ledgers.fairs import Fair
from planner.ledgers.money import BANK, CASH, fair_day
from planner.ledgers.state import Ledgers
from planner.ledgers.timeline import Row
from planner.values.moments import instant

SHARED = 0.5
"""Share of the variance of a fair's luck (its log) that its days have in common."""


@dataclass(frozen=True, slots=True)
class SecondDay:
    """
    A fair some of whose days are over.

    `over` are the days that are; `rest` is the fair with the days left, her guess cut
    to their hours; `told` what the days over told; `untyped` the bows that their
    takings say were sold beyond the typed and the counted ones, still on the stall in
    the records.
    """

    over: tuple[str, ...]
    rest: Fair
    told: FairTold
    untyped: float


def second_day(led: Ledgers, fair: Fair, today: date) -> SecondDay | None:
    """Read the days of a fair that are over; None before the first, and after all."""
    over = [d for d in fair.days if _over(fair, d[0], today)]
    left = [d for d in fair.days if d not in over]
    if not (over and left and fair.packed):
        return None
    sold, back, counted = _stall_then(led, fair, over[-1], left[0])
    begun = replace(
        fair, days=tuple(over), sold=sold, back=back, costs=0,
        packed={k: n + max(sold.get(k, 0), 0) + counted.get(k, 0)
                for k, n in back.items()},
        unlogged=tuple((k, n, n) for k, n in counted.items() if n),
    )  # fmt: skip
    more = _by_takings(led, fair, [d[0] for d in over]) - sum(counted.values())
    told = _with_untyped(fair_told(begun, today), back, more)
    return SecondDay(tuple(d[0] for d in over), _rest(fair, left), told, max(more, 0.0))


def _over(fair: Fair, day: str, today: date) -> bool:
    now = today.isoformat()
    return day < now or (day == now and day in fair.closed)


def _rest(fair: Fair, left: list[tuple[str, str, str]]) -> Fair:
    rest = replace(fair, days=tuple(left))
    share = rest.open_minutes / max(fair.open_minutes, 1)
    guess = {k: max(round(n * share), 1) if n else 0 for k, n in fair.guess.items()}
    total = fair.guess_total
    rest.guess, rest.fee = guess, 0
    rest.guess_total = None if total is None else round(total * share)
    return rest


Counts = dict[str, int]


def _stall_then(
    led: Ledgers, fair: Fair, last: tuple[str, str, str], ahead: tuple[str, str, str]
) -> tuple[Counts, Counts, Counts]:
    """
    Give typed sales, what was left, and what counts found missing, by kind.

    Bows brought after the last day over had closed were not on its table.
    """
    zone, account = ZoneInfo(led.zone), PLACE + stall(fair.code)
    closed = _moment(last[0], last[2], zone)
    opens = _moment(ahead[0], ahead[1], zone)
    sold: Counts = {}
    back: Counts = {}
    missing: Counts = {}
    for kind in led.bows.items:
        rows = [r for r in led.bows.why(kind, account) if r.when < opens]
        if not rows:
            continue
        read = [r for r in rows if r.reading is not None]
        typed = [r for r in rows if SOLD in (r.source, r.target)]
        here = [r for r in rows if not _brought_later(r, account, closed)]
        sold[kind] = -_net(typed, account)
        if not kind.endswith(UNNOTICED):
            missing[kind] = max(-_net(read, account), 0)
            back[kind] = max(_net(here, account), 0)
    return sold, back, missing


def _moment(day: str, clock: str, zone: ZoneInfo) -> int:
    local = datetime.combine(date.fromisoformat(day), time.fromisoformat(clock), zone)
    return instant(local.isoformat(), zone)


def _brought_later(row: Row, account: str, closed: int) -> bool:
    return row.target == account and row.source.startswith(PLACE) and row.when > closed


def _net(rows: Sequence[Row], account: str) -> int:
    return sum(r.amount if r.target == account else -r.amount for r in rows)


def _by_takings(led: Ledgers, fair: Fair, days: Sequence[str]) -> float:
    """Give the bows that counted takings say were sold beyond the typed sales."""
    over, price = 0, _mean_price(led, fair)
    for item in (fair_day(fair.code, day) for day in days):
        for purse in (CASH, BANK):
            rows = [r for r in led.money.why(item, purse) if r.reading is not None]
            over += _net(rows, purse)
    return max(over, 0) / price if price else 0.0


def _mean_price(led: Ledgers, fair: Fair) -> float:
    """Give the mean price of the bows packed that have one, minor units."""
    cat = catalogue(led)
    priced = [(cat.price(k, "fair") or 0, n) for k, n in fair.packed.items()]
    bows = sum(n for price, n in priced if price)
    return sum(price * n for price, n in priced) / bows if bows else 0.0


def _with_untyped(told: FairTold, back: Mapping[str, int], more: float) -> FairTold:
    """Share sales nothing names over the kinds by how many were left of each."""
    left = sum(back.values())
    if not (more > 0 and left):
        return told
    share = min(more / left, 1.0)
    kinds = {k: _more(row, share * back.get(k, 0)) for k, row in told.kinds.items()}
    return replace(told, kinds=kinds)


def _more(row: Told, bows: float) -> Told:
    return replace(row, sold=row.sold + bows, unlogged=row.unlogged + bows)


def carried_on(pooled: Pooled, told: FairTold) -> tuple[float, Pooled]:
    """
    Carry the luck of the days over, the last of the history, to the days left.

    Gives the factor for their exposure, and the rates with the shock that remains:
    with a log-luck of variance v, of which a share s is common to the days, and a
    total of n bows seen, E = s log g, where log g is the fitted (shrunk) factor, and
    what stays open is v - (s v)^2 / (v + 1/n) (two normal laws, conditioned).
    """
    luck, seen = 1 / pooled.shock, sum(row.sold for row in told.kinds.values())
    known = (SHARED * luck) ** 2 / (luck + 1 / max(seen, 1.0))
    shock = 1 / (1 / pooled.shock_ahead - known)
    return float(pooled.fairs[-1]) ** SHARED, replace(pooled, shock_ahead=shock)
