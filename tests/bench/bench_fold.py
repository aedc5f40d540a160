"""
How long a cold fold takes against reading every column of every row into tuples.

Run: ``python tests/bench/bench_fold.py [EVENTS]``.  The events are of an invented
bench: sittings, cuts, batches, sales, readings and counts in the usual proportions.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
import tracemalloc
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random

from planner.events.base import Entry, Event, Fact
from planner.events.bench import BowsFinished, RibbonCut, SittingLogged
from planner.events.bows import StockCounted
from planner.events.fields import PartUse
from planner.events.restock import SpoolReceived
from planner.events.selling import BowsSold
from planner.events.shop import ShopSetUp
from planner.events.spool import SpoolRead
from planner.fold import Folder
from planner.log.bodies import read_bodies
from planner.log.codec import decode_many
from planner.log.store import Log

INCH = 25_400_000


def events(count: int, chance: Random) -> Iterator[Event]:
    """Yield an invented bench's events."""
    yield ShopSetUp(name="Bench", zone="America/Halifax", currency="CAD", units="us",
                    paper="letter")  # fmt: skip
    made = spools = bundles = batches = sittings = 0
    kinds = [f"classic-{s}in:c{c}-1.5in" for s in (3, 4, 5) for c in range(20)]
    while made < count:
        if spools * 120 <= bundles:
            spools += 1
            yield SpoolReceived(spool=f"S{spools}", ribbon=f"c{spools % 20}-1.5in",
                                length=3600 * INCH, lot=f"lot {spools}")  # fmt: skip
            made += 1
        kind, number = chance.choice(kinds), chance.randint(2, 12)
        bundles, batches, sittings = bundles + 1, batches + 1, sittings + 1
        yield RibbonCut(bundle=f"C{bundles}", spool=f"S{spools}", role="body",
                        length=32 * INCH, count=number, for_kind=kind)  # fmt: skip
        yield SittingLogged(sitting=f"T{sittings}", minutes=number * 8)
        yield BowsFinished(
            batch=f"B{batches}", made=kind, revision=1, count=number,
            parts=(PartUse(role="body", length=32 * INCH, count=number,
                           bundle=f"C{bundles}", spool=f"S{spools}"),),
            sitting=f"T{sittings}", minutes=number * 8,
        )  # fmt: skip
        made += 3
        for _ in range(3):
            yield BowsSold(bows=((chance.choice(kinds), chance.randint(1, 3)),),
                           taken=800, place="home")  # fmt: skip
            made += 1
        if chance.random() < 0.05:
            yield SpoolRead(spool=f"S{spools}", left=chance.randint(1, 3000) * INCH)
            yield StockCounted(place="home", counts=((kind, chance.randint(0, 30)),))
            made += 2


def write(path: Path, count: int) -> None:
    """Write a log of about so many events."""
    chance = Random(1)
    start = datetime(2020, 1, 1, 12, tzinfo=UTC)
    log = Log.create(path)
    batch: list[Entry] = []
    moments: list[datetime] = []
    for index, event in enumerate(events(count, chance)):
        moment = start + timedelta(minutes=7 * index)
        batch.append(Entry((Fact(event, moment.isoformat()),)))
        moments.append(moment)
        if len(batch) == 20_000:
            log.append_all(batch, expected=None, recorded=moments, rand=os.urandom)
            batch, moments = [], []
    if batch:
        log.append_all(batch, expected=None, recorded=moments, rand=os.urandom)
    log.close()


def read_rows(path: Path) -> float:
    """Give the seconds that reading every column of every row takes."""
    with Log.open(path, readonly=True) as log:
        began = time.perf_counter()
        rows = log.db.execute("SELECT * FROM event ORDER BY seq").fetchall()
        took = time.perf_counter() - began
        del rows
    return took


def fold(path: Path) -> float:
    """Give the seconds of a cold fold, balances of every item included."""
    with Log.open(path, readonly=True) as log:
        began = time.perf_counter()
        folder = Folder(zone="America/Halifax", decode=decode_many, bodies=read_bodies)
        folder.feed_all(log.rows())
        for book in folder.ledgers.books:
            for item in book.items:
                book.balance(item)
        return time.perf_counter() - began


def main() -> None:
    """Measure and print."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 200_000
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "shop.bows"
        write(path, count)
        reading = sorted(read_rows(path) for _ in range(5))[2]
        folding = sorted(fold(path) for _ in range(3))[1]
        tracemalloc.start()
        fold(path)
        peak = tracemalloc.get_traced_memory()[1]
    print(f"{count:,} events: reading {reading:.2f} s, fold {folding:.2f} s, "
          f"ratio {folding / reading:.2f}, peak {peak / 1e6:.0f} MB")  # fmt: skip


if __name__ == "__main__":
    main()
