"""
Events to bytes and back.

A body is compact JSON in UTF-8 with sorted keys and without empty fields, so that
equal events give equal bytes.  `decode` is strict: it is used for all that enters the
log and by `bows check`.  `decode_many` is the fast way for what the log already holds
(a fold reads bodies alone): it validates whole groups at once and looks for big numbers
by their length, but leaves repeated keys, which can't have entered, to the chain and to
`bows check`.

An event of an older version is brought up by the upcasters, one version at a time;
what stands in the log is never rewritten.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from operator import itemgetter
from typing import Any

from pydantic import TypeAdapter, ValidationError
from pydantic_core import PydanticSerializationError

from planner.errors import Absurd, Damaged, LogTrouble, Unreadable
from planner.events.base import Event
from planner.log.chain import Row
from planner.log.upcasters import UPCASTERS, Upcaster
from planner.values.quiet import no_collecting

LARGEST = 2**53 - 1
"""The largest whole number that every JSON reader keeps exactly (RFC 8259)."""

_FEW = 24
"""Below this many of a kind, making a validator for their list doesn't pay."""
_NAMES_ALL = "`bows check` names every damaged event."

_LISTS: dict[type[Event], TypeAdapter[list[Event]]] = {}
_ALL_ZERO = bytes.maketrans(b"123456789", b"0" * 9)
_LONG_NUMBER = re.compile(rb"[:,\[-][0-9]{16}")
_KIND_AND_VERSION = itemgetter(3, 4)
_UNFIT = (
    ValueError,
    TypeError,
    LookupError,
    AttributeError,
    ArithmeticError,
    RecursionError,
)


@dataclass(frozen=True, slots=True)
class Registry:
    """Which event kinds there are, and how older bodies are brought up."""

    kinds: Mapping[str, type[Event]]
    upcasters: Mapping[tuple[str, int], Upcaster]


@cache
def registry() -> Registry:
    """Give the event kinds of this version of the tool."""
    from planner.events import KINDS

    return Registry(kinds=KINDS, upcasters=UPCASTERS)


def encode(event: Event) -> bytes:
    """
    Write an event's body.

    Raises Absurd for a number too big to keep, Unreadable for a broken character.
    """
    try:
        written = event.model_dump_json(exclude_none=True)
        fields = parse(written.encode())
    except PydanticSerializationError as error:
        raise _unfit_text(event) from error
    except ValueError as error:
        raise Absurd(
            f"This {event.kind} can't be kept: {error}.",
            instead="Type it anew with other figures or words.",
        ) from error
    return compact(fields, ascii=False).encode()


def decode(
    kind: str, version: int, body: bytes, *, using: Registry | None = None
) -> Event:
    """
    Read an event's body strictly, brought up to the current version.

    Raises Damaged when it isn't what `encode` could have written.
    """
    known = using or registry()
    cls = _class_of(kind, version, known)
    try:
        fields = parse(body)
        if version != cls.version:
            body = compact(_brought_up(kind, version, fields, known)).encode()
        return cls.model_validate_json(body, strict=True)
    except _UNFIT as error:
        raise Damaged(
            f"This {kind} can't be read: {_reason(error)}.", instead=_NAMES_ALL
        ) from error


def read_back(event: Event, body: bytes, *, using: Registry | None = None) -> None:
    """Decode what was written and compare; raises LogTrouble when it differs."""
    try:
        same = decode(event.kind, event.version, body, using=using) == event
    except Damaged as error:
        raise _unlike(event) from error
    if not same:
        raise _unlike(event)


def decode_many(rows: Sequence[Row], *, using: Registry | None = None) -> list[Event]:
    """
    Decode rows of the log in their order, quickly.

    Raises Damaged, with the seq, for the first that can't be read.
    """
    known = using or registry()
    try:
        with no_collecting():
            return _decode_groups(rows, known)
    except (Damaged, *_UNFIT):
        return [_decode_row(row, known) for row in rows]


def parse(body: bytes) -> Any:
    """
    Parse JSON bytes strictly.

    Raises ValueError for a key that stands twice, a whole number beyond 2^53 - 1, and
    for what is no number.
    """
    return json.loads(
        body.decode(),
        object_pairs_hook=_no_key_twice,
        parse_int=_kept_exactly,
        parse_float=_finite,
        parse_constant=_finite,
    )


