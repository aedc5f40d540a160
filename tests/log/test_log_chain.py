"""Hashes are printed, typed and compared."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.errors import Unreadable
from planner.log.chain import GENESIS, length_prefixed, matches, row_hash, short

_ROW = (1, "id", 1, "note", 1, "2026-11-25", "now", b"{}", GENESIS, b"")


@given(st.binary(min_size=32, max_size=32))
def test_a_hash_is_known_by_its_short_form_and_its_whole(digest: bytes) -> None:
    assert matches(short(digest), digest)
    assert matches(short(digest).replace("-", " ").upper(), digest)
    assert matches(digest.hex(), digest)


@given(st.binary(min_size=32, max_size=32), st.integers(0, 63))
def test_a_hash_that_differs_in_one_digit_is_another(digest: bytes, at: int) -> None:
    whole = digest.hex()
    other = whole[:at] + ("0" if whole[at] != "0" else "1") + whole[at + 1 :]

    assert not matches(other, digest)


@pytest.mark.parametrize("text", ["", "1a2b-3c4d-5e6f", "navy" * 4, "0" * 65])
def test_what_is_no_hash_says_what_one_looks_like(text: str) -> None:
    with pytest.raises(Unreadable, match="Type the 16 digits at its foot"):
        matches(text, GENESIS)


@given(st.lists(st.binary(max_size=3)), st.lists(st.binary(max_size=3)))
def test_two_lists_of_fields_never_give_the_same_bytes(a: list, b: list) -> None:
    assert (length_prefixed(*a) == length_prefixed(*b)) == (a == b)


@pytest.mark.parametrize("column", range(9))
def test_the_hash_covers_every_column(column: int) -> None:
    changed = list(_ROW)
    changed[column] = (
        b"x" * 32 if isinstance(_ROW[column], bytes) else type(_ROW[column])("9")
    )

    assert row_hash(tuple(changed)) != row_hash(_ROW)
