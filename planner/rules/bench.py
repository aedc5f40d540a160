"""Rules of the bench: cutting, finishing, spoiling, reworking, taking apart."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple
from zoneinfo import ZoneInfo

from planner.errors import Unknown
from planner.events.base import Event
from planner.events.bench import (
    BowsFinished,
    BowsSpoiled,
    RibbonCut,
    SittingLogged,
)
from planner.events.fields import PartUse
from planner.ledgers.bows import HOME, PLACE
from planner.ledgers.catalogue import Pattern, catalogue
from planner.ledgers.ribbon import LEFT
from planner.ledgers.state import Bundle, Ledgers
from planner.ledgers.stock import (
    OnSpool,
    bundles_waiting,
    lots_to_use,
    on_spool,
    spool_to_cut,
)
from planner.rules.base import (
    Proposal,
    later,
    next_code,
    plural,
    proposal,
)
from planner.rules.finding import place_name
from planner.rules.held import bows_change, held_before, read_since, short_by_then
from planner.rules.odd import many, odd_pace
from planner.values.daywords import short_day
from planner.values.moments import When, day_of, end_of_day
from planner.values.units import format_length


class Take(NamedTuple):
    """Parts to take for a batch: from a bundle, or from no bundle on record."""

    part: PartUse
    known: bool


def _style(led: Ledgers) -> str:
    page = led.page("shop", "")
    return "auto-metric" if page and page[0].event.units == "metric" else "auto-us"


def length_words(led: Ledgers, nm: int) -> str:
    """Say a length in the shop's units."""
    return format_length(nm, style=_style(led))


def length_or_nothing(led: Ledgers, nm: int) -> str:
    """Say a length that may be none at all, or less than none, which is none."""
    return length_words(led, nm) if nm > 0 else "nothing"


def spool_for(led: Ledgers, ribbon: str, need: int, told: str | None) -> OnSpool:
    """
    Give the spool she told, else the one of a ribbon that she would take.

    Raises:
        Unknown: when none of that ribbon is on record.
    """
    if told is not None:
        return on_spool(led, told)
    choices = spool_to_cut(led, ribbon, need)
    if not choices:
        name = catalogue(led).ribbon_name(ribbon)
        raise Unknown(
            f"No spool of {name} is on record.",
            instead=f"bows in {ribbon} 100yd   (or: bows spool found {ribbon} 40yd)",
        )
    return choices[0]


def cut(
    led: Ledgers,
    *,
    kind: str,
    bows: int,
    when: When,
    spool: str | None = None,
    roles: Sequence[str] = (),
    sitting: str | None = None,
) -> Proposal:
    """Propose the cuts for so many bows of a kind: one bundle a role."""
    cat = catalogue(led)
    pattern, way = cat.pattern_of(kind), cat.colourway_of(kind)
    if way is None:
        raise Unknown("A cut needs its colour.", instead="bows cut 12 4in navy")
    wanted = [p for p in pattern.parts if not roles or p[0] in roles]
    if not wanted:
        names = ", ".join(role for role, _, _ in pattern.parts)
        raise Unknown(
            f"{pattern.name} has no such part.", instead=f"its parts: {names}"
        )
    events: list[Event] = []
    said: list[str] = []
    warnings: list[str] = []
    needed: dict[str, int] = {}
    for role, length, count in wanted:
        ribbon = way.ribbon_for(role)
        needed[ribbon] = needed.get(ribbon, 0) + length * count * bows
    drawn: dict[str, int] = {}
    for index, (role, length, count) in enumerate(wanted):
        ribbon = way.ribbon_for(role)
        source = spool_for(led, ribbon, needed[ribbon], spool)
        bundle = next_code(led, "C", more=index)
        taken = RibbonCut(
            bundle=bundle, spool=source.spool, role=role, length=length,
            count=count * bows, for_kind=kind, revision=pattern.revision,
            sitting=sitting,
        )  # fmt: skip
        events.append(taken)
        used = length * count * bows
        before = draw(drawn, source, used)
        said.append(cut_words(led, taken, before, when))
        if source.ribbon != ribbon:
            warnings.append(
                f"{source.spool} is {cat.ribbon_name(source.ribbon)}, not "
                f"{cat.ribbon_name(ribbon)}"
            )
        warnings += cut_short(led, source.spool, used, before, when)
    return proposal(events, when, *said, warnings=warnings)


def draw(drawn: dict[str, int], source: OnSpool, used: int) -> int:
    """Draw a length off a spool within one entry; give what was left before it."""
    before = source.left - drawn.get(source.spool, 0)
    drawn[source.spool] = drawn.get(source.spool, 0) + used
    return before


