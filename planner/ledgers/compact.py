"""
Registries of a full fold, kept small: of a long log they are the bulk.

An entry is kept as bytes, a fifth of what its values take as objects, and made anew
whenever it is looked at.  The bytes never leave the process.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, MutableMapping
from marshal import dumps, loads
from typing import Any, TypeVar

V = TypeVar("V", bound=tuple[Any, ...])

quick = tuple.__new__
"""
Makes a named tuple of its class and its values, in order, in half the time.

For the busiest places of a fold only: nothing checks how many values there are.
"""


class Compact(MutableMapping[str, V]):
    """A registry of named tuples, in the order their keys were first entered."""

    __slots__ = ("_held", "_make")

    def __init__(self, make: Callable[..., V]) -> None:
        self._make = make
        self._held: dict[str, bytes] = {}

    def __getitem__(self, key: str) -> V:
        return self._make(*loads(self._held[key]))

    def __setitem__(self, key: str, value: V) -> None:
        self._held[key] = dumps(value[:])

    def __delitem__(self, key: str) -> None:
        del self._held[key]

    def __contains__(self, key: object) -> bool:
        return key in self._held

    def __iter__(self) -> Iterator[str]:
        return iter(self._held)

    def __len__(self) -> int:
        return len(self._held)

    def __repr__(self) -> str:
        return repr(dict(self))
