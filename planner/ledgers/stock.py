"""Stock as it stands: bows by place with claims, parts waiting, ribbon, supplies."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import NamedTuple, TypeVar
from zoneinfo import ZoneInfo

from planner.ledgers import ribbon as r
from planner.ledgers.bows import HOME, PLACE
from planner.ledgers.fairs import fairs_not_over
from planner.ledgers.orders import READY, open_orders
from planner.ledgers.state import Bundle, Ledgers, Lot, Spool
from planner.ledgers.timeline import UNEXPLAINED
from planner.values.moments import instant

T = TypeVar("T", Spool, Lot)


class Claim(NamedTuple):
    """A reserve: `count` bows of a kind promised to an order or a fair."""

    claimant: str
    kind: str
    count: int  # type: ignore[assignment]


@dataclass(slots=True)
class KindStock:
    """Where a kind's bows are, and who has a claim on those at home."""

    kind: str
    places: dict[str, int] = field(default_factory=dict)
    claimed: int = 0
    unexplained: int = 0
    missing: dict[str, int] = field(default_factory=dict)

    @property
    def home(self) -> int:
        """Bows at home."""
        return self.places.get(HOME, 0)

    @property
    def free(self) -> int:
        """Bows at home that nobody has a claim on; below nothing when over-claimed."""
        return self.home - self.claimed

    @property
    def everywhere(self) -> int:
        """Bows at all places together."""
        return sum(self.places.values())


def claims(led: Ledgers) -> list[Claim]:
    """Give all reserves in force: ready orders, told reserves, accepted fair plans."""
    found: list[Claim] = []
    open_now = {order.code: order for order in open_orders(led)}
    for order in open_now.values():
        if order.state == READY:
            found += [Claim(order.code, k, n) for k, n in order.outstanding.items()]
    kept = led.keys("reserves")
    told = [*led.live("reserves"), *(code for code in open_now if code in kept)]
    for code in dict.fromkeys(told):
        holder = open_now.get(code)
        if holder is not None and holder.state == READY:
            continue
        limits = holder.outstanding if holder else {}
        for kind, count in led.page("reserves", code)[-1].event.bows:
            take = min(count, limits.get(kind, 0)) if code.startswith("O") else count
            if take > 0:
                found.append(Claim(code, kind, take))
    return found + _fair_claims(led)


def promised(led: Ledgers) -> dict[str, int]:
    """
    Give the bows promised, by kind: all that open orders still want, and other claims.

    Made or not: it may be more than there is.
    """
    found: dict[str, int] = {}
    for order in open_orders(led):
        for kind, count in order.outstanding.items():
            found[kind] = found.get(kind, 0) + count
    for claim in claims(led):
        if not claim.claimant.startswith("O"):
            found[claim.kind] = found.get(claim.kind, 0) + claim.count
    return found


def wanted_by(led: Ledgers, last: str) -> dict[str, list[tuple[str, int]]]:
    """
    Give what the open orders due by a day still want, by kind: order and count.

    Orders without a day are among them.
    """
    found: dict[str, list[tuple[str, int]]] = {}
    for order in open_orders(led):
        if not order.due or order.due[:10] <= last:
            for kind, count in order.outstanding.items():
                found.setdefault(kind, []).append((order.code, count))
    return found


def all_made(led: Ledgers) -> set[str]:
    """
    Give the orders not said to be ready whose bows are all at home and unclaimed.

    Those due first are served first.
    """
    free = {kind: held.free for kind, held in stock(led).items()}
    own: dict[str, dict[str, int]] = {}
    for claim in claims(led):
        own.setdefault(claim.claimant, {})[claim.kind] = claim.count
    found = set()
    for order in open_orders(led):
        kept = own.get(order.code, {})
        wanted = {k: n - kept.get(k, 0) for k, n in order.outstanding.items()}
        if order.state == READY or any(free.get(k, 0) < n for k, n in wanted.items()):
            continue
        found.add(order.code)
        for kind, count in wanted.items():
            free[kind] = free.get(kind, 0) - count
    return found


def _fair_claims(led: Ledgers) -> list[Claim]:
    found: list[Claim] = []
    for fair in fairs_not_over(led):
        if fair.plan is None:
            continue
        for kind, count in fair.plan.items():
            left = count - fair.packed.get(kind, 0)
            home = led.bows.balance(kind)[PLACE + HOME]
            if min(left, home) > 0:
                found.append(Claim(fair.code, kind, min(left, home)))
    return found


def stock(led: Ledgers) -> dict[str, KindStock]:
    """Give the stock of every kind with a timeline, by code, read once."""
    made = led.memo.get("stock")
    if made is None:
        made = led.memo["stock"] = _stock(led)
    assert isinstance(made, dict)
    return made


def _stock(led: Ledgers) -> dict[str, KindStock]:
    found: dict[str, KindStock] = {}
    for kind in led.bows.items:
        balance = led.bows.balance(kind)
        found[kind] = KindStock(
            kind, balance.under(PLACE), 0, balance[UNEXPLAINED],
            {k.removeprefix(PLACE): n for k, n in balance.missing.items()},
        )  # fmt: skip
    for claim in claims(led):
        found.setdefault(claim.kind, KindStock(claim.kind)).claimed += claim.count
    return found


def _as_they_came(led: Ledgers, things: Iterable[T]) -> list[T]:
    """Put spools or lots in the order they came, whenever they were typed."""
    zone = ZoneInfo(led.zone)
    return sorted(things, key=lambda one: (instant(one.happened, zone), one.seq))


