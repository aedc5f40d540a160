"""The numbers of accounts: a bundle carries its own, the others are told in turn."""

from __future__ import annotations

BUNDLES = 1 << 24
"""Number of the account of bundle C0: those of bundles follow from their codes."""


_BUNDLE = "bundle:C"
_PAST_LAST = 1_000_000_000
"""A code of more than nine digits is numbered in turn like any other account."""
_MANY = 4096


class Numbers(dict[str, int]):
    """Account -> number; those of bundles, by far the most, are kept for a while."""

    def __missing__(self, account: str) -> int:
        try:
            number = int(account[8:])
        except ValueError:
            raise KeyError(account) from None
        # The other way round, since "007" and " 7" are read as numbers too.
        if not 0 <= number < _PAST_LAST or account != f"{_BUNDLE}{number}":
            raise KeyError(account)
        if len(self) > _MANY:
            self._forget()
        self[account] = number = BUNDLES + number
        return number

    def _forget(self) -> None:
        for account in [a for a, number in self.items() if number >= BUNDLES]:
            del self[account]


class Names(dict[int, str]):
    """Number -> account, the other way."""

    def __missing__(self, number: int) -> str:
        if number < BUNDLES:
            raise KeyError(number)
        return f"{_BUNDLE}{number - BUNDLES}"
