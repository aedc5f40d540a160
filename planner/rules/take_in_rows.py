"""
A file of hers, read as lines with named cells; nothing here knows a shop.

The separator may be a comma, a semicolon or a tab, whichever makes most sense of the
header.  A line is known by its words, not by how it was saved: another separator, other
quotes, another order of columns or an empty column more leave it the same line.
"""

from __future__ import annotations

import csv
import io
import unicodedata
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from planner.errors import Absurd, Refusal, Unreadable
from planner.values.text import is_hidden, quoted

MOST_BYTES: Final = 20_000_000
MOST_LINES: Final = 200_000
LONGEST_CELL: Final = 1_000
MOST_PROBLEMS: Final = 10
"""As many problems are named at once."""

COLUMNS: Final[Mapping[str, str]] = {
    "day": "when it happened, such as 2026-11-28; any day that --on takes",
    "what": "the command's word: cut, made, sold, give, count, in, read ...",
    "qty": "how many",
    "kind": "the kind of bow; for ribbon its colour and width; a supply's name",
    "length": 'a length, such as "3 yd 8 in" or "0.8 m"',
    "minutes": "how long it took",
    "price": "the money in all: taken for bows, paid for ribbon or supplies",
    "place": "where: home, a boutique, a fair's stall",
    "from": "the place bows were moved from",
    "to": "the place bows were moved to",
    "spool": "the spool, such as S7",
    "bundle": "the bundle, such as C12",
    "batch": "the batch, such as B12",
    "order": "the order bows were made for, such as O12",
    "how": "cash or card; gift or sample; measured or weighed",
    "why": "the reason; no person's name, it is kept for good",
    "lot": "the dye lot",
    "supplier": "the shop that sold it",
    "line": 'all of it as you would type it after "bows"; then no other column but day',
    "note": "yours alone: it is not entered",
}
"""The columns of a file and what stands in them."""

_ALIKE: Final = {
    "date": "day", "on": "day", "word": "what", "quantity": "qty", "count": "qty",
    "taken": "price", "paid": "price", "at": "place",
}  # fmt: skip
_SAVE = 'Save it as "CSV UTF-8" and take that in.'


@dataclass(frozen=True, slots=True)
class Line:
    """
    One line of the file: its number (the header is line 1), and its filled cells.

    `occurrence` counts lines of the same words before it, so that two equal sales of
    one day are two.
    """

    number: int
    cells: Mapping[str, str]
    text: str
    occurrence: int


@dataclass(frozen=True, slots=True)
class Problem:
    """What is wrong with a line, and in which column ('' for the line as a whole)."""

    number: int
    column: str
    trouble: Refusal

    def __str__(self) -> str:
        where = f"line {self.number}"
        where += f", column {self.column}" if self.column else ""
        hint = f"  ({self.trouble.instead})" if self.trouble.instead else ""
        return f"{where}: {self.trouble.what}{hint}"


def read_lines(data: bytes) -> tuple[list[Line], list[Problem]]:
    """
    Read a file's lines and the problems they have by themselves.

    Raises:
        Unreadable: when it is no text in UTF-8, or its header can't be made sense of.
        Absurd: when it is longer than 20 MB or 200,000 lines.
    """
    text = decoded(data)
    columns, rows = _header(text)
    lines: list[Line] = []
    problems: list[Problem] = []
    seen: Counter[str] = Counter()
    for number, row in rows:
        if len(problems) >= MOST_PROBLEMS:
            break
        if number > MOST_LINES + 1:
            raise Absurd(
                f"The file has more than {MOST_LINES:,} lines.",
                instead="Cut it into several files.",
            )
        found = _problems(number, columns, row)
        if found or not any(row):
            problems += found
            continue
        lines.append(_line(number, columns, row, seen))
    return lines, problems


