"""
One process's hold on a shop: its log, its ledgers, its clock; and how a command writes.

`bows log` keeps one session for an evening; every other command makes one and ends.
Ledgers are folded once and then fed only what was appended since.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from functools import partial
from pathlib import Path
from zoneinfo import ZoneInfo

from planner.commands import caching, progress, say
from planner.commands.files import named
from planner.commands.names import refuse_lasting
from planner.errors import HeadMoved, NoShop
from planner.events.base import Entry
from planner.fold import Folder, Hypothetical, voided_entries
from planner.ledgers.state import Ledgers
from planner.log.bodies import read_bodies
from planner.log.chain import Head, Row
from planner.log.codec import decode_many, parse
from planner.log.draft import Appended
from planner.log.store import Log
from planner.rules.base import Now, Proposal
from planner.values.moments import When, end_of_day, parse_when

FILE_NAME = "shop.bows"
_TRIES = 3
"""So often a rule looks again before it keeps other writers waiting."""
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
Rule = Callable[[Ledgers], Proposal]


@dataclass
class Session:
    """A shop opened for one process; what the global options said."""

    path: Path
    json: bool = False
    yes: bool = False
    overlay: tuple[Hypothetical, ...] = ()
    rand: Callable[[int], bytes] = os.urandom
    clock: Callable[[], datetime] = field(default=lambda: datetime.now(UTC))
    _log: Log | None = None
    _folder: Folder | None = None
    _cached: caching.Kept | None = None
    _zone: ZoneInfo | None = None
    last: Appended | None = None

    @property
    def log(self) -> Log:
        """The log, opened when first needed."""
        if self._log is None:
            if not self.path.exists():
                raise NoShop(
                    f"There is no shop at {self.path}.",
                    instead="bows open   (or look round first: bows demo)",
                )
            readonly = bool(self.overlay) or not os.access(self.path, os.W_OK)
            self._log = Log.open(self.path, readonly=readonly)
            self._log.on_wait = partial(
                say.talk, "waiting for another window that writes to this shop ..."
            )
        return self._log

    def close(self) -> None:
        """Let go of the shop file and of the cache."""
        self._let_go_of_cache()
        if self._log is not None:
            self._log.close()
            self._log = None

    @property
    def zone(self) -> ZoneInfo:
        """The shop's time zone, told by its first event."""
        if self._zone is None:
            row = self.log.row(1)
            if row is None or row[3] != "shop-set-up":
                raise NoShop("This shop was never set up.", instead="bows open")
            self._zone = ZoneInfo(parse(row[7])["zone"])
        return self._zone

    @property
    def now(self) -> Now:
        """The moment, in the shop's zone."""
        return Now(self.clock(), self.zone)

    @property
    def today(self) -> date:
        """The shop's day."""
        return self.now.today

    def when(self, on: str | None) -> When:
        """Read `--on`; without it, this very moment."""
        if on is None:
            return self.now.when
        return parse_when(on, now=self.clock(), zone=self.zone)

    def _voided(self, known_on: date | None) -> frozenset[int]:
        rows = self.log.corrections()
        if known_on is not None:
            end = timedelta(microseconds=end_of_day(known_on, self.zone))
            last = self.log.known_by(_EPOCH + end)
            rows = [row for row in rows if row[0] <= last]
        return voided_entries((row[2], parse(row[7])["entries"]) for row in rows)

    def folded(
        self, *, as_of: date | None = None, known_on: date | None = None
    ) -> Ledgers:
        """Fold the log anew, as of a day or as known on a day, overlay included."""
        folder = Folder(
            zone=self.zone.key, decode=decode_many, bodies=read_bodies,
            voided=self._voided(known_on), as_of=as_of, known_on=known_on,
            look=caching.look_into(self.log),
        )  # fmt: skip
        words = f"reading {self.log.head().seq:,} events"
        with progress.showing(words, json=self.json):
            folder.feed_all(self.log.rows(lean=True))
        folder.suppose(self.overlay)
        if as_of is None and known_on is None:
            self._let_go_of_cache()
            self._folder = folder
        return folder.ledgers

    def _resumed(self) -> Folder | None:
        """Go on from the cache; None when there is none to be trusted."""
        found = caching.resume(self.log)
        if found is None:
            return None
        folder, self._cached = found
        self._zone = folder.zone
        return folder

    def _let_go_of_cache(self) -> None:
        if self._cached is not None:
            self._cached.file.close()
            self._cached = None

    def lose_cache(self) -> None:
        """Forget ledgers whose cache was lost; the next are folded anew."""
        self._let_go_of_cache()
        caching.switch_off(self.path)
        self._folder = None

    def keep(self) -> None:
        """Bring the cache up to what was folded, now that all is said."""
        if self._folder is not None and not self.overlay:
            caching.keep(
                self.path, self._folder.ledgers, self._cached, asked=self.last is None
            )
        self.drop()

    def drop(self) -> None:
        """Let go of the ledgers; the next are folded anew or out of the cache."""
        self._let_go_of_cache()
        self._folder = None

    def ledgers(self) -> Ledgers:
        """Give today's ledgers; what was appended since the last look is added."""
        if self.overlay:
            return self.folded()
        if self._folder is None:
            self._folder = self._resumed()
        if self._folder is None:
            return self.folded()
        led = self._folder.ledgers
        tail = list(self.log.rows(after=led.head_seq))
        if any(row[3] == "entry-corrected" for rows in tail for row in rows):
            return self.folded()
        for rows in tail:
            self._folder.feed(rows)
            led.memo.clear()
        return led

    def write(
        self, rule: Rule, *, dry_run: bool = False, json: bool = False,
        once_more: bool = False,
    ) -> None:  # fmt: skip
        """
        Ask a rule, show what it changes, and append its entry.

        When somebody else appended meanwhile, the rule looks again.  What says the
        same as the entry before is asked about, unless it is meant `once_more`.
        """
        say_it = self.alone(
            lambda: self._entered(
                rule, dry_run=dry_run, json=json or self.json, once_more=once_more
            )
        )
        say_it()

    def alone(self, attempt: Callable[[], Callable[[], None]]) -> Callable[[], None]:
        """
        Try to write what rests on the log's head, again when somebody moved it.

        After some tries the others are kept waiting, so that it comes to an end.  What
        an attempt gives says how it went; it is for when all is written.
        """
        for _ in range(_TRIES):
            try:
                return attempt()
            except HeadMoved:
                continue
        with self.log.writing():
            return attempt()

    def _entered(
        self, rule: Rule, *, dry_run: bool, json: bool, once_more: bool
    ) -> Callable[[], None]:
        led = self.ledgers()
        proposed = rule(led)
        head = Head(led.head_seq, led.head_entry, led.head_hash)
        if dry_run or self.overlay:
            return partial(say.dry, proposed, json=json, today=self.today)
        if not self.yes:
            refuse_lasting(proposed, self.log)
        twice = "" if once_more else self._twice(proposed)
        if twice and not self._really(twice):
            return partial(say.talk, "Nothing was written.")
        last = self.log.append(
            proposed.entry, expected=head if head.seq else None,
            recorded=self.clock(), rand=self.rand,
        )  # fmt: skip
        return partial(self._say_written, proposed, last, twice, json)

    def _say_written(
        self, proposed: Proposal, last: Appended, twice: str, json: bool
    ) -> None:
        self.last = last
        say.written(proposed, last, twice=twice, json=json, today=self.today)

    def create(
        self, entries: Sequence[Entry], *, recorded: datetime | Sequence[datetime],
        rand: Callable[[int], bytes],
    ) -> Appended:  # fmt: skip
        """Make the shop file with its first entries, or not; gives the last one."""
        written: list[Appended] = []

        def fill(log: Log) -> None:
            written.extend(
                log.append_all(entries, expected=None, recorded=recorded, rand=rand)
            )

        self.path.parent.mkdir(parents=True, exist_ok=True)
        self._log = Log.create(self.path, fill=fill)
        return written[-1]

    def _twice(self, proposed: Proposal) -> str:
        """Say so if the last entry, minutes ago, was the same but for its codes."""
        head = self.log.head()
        if not head.seq:
            return ""
        rows = self.log.entry_rows(head.entry)
        minutes = (self.clock() - datetime.fromisoformat(rows[-1][6])).total_seconds()
        if not 0 <= minutes < 600 or len(rows) != len(proposed.facts):
            return ""
        from planner.log.codec import encode

        for row, fact in zip(rows, proposed.facts, strict=True):
            kind, body = fact.event.kind, encode(fact.event)
            if row[3] != kind or _plain(kind, row[7]) != _plain(kind, body):
                return ""
            if not _dated_alike(row, fact.happened, self.clock()):
                return ""
        ago = max(int(minutes // 60), 0)
        return f"entry {head.entry}, {ago} min ago, says the same"

    def _really(self, twice: str) -> bool:
        """Ask on a terminal; elsewhere the second entry is taken and said."""
        if self.yes or not (sys.stdin.isatty() and sys.stderr.isatty()):
            return True
        say.talk(f"{twice[0].upper()}{twice[1:]}. Enter it once more? [y/N]", end=" ")
        return input().strip().lower() in ("y", "yes")


def _dated_alike(row: Row, happened: str, moment: datetime) -> bool:
    """Say whether an entry is dated as one in the log: alike, or both just now."""
    before = row[5]
    if happened == before or 10 in (len(happened), len(before)):
        return happened[:10] == before[:10]
    return _just_now(before, datetime.fromisoformat(row[6])) and _just_now(
        happened, moment
    )


def _just_now(happened: str, typed: datetime) -> bool:
    return abs((typed - datetime.fromisoformat(happened)).total_seconds()) < 60


_CODES = {
    "spool-received": ("spool", "lot"),
    "spool-found-part-used": ("spool", "lot"),
    "supply-received": ("lot",),
    "supply-found": ("lot",),
    "ribbon-cut": ("bundle",),
    "sitting-logged": ("sitting",),
    "bows-finished": ("batch", "sitting", "parts", "ready"),
    "bows-spoiled": ("scrapped", "kept"),
    "bows-reworked": ("batch",),
    "order-asked": ("order", "note"),
    "order-taken": ("order", "note"),
    "fair-announced": ("fair",),
    "restock-ordered": ("restock",),
}
"""Fields of a kind that differ though she typed the same."""


def _plain(kind: str, body: bytes) -> dict[str, object]:
    fields = dict(parse(body))
    for name in _CODES.get(kind, ()):
        fields.pop(name, None)
    return fields


def default_path() -> Path:
    """Give where the shop file lies when she names none."""
    from platformdirs import user_data_path

    return user_data_path("spool-to-stall", appauthor=False) / FILE_NAME


def shop_path(told: str | None) -> Path:
    """
    Turn `--shop`, or BOWS_SHOP, or nothing, into the shop file's path.

    A folder means the shop file in it.
    """
    said = told or os.environ.get("BOWS_SHOP")
    if not said:
        return default_path()
    path = named(said)
    if path.is_dir() or (not path.exists() and not path.suffix):
        return path / FILE_NAME
    return path


_current: list[Session] = []


def current() -> Session:
    """Give the session of this process."""
    if not _current:
        _current.append(Session(shop_path(None)))
    return _current[-1]


def begin(session: Session) -> Session:
    """Make a session this process's own."""
    if _current:
        _current.pop().close()
    _current.append(session)
    return session


def finish() -> None:
    """Bring the cache up, now that this process has said all it had to say."""
    if _current:
        _current[-1].keep()


def last_written() -> Appended | None:
    """Give the last entry that this process has written."""
    return _current[-1].last if _current else None
