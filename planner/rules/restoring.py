"""
Whether entries once taken back can count again: what they rest on must still be there.

Codes stay taken, but an older log may have given one of these to another thing since.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from planner.errors import Refusal
from planner.fold import LogRow
from planner.ledgers.codes import NOUNS, REGISTRIES
from planner.ledgers.state import Ledgers
from planner.log.codec import parse
from planner.rules.corrections import makes

_CODE = re.compile(r"[SCBTLOFRP]\d+")


def check_restored(led: Ledgers, rows: Iterable[LogRow]) -> None:
    """
    See that the rows of entries taken back may count again as they stand.

    Raises:
        Refusal: when a code of theirs is another thing's by now, or what they rest on
            is taken back too.
    """
    kept = list(rows)
    made: dict[str, int] = {}
    for row in kept:
        for code in filter(_CODE.fullmatch, makes(row)):
            made.setdefault(code, row[0])
    taken = [code for code, seq in made.items() if _is_anothers(led, code, seq)]
    if taken:
        raise Refusal(
            f"{_names(taken)} by now: it can't count again as it was.",
            instead="type it anew",
        )
    named = {code for row in kept for code in _codes(parse(row[7]))}
    gone = sorted(code for code in named - set(made) if not _is_there(led, code))
    if gone:
        raise Refusal(
            f"It rests on {', '.join(gone)}, taken back as well.",
            instead="bows entries   (what took those back is to be undone first)",
        )


def _names(codes: list[str]) -> str:
    if len(codes) == 1:
        return f"{codes[0]} is another thing"
    return f"{', '.join(codes)} are other things"


def _codes(body: Any) -> Iterator[str]:
    """Walk the short codes a body names, at any depth."""
    if isinstance(body, str):
        yield from filter(_CODE.fullmatch, body.split(":"))
    elif isinstance(body, Mapping):
        for inner in body.values():
            yield from _codes(inner)
    elif isinstance(body, list):
        for inner in body:
            yield from _codes(inner)


def _registry(led: Ledgers, letter: str) -> Mapping[str, Any]:
    registry: Mapping[str, Any] = getattr(led, REGISTRIES[letter])
    return registry


def _is_there(led: Ledgers, code: str) -> bool:
    noun = NOUNS.get(code[0])
    return (
        code in _registry(led, code[0]) if noun is None else bool(led.page(noun, code))
    )


def _is_anothers(led: Ledgers, code: str, seq: int) -> bool:
    noun = NOUNS.get(code[0])
    if noun is None:
        return code in _registry(led, code[0])
    page = led.page(noun, code)
    return bool(page) and page[0].at.seq > seq
