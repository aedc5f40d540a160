"""What the log knows of a file: lines it has, lines changed, and what rests on them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple, TypeVar

from planner.errors import Refusal, Unknown
from planner.fold import LogRow
from planner.ledgers.state import Ledgers
from planner.log.codec import parse
from planner.log.ids import uuid8_from
from planner.rules.base import plural
from planner.rules.corrections import makes, mentions
from planner.rules.take_in_rows import MOST_PROBLEMS, Line

T = TypeVar("T")


class OldRow(NamedTuple):
    """A line of an earlier take-in: its number then, its id, the entry it made."""

    line: int
    row: str
    entry: int


@dataclass(frozen=True, slots=True)
class Earlier:
    """An earlier take-in that this file is taken to be a later state of."""

    code: str
    name: str
    rows: tuple[OldRow, ...]


@dataclass(frozen=True, slots=True)
class Edit:
    """Lines that are gone, and the new ones that stand in their place."""

    old: tuple[OldRow, ...]
    new: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class Compared:
    """
    A file beside what the log knows of it.

    `known` pairs lines with their entries; `taken_back` are lines whose entry she took
    back since; `gone` are lines of before with nothing in their place.
    """

    ids: Mapping[int, str]
    fresh: tuple[Line, ...]
    known: Mapping[int, int]
    taken_back: tuple[Line, ...] = ()
    edits: tuple[Edit, ...] = ()
    gone: tuple[OldRow, ...] = ()
    earlier: Earlier | None = None


def row_id(shop: str, line: Line) -> str:
    """Give a line's id: of the shop (its first event's id), its words, its count."""
    return uuid8_from(shop, line.text, str(line.occurrence))


def event_id(row: str, attempt: int, index: int) -> str:
    """Give the id of a line's event, by attempt and place in its entry."""
    return uuid8_from(row, str(attempt), str(index))


def _entry_in_force(
    row: str, ids: Mapping[str, int], voided: frozenset[int]
) -> int | None:
    attempt = 0
    while (entry := ids.get(event_id(row, attempt, 0))) is not None:
        if entry not in voided:
            return entry
        attempt += 1
    return None


def take_ins(led: Ledgers) -> list[Earlier]:
    """Give the take-ins in force, in order."""
    found: dict[str, Earlier] = {}
    for kept in led.all_kept("take-ins"):
        e = kept.event
        rows = tuple(OldRow(*row) for row in e.rows)
        known = found.get(e.take_in)
        found[e.take_in] = (
            replace(known, rows=known.rows + rows)
            if known
            else Earlier(e.take_in, e.name, rows)
        )
    return list(found.values())


def _same_source(led: Ledgers, name: str, rows: frozenset[str]) -> Earlier | None:
    """
    Find the take-in that this file is a later state of.

    It is the last one that shares lines with it (half of them, under another name), or
    else the last of the same name.
    """
    shares: list[Earlier] = []
    named: list[Earlier] = []
    for one in take_ins(led):
        shared = sum(old.row in rows for old in one.rows)
        if one.name == name:
            (shares if shared else named).append(one)
        elif shared and shared * 2 >= len(one.rows):
            shares.append(one)
    return (named + shares)[-1] if named or shares else None


def compare(
    led: Ledgers, *, lines: Sequence[Line], name: str, shop: str,
    ids: Mapping[str, int], days: Mapping[int, str],
) -> Compared:  # fmt: skip
    """
    Tell new lines from known and changed ones.

    `ids` gives the entry of every event ever taken in, by id; `days` the day of each
    entry that an earlier take-in made, where the log still tells.
    """
    rows = {line.number: row_id(shop, line) for line in lines}
    earlier = _same_source(led, name, frozenset(rows.values()))
    before = {old.row for old in earlier.rows} if earlier else set()
    known: dict[int, int] = {}
    fresh: list[Line] = []
    back: list[Line] = []
    for line in lines:
        row = rows[line.number]
        entry = _entry_in_force(row, ids, led.voided)
        if entry is not None:
            known[line.number] = entry
        else:
            (back if row in before else fresh).append(line)
    plain = Compared(rows, tuple(fresh), known, tuple(back), (), (), earlier)
    return plain if earlier is None else _edited(plain, earlier, lines, led, days)


def _edited(
    plain: Compared, earlier: Earlier, lines: Sequence[Line], led: Ledgers,
    days: Mapping[int, str],
) -> Compared:  # fmt: skip
    now = frozenset(plain.ids.values())
    gone = [
        old
        for old in earlier.rows
        if old.row not in now and old.entry not in led.voided
    ]
    if len(gone) == len(earlier.rows):
        return _all_edited(plain, gone, lines, days)
    old_gaps = _gaps([(old.row, old) for old in earlier.rows], now, gone)
    before = frozenset(old.row for old in earlier.rows)
    pairs = [(plain.ids[line.number], line) for line in lines]
    new_gaps = _gaps(pairs, before, plain.fresh)
    edits = [
        Edit(tuple(old), tuple(new_gaps[gap]))
        for gap, old in old_gaps.items()
        if gap in new_gaps
    ]
    replaced = {old.row for edit in edits for old in edit.old}
    left = tuple(old for old in gone if old.row not in replaced)
    return replace(plain, edits=tuple(edits), gone=left)


