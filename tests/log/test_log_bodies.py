"""What a fold reads of a log's bodies, and what it says of damaged ones."""

from __future__ import annotations

import json
from collections.abc import Sequence

import pytest

from planner.errors import Damaged
from planner.events import KINDS
from planner.events.base import Body, body_of
from planner.fold import Folder
from planner.log.bodies import read_bodies
from planner.log.chain import Row
from planner.log.codec import decode_many, encode
from tests.events.samples import SAMPLES

SOLD = {"bows": [["a", 1]], "fee": 0, "how": "cash", "place": "home", "taken": 5}
SET_ASIDE = b'{"aside":true,"spool":"S7","why":""}'


def _row(seq: int, body: bytes, kind: str = "spool-set-aside", version: int = 1) -> Row:
    day, typed = "2026-11-25", "2026-11-25T17:00:00.000Z"
    return (seq, "", seq, kind, version, day, typed, body, b"", b"")


def _plain(bodies: Sequence[Body]) -> list[object]:
    return [json.loads(json.dumps(body)) for body in bodies]


def test_a_body_is_the_same_read_from_the_log_or_made_of_its_event() -> None:
    """Both ways give all kinds the same fields and values."""
    rows = [
        _row(seq, encode(SAMPLES[kind]), kind, KINDS[kind].version)
        for seq, kind in enumerate(KINDS, start=1)
    ]

    assert _plain(read_bodies(rows)) == _plain([body_of(SAMPLES[k]) for k in KINDS])


def test_a_body_of_an_older_version_is_brought_up() -> None:
    """Its fields are those of the newest version, what was left out filled in."""
    old = b'{"count":1,"made":"a","place":"home","taken":5}'

    assert _plain(read_bodies([_row(1, old, "bows-sold", 1)])) == [SOLD]


def test_a_body_without_a_field_that_has_a_default_is_filled_in() -> None:
    """Whoever wrote it, what is read is what `decode` would say."""
    short = b'{"bows":[["a",1]],"place":"home","taken":5}'

    assert _plain(read_bodies([_row(1, short, "bows-sold", 2)])) == [SOLD]


def test_a_field_told_to_be_nothing_is_as_good_as_left_out() -> None:
    """No ledger has to know that there are two ways to say it."""
    told = (
        b'{"bows":[["a",1]],"fair":null,"fee":0,"how":"cash","place":"home","taken":5}'
    )

    assert _plain(read_bodies([_row(1, told, "bows-sold", 2)])) == [SOLD]


@pytest.mark.parametrize(
    "bad",
    [
        b'{"aside":true,"spool":7,"whz":""}', b'{"aside":true,"why":""}', b"{}",
        b'{"aside":true,"spool":"S7","why":"","weight":NaN}', b"[]", b"", b"\xff",
        SET_ASIDE + b"," + SET_ASIDE, b'{"aside":true,"spool":"S7"',
    ],
)  # fmt: skip
def test_the_damaged_one_among_many_is_named_by_its_seq(bad: bytes) -> None:
    """Whether its JSON is broken, or its fields are not those of its kind."""
    rows = [_row(seq, SET_ASIDE) for seq in range(1, 100)]
    rows[50] = _row(51, bad)

    with pytest.raises(Damaged, match="Event 51 is damaged"):
        read_bodies(rows)


def test_kinds_and_versions_of_a_newer_tool_are_refused() -> None:
    """Nothing is guessed of what they would post."""
    with pytest.raises(Damaged, match="newer version of this tool"):
        read_bodies([_row(1, SET_ASIDE, "spool-enchanted")])
    with pytest.raises(Damaged, match="newer version of this tool"):
        read_bodies([_row(1, SET_ASIDE, version=2)])


def test_a_value_that_no_ledger_can_take_is_named() -> None:
    """A word where a number belongs is found as it is posted, and told as damage."""
    folder = Folder(zone="America/New_York", decode=decode_many, bodies=read_bodies)
    bad = b'{"how":"measured","left":"9","spool":"S7"}'
    rows = [_row(1, SET_ASIDE), _row(2, bad, "spool-read")]

    with pytest.raises(Damaged, match="Event 2 is damaged"):
        folder.feed(rows)
