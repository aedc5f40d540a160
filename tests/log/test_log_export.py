"""A log goes out as lines and comes back to the same head, or not at all."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from log_toys import TOYS, Piece, add, all_rows, cut, fill, guest, seeded

from planner.errors import LogTrouble
from planner.log.check import check_log
from planner.log.export import (
    export_lines,
    export_people,
    import_lines,
    import_people,
)
from planner.log.store import Log


@pytest.fixture(name="other")
def _other(tmp_path: Path) -> Iterator[Log]:
    with Log.create(tmp_path / "other.bows", using=TOYS) as other:
        yield other


def _filled(log: Log) -> list[str]:
    fill(log, 5)
    odd = 'é "quoted"\u2028\U0001f380 \\ \x00 \x7f'
    add(log, cut(note=odd, weight=0.1, pieces=(Piece(role="loop", nanometres=7),)))
    add(log, guest("P1", name="Ilse Övergård", rand=seeded()))
    return list(export_lines(log))


def test_lines_are_plain_ascii_one_an_event_after_a_header(log: Log) -> None:
    lines = _filled(log)
    head, row = log.head(), all_rows(log)[5]

    assert json.loads(lines[0]) == {
        "format": "spool-to-stall log",
        "version": 1,
        "events": 7,
        "head": head.hash.hex(),
    }
    assert json.loads(lines[6]) == {
        "seq": 6,
        "id": row[1],
        "entry": 6,
        "kind": "toy-cut",
        "version": 3,
        "happened": "2026-11-25",
        "recorded": "2026-11-25T12:00:00.000Z",
        "body": row[7].decode(),
        "prev": row[8].hex(),
        "hash": row[9].hex(),
    }
    assert len("\n".join(lines).splitlines()) == 8
    assert "\n".join(lines).isascii()


def test_an_empty_log_takes_them_in_to_the_same_head(log: Log, other: Log) -> None:
    lines = _filled(log)

    assert import_lines(lines, other) == log.head() == other.head()
    assert all_rows(other) == all_rows(log)
    assert list(export_lines(other)) == lines
    assert check_log(other).whole


@pytest.mark.parametrize("after", [0, 1, 4, 7])
def test_a_log_that_is_a_beginning_of_them_takes_in_the_rest(
    log: Log, other: Log, after: int
) -> None:
    lines = _filled(log)
    other.db.execute("BEGIN")
    other.insert(all_rows(log)[:after], ())
    other.db.execute("COMMIT")

    assert import_lines(lines, other) == log.head()
    assert all_rows(other) == all_rows(log)


def test_an_empty_log_comes_back_empty(log: Log, other: Log) -> None:
    assert import_lines(export_lines(log), other) == log.head() == other.head()


@pytest.mark.parametrize("mine", [3, 9])
def test_a_log_of_its_own_takes_in_nothing(log: Log, other: Log, mine: int) -> None:
    lines = _filled(log)
    fill(other, mine, rand=seeded(99))
    before = all_rows(other)

    with pytest.raises(LogTrouble, match="aren't a beginning of that file"):
        import_lines(lines, other)

    assert all_rows(other) == before


def test_a_log_that_has_more_takes_in_nothing(log: Log, other: Log) -> None:
    import_lines(_filled(log), other)
    older = list(export_lines(log))
    add(other, cut("more"))

    with pytest.raises(LogTrouble, match="The 8 events of this log aren't"):
        import_lines(older, other)


def test_line_ends_a_byte_order_mark_and_blank_lines_do_no_harm(
    log: Log, other: Log
) -> None:
    text = "\ufeff" + "\r\n".join(_filled(log)) + "\r\n\r\n"

    assert import_lines(text.splitlines(keepends=True), other) == log.head()


def _without(at: int):
    return lambda lines: lines[:at] + lines[at + 1 :]


def _with(at: int, **changed: object):
    def change(lines: list[str]) -> list[str]:
        line = json.dumps(json.loads(lines[at]) | changed)
        return [*lines[:at], line, *lines[at + 1 :]]

    return change


_SPOILT = {
    "its header gone": (_without(0), "is no spool-to-stall log"),
    "nothing in it": (lambda lines: [], "is no spool-to-stall log"),
    "another version": (_with(0, version=2), "written by another version"),
    "its end cut off": (_without(7), "doesn't end where its first line says"),
    "a header of another head": (_with(0, head="00" * 32), "doesn't end where"),
    "an event left out": (_without(3), "Line 4 can't be taken: event 3 should come"),
    "an event twice": (
        lambda lines: [*lines[:4], lines[3], *lines[4:]],
        "Line 5 can't be taken: it stands after event 3",
    ),
    "a body changed": (_with(3, body='{"spool":"S9"}'), "Line 4 .* its hash"),
    "another day": (_with(3, happened="2026-11-24"), "Line 4 .* its hash"),
    "a malformed day": (_with(3, happened="today"), "Line 4 .* day is malformed"),
    "a broken link": (_with(3, prev="00" * 32), "Line 4 .* follow the event before"),
    "another type": (_with(3, entry="3"), "Line 4 .* entry is of the wrong type"),
    "truth for a number": (_with(3, entry=True), "Line 4 .* wrong type"),
    "a kind of its own": (_with(3, kind="toy-knot"), "Line 4 .* is unknown here"),
    "a broken character": (_with(3, id="\ud800"), "Line 4 .* a broken character"),
    "a broken body": (_with(3, body="\ud800"), "Line 4 .* malformed"),
    "no hex": (_with(3, hash="navy"), "Line 4 .* malformed"),
    "a list for a body": (_with(3, body=[1]), "Line 4 .* malformed"),
    "a column more": (_with(3, more=1), "Line 4 .* hasn't the columns"),
    "a huge number": (_with(3, seq=2**70), "Line 4 .* isn't whole"),
    "half a line": (lambda lines: [*lines[:3], lines[3][:50]], "Line 4 .* whole"),
    "a list": (lambda lines: [*lines[:3], "[]", *lines[4:]], "Line 4 .* no event"),
    "junk": (lambda lines: ["\0\xff" * 100, *lines], "Line 1 .* isn't whole"),
    "deep junk": (lambda lines: ["[" * 99_999, *lines], "Line 1 .* isn't whole"),
}


@pytest.mark.parametrize("spoilt", list(_SPOILT))
def test_a_file_that_is_not_as_exported_is_not_taken_in(
    log: Log, other: Log, spoilt: str
) -> None:
    spoil, why = _SPOILT[spoilt]
    lines = spoil(_filled(log))

    with pytest.raises(LogTrouble, match=why):
        import_lines(lines, other)

    assert all_rows(other) == []


def test_people_go_out_and_come_back_in_a_file_of_their_own(
    log: Log, other: Log
) -> None:
    lines = _filled(log)
    people = list(export_people(log))
    import_lines(lines, other)

    assert not any("Ilse" in line for line in lines)
    assert other.all_people() == {}
    assert import_people(people, other) == 1
    assert other.all_people() == log.all_people()
    assert import_people(people, other) == 0
    assert check_log(other).whole


def test_people_are_only_taken_to_the_events_that_sealed_them(
    log: Log, other: Log
) -> None:
    _filled(log)
    people = list(export_people(log))
    renamed = _with(1, text="Maren Holm")(people)

    for target, lines, why in (
        (other, people, "Line 2 .* no event of this log has sealed it"),
        (log, renamed, "Line 2 .* no event of this log has sealed it"),
        (log, _with(1, salt="navy")(people), "Line 2 .* malformed"),
        (log, _with(1, person="\ud800")(people), "Line 2 .* malformed"),
        (log, _with(1, field=7)(people), "Line 2 .* columns"),
        (log, people[:1], "doesn't end where it should"),
        (log, list(export_lines(log)), "is no spool-to-stall people"),
    ):
        with pytest.raises(LogTrouble, match=why):
            import_people(lines, target)
