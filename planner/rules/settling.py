"""Rules of a fair's settling: what came back, what is missing, what that may mean."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Literal
from zoneinfo import ZoneInfo

from planner.errors import Ambiguous
from planner.events.base import Event
from planner.events.bows import BowsMoved, StockCounted
from planner.events.fair import FairSettled
from planner.events.selling import UnloggedSalesTold
from planner.ledgers.bows import HOME, PLACE, UNNOTICED, stall
from planner.ledgers.catalogue import catalogue
from planner.ledgers.fairs import CALLED_OFF, SETTLED, Fair
from planner.ledgers.state import Ledgers
from planner.rules.base import Proposal, plural, proposal
from planner.rules.fair_days import no_day_of
from planner.rules.fairs import find_fair_code
from planner.rules.finding import kind_names
from planner.rules.pricing import (
    MOST_NAMED,
    Wanted,
    amount,
    day_words,
    listed,
    local_day,
    moved,
    present,
    some,
)
from planner.rules.stalls import movements, typed_takings
from planner.rules.unlogged import Range, unlogged_ranges
from planner.values.moments import When

Weather = Literal["fine", "poor", "not told"]
_DAY_ENDS = time(23, 59, 59)


@dataclass(frozen=True, slots=True)
class Missing:
    """
    What a fair's records leave to be explained when its boxes are unpacked.

    `bows` are missing by kind, `excess` came back beyond the records; `difference` is
    what counted takings exceed the typed sales by, None where not all was counted.
    """

    bows: Mapping[str, int]
    excess: Mapping[str, int]
    unnoticed: Mapping[str, int]
    prices: Mapping[str, int | None]
    difference: int | None

    def beyond(self) -> int:
        """Give the takings that all missing bows at their prices don't come to."""
        prices = [self.prices.get(kind) for kind in self.bows]
        if self.difference is None or not all(prices):
            return 0
        most = sum(n * (self.prices[kind] or 0) for kind, n in self.bows.items())
        return max(self.difference - most, 0)

    def ranges(self) -> dict[str, Range]:
        """Bound the sales not typed, by kind."""
        return unlogged_ranges(
            missing=self.bows, unnoticed=self.unnoticed, prices=self.prices,
            difference=self.difference,
        )  # fmt: skip


def missing_at(led: Ledgers, fair: Fair, back: Mapping[str, int]) -> Missing:
    """Compare what came back with what the records have on the stall."""
    account = PLACE + stall(fair.code)
    short: dict[str, int] = {}
    more: dict[str, int] = {}
    for kind in led.bows.items:
        if kind.endswith(UNNOTICED):
            continue
        book = max(movements(led.bows, kind, account), 0)
        if book > back.get(kind, 0):
            short[kind] = book - back.get(kind, 0)
    for kind, count in back.items():
        book = max(movements(led.bows, kind, account), 0)
        if count > book:
            more[kind] = count - book
    last = When(fair.last_day)
    prices = {k: listed(led, Wanted(k, ((k, 1),), 1), "fair", last) for k in short}
    return Missing(short, more, _unnoticed(led, fair), prices, _difference(led, fair))


def _unnoticed(led: Ledgers, fair: Fair) -> dict[str, int]:
    return {
        kind.removesuffix(UNNOTICED): count
        for kind, count in led.fair_sales.get(fair.code, {}).items()
        if kind.endswith(UNNOTICED) and count > 0
    }


def _difference(led: Ledgers, fair: Fair) -> int | None:
    """Add up what the takings exceed the typed sales by, if every day was counted."""
    counted = {
        kept.event.day: kept.event
        for kept in led.page("fairs", fair.code)
        if kept.event.kind == "fair-day-closed"
    }
    total = 0
    for day in {*counted, *(day for day, _, _ in fair.days)}:
        cash, card = typed_takings(led, fair.code, day)
        closed = counted.get(day)
        if closed is None or (closed.card is None and card):
            return None
        total += closed.cash - cash
        total += (closed.card or 0) - card
    return total


def _end_of(led: Ledgers, when: When) -> When:
    """
    Put a bare day's settling at the end of that day.

    A count dated by the day alone would stand after the move home of that same day.
    """
    if len(when.text) > 10:
        return when
    zone = ZoneInfo(led.zone)
    last = datetime.combine(date.fromisoformat(when.text), _DAY_ENDS, tzinfo=zone)
    return When(last.replace(fold=1).isoformat(), when.about)


