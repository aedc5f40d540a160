"""
The ids of events: by time for what she types, by content for what is taken in.

Layouts: RFC 9562, sections 5.7 (version 7) and 5.8 (version 8).
"""

from __future__ import annotations

import re
from hashlib import sha256

from planner.log.chain import length_prefixed

_VARIANT = 0b10 << 62
_FORM = re.compile(
    "[0-9a-f]{8}-[0-9a-f]{4}-[78][0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}"
)


def uuid7(ms: int, rand: bytes) -> str:
    """
    Make a UUIDv7 of a time and ten bytes of chance.

    `ms` is in milliseconds since 1970 (UTC), 0 to 2^48 - 1.  Raises ValueError beyond,
    or when the chance isn't ten bytes (74 bits of them are used).
    """
    if not 0 <= ms < 1 << 48 or len(rand) != 10:
        raise ValueError("a UUIDv7 takes 48 bits of time and 10 bytes of chance")
    a = int.from_bytes(rand[:2], "big") & 0xFFF
    b = int.from_bytes(rand[2:], "big") & ((1 << 62) - 1)
    return _written(ms << 80 | 7 << 76 | a << 64 | _VARIANT | b)


def uuid7_ms(id: str) -> int:
    """Read the time of a UUIDv7, in milliseconds since 1970."""
    return int(id.replace("-", "")[:12], 16)


def uuid8(digest: bytes) -> str:
    """Make a UUIDv8 of the first 16 bytes of a digest (RFC 9562, appendix B.2)."""
    number = int.from_bytes(digest[:16], "big")
    kept = number & ~(0xF << 76) & ~(0b11 << 62)
    return _written(kept | 8 << 76 | _VARIANT)


def uuid8_from(*parts: str) -> str:
    """Make the UUIDv8 that these parts, in this order, always give."""
    return uuid8(sha256(length_prefixed(*(part.encode() for part in parts))).digest())


def is_id(text: str) -> bool:
    """Say whether a text is a UUID of version 7 or 8, in lower case."""
    return _FORM.fullmatch(text) is not None


def _written(number: int) -> str:
    digits = f"{number:032x}"
    cuts = ((0, 8), (8, 12), (12, 16), (16, 20), (20, 32))
    return "-".join(digits[start:end] for start, end in cuts)