class SpoolStock(NamedTuple):
    """What a spool still holds (nm): on it, ends kept, waiting in bundles."""

    spool: str
    ribbon: str
    lot: str
    left: int
    ends: int
    in_bundles: int
    unexplained: int
    begun: bool
    seq: int


def spools(led: Ledgers) -> list[SpoolStock]:
    """Give every spool's holdings, in the order they came."""
    return _held(led, led.spools.values())


def live_spools(led: Ledgers) -> list[SpoolStock]:
    """Give the spools that hold anything or miss an entry, in the order they came."""
    return _held(led, [led.spools[code] for code in live_codes(led)])


def live_codes(led: Ledgers) -> list[str]:
    """Give the codes of these spools, in the order they were first mentioned."""
    return [code for code in led.ribbon.live() if code in led.spools]


def _held(led: Ledgers, some: Iterable[Spool]) -> list[SpoolStock]:
    found = []
    for spool in _as_they_came(led, some):
        b = led.ribbon.balance(spool.code)
        line = led.ribbon.items.get(spool.code)
        found.append(
            SpoolStock(
                spool.code, spool.ribbon, spool.lot, b[r.LEFT], b[r.ENDS],
                b.total(r.BUNDLE), b[UNEXPLAINED], line is not None and len(line) > 1,
                spool.seq,
            )
        )  # fmt: skip
    return found


def ribbon_left(led: Ledgers) -> dict[str, int]:
    """Give the book length left on spools, nm by ribbon."""
    held: dict[str, int] = {}
    for spool in live_spools(led):
        held[spool.ribbon] = held.get(spool.ribbon, 0) + spool.left
    return held


class OnSpool(NamedTuple):
    """What is left on a spool (nm), and whether it was begun."""

    spool: str
    ribbon: str
    left: int
    begun: bool


def on_spool(led: Ledgers, code: str) -> OnSpool:
    """Give what is left on a spool, without its bundles and ends."""
    line = led.ribbon.items.get(code)
    begun = line is not None and len(line) > 1
    left = led.ribbon.held(code, r.LEFT)
    return OnSpool(code, led.spools[code].ribbon, left, begun)


def spool_to_cut(led: Ledgers, ribbon: str, need: int) -> list[OnSpool]:
    """
    Give the spools of a ribbon in the order she would take them.

    Begun spools first (the one cut last), then whole ones, the oldest first; those
    that hold enough before those that don't.
    """
    aside = spools_aside(led)

    def fit(some: Iterable[Spool]) -> list[OnSpool]:
        mine = [s for s in some if s.ribbon == ribbon and s.code not in aside]
        return [on_spool(led, spool.code) for spool in _as_they_came(led, mine)]

    alive = (led.spools[code] for code in live_codes(led))
    live = [s for s in fit(alive) if s.left > 0] or fit(led.spools.values())
    live.sort(key=lambda s: led.last_cut.get(s.spool, (0, 0)), reverse=True)
    return sorted(live, key=lambda s: (s.left < need, not s.begun))


def spools_aside(led: Ledgers) -> set[str]:
    """Give the spools she has set aside."""
    told = led.live("aside")
    return {spool for spool in told if led.page("aside", spool)[-1].event.aside}


def waiting(led: Ledgers, bundle: Bundle) -> int:
    """Give how many parts still wait in a bundle."""
    held = led.ribbon.balance(bundle.spool)[r.BUNDLE + bundle.code]
    return held // bundle.length


def bundles_waiting(led: Ledgers) -> list[tuple[Bundle, int]]:
    """Give the bundles with parts still waiting, the oldest first."""
    open_bundles = []
    for spool in sorted(live_codes(led)):
        for code, held in led.ribbon.balance(spool).under(r.BUNDLE).items():
            bundle = led.bundles.get(code)
            if bundle is not None and held >= bundle.length:
                open_bundles.append((bundle, held // bundle.length))
    return sorted(open_bundles, key=lambda pair: (pair[0].when, pair[0].seq))


def supply_left(led: Ledgers) -> dict[str, int]:
    """Give the whole units left, by supply."""
    held = dict.fromkeys(led.newest_lot, 0)
    for lot in _live_lots(led):
        held[lot.supply] += led.supplies.balance(lot.code)["left"]
    return held


def _live_lots(led: Ledgers) -> list[Lot]:
    """Give the lots that hold anything or miss an entry, in the order they came."""
    live = (led.lots[code] for code in led.supplies.live() if code in led.lots)
    return _as_they_came(led, live)


def live_lots(led: Ledgers) -> dict[str, list[str]]:
    """Give the lots that hold anything or miss an entry, by supply."""
    found: dict[str, list[str]] = {}
    for lot in _live_lots(led):
        found.setdefault(lot.supply, []).append(lot.code)
    return found


def lots_missing(led: Ledgers) -> set[str]:
    """Give the supplies of which more was used than the records had."""
    live = _live_lots(led)
    return {lot.supply for lot in live if led.supplies.balance(lot.code).missing}


def lots_to_use(led: Ledgers, supply: str, units: int) -> list[tuple[str, int]]:
    """Take whole units from the oldest lots first; what no lot has, from the newest."""
    lots = [lot for lot in _live_lots(led) if lot.supply == supply]
    newest = led.newest_lot.get(supply)
    taken: list[tuple[str, int]] = []
    for lot in lots:
        take = min(max(led.supplies.balance(lot.code)["left"], 0), units)
        if take > 0:
            taken.append((lot.code, take))
            units -= take
    if units > 0 and newest is not None:
        taken = _more(taken, newest[2], units)
    return taken


def _more(taken: list[tuple[str, int]], lot: str, units: int) -> list[tuple[str, int]]:
    held = dict(taken)
    held[lot] = held.get(lot, 0) + units
    return list(held.items())
