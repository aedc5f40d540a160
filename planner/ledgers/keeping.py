"""
Ledgers to the cells of the cache and back; what is in no cell is folded from the log.

Bodies of events are in none: a page keeps where its events stand in the log.  A cell of
lines carries the names of the accounts it numbers, so that a process may number its
own accounts before it ever reads that cell.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from planner.errors import CacheLost
from planner.ledgers.keeping_rows import (
    BOOKS,
    NOUNS,
    REGISTRIES,
    RUNS,
    run_of,
    set_run,
)  # fmt: skip
from planner.ledgers.known import LINE, READING, Known
from planner.ledgers.living import ALWAYS, FADING, LIVING
from planner.ledgers.numbering import BUNDLES
from planner.ledgers.resting import RESTS
from planner.ledgers.shelves import (
    Cells,
    Run,
    Shelf,
    bucket_of,
    code_number,
    read_json,
    since,
    write_json,
)  # fmt: skip
from planner.ledgers.state import At, Kept, Ledgers
from planner.ledgers.timeline import Book, Timeline

Cell = tuple[int, bytes]
Look = Callable[[int], Any]

META = 0
SHELF = 1 << 40
LIVE = 1 << 56
WORKED_OUT = 1 << 57
VOIDED = 1 << 58
PART = 1 << 60
"""Where the cells of each sort begin."""

ENTRIES = 24
"""Entries a cell of a shelf is laid out for."""
CROWDED = 96
"""Entries a cell has on the average when its shelf is laid out anew."""
PARTS = 48
"""Parts of a timeline or list from which they are made one."""
COMMON = 64
"""Account names of a book that are read at once, with the head of the cache."""

SHELVES = (
    *REGISTRIES, *(f"items.{book}" for book in BOOKS), *(f"pages.{n}" for n in NOUNS)
)  # fmt: skip


@dataclass
class Head:
    """What is known of the cache before any other cell is read."""

    version: str
    zone: str
    seq: int
    entry: int
    hash: str
    events: int
    late_newest: str
    voided: int
    parts: int
    given: dict[str, int]
    books: dict[str, Any] = field(default_factory=dict)
    shelves: dict[str, Any] = field(default_factory=dict)
    runs: dict[str, Any] = field(default_factory=dict)


def read_head(cells: Cells) -> Head:
    """Read the head of a cache; raises CacheLost."""
    try:
        return Head(**read_json(cells.get(META)))
    except TypeError as error:
        raise CacheLost(str(error)) from error


# -- taking up -------------------------------------------------------------------


def take_up(cells: Cells, head: Head, *, look: Look) -> Ledgers:
    """Give the ledgers of a cache, whose cells are read as they are asked for."""
    led = Ledgers(head.zone)
    led.head_seq, led.head_entry = head.seq, head.entry
    led.head_hash, led.events = bytes.fromhex(head.hash), head.events
    led.late_newest, led.given = head.late_newest, head.given
    if head.voided:
        led.told_voided = lambda: frozenset(read_json(cells.get(VOIDED)))
    for book in led.books:
        _take_up_book(book, cells, head)
    for name in RUNS:
        parts, stored = head.runs[name]
        set_run(led, name, Run(parts, stored, _run_reader(led, name, cells)))
    for name, entry in REGISTRIES.items():
        setattr(led, name, _shelf(name, cells, head, entry.read))
    for noun in NOUNS:
        led.pages[noun] = _shelf(f"pages.{noun}", cells, head, _page_reader(look))
    led.plain = {
        name: _recaller(cells, WORKED_OUT + number) for number, name in enumerate(RESTS)
    }
    return led


def _recaller(cells: Cells, number: int) -> Callable[[], Any]:
    return lambda: read_json(cells.get(number))


def _shelf(
    name: str, cells: Cells, head: Head, read: Callable[[str, Any], Any]
) -> Shelf[Any]:
    number = SHELVES.index(name)
    buckets, stored, places, newest = head.shelves[name]
    live = None
    if name in LIVING:
        live = _recaller(cells, LIVE + number)
    return Shelf(
        cells, base=SHELF * (number + 1), buckets=buckets, stored=stored,
        places=places, newest=newest, live=live, read=read,
    )  # fmt: skip


def _page_reader(look: Look) -> Callable[[str, Any], list[Kept]]:
    def read(key: str, rows: Any) -> list[Kept]:
        return [Kept(At(*row), None, look) for row in rows]

    return read


def _take_up_book(book: Book, cells: Cells, head: Head) -> None:
    told = head.books[book.name]
    for number, name in told["names"]:
        book.learn(number, name)
    book.next, book.counted = told["next"], told["counted"]
    book.fetch = lambda part: _lines_of(book, cells.get(PART + part))
    book.items = _shelf(f"items.{book.name}", cells, head, _timeline_reader(book))


def _timeline_reader(book: Book) -> Callable[[str, Any], Timeline]:
    def read(key: str, row: Any) -> Timeline:
        line = Timeline(book)
        line.newest, ordered, length, parts, held, *rest = row
        line.sorted, line.parts = bool(ordered), tuple(parts)
        line.away = line.saved = length
        whole, fresh, reading, newest, counted = rest
        accounts = {book.learn(number, name): n for number, name, n in held}
        line.known = Known(length, whole, accounts, fresh, reading, newest, counted)
        return line

    return read


def _lines_of(book: Book, data: bytes) -> bytes:
    """Give the raw lines of a part, in this process's own numbers of accounts."""
    told, _, lines = data.partition(b"\n")
    names = {int(number): name for number, name in read_json(told)}
    own = {number: book.learn(number, name) for number, name in names.items()}
    if all(number == mine for number, mine in own.items()):
        return lines
    return b"".join(
        LINE.pack(when, seq, own.get(source, source), own.get(target, target), amount)
        for when, seq, source, target, amount in LINE.iter_unpack(lines)
    )


