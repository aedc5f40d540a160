"""Check, back up, export, import and forget: what guards the shop file."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Any

from planner.commands import caching, say
from planner.commands.files import named
from planner.commands.session import Session
from planner.errors import NoShop, Refusal
from planner.ledgers import laws
from planner.log.faults import told
from planner.log.files import appearing
from planner.log.store import Log


def fold_fingerprint(log: Log) -> str:
    """Fold a log anew and hash what comes out."""
    session = Session(log.path)
    session._log = log
    return laws.fingerprint(session.folded())


def run_check(s: Session, *, against: str | None, json: bool) -> int:
    """Verify chain, decoding and laws; give 0 when all is whole, else 2."""
    from planner.log.check import check_log

    report = check_log(s.log, against=against)
    broken = [] if report.faults else laws.broken(s.folded())
    if json or s.json:
        say.as_json(_check_json(report, broken))
    else:
        for line in report.lines():
            say.out(line)
        for words in broken:
            say.out(f"A law is broken: {words}.")
        if not broken and not report.faults:
            say.out("The laws hold: every ledger adds up.")
        say.out(f"head: {_short(report.head.hash)}")
        if report.faults or broken:
            say.talk(
                f"  try: keep {s.path} as it is, and see whether your newest backup is "
                "whole: bows --shop BACKUP check"
            )
    return 0 if report.whole and not broken else 2


def _short(digest: bytes) -> str:
    from planner.log.chain import short

    return short(digest)


def _check_json(report: Any, broken: list[str]) -> dict[str, Any]:
    return {
        "schema": "spool-to-stall/check/1",
        "whole": report.whole and not broken,
        "events": report.events,
        "entries": report.entries,
        "head": report.head.hash.hex(),
        "faults": [
            {"seq": f.seq, "last": f.last, "what": f.what} for f in report.faults
        ],
        "laws_broken": broken,
        "against": report.against,
        "extends": report.extends,
        "lost": list(report.lost),
    }


def run_backup(s: Session, target: str, *, json: bool) -> None:
    """Back up to a file, or to a dated one in a folder."""
    from planner.log.backup import back_up

    path = named(target)
    if path.is_dir():
        path = path / f"shop-{s.now.moment.astimezone(s.zone):%Y-%m-%d-%H%M%S}.bows"
    made = back_up(s.log, path, refold=fold_fingerprint)
    if json or s.json:
        say.as_json(
            {
                "schema": "spool-to-stall/backup/1",
                "path": str(made.path),
                "head": made.head.hash.hex(),
                "fingerprint": made.fingerprint,
            }
        )
        return
    say.out(f"backed up to {made.path}: {made.head.seq:,} events, proved the same")
    say.talk("it holds names and addresses too: keep it as private as the shop file")


def _refuse_taken(path: Path) -> None:
    if path.exists():
        raise Refusal(f"{path} is there already.", instead="name another file")


def _write_lines(path: Path, lines: Iterable[str]) -> int:
    """Write lines to a new file that only its owner may read; how many."""
    with (
        told(path),
        appearing(path) as made,
        made.open("w", encoding="utf-8", newline="\n") as out,
    ):
        return sum(bool(out.write(line.rstrip("\n") + "\n")) for line in lines)


def run_export(s: Session, target: str, people: str | None, *, json: bool) -> None:
    """Write the log as text, and the people beside it when asked."""
    from planner.log.export import export_lines, export_people

    paths = [named(name) for name in (target, people) if name is not None]
    for path in paths:
        _refuse_taken(path)
    count = _write_lines(paths[0], export_lines(s.log)) - 1
    if people is not None:
        _write_lines(paths[1], export_people(s.log))
    if json or s.json:
        say.as_json(
            {"schema": "spool-to-stall/export/1", "path": target, "events": count}
        )
        return
    say.out(f"{count:,} events written to {target}")
    if people is None:
        say.talk("names and addresses were left out; --people FILE writes them too")


def _read_lines(source: str) -> list[str]:
    path = named(source)
    try:
        return path.read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        raise Refusal(
            f"{path} can't be read ({_reason(error)}).",
            instead="bows import log.jsonl",
        ) from error


def _reason(error: Exception) -> str:
    strerror = getattr(error, "strerror", None)
    return str(strerror or "it is no text").lower()


def run_import(s: Session, source: str, people: str | None, *, json: bool) -> None:
    """Take an exported log into an empty shop, or one that is its beginning."""
    from planner.log.export import import_lines

    lines = _read_lines(source)
    persons = _read_lines(people) if people is not None else None

    def fill(log: Log) -> None:
        import_lines(lines, log, people=persons)

    if s.path.exists():
        fill(s.log)
    else:
        s.path.parent.mkdir(parents=True, exist_ok=True)
        Log.create(s.path, fill=fill).close()
    head = s.log.head()
    if json or s.json:
        say.as_json(
            {"schema": "spool-to-stall/import/1", "events": head.seq,
             "head": head.hash.hex()}
        )  # fmt: skip
        return
    say.out(f"{head.seq:,} events taken in; head {_short(head.hash)}")


def run_forget(s: Session, person: str, *, json: bool) -> None:
    """Delete a person's details for good, after saying what is still open."""
    from planner.events.shop import PersonForgotten
    from planner.ledgers.orders import CALLED_OFF, HANDED_OVER, orders
    from planner.rules.base import proposal
    from planner.rules.finding import find_code

    if not s.path.exists():
        raise NoShop(f"There is no shop at {s.path}.", instead="bows open")
    led = s.ledgers()
    # A name typed with an entry since taken back lies beside the log all the same.
    kept = dict.fromkeys([*led.keys("people"), *s.log.all_people()])
    key = find_code(kept, person, what="person", instead="bows people")
    mine = [o for o in orders(led).values() if o.person == key]
    warnings = [
        f"order {o.code} is still {o.state}"
        for o in mine if o.state not in (HANDED_OVER, CALLED_OFF)
    ]  # fmt: skip
    warnings += [f"order {o.code} holds a deposit" for o in mine if o.deposit > 0]
    warnings.append("older backups and exports still hold the name: delete those too")
    if not s._really(f"{key} will be forgotten for good"):
        say.talk("Nothing was written.")
        return
    event = PersonForgotten(person=key)
    # The name goes first: what is said to be forgotten must be, whatever comes between.
    s.log.forget(key)
    caching.wipe(s.path)
    s.write(
        lambda led: proposal(
            [event], s.now.when, f"{key} is forgotten", warnings=warnings
        ),
        json=json,
    )
    s.drop()
