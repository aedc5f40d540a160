"""
What there isn't endless of for a fair, what more of it would bring, what to buy.

Each limit that stops the plan is priced by choosing again with one more step of it;
whole spools are bought where that pays for them.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta
from itertools import combinations
from math import ceil

from planner.engines.fair_choice import Choice, best_of, gain_of_more, in_all
from planner.engines.fair_costs import Materials
from planner.engines.fair_good import Good, Room, SetGood
from planner.engines.fair_shelf import Shelf
from planner.engines.habits import restocks_came
from planner.ledgers.fairs import Fair
from planner.ledgers.shop import setting, shop
from planner.ledgers.state import Ledgers
from planner.plans.fair import Buy, Limit, More

TABLE_BOWS_A_METRE = 130
"""Bows that a metre of table shows, on stands and cards, unless a setting says."""
SPOOLS = {"us": 50 * 914_400_000, "metric": 50_000_000_000}
"""A spool's usual length (nm) where none of a ribbon was ever bought."""
STEPS = {"bench": (60, 120)}
"""More of the bench: one hour, and two."""
MOST = 6
"""How many limits are looked into, those worth most."""
CANDIDATES = 4
"""Of how many ribbons a spool more is thought of, the most promising."""
IDLE = 0.2
"""What ribbon left on a spool bought for the fair loses in worth by lying about."""
LEAD, LEAD_KNOWN = 7, 3
"""Days a restock takes unless so many of her own say otherwise."""


def rooms_of(
    led: Ledgers, shelf: Shelf, goods: Sequence[Good], *, spend: int | None,
    table: int | None,
) -> list[Room]:  # fmt: skip
    """List what is limited; what was never told is no limit."""
    rooms = [Room("bench", "", shelf.bench, 60)]
    used = {use for good in goods if good.may_make for use in good.uses}
    for what, code in sorted(used):
        if what == "ribbon" and led.spools:
            step = spool_length(led, code)
            rooms.append(Room("ribbon", code, shelf.ribbon.get(code, 0), step))
        elif what == "supply" and code in shelf.supplies:
            rooms.append(Room("supply", code, shelf.supplies[code], 10))
    fits = _table(led, shelf.fair) if table is None else table
    if fits is not None:
        rooms.append(Room("table", "", fits, 10))
    if spend is not None:
        rooms.append(Room("spend", "", spend, 1_000))
    return rooms


def spool_length(led: Ledgers, ribbon: str) -> int:
    """Give what a spool of a ribbon holds, as the newest one did, in nm."""
    labels = [s.label for s in led.spools.values() if s.ribbon == ribbon and s.label]
    return labels[-1] if labels else SPOOLS[shop(led).units]


def _table(led: Ledgers, fair: Fair) -> int | None:
    """Give the bows that fit on the fair's table; None where its length wasn't told."""
    told = setting(led, "bows a metre of table")
    each = int(told) if told.isdecimal() else TABLE_BOWS_A_METRE
    return round(fair.table / 1e9 * each) if fair.table else None


def limits_of(
    led: Ledgers, goods: Sequence[Good], rooms: Sequence[Room], choice: Choice,
    at_least: int, sets: Sequence[SetGood] = (),
) -> tuple[Limit, ...]:  # fmt: skip
    """Say what each limit is used for and what more of those that bind would bring."""
    rows = zip(rooms, choice.used, choice.binds, choice.worth, strict=True)
    looked = sorted(choice.worth, key=lambda worth: -(worth or 0))[:MOST]
    least = min((worth for worth in looked if worth is not None), default=0.0)
    return tuple(
        Limit(
            what=room.what, code=room.code, needed=round(used),
            available=round(room.available), binds=binds, step=room.step,
            worth=None if worth is None else round(worth),
            more=tuple(_more(led, goods, rooms, at, choice, at_least, sets))
            if worth is not None and worth >= least else (),
        )
        for at, (room, used, binds, worth) in enumerate(rows)
    )  # fmt: skip


