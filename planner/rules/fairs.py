"""Rules of fairs before they begin: announced, changed, called off, planned, packed."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, timedelta

from planner.errors import Absurd, Ambiguous, Stale, Unknown, Unreadable
from planner.events.fair import (
    FairAnnounced,
    FairCalledOff,
    FairDay,
    FairPacked,
    FairPlanAccepted,
)
from planner.ledgers.bows import HOME, stall
from planner.ledgers.catalogue import catalogue
from planner.ledgers.fairs import CALLED_OFF, SETTLED, Fair, at_stall, fairs
from planner.ledgers.state import Ledgers
from planner.ledgers.stock import wanted_by
from planner.plans.fair import FairPlan
from planner.rules.base import Proposal, next_code, plural, proposal
from planner.rules.fair_days import days_words
from planner.rules.finding import find_code, kind_names
from planner.rules.pricing import (
    amount,
    day_words,
    held,
    local_day,
    moved,
    over,
    present,
    some,
)
from planner.values.moments import When
from planner.values.text import quoted

CROWDS = ("quiet", "thin", "usual", "busy", "packed")
"""Words for how many people come, from 1 to 5."""

ORDERS_FIRST = timedelta(days=7)
"""Orders due within so long after a fair get their bows before its boxes do."""
SHORT_HEAD = 6
"""Fewest figures of a log head that name it."""


def read_crowd(text: str) -> int:
    """
    Read how large a crowd is: quiet, thin, usual, busy, packed, or 1 to 5.

    Raises:
        Unreadable: for any other word.
    """
    bare = text.strip().lower()
    if bare in CROWDS:
        return CROWDS.index(bare) + 1
    if bare in {"1", "2", "3", "4", "5"}:
        return int(bare)
    raise Unreadable(
        f"{quoted(text)} is no size of a crowd.",
        instead=f"Type one of: {', '.join(CROWDS)}, or 1 to 5.",
    )


def find_fair_code(led: Ledgers, code: str) -> Fair:
    """Find a fair by its short code, whatever its case."""
    every = fairs(led)
    return every[find_code(every, code, what="fair", instead="bows fairs")]


def _terms(led: Ledgers, e: FairAnnounced) -> dict[str, str]:
    return {
        "name": e.name,
        "days": days_words([(d.day, d.opens, d.closes) for d in e.days]),
        "fee": amount(led, e.fee),
        "crowd": f"{CROWDS[e.crowd - 1]} ({e.crowd} of 5)",
        "place": "indoors" if e.indoor else "outdoors",
        "table": _table_words(led, e.table),
        "guess": _guess_words(led, e),
    }


def _table_words(led: Ledgers, table: int) -> str:
    from planner.ledgers.shop import shop
    from planner.values.units import format_length

    style = "auto-metric" if shop(led).units == "metric" else "auto-us"
    return format_length(table, style=style) if table else "not told"


def _guess_words(led: Ledgers, e: FairAnnounced) -> str:
    cat = catalogue(led)
    patterns = {p.code: p.name for p in cat.patterns.values()}
    words = [f"{n} {patterns.get(k) or cat.kind_name(k)}" for k, n in e.guess]
    if e.guess_total is not None:
        words.append(f"{e.guess_total} in all")
    return ", ".join(words) or "none"


def announced(
    led: Ledgers, *, name: str, days: tuple[FairDay, ...], when: When, fee: int = 0,
    crowd: int = 3, indoor: bool = True, table: int = 0,
    guess: Mapping[str, int] | None = None, guess_total: int | None = None,
    odd: Iterable[str] = (),
) -> Proposal:  # fmt: skip
    """Propose a fair she means to go to."""
    code = next_code(led, "F")
    event = FairAnnounced(
        fair=code, name=name, days=days, fee=fee, crowd=crowd, indoor=indoor,
        table=table, guess=tuple((guess or {}).items()), guess_total=guess_total,
    )  # fmt: skip
    told = _terms(led, event)
    said = (
        f"fair {code}: {name}, {told['days']}",
        f"fee {told['fee']}, crowd {told['crowd']}, {told['place']}, table "
        f"{told['table']}, guess {told['guess']}",
    )
    return proposal(
        [event], when, *said, warnings=[*_announce_odd(led, event, when), *odd]
    )


def _announce_odd(led: Ledgers, e: FairAnnounced, when: When) -> list[str]:
    odd = []
    for other in fairs(led).values():
        shared = {d.day for d in e.days} & {d for d, _, _ in other.days}
        if other.code == e.fair or other.state == CALLED_OFF or not shared:
            continue
        odd.append(f"{other.code}, {other.name}, is on {day_words(min(shared))} too")
    if e.days[-1].day < local_day(led, when):
        odd.append(f"its last day, {day_words(e.days[-1].day)}, is over")
    return odd


def changed(
    led: Ledgers, *, fair: str, when: When, name: str | None = None,
    days: tuple[FairDay, ...] | None = None, fee: int | None = None,
    crowd: int | None = None, indoor: bool | None = None, table: int | None = None,
    guess: Mapping[str, int] | None = None, guess_total: int | None = None,
    odd: Iterable[str] = (),
) -> Proposal:  # fmt: skip
    """
    Propose a fair told anew: what is not named stays, and each change is said.

    Raises:
        Absurd: when nothing would change.
    """
    was = _as_announced(find_fair_code(led, fair))
    told = {
        "name": name, "days": days, "fee": fee, "crowd": crowd, "indoor": indoor,
        "table": table, "guess": None if guess is None else tuple(guess.items()),
        "guess_total": guess_total,
    }  # fmt: skip
    new = was.model_copy(update={k: v for k, v in told.items() if v is not None})
    before, after = _terms(led, was), _terms(led, new)
    said = [
        f"{was.fair} {part}: {before[part]} → {after[part]}"
        for part in before
        if before[part] != after[part]
    ]
    if not said:
        raise Absurd(
            f"Nothing about {was.fair} would change.",
            instead=f"bows fair change {was.fair} --crowd busy",
        )
    return proposal([new], when, *said, warnings=[*_announce_odd(led, new, when), *odd])


def _as_announced(fair: Fair) -> FairAnnounced:
    return FairAnnounced(
        fair=fair.code, name=fair.name, fee=fair.fee, crowd=fair.crowd,
        days=tuple(FairDay(day=d, opens=o, closes=c) for d, o, c in fair.days),
        indoor=fair.indoor, table=fair.table, guess=tuple(fair.guess.items()),
        guess_total=fair.guess_total,
    )  # fmt: skip


def called_off(
    led: Ledgers, *, fair: str, when: When, at: str | None = None, why: str = ""
) -> Proposal:
    """Propose that a fair is off, as a whole or from an hour on."""
    old, cat = find_fair_code(led, fair), catalogue(led)
    said = [
        f"{old.code}, {old.name}: {old.state} → called off"
        + (f" at {at}" if at else "")
    ]
    on_stall = at_stall(led, old.code)
    if on_stall:
        said.append(
            f"still on its stall: {kind_names(cat, on_stall.items())}; when they are "
            f"home: bows fair settle {old.code}"
        )
    elif old.plan and at is None:
        said.append(f"no longer planned for: {kind_names(cat, old.plan.items())}")
    odd = []
    if at and not any(opens <= at <= closes for _, opens, closes in old.days):
        odd.append(f"{at} is outside its hours, {days_words(old.days)}")
    if old.state in (SETTLED, CALLED_OFF):
        odd.append(f"{old.code} was {old.state} in the records")
    event = FairCalledOff(fair=old.code, at=at, why=why)
    return proposal([event], when, *said, warnings=odd)


def plan_accepted(
    led: Ledgers, *, fair: str, bring: Mapping[str, int], head: str, head_now: str,
    when: When, force: bool = False, said: FairPlan | None = None,
) -> Proposal:  # fmt: skip
    """
    Propose a plan accepted: how many of each kind to bring.

    `head` is the log head the plan rested on (its first figures will do), `head_now`
    today's; what the plan `said` beforehand is kept to be scored.  Raises Stale when
    the heads differ, unless forced.
    """
    old = find_fair_code(led, fair)
    rests_on = _plan_head(old, head, head_now, force)
    told = tuple(bring.items())
    if not any(count for _, count in told):
        raise Absurd("A plan brings some bows.", instead="bows fair accept 6 4in navy")
    event = FairPlanAccepted(
        fair=old.code, bring=told, head=rests_on,
        expected=said.expected if said else (), spread=said.spread if said else (),
        sold_spread=said.sold_spread if said else None,
    )  # fmt: skip
    odd = [] if rests_on == head_now else ["the plan was made from an older log"]
    if old.state in (SETTLED, CALLED_OFF):
        odd.append(f"{old.code} was {old.state} in the records")
    words = _plan_words(led, old, dict(told), said)
    return proposal([event], when, *words, warnings=odd)


def _figures(head: str) -> str:
    # A printed head stands in groups of four: 5c1d-9f00-1b2c-77aa.
    return re.sub(r"[\s\u2013-]", "", head.lower())


def _plan_head(fair: Fair, head: str, head_now: str, force: bool) -> str:
    told = _figures(head)
    if not re.fullmatch(rf"[0-9a-f]{{{SHORT_HEAD},64}}", told):
        raise Unreadable(
            f"{quoted(head)} is no log head.",
            instead="Give the figures at the foot of the plan, 5c1d-9f00 or more.",
        )
    if _figures(head_now).startswith(told):
        return head_now
    if not force:
        raise Stale(
            f"This plan for {fair.name} was made from an older log.",
            instead=f"bows fair plan {fair.code}   (look again, then accept)",
        )
    return told


def _plan_words(
    led: Ledgers, fair: Fair, bring: Mapping[str, int], plan: FairPlan | None
) -> Iterator[str]:
    cat, before = catalogue(led), fair.plan or {}
    total, was = sum(bring.values()), sum(before.values())
    head = f"plan for {fair.code}, {fair.name}: "
    yield head + (f"{was} → " if before else "") + plural(total, "bow")
    make = _to_make(led, fair, bring, plan)
    for kind in {**before, **bring}:
        count, old = bring.get(kind, 0), before.get(kind, 0)
        if not (count or old):
            continue
        change = f"{old} → {count}" if before else f"{count}"
        left = f" ({make[kind]} to make)" if make.get(kind, 0) > 0 else ""
        yield f"{cat.kind_name(kind)} {change}{left}"
    sets = ((one.set, one.bring) for one in (plan.sets if plan else ()) if one.bring)
    if names := kind_names(cat, sets):
        yield f"among them, to make up and pack as sets: {names}"


def _to_make(
    led: Ledgers, fair: Fair, bring: Mapping[str, int], plan: FairPlan | None
) -> dict[str, int]:
    """Give the bows still to make: as the plan says, else beyond what orders leave."""
    if plan is not None:
        return {one.kind: one.make for one in plan.kinds}
    wanted = _for_orders(led, fair)
    free = {k: held(led, k, HOME) - sum(n for _, n in wanted.get(k, ())) for k in bring}
    return {k: n - fair.packed.get(k, 0) - max(free[k], 0) for k, n in bring.items()}


def packed(
    led: Ledgers, *, fair: str, when: When, bows: Mapping[str, int] | None = None,
    source: str = HOME,
) -> Proposal:  # fmt: skip
    """
    Propose the boxes packed: what she says, else what is made of the plan.

    Raises:
        Unknown: when she names no bows and accepted no plan.
    """
    old = find_fair_code(led, fair)
    named = _told_or_plan(led, old, bows, source, "pack")
    return _pack(led, old, named, source, when, top_up=False)


def _told_or_plan(
    led: Ledgers, fair: Fair, bows: Mapping[str, int] | None, source: str, verb: str
) -> Mapping[str, int]:
    if bows is not None:
        return bows
    if fair.plan is None:
        raise Unknown(
            f"No plan was accepted for {fair.name}.",
            instead=f"bows fair {verb} {fair.code} 12 4in navy, 6 4in red",
        )
    left = {k: n - fair.packed.get(k, 0) for k, n in fair.plan.items()}
    # What isn't made yet can't be in the boxes, nor what orders are to get of it: she
    # didn't say it was.
    wanted = _for_orders(led, fair) if source == HOME else {}
    left = {
        k: min(n, held(led, k, source) - sum(count for _, count in wanted.get(k, ())))
        for k, n in left.items()
    }
    if not any(n > 0 for n in left.values()):
        raise Ambiguous(
            f"All of the plan for {fair.name} that is made and that no order needs "
            "is packed already.",
            instead=f"bows fair {verb} {fair.code} 2 4in navy",
        )
    return {k: n for k, n in left.items() if n > 0}


def _for_orders(led: Ledgers, fair: Fair) -> dict[str, list[tuple[str, int]]]:
    """Give what the orders want that come before the fair's plan."""
    last = date.fromisoformat(fair.last_day) + ORDERS_FIRST
    return wanted_by(led, last.isoformat())


