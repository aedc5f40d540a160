"""Build the stock matrix's view from the ledgers."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from datetime import date

from planner.engines.uncut import too_high
from planner.ledgers.bows import HOME, UNNOTICED
from planner.ledgers.catalogue import Catalogue, catalogue
from planner.ledgers.fairs import fairs
from planner.ledgers.shelves import code_number
from planner.ledgers.state import Ledgers, Spool
from planner.ledgers.stock import (
    KindStock,
    bundles_waiting,
    live_codes,
    live_lots,
    live_spools,
    lots_missing,
    promised,
    stock,
    supply_left,
)
from planner.rules.base import plural
from planner.rules.finding import place_name
from planner.views import naming
from planner.views.ahead import dated_ahead
from planner.views.common import Oddity, SpoolLeft, SupplyLeft
from planner.views.foot import foot
from planner.views.stock import (
    ColourTotal,
    PlaceCount,
    SizeTotal,
    StockCell,
    StockFigures,
    StockMatrix,
)

LOW = 5 * 914_400_000
"""A spool with less on it (5 yd, in nm) is said to be low."""


def build(
    led: Ledgers,
    *,
    today: date,
    made: str,
    as_of: str = "",
    known_on: str | None = None,
    stories: Collection[str] = (),
) -> StockMatrix:
    """
    Give the bows by size and colour, and what else is on the shelf.

    `stories` are the spools whose story lies on a page beside this one.
    """
    cat, held = catalogue(led), stock(led)
    waits, wanted = waiting_bows(led), promised(led)
    kinds = [
        k for k in {**held, **waits, **wanted}
        if k in waits or k in wanted or _worth_a_word(held[k])
    ]  # fmt: skip
    cells = tuple(
        _cell(led, cat, held.get(k) or KindStock(k), waits.get(k, 0), wanted.get(k, 0))
        for k in kinds
    )
    return StockMatrix(
        shop=naming.shop_view(led),
        foot=foot(led, as_of=as_of or today.isoformat(), known_on=known_on, made=made),
        sizes=naming.sizes_of(cat, kinds), colours=naming.colours_of(cat, kinds),
        cells=cells,
        size_totals=tuple(
            SizeTotal(size=s.key, **_sum(c for c in cells if c.size == s.key))
            for s in naming.sizes_of(cat, kinds)
        ),
        colour_totals=tuple(
            ColourTotal(colour=x.key, **_sum(c for c in cells if c.colour == x.key))
            for x in naming.colours_of(cat, kinds)
        ),
        total=StockFigures(**_sum(cells)), places=_places(led, held),
        odd=tuple(oddities(led, _day(as_of, today))),
        spools=tuple(spools_left(led, stories)),
        supplies=tuple(_supplies(led, cat)),
    )  # fmt: skip


def _day(as_of: str, today: date) -> date:
    return date.fromisoformat(as_of) if as_of else today


def _worth_a_word(held: KindStock) -> bool:
    return bool(held.everywhere or held.claimed or held.missing)


def waiting_bows(led: Ledgers) -> dict[str, int]:
    """Give the bows that the bundles cut for each kind would make."""
    cat = catalogue(led)
    parts: dict[str, dict[str, int]] = {}
    for bundle, count in bundles_waiting(led):
        if bundle.for_kind:
            roles = parts.setdefault(bundle.for_kind, {})
            roles[bundle.role] = roles.get(bundle.role, 0) + count
    made: dict[str, int] = {}
    for kind, roles in parts.items():
        needs = cat.pattern_of(kind).parts
        made[kind] = min(roles.get(role, 0) // n for role, _, n in needs)
    return {kind: count for kind, count in made.items() if count}


def _cell(
    led: Ledgers, cat: Catalogue, held: KindStock, waits: int, wanted: int
) -> StockCell:
    kind, kept = held.kind, min(wanted, max(held.home, 0))
    size, colour = naming.cell_of(cat, kind)
    away = {p: n for p, n in held.places.items() if p != HOME}
    return StockCell(
        size=size, colour=colour, kind=naming.typed(cat, kind), home=held.home,
        elsewhere=sum(away.values()), promised=kept, short=wanted - kept,
        free=held.everywhere - kept, waiting=waits,
        places=tuple(PlaceCount(place=place_name(led, p), count=n)
                     for p, n in sorted(away.items())),
        odd=_odd_words(led, held), why=f"bows why {naming.typed(cat, kind)}",
    )  # fmt: skip


def _odd_words(led: Ledgers, held: KindStock) -> str:
    if held.missing:
        short = ", ".join(
            f"{n} at {place_name(led, p)}" for p, n in sorted(held.missing.items())
        )
        if held.kind.endswith(UNNOTICED):
            return f"{short} went without their colour noticed; a count tells which"
        return f"an entry is missing: more went than the records had ({short})"
    if held.claimed > held.home:
        return f"{held.claimed} promised and only {held.home} at home"
    return ""


def _sum(cells: Iterable[StockFigures]) -> Mapping[str, int]:
    listed = list(cells)
    names = ("home", "elsewhere", "promised", "short", "free", "waiting")
    return {name: sum(getattr(cell, name) for cell in listed) for name in names}


def _places(led: Ledgers, held: Mapping[str, KindStock]) -> tuple[PlaceCount, ...]:
    totals: dict[str, int] = {HOME: 0}
    for kind in held.values():
        for place, count in kind.places.items():
            totals[place] = totals.get(place, 0) + count
    return tuple(
        PlaceCount(place=place_name(led, place), count=count)
        for place, count in totals.items() if count or place == HOME
    )  # fmt: skip


def oddities(led: Ledgers, today: date) -> Iterable[Oddity]:
    """Name what the records can't account for, with what to type about it."""
    cat = catalogue(led)
    known_fairs = fairs(led)
    for kind, held in stock(led).items():
        words = _odd_words(led, held)
        if words:
            typed = naming.typed(cat, kind)
            yield Oddity(
                about=cat.kind_name(kind), what=words, instead=f"bows why {typed}"
            )
        for place, count in held.places.items():
            fair = known_fairs.get(place.removeprefix("stall:"))
            if fair is not None and fair.state == "settled" and count:
                yield Oddity(
                    about=cat.kind_name(kind), instead="bows move",
                    what=f"{count} still on the stall at {fair.name}, which is settled",
                )  # fmt: skip
    yield from dated_ahead(led, today)
    for spool in live_codes(led):
        missing = led.ribbon.balance(spool).missing
        if missing:
            yield Oddity(
                about=spool, what="more was taken than the records had on it",
                instead=f"bows story {spool}",
            )  # fmt: skip


