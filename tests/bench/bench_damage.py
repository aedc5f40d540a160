"""
Damage planted in copies of a shop file: bytes flipped, ends cut off, tails taken out.

Run: ``python tests/bench/bench_damage.py [--runs 1000] [--seed 1]``.  In every run one
copy is damaged at random.  Which events that changed is found out beside the tool, by
asking SQLite for each event by its number.  Then

- `bows check` must name each changed event by its number, or say that the file can't be
  opened, or, where the tail is gone, say against the head on paper that it is;
- `bows rescue` must write every unchanged event, under its number, to a new log that is
  whole and that still answers ``--against`` the old head of its last event;
- in every tenth run, questions and an entry typed at both files must end well or be
  refused in words, and at the rescued one the laws must hold.
"""

from __future__ import annotations

import os
import random
import sqlite3
from collections import Counter
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

from trusting import asked, chance, demo_rows, tell, typed, workshop

from planner.errors import LogTrouble
from planner.events.shop import ShopSetUp
from planner.log.chain import Row
from planner.log.check import CheckReport, check_log
from planner.log.codec import registry
from planner.log.people import seals_in
from planner.log.rescue import rescue
from planner.log.store import Log

EVENTS = 400
SET_UP = ShopSetUp(
    name="My bows", zone="America/Halifax", currency="CAD", units="us", paper="letter"
)
_LIVE = "SELECT * FROM event WHERE seq = ?"


def plant(whole: bytes, chance: random.Random) -> tuple[str, bytes]:
    """Damage a file's bytes; say how."""
    kind = chance.choices(("byte flipped", "end cut off", "tail taken out"), (7, 2, 1))
    if kind[0] == "byte flipped":
        place = chance.randrange(len(whole))
        other = whole[place] ^ chance.randrange(1, 256)
        return kind[0], whole[:place] + bytes([other]) + whole[place + 1 :]
    if kind[0] == "end cut off":
        return kind[0], whole[: chance.randrange(len(whole))]
    return kind[0], whole


def take_tail_out(path: Path, chance: random.Random) -> None:
    """Take the last events out as somebody would who knows SQLite."""
    with closing(sqlite3.connect(path, isolation_level=None)) as db:
        (words,) = db.execute(
            "SELECT sql FROM sqlite_master WHERE name = 'event_is_never_deleted'"
        ).fetchone()
        db.execute("DROP TRIGGER event_is_never_deleted")
        last = EVENTS - chance.randrange(1, 20)
        db.execute("DELETE FROM event WHERE seq > ?", (last,))
        db.execute(words)


def changed(path: Path, rows: list[Row]) -> set[int]:
    """Say which events SQLite no longer gives as they were."""
    other = set()
    with closing(sqlite3.connect(path, isolation_level=None)) as db:
        for row in rows:
            try:
                found = db.execute(_LIVE, (row[0],)).fetchone()
            except (sqlite3.Error, UnicodeDecodeError):
                found = None
            if found != row:
                other.add(row[0])
    return other


def looked_at(path: Path, against: str) -> CheckReport | None:
    """Check a file; None when it can't be opened, which is told."""
    try:
        with Log.open(path, readonly=True) as log:
            return check_log(log, against=against)
    except LogTrouble:
        return None


def named(report: CheckReport) -> set[int]:
    """Give the events a report names."""
    return {
        seq
        for one in report.faults
        for seq in range(one.seq, (one.last or one.seq) + 1)
    }


def unnamed(report: CheckReport, lost: set[int]) -> set[int]:
    """Give changed events that aren't named; a tail is told by the head on paper."""
    left = lost - named(report)
    if report.extends is None:
        left = {seq for seq in left if any(s > seq for s in set(ALL) - lost)}
    return left


ALL = range(1, EVENTS + 1)


def rescued(path: Path, new: Path, rows: list[Row], lost: set[int]) -> str:
    """Rescue a file; say what is wrong with the outcome, '' for nothing."""
    new.unlink(missing_ok=True)
    try:
        made = rescue(
            path, new, using=registry(), recorded=datetime.now(UTC), rand=os.urandom,
            first=SET_UP,
        )  # fmt: skip
    except LogTrouble as trouble:
        return f"not rescued: {trouble}" if len(lost) < EVENTS else ""
    with Log.open(new, readonly=True) as log:
        kept = {row[0]: row for some in log.rows() for row in some}
        last = max(seq for seq in kept if kept[seq][3] != "log-rescued")
        report = check_log(log, against=rows[last - 1][9].hex())
    same = {seq for seq in ALL if seq in kept and kept[seq][:8] == rows[seq - 1][:8]}
    if not report.whole:
        return f"the new log isn't whole: {report.faults[:1]}, {report.extends}"
    if set(ALL) - lost - same:
        return f"whole events left out: {sorted(set(ALL) - lost - same)[:5]}"
    if same | set(made.lost) | set(range(last + 1, EVENTS + 1)) != set(ALL):
        return "what is lost is not told"
    return ""


def typed_at(path: Path) -> str:
    """Type questions and an entry; say which was a bug of ours."""
    for line in ("stock", "spools", "orders", "due", "story --all", "sold 1 4in navy"):
        code, said = typed(path, line)
        if code not in (0, 2) or "Traceback" in said:
            return f"{line}: {said[-300:]}"
    return ""


def typed_at_both(path: Path, new: Path) -> str:
    """Type at the damaged file and at the rescued one."""
    wrong = typed_at(path)
    if new.exists() and not wrong:
        code, said = typed(new, "check")
        wrong = typed_at(new) or (said if code else "")
    return wrong


def one_run(
    folder: Path, whole: bytes, rows: list[Row], chance: random.Random
) -> tuple[str, str, str]:
    """Damage one copy; give the kind, what came of it, and what is wrong."""
    path, new = folder / "damaged.bows", folder / "new.bows"
    kind, damaged = plant(whole, chance)
    path.write_bytes(damaged)
    if kind == "tail taken out":
        take_tail_out(path, chance)
    lost = changed(path, rows)
    report = looked_at(path, rows[-1][9].hex())
    wrong = rescued(path, new, rows, lost)
    if report is None:
        return kind, "files refused as a whole", wrong
    left = unnamed(report, lost)
    if left:
        wrong = f"{kind}: {sorted(left)[:5]} not named; {report.lines()[:4]}"
    if lost:
        return kind, "with events changed", wrong
    return kind, f"without ({'whole' if report.whole else 'told all the same'})", wrong


def main() -> None:
    """Plant and print."""
    told = asked(__doc__, runs=1000)
    counts: Counter[str] = Counter()
    wrong: list[str] = []
    with workshop() as folder:
        rows, private = demo_rows(folder)
        rows = rows[:EVENTS]
        seals = {key for row in rows for key in seals_in(row[7])}
        with Log.create(folder / "whole.bows") as log, log.writing():
            log.insert(rows, [text for text in private if text[0] in seals])
        whole = (folder / "whole.bows").read_bytes()
        for run in told.each():
            counts["copies"] += 1
            kind, came, bad = one_run(folder, whole, rows, chance(told, run))
            counts[kind] += 1
            counts[came] += 1
            if run % 10 == 0 and not bad:
                counts["typed at afterwards"] += 1
                bad = typed_at_both(folder / "damaged.bows", folder / "new.bows")
            wrong += [f"run {run}: {bad}"] if bad else []
    tell(f"damage to {EVENTS} events in {len(whole):,} bytes", counts, wrong)


if __name__ == "__main__":
    main()