def compact(fields: Any, *, ascii: bool = True) -> str:
    """Write JSON without blanks and with sorted keys."""
    return json.dumps(fields, ensure_ascii=ascii, sort_keys=True, separators=(",", ":"))


def _decode_groups(rows: Sequence[Row], known: Registry) -> list[Event]:
    events: list[Any] = [None] * len(rows)
    for (kind, version), places in _grouped(rows).items():
        bodies = [rows[place][7] for place in places]
        decoded = _decode_group(kind, version, bodies, known)
        for place, event in zip(places, decoded, strict=True):
            events[place] = event
    return events


def _grouped(rows: Sequence[Row]) -> dict[tuple[str, int], list[int]]:
    groups: dict[tuple[str, int], list[int]] = {}
    for place, key in enumerate(map(_KIND_AND_VERSION, rows)):
        if key in groups:
            groups[key].append(place)
        else:
            groups[key] = [place]
    return groups


def _decode_group(
    kind: str, version: int, bodies: list[bytes], known: Registry
) -> Iterable[Event]:
    cls = _class_of(kind, version, known)
    joined = b",".join(bodies)
    if version != cls.version or _may_hold_a_long_number(joined):
        return [decode(kind, version, body, using=known) for body in bodies]
    if len(bodies) < _FEW and cls not in _LISTS:
        return [cls.model_validate_json(body, strict=True) for body in bodies]
    return _list_of(cls).validate_json(b"[" + joined + b"]", strict=True)


def _may_hold_a_long_number(joined: bytes) -> bool:
    # The first look is six times as fast as the second and nearly always enough.
    return b"0" * 16 in joined.translate(_ALL_ZERO) and bool(
        _LONG_NUMBER.search(joined)
    )


def _list_of(cls: type[Event]) -> TypeAdapter[list[Event]]:
    if cls not in _LISTS:
        _LISTS[cls] = TypeAdapter(list[cls])  # type: ignore[valid-type]
    return _LISTS[cls]


def _decode_row(row: Row, known: Registry) -> Event:
    try:
        return decode(row[3], row[4], row[7], using=known)
    except Damaged as error:
        raise Damaged(
            f"Event {row[0]} is damaged. {error.what}",
            instead=_NAMES_ALL,
        ) from error


def _class_of(kind: str, version: int, known: Registry) -> type[Event]:
    cls = known.kinds.get(kind)
    if cls is None or not isinstance(version, int) or version > cls.version:
        raise Damaged(
            f"{kind!r} in version {version!r} is unknown here; "
            "a newer version of this tool may have written it.",
            instead="Install the newest version; nothing was changed.",
        )
    return cls


def _brought_up(
    kind: str, version: int, fields: dict[str, Any], known: Registry
) -> dict[str, Any]:
    for step in range(version, known.kinds[kind].version):
        upcaster = known.upcasters.get((kind, step))
        if upcaster is None:
            raise ValueError(f"nothing brings it up from version {step}")
        fields = upcaster(fields)
    return fields


def _no_key_twice(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    fields = dict(pairs)
    if len(fields) != len(pairs):
        raise ValueError("a key stands twice")
    return fields


def _kept_exactly(digits: str) -> int:
    if len(digits) > 17 or abs(int(digits)) > LARGEST:
        raise ValueError(f"the number {digits[:24]} is too big to be kept exactly")
    return int(digits)


def _finite(digits: str) -> float:
    number = float(digits)
    if not math.isfinite(number):
        raise ValueError(f"{digits[:24]} is no number")
    return number


def _reason(error: BaseException) -> str:
    if isinstance(error, ValidationError):
        first = error.errors(include_url=False, include_input=False)[0]
        place = ".".join(str(part) for part in first["loc"])
        return f"{place}: {first['msg']}" if place else first["msg"]
    return str(error) or type(error).__name__


def _unfit_text(event: Event) -> Unreadable:
    return Unreadable(
        f"This {event.kind} holds a character that can't be kept.",
        instead="Type it again without the broken character.",
    )


def _unlike(event: Event) -> LogTrouble:
    return LogTrouble(
        f"This {event.kind} doesn't read back as it was given; nothing was written.",
        instead="Type it anew with other words; this is a fault of the program.",
    )
