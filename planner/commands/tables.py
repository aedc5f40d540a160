"""`bows tables` and `bows csv`: the ledgers for other programs to read."""

from __future__ import annotations

import csv
import os
import sys
import tempfile
from collections.abc import Iterator
from contextlib import closing, suppress
from pathlib import Path
from typing import Annotated, Final, TextIO

import typer

from planner.commands import say
from planner.commands.asking import asked
from planner.commands.files import named
from planner.commands.options import AsOf, Json, KnownOn
from planner.commands.session import current
from planner.errors import Refusal, Unknown
from planner.ledgers.state import Ledgers
from planner.rules.base import plural
from planner.values.text import neutral_cell, quoted
from planner.views.tables import TABLES, Table

MARK: Final = int.from_bytes(b"BowT", "big")
"""The application_id of a file that `bows tables` made."""
SHAPE: Final = 1
"""Its user_version: which tables and columns there are."""


def tables(
    file: Annotated[str, typer.Argument(help="The SQLite file to write.")],
    as_of: AsOf = None,
    known_on: KnownOn = None,
    json: Json = False,
) -> None:
    """
    Write the ledgers as ordinary tables into an SQLite file, to browse or to join.

    Lengths stand there in nanometres and in yards; people only by their keys. A file
    that this command made before is written anew; any other is left alone.

    Example: bows tables ledgers.db
    """
    s = current()
    path = named(file)
    _check_target(path)
    counts = _write(asked(s, as_of, known_on), path)
    if json or s.json:
        say.as_json(
            {"schema": "spool-to-stall/tables/1", "file": str(path), "rows": counts}
        )
        return
    say.table(("table", "rows"), [(k, f"{n:,}") for k, n in counts.items()], right=(1,))
    say.talk(f"written: {path}")


def _check_target(path: Path) -> None:
    """
    Let only a file of this command's own making be written anew.

    Raises:
        Refusal: for any other file, or where there is no folder.
    """
    if not path.parent.is_dir():
        raise Refusal(f"There is no folder {path.parent}.", instead="make it first")
    if not (path.exists() or path.is_symlink()):
        return
    if path.is_file() and not path.is_symlink() and _mark_of(path) == MARK:
        return
    raise Refusal(
        f"{path} is there already, and bows tables did not make it; it is left alone.",
        instead="bows tables OTHER.db",
    )


def _mark_of(path: Path) -> int | None:
    # The mark stands in the file's header, so that a file of any kind can be asked.
    with path.open("rb") as there:
        head = there.read(72)
    whole = len(head) == 72 and head.startswith(b"SQLite format 3\0")
    return int.from_bytes(head[68:72], "big") if whole else None


def _write(led: Ledgers, path: Path) -> dict[str, int]:
    """Write the tables beside the target and move them there when they are whole."""
    from sqlite_utils.utils import OperationalError

    handle, name = tempfile.mkstemp(dir=path.parent, prefix=".tables-", suffix=".part")
    os.close(handle)
    try:
        counts = _fill(led, name)
        os.replace(name, path)
    except (OSError, OperationalError) as error:
        raise Refusal(
            f"{path} can't be written: {error}.", instead="close what has it open"
        ) from error
    finally:
        with suppress(OSError):
            os.unlink(name)
    return counts


def _fill(led: Ledgers, name: str) -> dict[str, int]:
    from sqlite_utils import Database

    base = Database(name)
    with closing(base.conn):
        base.execute(f"PRAGMA application_id = {MARK}")
        base.execute(f"PRAGMA user_version = {SHAPE}")
        for table in TABLES.values():
            made = base.table(table.name)
            made.create(
                dict(table.columns), pk=table.key or None,
                foreign_keys=[(c, *to) for c, to in table.refers.items()],
            )  # fmt: skip
            made.insert_all(dict(row) for row in table.walk(led))
        base.conn.commit()
        return {name: base.table(name).count for name in TABLES}


def csv_table(
    table: Annotated[str, typer.Argument(help="The table, such as stock or spools.")],
    file: Annotated[
        str | None, typer.Argument(help="The file to write; the screen if not told.")
    ] = None,
    replace: Annotated[
        bool, typer.Option("--replace", help="Write over a file that is there.")
    ] = False,
    as_of: AsOf = None,
    known_on: KnownOn = None,
) -> None:
    """
    Write one of the tables as CSV, for a spreadsheet.

    Text that a spreadsheet would take for a formula gets an apostrophe in front;
    numbers are left alone.

    Example: bows csv stock stock.csv
    """
    s = current()
    found = _table(table)
    led = asked(s, as_of, known_on)
    if file in (None, "-"):
        if os.name == "nt" and hasattr(sys.stdout, "reconfigure"):
            sys.stdout.reconfigure(newline="")
        _write_csv(sys.stdout, found, led)
        return
    path = named(file)
    with _opened(path, replace=replace) as target:
        count = _write_csv(target, found, led)
    say.talk(f"{plural(count, 'row')} of {found.name} written: {path}")


def _table(name: str) -> Table:
    plain = name.casefold().replace("-", "_")
    if plain not in TABLES:
        raise Unknown(f"There is no table {quoted(name)}.", instead=", ".join(TABLES))
    return TABLES[plain]


def _opened(path: Path, *, replace: bool) -> TextIO:
    if replace and path.is_file() and _mark_of(path) is not None:
        raise Refusal(
            f"{path} is no table of text; it is left alone.", instead="another name"
        )
    try:
        return path.open("w" if replace else "x", encoding="utf-8", newline="")
    except FileExistsError as error:
        raise Refusal(
            f"{path} is there already.", instead=f"bows csv ... {path} --replace"
        ) from error
    except OSError as error:
        raise Refusal(
            f"{path} can't be written: {error.strerror}.", instead="another name"
        ) from error


def _write_csv(target: TextIO, table: Table, led: Ledgers) -> int:
    count = 0
    # RFC 4180: commas, CRLF, quotation marks doubled.
    writer = csv.writer(target, lineterminator="\r\n")
    writer.writerow(table.columns)
    for cells in _cells(table, led):
        writer.writerow(cells)
        count += 1
    return count


def _cells(table: Table, led: Ledgers) -> Iterator[list[str]]:
    for row in table.walk(led):
        yield [neutral_cell(row[name]) for name in table.columns]