def cut_short(
    led: Ledgers, spool: str, used: int, before: int, when: When
) -> list[str]:
    """Say by how much a cut exceeds what the records have on a spool (nm)."""
    if used <= before or read_since(led, led.ribbon, spool, LEFT, when):
        return []
    short = length_words(led, used - max(before, 0))
    return [
        f"that is {short} more than the records have on {spool}; entered as not yet "
        "explained"
    ]


def cut_words(led: Ledgers, cut: RibbonCut, before: int, when: When) -> str:
    """Say what a cut takes from a spool, and what it leaves on it."""
    name = catalogue(led).ribbon_name(led.spools[cut.spool].ribbon)
    return (
        f"bundle {cut.bundle}: {plural(cut.count, f'{cut.role} part')} of "
        f"{length_words(led, cut.length)} from {cut.spool} ({name}): "
        f"{_left_words(led, cut, before, when)}"
    )


def _left_words(led: Ledgers, cut: RibbonCut, before: int, when: When) -> str:
    day = read_since(led, led.ribbon, cut.spool, LEFT, when)
    if day:
        left = length_or_nothing(led, led.ribbon.held(cut.spool, LEFT))
        return f"still {left} left, as read {day}; what is not yet explained changes"
    after = before - cut.length * cut.count
    return f"{length_or_nothing(led, before)} → {length_or_nothing(led, after)} left"


def cut_ahead(
    led: Ledgers, *, spool: str, role: str, length: int, count: int, when: When,
    sitting: str | None = None,
) -> Proposal:  # fmt: skip
    """Propose standard parts cut ahead for no kind in particular."""
    source = on_spool(led, spool)
    bundle = next_code(led, "C")
    event = RibbonCut(
        bundle=bundle, spool=spool, role=role, length=length, count=count,
        sitting=sitting,
    )  # fmt: skip
    warnings = cut_short(led, spool, length * count, source.left, when)
    words = cut_words(led, event, source.left, when)
    return proposal([event], when, words, warnings=warnings)


def _fits(bundle: Bundle, kind: str) -> bool:
    return bundle.for_kind is None or bundle.for_kind == kind


def parts_for(
    led: Ledgers, *, kind: str, bows: int, pattern: Pattern, when: When,
    bundles: Sequence[str] = (), spool: str | None = None,
) -> list[Take]:  # fmt: skip
    """
    Take parts for so many bows, from the oldest fitting bundles first.

    A bundle cut for this kind goes before parts cut ahead; one cut after that day is
    taken only when she names it.  What no bundle holds is taken from none: such parts
    post nothing, unless she said which spool.
    """
    end = _day_end(led, when)
    cat = catalogue(led)
    way = cat.colourway_of(kind)
    takes: list[Take] = []
    if way is None:
        return takes
    offered = [
        (b, n) for b, n in bundles_waiting(led)
        if (b.code in bundles if bundles else _fits(b, kind) and b.when <= end)
    ]  # fmt: skip
    offered.sort(key=lambda pair: pair[0].for_kind is None)
    for role, length, count in pattern.parts:
        need, ribbon = count * bows, way.ribbon_for(role)
        for bundle, held in offered:
            if need == 0:
                break
            fits = bundle.role == role and _ribbon_of(led, bundle.spool) == ribbon
            if not fits or (not bundles and bundle.length != length):
                continue
            take = min(need, held)
            takes.append(
                Take(
                    PartUse(role=role, length=bundle.length, count=take,
                            bundle=bundle.code, spool=bundle.spool), True,
                )
            )  # fmt: skip
            need -= take
        if need:
            takes.append(
                Take(PartUse(role=role, length=length, count=need, spool=spool), False)
            )
    return takes


def _ribbon_of(led: Ledgers, spool: str) -> str:
    known = led.spools.get(spool)
    return known.ribbon if known else ""


def _supplies_for(
    led: Ledgers, pattern: Pattern, bows: int
) -> tuple[tuple[str, int], ...]:
    """Take the whole-unit supplies of a batch; those used by yield post nothing."""
    cat, used = catalogue(led), []
    for supply, count in pattern.supplies:
        if cat.supplies[supply].yields == 1:
            used += lots_to_use(led, supply, count * bows)
    return tuple(used)


