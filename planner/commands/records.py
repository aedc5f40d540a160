"""Commands of the records themselves: undo, again, note, entries, why, check."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Any

import typer

from planner.commands import say
from planner.commands.asking import asked, day_words, event_of, made_words
from planner.commands.options import AsOf, DryRun, Json, KnownOn, On
from planner.commands.session import current
from planner.errors import Unknown
from planner.events.base import Event
from planner.events.notes import EntryCorrected
from planner.ledgers.state import Ledgers
from planner.log.codec import decode_many
from planner.log.people import Detail
from planner.rules import corrections as rules
from planner.rules.again import again as once_more
from planner.rules.base import Proposal
from planner.rules.restoring import check_restored
from planner.values.daywords import spoken_moment
from planner.values.text import clean, quoted

LONGEST_SHOWN = 200
"""So many characters of a note are shown in a list."""
_NAMED = {"bows-opening": "bows had already"}
"""Kinds whose short name is no word of hers."""


def words_of(events: Sequence[Event]) -> str:
    """Say an entry's events by their short names."""
    return ", ".join(dict.fromkeys(_word(event) for event in events))


def _word(event: Event) -> str:
    if isinstance(event, EntryCorrected):
        return f"took back {', '.join(map(str, event.entries))}"
    return _NAMED.get(event.kind, event.kind.replace("-", " "))


