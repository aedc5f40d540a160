"""The rows of the tables: what each ledger holds, one thing a row."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from datetime import UTC, datetime

from planner.ledgers import ribbon as r
from planner.ledgers.catalogue import catalogue
from planner.ledgers.fairs import fairs
from planner.ledgers.orders import orders
from planner.ledgers.shop import shop
from planner.ledgers.state import Ledgers
from planner.ledgers.stock import stock, waiting
from planner.ledgers.timeline import UNEXPLAINED, Book
from planner.values.money import minor_digits
from planner.values.units import NM_PER_YARD

Cell = str | int | float | None
Row = Mapping[str, Cell]


def _nm(name: str, nm: int | None) -> dict[str, Cell]:
    yards = None if nm is None else round(nm / NM_PER_YARD, 4)
    return {f"{name}_nm": nm, f"{name}_yd": yards}


def money(led: Ledgers, name: str, minor: int | None) -> dict[str, Cell]:
    """Give an amount in minor units and in the currency."""
    scale = 10 ** minor_digits(shop(led).currency)
    return {f"{name}_minor": minor, name: None if minor is None else minor / scale}


def spools(led: Ledgers) -> Iterator[Row]:
    """Walk the spools."""
    cat = catalogue(led)
    for s in led.spools.values():
        b = led.ribbon.balance(s.code)
        yield {
            "spool": s.code, "ribbon": s.ribbon, "name": cat.ribbon_name(s.ribbon),
            "lot": s.lot, "supplier": s.supplier, "came": s.happened[:10],
            "part_used": int(s.part_used), "wound_from": s.parent,
            "restock": s.restock, **money(led, "paid", s.paid),
            **_nm("label", s.label), **_nm("left", b[r.LEFT]), **_nm("ends", b[r.ENDS]),
            **_nm("in_bundles", b.total(r.BUNDLE)), **_nm("in_bows", b[r.BOWS]),
            **_nm("trimmed", b[r.TRIMMED]), **_nm("scrapped", b.total(r.SCRAPPED)),
            **_nm("sent_out", b.total(r.SENT)), **_nm("unexplained", b[UNEXPLAINED]),
        }  # fmt: skip


def bundles(led: Ledgers) -> Iterator[Row]:
    """Walk the bundles."""
    for b in led.bundles.values():
        yield {
            "bundle": b.code, "spool": b.spool, "role": b.role,
            **_nm("length", b.length), "count": b.count, "waiting": waiting(led, b),
            "for_kind": b.for_kind, "cut": b.happened[:10], "sitting": b.sitting,
        }  # fmt: skip


def batches(led: Ledgers) -> Iterator[Row]:
    """Walk the batches."""
    cat = catalogue(led)
    for b in led.batches.values():
        yield {
            "batch": b.code, "kind": b.kind, "name": cat.kind_name(b.kind),
            "revision": b.revision, "count": b.count, "place": b.place,
            "minutes": b.minutes, "sitting": b.sitting, "order_code": b.order,
            "ready": b.ready, "made": b.happened[:10],
        }  # fmt: skip


def batch_parts(led: Ledgers) -> Iterator[Row]:
    """Walk the batch parts."""
    for code in led.batches:
        for role, length, count, bundle, spool in led.parts_of(code):
            yield {
                "batch": code, "role": role, **_nm("length", length), "count": count,
                "bundle": bundle, "spool": spool,
            }  # fmt: skip


def sittings(led: Ledgers) -> Iterator[Row]:
    """Walk the sittings."""
    for s in led.sittings.values():
        yield {
            "sitting": s.code, "day": s.happened[:10], "minutes": s.minutes,
            "planned": s.planned,
        }  # fmt: skip


def stock_rows(led: Ledgers) -> Iterator[Row]:
    """Walk the stock."""
    cat = catalogue(led)
    for kind, held in stock(led).items():
        pattern, _ = cat.split(kind)
        for place, count in held.places.items():
            yield {
                "kind": kind, "name": cat.kind_name(kind), "pattern": pattern,
                "lead_colour": cat.lead(kind) or None, "place": place, "count": count,
                "claimed": held.claimed if place == "home" else 0,
            }  # fmt: skip


def orders_rows(led: Ledgers) -> Iterator[Row]:
    """Walk the orders."""
    for o in orders(led).values():
        yield {
            "order_code": o.code, "state": o.state, "person": o.person, "due": o.due,
            "hour": o.hour, "taken": o.taken[:10] or None, "weight": o.weight,
            "in_parts": int(o.in_parts), "rush": int(o.rush),
            "post_days": o.post_days, **money(led, "total", o.total),
            **money(led, "paid", o.paid), **money(led, "earned", o.earned),
        }  # fmt: skip


def order_lines(led: Ledgers) -> Iterator[Row]:
    """Walk the order lines."""
    cat = catalogue(led)
    for o in orders(led).values():
        for line in o.lines:
            yield {
                "order_code": o.code, "line": line.line, "what": line.what,
                "name": cat.kind_name(line.what), "count": line.count,
                **money(led, "price", line.price),
            }  # fmt: skip


def fairs_rows(led: Ledgers) -> Iterator[Row]:
    """Walk the fairs."""
    for f in fairs(led).values():
        yield {
            "fair": f.code, "name": f.name, "state": f.state, "first_day": f.first_day,
            "last_day": f.last_day, "open_minutes": f.open_minutes,
            "crowd": f.crowd if f.crowd_told is None else f.crowd_told,
            **money(led, "fee", f.fee), **money(led, "costs", f.costs),
            **_nm("table", f.table), "weather": f.weather,
        }  # fmt: skip


def fair_sales(led: Ledgers) -> Iterator[Row]:
    """Walk the fair sales."""
    cat = catalogue(led)
    for f in fairs(led).values():
        unlogged = {kind: (least, most) for kind, least, most in f.unlogged}
        every = {**(f.plan or {}), **f.packed, **f.sold, **f.back, **unlogged}
        for kind in every:
            least, most = unlogged.get(kind, (None, None))
            yield {
                "fair": f.code, "kind": kind, "name": cat.kind_name(kind),
                "planned": (f.plan or {}).get(kind), "packed": f.packed.get(kind, 0),
                "sold_typed": f.sold.get(kind, 0), "came_back": f.back.get(kind),
                "untyped_least": least, "untyped_most": most,
            }  # fmt: skip


def lots(led: Ledgers) -> Iterator[Row]:
    """Walk the lots."""
    for lot in led.lots.values():
        b = led.supplies.balance(lot.code)
        yield {
            "lot": lot.code, "supply": lot.supply, "units": lot.units,
            "left": b["left"], "used": b["used"], "unexplained": b[UNEXPLAINED],
            "supplier": lot.supplier, "came": lot.happened[:10],
            "restock": lot.restock, **money(led, "paid", lot.paid),
        }  # fmt: skip


def movements(
    book: Callable[[Ledgers], Book],
    item: str,
    say: Callable[[Ledgers, str, int | None], Mapping[str, Cell]],
) -> Callable[[Ledgers], Iterator[Row]]:
    """Make the rows of a book's movements and readings, item by item."""

    def rows(led: Ledgers) -> Iterator[Row]:
        for code, line in book(led).items.items():
            for row in line.rows():
                moment = datetime.fromtimestamp(row.when / 1e6, UTC)
                yield {
                    item: code, "moment": moment.isoformat(timespec="seconds"),
                    "seq": row.seq, "source": row.source, "target": row.target,
                    **say(led, "amount", row.amount), **say(led, "read", row.reading),
                }  # fmt: skip

    return rows


