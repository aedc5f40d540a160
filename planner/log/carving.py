"""
Records found in the bytes of a shop file, whatever became of the pages around them.

A table's row is written as one record: a header that tells the type and length of each
column, then the columns.  The rows of a log begin so alike that a pattern finds them
anywhere in the file; each is proved by its own hash, each private text by its seal.

Source: the SQLite file format, sections 1.6 (pages, overflow) and 2.1 (records).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import suppress
from itertools import product
from typing import Any

from planner.log.chain import Row, row_hash
from planner.log.people import PrivateRow

PAGE = 4096
"""Bytes of a page, where the beginning of the file doesn't tell."""

_INT = rb"[\x01-\x06\x08\x09]"
_LENGTH = rb"(?:[\x0c-\x7f]|[\x80-\xff]{1,3}[\x00-\x7f])"
_EVENT = re.compile(
    rb"[\x0b-\x14]\x00\x55" + _INT + _LENGTH + _INT + _LENGTH + rb"\x3d" + _LENGTH
    + rb"\x4c\x4c",
    re.DOTALL,
)  # fmt: skip
"""seq (kept as the row's number), id, entry, kind, version, happened, ..., hash."""
_PRIVATE = re.compile(rb"[\x06-\x0f]\x4d" + _LENGTH * 3 + rb"\x2c", re.DOTALL)
"""key of 32 digits, person, field, text, salt of 16 bytes."""

_WIDTHS = (0, 1, 2, 3, 4, 6, 8, 0, 0, 0)
_BROKEN = (ValueError, IndexError)
_TYPES = (int, str, int, str, int, str, str, bytes, bytes, bytes)
_PRIVATE_TYPES = (str, str, str, str, bytes)


def carved_events(data: bytes) -> Iterator[Row]:
    """Find the events in a file's bytes that fit their own hash, in no order."""
    for number, columns in _records(data, _EVENT):
        with suppress(*_BROKEN):
            row: Row = (number, *columns[1:])
            if tuple(map(type, row)) == _TYPES and row_hash(row) == row[9]:
                yield row


def carved_private(data: bytes) -> Iterator[PrivateRow]:
    """Find what looks like private texts; only a seal can prove them."""
    for _, columns in _records(data, _PRIVATE):
        if tuple(map(type, columns)) == _PRIVATE_TYPES:
            yield tuple(columns)


def page_sizes(data: bytes) -> list[int]:
    """Give what a page may measure: as the file tells, and as ours always are."""
    told = int.from_bytes(data[16:18], "big")
    told = 1 << 16 if told == 1 else told
    likely = 512 <= told <= 1 << 16 and not told & (told - 1)
    return [told, PAGE] if likely and told != PAGE else [PAGE]


def _records(
    data: bytes, pattern: re.Pattern[bytes]
) -> Iterator[tuple[int, list[Any]]]:
    """Read records of a pattern: the row's number, and its columns."""
    for found, page in product(pattern.finditer(data), page_sizes(data)):
        with suppress(*_BROKEN):
            types = _types(found[0])
            size = len(found[0]) + sum(map(_width, types))
            payload = _payload(data, found.start(), size, page)
            yield (
                _number_before(data, found.start()),
                _columns(payload, len(found[0]), types),
            )


def _types(header: bytes) -> list[int]:
    if header[0] != len(header):
        raise ValueError("that is no header")
    types, at = [], 1
    while at < len(header):
        value = 0
        while header[at] >= 0x80:
            value = value << 7 | header[at] & 0x7F
            at += 1
        types.append(value << 7 | header[at])
        at += 1
    return types


def _width(kind: int) -> int:
    return (kind - 12) // 2 if kind >= 12 else _WIDTHS[kind]


def _number_before(data: bytes, at: int) -> int:
    """Read the row's number, which stands right before its record."""
    start = at - 1
    while data[start - 1] >= 0x80 and at - start < 9:
        start -= 1
    value = 0
    for byte in data[start:at]:
        value = value << 7 | byte & 0x7F
    return value


def _payload(data: bytes, at: int, size: int, page: int) -> bytes:
    """Gather a record that may go on in other pages."""
    local = size
    if size > page - 35:
        least = (page - 12) * 32 // 255 - 23
        local = least + (size - least) % (page - 4)
        local = local if local <= page - 35 else least
    parts = [data[at : at + local]]
    following, left = data[at + local : at + local + 4], size - local
    while left > 0:
        start = (int.from_bytes(following, "big") - 1) * page
        if not 0 <= start < len(data):
            raise ValueError("it goes on nowhere")
        following = data[start : start + 4]
        parts.append(data[start + 4 : start + 4 + min(left, page - 4)])
        left -= page - 4
    return b"".join(parts)


def _columns(payload: bytes, at: int, types: list[int]) -> list[Any]:
    columns: list[Any] = []
    for kind in types:
        raw = payload[at : at + _width(kind)]
        at += _width(kind)
        if kind >= 12:
            columns.append(raw if kind % 2 == 0 else raw.decode())
        else:
            whole = int.from_bytes(raw, "big", signed=True)
            columns.append(whole if kind < 8 else kind - 8)
    return columns
