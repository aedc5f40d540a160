"""Events become bytes and come back the same, or are refused."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st
from log_toys import TOYS, Piece, ToyCorrected, ToyCut

from planner.errors import Absurd, Damaged, LogTrouble, Unreadable
from planner.log.codec import LARGEST, decode, decode_many, encode, read_back

_WHOLE = st.integers(-LARGEST, LARGEST)
_TEXT = st.text(st.characters(exclude_categories=["Cs"]))
_CUTS = st.builds(
    ToyCut,
    spool=_TEXT,
    pieces=st.lists(st.builds(Piece, role=_TEXT, nanometres=_WHOLE)).map(tuple),
    note=st.none() | _TEXT,
    weight=st.none() | st.floats(allow_nan=False, allow_infinity=False),
    about=st.sampled_from([None, True]),
)


def _row(seq: int, body: bytes, kind: str = "toy-cut", version: int = 3) -> tuple:
    return (seq, "", 1, kind, version, "", "", body, b"", b"")


@given(_CUTS)
def test_an_event_comes_back_as_it_was(event: ToyCut) -> None:
    body = encode(event)

    assert decode("toy-cut", 3, body, using=TOYS) == event
    assert encode(decode("toy-cut", 3, body, using=TOYS)) == body
    read_back(event, body, using=TOYS)


@given(st.lists(_CUTS | st.builds(ToyCorrected, entry=_WHOLE), max_size=60))
def test_many_decoded_at_once_are_what_each_alone_gives(events: list) -> None:
    rows = [
        _row(seq, encode(event), event.kind, event.version)
        for seq, event in enumerate(events, start=1)
    ]

    assert decode_many(rows, using=TOYS) == events


def test_a_body_is_compact_and_leaves_out_what_is_empty() -> None:
    event = ToyCut(spool="S7", pieces=(Piece(role="loop", nanometres=5),), note="é")

    assert (
        encode(event)
        == (
            '{"note":"é","pieces":[{"nanometres":5,"role":"loop"}],"spool":"S7"}'
        ).encode()
    )


def test_the_largest_whole_number_is_kept_and_the_next_refused() -> None:
    largest = ToyCorrected(entry=2**53 - 1)

    assert decode("entry-corrected", 1, encode(largest), using=TOYS) == largest
    with pytest.raises(Absurd, match="9007199254740992 is too big"):
        encode(ToyCorrected(entry=2**53))
    with pytest.raises(Absurd, match="too big"):
        encode(ToyCorrected(entry=-(2**53)))


def test_a_broken_character_is_refused_in_words() -> None:
    with pytest.raises(Unreadable, match="a character that can't be kept"):
        encode(ToyCut(spool="S7", note="\udc80"))


@pytest.mark.parametrize("odd", [float("nan"), float("inf")])
def test_what_would_not_come_back_is_seen_before_it_is_written(odd: float) -> None:
    event = ToyCut(spool="S7", weight=odd)

    with pytest.raises(LogTrouble, match="doesn't read back"):
        read_back(event, encode(event), using=TOYS)


@pytest.mark.parametrize(
    ("body", "why"),
    [
        (b'{"entry":1,"entry":2}', "a key stands twice"),
        (b'{"entry":9007199254740992}', "too big"),
        (b'{"entry":' + b"9" * 9000 + b"}", "too big"),
        (b'{"entry":1.0}', "entry: Input should be a valid integer"),
        (b'{"entry":"1"}', "entry: Input should be a valid integer"),
        (b'{"entry":true}', "entry: Input should be a valid integer"),
        (b'{"entry":NaN}', "no number"),
        (b'{"entry":1e999}', "no number"),
        (b'{"entry":1,"more":2}', "more: Extra inputs"),
        (b"{}", "entry: Field required"),
        (b"[]", "should be an object"),
        (b"", "Expecting value"),
        (b'{"entry":1', "delimiter"),
        (b"\xff\xfe", "decode"),
        (b"[" * 100_000, "recursion"),
    ],
)
def test_a_body_that_was_never_written_is_damage(body: bytes, why: str) -> None:
    with pytest.raises(Damaged, match=why):
        decode("entry-corrected", 1, body, using=TOYS)


@pytest.mark.parametrize(("kind", "version"), [("toy-knot", 1), ("toy-cut", 4)])
def test_a_kind_or_version_from_the_future_is_named(kind: str, version: int) -> None:
    with pytest.raises(Damaged, match=f"'{kind}' in version {version} is unknown"):
        decode(kind, version, b"{}", using=TOYS)


def test_old_bodies_are_brought_up_one_version_at_a_time() -> None:
    first = b'{"spool":"S7","lengths":[635,178]}'
    second = b'{"spool":"S7","pieces":[{"role":"knot","mm":70}]}'
    pieces = tuple(Piece(role="loop", nanometres=mm * 10**6) for mm in (635, 178))
    knot = (Piece(role="knot", nanometres=70_000_000),)

    rows = [_row(1, first, version=1), _row(2, second, version=2)]

    assert decode_many(rows, using=TOYS) == [
        ToyCut(spool="S7", pieces=pieces),
        ToyCut(spool="S7", pieces=knot),
    ]


def test_an_old_body_that_cannot_be_brought_up_is_damage() -> None:
    with pytest.raises(Damaged, match="lengths"):
        decode("toy-cut", 1, b'{"spool":"S7"}', using=TOYS)
    with pytest.raises(Damaged, match="nothing brings it up from version 0"):
        decode("toy-cut", 0, b'{"spool":"S7"}', using=TOYS)


@pytest.mark.parametrize("among", [3, 400])
@pytest.mark.parametrize(
    "bad", [b'{"spool":7}', b"{}", b'{"spool":"S1"},{"spool":"S2"}', b"", b"\xff"]
)
def test_the_damaged_one_among_many_is_named_by_its_seq(among: int, bad: bytes) -> None:
    rows = [_row(seq, b'{"spool":"S7"}') for seq in range(1, among + 1)]
    rows[among // 2] = _row(among // 2 + 1, bad)

    with pytest.raises(Damaged, match=f"Event {among // 2 + 1} is damaged"):
        decode_many(rows, using=TOYS)


def test_a_big_number_among_many_is_found() -> None:
    rows = [_row(seq, b'{"entry":1}', "entry-corrected", 1) for seq in range(1, 100)]
    rows[50] = _row(51, b'{"entry":9007199254740993}', "entry-corrected", 1)

    with pytest.raises(Damaged, match=r"Event 51 .* too big"):
        decode_many(rows, using=TOYS)


def test_long_runs_of_digits_in_words_are_no_big_numbers() -> None:
    note = ":1234567890123456789"
    rows = [_row(1, json.dumps({"spool": "S7", "note": note}).encode())]

    assert decode_many(rows, using=TOYS) == [ToyCut(spool="S7", note=note)]
