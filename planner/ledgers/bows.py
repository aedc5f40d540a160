"""
The ledger of bows: per kind, where each bow is or went.

Accounts: ``opening``, ``finished``, ``returned``, ``found`` (negative) = ``at:place``
... + ``sold`` + ``handed over`` + ``given:how`` + ``written off`` + ``taken apart`` +
``reworked`` + ``lost`` + ``not yet explained``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from sys import intern
from typing import Any

from planner.events.base import Body
from planner.ledgers.state import Batch, Ledgers, Spoiled, Spot, part_rows
from planner.ledgers.timeline import OPENING

PLACE = "at:"
FINISHED = "finished"
RETURNED = "returned"
FOUND = "found"
SOLD = "sold"
HANDED_OVER = "handed over"
GIVEN = "given:"
WRITTEN_OFF = "written off"
APART = "taken apart"
REWORKED = "reworked"
LOST = "lost"
STALL = "stall:"
HOME = "home"
UNNOTICED = ":?"
"""Ends a kind whose colour was not noticed: ``classic-4in:?``."""


def stall(fair: str) -> str:
    """Name the place a fair's stall is."""
    return STALL + fair


def _all(
    led: Ledgers, bows: Iterable[tuple[str, int]], at: Spot, source: str, target: str
) -> None:
    move = led.bows.move
    for kind, count in bows:
        if count:
            move(kind, at, source, target, count)


def _batch_out(
    led: Ledgers, batch: str | None, bows: Any, at: Spot, where: str
) -> None:
    if batch is not None:
        led.batch_out.append((batch, where, sum(n for _, n in bows), at[1]))


def _finished(led: Ledgers, e: Body, at: Spot) -> None:
    batch, made, count, place = e["batch"], e["made"], e["count"], e["place"]
    order, (when, seq, happened, _) = e.get("order"), at
    led.batches.enter(batch, (
        batch, made, e["revision"], count, place, part_rows(e["parts"]),
        tuple(map(tuple, e["supplies"])), e.get("sitting"), e.get("minutes"), order,
        e.get("ready"), seq, when, happened,
    ))  # fmt: skip
    if order is not None:
        led.made_for.setdefault(order, []).append(batch)
    led.bows.move(made, at, FINISHED, PLACE + place, count)


def _spoiled(led: Ledgers, e: Body, at: Spot) -> None:
    when, seq, _, _ = at
    led.spoiled.append(Spoiled(e["made"], e["count"], e.get("sitting"), seq, when))


def _sitting(led: Ledgers, e: Body, at: Spot) -> None:
    when, seq, happened, _ = at
    led.sittings.enter(e["sitting"], (
        e["sitting"], e["minutes"], e.get("planned"), seq, when, happened
    ))  # fmt: skip


def _reworked(led: Ledgers, e: Body, at: Spot) -> None:
    place, (when, seq, happened, _) = PLACE + e["place"], at
    led.batches[e["batch"]] = Batch(
        e["batch"], e["became"], None, e["count"], e["place"],
        part_rows(e["parts"]), tuple(map(tuple, e["supplies"])), None, None, None,
        None, seq, when, happened,
    )  # fmt: skip
    led.bows.move(e["was"], at, place, REWORKED, e["count"])
    led.bows.move(e["became"], at, FINISHED, place, e["count"])


def _apart(led: Ledgers, e: Body, at: Spot) -> None:
    led.bows.move(e["made"], at, PLACE + e["place"], APART, e["count"])
    _batch_out(led, e.get("batch"), ((e["made"], e["count"]),), at, APART)


def _opening(led: Ledgers, e: Body, at: Spot) -> None:
    _all(led, e["bows"], at, OPENING, PLACE + e["place"])


def _moved(led: Ledgers, e: Body, at: Spot) -> None:
    _all(led, e["bows"], at, PLACE + e["source"], PLACE + e["to"])
    _brought(led, e["to"], e["bows"], 1)
    if "fair" not in e:  # what is moved home when a fair is settled was brought there
        _brought(led, e["source"], e["bows"], -1)


def _brought(
    led: Ledgers, place: str, bows: Iterable[tuple[str, int]], sign: int
) -> None:
    if place.startswith(STALL):
        _tally(led.fair_moves, place.removeprefix(STALL), bows, sign)


def _given(led: Ledgers, e: Body, at: Spot) -> None:
    _all(led, e["bows"], at, PLACE + e["place"], GIVEN + e["how"])
    _batch_out(led, e.get("batch"), e["bows"], at, GIVEN + e["how"])


