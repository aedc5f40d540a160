"""Counts of whole things: bows, parts, clips."""

from __future__ import annotations

import re

from planner.errors import Absurd, Unreadable
from planner.values.text import check_typed, quoted

_DIGITS = r"[0-9]+"
_BELOW_ZERO = r"[-\u2212\u2013][ ]*[0-9.,/]+"
_NUMBER = r"[0-9]*[.,/][0-9]+|[0-9 ]*[\u00bc-\u00be\u2150-\u215e]"


def parse_count(text: str, *, what: str, most: int = 100_000) -> int:
    """
    Read a whole number of things, one to `most`.

    Raises `Unreadable` for fractions and junk, `Absurd` for zero, less than zero and
    more than `most`.
    """
    instead = f"Type how many {what} as a whole number, such as 12."
    bare = check_typed(text, what=f"a number of {what}", longest=40, instead=instead)
    if re.fullmatch(_BELOW_ZERO, bare):
        raise Absurd(f"{quoted(bare)} {what} is less than none.", instead=instead)
    if re.fullmatch(_NUMBER, bare):
        raise Unreadable(
            f"{quoted(bare)} is not a whole number of {what}.", instead=instead
        )
    if not re.fullmatch(_DIGITS, bare):
        raise Unreadable(
            f"{quoted(bare)} can't be read as a number of {what}.", instead=instead
        )
    return _within(int(bare), what=what, most=most, instead=instead)


def _within(count: int, *, what: str, most: int, instead: str) -> int:
    if count == 0:
        raise Absurd(f"None at all (0 {what}) is nothing to enter.", instead=instead)
    if count > most:
        raise Absurd(
            f"{count:,} {what} is more than {most:,}, the most taken in one go.",
            instead=f"Type a number of {what} from 1 to {most}.",
        )
    return count
