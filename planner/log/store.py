"""
The shop file: one SQLite file, and the only code that writes it.

Durable by a rollback journal with synchronous=EXTRA.  Killing the process is tested;
a power failure is not, for it takes more than a test to cut the power.
"""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import Self

from planner.errors import NoShop
from planner.events.base import Entry
from planner.log import people, schema
from planner.log.chain import START, Head, Row, row_hash
from planner.log.codec import Registry, read_back, registry
from planner.log.draft import Appended, Chance, lay_out
from planner.log.faults import (
    damaged,
    is_busy,
    left_unwritten,
    moved,
    not_a_shop,
    read_only,
    told,
    unlike,
    unsure,
)
from planner.log.files import appearing
from planner.log.opening import PATIENCE, Connect, connect, recognise, settle
from planner.log.people import Detail, PrivateRow
from planner.log.schema import INSERT, LEAN, SELECT
from planner.log.stamps import recorded_text

_PAUSE, _LEAST_PAUSE = 0.02, 0.005
"""Seconds between two looks whether it is one's turn to write, at first and later."""
_A_WHILE = 3.0
"""Seconds after which she is told why nothing happens."""


class Log:
    """
    The log of one shop, open for appending and reading.

    Between two calls it holds no lock, so a long computation blocks nobody.
    """

    def __init__(
        self, path: Path, db: sqlite3.Connection, *, readonly: bool, using: Registry,
        patience: float,
    ) -> None:  # fmt: skip
        """Use `Log.open` or `Log.create`."""
        self.path = path
        self.readonly = readonly
        self.registry = using
        self.patience = patience
        self.on_wait: Callable[[], None] = _say_nothing
        self.db = db
        """The connection, for those who look at the file itself (check, backup)."""
        self._writing = False

    @classmethod
    def create(
        cls,
        path: Path,
        *,
        using: Registry | None = None,
        connect: Connect = connect,
        patience: float = PATIENCE,
        fill: Callable[[Self], object] | None = None,
    ) -> Self:
        """
        Make a new shop file that only its owner may read, and open it.

        It appears with what `fill` has written to it, or not at all.  Raises LogTrouble
        when something of that name is there.
        """
        with told(path), appearing(path) as made:
            db = connect(made)
            try:
                settle(db, patience, readonly=False)
                schema.lay_down(db)
            finally:
                db.close()
            if fill:
                with cls.open(made, using=using, connect=connect) as log:
                    fill(log)
        return cls.open(path, using=using, connect=connect, patience=patience)

    @classmethod
    def open(
        cls,
        path: Path,
        *,
        readonly: bool = False,
        using: Registry | None = None,
        connect: Connect = connect,
        patience: float = PATIENCE,
        migrations: Mapping[int, schema.Migration] = schema.MIGRATIONS,
    ) -> Self:
        """
        Open a shop file; one of an older format is brought up after a backup.

        Raises NoShop, NotAShop, Damaged, Busy.
        """
        if not path.exists():
            raise NoShop(f"There is no shop at {path}.", instead="bows open")
        if not path.is_file():
            raise not_a_shop(path)
        with told(path):
            db = connect(path)
            try:
                settle(db, patience, readonly=readonly)
                recognise(db, path, readonly, migrations)
            except BaseException:
                db.close()
                raise
        using = using or registry()
        return cls(path, db, readonly=readonly, using=using, patience=patience)

    def close(self) -> None:
        """Let go of the file."""
        self.db.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    # -- reading ----------------------------------------------------------------

    def head(self) -> Head:
        """Give the last event's seq, entry and hash; zeros when there is none."""
        ask = "SELECT seq, entry, hash FROM event ORDER BY seq DESC LIMIT 1"
        with told(self.path):
            last = self.db.execute(ask).fetchone()
        if last is None:
            return START
        if last[0] < 1:  # where the end of the file is gone, zeros are read
            raise damaged(self.path)
        return Head(*last)

    def rows(
        self, after: int = 0, upto: int | None = None, *, chunk: int = 500,
        lean: bool = False,
    ) -> Iterator[list[Row]]:  # fmt: skip
        """
        Read events in chunks, those after one seq and up to another.

        Chunks are small, so that what is made of one stays in the processor's cache.
        The end is the head at the call at most; between chunks nothing is locked.
        With `lean`, as for a fold, ids and earlier hashes are None.
        """
        last = self.head().seq
        upto = last if upto is None else min(upto, last)
        return self._chunks(after, upto, chunk, LEAN if lean else SELECT)

    def _chunks(self, after: int, upto: int, by: int, ask: str) -> Iterator[list[Row]]:
        where = "WHERE seq > ? AND seq <= ? ORDER BY seq LIMIT ?"
        while rows := self._read(where, after, upto, by, ask=ask):
            if rows[-1][0] <= after:  # or a damaged file is read without end
                raise damaged(self.path)
            yield rows
            after = rows[-1][0]

    def row(self, seq: int) -> Row | None:
        """Read one event, if there is one of that seq."""
        return next(iter(self._read("WHERE seq = ?", seq)), None)

    def entry_rows(self, entry: int) -> list[Row]:
        """Read the events of one entry; none when there is no such entry."""
        return self._read("WHERE entry = ? ORDER BY seq", entry)

    def corrections(self) -> list[Row]:
        """Read all corrections, found by their index without a scan."""
        return self._read("WHERE kind = 'entry-corrected' ORDER BY seq")

    def known_by(self, moment: datetime) -> int:
        """
        Give the last seq before the first event that was recorded after a moment.

        What was recorded after that one counts as later, whatever a clock set back
        has said since.
        """
        ask = "SELECT min(seq) FROM event WHERE recorded > ?"
        with told(self.path):
            (first,) = self.db.execute(ask, (recorded_text(moment),)).fetchone()
        return self.head().seq if first is None else int(first) - 1

    def known(self, ids: Iterable[str]) -> frozenset[str]:
        """Say which of these ids are in the log, so that a take-in leaves them out."""
        ask = "SELECT 1 FROM event WHERE id = ?"
        with told(self.path):
            return frozenset(id for id in ids if self.db.execute(ask, (id,)).fetchone())

    def seals(self) -> dict[str, str]:
        """Give the seals of all private texts that events name, by key."""
        ask = "SELECT body FROM event WHERE instr(body, CAST('\"seal\"' AS BLOB)) > 0"
        found: dict[str, str] = {}
        with told(self.path):
            for (body,) in self.db.execute(ask).fetchall():
                found.update(people.seals_in(body))
        return found

    def _read(self, where: str, *values: object, ask: str = SELECT) -> list[Row]:
        with told(self.path):
            return self.db.execute(f"{ask} {where}", values).fetchall()

    @contextmanager
    def snapshot(self) -> Iterator[None]:
        """Hold the file as it is for a while; a writer has to wait, so be quick."""
        with told(self.path):
            self.db.execute("BEGIN")
            try:
                self.head()
                yield
            finally:
                self._give_up()

    # -- people -----------------------------------------------------------------

    def details(self, person: str) -> tuple[Detail, ...]:
        """Read what is kept about a person."""
        with told(self.path):
            return people.details(self.db, person)

    def all_people(self) -> Mapping[str, tuple[Detail, ...]]:
        """Read what is kept about everybody, by person."""
        with told(self.path):
            return people.everybody(self.db)

    def texts(self, keys: Iterable[str]) -> dict[str, str]:
        """Read the private texts of these keys; forgotten ones are left out."""
        with told(self.path):
            return people.texts(self.db, keys)

    def private_rows(self) -> list[PrivateRow]:
        """Read the whole private table in the order of its keys."""
        with told(self.path):
            return people.all_rows(self.db)

    def forget(self, person: str) -> int:
        """
        Delete all texts and salts of a person without a trace; how many there were.

        The file is overwritten where they stood and rewritten whole.  Backups, other
        copies, and what a disk keeps of deleted files are out of reach.
        """
        with self.writing():
            gone = people.delete(self.db, person)
        try:
            self.db.execute("VACUUM")
        except sqlite3.Error as error:
            raise left_unwritten(self.path, person) from error
        return gone

    # -- writing ----------------------------------------------------------------

    def append(
        self, entry: Entry, *, expected: Head | None, recorded: datetime, rand: Chance
    ) -> Appended:
        """
        Append one entry, whole or not at all.

        `expected` is the head that the rules looked at.  Raises HeadMoved when there
        is another by now, Busy, LogTrouble.
        """
        return self.append_all(
            [entry], expected=expected, recorded=recorded, rand=rand
        )[0]

    def append_all(
        self,
        entries: Sequence[Entry],
        *,
        expected: Head | None,
        recorded: datetime | Sequence[datetime],
        rand: Chance,
    ) -> tuple[Appended, ...]:
        """Append several entries, all or none of them; as `append` does."""
        for entry in entries:
            people.check_sealed(entry)
        with self.writing():
            head = self.head()
            if expected not in (None, head):
                raise moved(head.entry)
            rows, appended = lay_out(
                entries, after=head, recorded=recorded, rand=rand, using=self.registry
            )
            self._write_and_compare(entries, rows, head)
        return appended

    def _write_and_compare(
        self, entries: Sequence[Entry], rows: list[Row], after: Head
    ) -> None:
        private = [people.row_of(kept) for entry in entries for kept in entry.private]
        self.insert(rows, private)
        written = self._read("WHERE seq > ? ORDER BY seq", after.seq)
        facts = (fact for entry in entries for fact in entry.facts)
        if written != rows:
            raise unlike(self.path)
        for fact, row in zip(facts, written, strict=True):
            read_back(fact.event, row[7], using=self.registry)
            if row_hash(row) != row[9]:
                raise unlike(self.path)
        if people.texts(self.db, (row[0] for row in private)) != {
            row[0]: row[3] for row in private
        }:
            raise unlike(self.path)

    @contextmanager
    def writing(self) -> Iterator[None]:
        """
        Write all that is done inside, or nothing of it.

        Within another `writing` it is part of that one.  Raises Busy when another
        program doesn't let go, LogTrouble when it can't be.
        """
        if self.readonly:
            raise read_only(self.path)
        if self._writing:
            yield
            return
        with told(self.path):
            self._begin()
            self._writing, before = True, self._newest()
            try:
                yield
                self.db.execute("COMMIT")
            except BaseException as error:
                self._give_up()
                failed = isinstance(error, sqlite3.Error)
                if failed and self._newest(before) != before:
                    raise unsure(self.path) from error
                raise
            finally:
                self._writing = False

    def _begin(self) -> None:
        """
        Wait for a turn to write, asking more often the longer it takes.

        SQLite's own waiting asks ever more seldom, and among many who write one may
        wait for ever.
        """
        began, waited, said = time.monotonic(), 0.0, False
        self.db.execute("PRAGMA busy_timeout = 0")
        try:
            while not self._has_begun(last=waited >= self.patience):
                time.sleep(max(_PAUSE / (1 + waited), _LEAST_PAUSE))
                waited = time.monotonic() - began
                if waited > _A_WHILE and not said:
                    said = True
                    self.on_wait()
        finally:
            self.db.execute(f"PRAGMA busy_timeout = {round(self.patience * 1000)}")

    def _newest(self, unread: int = 0) -> int:
        """Give the last event's seq, or what is told where it can't be read."""
        with suppress(sqlite3.Error):
            return self.db.execute("SELECT max(seq) FROM event").fetchone()[0] or 0
        return unread

    def _has_begun(self, *, last: bool) -> bool:
        try:
            self.db.execute("BEGIN IMMEDIATE")
        except sqlite3.OperationalError as error:
            if last or not is_busy(error):
                raise
            return False
        return True

    def insert(self, rows: Iterable[Row], private: Iterable[PrivateRow]) -> None:
        """Put finished, checked rows at the end; to be called inside `writing`."""
        self.db.executemany(INSERT, rows)
        people.insert(self.db, private)

    def _give_up(self) -> None:
        # Whatever the rollback itself may say, the first trouble is the one to tell;
        # an unfinished journal is rolled back at the next opening.
        if self.db.in_transaction:
            with suppress(sqlite3.Error):
                self.db.execute("ROLLBACK")


def _say_nothing() -> None:
    """Wait without a word, where nobody reads it."""