def decoded(data: bytes) -> str:
    """
    Decode a file of hers from UTF-8, with or without its mark.

    Raises:
        Absurd: when it is longer than 20 MB.
        Unreadable: when it is another encoding, with the line where that shows.
    """
    if len(data) > MOST_BYTES:
        raise Absurd(
            f"The file is {len(data):,} bytes long; at most {MOST_BYTES:,} are taken.",
            instead="Cut it into several files.",
        )
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        raise Unreadable("The file is written in UTF-16, not in UTF-8.", instead=_SAVE)
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise Unreadable(
            f"Line {line} has a character that is not UTF-8.", instead=_SAVE
        ) from error


def _header(text: str) -> tuple[list[str], Iterator[tuple[int, list[str]]]]:
    begin = text[:10_000].splitlines()
    first = next((line for line in begin if line.strip()), "")
    tried = [_columns(next(csv.reader([first], delimiter=mark))) for mark in ",;\t"]
    mark, columns = max(
        zip(",;\t", tried, strict=True),
        key=lambda pair: sum(name in COLUMNS for name in pair[1]),
    )
    _check_columns(columns)
    rows = _rows(text, mark)
    return columns, rows


def _columns(cells: Sequence[str]) -> list[str]:
    names = [cell.strip().casefold() for cell in cells]
    while names and not names[-1]:
        names.pop()
    return [_ALIKE.get(name, name) for name in names]


def _check_columns(columns: Sequence[str]) -> None:
    instead = "The columns are: " + ", ".join(COLUMNS)
    if not {"what", "line"} & set(columns):
        raise Unreadable(
            'The first line names no column "what" and no column "line".',
            instead='Begin with a line such as "day,what,qty,kind" or "day,line".',
        )
    for at, name in enumerate(columns, start=1):
        if name not in COLUMNS:
            raise Unreadable(f"Line 1, column {at}: {quoted(name)}?", instead=instead)
        if columns.count(name) > 1:
            raise Unreadable(f'Line 1: "{name}" stands twice.', instead=instead)
    if "line" in columns and set(columns) - {"line", "day", "note"}:
        raise Unreadable(
            'Line 1: beside "line" there can only be "day" and "note".',
            instead='Use "day,line", or "day,what,qty,kind" and so on.',
        )


def _rows(text: str, mark: str) -> Iterator[tuple[int, list[str]]]:
    """Walk the rows after the header with their line numbers, cells stripped."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=True)
    header = True
    number = 1
    try:
        for row in reader:
            cells = [cell.strip(" \u00a0") for cell in row]
            if header:
                header = not any(cells)
            else:
                yield number, cells
            number = reader.line_num + 1
    except csv.Error as error:
        raise Unreadable(
            f"Line {number} can't be read as cells: {error}.",
            instead='A cell with a quotation mark in it is written "so ""quoted""".',
        ) from error


def _problems(number: int, columns: Sequence[str], row: Sequence[str]) -> list[Problem]:
    found = []
    for at, cell in enumerate(row):
        if not cell.isprintable() and any(is_hidden(letter) for letter in cell):
            name = columns[at] if at < len(columns) else str(at + 1)
            found.append(Problem(number, name, _hidden(cell)))
        elif len(cell) > LONGEST_CELL:
            name = columns[at] if at < len(columns) else str(at + 1)
            found.append(Problem(number, name, _long(cell)))
    if any(row[len(columns) :]):
        found.append(Problem(number, "", _beyond(len(row), len(columns))))
    return found


def _hidden(cell: str) -> Refusal:
    return Unreadable(
        f"{quoted(cell)} has a control or hidden character in it.",
        instead="type the cell anew",
    )


def _long(cell: str) -> Refusal:
    return Absurd(f"{quoted(cell)} is {len(cell):,} characters long.", instead="")


def _beyond(cells: int, columns: int) -> Refusal:
    return Unreadable(
        f"It has {cells} cells, and the first line names {columns} columns.",
        instead='put a cell with a separator in it in quotation marks: "12,50"',
    )


def _line(
    number: int, columns: Sequence[str], row: Sequence[str], seen: Counter[str]
) -> Line:
    cells = {
        name: unicodedata.normalize("NFC", cell)
        for name, cell in zip(columns, row, strict=False)
        if cell
    }
    text = "\t".join(f"{name}={cells[name]}" for name in sorted(cells))
    seen[text] += 1
    return Line(number, cells, text, seen[text])