def made(
    led: Ledgers,
    *,
    kind: str,
    bows: int,
    when: When,
    minutes: int | None = None,
    place: str = HOME,
    bundles: Sequence[str] = (),
    spool: str | None = None,
    order: str | None = None,
    sitting: str | None = None,
) -> Proposal:
    """Propose a batch of finished bows; a cut not on record is said, not invented."""
    cat = catalogue(led)
    pattern = cat.pattern_of(kind)
    takes = parts_for(
        led, kind=kind, bows=bows, pattern=pattern, bundles=bundles, spool=spool,
        when=when,
    )  # fmt: skip
    batch = next_code(led, "B")
    events: list[Event] = []
    if minutes is not None and sitting is None:
        sitting = next_code(led, "T")
        events.append(SittingLogged(sitting=sitting, minutes=minutes))
    events.append(
        BowsFinished(
            batch=batch, made=kind, revision=pattern.revision, count=bows, place=place,
            parts=tuple(t.part for t in takes),
            supplies=_supplies_for(led, pattern, bows), sitting=sitting,
            minutes=minutes, order=order,
            ready=later(when, pattern.setting) if pattern.setting else None,
        )
    )  # fmt: skip
    change = bows_change(led, kind, place, bows, when)
    said = [
        f"batch {batch}: {plural(bows, 'bow')}, {cat.kind_name(kind)}: "
        f"{change} at {place_name(led, place)}"
    ]
    if minutes is not None:
        said.append(f"sitting {sitting}: {minutes} min, {minutes / bows:.1f} min a bow")
    if pattern.setting:
        said.append(f"the glue wants {pattern.setting} min to set before they go out")
    warnings = _uncut(batch, takes) + _cut_later(led, takes, when)
    warnings += [*many(bows, what="batch"), *odd_pace(pattern, bows, minutes)]
    return proposal(events, when, *said, warnings=warnings)


def _uncut(batch: str, takes: list[Take]) -> list[str]:
    missing = [t.part for t in takes if not t.known and t.part.spool is None]
    if not missing:
        return []
    words = ", ".join(f"{p.count} {p.role}" for p in missing)
    return [
        f"the records have no cut for {words} of these; the spool's story says so, and "
        f"that its left is too high. If the cut was never typed: bows cut-late {batch}"
    ]


def _day_end(led: Ledgers, when: When) -> int:
    zone = ZoneInfo(led.zone)
    return end_of_day(day_of(when.text, zone), zone)


def _cut_later(led: Ledgers, takes: list[Take], when: When) -> list[str]:
    """Say which of the bundles she named were cut after the day she tells of."""
    zone, end = ZoneInfo(led.zone), _day_end(led, when)
    named = dict.fromkeys(t.part.bundle for t in takes if t.part.bundle)
    cut = [led.bundles[code] for code in named]
    return [
        f"{b.code} was cut after that day, {short_day(day_of(b.happened, zone))}"
        for b in cut if b.when > end
    ]  # fmt: skip


def spoiled(
    led: Ledgers, *, kind: str, bows: int, when: When, keep: Sequence[str] = (),
    supplies: bool = False, sitting: str | None = None, why: str = "",
) -> Proposal:  # fmt: skip
    """Propose bows spoiled at the bench: parts scrapped, but for the roles kept."""
    cat = catalogue(led)
    pattern = cat.pattern_of(kind)
    takes = parts_for(led, kind=kind, bows=bows, pattern=pattern, when=when)
    gone = tuple(t.part for t in takes if t.known and t.part.role not in keep)
    kept = tuple(t.part for t in takes if t.known and t.part.role in keep)
    event = BowsSpoiled(
        made=kind, revision=pattern.revision, count=bows, scrapped=gone, kept=kept,
        supplies=_supplies_for(led, pattern, bows) if supplies else (),
        sitting=sitting, why=why,
    )  # fmt: skip
    lost = sum(p.length * p.count for p in gone)
    said = f"{plural(bows, 'bow')} spoiled, {cat.kind_name(kind)}"
    if lost:
        said += f": {length_words(led, lost)} of ribbon scrapped"
    return proposal([event], when, said)


def sitting(
    led: Ledgers, *, minutes: int, when: When, planned: int | None = None
) -> Proposal:
    """Propose a stretch of bench time that may mix kinds."""
    code = next_code(led, "T")
    event = SittingLogged(sitting=code, minutes=minutes, planned=planned)
    return proposal([event], when, f"sitting {code}: {minutes} min at the bench")


def over_place(led: Ledgers, kind: str, place: str, bows: int, when: When) -> list[str]:
    """Say by how much a movement exceeds what the records have at a place."""
    held = held_before(led, led.bows, kind, PLACE + place, when)
    if bows <= held:
        return short_by_then(led, kind, place, bows, when)
    return [
        f"that is {bows - held} more {catalogue(led).kind_name(kind)} than the records "
        f"have at {place_name(led, place)}; entered as not yet explained"
    ]