def settled(
    led: Ledgers, *, fair: str, back: Mapping[str, int], when: When,
    weather: Weather = "not told", note: str = "",
) -> Proposal:  # fmt: skip
    """
    Propose a fair settled: the stall counted through, all of it brought home.

    Kinds not named in `back` came back none.  What is missing is bounded as sales not
    typed, within what takings and counts allow, before anything is called lost.

    Raises:
        Ambiguous: when the fair was settled before, since its bows are home already.
    """
    old = find_fair_code(led, fair)
    _not_settled(led, old)
    place, home = stall(old.code), tuple((k, n) for k, n in back.items() if n)
    left = missing_at(led, old, back)
    ranges = left.ranges()
    events: list[Event] = [
        StockCounted(place=place, counts=tuple(back.items()), whole=True, fair=old.code)
    ]
    if home:
        events.append(BowsMoved(bows=home, source=place, to=HOME, fair=old.code))
    events.append(
        FairSettled(
            fair=old.code, back=tuple(back.items()), weather=weather, note=note,
            unlogged=tuple((k, *r) for k, r in ranges.items() if r.most),
        )
    )  # fmt: skip
    then = _end_of(led, when)
    return proposal(
        events, then, *_settled_words(led, old, home, left, ranges, then),
        warnings=_settled_odd(led, old, left, when),
    )  # fmt: skip


def _not_settled(led: Ledgers, fair: Fair) -> None:
    for kept in led.page("fairs", fair.code):
        if kept.event.kind == "fair-settled":
            raise Ambiguous(
                f"{fair.name} was settled already, in entry {kept.at.entry}.",
                instead=f"bows undo {kept.at.entry}, then settle it again   "
                "(bows found at home since: bows found 2 4in navy)",
            )


def _settled_words(
    led: Ledgers, fair: Fair, home: tuple[tuple[str, int], ...], left: Missing,
    ranges: Mapping[str, Range], when: When,
) -> tuple[str, ...]:  # fmt: skip
    brought, sold = sum(fair.packed.values()), sum(fair.sold.values())
    back = sum(count for _, count in home)
    return present(
        f"{fair.code}, {fair.name}: {fair.state} → settled: {brought} brought, "
        f"{sold} typed as sold, {back} came back",
        moved(led, HOME, home, 1, when) if home else "",
        _difference_words(led, left),
        *_missing_words(led, left, ranges),
    )


def _missing_words(
    led: Ledgers, left: Missing, ranges: Mapping[str, Range]
) -> Iterator[str]:
    """Name the kinds that takings and counts say something of; count the others."""
    cat, free = catalogue(led), []
    for kind, missing in left.bows.items():
        if ranges[kind] == (0, missing) and len(left.bows) > MOST_NAMED:
            free.append(missing)
            continue
        yield f"{cat.kind_name(kind)}: {missing} missing; {range_words(ranges[kind])}"
    if free:
        yield (
            f"{plural(sum(free), 'bow')} of {plural(len(free), 'other kind')} missing; "
            "any of them may have been sold without being typed"
        )


def _difference_words(led: Ledgers, left: Missing) -> str:
    if not left.bows and not left.beyond():
        return ""
    if left.difference is None:
        return "the takings were not all counted, so they don't bound the sales"
    if left.difference > 0:
        said = f"takings {amount(led, left.difference)} over the typed sales"
        beyond = left.beyond()
        return f"{said}; {_beyond_words(led, beyond)}" if beyond else said
    return "the takings leave no room for sales not typed"


def _beyond_words(led: Ledgers, beyond: int) -> str:
    return f"{amount(led, beyond)} of that no missing bow explains"


def range_words(found: Range) -> str:
    """Say how many may have been sold without being typed."""
    if found.most == 0:
        return "none sold without being typed"
    if found.least == found.most:
        return f"{found.most} may have been sold without being typed"
    return f"{found.least} to {found.most} may have been sold without being typed"


def _settled_odd(led: Ledgers, fair: Fair, left: Missing, when: When) -> list[str]:
    cat, odd = catalogue(led), []
    if left.excess:
        odd.append(
            f"more came back than the records have on the stall: "
            f"{kind_names(cat, left.excess.items())}; entered as not yet explained"
        )
    if local_day(led, when) < fair.last_day:
        odd.append(f"{fair.name} lasts until {day_words(fair.last_day)}")
    if fair.state == CALLED_OFF:
        odd.append(f"{fair.code} was called off in the records")
    return odd


def unlogged_told(
    led: Ledgers, *, fair: str, bows: Mapping[str, int], when: When,
    day: str | None = None,
) -> Proposal:  # fmt: skip
    """
    Propose sales she is sure of though none was typed; their money is in the takings.

    Dated by the fair's day (its last unless told), so that they explain its counts.
    """
    old, cat = find_fair_code(led, fair), catalogue(led)
    told = some(bows, instead=f"bows fair unlogged {old.code} 2 4in navy")
    on = day or old.last_day
    event = UnloggedSalesTold(fair=old.code, bows=told, place=stall(old.code), day=on)
    said = f"sold at {old.name} without being typed: {kind_names(cat, told)}"
    odd = no_day_of(old, on)
    limits = {kind: most for kind, _, most in old.unlogged}
    for kind, count in told:
        if old.state == SETTLED and count > limits.get(kind, 0):
            odd.append(
                f"counts and takings allow at most {limits.get(kind, 0)} "
                f"{cat.kind_name(kind)}"
            )
    total = plural(sum(count for _, count in told), "bow")
    return proposal([event], When(on, when.about), f"{said} ({total})", warnings=odd)
