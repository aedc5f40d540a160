"""The numbers of accounts: a bundle carries its own, the others are told in turn."""

from __future__ import annotations

from functools import lru_cache

BUNDLES = 1 << 24
"""Number of the account of bundle C0: those of bundles follow from their codes."""


_BUNDLE = "bundle:C"


_LONGEST = 9
"""Digits of the longest bundle code whose account carries its number."""


class Numbers(dict[str, int]):
    """Account -> number; those of bundles, by far the most, are not kept."""

    def __missing__(self, account: str) -> int:
        number = _of_bundle(account)
        if number is None:
            raise KeyError(account)
        return number


@lru_cache(maxsize=2048)
def _of_bundle(account: str) -> int | None:
    """Read a bundle's number off its account; one cut is mostly used up soon after."""
    code = account[8:]
    plain = account[:8] == _BUNDLE and code.isdecimal() and len(code) <= _LONGEST
    return BUNDLES + int(code) if plain and str(int(code)) == code else None


class Names(dict[int, str]):
    """Number -> account, the other way."""

    def __missing__(self, number: int) -> str:
        if number < BUNDLES:
            raise KeyError(number)
        return f"{_BUNDLE}{number - BUNDLES}"