def _more(
    led: Ledgers, goods: Sequence[Good], rooms: Sequence[Room], at: int, choice: Choice,
    at_least: int, sets: Sequence[SetGood],
) -> Iterator[More]:  # fmt: skip
    """Choose again with more of one limit, a step or two."""
    room = rooms[at]
    for step in STEPS.get(room.what, (room.step,)):
        raised = _raised(rooms, {at: step})
        again = best_of(goods, raised, at_least=at_least, sets=sets)
        pairs = zip(goods, in_all(again, sets), in_all(choice, sets), strict=True)
        changed = tuple((g.kind, new - old) for g, new, old in pairs if new != old)
        price = _spool_price(led, room.code) if room.what == "ribbon" else None
        worth = max(again.profit - choice.profit, 0.0)
        yield More(step, round(worth), changed, price)


def _raised(rooms: Sequence[Room], more: Mapping[int, int]) -> list[Room]:
    return [
        replace(room, available=room.available + more.get(at, 0))
        for at, room in enumerate(rooms)
    ]


def _spool_price(led: Ledgers, ribbon: str) -> int | None:
    a_metre = Materials(led).ribbon_price(ribbon, 1_000_000_000)
    length = spool_length(led, ribbon) / 1e9
    return None if a_metre is None else round(a_metre * length)


def lead_days(led: Ledgers) -> int:
    """Give the days within which four of five restocks came, counted from ordering."""
    days = sorted(
        (came - date.fromisoformat(kept.at.happened[:10])).days
        for code, came in restocks_came(led).items()
        for kept in led.page("restocks", code)[:1]
    )
    if len(days) < LEAD_KNOWN:
        return LEAD
    return max(days[ceil(0.8 * len(days)) - 1], 0)


def bought(
    led: Ledgers, shelf: Shelf, goods: Sequence[Good], rooms: Sequence[Room], *,
    budget: int | None, sets: Sequence[SetGood] = (),
) -> tuple[Buy, ...]:  # fmt: skip
    """
    Choose whole spools to buy: none, or the set of them that gains the most.

    A spool gains what the plan does with it (as if bows came in parts; their own ribbon
    is charged there), less what is lost on the ribbon that is left of it.  Every set of
    the few most promising ribbons is tried.  Nothing is bought that can't be in before
    the eve of the fair, or beyond the budget.
    """
    eve = date.fromisoformat(shelf.fair.first_day) - timedelta(days=1)
    if shelf.today + timedelta(days=lead_days(led)) > eve:
        return ()
    wanted = list(_promising(led, goods, rooms, sets))
    best, chosen = 0.0, tuple[Buy, ...]()
    for count in range(1, len(wanted) + 1):
        for some in combinations(wanted, count):
            prices = sum(one.price for _, one in some)
            if budget is not None and prices > budget:
                continue
            more = {at: one.length for at, one in some}
            gain = gain_of_more(goods, rooms, _raised(rooms, more), sets=sets)
            net = gain.profit - sum(
                IDLE * one.price * (1 - gain.share_used(at, one.length))
                for at, one in some
            )
            if net > best:
                best, chosen = net, tuple(one for _, one in some)
    return tuple(replace(one, gain=round(best)) for one in chosen)


def _promising(
    led: Ledgers,
    goods: Sequence[Good],
    rooms: Sequence[Room],
    sets: Sequence[SetGood],
) -> list[tuple[int, Buy]]:
    """Give the ribbons of which a spool more gains most, with its length and price."""
    found = []
    for at, room in enumerate(rooms):
        price = _spool_price(led, room.code) if room.what == "ribbon" else None
        if price is None:
            continue
        raised = _raised(rooms, {at: room.step})
        gain = gain_of_more(goods, rooms, raised, sets=sets).profit
        if gain >= 1:
            found.append((gain, at, Buy(room.code, 1, room.step, price)))
    found.sort(key=lambda row: (-row[0], row[1]))
    return [(at, buy) for _, at, buy in found[:CANDIDATES]]


def with_spools(rooms: Sequence[Room], spools: Sequence[Buy]) -> list[Room]:
    """Add the ribbon of spools to be bought."""
    more = {one.ribbon: one.spools * one.length for one in spools}
    return [
        replace(room, available=room.available + more.get(room.code, 0))
        if room.what == "ribbon" else room
        for room in rooms
    ]  # fmt: skip
