"""The numbers of accounts: a bundle carries its own, the others are told in turn."""

from __future__ import annotations

BUNDLES = 1 << 24
"""Number of the account of bundle C0: those of bundles follow from their codes."""


_BUNDLE = "bundle:C"


class Numbers(dict[str, int]):
    """Account -> number; those of bundles, by far the most, are not kept."""

    def __missing__(self, account: str) -> int:
        code = account[8:]
        plain = account[:8] == _BUNDLE and code.isdecimal() and len(code) < 10
        if plain and str(number := int(code)) == code:
            return BUNDLES + number
        raise KeyError(account)


class Names(dict[int, str]):
    """Number -> account, the other way."""

    def __missing__(self, number: int) -> str:
        if number < BUNDLES:
            raise KeyError(number)
        return f"{_BUNDLE}{number - BUNDLES}"
