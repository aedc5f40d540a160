"""
The ledger of supplies: per lot, in whole units.

Accounts: ``opening`` (negative; what was received) = ``left`` + ``used`` + ``lost`` +
``sent back`` + ``not yet explained``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from planner.events.base import Body
from planner.ledgers.state import Arrived, At, Ledgers, Lot
from planner.ledgers.timeline import OPENING

LEFT = "left"
USED = "used"
LOST = "lost"
SENT_BACK = "sent back"


def _came(led: Ledgers, supply: str, lot: str, at: At) -> None:
    if at[:2] >= led.newest_lot.get(supply, (0, 0))[:2]:
        led.newest_lot[supply] = at.when, at.seq, lot


def _received(led: Ledgers, e: Body, at: At) -> None:
    _came(led, e["supply"], e["lot"], at)
    if "restock" in e:
        came_in = Arrived(False, e["supply"], e["units"], 0, e["paid"])
        led.arrived.setdefault(e["restock"], []).append(came_in)
    led.lots[e["lot"]] = Lot(
        e["lot"], e["supply"], e["units"], e["paid"], e["supplier"], at.seq,
        at.happened, e.get("restock"),
    )  # fmt: skip
    led.supplies.move(e["lot"], at, OPENING, LEFT, e["units"])


def _found(led: Ledgers, e: Body, at: At) -> None:
    _came(led, e["supply"], e["lot"], at)
    led.lots[e["lot"]] = Lot(
        e["lot"], e["supply"], e["units"], e["paid"], "not told", at.seq,
        at.happened, None,
    )  # fmt: skip
    led.supplies.move(e["lot"], at, OPENING, LEFT, e["units"])


def _sent_back(led: Ledgers, e: Body, at: At) -> None:
    led.supplies.move(e["lot"], at, LEFT, SENT_BACK, e["units"])


def _used(led: Ledgers, e: Body, at: At) -> None:
    led.supplies.move(e["lot"], at, LEFT, USED, e["units"])


def _lost(led: Ledgers, e: Body, at: At) -> None:
    led.supplies.move(e["lot"], at, LEFT, LOST, e["units"])


def _counted(led: Ledgers, e: Body, at: At) -> None:
    for lot, units in e["counts"]:
        led.supplies.read(lot, at, LEFT, units)


def _use(led: Ledgers, supplies: Iterable[tuple[str, int]], at: At) -> None:
    for lot, units in supplies:
        led.supplies.move(lot, at, LEFT, USED, units)


def _finished(led: Ledgers, e: Body, at: At) -> None:
    _use(led, e["supplies"], at)


def _spoiled(led: Ledgers, e: Body, at: At) -> None:
    _use(led, e["supplies"], at)


def _reworked(led: Ledgers, e: Body, at: At) -> None:
    _use(led, e["supplies"], at)


POSTS: Mapping[str, Callable[[Ledgers, Body, At], None]] = {
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
