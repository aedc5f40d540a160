"""
What is still to cut, and the runs there are to cut it from.

Bows still to make for open orders come first, then those of accepted fair plans; sets
whose parts already wait in bundles of one lot need no cutting.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence

from planner.engines.at_hand import Share, share_bows
from planner.engines.bench_fair import fair_lacks
from planner.ledgers.catalogue import Catalogue, catalogue
from planner.ledgers.orders import Order, open_orders
from planner.ledgers.shop import setting
from planner.ledgers.state import Ledgers
from planner.ledgers.stock import (
    SpoolStock,
    bundles_waiting,
    live_spools,
    spools_aside,
)
from planner.plans.cutting import Part, Run, Want
from planner.values.units import NM_PER_YARD

JOIN_EVERY = 25 * NM_PER_YARD
"""Ribbon in which a seller may leave a join (one seller's printed word)."""

Bows = Sequence[tuple[str, int]]
"""Kinds and how many of each are worn together."""


def usable_end(led: Ledgers) -> int:
    """Give the shortest end worth keeping, nm."""
    return int(setting(led, "end worth keeping"))


def asked_for(led: Ledgers, units: Iterable[tuple[Bows, int]]) -> list[Want]:
    """Give what she names as wants: (the bows of a unit, how many units)."""
    cat = catalogue(led)
    return [want for bows, n in units for want in _wants(cat, bows, n)]


def still_to_cut(led: Ledgers, *, today: str) -> list[Want]:
    """
    Give what is to cut for open orders and accepted fair plans, the first due first.

    Bows at home and parts waiting in bundles are taken off.  `today` is an ISO day.
    """
    orders = sorted(open_orders(led), key=lambda o: (o.due or "9", o.code))
    share = share_bows(led, orders)
    cat = catalogue(led)
    wants = [want for order in orders for want in _of_order(cat, order, share)]
    wants += _of_fairs(led, cat, share, today)
    return _not_in_bundles(led, wants)


def only_for(wants: Iterable[Want], claims: Collection[str]) -> list[Want]:
    """Keep what some orders and fairs (by code) wait for."""
    return [want for want in wants if want.order in claims or want.fair in claims]


def _of_order(cat: Catalogue, order: Order, share: Share) -> Iterator[Want]:
    """Give an order's sets still to make, pairs and the like before single bows."""
    at_hand = share.at_hand[order.code]
    make = Counter(order.outstanding) - Counter(dict(at_hand))
    for line in sorted(order.lines, key=lambda line: -sum(n for _, n in line.kinds)):
        units = min([line.count, *(make[kind] // n for kind, n in line.kinds)])
        if units:
            yield from _wants(cat, line.kinds, units, order=order.code)
            make.subtract({kind: n * units for kind, n in line.kinds})
    for kind, n in make.items():
        yield from _wants(cat, ((kind, 1),), n, order=order.code)


def _of_fairs(led: Ledgers, cat: Catalogue, share: Share, today: str) -> Iterator[Want]:
    """Give what accepted fair plans still lack, the first fair first."""
    for lack in fair_lacks(led, share, today):
        yield from _wants(cat, ((lack.kind, 1),), lack.make, fair=lack.fair.code)


def _wants(
    cat: Catalogue, bows: Bows, units: int, *, order: str | None = None,
    fair: str | None = None,
) -> Iterator[Want]:  # fmt: skip
    """Give the wants of some units, one a ribbon: what is worn together matches."""
    parts: dict[str, Counter[tuple[str, int]]] = {}
    for kind, n in bows:
        pattern, way = cat.pattern_of(kind), cat.colourway_of(kind)
        for role, length, count in pattern.parts if way else ():
            made = parts.setdefault(way.ribbon_for(role), Counter()) if way else {}
            made[role, length] = made.get((role, length), 0) + count * n
    only = bows[0][0] if len(bows) == 1 else None
    for ribbon, needed in parts.items() if units > 0 else ():
        told = tuple(Part(role, nm, n) for (role, nm), n in needed.items())
        yield Want(ribbon, told, units, order, only, fair)


def _not_in_bundles(led: Ledgers, wants: Sequence[Want]) -> list[Want]:
    """Take off the sets whose parts wait in bundles, all of one lot."""
    waiting: dict[tuple[str, str], Counter[tuple[str, int]]] = {}
    for bundle, count in bundles_waiting(led):
        spool = led.spools.get(bundle.spool)
        if spool is not None:
            lot = waiting.setdefault((spool.ribbon, spool.lot), Counter())
            lot[bundle.role, bundle.length] += count
    left = []
    for want in wants:
        sets = want.sets
        for (ribbon, _), held in waiting.items():
            if ribbon == want.ribbon:
                sets -= _take(held, want, sets)
        if sets:
            left.append(Want(want.ribbon, want.parts, sets, want.order, want.kind,
                             want.fair))  # fmt: skip
    return left


def _take(held: Counter[tuple[str, int]], want: Want, sets: int) -> int:
    """Take whole sets out of what waits; give how many."""
    there = min(held[p.role, p.length] // p.count for p in want.parts)
    whole = min(there, sets)
    for part in want.parts:
        held[part.role, part.length] -= whole * part.count
    return whole


def runs_of(led: Ledgers, wants: Iterable[Want]) -> list[Run]:
    """Give the runs of all spools that may be cut for some wants."""
    longest: dict[str, int] = {}
    for want in wants:
        part = max(part.length for part in want.parts)
        longest[want.ribbon] = max(longest.get(want.ribbon, 0), part)
    aside = spools_aside(led)
    return [
        run
        for spool in live_spools(led)
        if spool.ribbon in longest and spool.left > 0 and spool.spool not in aside
        for run in _runs(led, spool, longest)
    ]


def _runs(led: Ledgers, spool: SpoolStock, longest: Mapping[str, int]) -> Iterator[Run]:
    """Give a spool's runs from its loose end, parted at the joins still on it."""
    told = led.page("joins", spool.spool)
    behind = {kept.event.left for kept in told if kept.event.left}
    marks = [0, *sorted(x for x in behind if x < spool.left), spool.left]
    known = led.spools[spool.spool]
    unseen = not told and spool.left >= JOIN_EVERY // 2
    for nth in range(1, len(marks)):
        yield Run(
            spool.spool, spool.ribbon, spool.lot, marks[-nth] - marks[-nth - 1],
            begun=spool.begun or known.part_used,
            slack=longest[spool.ribbon] if unseen else 0, nth=nth,
        )  # fmt: skip
