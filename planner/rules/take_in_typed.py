"""Lines as she would type them after ``bows``, split into the cells of a row."""

from __future__ import annotations

import re
import shlex
from collections.abc import Callable, Collection, Sequence
from typing import Final

from planner.errors import Refusal, Unreadable
from planner.values.text import quoted
from planner.values.units import parse_length

Cells = dict[str, str]
Split = Callable[[Sequence[str]], Cells]
"""Splits the words after the first into cells."""

_MINUTES = re.compile(r"\d[\d.]*(min|minutes?|m|h)|\d+h\d*(min|m)?", re.I)
_OPTIONS: Final = {
    "--at": "place", "--to": "to", "--batch": "batch", "--bundle": "bundle",
    "--order": "order", "--why": "why", "--lot": "lot", "--of": "supplier",
    "--paid": "price", "--for": "price", "--as": "how", "--how": "how",
    "--spools": "qty",
}  # fmt: skip


def words_of(line: str) -> list[str]:
    """
    Split a line into words, quoted ones kept together.

    Raises:
        Unreadable: when a quotation mark is left open.
    """
    try:
        typed = shlex.split(line)
    except ValueError as error:
        raise Unreadable(
            "A quotation mark is left open.", instead="close it"
        ) from error
    return typed[1:] if typed[:1] == ["bows"] else typed


def take_options(
    typed: Sequence[str], *, takes: Collection[str], name: str
) -> tuple[list[str], Cells]:
    """
    Take ``--at stall`` and its like out of the words.

    Raises:
        Unreadable: for an option that this word doesn't take.
    """
    words: list[str] = []
    cells: Cells = {}
    rest = iter(typed)
    for one in rest:
        if not one.startswith("--"):
            words.append(one)
            continue
        if one == "--card" and "how" in takes:
            cells["how"] = "card"
            continue
        option, equals, value = one.partition("=")
        cells[_column(option, takes, name)] = value if equals else next(rest, "")
    return words, cells


def _column(option: str, takes: Collection[str], name: str) -> str:
    column = _OPTIONS.get(option, "")
    if option == "--from":
        column = "from" if "from" in takes else "spool"
    if option == "--on":
        raise Unreadable("The day can't stand in the line.", instead="the column day")
    if column not in takes:
        raise Unreadable(
            f"{name} takes no {quoted(option)} here.", instead="leave it out"
        )
    return column


def qty_kind(words: Sequence[str]) -> Cells:
    """Split ``3 4in navy``; several, with commas, stay together."""
    kind = " ".join(words)
    if "," in kind:
        return {"kind": kind}
    return {"qty": words[0], "kind": " ".join(words[1:])}


def qty_kind_minutes(words: Sequence[str]) -> Cells:
    """Split ``12 4in navy 95min``."""
    for tail in (1, 2):
        spent = "".join(words[-tail:])
        if len(words) > tail and _MINUTES.fullmatch(spent):
            return {**qty_kind(words[:-tail]), "minutes": spent}
    return qty_kind(words)


def qty_kind_price(words: Sequence[str]) -> Cells:
    """Split ``3 4in navy for 24.00``."""
    if len(words) > 2 and words[-2].lower() == "for":
        return {**qty_kind(words[:-2]), "price": words[-1]}
    return qty_kind(words)


def kind_length(words: Sequence[str]) -> Cells:
    """Split ``navy 1.5in 100yd``: the last length is the ribbon's on the spool."""
    for tail in (1, 2):
        try:
            parse_length(" ".join(words[-tail:]))
        except Refusal:
            continue
        return {"kind": " ".join(words[:-tail]), "length": " ".join(words[-tail:])}
    return {"kind": " ".join(words)}


def spool_length(words: Sequence[str]) -> Cells:
    """Split ``S7 41yd``."""
    return {"spool": words[0], "length": " ".join(words[1:])}


def minutes_only(words: Sequence[str]) -> Cells:
    """Split ``1h 35min``: it is all one time."""
    return {"minutes": " ".join(words)}


def qty_bundle(words: Sequence[str]) -> Cells:
    """Split ``2 C12``."""
    return {"qty": words[0], "bundle": " ".join(words[1:])}