def _from_orders(
    led: Ledgers, fair: Fair, bows: Iterable[tuple[str, int]]
) -> Iterator[str]:
    """Say which orders lose bows that are packed."""
    wanted = _for_orders(led, fair)
    for kind, count in bows:
        needed = sum(n for _, n in wanted.get(kind, ()))
        lost = min(count, needed + count - held(led, kind, HOME), needed)
        if lost > 0 and held(led, kind, HOME) > 0:
            orders = ", ".join(order for order, _ in wanted[kind])
            name = catalogue(led).kind_name(kind)
            yield f"{lost} of the {name} were wanted for {orders}, due by then"


def topped_up(
    led: Ledgers, *, fair: str, when: When, bows: Mapping[str, int] | None = None,
    source: str = HOME,
) -> Proposal:  # fmt: skip
    """
    Propose more bows brought to a stall already packed: as told, else by the plan.

    Raises:
        Unknown: when she names no bows and accepted no plan.
    """
    old = find_fair_code(led, fair)
    named = _told_or_plan(led, old, bows, source, "top-up")
    return _pack(led, old, named, source, when, top_up=True)


def _pack(
    led: Ledgers, fair: Fair, bows: Mapping[str, int], source: str, when: When, *,
    top_up: bool,
) -> Proposal:  # fmt: skip
    verb = "top-up" if top_up else "pack"
    named = some(bows, instead=f"bows fair {verb} {fair.code} 12 4in navy")
    event = FairPacked(fair=fair.code, bows=named, source=source, top_up=top_up)
    total = sum(count for _, count in named)
    said = (
        f"{'topped up' if top_up else 'packed'} for {fair.code}, {fair.name}: "
        f"{plural(total, 'bow')}",
        moved(led, source, named, -1, when),
        moved(led, stall(fair.code), named, 1, when),
        _short_of_plan(led, fair, named),
    )  # fmt: skip
    odd = over(led, source, named, when)
    if source == HOME:
        odd += _from_orders(led, fair, named)
    if top_up and not fair.packed:
        odd.append(f"nothing was packed for {fair.name} before")
    if fair.state in (SETTLED, CALLED_OFF):
        so = ": its settlement counts them as brought" if fair.state == SETTLED else ""
        odd.append(f"{fair.code} was {fair.state} in the records{so}")
    return proposal([event], when, *present(*said), warnings=odd)


def _short_of_plan(led: Ledgers, fair: Fair, bows: Sequence[tuple[str, int]]) -> str:
    now = {**fair.packed}
    for kind, count in bows:
        now[kind] = now.get(kind, 0) + count
    short = [(k, n - now.get(k, 0)) for k, n in (fair.plan or {}).items()]
    names = kind_names(catalogue(led), ((k, n) for k, n in short if n > 0))
    return f"short of the plan: {names}" if names else ""