def undo(
    entry: Annotated[
        int | None, typer.Argument(help="The entry; the last one if not told.")
    ] = None,
    along: Annotated[
        bool, typer.Option("--along", help="Take back what rests on it too.")
    ] = False,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Take back the last entry, or one by its number.

    Nothing is erased: the entry stays in the log and no longer counts.

    Example: bows undo
    """
    s = current()

    def rule(led: Ledgers) -> Proposal:
        number = rules.entry_to_undo(led, told=entry, voided=led.voided)
        rows = s.log.entry_rows(number)
        restored = rules.entries_of(led, number)
        check_restored(led, (row for n in restored for row in s.log.entry_rows(n)))
        later = s.log.rows(after=rows[0][0] - 1)
        rests = rules.dependents(
            (row for chunk in later for row in chunk), entry=number, voided=led.voided,
            before=rules.made_before(led, rows),
        )  # fmt: skip
        return rules.taken_back(
            led, entry=number, rests=rests, along=along, when=s.now.when,
            told=words_of(decode_many(rows)),
        )  # fmt: skip

    s.write(rule, dry_run=dry_run, json=json)


def again(
    entry: Annotated[
        int | None, typer.Argument(help="The entry; the last one if not told.")
    ] = None,
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Enter the last entry once more, now: the same cut, batch or sale.

    Example: bows again
    """
    s = current()

    def rule(led: Ledgers) -> Proposal:
        number = rules.entry_to_undo(led, told=entry, voided=led.voided)
        events = decode_many(s.log.entry_rows(number))
        return once_more(led, events=events, entry=number, when=s.when(on))

    s.write(rule, dry_run=dry_run, json=json, once_more=True)


def note(
    text: Annotated[list[str], typer.Argument(help="The note.")],
    about: Annotated[
        str | None,
        typer.Option("--about", help="What it is about: a code such as S7 or O12."),
    ] = None,
    person: Annotated[
        str | None,
        typer.Option("--person", help="A person's key: the words are kept apart."),
    ] = None,
    on: On = None,
    dry_run: DryRun = False,
    json: Json = False,
) -> None:
    """
    Write a note, about one thing or none; words about a person are kept apart.

    Example: bows note "the red bleeds in the wash" --about S7
    """
    from planner.log.people import new_private

    s = current()
    words = clean(" ".join(text), what="note", longest=1_000_000)
    kept = new_private(person, "note", words, s.rand) if person else None

    def rule(led: Ledgers) -> Proposal:
        if person is not None and person not in led.pages["people"]:
            raise Unknown(
                f"There is no person {quoted(person)}.", instead="bows people"
            )
        return rules.note(
            led, text=words, about=about or person, kept=kept, when=s.when(on)
        )

    s.write(rule, dry_run=dry_run, json=json)


def entries(
    number: Annotated[int, typer.Option("--last", min=1, help="How many.")] = 20,
    json: Json = False,
) -> None:
    """
    List the last entries with their numbers, those taken back struck out.

    Example: bows entries --last 10
    """
    s = current()
    led = s.ledgers()
    rows = [row for chunk in s.log.rows(after=max(led.head_seq - number * 12, 0))
            for row in chunk]  # fmt: skip
    grouped: dict[int, list[Any]] = {}
    for row in rows:
        grouped.setdefault(row[2], []).append(row)
    wanted = sorted(grouped)[-number:]
    listed = [
        {
            "entry": entry,
            "happened": grouped[entry][0][5],
            "recorded": grouped[entry][0][6],
            "what": words_of(decode_many(grouped[entry])),
            "events": len(grouped[entry]),
            "taken_back": entry in led.voided,
        }
        for entry in wanted
    ]
    if json or s.json:
        say.as_json({"schema": "spool-to-stall/entries/1", "entries": listed})
        return
    say.table(
        ("entry", "happened", "what", ""),
        [
            (str(x["entry"]), spoken_moment(str(x["happened"])), str(x["what"]),
             "taken back" if x["taken_back"] else "")
            for x in listed
        ],
        right=(0,),
    )  # fmt: skip


def why(
    words: Annotated[
        list[str],
        typer.Argument(help="A spool (S7), an order (O12), a kind (4in navy), money."),
    ],
    account: Annotated[
        str | None, typer.Option("--account", help='Such as "left" or "at:home".')
    ] = None,
    as_of: AsOf = None,
    known_on: KnownOn = None,
    json: Json = False,
) -> None:
    """
    Name the entries behind a balance.

    Example: bows why S7
    """
    from planner.views.why_builder import build

    s = current()
    led = asked(s, as_of, known_on)
    view = build(
        led, words=words, account=account, event_of=event_of(s),
        as_of=day_words(s, as_of) or s.today.isoformat(),
        known_on=day_words(s, known_on) or None, made=made_words(s),
    )  # fmt: skip
    if json or s.json:
        say.view_json(view)
        return
    say.out(f"{view.about}: {view.account_name} {view.amount}")
    say.table(
        ("entry", "happened", "what", "change", "then"),
        [(str(x.entry or ""), x.happened, x.what, x.change, x.then) for x in view.rows],
        right=(0, 3, 4),
    )


def check(
    against: Annotated[
        str | None,
        typer.Option("--against", help="The head printed at a report's foot."),
    ] = None,
    json: Json = False,
) -> None:
    """
    Check the log: every event, the chain, the laws; and whether it extends a report's.

    Example: bows check
    """
    from planner.commands.checking import run_check

    raise typer.Exit(run_check(current(), against=against, json=json))


def back_up(
    target: Annotated[str, typer.Argument(help="The file or folder to write to.")],
    json: Json = False,
) -> None:
    """
    Copy the shop file and prove the copy: same chain, same ledgers.

    Example: bows back-up ~/backups
    """
    from planner.commands.checking import run_backup

    run_backup(current(), target, json=json)


def export(
    target: Annotated[str, typer.Argument(help="The file to write.")],
    people: Annotated[
        str | None,
        typer.Option("--people", help="Write names and addresses to this file too."),
    ] = None,
    json: Json = False,
) -> None:
    """
    Write the log as text, one JSON line an event; people go in a file of their own.

    Example: bows export log.jsonl
    """
    from planner.commands.checking import run_export

    run_export(current(), target, people, json=json)


def import_log(
    source: Annotated[str, typer.Argument(help="A file that bows export wrote.")],
    people: Annotated[
        str | None, typer.Option("--people", help="The people file beside it.")
    ] = None,
    json: Json = False,
) -> None:
    """
    Take an exported log into an empty shop, or one that is its beginning.

    Example: bows --shop other import log.jsonl
    """
    from planner.commands.checking import run_import

    run_import(current(), source, people, json=json)


def forget(
    person: Annotated[str, typer.Argument(help="The person's key, such as P3.")],
    json: Json = False,
) -> None:
    """
    Delete a person's name, address and notes for good; the log still verifies.

    Example: bows forget P3
    """
    from planner.commands.checking import run_forget

    run_forget(current(), person, json=json)


def _detail(kept: Detail, *, whole: bool) -> str:
    """Give a detail with its field; a note as long as a book by its beginning."""
    short = whole or len(kept.text) <= LONGEST_SHOWN
    return f"{kept.field}: {kept.text if short else kept.text[:LONGEST_SHOWN] + '…'}"


def people(json: Json = False) -> None:
    """
    List the people noted, by key.

    Example: bows people
    """
    s = current()
    whole = json or s.json
    rows = [
        (key, ", ".join(d.text for d in kept if d.field == "name"),
         "; ".join(_detail(d, whole=whole) for d in kept if d.field != "name"))
        for key, kept in s.log.all_people().items()
    ]  # fmt: skip
    if whole:
        say.as_json(
            {
                "schema": "spool-to-stall/people/1",
                "people": [{"key": a, "name": b, "details": c} for a, b, c in rows],
            }
        )
        return
    say.table(("key", "name", "details"), rows)
