"""Counts: whole things, at least one."""

import pytest

from planner.errors import Absurd, Unreadable
from planner.values.quantities import parse_count


def test_whole_numbers_are_read():
    """A count is digits and nothing else."""
    assert [parse_count(text, what="bows") for text in ("12", " 1 ", "007")] == [
        12, 1, 7,
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("typed", "error"),
    [
        ("", Unreadable), ("x", Unreadable), ("1.5", Unreadable), ("1,5", Unreadable),
        ("½", Unreadable), ("1/2", Unreadable), ("1,200", Unreadable),
        ("twelve", Unreadable), ("1e3", Unreadable), ("٣", Unreadable),
        ("12x", Unreadable), ("1\x002", Unreadable), ("0x10", Unreadable),
        ("9" * 41, Unreadable), ("9" * 10_000_000, Unreadable), ("1_000", Unreadable),
        ("0", Absurd), ("000", Absurd), ("-3", Absurd), ("−3", Absurd),
        ("100001", Absurd), ("9" * 40, Absurd),
    ],
)  # fmt: skip
def test_what_is_no_count_is_refused_and_says_what_to_type(typed, error):
    """Zero, less, parts and junk are refused, each with words that help."""
    with pytest.raises(error) as refusal:
        parse_count(typed, what="bows")

    assert type(refusal.value) is error
    assert "whole number" in refusal.value.instead or "from 1" in refusal.value.instead


def test_the_most_is_named():
    """A count above the most says the most."""
    with pytest.raises(Absurd, match="more than 50") as refusal:
        parse_count("51", what="clips", most=50)

    assert refusal.value.instead == "Type a number of clips from 1 to 50."
