"""
A log as lines of text, one JSON object an event, and back to the same head.

The first line says what it is and where it ends.  A body stands as the exact text it
has in the log, so that its hash can be computed again.  All is ASCII with one line an
event, so that no editor or mail program changes it.  People are in a file of their own.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from planner.errors import Damaged, LogTrouble
from planner.log.chain import COLUMNS, START, Head, Row
from planner.log.check import row_faults
from planner.log.codec import compact, parse
from planner.log.draft import head_of
from planner.log.people import PrivateRow, verify_seal
from planner.log.store import Log

LOG_FORMAT, PEOPLE_FORMAT = "spool-to-stall log", "spool-to-stall people"
VERSION = 1

_PRIVATE = ("key", "person", "field", "text", "salt")
_BATCH = 1000
_AGAIN = "Export again from the log it came from."


def export_lines(log: Log) -> Iterator[str]:
    """Give the log as lines without line ends, up to its head at the first one."""
    head = log.head()
    yield compact(
        {
            "format": LOG_FORMAT,
            "version": VERSION,
            "events": head.seq,
            "head": head.hash.hex(),
        }
    )
    for rows in log.rows(upto=head.seq):
        for row in rows:
            yield _event_line(row)


def import_lines(
    lines: Iterable[str], log: Log, *, people: Iterable[str] | None = None
) -> Head:
    """
    Take exported lines into an empty log, or one that is a beginning of theirs.

    With the lines of exported people, these are taken too, or nothing is.

    Gives the head, which is that of the exported log.  Raises LogTrouble or Damaged,
    naming the line, and then nothing was written.
    """
    numbered = _numbered(lines)
    header = _header(numbered, LOG_FORMAT)
    with log.writing():
        head = START
        for batch in _batches(_taken(numbered, log)):
            log.insert(batch, ())
            head = head_of(batch[-1])
        head = log.head() if head == START else head
        _refuse_other_end(header, head)
        if people is not None:
            _take_people(people, log)
    return head


def export_people(log: Log) -> Iterator[str]:
    """Give all private texts with their salts as lines; keep that file safe."""
    rows = log.private_rows()
    yield compact({"format": PEOPLE_FORMAT, "version": VERSION, "rows": len(rows)})
    for row in rows:
        yield compact(dict(zip(_PRIVATE, (*row[:4], row[4].hex()), strict=True)))


def import_people(lines: Iterable[str], log: Log) -> int:
    """
    Take private texts to the events that sealed them; how many are new.

    Raises LogTrouble or Damaged, naming the line, and then nothing was written.
    """
    with log.writing():
        return _take_people(lines, log)


def _take_people(lines: Iterable[str], log: Log) -> int:
    numbered = _numbered(lines)
    header = _header(numbered, PEOPLE_FORMAT)
    seals, kept = log.seals(), {row[0] for row in log.private_rows()}
    rows = [_private_row(number, fields, seals) for number, fields in numbered]
    if len(rows) != header.get("rows"):
        raise Damaged("The file of people doesn't end where it should.", instead=_AGAIN)
    new = [row for row in rows if row[0] not in kept]
    log.insert((), new)
    return len(new)


def _event_line(row: Row) -> str:
    fields: dict[str, Any] = dict(zip(COLUMNS, row, strict=True))
    fields |= {"body": row[7].decode(), "prev": row[8].hex(), "hash": row[9].hex()}
    return compact(fields)


def _numbered(lines: Iterable[str]) -> Iterator[tuple[int, dict[str, Any]]]:
    for number, line in enumerate(lines, start=1):
        text = line.lstrip("\ufeff").strip() if number == 1 else line.strip()
        if text:
            yield number, _object(number, text)


def _object(number: int, text: str) -> dict[str, Any]:
    try:
        fields = parse(text.encode())
    except (ValueError, RecursionError) as error:
        raise _bad(number, "it isn't whole") from error
    if not isinstance(fields, dict):
        raise _bad(number, "it holds no event")
    return fields


def _header(
    numbered: Iterator[tuple[int, dict[str, Any]]], wanted: str
) -> dict[str, Any]:
    fields = next(numbered, (1, {}))[1]
    if fields.get("format") != wanted:
        raise LogTrouble(
            f"That file is no {wanted}: its first line would say so.",
            instead="Give a file that bows export wrote.",
        )
    if fields.get("version") != VERSION:
        raise LogTrouble(
            f"That file was written by another version ({fields.get('version')}).",
            instead="Install the newest version.",
        )
    return fields


def _taken(numbered: Iterator[tuple[int, dict[str, Any]]], log: Log) -> Iterator[Row]:
    """Check each line against the one before and what the log has; give the new."""
    mine, head = log.head(), START
    for number, fields in numbered:
        row = _row(number, fields)
        wrong = row_faults(row, head, log.registry)
        if wrong:
            raise _bad(number, "; ".join(wrong))
        head = head_of(row)
        if row[0] > mine.seq:
            yield row
        elif row[0] == mine.seq and row != log.row(mine.seq):
            raise _other_log(mine)
    if head.seq < mine.seq:
        raise _other_log(mine)


def _row(number: int, fields: Mapping[str, Any]) -> Row:
    if fields.keys() != set(COLUMNS):
        raise _bad(number, "it hasn't the columns of an event")
    try:
        return (
            *(fields[name] for name in COLUMNS[:7]),
            fields["body"].encode(),
            bytes.fromhex(fields["prev"]),
            bytes.fromhex(fields["hash"]),
        )
    except (ValueError, TypeError, AttributeError) as error:
        raise _bad(number, "its body or a hash is malformed") from error


def _private_row(
    number: int, fields: Mapping[str, Any], seals: Mapping[str, str]
) -> PrivateRow:
    if fields.keys() != set(_PRIVATE) or not all(
        isinstance(value, str) for value in fields.values()
    ):
        raise _bad(number, "it hasn't the columns of a private text")
    key, person, field, text, salt = (fields[name] for name in _PRIVATE)
    try:
        f"{person}{field}".encode()
        fits = verify_seal(seals.get(key, ""), salt=bytes.fromhex(salt), text=text)
    except ValueError as error:
        raise _bad(number, "its salt or text is malformed") from error
    if not fits:
        raise _bad(number, "no event of this log has sealed it")
    return (key, person, field, text, bytes.fromhex(salt))


def _batches(rows: Iterator[Row]) -> Iterator[list[Row]]:
    batch: list[Row] = []
    for row in rows:
        batch.append(row)
        if len(batch) == _BATCH:
            yield batch
            batch = []
    if batch:
        yield batch


def _refuse_other_end(header: Mapping[str, Any], head: Head) -> None:
    if (header.get("events"), header.get("head")) != (head.seq, head.hash.hex()):
        raise Damaged(
            "The file doesn't end where its first line says it does.", instead=_AGAIN
        )


def _bad(number: int, why: str) -> Damaged:
    return Damaged(
        f"Line {number} can't be taken: {why}; nothing was written.",
        instead=_AGAIN,
    )


def _other_log(mine: Head) -> LogTrouble:
    return LogTrouble(
        f"The {mine.seq} events of this log aren't a beginning of that file.",
        instead="Take it into a new, empty shop.",
    )
