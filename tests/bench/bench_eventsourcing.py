"""
Appends and replays a second against the `eventsourcing` library, at equal durability.

Run: ``python tests/bench/bench_eventsourcing.py [EVENTS [COMMITS]]`` where that library
is installed (``pip install eventsourcing``); elsewhere it says so and measures nothing.

Both write to SQLite with the rollback journal and synchronous=EXTRA, in one run, turn
by turn: the same sales, one a commit; then many in one commit; then all of them are
replayed, by the library into one aggregate, here through the fold into all ledgers,
with the balances asked for.  Ours hashes, guards and
reads back what it writes.  Left alone the library takes SQLite's write-ahead log.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from statistics import median
from typing import Any

from planner.events.base import Entry, Fact
from planner.events.selling import BowsSold
from planner.events.shop import ShopSetUp
from planner.fold import Folder
from planner.log.bodies import read_bodies
from planner.log.codec import decode_many
from planner.log.store import Log

try:
    from eventsourcing.application import Application
    from eventsourcing.domain import Aggregate, event
    from eventsourcing.sqlite import SQLiteConnectionPool
except ImportError:
    sys.exit("eventsourcing is not installed here, so nothing was measured")

EVENTS, COMMITS, TURNS = 20_000, 200, 3
KINDS = [f"classic-{size}in:c{n}-1.5in" for size in (3, 4, 5) for n in range(20)]
NOON = datetime(2026, 5, 13, 12, tzinfo=UTC)


class Stall(Aggregate):
    """The library's side: sales counted by kind, and the money."""

    def __init__(self) -> None:
        self.sold_by_kind: dict[str, int] = {}
        self.taken = 0

    @event("Sold")
    def sold(self, made: str, count: int, taken: int, place: str) -> None:
        self.sold_by_kind[made] = self.sold_by_kind.get(made, 0) + count
        self.taken += taken


def as_durable() -> None:
    """Let the library's connections use our journal and our synchronous."""
    usual = SQLiteConnectionPool._create_connection

    def created(pool: Any) -> Any:
        pool.is_journal_mode_wal = True  # or it would switch to WAL
        made = usual(pool)
        for setting in ("journal_mode = DELETE", "synchronous = EXTRA"):
            made._sqlite_conn.execute(f"PRAGMA {setting}").fetchall()
        return made

    SQLiteConnectionPool._create_connection = created


def sales(count: int) -> list[BowsSold]:
    """Make so many sales."""
    return [
        BowsSold(bows=((KINDS[n % len(KINDS)], n % 3 + 1),), taken=800, place="home")
        for n in range(count)
    ]


def seconds(work: Callable[[], Any]) -> float:
    """Give the seconds some work takes."""
    began = time.perf_counter()
    work()
    return time.perf_counter() - began


class Theirs:
    """The library's application over a file."""

    def __init__(self, path: Path) -> None:
        env = {
            "PERSISTENCE_MODULE": "eventsourcing.sqlite", "SQLITE_DBNAME": str(path),
        }  # fmt: skip
        self.app = Application[Any](env=env)
        self.stall = Stall()
        self.app.save(self.stall)
        with self.app.recorder.datastore.transaction(commit=False) as c:
            c.execute("PRAGMA journal_mode")
            self.journal = c.fetchone()[0]

    def one_a_commit(self, some: list[BowsSold]) -> None:
        for sale in some:
            self._sell(sale)
            self.app.save(self.stall)

    def in_one_commit(self, some: list[BowsSold]) -> None:
        for sale in some:
            self._sell(sale)
        self.app.save(self.stall)

    def _sell(self, sale: BowsSold) -> None:
        ((made, count),) = sale.bows
        self.stall.sold(made, count, sale.taken, sale.place)

    def replay(self) -> int:
        found = self.app.repository.get(self.stall.id)
        return sum(found.sold_by_kind.values())


class Ours:
    """A shop's log over a file."""

    def __init__(self, path: Path) -> None:
        self.log = Log.create(path)
        self._append([ShopSetUp(name="Bench", zone="America/Halifax", currency="CAD",
                                units="us", paper="letter")])  # fmt: skip
        self.journal = self.log.db.execute("PRAGMA journal_mode").fetchone()[0]

    def _append(self, some: list[Any]) -> None:
        entries = [Entry((Fact(sale, "2026-05-13T12:00:00+00:00"),)) for sale in some]
        self.log.append_all(entries, expected=None, recorded=NOON, rand=os.urandom)

    def one_a_commit(self, some: list[BowsSold]) -> None:
        for sale in some:
            self._append([sale])

    def in_one_commit(self, some: list[BowsSold]) -> None:
        self._append(some)

    def replay(self) -> int:
        folder = Folder(zone="America/Halifax", decode=decode_many, bodies=read_bodies)
        folder.feed_all(self.log.rows())
        book = folder.ledgers.bows
        return sum(book.balance(kind).accounts.get("sold", 0) for kind in book.items)


def turn(folder: Path, number: int, events: int, commits: int) -> dict[str, Any]:
    """Measure both sides once, one after another."""
    sides: dict[str, Any] = {
        "ours": Ours(folder / f"{number}.bows"),
        "theirs": Theirs(folder / f"{number}.db"),
    }
    assert {side.journal for side in sides.values()} == {"delete"}
    few, many = sales(commits), sales(events - commits)
    took: dict[str, Any] = {}
    for name, side in sides.items():
        took["append", name] = commits / seconds(partial(side.one_a_commit, few))
        took["bulk", name] = len(many) / seconds(partial(side.in_one_commit, many))
    sold = sum(count for sale in few + many for _, count in sale.bows)
    for name, side in sides.items():
        told: list[int] = []
        replay = partial(_told, side, told)
        took["replay", name] = events / seconds(replay)
        assert told == [sold], (name, told, sold)
    return took


def _told(side: Any, told: list[int]) -> None:
    told.append(side.replay())


def main() -> None:
    """Measure and print."""
    told = [int(word) for word in sys.argv[1:]]
    events = told[0] if told else EVENTS
    commits = told[1] if len(told) > 1 else COMMITS
    as_durable()
    with tempfile.TemporaryDirectory() as name:
        turns = [turn(Path(name), n, events, commits) for n in range(TURNS)]
    words = {
        "append": "appends, one event a commit", "bulk": "appends, many a commit",
        "replay": "replay",
    }  # fmt: skip
    print(f"{events:,} sales, {commits:,} one a commit; middle of {TURNS} turns")
    for what, text in words.items():
        ours = median(one[what, "ours"] for one in turns)
        theirs = median(one[what, "theirs"] for one in turns)
        times = f"{ours / theirs:.2f}x"
        print(f"{text}: ours {ours:,.0f}/s, theirs {theirs:,.0f}/s, {times}")


if __name__ == "__main__":
    main()
