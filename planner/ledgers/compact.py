"""
Registries of a full fold, kept small: of a long log they are the bulk.

An entry is kept as bytes, a fifth of what its values take as objects, and made anew
whenever it is looked at.  The bytes never leave the process.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, MutableMapping
from marshal import dumps, loads
from typing import Any, TypeVar

from planner.ledgers.shelves import code_number

V = TypeVar("V", bound=tuple[Any, ...])
W = TypeVar("W")


class Newest:
    """
    The newest numbers of a registry's short codes, by letter.

    Only keys entered since it was last asked are looked at: thousands of lines taken in
    ask for a code each.
    """

    __slots__ = ("_last", "_numbers")

    def __init__(self) -> None:
        self._last: str | None = None
        self._numbers: dict[str, int] = {}

    def of(self, held: dict[str, Any], letter: str) -> int:
        """Give the newest number of a letter, 0 when none."""
        for key in reversed(held):
            if key == self._last:
                break
            first, number = code_number(key)
            if number > self._numbers.get(first, 0):
                self._numbers[first] = number
        self._last = next(reversed(held), None)
        return self._numbers.get(letter, 0)


class Coded(dict[str, W]):
    """A registry by short code that knows its newest ones; nothing is taken out."""

    __slots__ = ("_newest",)

    def __init__(self) -> None:
        super().__init__()
        self._newest = Newest()

    def newest(self, letter: str) -> int:
        """Give the newest number of the short codes of a letter, 0 when none."""
        return self._newest.of(self, letter)


class Compact(MutableMapping[str, V]):
    """A registry of named tuples, in the order their keys were first entered."""

    __slots__ = ("_held", "_make", "_newest")

    def __init__(self, make: Callable[..., V]) -> None:
        self._make = make
        self._held: dict[str, bytes] = {}
        self._newest = Newest()

    def __getitem__(self, key: str) -> V:
        return self._make(*loads(self._held[key]))

    def __setitem__(self, key: str, value: V) -> None:
        self._held[key] = dumps(value[:])

    def enter(self, key: str, row: tuple[Any, ...]) -> None:
        """Enter an entry by its values, in order; nothing checks how many there are."""
        self._held[key] = dumps(row)

    def __delitem__(self, key: str) -> None:
        del self._held[key]

    def __contains__(self, key: object) -> bool:
        return key in self._held

    def __iter__(self) -> Iterator[str]:
        return iter(self._held)

    def __len__(self) -> int:
        return len(self._held)

    def newest(self, letter: str) -> int:
        """Give the newest number of the short codes of a letter, 0 when none."""
        return self._newest.of(self._held, letter)

    def __repr__(self) -> str:
        return repr(dict(self))