def _gaps(
    pairs: Sequence[tuple[str, T]], anchors: frozenset[str], wanted: Iterable[T]
) -> dict[str, list[T]]:
    """Group what is wanted by the line above that both files have."""
    keep = {id(one) for one in wanted}
    gaps: dict[str, list[T]] = {}
    above = ""
    for row, one in pairs:
        if row in anchors:
            above = row
        elif id(one) in keep:
            gaps.setdefault(above, []).append(one)
    return gaps


def _all_edited(
    plain: Compared, gone: Sequence[OldRow], lines: Sequence[Line],
    days: Mapping[int, str],
) -> Compared:  # fmt: skip
    """
    Judge a file of a known name that shares no line with what it was.

    With as many lines of the same days in the same order it was changed throughout;
    else it is another file.
    """
    if len(gone) != len(plain.fresh) or len(gone) != len(lines):
        return plain
    told = [line.cells.get("day", "") for line in plain.fresh]
    if told != [days.get(old.entry, "") for old in gone]:
        return plain
    return replace(plain, edits=(Edit(tuple(gone), plain.fresh),))


def refuse_edits(compared: Compared, *, file: str) -> Refusal:
    """Say which lines were changed, and what to type."""
    assert compared.earlier is not None
    said = [_edit_words(edit) for edit in compared.edits[:MOST_PROBLEMS]]
    more = len(compared.edits) - len(said)
    if more:
        said.append(f"  ... and {more} more")
    return Refusal(
        f"{file} was taken in before ({compared.earlier.code}), and lines of it were "
        "changed since; nothing was entered:\n" + "\n".join(said),
        instead=f"bows take-in {file} --correct   (takes the old entries back and "
        "enters the new lines; or --new: enters them besides)",
    )


def _edit_words(edit: Edit) -> str:
    old = ", ".join(f"{one.line} (entry {one.entry})" for one in edit.old[:5])
    new = ", ".join(str(line.number) for line in edit.new[:5])
    text = edit.new[0].text.replace("\t", ", ")
    return f"  what was line {old} is now line {new}: {text[:120]}"


def resting(
    rows: Iterable[LogRow], *, entries: frozenset[int], voided: frozenset[int]
) -> set[int]:
    """
    Give the later entries in force that rest on what some entries brought into being.

    `rows` are the whole log in order; see `corrections.dependents`.
    """
    codes: set[str] = set()
    found: set[int] = set()
    before: set[str] = set()
    for row in rows:
        if row[2] in voided or row[3] in ("entry-corrected", "file-taken-in"):
            continue
        if row[2] in entries:
            codes |= makes(row) - before
        elif codes and (row[2] in found or mentions(parse(row[7]), codes)):
            found.add(row[2])
            codes |= makes(row) - before
        else:
            before |= makes(row)
    return found


def once_more(compared: Compared, rests: Iterable[int]) -> Compared:
    """
    Move known lines whose entries rest on a changed one to those to be entered.

    Raises:
        Refusal: when an entry that is no line of this file rests on a changed one.
    """
    line_of = {entry: number for number, entry in compared.known.items()}
    old = {one.row: one for one in compared.earlier.rows} if compared.earlier else {}
    others = sorted(set(rests) - set(line_of))
    if others:
        names = ", ".join(map(str, others[:12]))
        raise Refusal(
            f"{plural(len(others), 'entry', 'entries')} that you typed rest on a "
            f"changed line: {names}.",
            instead=f"bows undo {others[0]} --along   (and so on), then once more",
        )
    again = {line_of[entry] for entry in rests}
    edits = list(compared.edits)
    known = {n: entry for n, entry in compared.known.items() if n not in again}
    for number in again:
        row, entry = compared.ids[number], compared.known[number]
        was = old.get(row, OldRow(number, row, entry))
        edits.append(Edit((was._replace(entry=entry),), ()))
    return replace(compared, known=known, edits=tuple(edits))


def entries_of(led: Ledgers, code: str) -> tuple[Earlier, list[int]]:
    """
    Give a take-in and the entries in force that it was the first to make.

    Raises:
        Unknown: when there is no such take-in, or it is taken back.
    """
    seen: set[int] = set()
    for one in take_ins(led):
        if one.code.casefold() == code.casefold():
            own = {old.entry for old in one.rows} - seen - led.voided
            records = {
                kept.at.entry for kept in led.all_kept("take-ins")
                if kept.event.take_in == one.code
            }  # fmt: skip
            return one, sorted(own | records)
        seen |= {old.entry for old in one.rows}
    raise Unknown(f"There is no take-in {code!r}.", instead="bows entries")
