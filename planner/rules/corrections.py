"""Rules of the records themselves: corrections with dependents, notes, again."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Any

from planner.errors import Refusal, Unknown
from planner.events.base import Event, PrivateText
from planner.events.notes import EntryCorrected, NoteWritten
from planner.fold import LogRow
from planner.ledgers import codes
from planner.ledgers.state import Ledgers
from planner.log.codec import parse
from planner.rules.base import Proposal, proposal
from planner.values.moments import When

MAKES: Mapping[str, str] = {
    **codes.KINDS,
    "colour-named": "colour",
    "ribbon-named": "ribbon",
    "supply-named": "supply",
    "pattern-revised": "pattern",
    "colourway-named": "colourway",
    "set-named": "set",
}
"""Kind -> the body field whose code it brings into being."""

LASTING = ("entry-corrected", "person-forgotten")
"""Kinds never taken along with what they rest on: what was deleted stays deleted."""

FIRST = 1
"""The entry that set up the shop; nothing is left without it."""

_NOUNS = ("orders", "patterns", "fairs", "colours", "ribbons", "supplies",
          "colourways", "sets", "people", "restocks")  # fmt: skip
"""Nouns whose things can be named again by a later event."""


def makes(row: LogRow) -> set[str]:
    """Give the codes a row's event brings into being."""
    field = MAKES.get(row[3])
    return {parse(row[7])[field]} if field else set()


def mentions(value: Any, codes: set[str]) -> bool:
    """Say whether a body mentions one of the codes, at any depth."""
    if isinstance(value, str):
        if value in codes:
            return True
        return ":" in value and not codes.isdisjoint(value.split(":"))
    if isinstance(value, dict):
        return any(mentions(inner, codes) for inner in value.values())
    if isinstance(value, list):
        return any(mentions(inner, codes) for inner in value)
    return False


def made_before(led: Ledgers, rows: Iterable[LogRow]) -> set[str]:
    """Give the codes among those rows' that an earlier event brought into being."""
    found: set[str] = set()
    for row in rows:
        for code in makes(row):
            pages = (kept for noun in _NOUNS for kept in led.page(noun, code))
            if any(kept.at.seq < row[0] for kept in pages):
                found.add(code)
    return found


def dependents(
    rows: Iterable[LogRow], *, entry: int, voided: frozenset[int],
    before: Collection[str] = (),
) -> list[int]:  # fmt: skip
    """
    Give the later entries in force that rest on what an entry brought into being.

    `rows` are the log's from that entry on, in order; a dependent's own dependents
    count.  The codes `before` had been brought into being earlier: nobody rests on
    this entry for those.
    """
    codes: set[str] = set()
    found: set[int] = set()
    for row in rows:
        if row[2] in voided or row[3] in LASTING:
            continue
        if row[2] == entry:
            codes |= makes(row) - set(before)
        elif row[2] in found or (codes and mentions(parse(row[7]), codes)):
            found.add(row[2])
            codes |= makes(row)
    return sorted(found)


def taken_back(
    led: Ledgers, *, entry: int, rests: Sequence[int], along: bool, when: When,
    told: str,
) -> Proposal:  # fmt: skip
    """
    Propose that an entry is taken back, with what rests on it when asked.

    Raises:
        Refusal: when others rest on it and she didn't say to take them along.
    """
    if rests and not along:
        names = ", ".join(str(n) for n in rests[:12])
        more = f" and {len(rests) - 12} more" if len(rests) > 12 else ""
        raise Refusal(
            f"{_rest(len(rests))} on entry {entry}: {names}{more}.",
            instead=f"bows undo {entry} --along   (takes them back too)",
        )
    event = EntryCorrected(entries=(entry, *rests))
    said = [f"entry {entry} is taken back: {told}"]
    again = entries_of(led, entry)
    if again:
        said.append(
            f"so {_numbers(again)} {'counts' if len(again) == 1 else 'count'} again"
        )
    if rests:
        said.append(f"and what rests on it: {', '.join(map(str, rests))}")
    return proposal([event], when, *said)


def _rest(count: int) -> str:
    return "1 entry rests" if count == 1 else f"{count:,} entries rest"


def entries_of(led: Ledgers, entry: int) -> tuple[int, ...]:
    """Give the entries that a correction took back; none for any other entry."""
    for kept in led.page("corrections", ""):
        if kept.at.entry == entry:
            return tuple(kept.event.entries)
    return ()


def _numbers(entries: Sequence[int]) -> str:
    named = ", ".join(map(str, entries))
    return f"entry {named}" if len(entries) == 1 else f"entries {named}"


def entry_to_undo(led: Ledgers, *, told: int | None, voided: frozenset[int]) -> int:
    """
    Give the entry that undo means: the one told, or the last still in force.

    Corrections are passed over, so that a second undo goes one entry further back;
    one is taken back by naming it.  So are those that forgot a person, for good.

    Raises:
        Unknown: when there is none, or it is already taken back.
        Refusal: when what it deleted can't come back.
    """
    newest = led.head_entry
    if told is None:
        passed = voided | {kept.at.entry for kept in led.page("corrections", "")}
        passed |= forgetting(led)
        left = [n for n in range(newest, max(newest - 500, 1), -1) if n not in passed]
        if not left:
            raise Unknown("There is nothing to take back.", instead="bows entries")
        return left[0]
    if not 1 <= told <= newest:
        raise Unknown(f"There is no entry {told}.", instead="bows entries")
    if told in voided:
        raise Unknown(f"Entry {told} is already taken back.", instead="bows entries")
    if told in forgetting(led):
        raise Refusal(
            f"Entry {told} deleted a person's name and notes for good; nothing can "
            "bring them back.",
            instead="bows people   (lists those still noted)",
        )
    if told == FIRST:
        raise Unknown(
            "Entry 1 set up the shop, and all else rests on it.",
            instead="bows --shop ANOTHER-FOLDER open   (begins another shop)",
        )
    return told


def forgetting(led: Ledgers) -> frozenset[int]:
    """Give the entries that forgot a person."""
    return frozenset(
        kept.at.entry
        for kept in led.all_kept("people")
        if kept.event.kind == "person-forgotten"
    )


def note(
    led: Ledgers, *, text: str, about: str | None, kept: PrivateText | None, when: When
) -> Proposal:
    """Propose a note; words about a person are kept beside the log."""
    from planner.events.base import Kept

    sealed = Kept(key=kept.key, seal=kept.seal) if kept else None
    event: Event = NoteWritten(about_what=about, text="" if kept else text, kept=sealed)
    private = (kept,) if kept else ()
    words = f"noted about {about}" if about else "noted"
    return proposal([event], when, words, private=private)