def units(led: Ledgers, name: str, count: int | None) -> Mapping[str, Cell]:
    """Give a count as it is."""
    return {name: count}


def lengths(led: Ledgers, name: str, nm: int | None) -> Mapping[str, Cell]:
    """Give a length in nanometres and in yards."""
    return _nm(name, nm)


def patterns(led: Ledgers) -> Iterator[Row]:
    """Walk the patterns."""
    cat = catalogue(led)
    for (code, revision), p in cat.revisions.items():
        yield {
            "pattern": code, "revision": revision, "name": p.name,
            "newest": int(cat.patterns[code].revision == revision),
            "retired": int(code in cat.retired), **_nm("size", p.size),
            **_nm("width", p.width), **_nm("ribbon", p.ribbon), "seconds": p.seconds,
            "set_up_minutes": p.set_up, "setting_minutes": p.setting,
        }  # fmt: skip


def pattern_parts(led: Ledgers) -> Iterator[Row]:
    """Walk the pattern parts."""
    for (code, revision), p in catalogue(led).revisions.items():
        for role, length, count in p.parts:
            yield {
                "pattern": code, "revision": revision, "role": role,
                **_nm("length", length), "count": count,
            }  # fmt: skip


def colours(led: Ledgers) -> Iterator[Row]:
    """Walk the colours."""
    for c in catalogue(led).colours.values():
        yield {"colour": c.code, "name": c.name, "hex": c.hex, "family": c.family}


def ribbons(led: Ledgers) -> Iterator[Row]:
    """Walk the ribbons."""
    cat = catalogue(led)
    for x in cat.ribbons.values():
        yield {
            "ribbon": x.code, "name": cat.ribbon_name(x.code), "colour": x.colour,
            **_nm("width", x.width), "material": x.material, "finish": x.finish,
            "retired": int(x.code in cat.retired),
        }  # fmt: skip


def colourways(led: Ledgers) -> Iterator[Row]:
    """Walk the colourways."""
    for way in catalogue(led).colourways.values():
        for role, ribbon in way.ribbons:
            yield {
                "colourway": way.code, "name": way.name, "lead_colour": way.lead,
                "role": role, "ribbon": ribbon,
            }  # fmt: skip


def supplies(led: Ledgers) -> Iterator[Row]:
    """Walk the supplies."""
    for x in catalogue(led).supplies.values():
        yield {"supply": x.code, "name": x.name, "bows_a_unit": x.yields}


def sets(led: Ledgers) -> Iterator[Row]:
    """Walk the sets."""
    for x in catalogue(led).sets.values():
        for kind, count in x.kinds:
            yield {"set_code": x.code, "name": x.name, "kind": kind, "count": count}


def prices(led: Ledgers) -> Iterator[Row]:
    """Walk the prices."""
    for kept in led.all_kept("prices"):
        e = kept.event
        yield {
            "what": e.what, "list": e.channel, "since": kept.at.happened,
            **money(led, "price", e.price),
        }  # fmt: skip


def about(led: Ledgers) -> Iterator[Row]:
    """Tell what the tables stand on."""
    known = shop(led)
    told = {
        "shop": known.name, "zone": led.zone, "currency": known.currency,
        "head": led.head_hash.hex(), "events": led.head_seq, "entries": led.head_entry,
        "supposed": led.hypothetical,
    }  # fmt: skip
    for name, value in told.items():
        yield {"name": name, "value": str(value)}