def _run_reader(led: Ledgers, name: str, cells: Cells) -> Callable[[int], list[Any]]:
    def read(part: int) -> list[Any]:
        return [RUNS[name].read(led, row) for row in read_json(cells.get(PART + part))]

    return read


# -- laying down -----------------------------------------------------------------


class Writer:
    """
    Lays ledgers down as cells: all of them, or those that changed since a head.

    `cells` walks them, the head last; `dropped` are those no longer needed by then.
    """

    def __init__(self, led: Ledgers, *, version: str, since: Head | None) -> None:
        self.led = led
        self.since = since
        self.dropped: list[int] = []
        self.head = Head(
            version, led.zone, led.head_seq, led.head_entry, led.head_hash.hex(),
            led.events, led.late_newest, len(led.voided), since.parts if since else 0,
            led.given,
        )  # fmt: skip
        if since is not None:
            self.head.runs = dict(since.runs)

    def cells(self) -> Iterator[Cell]:
        """Walk the cells to be written."""
        for book in self.led.books:
            yield from self._book(book)
        for name, entry in REGISTRIES.items():
            yield from self._registry(name, getattr(self.led, name), entry.write)
        for noun in NOUNS:
            yield from self._registry(f"pages.{noun}", self.led.pages[noun], _page_row)
        for name in RUNS:
            yield from self._run(name)
        yield from self._worked_out()
        if self.since is None:
            yield VOIDED, write_json(sorted(self.led.voided))
        yield META, write_json(vars(self.head))

    def _part(self, data: bytes) -> tuple[int, Cell]:
        number = self.head.parts
        self.head.parts += 1
        return number, (PART + number, data)

    def _book(self, book: Book) -> Iterator[Cell]:
        written: list[Cell] = []

        def row(line: Timeline) -> list[Any]:
            return self._timeline_row(line, written)

        for cell in self._registry(f"items.{book.name}", book.items, row):
            yield from written
            written.clear()
            yield cell
        names = sorted(book.names.items())[:COMMON]
        self.head.books[book.name] = {
            "names": names, "next": book.next, "counted": book.counted
        }  # fmt: skip

    def _timeline_row(self, line: Timeline, written: list[Cell]) -> list[Any]:
        known, names = line.current(), line.book.names
        parts = line.parts
        if len(line) > line.saved or self.since is None:
            if len(parts) >= PARTS or self.since is None:
                list(line.lines())
                self.dropped += [PART + part for part in parts]
                parts, lines = (), bytes(line.kept)
            else:
                lines = bytes(line.kept[-(len(line) - line.saved) * LINE.size :])
            number, cell = self._part(_part_of(line.book, lines))
            written.append(cell)
            parts = (*parts, number)
        held = [[n, names[n], amount] for n, amount in known.held.items() if amount]
        return [
            line.newest, int(line.sorted), len(line), parts, held, known.whole,
            known.fresh, known.reading, known.newest, known.counted,
        ]  # fmt: skip

    def _registry(
        self, name: str, held: Mapping[str, Any], write: Callable[[Any], Any]
    ) -> Iterator[Cell]:
        """Lay down a registry's changed cells, or all where it has no cells yet."""
        base = SHELF * (SHELVES.index(name) + 1)
        if isinstance(held, Shelf) and self.since is not None:
            changed = _changed(held)
            if len(held) <= CROWDED * held.buckets:
                yield from _some(held, base, changed, write)
                self.head.shelves[name] = (
                    held.buckets, len(held), held.next, held.numbers
                )  # fmt: skip
                yield from self._alive(name, held.live_places(changed), changed)
                return
        buckets = 1 << max(len(held) // ENTRIES, 1).bit_length() - 1
        yield from _every(held, base, buckets, write)
        self.head.shelves[name] = (buckets, len(held), len(held), _newest(held))
        if name in LIVING:
            places = {key: place for place, key in enumerate(held)}
            yield from self._alive(name, places, held)

    def _alive(
        self, name: str, places: Mapping[str, int], changed: Iterable[str]
    ) -> Iterator[Cell]:
        alive = LIVING.get(name)
        if alive is None:
            return
        ask = set(places if name in FADING else changed)
        left = [(k, n) for k, n in places.items() if k not in ask or alive(self.led, k)]
        yield LIVE + SHELVES.index(name), write_json(left)

    def _run(self, name: str) -> Iterator[Cell]:
        run = run_of(self.led, name)
        parts, stored = self.head.runs.get(name, ((), 0))
        if len(run) > stored or self.since is None:
            if len(parts) >= PARTS:
                self.dropped += [PART + part for part in parts]
                parts, stored = (), 0
            write = RUNS[name].write
            rows = [write(self.led, one) for one in since(run, stored)]
            number, cell = self._part(write_json(rows))
            yield cell
            parts = (*parts, number)
        self.head.runs[name] = (parts, len(run))

    def _worked_out(self) -> Iterator[Cell]:
        """Lay down what was worked out anew; nothing where what was no longer holds."""
        known = self.led.memo.get("worked out", {})
        for number, name in enumerate(RESTS):
            if self.since is None or name in known or not self.led.holds(name):
                value = known.get(name)
                if value is None and name in ALWAYS:
                    value = ALWAYS[name](self.led)
                yield WORKED_OUT + number, write_json(value)


def _page_row(page: Iterable[Kept]) -> list[At]:
    return [kept.at for kept in page]


def _part_of(book: Book, lines: bytes) -> bytes:
    used = {number for line in LINE.iter_unpack(lines) for number in line[2:4]}
    named = sorted(n for n in used if n != READING and n < BUNDLES)
    names = [(n, book.names[n]) for n in named]
    return write_json(names) + b"\n" + lines


def _changed(held: Shelf[Any]) -> list[str]:
    grown = [
        key for key, one in held.at_hand()
        if isinstance(one, Timeline) and len(one) > one.saved
    ]  # fmt: skip
    return list(dict.fromkeys([*held.touched, *grown]))


def _some(
    held: Shelf[Any], base: int, changed: Iterable[str], write: Callable[[Any], Any]
) -> Iterator[Cell]:
    """Lay down the cells of a shelf in which something changed."""
    cells: dict[int, set[str]] = {}
    for key in changed:
        cells.setdefault(bucket_of(key, held.buckets), set()).add(key)
    for bucket, keys in cells.items():
        rows = held.rows[bucket]
        for key in keys:
            if key in held:
                rows[key] = (held.places[key], write(held[key]))
            else:
                rows.pop(key, None)
        yield base + bucket, write_json(rows)


def _every(
    held: Mapping[str, Any], base: int, buckets: int, write: Callable[[Any], Any]
) -> Iterator[Cell]:
    """Lay down all cells of a registry."""
    cells: list[list[tuple[int, str]]] = [[] for _ in range(buckets)]
    for place, key in enumerate(held):
        cells[bucket_of(key, buckets)].append((place, key))
    for bucket, entries in enumerate(cells):
        rows = {key: (place, write(held[key])) for place, key in entries}
        yield base + bucket, write_json(rows)


def _newest(keys: Iterable[str]) -> dict[str, int]:
    numbers: dict[str, int] = {}
    for letter, number in map(code_number, keys):
        if number > numbers.get(letter, 0):
            numbers[letter] = number
    return numbers
