"""
The ledgers as ordinary tables, to browse or to join.

Lengths stand twice: `..._nm` in whole nanometres, exact, and `..._yd` in yards, rounded
to a ten-thousandth.  So does money: `..._minor` in minor units, exact, and without that
ending in the shop's currency.  People stand there only by key.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Final

from planner.ledgers.state import Ledgers
from planner.views import table_rows as rows
from planner.views.table_rows import Row


@dataclass(frozen=True, slots=True)
class Table:
    """
    A table: its columns with their types, its key, what other tables it points to.

    `refers` maps a column to (table, column).
    """

    name: str
    columns: Mapping[str, type]
    key: tuple[str, ...]
    walk: Callable[[Ledgers], Iterator[Row]]
    refers: Mapping[str, tuple[str, str]] = field(default_factory=dict)


def _columns(words: str) -> dict[str, type]:
    """Read ``spool ribbon left:nm paid:money``: text unless another type is told."""
    found: dict[str, type] = {}
    for word in words.split():
        name, _, kind = word.partition(":")
        match kind:
            case "nm":
                found |= {f"{name}_nm": int, f"{name}_yd": float}
            case "money":
                found |= {f"{name}_minor": int, name: float}
            case "int":
                found[name] = int
            case _:
                found[name] = str
    return found


def _table(
    name: str, columns: str, walk: Callable[[Ledgers], Iterator[Row]], *, key: str = "",
    **refers: str,
) -> Table:  # fmt: skip
    points = {
        column: (target.partition(".")[0], target.partition(".")[2])
        for column, target in refers.items()
    }
    return Table(name, _columns(columns), tuple(key.split()), walk, points)


_MOVED = "moment seq:int source target"

TABLES: Final[Mapping[str, Table]] = {
    table.name: table
    for table in (
        _table("about", "name value", rows.about, key="name"),
        _table("colours", "colour name hex family", rows.colours, key="colour"),
        _table(
            "ribbons", "ribbon name colour width:nm material finish retired:int",
            rows.ribbons, key="ribbon", colour="colours.colour",
        ),
        _table(
            "supply_names", "supply name bows_a_unit:int", rows.supplies, key="supply"
        ),
        _table(
            "patterns",
            "pattern revision:int name newest:int retired:int size:nm width:nm "
            "ribbon:nm seconds:int set_up_minutes:int setting_minutes:int",
            rows.patterns, key="pattern revision",
        ),
        _table(
            "pattern_parts", "pattern revision:int role length:nm count:int",
            rows.pattern_parts,
        ),
        _table(
            "colourways", "colourway name lead_colour role ribbon", rows.colourways,
            lead_colour="colours.colour", ribbon="ribbons.ribbon",
        ),
        _table("sets", "set_code name kind count:int", rows.sets),
        _table("prices", "what list since price:money", rows.prices),
        _table(
            "spools",
            "spool ribbon name lot supplier came part_used:int wound_from restock "
            "paid:money label:nm left:nm ends:nm in_bundles:nm in_bows:nm trimmed:nm "
            "scrapped:nm sent_out:nm unexplained:nm",
            rows.spools, key="spool", ribbon="ribbons.ribbon",
        ),
        _table(
            "sittings", "sitting day minutes:int planned:int", rows.sittings,
            key="sitting",
        ),
        _table(
            "bundles",
            "bundle spool role length:nm count:int waiting:int for_kind cut sitting",
            rows.bundles, key="bundle", spool="spools.spool",
            sitting="sittings.sitting",
        ),
        _table(
            "orders",
            "order_code state person due hour taken weight:int in_parts:int rush:int "
            "post_days:int total:money paid:money earned:money",
            rows.orders_rows, key="order_code",
        ),
        _table(
            "order_lines", "order_code line:int what name count:int price:money",
            rows.order_lines, key="order_code line", order_code="orders.order_code",
        ),
        _table(
            "batches",
            "batch kind name revision:int count:int place minutes:int sitting "
            "order_code ready made",
            rows.batches, key="batch", sitting="sittings.sitting",
            order_code="orders.order_code",
        ),
        _table(
            "batch_parts", "batch role length:nm count:int bundle spool",
            rows.batch_parts, batch="batches.batch", bundle="bundles.bundle",
            spool="spools.spool",
        ),
        _table(
            "stock", "kind name pattern lead_colour place count:int claimed:int",
            rows.stock_rows, key="kind place", lead_colour="colours.colour",
        ),
        _table(
            "fairs",
            "fair name state first_day last_day open_minutes:int crowd:int fee:money "
            "costs:money table:nm weather",
            rows.fairs_rows, key="fair",
        ),
        _table(
            "fair_sales",
            "fair kind name planned:int packed:int sold_typed:int came_back:int "
            "untyped_least:int untyped_most:int",
            rows.fair_sales, key="fair kind", fair="fairs.fair",
        ),
        _table(
            "supplies",
            "lot supply units:int left:int used:int unexplained:int supplier came "
            "restock paid:money",
            rows.lots, key="lot", supply="supply_names.supply",
        ),
        _table(
            "ribbon_movements", f"spool {_MOVED} amount:nm read:nm",
            rows.movements(lambda led: led.ribbon, "spool", rows.lengths),
            spool="spools.spool",
        ),
        _table(
            "bows_movements", f"kind {_MOVED} amount:int read:int",
            rows.movements(lambda led: led.bows, "kind", rows.units),
        ),
        _table(
            "supply_movements", f"lot {_MOVED} amount:int read:int",
            rows.movements(lambda led: led.supplies, "lot", rows.units),
            lot="supplies.lot",
        ),
        _table(
            "money", f"item {_MOVED} amount:money read:money",
            rows.movements(lambda led: led.money, "item", rows.money),
        ),
    )
}  # fmt: skip
"""Every table, those that others point to first."""
