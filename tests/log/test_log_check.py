"""`check_log` names what was tampered with or damaged."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from log_toys import TOYS, add, all_rows, cut, fill, guest, seeded

from planner.errors import LogTrouble, Unreadable
from planner.log.chain import GENESIS, event_hash, row_hash, short
from planner.log.check import CheckReport, Fault, check_log
from planner.log.export import export_lines, import_lines
from planner.log.store import Log

_FREE = (
    "DROP TRIGGER event_is_never_changed; DROP TRIGGER event_is_never_deleted;"
    "DROP TRIGGER event_comes_next; DROP TRIGGER event_is_new;"
    "DROP TRIGGER entry_comes_next; DROP TRIGGER event_is_chained;"
)


def _put_back(log: Log) -> None:
    """Somebody who drops the guards puts them back, so that only the chain tells."""
    from planner.log.schema import SCHEMA

    for words in SCHEMA:
        if words.startswith("CREATE TRIGGER event") or " entry_comes_next" in words:
            log.db.execute(words)


def _tamper(log: Log, sql: str) -> tuple[Fault, ...]:
    log.db.executescript(f"PRAGMA ignore_check_constraints = ON; {_FREE} {sql}")
    _put_back(log)
    return check_log(log).faults


def test_a_whole_log_is_reported_so_with_the_limit_of_what_can_be_seen(
    log: Log,
) -> None:
    fill(log, 9)
    add(log, guest("P1", name="Ilse", rand=seeded()))
    report = check_log(log)

    assert report == CheckReport(10, 10, log.head(), (), None, None)
    assert report.whole
    assert report.lines() == (
        "Looked at 10 events in 10 entries, those taken back among them.",
        "Each is as it was written.",
        "Nothing inside the file can show that events were cut off at its end: "
        "compare it with a printed report by --against and the digits at its foot.",
    )


_LINK = "it doesn't follow the event before it in the chain"
_HASH = "it doesn't fit its hash"


@pytest.mark.parametrize(
    ("sql", "faults"),
    [
        (
            "UPDATE event SET body = x'7b2273706f6f6c223a225339227d' WHERE seq = 4",
            (Fault(4, _HASH),),
        ),
        (
            "UPDATE event SET body = x'7b7d' WHERE seq = 4",
            (
                Fault(4, _HASH),
                Fault(4, "This toy-cut can't be read: spool: Field required"),
            ),
        ),
        ("UPDATE event SET happened = '2026-11-24' WHERE seq = 4", (Fault(4, _HASH),)),
        (
            "UPDATE event SET happened = 'yesterday1' WHERE seq = 4",
            (Fault(4, "its day is malformed"), Fault(4, _HASH)),
        ),
        (
            "UPDATE event SET recorded = '2026-11-25T12:00:00.00Z+' WHERE seq = 4",
            (Fault(4, "its moment of recording is malformed"), Fault(4, _HASH)),
        ),
        (
            "UPDATE event SET kind = 'toy-knot' WHERE seq = 4",
            (
                Fault(4, _HASH),
                Fault(
                    4,
                    "'toy-knot' in version 3 is unknown here; "
                    "a newer version of this tool may have written it",
                ),
            ),
        ),
        (
            "UPDATE event SET version = 2 WHERE seq = 4",
            (Fault(4, _HASH),),
        ),
        (
            "UPDATE event SET entry = 9 WHERE seq = 4",
            (
                Fault(4, "its entry 9 doesn't follow entry 3"),
                Fault(4, _HASH),
                Fault(5, "its entry 5 doesn't follow entry 9"),
            ),
        ),
        (
            "UPDATE event SET id = upper(id) WHERE seq = 4",
            (Fault(4, "its id is malformed"), Fault(4, _HASH)),
        ),
        (
            "UPDATE event SET prev = zeroblob(32) WHERE seq = 4",
            (Fault(4, _LINK), Fault(4, _HASH)),
        ),
        (
            "UPDATE event SET hash = zeroblob(32) WHERE seq = 4",
            (Fault(4, _HASH), Fault(5, _LINK)),
        ),
        (
            "DELETE FROM event WHERE seq IN (4, 5)",
            (Fault(4, "missing", last=5),),
        ),
        (
            "DELETE FROM event WHERE seq = 1",
            (Fault(1, "missing"),),
        ),
        (
            "UPDATE event SET seq = 99 WHERE seq = 4; UPDATE event SET seq = 4"
            " WHERE seq = 5; UPDATE event SET seq = 5 WHERE seq = 99",
            (
                Fault(4, "its entry 5 doesn't follow entry 3"),
                Fault(4, _LINK),
                Fault(4, _HASH),
                Fault(5, "its entry 4 doesn't follow entry 5"),
                Fault(5, _LINK),
                Fault(5, _HASH),
                Fault(6, "its entry 6 doesn't follow entry 4"),
                Fault(6, _LINK),
            ),
        ),
        (
            "UPDATE event SET happened = CAST(x'323032362d31312dff35' AS TEXT)"
            " WHERE seq = 4",
            (Fault(4, "its day is malformed"), Fault(4, _HASH)),
        ),
    ],
)
def test_what_was_tampered_with_is_named_even_with_the_guards_put_back(
    log: Log, sql: str, faults: tuple[Fault, ...]
) -> None:
    fill(log, 8)

    assert _tamper(log, sql) == faults


def test_an_event_made_to_fit_its_hash_breaks_the_link_after_it(log: Log) -> None:
    fill(log, 8)
    row = list(all_rows(log)[3])
    row[7] = b'{"spool":"S9"}'
    row[9] = row_hash(tuple(row))

    faults = _tamper(
        log,
        f"UPDATE event SET body = x'{row[7].hex()}', hash = x'{row[9].hex()}'"
        " WHERE seq = 4",
    )

    assert faults == (Fault(5, _LINK),)


def test_an_id_that_stands_twice_is_named(log: Log, tmp_path: Path) -> None:
    """The chain was made to fit; the index that forbids it was left out."""
    fill(log, 2)
    first = all_rows(log)[0]
    third = (3, first[1], 3, *first[3:8], log.head().hash)
    log.db.execute("DROP TRIGGER event_is_new")
    log.db.executescript(
        "CREATE TABLE twin AS SELECT * FROM event; DROP TABLE event;"
        "ALTER TABLE twin RENAME TO event"
    )
    log.insert([(*third, event_hash(*third))], ())

    assert Fault(3, "its id stands twice") in check_log(log).faults


@pytest.mark.parametrize(
    ("sql", "what"),
    [
        (
            "DROP TRIGGER event_is_never_changed",
            "the trigger event_is_never_changed is missing from the file",
        ),
        (
            "DROP TRIGGER event_comes_next; CREATE TRIGGER event_comes_next"
            " BEFORE INSERT ON event BEGIN SELECT 1; END",
            "the trigger event_comes_next was changed",
        ),
        (
            "CREATE TRIGGER mine AFTER INSERT ON event BEGIN SELECT 1; END",
            "the trigger mine doesn't belong into the file",
        ),
        ("DROP INDEX correction", "the index correction is missing from the file"),
        (
            "INSERT INTO private VALUES ('k', 'P1', 'name', 'x', zeroblob(16))",
            "the private text k belongs to no event",
        ),
    ],
)
def test_what_is_wrong_beside_the_events_is_named(
    log: Log, sql: str, what: str
) -> None:
    fill(log, 3)
    log.db.executescript(sql)

    assert check_log(log).faults == (Fault(0, what),)


def test_a_private_text_that_was_changed_is_named(log: Log) -> None:
    add(log, guest("P1", name="Ilse", rand=seeded()))
    key = log.private_rows()[0][0]
    log.db.execute("DROP TRIGGER private_is_never_changed")
    log.db.execute("UPDATE private SET text = 'Maren'")

    assert Fault(0, f"the name kept as {key} isn't what was sealed") in (
        check_log(log).faults
    )


def test_a_value_of_another_type_is_named(log: Log) -> None:
    fill(log, 4)
    log.db.executescript(
        "CREATE TABLE twin AS SELECT * FROM event; DROP TABLE event;"
        "ALTER TABLE twin RENAME TO event;"
        "UPDATE event SET kind = x'00' WHERE seq = 2;"
    )

    assert check_log(log).faults[0] == Fault(2, "its kind is of the wrong type")
    assert {fault.seq for fault in check_log(log).faults} == {0, 2}


def test_an_overwritten_page_is_named_with_the_events_on_it(
    log: Log, shop: Path
) -> None:
    """The rest of the log is still looked at."""
    add(log, *(cut(f"S{number}") for number in range(300)))
    body = all_rows(log)[149][7]
    log.close()
    stored = shop.read_bytes()
    page = stored.index(body) // 4096 * 4096
    shop.write_bytes(stored[:page] + b"\xa5" * 4096 + stored[page + 4096 :])

    with Log.open(shop, using=TOYS) as damaged:
        report = check_log(damaged)
    lost = {fault.seq for fault in report.faults if "the file is damaged" in fault.what}
    assert 150 in lost
    assert report.events == 300 - len(lost)
    assert {fault.seq for fault in report.faults} == lost | {0}


@pytest.mark.parametrize("seed", range(30))
def test_flipped_bytes_that_change_an_event_are_named(
    log: Log, shop: Path, seed: int
) -> None:
    """Second method: the rows before and after are compared one by one."""
    chance = random.Random(seed)
    add(log, *(cut(f"S{number}") for number in range(150)))
    before = {row[0]: row for row in all_rows(log)}
    log.close()
    stored = bytearray(shop.read_bytes())
    for _ in range(3):
        stored[chance.randrange(len(stored))] ^= 1 << chance.randrange(8)
    shop.write_bytes(stored)

    told, named, changed = _looked_at(shop, before)

    assert "damaged" in told or "newer version" in told or changed <= named


def test_a_file_cut_off_within_its_last_page_is_told_and_read_to_an_end(
    log: Log, shop: Path
) -> None:
    """
    Zeros are read there, as events with seq 0.

    Once the search went round for ever, and the log seemed to be empty.
    """
    add(log, *(cut(f"S{number}") for number in range(150)))
    log.close()
    stored = shop.read_bytes()
    for missing in (1, 700, 2000, 4000, 4096, 9000):
        shop.write_bytes(stored[:-missing])
        assert _how_many(shop) in (150, "damaged")


def _how_many(shop: Path) -> int | str:
    try:
        with Log.open(shop, using=TOYS) as log:
            assert not check_log(log).whole
            return len(all_rows(log))
    except LogTrouble as trouble:
        return "damaged" if "is damaged" in trouble.what else trouble.what


def _looked_at(shop: Path, before: dict[int, tuple]) -> tuple[str, set[int], set[int]]:
    try:
        with Log.open(shop, using=TOYS) as log:
            report = check_log(log)
            after = {row[0]: row for row in all_rows(log)}
    except LogTrouble as trouble:
        return trouble.what, set(), set()
    named = {
        seq
        for fault in report.faults
        for seq in range(fault.seq, (fault.last or fault.seq) + 1)
    }
    return "", named, {seq for seq in before if after.get(seq) != before[seq]}


def test_the_anchor_says_how_far_the_log_has_grown(log: Log) -> None:
    fill(log, 3)
    printed = log.head().hash
    same = check_log(log, against=short(printed))
    fill(log, 4, rand=seeded(8))
    grown = check_log(log, against=printed.hex())

    assert (same.whole, same.extends, grown.whole, grown.extends) == (True, 0, True, 4)
    assert same.lines()[-1] == (
        f"The log ends where that report was made ({short(printed)})."
    )
    assert grown.lines()[-1] == "Today's log extends that of the report by 4 events."
    assert check_log(log, against=short(GENESIS)).extends == 7


def test_the_anchor_shows_a_cut_off_tail_which_nothing_else_does(log: Log) -> None:
    fill(log, 8)
    printed = short(log.head().hash)

    assert _tamper(log, "DELETE FROM event WHERE seq > 5") == ()

    report = check_log(log, against=printed)
    assert (report.faults, report.whole, report.extends) == ((), False, None)
    assert report.lines()[-1] == (
        f"{printed} is not found: the log behind that report "
        "is not a beginning of this one."
    )


def test_the_anchor_shows_a_log_written_anew_with_a_chain_that_fits(
    log: Log, tmp_path: Path
) -> None:
    fill(log, 5)
    with Log.create(tmp_path / "anew.bows", using=TOYS) as anew:
        add(anew, cut("S9"))
        fill(anew, 4)
        report = check_log(anew, against=short(log.head().hash))

    assert (report.faults, report.extends) == ((), None)


def test_what_follows_a_broken_link_is_not_what_was_printed(log: Log) -> None:
    fill(log, 8)
    printed = short(log.head().hash)
    _tamper(log, "UPDATE event SET body = x'7b7d' WHERE seq = 4")

    assert check_log(log, against=printed).extends is None


def test_an_anchor_that_is_no_hash_is_refused(log: Log) -> None:
    with pytest.raises(Unreadable, match="'navy' is no hash"):
        check_log(log, against="navy")


def test_a_log_taken_in_answers_to_the_same_printed_report(
    log: Log, tmp_path: Path
) -> None:
    fill(log, 6)
    with Log.create(tmp_path / "other.bows", using=TOYS) as other:
        import_lines(export_lines(log), other)

        assert check_log(other, against=short(log.head().hash)).extends == 0
