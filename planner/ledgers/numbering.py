"""The numbers of accounts: a bundle carries its own, the others are told in turn."""

from __future__ import annotations

BUNDLES = 1 << 24
"""Number of the account of bundle C0: those of bundles follow from their codes."""
MANY = 4096
"""Accounts of a book from which the numbers of bundles, the most, are let go."""

_BUNDLE = "bundle:C"
_PAST_LAST = 1_000_000_000
"""A code of more than nine digits is numbered in turn like any other account."""


def bundle_number(account: str) -> int | None:
    """Read a bundle's number off its account; None for all other accounts."""
    try:
        number = int(account[8:])
    except ValueError:
        return None
    # The other way round, since "007" and " 7" are read as numbers too.
    plain = 0 <= number < _PAST_LAST and account == f"{_BUNDLE}{number}"
    return BUNDLES + number if plain else None


class Names(dict[int, str]):
    """Number -> account, the other way."""

    def __missing__(self, number: int) -> str:
        if number < BUNDLES:
            raise KeyError(number)
        return f"{_BUNDLE}{number - BUNDLES}"


class Accounts:
    """The accounts of a book with their numbers, both ways."""

    __slots__ = ("_numbers", "names", "next")

    def __init__(self) -> None:
        self.names: dict[int, str] = Names()
        self.next = 0
        self._numbers: dict[str, int] = {}

    def number(self, account: str) -> int:
        """Give an account its number in this book."""
        known = self.number_of(account)
        if known is None:
            known = self._numbers[account] = self.next
            self.names[known] = account
            self.next += 1
        return known

    def number_of(self, account: str) -> int | None:
        """Give the number that an account has, None when it has none yet."""
        numbers = self._numbers
        known = numbers.get(account)
        if known is None and (known := bundle_number(account)) is not None:
            if len(numbers) > MANY:
                self._numbers = {a: n for a, n in numbers.items() if n < BUNDLES}
            self._numbers[account] = known
        return known

    def learn(self, number: int, account: str) -> int:
        """Take over an account's number from the cache, unless it has one here."""
        if number >= BUNDLES:
            return number
        known = self._numbers.setdefault(account, number)
        if known == number:
            self.names[number] = account
        return known
