"""
The chain: each event's hash covers all its columns and the hash before it.

A field is written as its length (eight bytes, most significant first) and its bytes;
whole numbers as decimal ASCII, text as UTF-8.  The fields follow one another in the
order of the columns: seq, id, entry, kind, version, happened, recorded, body, prev.
The hash is the SHA-256 of that; before the first event stand 32 zero bytes.

Published vector::

    seq       1
    id        017f22e2-79b0-7cc3-98c4-dc0c0c07398f
    entry     1
    kind      note
    version   1
    happened  2022-02-22
    recorded  2022-02-22T19:22:22.000Z
    body      {"text":"navy"}
    prev      32 zero bytes
    hash      01412a0991bbc76a0deb33ead3f8f4b5
              bfa4f8b632634227e199110ee7c51e52
"""

from __future__ import annotations

from dataclasses import dataclass
from hashlib import sha256

from planner.errors import Unreadable

Row = tuple[int, str, int, str, int, str, str, bytes, bytes, bytes]
"""One event as it stands in the log: the values of `COLUMNS`."""

COLUMNS = (
    "seq",
    "id",
    "entry",
    "kind",
    "version",
    "happened",
    "recorded",
    "body",
    "prev",
    "hash",
)

GENESIS = bytes(32)
"""What stands before the first event."""

SHORT = 16
"""Hex digits of a hash that are printed at the foot of a report."""


@dataclass(frozen=True, slots=True)
class Head:
    """Where a log ends: the last event, its entry and its hash."""

    seq: int
    entry: int
    hash: bytes


START = Head(seq=0, entry=0, hash=GENESIS)
"""The head of an empty log."""


def event_hash(
    seq: int,
    id: str,
    entry: int,
    kind: str,
    version: int,
    happened: str,
    recorded: str,
    body: bytes,
    prev: bytes,
) -> bytes:
    """Hash one event with the hash before it; 32 bytes."""
    texts = (str(seq), id, str(entry), kind, str(version), happened, recorded)
    return sha256(length_prefixed(*(t.encode() for t in texts), body, prev)).digest()


def row_hash(row: Row) -> bytes:
    """Hash a row anew from its columns; 32 bytes."""
    return event_hash(*row[:9])


def length_prefixed(*fields: bytes) -> bytes:
    """Join fields so that no two different lists of fields give the same bytes."""
    return b"".join(len(field).to_bytes(8, "big") + field for field in fields)


def short(digest: bytes) -> str:
    """Write the first 16 hex digits of a hash in groups of four, for printing."""
    digits = digest.hex()[:SHORT]
    return "-".join(digits[at : at + 4] for at in range(0, SHORT, 4))


def read_hash(text: str) -> str:
    """
    Read a printed hash, short or whole, into 16 to 64 hex digits.

    Raises Unreadable when it is none.
    """
    digits = "".join(text.split()).replace("-", "").lower()
    if not SHORT <= len(digits) <= 64 or not set(digits) <= set("0123456789abcdef"):
        raise Unreadable(
            f"{text[:80]!r} is no hash of a report.",
            instead="Type the 16 digits at its foot, like 1a2b-3c4d-5e6f-7a8b.",
        )
    return digits


def matches(text: str, digest: bytes) -> bool:
    """Say whether a printed hash, short or whole, stands for this one."""
    return digest.hex().startswith(read_hash(text))
