"""
Registries and lists that stay in the cache until something asks for them.

The cache keeps ledgers in numbered *cells*.  A `Shelf` is a dict whose entries lie in
so many cells by a hash of their key, so that one entry is found by reading one cell and
what isn't there is known not to be there.  A `Run` is a list whose beginning lies in
cells.  Both are what the ledgers know as dict and list: nothing else can tell.
"""

from __future__ import annotations

import json
from binascii import crc32
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import Any, Protocol, Self, SupportsIndex, TypeVar, overload

from planner.errors import CacheLost

V = TypeVar("V")
T = TypeVar("T")


class Cells(Protocol):
    """Numbered cells of bytes, proved to be what was written; raises CacheLost."""

    def get(self, number: int) -> bytes:
        """Give one cell."""

    def span(self, first: int, count: int) -> list[bytes]:
        """Give so many cells in a row."""


def read_json(data: bytes) -> Any:
    """Read a cell of JSON; raises CacheLost when it is none."""
    try:
        return json.loads(data)
    except ValueError as error:
        raise CacheLost(str(error)) from error


def write_json(value: Any) -> bytes:
    """Write a cell of JSON."""
    return json.dumps(value, ensure_ascii=False, separators=(",", ":")).encode()


def bucket_of(key: str, buckets: int) -> int:
    """Say in which of so many cells a key lies (a power of two of them)."""
    return crc32(key.encode()) & (buckets - 1)


def code_number(key: str) -> tuple[str, int]:
    """Split a short code into its letter and number (``S41``); 0 when it is none."""
    number = key[1:]
    return key[:1], int(number) if number.isdecimal() else 0


class Shelf(dict[str, V]):
    """
    A registry in the cache, in the order its keys were first entered.

    `read` makes an entry of what its cell holds, given its key.  `touched` are the
    keys entered or handed out to be changed since.
    """

    def __init__(
        self,
        cells: Cells,
        *,
        base: int,
        buckets: int,
        stored: int,
        places: int,
        newest: Mapping[str, int],
        live: Callable[[], Sequence[tuple[str, int]]] | None,
        read: Callable[[str, Any], V],
    ) -> None:
        super().__init__()
        self.base, self.buckets = base, buckets
        self.numbers = dict(newest)
        self.touched: dict[str, None] = {}
        self.places: dict[str, int] = {}
        self.rows: dict[int, dict[str, Any]] = {}
        self._cells, self._read, self._live = cells, read, live
        self._count = stored
        self.next = places
        self._whole = False

    def look(self, bucket: int) -> None:
        """Read a cell, unless it was read before."""
        if bucket not in self.rows:
            self._take(bucket, self._cells.get(self.base + bucket))

    def _take(self, bucket: int, data: bytes) -> None:
        self.rows[bucket] = rows = read_json(data)
        try:
            for key, (place, value) in rows.items():
                self.places[key] = place
                super().__setitem__(key, self._read(key, value))
        except (ValueError, TypeError, LookupError, AttributeError) as error:
            raise CacheLost(str(error)) from error

    def _find(self, key: object) -> bool:
        if super().__contains__(key):
            return True
        if self._whole or not isinstance(key, str):
            return False
        self.look(bucket_of(key, self.buckets))
        return super().__contains__(key)

    def _all(self) -> None:
        if self._whole:
            return
        for bucket, data in enumerate(self._cells.span(self.base, self.buckets)):
            if bucket not in self.rows:
                self._take(bucket, data)
        ordered = sorted(super().items(), key=lambda entry: self.places[entry[0]])
        super().clear()
        super().update(ordered)
        self._whole = True

    def __missing__(self, key: str) -> V:
        if self._find(key):
            return super().__getitem__(key)
        raise KeyError(key)

    def __setitem__(self, key: str, value: V) -> None:
        if not self._find(key):
            self.places[key] = self.next
            self.next += 1
            self._count += 1
            letter, number = code_number(key)
            if number > self.numbers.get(letter, 0):
                self.numbers[letter] = number
        self.touched[key] = None
        super().__setitem__(key, value)

    def enter(self, key: str, row: tuple[Any, ...]) -> None:
        """Enter an entry by its values, in order."""
        self[key] = self._read(key, list(row))

    def setdefault(self, key: str, default: V) -> V:
        """Give an entry to be changed, begun if it is new."""
        if not self._find(key):
            self[key] = default
        self.touched[key] = None
        return super().__getitem__(key)

    def pop(self, key: str, default: Any = None) -> Any:
        """Take an entry out for good; gives what is told when there is none."""
        if not self._find(key):
            return default
        self.touched[key] = None
        self._count -= 1
        return super().pop(key)

    def get(self, key: str, default: Any = None) -> Any:
        """Give an entry, or what is told instead."""
        return super().__getitem__(key) if self._find(key) else default

    def __contains__(self, key: object) -> bool:
        return self._find(key)

    def __len__(self) -> int:
        return self._count

    def __iter__(self) -> Iterator[str]:
        self._all()
        return super().__iter__()

    def keys(self) -> Any:
        """Walk the keys in order of first mention."""
        self._all()
        return super().keys()

    def values(self) -> Any:
        """Walk the entries in order of first mention."""
        self._all()
        return super().values()

    def items(self) -> Any:
        """Walk keys and entries in order of first mention."""
        self._all()
        return super().items()

    def __eq__(self, other: object) -> bool:
        self._all()
        return super().__eq__(other)

    __hash__ = None

    def at_hand(self) -> Iterable[tuple[str, V]]:
        """Walk what was read so far, in no order."""
        return super().items()

    def newest(self, letter: str) -> int:
        """Give the newest number of the short codes of a letter, 0 when none."""
        return self.numbers.get(letter, 0)

    def live(self, more: Iterable[str] = ()) -> list[str]:
        """Give the keys not known to be over and done with, in order."""
        found = self.live_places(more)
        return sorted(found, key=found.__getitem__)

    def live_places(self, more: Iterable[str] = ()) -> dict[str, int]:
        """Give them with their places, some more that changed among them."""
        if self._live is None:
            return {key: self.places[key] for key in self}
        found = dict(self._live())
        changed = [key for key in (*self.touched, *more) if key in self]
        found.update((key, self.places[key]) for key in changed)
        return found


