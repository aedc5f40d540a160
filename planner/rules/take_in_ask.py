"""What one taken-in line asks, cell by cell; a cell that can't be taken is named."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, TypeVar, cast

from planner.errors import Refusal, Unreadable
from planner.ledgers.shop import shop
from planner.ledgers.state import Ledgers
from planner.rules.finding import find_batch, find_kind, find_place, find_spool
from planner.values.moments import When
from planner.values.money import parse_amount
from planner.values.quantities import parse_count
from planner.values.text import clean, quoted
from planner.values.units import parse_length

T = TypeVar("T")


class Slip(Refusal):
    """Raised for a cell that can't be taken; names its column."""

    def __init__(self, column: str, trouble: Refusal) -> None:
        """Keep the column beside what is wrong with it."""
        super().__init__(trouble.what, instead=trouble.instead)
        self.column = column


@dataclass(slots=True)
class Ask:
    """
    What one line asks: its cells, when it happened, the shop's day.

    `found` keeps what names were found to mean, for thousands of lines use the same.
    """

    led: Ledgers
    cells: Mapping[str, str]
    when: When
    today: str
    found: dict[Any, Any] = field(default_factory=dict)

    def read(self, column: str, how: Callable[[str], T]) -> T:
        """Read a cell that must be filled."""
        try:
            if column not in self.cells:
                raise Unreadable(
                    "Nothing stands there.", instead=f"fill in the column {column}"
                )
            return how(self.cells[column])
        except Refusal as trouble:
            raise Slip(column, trouble) from trouble

    def maybe(self, column: str, how: Callable[[str], T]) -> T | None:
        """Read a cell that may be empty."""
        return self.read(column, how) if column in self.cells else None

    def named(self, column: str, how: Callable[[Ledgers, str], T]) -> T:
        """Read a cell that names something, found once for all lines that say so."""
        # Which kinds she has made decides what a short name means.
        key = (how, self.cells.get(column), len(self.led.bows.items))
        if key not in self.found:
            self.found[key] = self.read(column, lambda text: how(self.led, text))
        return cast(T, self.found[key])

    def count(self, what: str = "bows") -> int:
        """Read how many."""
        return self.read("qty", lambda text: parse_count(text, what=what))

    def kind(self) -> str:
        """Read the kind of bow."""
        return self.named("kind", find_kind)

    def bows(self) -> tuple[tuple[str, int], ...]:
        """Read one kind and how many."""
        return ((self.kind(), self.count()),)

    def place(self, column: str = "place") -> str:
        """Read a place; home when not told."""
        if column not in self.cells:
            return "home"
        return self.read(column, lambda text: find_place(self.led, text, self.today))

    def spool(self) -> str:
        """Read a spool's code."""
        return self.read("spool", lambda text: find_spool(self.led, text))

    def spool_or_none(self) -> str | None:
        """Read a spool's code, if told."""
        return self.spool() if "spool" in self.cells else None

    def batch(self) -> str | None:
        """Read a batch's code, if told."""
        return self.maybe("batch", lambda text: find_batch(self.led, text))

    def length(self, default: str | None = None) -> int:
        """Read a length, nm."""
        return self.read("length", lambda text: parse_length(text, default=default))

    def words(self, column: str, other: str = "") -> str:
        """Read free words, or give what stands for none."""
        how = self.maybe(column, lambda t: clean(t, what=f"a {column}", longest=120))
        return how or other

    def one_of(self, column: str, *choices: str) -> str:
        """Read one of a few words; the first when not told."""

        def choose(text: str) -> str:
            if text.casefold() not in choices:
                raise Unreadable(
                    f"{quoted(text)} is none of them.", instead=" or ".join(choices)
                )
            return text.casefold()

        return self.maybe(column, choose) or choices[0]

    def money(self) -> int | None:
        """Read an amount in minor units, if told."""
        currency = shop(self.led).currency
        return self.maybe(
            "price", lambda text: parse_amount(text, currency, allow_zero=True)
        )
