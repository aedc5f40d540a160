"""The questions: stock, spools, story, and the pages of them all."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Annotated

import typer

from planner.commands import say
from planner.commands.asking import (
    asked,
    day_words,
    made_words,
    names,
)
from planner.commands.files import named, write_page
from planner.commands.options import AsOf, Json, KnownOn
from planner.commands.session import Session, current
from planner.ledgers.catalogue import catalogue
from planner.ledgers.state import Ledgers
from planner.ledgers.stock import all_made, bundles_waiting
from planner.values.daywords import spoken
from planner.views.common import Report
from planner.views.stock import StockCell, StockMatrix

Page = Annotated[
    str | None, typer.Option("--page", help="Write it as an HTML page too.")
]


def finish(s: Session, view: Report, *, json: bool, page: str | None) -> bool:
    """Write the page if asked, and the JSON if asked; say whether to go on in words."""
    if page is not None:
        path = write_page(view, out=named(page))
        say.talk(f"page written: {path}")
    if json or s.json:
        say.view_json(view)
        return False
    return True


def stock_view(
    s: Session, led: Ledgers, as_of: str = "", known_on: str = "",
    stories: Sequence[str] = (),
) -> StockMatrix:  # fmt: skip
    """Build the stock matrix."""
    from planner.views.stock_builder import build

    return build(
        led, today=s.today, made=made_words(s), as_of=as_of, known_on=known_on or None,
        stories=stories,
    )  # fmt: skip


def stock(
    as_of: AsOf = None, known_on: KnownOn = None, json: Json = False, page: Page = None
) -> None:
    """
    Show finished bows by size and colour, what is promised, and what is odd.

    Example: bows stock
    """
    s = current()
    led = asked(s, as_of, known_on)
    view = stock_view(s, led, day_words(s, as_of), day_words(s, known_on))
    if finish(s, view, json=json, page=page):
        _say_stock(view)


def _say_stock(view: StockMatrix) -> None:
    cells = {(cell.colour, cell.size): cell for cell in view.cells}
    rows = []
    for colour in view.colours:
        line = [colour.name]
        for size in view.sizes:
            cell = cells.get((colour.key, size.key))
            line.append(_cell_words(cell) if cell else "")
        total = next(t for t in view.colour_totals if t.colour == colour.key)
        rows.append([*line, str(total.free + total.promised)])
    foot = ["", *(str(t.free + t.promised) for t in view.size_totals)]
    rows.append([*foot, str(view.total.free + view.total.promised)])
    head = ["colour", *(size.short for size in view.sizes), "all"]
    say.table(head, rows, right=range(1, len(head)))
    say.out(
        "free bows, at home and elsewhere; +n are promised, −n promised and not there"
    )
    if view.total.waiting:
        say.out(f"cut and waiting for the bench: parts for {view.total.waiting} bows")
    for oddity in view.odd:
        say.talk(f"  ! {oddity.about}: {oddity.what}")


def _cell_words(cell: StockCell) -> str:
    promised = f"+{cell.promised}" if cell.promised else ""
    return f"{cell.free}{promised}" + (f" −{cell.short}" if cell.short else "")


def spools(json: Json = False) -> None:
    """
    List the spools with what is left on each, and what is not yet explained.

    Example: bows spools
    """
    from planner.views.stock_builder import spools_left

    s = current()
    rows = list(spools_left(s.ledgers()))
    if json or s.json:
        say.as_json(
            {
                "schema": "spool-to-stall/spools/1",
                "spools": [row.model_dump(mode="json") for row in rows],
            }
        )
        return
    say.table(
        ("spool", "ribbon", "left", "label", "not yet explained", ""),
        [(x.code, x.ribbon, x.left, x.label, x.unexplained, x.note) for x in rows],
        right=(2, 3, 4),
    )


def bundles(json: Json = False) -> None:
    """
    List the bundles cut and waiting for the bench.

    Example: bows bundles
    """
    s = current()
    led = s.ledgers()
    cat = catalogue(led)
    found = [
        {
            "bundle": b.code, "spool": b.spool, "role": b.role, "length_nm": b.length,
            "count": n, "kind": cat.kind_name(b.for_kind) if b.for_kind else "",
        }
        for b, n in bundles_waiting(led)
    ]  # fmt: skip
    if json or s.json:
        say.as_json({"schema": "spool-to-stall/bundles/1", "bundles": found})
        return
    from planner.views.naming import length

    say.table(
        ("bundle", "from", "part", "length", "waiting", "for"),
        [
            (str(x["bundle"]), str(x["spool"]), str(x["role"]),
             length(led, int(str(x["length_nm"]))), str(x["count"]), str(x["kind"]))
            for x in found
        ],
        right=(3, 4),
    )  # fmt: skip


def orders(
    every: Annotated[
        bool, typer.Option("--all", help="Those done, called off or run out too.")
    ] = False,
    json: Json = False,
) -> None:
    """
    List the orders, the earliest due first.

    Example: bows orders
    """
    from planner.ledgers.orders import open_orders, quotes
    from planner.ledgers.orders import orders as all_orders
    from planner.views.naming import money, typed

    s = current()
    led = s.ledgers()
    cat, who = catalogue(led), names(s)
    today = s.today.isoformat()
    asked = [o for o in quotes(led) if (o.expires or today) >= today]
    found = list(all_orders(led).values()) if every else open_orders(led) + asked
    made = all_made(led)
    rows = [
        {
            "order": o.code, "state": o.state, "all_made": o.code in made,
            "due": o.due or "",
            "who": who.get(o.person or "", o.person or ""),
            "what": ", ".join(f"{x.count} × {typed(cat, x.what)}" for x in o.lines),
            "outstanding": sum(o.outstanding.values()),
            "total": money(led, o.total), "paid": money(led, o.paid),
        }
        for o in found
    ]  # fmt: skip
    if json or s.json:
        say.as_json({"schema": "spool-to-stall/orders/1", "orders": rows})
        return
    say.table(
        ("order", "state", "due", "who", "what", "to hand", "total", "paid"),
        [tuple(str(v) for v in _in_columns(row)) for row in rows],
        right=(5, 6, 7),
    )


def _in_columns(row: dict[str, object]) -> list[object]:
    due = str(row["due"])
    state = f"{row['state']}, all made" if row["all_made"] else row["state"]
    return [
        row["order"], state, spoken(date.fromisoformat(due)) if due else "",
        *(row[name] for name in ("who", "what", "outstanding", "total", "paid")),
    ]  # fmt: skip


def fairs(json: Json = False) -> None:
    """
    List the fairs, past and ahead.

    Example: bows fairs
    """
    from planner.ledgers.fairs import fairs as all_fairs

    s = current()
    led = s.ledgers()
    found = sorted(all_fairs(led).values(), key=lambda f: f.first_day)
    rows = [
        {
            "fair": f.code, "name": f.name, "first_day": f.first_day, "state": f.state,
            "brought": sum(f.packed.values()), "sold": sum(f.sold.values()),
            "back": sum(f.back.values()),
        }
        for f in found
    ]  # fmt: skip
    if json or s.json:
        say.as_json({"schema": "spool-to-stall/fairs/1", "fairs": rows})
        return
    say.table(
        ("fair", "name", "first day", "state", "brought", "sold typed", "came back"),
        [tuple(str(value) for value in row.values()) for row in rows],
        right=(4, 5, 6),
    )


def patterns(json: Json = False) -> None:
    """
    List the catalogue: patterns, ribbons, supplies, colourways, sets, with codes.

    Example: bows catalogue
    """
    s = current()
    cat = catalogue(s.ledgers())
    rows = [("pattern", p.code, f"{p.name}, revision {p.revision}")
            for p in cat.patterns.values()]  # fmt: skip
    rows += [("ribbon", r.code, cat.ribbon_name(r.code)) for r in cat.ribbons.values()]
    rows += [("supply", x.code, x.name) for x in cat.supplies.values()]
    ways = (w for w in cat.colourways.values() if w.code not in cat.ribbons)
    rows += [("colourway", w.code, w.name) for w in ways]
    rows += [("set", x.code, x.name) for x in cat.sets.values()]
    if json or s.json:
        things = [{"what": a, "code": b, "name": c} for a, b, c in rows]
        say.as_json({"schema": "spool-to-stall/catalogue/1", "things": things})
        return
    say.table(
        ("what", "code", "name"),
        [(a, b, c + (" (retired)" if b in cat.retired else "")) for a, b, c in rows],
    )


def supplies(json: Json = False) -> None:
    """
    List the supplies with the lots they came in and what is left.

    Example: bows supplies
    """
    s = current()
    led = s.ledgers()
    cat = catalogue(led)
    rows = [
        {
            "lot": lot.code, "supply": cat.supplies[lot.supply].name,
            "units": lot.units, "left": led.supplies.balance(lot.code)["left"],
        }
        for lot in led.lots.values()
    ]  # fmt: skip
    if json or s.json:
        say.as_json({"schema": "spool-to-stall/supplies/1", "lots": rows})
        return
    say.table(
        ("lot", "supply", "came", "left"),
        [tuple(str(value) for value in row.values()) for row in rows],
        right=(2, 3),
    )
