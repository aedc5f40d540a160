"""Rules of finished bows: opening stock, moves, gifts, write-offs, finds, counts."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from planner.errors import Absurd
from planner.events.base import Event
from planner.events.bows import (
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
from planner.events.restock import SupplyFound, SupplyUsed
from planner.ledgers.bows import HOME, PLACE, STALL
from planner.ledgers.catalogue import catalogue
from planner.ledgers.fairs import fairs
from planner.ledgers.state import Ledgers
from planner.ledgers.stock import lots_to_use, supply_left
from planner.rules.base import (
    Proposal,
    next_code,
    plural,
    proposal,
    signed,
)
from planner.rules.bench import over_place
from planner.rules.finding import kind_names, place_name
from planner.rules.held import bows_change, held_when_read, read_words
from planner.rules.pricing import present
from planner.values.moments import When

Bows = Sequence[tuple[str, int]]
How = Literal["gift", "prize", "sample", "own use"]


def _over(led: Ledgers, bows: Bows, place: str, when: When) -> list[str]:
    return [
        w for kind, count in bows for w in over_place(led, kind, place, count, when)
    ]


def _names(led: Ledgers, bows: Bows) -> str:
    return kind_names(catalogue(led), bows)


def _now_at(led: Ledgers, bows: Bows, place: str, sign: int, when: When) -> str:
    """Say before and after of each kind, in the order they are named."""
    changes = [bows_change(led, kind, place, sign * n, when) for kind, n in bows]
    return f"{', '.join(changes)} at {place_name(led, place)}"


def opening(led: Ledgers, *, bows: Bows, place: str = HOME, when: When) -> Proposal:
    """Propose bows she already had when her records began."""
    event = BowsOpening(bows=tuple(bows), place=place)
    return proposal(
        [event],
        when,
        f"had already: {_names(led, bows)}: {_now_at(led, bows, place, 1, when)}",
    )


def moved(led: Ledgers, *, bows: Bows, source: str, to: str, when: When) -> Proposal:
    """
    Propose bows moved from one place to another.

    Raises:
        Absurd: when both are the same place.
    """
    if source == to:
        raise Absurd(
            f"They would be moved from {place_name(led, source)} to where they are.",
            instead="--to stall   (or --from where they were)",
        )
    event = BowsMoved(bows=tuple(bows), source=source, to=to)
    said = (
        f"moved {_names(led, bows)} from {place_name(led, source)} to "
        f"{place_name(led, to)}",
        _brought_words(led, bows, to),
    )
    odd = _over(led, bows, source, when)
    return proposal([event], when, *present(*said), warnings=odd)


def _brought_words(led: Ledgers, bows: Bows, to: str) -> str:
    fair = fairs(led).get(to.removeprefix(STALL)) if to.startswith(STALL) else None
    if fair is None:
        return ""
    before = sum(fair.packed.values())
    then = before + sum(count for _, count in bows)
    return f"brought to {fair.code}, {fair.name}: {before:,} → {plural(then, 'bow')}"


def given(
    led: Ledgers, *, bows: Bows, how: How, place: str, when: When,
    batch: str | None = None,
) -> Proposal:  # fmt: skip
    """Propose bows given away: a gift, a prize, a sample, own use."""
    event = BowsGiven(bows=tuple(bows), place=place, how=how, batch=batch)
    said = f"given ({how}): {_names(led, bows)}: {_now_at(led, bows, place, -1, when)}"
    return proposal([event], when, said, warnings=_over(led, bows, place, when))


def written_off(
    led: Ledgers, *, bows: Bows, place: str, why: str, when: When,
    batch: str | None = None,
) -> Proposal:  # fmt: skip
    """Propose bows written off."""
    event = BowsWrittenOff(bows=tuple(bows), place=place, why=why, batch=batch)
    said = f"written off: {_names(led, bows)}: {_now_at(led, bows, place, -1, when)}"
    return proposal([event], when, said, warnings=_over(led, bows, place, when))


def found(led: Ledgers, *, bows: Bows, place: str, when: When) -> Proposal:
    """Propose bows that turned up."""
    event = BowsFound(bows=tuple(bows), place=place)
    said = f"found: {_names(led, bows)}: {_now_at(led, bows, place, 1, when)}"
    return proposal([event], when, said)


def lost(led: Ledgers, *, bows: Bows, place: str, why: str, when: When) -> Proposal:
    """Propose bows she knows are gone."""
    event = BowsLost(bows=tuple(bows), place=place, why=why)
    said = f"lost: {_names(led, bows)}: {_now_at(led, bows, place, -1, when)}"
    return proposal([event], when, said, warnings=_over(led, bows, place, when))


def counted(
    led: Ledgers, *, counts: Bows, place: str, whole: bool, when: When
) -> Proposal:
    """Propose a count of bows at a place; what it contradicts is said and kept."""
    cat, warnings = catalogue(led), []
    for kind, count in counts:
        held = _had(led, kind, place, when)
        if held != count:
            warnings.append(
                f"{cat.kind_name(kind)}: the records had {held}, you counted {count}; "
                f"{signed(count - held)} goes to not yet explained"
            )
    if whole:
        warnings += _not_named(led, {kind for kind, _ in counts}, place, when)
    event = StockCounted(place=place, counts=tuple(counts), whole=whole)
    said = f"counted at {place_name(led, place)}: {_names(led, counts) or 'nothing'}"
    return proposal([event], when, said, warnings=warnings)


def _had(led: Ledgers, kind: str, place: str, when: When) -> int:
    account = PLACE + place
    held = held_when_read(led, led.bows, kind, account, when, reads="stock-counted")
    return max(held, 0)


def _not_named(led: Ledgers, named: set[str], place: str, when: When) -> list[str]:
    cat = catalogue(led)
    gone = [
        (kind, _had(led, kind, place, when))
        for kind in led.bows.items if kind not in named
    ]  # fmt: skip
    return [
        f"{cat.kind_name(kind)}: the records had {held}, none counted; "
        f"{signed(-held)} goes to not yet explained"
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
    name = catalogue(led).supplies[supply].name
    if not lots:
        return _counted_first(led, supply, units, name, when)
    held = {code: max(_units_when(led, code, when), 0) for code in lots}
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
            f"the records had {before}; {signed(units - before)} goes to not yet "
            "explained"
        )
    events: list[Event] = [SupplyCounted(counts=tuple(counts))]
    return proposal(events, when, f"{name} counted: {units}", warnings=warnings)


def _units_when(led: Ledgers, lot: str, when: When) -> int:
    return held_when_read(led, led.supplies, lot, "left", when, reads="supply-counted")


def _counted_first(
    led: Ledgers, supply: str, units: int, name: str, when: When
) -> Proposal:
    if not units:
        raise Absurd(
            f"No {name} is on record, and none was counted.",
            instead=f"bows supply in 200 {name}",
        )
    said = f"{name} counted: {units}"
    odd = [f"no {name} was on record; entered as {units} you already had"]
    return proposal([_first_lot(led, supply, units)], when, said, warnings=odd)


def supply_used(led: Ledgers, *, supply: str, units: int, when: When) -> Proposal:
    """Propose whole units of a supply used up."""
    taken = lots_to_use(led, supply, units)
    name = catalogue(led).supplies[supply].name
    odd = _odd_use(led, supply, units, name, [lot for lot, _ in taken], when)
    events: list[Event] = []
    if not taken:
        events.append(_first_lot(led, supply, units))
        taken = [(next_code(led, "L"), units)]
        odd = [f"no {name} was on record; entered as {units} you already had"]
    events += [SupplyUsed(lot=lot, units=count) for lot, count in taken]
    return proposal(events, when, f"used up: {units} {name}", warnings=odd)


def _odd_use(
    led: Ledgers, supply: str, units: int, name: str, lots: Sequence[str], when: When
) -> list[str]:
    for lot in lots:
        read = read_words(led, led.supplies, lot, "left", when, name=name)
        if read:
            return read
    return over_units(units, supply_left(led).get(supply, 0), name)


def _first_lot(led: Ledgers, supply: str, units: int) -> Event:
    """Give a lot to a supply that none was ever entered of."""
    lot = next_code(led, "L")
    return SupplyFound(lot=lot, supply=supply, units=units, paid=0)


def over_units(units: int, has: int, name: str) -> list[str]:
    """Say by how much units of a supply exceed what the records have."""
    if units <= max(has, 0):
        return []
    return [
        f"that is {units - max(has, 0):,} more {name} than the records have; entered "
        "as not yet explained"
    ]


def labels(led: Ledgers, *, batch: str, count: int, when: When) -> Proposal:
    """Propose labels printed for a batch, which pins it to the bows on those cards."""
    event = LabelsPrinted(batch=batch, count=count)
    return proposal(
        [event], when, f"{plural(count, 'label')} printed for batch {batch}"
    )