def _written_off(led: Ledgers, e: Body, at: Spot) -> None:
    _all(led, e["bows"], at, PLACE + e["place"], WRITTEN_OFF)
    _batch_out(led, e.get("batch"), e["bows"], at, WRITTEN_OFF)


def _found(led: Ledgers, e: Body, at: Spot) -> None:
    _all(led, e["bows"], at, FOUND, PLACE + e["place"])


def _lost(led: Ledgers, e: Body, at: Spot) -> None:
    _all(led, e["bows"], at, PLACE + e["place"], LOST)


def _counted(led: Ledgers, e: Body, at: Spot) -> None:
    place = PLACE + e["place"]
    for kind, count in e["counts"]:
        led.bows.read(kind, at, place, count)
    if e["whole"]:
        led.bows.count_through(at, place)


def _handed_over(led: Ledgers, e: Body, at: Spot) -> None:
    _all(led, e["bows"], at, PLACE + e["place"], HANDED_OVER)
    _batch_out(led, e.get("batch"), e["bows"], at, HANDED_OVER)


def _lost_in_post(led: Ledgers, e: Body, at: Spot) -> None:
    _all(led, e["bows"], at, HANDED_OVER, LOST)


def _order_returned(led: Ledgers, e: Body, at: Spot) -> None:
    place = PLACE + e["place"]
    led.bows.move(e["made"], at, RETURNED, place, e["count"])
    if e["to"] == WRITTEN_OFF:
        led.bows.move(e["made"], at, place, WRITTEN_OFF, e["count"])


def _sold(led: Ledgers, e: Body, at: Spot) -> None:
    _all(led, e["bows"], at, PLACE + e["place"], SOLD)
    if "batch" in e:
        _batch_out(led, e["batch"], e["bows"], at, SOLD)
    if "fair" in e:
        _tally(led.fair_sales, e["fair"], e["bows"], 1)
        if "what" in e:
            in_sets = led.fair_sets.setdefault(e["fair"], {})
            _tally(in_sets, e["what"], e["bows"], 1)


def _taken_back(led: Ledgers, e: Body, at: Spot) -> None:
    _all(led, e["bows"], at, RETURNED, PLACE + e["place"])
    if "fair" in e:
        _tally(led.fair_sales, e["fair"], e["bows"], -1)


def _unlogged(led: Ledgers, e: Body, at: Spot) -> None:
    _all(led, e["bows"], at, PLACE + e["place"], SOLD)
    _tally(led.fair_sales, e["fair"], e["bows"], 1)


def _tally(
    tallies: dict[str, dict[str, int]], fair: str, bows: Iterable[tuple[str, int]],
    sign: int,
) -> None:  # fmt: skip
    of_fair = tallies.setdefault(fair, {})
    for kind, count in bows:  # each name kept once, however many fairs had it
        of_fair[intern(kind)] = of_fair.get(kind, 0) + sign * count


def _statement(led: Ledgers, e: Body, at: Spot) -> None:
    _all(led, e["sold"], at, PLACE + e["place"], SOLD)


def _wholesale(led: Ledgers, e: Body, at: Spot) -> None:
    _all(led, e["bows"], at, PLACE + e["place"], SOLD)


def _named(led: Ledgers, e: Body, at: Spot) -> None:
    if "seq" in e:
        led.batch_out.append((e["batch"], "named", e["count"], e["seq"]))


def _packed(led: Ledgers, e: Body, at: Spot) -> None:
    _all(led, e["bows"], at, PLACE + e["source"], PLACE + stall(e["fair"]))


POSTS: Mapping[str, Callable[[Ledgers, Body, Spot], None]] = {
    "bows-finished": _finished,
    "bows-spoiled": _spoiled,
    "sitting-logged": _sitting,
    "bows-reworked": _reworked,
    "bows-taken-apart": _apart,
    "bows-opening": _opening,
    "bows-moved": _moved,
    "bows-given": _given,
    "bows-written-off": _written_off,
    "bows-found": _found,
    "bows-lost": _lost,
    "stock-counted": _counted,
    "order-handed-over": _handed_over,
    "order-lost-in-post": _lost_in_post,
    "order-returned": _order_returned,
    "bows-sold": _sold,
    "sale-taken-back": _taken_back,
    "unlogged-sales-told": _unlogged,
    "boutique-statement": _statement,
    "wholesale-sold": _wholesale,
    "fair-packed": _packed,
    "batch-named": _named,
}
