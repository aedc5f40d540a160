"""The chain's published vector, computed a second time by hand from its recipe."""

from __future__ import annotations

import hashlib
import re

from planner.log import chain

_FIELDS = [
    b"1",
    b"017f22e2-79b0-7cc3-98c4-dc0c0c07398f",
    b"1",
    b"note",
    b"1",
    b"2022-02-22",
    b"2022-02-22T19:22:22.000Z",
    b'{"text":"navy"}',
    b"\0" * 32,
]


def _by_hand() -> bytes:
    digest = hashlib.sha256()
    for field in _FIELDS:
        digest.update(b"%c%c%c%c%c%c%c%c" % (0, 0, 0, 0, 0, 0, 0, len(field)))
        digest.update(field)
    return digest.digest()


def _by_the_code() -> bytes:
    return chain.event_hash(
        1,
        "017f22e2-79b0-7cc3-98c4-dc0c0c07398f",
        1,
        "note",
        1,
        "2022-02-22",
        "2022-02-22T19:22:22.000Z",
        b'{"text":"navy"}',
        chain.GENESIS,
    )


def test_the_published_vector_is_what_its_recipe_gives() -> None:
    words = re.search(r"hash\s+([0-9a-f]{32})\s+([0-9a-f]{32})", chain.__doc__ or "")

    assert words is not None
    assert "".join(words.groups()) == _by_hand().hex() == _by_the_code().hex()


def test_a_hash_is_printed_in_four_groups_of_four() -> None:
    assert chain.short(_by_hand()) == "0141-2a09-91bb-c76a"