def spools_left(led: Ledgers, stories: Collection[str] = ()) -> Iterable[SpoolLeft]:
    """Give the spools with something on them; those with a story page link to it."""
    cat = catalogue(led)
    for held in sorted(live_spools(led), key=lambda s: code_number(s.spool)):
        if not (held.left or held.in_bundles):
            continue
        base = led.spools[held.spool]
        notes = []
        if 0 < held.left < LOW:
            notes.append("low")
        if led.pages["joins"].get(held.spool):
            notes.append("has a join")
        if led.ribbon.balance(held.spool).missing:
            notes.append("an entry is missing")
        notes += _not_cut(led, held.spool)
        yield SpoolLeft(
            code=held.spool, ribbon=cat.ribbon_name(held.ribbon),
            swatch=naming.swatch_of_ribbon(cat, held.ribbon), left_nm=held.left,
            left=naming.length(led, held.left) if held.left else "nothing",
            label_nm=base.label, label=_label(led, base),
            unexplained_nm=held.unexplained,
            unexplained=_or_blank(led, held.unexplained),
            note=", ".join(notes),
            href=f"story-{held.spool}.html" if held.spool in stories else "",
            why=f"bows why {held.spool}",
        )  # fmt: skip


def _label(led: Ledgers, spool: Spool) -> str:
    """Say a spool's label, or that its length was only judged, or wound onto it."""
    said = naming.length(led, spool.label)
    rows = led.ribbon.items[spool.code].rows() if spool.part_used else ()
    began = next((row.amount for row in rows if row.reading is None), None)
    if began != spool.label:
        return said
    return f"{said} {'wound onto it' if spool.parent else 'as judged'}"


def _not_cut(led: Ledgers, spool: str) -> list[str]:
    """Say how many bows may have come off a spool without a cut on record."""
    found = too_high(led, spool)
    bows = sum(one.bows for one in found)
    if not bows:
        return []
    alone = all(one.spools == (spool,) for one in found)
    likely = "likely" if alone else "maybe"
    return [f"{plural(bows, 'bow')} made without a cut: {likely} less left"]


def _or_blank(led: Ledgers, nm: int) -> str:
    return naming.length(led, nm) if nm else ""


def _supplies(led: Ledgers, cat: Catalogue) -> Iterable[SupplyLeft]:
    left, missing = supply_left(led), lots_missing(led)
    lots = live_lots(led)
    for code, supply in cat.supplies.items():
        count = left.get(code, 0)
        yield SupplyLeft(
            name=supply.name, left=count, unit="units",
            enough_for=count * supply.yields if supply.yields > 1 else None,
            note="an entry is missing" if code in missing else "",
            why="; ".join(f"bows why {lot}" for lot in lots.get(code, ())),
        )  # fmt: skip
