"""
Ids against RFC 9562: the version 7 example of its section on test vectors, and, from
memory, the version 8 example of appendix B.2 (checked here by its own recipe).
"""

from __future__ import annotations

import uuid
from hashlib import sha256

import pytest

from planner.log import ids

_V7 = "017f22e2-79b0-7cc3-98c4-dc0c0c07398f"
_V7_MS = 1_645_557_742_000
_V8_BY_NAME = "5c146b14-3c52-8afd-938a-375d0df1fbf6"


def test_the_published_version_7_carries_its_published_moment() -> None:
    assert ids.uuid7_ms(_V7) == _V7_MS


def test_the_published_version_7_comes_out_of_its_time_and_chance() -> None:
    """The bits of version and variant are set whatever the chance holds there."""
    chance = bytes.fromhex("0cc318c4dc0c0c07398f")
    chance_with_every_other_bit = bytes.fromhex("fcc3d8c4dc0c0c07398f")

    assert ids.uuid7(_V7_MS, chance) == _V7
    assert ids.uuid7(_V7_MS, chance_with_every_other_bit) == _V7


def test_the_published_version_8_by_name_comes_out_of_its_digest() -> None:
    name = sha256(uuid.NAMESPACE_DNS.bytes + b"www.example.com").digest()

    assert ids.uuid8(name) == _V8_BY_NAME


def test_an_id_by_content_is_always_the_same_and_never_of_parts_shifted() -> None:
    """Second method: Python's uuid module reads version and variant."""
    made = ids.uuid8_from("sales.csv", "ab", "c")
    read = uuid.UUID(made)

    assert made == ids.uuid8_from("sales.csv", "ab", "c")
    assert made != ids.uuid8_from("sales.csv", "a", "bc")
    assert (read.version, read.variant, str(read)) == (8, uuid.RFC_4122, made)


def test_an_id_by_content_is_the_digest_of_its_length_prefixed_parts() -> None:
    prefixed = bytes(7) + b"\x02ab" + bytes(7) + b"\x01c"
    digest = bytearray(sha256(prefixed).digest()[:16])
    digest[6] = digest[6] & 0x0F | 0x80
    digest[8] = digest[8] & 0x3F | 0x80

    assert ids.uuid8_from("ab", "c") == str(uuid.UUID(bytes=bytes(digest)))


@pytest.mark.parametrize("ms", [-1, 1 << 48])
def test_a_time_that_48_bits_cannot_hold_is_refused(ms: int) -> None:
    with pytest.raises(ValueError, match="48 bits"):
        ids.uuid7(ms, bytes(10))


@pytest.mark.parametrize(
    "text",
    [
        "",
        "017F22E2-79B0-7CC3-98C4-DC0C0C07398F",
        "017f22e279b07cc398c4dc0c0c07398f",
        "017f22e2-79b0-4cc3-98c4-dc0c0c07398f",
        "017f22e2-79b0-7cc3-18c4-dc0c0c07398f",
        "017f22e2-79b0-7cc3-98c4-dc0c0c07398f\n",
    ],
)
def test_what_is_no_id_is_seen(text: str) -> None:
    assert not ids.is_id(text)
    assert ids.is_id(_V7)
    assert ids.is_id(_V8_BY_NAME)