class Run(list[T]):
    """A list whose beginning stays in the cache until something walks it."""

    def __init__(
        self, parts: Sequence[int], stored: int, read: Callable[[int], list[T]]
    ) -> None:
        super().__init__()
        self.parts, self.stored = tuple(parts), stored
        self._read, self._away = read, stored

    def _all(self) -> Self:
        if self._away:
            old = [one for part in self.parts for one in self._read(part)]
            if len(old) != self.stored:
                raise CacheLost(f"{len(old)} of {self.stored} lines are there")
            self._away = 0
            super().__setitem__(slice(0, 0), old)
        return self

    def since(self, length: int) -> list[T]:
        """Give what follows the first so many, which may stay in the cache."""
        if length < self._away:
            return list(self._all())[length:]
        return list(super().__getitem__(slice(length - self._away, None)))

    def __len__(self) -> int:
        return self._away + super().__len__()

    def __iter__(self) -> Iterator[T]:
        self._all()
        return super().__iter__()

    def __contains__(self, one: object) -> bool:
        self._all()
        return super().__contains__(one)

    def __eq__(self, other: object) -> bool:
        self._all()
        return super().__eq__(other)

    __hash__ = None

    @overload
    def __getitem__(self, at: SupportsIndex) -> T: ...
    @overload
    def __getitem__(self, at: slice) -> list[T]: ...
    def __getitem__(self, at: Any) -> Any:
        self._all()
        return super().__getitem__(at)


def since(run: list[T], length: int) -> list[T]:
    """Give what follows the first so many of a list, wherever its beginning is."""
    return run.since(length) if isinstance(run, Run) else run[length:]
