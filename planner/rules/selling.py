"""Rules of selling: sold at a stall or elsewhere, taken back, costs paid."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Literal, NamedTuple
from zoneinfo import ZoneInfo

from planner.errors import Absurd, Ambiguous
from planner.events.selling import BowsSold, CostPaid, SaleTakenBack
from planner.ledgers.bows import HOME, STALL, UNNOTICED, stall
from planner.ledgers.catalogue import catalogue
from planner.ledgers.fairs import CALLED_OFF, PACKED, SETTLED, Fair, fairs, fairs_on
from planner.ledgers.shop import shop
from planner.ledgers.state import Ledgers
from planner.rules.base import Proposal, proposal
from planner.rules.finding import kind_names, place_name
from planner.rules.odd import many, odd_prices
from planner.rules.pricing import (
    Wanted,
    amount,
    bows_of,
    day_words,
    figure,
    find_batch_or_none,
    listed,
    local_day,
    moved,
    over,
    paid_words,
    present,
    priced,
    some,
)
from planner.values.moments import When
from planner.values.money import fee, share_out

Pay = Literal["cash", "card", "bank", "not yet"]


class Counter(NamedTuple):
    """Where bows change hands and when, with what is odd about it."""

    place: str
    fair: str | None
    when: When
    odd: tuple[str, ...]


def fair_on(led: Ledgers, day: str) -> Fair | None:
    """
    Give the fair that is on that day: opened or packed before only announced.

    Raises:
        Ambiguous: when two fairs are on and her records don't tell them apart.
    """
    on = [f for f in fairs_on(led, day) if f.state != CALLED_OFF]
    for told in (
        [f for f in on if day in f.opened],
        [f for f in on if f.state in (PACKED, SETTLED)],
        on,
    ):
        if len(told) > 1:
            raise Ambiguous(
                f"{' and '.join(f.name for f in told)} are both on {day_words(day)}.",
                instead=f"add --at {told[0].code}   (or --at home)",
            )
        if told:
            return told[0]
    return None


def counter(led: Ledgers, place: str | None, when: When) -> Counter:
    """
    Say where a sale was made: as told, else the stall of a fair on that day, else home.

    A sale at a stall typed after that day's closing is dated by the day alone, so that
    it explains the counted takings and does not come on top of them.
    """
    day = local_day(led, when)
    if place is None:
        on = fair_on(led, day)
        place = stall(on.code) if on else HOME
    if not place.startswith(STALL):
        return Counter(place, None, when, ())
    fair = fairs(led)[place.removeprefix(STALL)]
    odd = _stall_odd(fair, day)
    if len(when.text) > 10 and _closed(led, fair, day, when):
        when = When(day, when.about)
    return Counter(place, fair.code, when, tuple(odd))


def _closed(led: Ledgers, fair: Fair, day: str, when: When) -> bool:
    local = datetime.fromisoformat(when.text).astimezone(ZoneInfo(led.zone))
    hours = [closes for d, _, closes in fair.days if d == day]
    return day in fair.closed or any(f"{local:%H:%M}" >= closes for closes in hours)


def _stall_odd(fair: Fair, day: str) -> list[str]:
    odd = []
    if day < fair.first_day:
        odd.append(f"{fair.name} begins only on {day_words(fair.first_day)}")
    elif day > fair.last_day:
        odd.append(
            f"{fair.name} was over on {day_words(fair.last_day)}; if they were sold "
            f"then: bows undo, and once more with --on {fair.last_day}"
        )
    elif not any(d[0] == day for d in fair.days):
        odd.append(f"{day_words(day)} is no day of {fair.name}")
    if not fair.packed:
        odd.append(
            f"nothing was packed for {fair.name} in the records: bows fair pack "
            f"{fair.code}"
        )
    return odd


def sold(
    led: Ledgers, *, items: Sequence[Wanted], when: When, place: str | None = None,
    taken: int | None = None, how: Pay = "cash", batch: str | None = None,
) -> Proposal:  # fmt: skip
    """
    Propose a sale; the money taken is as told, else by the price list.

    Raises:
        Absurd: when no bows were named.
    """
    if not items:
        raise Absurd("No bows were named.", instead="bows sold 3 4in navy")
    at, bows = counter(led, place, when), bows_of(items)
    channel = "fair" if at.fair else "retail"
    hint = "Tell it as in: bows sold 3 4in navy for 24.00"
    prices = priced(led, items if taken is None else (), channel, at.when, instead=hint)
    money = sum(p * i.count for p, i in zip(prices.prices, items, strict=False))
    money = money if taken is None else taken
    event = BowsSold(
        bows=bows, taken=money, place=at.place, how=how, fee=_fee(led, money, how),
        fair=at.fair, what=_set_sold(led, items), batch=find_batch_or_none(led, batch),
    )  # fmt: skip
    said = (
        f"sold {_unit_names(led, items)} at {place_name(led, at.place)} for "
        f"{amount(led, money)}{_how_words(led, event)}",
        moved(led, at.place, bows, -1, at.when), _redated(led, when, at.when),
    )  # fmt: skip
    return proposal(
        _sets_apart(led, event, items, channel, at.when), at.when, *present(*said),
        warnings=[
            *at.odd, *prices.warnings, *over(led, at.place, bows, at.when),
            *many(sum(n for _, n in bows), what="sale"),
            *odd_prices(led, items, taken, channel, at.when),
        ],
    )  # fmt: skip


def _fee(led: Ledgers, money: int, how: Pay) -> int:
    if how != "card" or not money:
        return 0
    told = shop(led)
    return fee(money, told.fee_basis_points, told.fee_fixed)


def _set_sold(led: Ledgers, items: Sequence[Wanted]) -> str | None:
    sets = [i.what for i in items if i.what in catalogue(led).sets]
    return sets[0] if len(items) == 1 and sets else None


def _sets_apart(
    led: Ledgers, sale: BowsSold, items: Sequence[Wanted], channel: str, when: When
) -> list[BowsSold]:
    """
    Tell each set of a mixed sale by itself, so that it is remembered as one.

    The money is shared by list prices; where some of those are unknown the sale stays
    whole.
    """
    sets = [n for n, item in enumerate(items) if item.what in catalogue(led).sets]
    listed_at = [listed(led, item, channel, when) for item in items]
    if len(items) == 1 or not sets or not all(listed_at):
        return [sale]
    rest = [n for n in range(len(items)) if n not in sets]
    groups = [[n] for n in sets] + ([rest] if rest else [])
    worth = [sum((listed_at[n] or 0) * items[n].count for n in g) for g in groups]
    shares = zip(
        groups, share_out(sale.taken, worth), share_out(sale.fee, worth), strict=True
    )
    return [
        sale.model_copy(update={
            "bows": bows_of([items[n] for n in group]), "taken": taken, "fee": charged,
            "what": items[group[0]].what if group[0] in sets else None,
        })
        for group, taken, charged in shares
    ]  # fmt: skip


def _unit_names(led: Ledgers, items: Sequence[Wanted]) -> str:
    return kind_names(catalogue(led), ((i.what, i.count) for i in items))


def _how_words(led: Ledgers, event: BowsSold) -> str:
    if event.how == "not yet":
        return ", not paid yet"
    charged = f" (fee {amount(led, event.fee)})" if event.fee else ""
    return f" {paid_words(event.how)}{charged}"


def _redated(led: Ledgers, told: When, kept: When) -> str:
    if told == kept:
        return ""
    return f"dated {day_words(local_day(led, kept))}, before the stall was closed"


def taken_back(
    led: Ledgers, *, bows: Mapping[str, int], returned: int | None, when: When,
    place: str | None = None, how: Pay = "cash",
) -> Proposal:  # fmt: skip
    """Propose bows a buyer brought back; the money returned is their listed price."""
    back = some(bows, instead="bows taken-back 1 4in navy")
    at = counter(led, place, when)
    channel = "fair" if at.fair else "retail"
    units = [Wanted(kind, ((kind, 1),), count) for kind, count in back]
    hint = "Tell it as in: bows taken-back 1 4in navy for 8.00"
    prices = priced(led, units if returned is None else (), channel, at.when,
                    instead=hint)  # fmt: skip
    money = sum(p * n for p, (_, n) in zip(prices.prices, back, strict=False))
    money = money if returned is None else returned
    event = SaleTakenBack(
        bows=back, returned=money, place=at.place, how=how, fair=at.fair
    )
    said = (
        f"taken back {kind_names(catalogue(led), back)} at "
        f"{place_name(led, at.place)}; {amount(led, money)} returned",
        moved(led, at.place, back, 1, at.when), _redated(led, when, at.when),
    )  # fmt: skip
    return proposal(
        [event], at.when, *present(*said),
        warnings=[*at.odd, *prices.warnings, *_more_than_sold(led, at, back)],
    )  # fmt: skip


def _more_than_sold(
    led: Ledgers, at: Counter, back: Sequence[tuple[str, int]]
) -> list[str]:
    if at.fair is None:
        return []
    sales, odd = led.fair_sales.get(at.fair, {}), []
    for kind, count in back:
        pattern = kind.partition(":")[0]
        known = sales.get(kind, 0) + sales.get(pattern + UNNOTICED, 0)
        if count > known:
            odd.append(
                f"that is {count - known} more {catalogue(led).kind_name(kind)} than "
                f"the records have sold at {place_name(led, at.place)}"
            )
    return odd


def cost_paid(
    led: Ledgers, *, what: str, money: int, when: When, note: str = ""
) -> Proposal:
    """Propose a cost that is neither ribbon nor supply nor a fair's."""
    said = f"cost paid: {what}, {amount(led, money)}"
    event = CostPaid(what=what, amount=money, note=note)
    return proposal([event], when, said, warnings=_belongs_elsewhere(led, what, money))


def _belongs_elsewhere(led: Ledgers, what: str, money: int) -> list[str]:
    named = [f for f in fairs(led).values() if f.name.casefold() in what.casefold()]
    if not named:
        return []
    return [
        f"if it is a cost of {named[0].name}: bows undo, then bows fair cost "
        f"{named[0].code} {what} {figure(led, money)}"
    ]
