"""Rules of finished bows: opening stock, moves, gifts, write-offs, finds, counts."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from planner.events.base import Event
from planner.events.bows import (
    BatchNamed,
    BowsFound,
    BowsGiven,
    BowsLost,
    BowsMoved,
    BowsOpening,
    BowsWrittenOff,
    DisplayKept,
    LabelsPrinted,
    StockCounted,
    SupplyCounted,
)
from planner.ledgers.bows import HOME, PLACE
from planner.ledgers.catalogue import catalogue
from planner.ledgers.state import Ledgers
from planner.ledgers.stock import lots_to_use
from planner.rules.base import Proposal, plural, proposal
from planner.rules.bench import over_place
from planner.rules.finding import kind_names, place_name
from planner.values.moments import When

Bows = Sequence[tuple[str, int]]
How = Literal["gift", "prize", "sample", "own use"]


def _over(led: Ledgers, bows: Bows, place: str) -> list[str]:
    return [w for kind, count in bows for w in over_place(led, kind, place, count)]


def _names(led: Ledgers, bows: Bows) -> str:
    return kind_names(catalogue(led), bows)


def _now_at(led: Ledgers, bows: Bows, place: str, sign: int) -> str:
    """Say before and after of the first kind, which is all a line has room for."""
    kind, count = bows[0]
    before = led.bows.balance(kind)[PLACE + place]
    return f"{before} → {before + sign * count} at {place_name(led, place)}"


def opening(led: Ledgers, *, bows: Bows, place: str = HOME, when: When) -> Proposal:
    """Propose bows she already had when her records began."""
    event = BowsOpening(bows=tuple(bows), place=place)
    return proposal(
        [event],
        when,
        f"had already: {_names(led, bows)}: {_now_at(led, bows, place, 1)}",
    )


def moved(led: Ledgers, *, bows: Bows, source: str, to: str, when: When) -> Proposal:
    """Propose bows moved from one place to another."""
    event = BowsMoved(bows=tuple(bows), source=source, to=to)
    said = (
        f"moved {_names(led, bows)} from {place_name(led, source)} to "
        f"{place_name(led, to)}"
    )
    return proposal([event], when, said, warnings=_over(led, bows, source))


def given(
    led: Ledgers, *, bows: Bows, how: How, place: str, when: When,
    batch: str | None = None,
) -> Proposal:  # fmt: skip
    """Propose bows given away: a gift, a prize, a sample, own use."""
    event = BowsGiven(bows=tuple(bows), place=place, how=how, batch=batch)
    said = f"given ({how}): {_names(led, bows)}: {_now_at(led, bows, place, -1)}"
    return proposal([event], when, said, warnings=_over(led, bows, place))


def written_off(
    led: Ledgers, *, bows: Bows, place: str, why: str, when: When,
    batch: str | None = None,
) -> Proposal:  # fmt: skip
    """Propose bows written off."""
    event = BowsWrittenOff(bows=tuple(bows), place=place, why=why, batch=batch)
    said = f"written off: {_names(led, bows)}: {_now_at(led, bows, place, -1)}"
    return proposal([event], when, said, warnings=_over(led, bows, place))


def found(led: Ledgers, *, bows: Bows, place: str, when: When) -> Proposal:
    """Propose bows that turned up."""
    event = BowsFound(bows=tuple(bows), place=place)
    said = f"found: {_names(led, bows)}: {_now_at(led, bows, place, 1)}"
    return proposal([event], when, said)


def lost(led: Ledgers, *, bows: Bows, place: str, why: str, when: When) -> Proposal:
    """Propose bows she knows are gone."""
    event = BowsLost(bows=tuple(bows), place=place, why=why)
    said = f"lost: {_names(led, bows)}: {_now_at(led, bows, place, -1)}"
    return proposal([event], when, said, warnings=_over(led, bows, place))


def counted(
    led: Ledgers, *, counts: Bows, place: str, whole: bool, when: When
) -> Proposal:
    """Propose a count of bows at a place; what it contradicts is said and kept."""
    cat, warnings = catalogue(led), []
    for kind, count in counts:
        held = led.bows.balance(kind)[PLACE + place]
        if held != count:
            warnings.append(
                f"{cat.kind_name(kind)}: the records had {held}, you counted {count}; "
                f"{count - held:+d} goes to not yet explained"
            )
    if whole:
        warnings += _not_named(led, {kind for kind, _ in counts}, place)
    event = StockCounted(place=place, counts=tuple(counts), whole=whole)
    said = f"counted at {place_name(led, place)}: {_names(led, counts) or 'nothing'}"
    return proposal([event], when, said, warnings=warnings)


def _not_named(led: Ledgers, named: set[str], place: str) -> list[str]:
    cat = catalogue(led)
    gone = [
        (kind, led.bows.balance(kind)[PLACE + place])
        for kind in led.bows.items if kind not in named
    ]  # fmt: skip
    return [
        f"{cat.kind_name(kind)}: the records had {held}, none counted; {-held:+d} goes "
        "to not yet explained"
        for kind, held in gone
        if held
    ]


def display(led: Ledgers, *, kind: str, count: int, when: When) -> Proposal:
    """Propose how many of a kind stay on show and are not for sale."""
    event = DisplayKept(made=kind, count=count)
    name = catalogue(led).kind_name(kind)
    return proposal([event], when, f"kept for show: {plural(count, 'bow')}, {name}")


def supply_counted(led: Ledgers, *, supply: str, units: int, when: When) -> Proposal:
    """
    Propose a count of a supply over its lots.

    The count is laid on the lots oldest first used, so the newest hold what is left.
    """
    lots = [lot.code for lot in led.lots.values() if lot.supply == supply]
    held = {code: max(led.supplies.balance(code)["left"], 0) for code in lots}
    counts: list[tuple[str, int]] = []
    left = units
    for code in reversed(lots):
        room = held[code] if code != lots[0] else left
        take = min(left, room)
        counts.append((code, take))
        left -= take
    before = sum(held.values())
    warnings = []
    if before != units:
        warnings.append(
            f"the records had {before}; {units - before:+d} goes to not yet explained"
        )
    events: list[Event] = [SupplyCounted(counts=tuple(counts))]
    name = catalogue(led).supplies[supply].name
    return proposal(events, when, f"{name} counted: {units}", warnings=warnings)


def supply_used(led: Ledgers, *, supply: str, units: int, when: When) -> Proposal:
    """Propose whole units of a supply used up."""
    from planner.events.restock import SupplyUsed

    taken = lots_to_use(led, supply, units)
    events = [SupplyUsed(lot=lot, units=count) for lot, count in taken]
    name = catalogue(led).supplies[supply].name
    return proposal(events, when, f"used up: {units} {name}")


def labels(led: Ledgers, *, batch: str, count: int, when: When) -> Proposal:
    """Propose labels printed for a batch, which pins it to the bows on those cards."""
    event = LabelsPrinted(batch=batch, count=count)
    return proposal(
        [event], when, f"{plural(count, 'label')} printed for batch {batch}"
    )


def batch_named(
    led: Ledgers, *, batch: str, entry: int, count: int, when: When
) -> Proposal:
    """Propose that bows which left in an entry came from this batch."""
    event = BatchNamed(batch=batch, entry=entry, count=count)
    return proposal(
        [event],
        when,
        f"{plural(count, 'bow')} of entry {entry} came from batch {batch}",
    )
