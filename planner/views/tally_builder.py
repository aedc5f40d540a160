"""Build the tally sheet of a fair's day."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date

from planner.ledgers.catalogue import Catalogue, catalogue
from planner.ledgers.fairs import Fair, at_stall
from planner.ledgers.state import Ledgers
from planner.values.daywords import spoken
from planner.views import naming
from planner.views.foot import foot
from planner.views.tally import (
    TallyCell,
    TallyPrice,
    TallySet,
    TallySheet,
    TallyTotal,
)


def build(led: Ledgers, fair: Fair, *, today: date, made: str) -> TallySheet:
    """Lay out the bows on a fair's stall, or those planned where none is packed."""
    cat = catalogue(led)
    bows, rests = _bows(led, cat, fair)
    sizes, colours = naming.sizes_of(cat, bows), naming.colours_of(cat, bows)
    column = {size.key: n for n, size in enumerate(sizes)}
    row = {colour.key: n for n, colour in enumerate(colours)}
    cells = sorted(
        (_cell(cat, kind, n) for kind, n in bows.items()),
        key=lambda c: (row[c.colour], column[c.size]),
    )
    day = _day(fair, today)
    return TallySheet(
        shop=naming.shop_view(led),
        foot=foot(led, as_of=today.isoformat(), known_on=None, made=made),
        code=fair.code, fair=fair.name, day_on=day[0],
        day=f"{spoken(date.fromisoformat(day[0]))}, {day[1]} to {day[2]}",
        rests=rests, sizes=sizes, colours=colours, cells=tuple(cells),
        size_totals=tuple(_total(s.key, (c for c in cells if c.size == s.key))
                          for s in sizes),
        colour_totals=tuple(_total(x.key, (c for c in cells if c.colour == x.key))
                            for x in colours),
        prices=tuple(_price(led, cat, s.key, bows) for s in sizes),
        sets=tuple(_sets(led, cat, bows)), brought=sum(bows.values()),
        settle=f"bows fair close ______ --card ______ --fair {fair.code}",
    )  # fmt: skip


def _bows(led: Ledgers, cat: Catalogue, fair: Fair) -> tuple[dict[str, int], str]:
    """Give what is on the stall; before it is packed, what was planned to come."""
    there = _known(cat, at_stall(led, fair.code))
    if there:
        return there, "Bows on the stall by the records."
    if fair.packed:
        return _known(cat, fair.packed), "Bows packed for it; none is there any more."
    return _known(cat, fair.plan or {}), "Bows of the plan accepted; not packed yet."


def _known(cat: Catalogue, bows: Mapping[str, int]) -> dict[str, int]:
    split = {kind: cat.split(kind) for kind in bows}
    return {
        kind: count for kind, count in bows.items()
        if count > 0 and split[kind][0] in cat.patterns
        and split[kind][1] in cat.colourways
    }  # fmt: skip


def _day(fair: Fair, today: date) -> tuple[str, str, str]:
    """Give the day the sheet is for: the first not closed yet, else the last."""
    ahead = [
        day for day in fair.days
        if day[0] >= today.isoformat() and day[0] not in fair.closed
    ]  # fmt: skip
    return ahead[0] if ahead else fair.days[-1]


def _cell(cat: Catalogue, kind: str, count: int) -> TallyCell:
    size, colour = naming.cell_of(cat, kind)
    return TallyCell(
        size=size, colour=colour, kind=naming.typed(cat, kind), brought=count
    )


def _sets(led: Ledgers, cat: Catalogue, bows: Mapping[str, int]) -> Iterator[TallySet]:
    """Walk the sets with a price of which one at least could be made up."""
    for code, one in cat.sets.items():
        price = cat.price(code, "fair")
        if price and all(bows.get(kind, 0) >= count for kind, count in one.kinds):
            yield TallySet(
                name=naming.typed(cat, code),
                swatches=naming.swatches_of_kind(cat, code),
                holds=", ".join(f"{n} × {naming.typed(cat, k)}" for k, n in one.kinds),
                price_minor=price, price=naming.money(led, price),
            )  # fmt: skip


def _total(key: str, cells: Iterable[TallyCell]) -> TallyTotal:
    return TallyTotal(key=key, brought=sum(c.brought for c in cells))


def _price(
    led: Ledgers, cat: Catalogue, size: str, bows: Mapping[str, int]
) -> TallyPrice:
    told = (cat.price(k, "fair") for k in bows if naming.cell_of(cat, k)[0] == size)
    known = sorted(price for price in told if price)
    if not known:
        return TallyPrice(size=size, least_minor=None, most_minor=None, price="")
    low, high = known[0], known[-1]
    said = naming.money(led, low)
    return TallyPrice(
        size=size, least_minor=low, most_minor=high,
        price=said if low == high else f"{said} to {naming.money(led, high)}",
    )  # fmt: skip
