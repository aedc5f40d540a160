"""
The ribbon ledger: per spool, to the nanometre, where its ribbon is or went.

Accounts: ``opening`` (negative) = ``left`` + ``ends`` + ``bundle:C1`` ... + ``bows`` +
``trimmed`` + ``scrapped:why`` + ``sent:how`` + ``not yet explained``.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from planner.events.base import Body
from planner.ledgers.state import Arrived, Bundle, Ledgers, Spool, Spot, part_rows
from planner.ledgers.timeline import OPENING

LEFT = "left"
ENDS = "ends"
BOWS = "bows"
TRIMMED = "trimmed"
SCRAPPED = "scrapped:"
SENT = "sent:"
BUNDLE = "bundle:"
_NEVER = (0, 0)


def _enter(led: Ledgers, spool: Spool) -> None:
    """Enter a spool, and what it is into those wound off it but typed before it."""
    led.spools[spool.code] = spool
    if spool.ribbon:
        for code in led.wound_early.pop(spool.code, ()):
            _enter(
                led,
                led.spools[code]._replace(
                    ribbon=spool.ribbon, lot=spool.lot, supplier=spool.supplier
                ),
            )


def _note_cut(led: Ledgers, spool: str, at: Spot) -> None:
    here = at[:2]
    if here > led.last_cut.get(spool, _NEVER):
        led.last_cut[spool] = here


def _received(led: Ledgers, e: Body, at: Spot) -> None:
    if "restock" in e:
        came_in = Arrived(True, e["ribbon"], 1, e["length"], e["paid"])
        led.arrived.setdefault(e["restock"], []).append(came_in)
    _, seq, happened, _ = at
    came = Spool(
        e["spool"], e["ribbon"], e["length"], e["lot"], e["supplier"], e["paid"],
        seq, happened, e.get("restock"), None, False,
    )  # fmt: skip
    _enter(led, came)
    led.ribbon.move(e["spool"], at, OPENING, LEFT, e["length"])


def _part_used(led: Ledgers, e: Body, at: Spot) -> None:
    _, seq, happened, _ = at
    there = Spool(
        e["spool"], e["ribbon"], e.get("label") or e["length"], e["lot"],
        e["supplier"], e["paid"], seq, happened, None, None, True,
    )  # fmt: skip
    _enter(led, there)
    led.ribbon.move(e["spool"], at, OPENING, LEFT, e["length"])


def _read(led: Ledgers, e: Body, at: Spot) -> None:
    led.ribbon.read(e["spool"], at, LEFT, e["left"])


def _wound(led: Ledgers, e: Body, at: Spot) -> None:
    old = led.spools.get(e["spool"])
    if old is None or not old.ribbon:
        led.wound_early.setdefault(e["spool"], []).append(e["onto"])
    _, seq, happened, _ = at
    new = Spool(
        e["onto"], old.ribbon if old else "", e["length"], old.lot if old else "",
        old.supplier if old else "", 0, seq, happened, None, e["spool"], True,
    )  # fmt: skip
    _enter(led, new)
    led.ribbon.move(e["spool"], at, LEFT, SENT + "wound", e["length"])
    led.ribbon.move(e["onto"], at, OPENING, LEFT, e["length"])


def _end_kept(led: Ledgers, e: Body, at: Spot) -> None:
    led.ribbon.move(e["spool"], at, LEFT, ENDS, e["length"])


def _end_scrapped(led: Ledgers, e: Body, at: Spot) -> None:
    led.ribbon.move(e["spool"], at, ENDS, SCRAPPED + e["why"], e["length"])


def _scrapped(led: Ledgers, e: Body, at: Spot) -> None:
    led.ribbon.move(e["spool"], at, LEFT, SCRAPPED + e["why"], e["length"])


def _sent(led: Ledgers, e: Body, at: Spot) -> None:
    led.ribbon.move(e["spool"], at, LEFT, SENT + e["how"], e["length"])


def _came_back(led: Ledgers, e: Body, at: Spot) -> None:
    led.ribbon.move(e["spool"], at, SENT + "lent", LEFT, e["length"])


def _cut(led: Ledgers, e: Body, at: Spot) -> None:
    bundle, spool, length, count = e["bundle"], e["spool"], e["length"], e["count"]
    when, seq, happened, _ = at
    led.bundles.enter(bundle, (
        bundle, spool, e["role"], length, count, e.get("for_kind"), seq, when,
        happened, e.get("sitting"),
    ))  # fmt: skip
    account = BUNDLE + bundle
    led.ribbon.number(account)  # before it is missed, which would take as long again
    led.ribbon.move(spool, at, LEFT, account, length * count)
    _note_cut(led, spool, at)


def _recut(led: Ledgers, e: Body, at: Spot) -> None:
    when, seq, happened, _ = at
    led.bundles[e["onto"]] = Bundle(
        e["onto"], e["spool"], e["role"], e["new_length"], e["count"], None,
        seq, when, happened, None,
    )  # fmt: skip
    _note_cut(led, e["spool"], at)
    source, onto, move = BUNDLE + e["bundle"], BUNDLE + e["onto"], led.ribbon.move
    left = e["new_length"] * e["count"]
    trimmed = e["old_length"] * e["count"] - left
    move(e["spool"], at, source, onto, left)
    move(e["spool"], at, source, TRIMMED, trimmed)


def _parts_scrapped(led: Ledgers, e: Body, at: Spot) -> None:
    led.ribbon.move(
        e["spool"], at, BUNDLE + e["bundle"], SCRAPPED + e["why"],
        e["length"] * e["count"],
    )  # fmt: skip


def _parts_counted(led: Ledgers, e: Body, at: Spot) -> None:
    led.ribbon.read(e["spool"], at, BUNDLE + e["bundle"], e["length"] * e["count"])


def _use(led: Ledgers, part: Body, at: Spot, target: str) -> None:
    """Move parts to `target`, from their bundle or (told so) right off the spool."""
    spool, bundle = part.get("spool"), part.get("bundle")
    if spool is None:
        return
    source = LEFT if bundle is None else BUNDLE + bundle
    amount = part["length"] * part["count"]
    led.ribbon.move(spool, at, source, target, amount)


def _finished(led: Ledgers, e: Body, at: Spot) -> None:
    for part in e["parts"]:
        if part.get("spool") is None:
            led.untold_parts[e["batch"]] = True
        _use(led, part, at, BOWS)


def _parts_told(led: Ledgers, e: Body, at: Spot) -> None:
    led.batch_parts.setdefault(e["batch"], []).extend(part_rows(e["parts"]))
    for part in e["parts"]:
        _use(led, part, at, BOWS)


def _spoiled(led: Ledgers, e: Body, at: Spot) -> None:
    for part in e["scrapped"]:
        _use(led, part, at, SCRAPPED + "spoiled")


def _apart(led: Ledgers, e: Body, at: Spot) -> None:
    for part in e["scrapped"]:
        if "spool" in part:
            led.ribbon.move(
                part["spool"], at, BOWS, SCRAPPED + "taken apart",
                part["length"] * part["count"],
            )  # fmt: skip


def _trimmed(led: Ledgers, e: Body, at: Spot) -> None:
    led.ribbon.move(e["spool"], at, BOWS, TRIMMED, e["length"])


POSTS: Mapping[str, Callable[[Ledgers, Body, Spot], None]] = {
    "spool-received": _received,
    "spool-found-part-used": _part_used,
    "spool-read": _read,
    "spool-wound-in-two": _wound,
    "end-kept": _end_kept,
    "end-scrapped": _end_scrapped,
    "ribbon-scrapped": _scrapped,
    "ribbon-sent": _sent,
    "ribbon-came-back": _came_back,
    "ribbon-cut": _cut,
    "parts-recut": _recut,
    "parts-scrapped": _parts_scrapped,
    "parts-counted": _parts_counted,
    "bows-finished": _finished,
    "batch-parts-told": _parts_told,
    "bows-reworked": _finished,
    "bows-spoiled": _spoiled,
    "bows-taken-apart": _apart,
    "trimmings-measured": _trimmed,
}
