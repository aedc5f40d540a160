"""
The ledger of supplies: per lot, in whole units.

Accounts: ``opening`` (negative; what was received) = ``left`` + ``used`` + ``lost`` +
``sent back`` + ``not yet explained``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from planner.events.base import Body
from planner.ledgers.state import Arrived, Ledgers, Lot, Spot
from planner.ledgers.timeline import OPENING

LEFT = "left"
USED = "used"
LOST = "lost"
SENT_BACK = "sent back"


def _came(led: Ledgers, supply: str, lot: str, at: Spot) -> None:
    when, seq, _, _ = at
    if (when, seq) >= led.newest_lot.get(supply, (0, 0))[:2]:
        led.newest_lot[supply] = when, seq, lot


def _received(led: Ledgers, e: Body, at: Spot) -> None:
    _came(led, e["supply"], e["lot"], at)
    if "restock" in e:
        came_in = Arrived(False, e["supply"], e["units"], 0, e["paid"])
        led.arrived.setdefault(e["restock"], []).append(came_in)
    _, seq, happened, _ = at
    led.lots[e["lot"]] = Lot(
        e["lot"], e["supply"], e["units"], e["paid"], e["supplier"], seq, happened,
        e.get("restock"),
    )  # fmt: skip
    led.supplies.move(e["lot"], at, OPENING, LEFT, e["units"])


def _found(led: Ledgers, e: Body, at: Spot) -> None:
    _came(led, e["supply"], e["lot"], at)
    _, seq, happened, _ = at
    led.lots[e["lot"]] = Lot(
        e["lot"], e["supply"], e["units"], e["paid"], "not told", seq, happened, None
    )
    led.supplies.move(e["lot"], at, OPENING, LEFT, e["units"])


def _sent_back(led: Ledgers, e: Body, at: Spot) -> None:
    led.supplies.move(e["lot"], at, LEFT, SENT_BACK, e["units"])


def _used(led: Ledgers, e: Body, at: Spot) -> None:
    led.supplies.move(e["lot"], at, LEFT, USED, e["units"])


def _lost(led: Ledgers, e: Body, at: Spot) -> None:
    led.supplies.move(e["lot"], at, LEFT, LOST, e["units"])


def _counted(led: Ledgers, e: Body, at: Spot) -> None:
    for lot, units in e["counts"]:
        led.supplies.read(lot, at, LEFT, units)


def _use(led: Ledgers, supplies: Iterable[tuple[str, int]], at: Spot) -> None:
    for lot, units in supplies:
        led.supplies.move(lot, at, LEFT, USED, units)


def _finished(led: Ledgers, e: Body, at: Spot) -> None:
    _use(led, e["supplies"], at)


def _spoiled(led: Ledgers, e: Body, at: Spot) -> None:
    _use(led, e["supplies"], at)


def _reworked(led: Ledgers, e: Body, at: Spot) -> None:
    _use(led, e["supplies"], at)


POSTS: Mapping[str, Callable[[Ledgers, Body, Spot], None]] = {
    "supply-received": _received,
    "supply-found": _found,
    "supply-sent-back": _sent_back,
    "supply-used": _used,
    "supply-lost": _lost,
    "supply-counted": _counted,
    "bows-finished": _finished,
    "bows-spoiled": _spoiled,
    "bows-reworked": _reworked,
}
