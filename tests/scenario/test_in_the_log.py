"""A season goes into a shop file as it is, and comes out whole."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from random import Random
from typing import Any

from planner.events.base import Fact
from planner.fold import Folder, voided_entries
from planner.ledgers.laws import broken, fingerprint
from planner.ledgers.state import Ledgers
from planner.log.bodies import read_bodies
from planner.log.check import check_log
from planner.log.codec import decode_many
from planner.log.store import Log
from planner.scenario import Season


def _take(year: Season, path: Path) -> Log:
    log = Log.create(path)
    log.append_all(
        [told.entry for told in year.entries],
        expected=log.head(),
        recorded=[told.recorded for told in year.entries],
        rand=Random(1).randbytes,
    )
    return log


def test_a_season_goes_into_a_log_and_folds_the_same(
    year: Season, harbour: Mapping[str, Any], led: Ledgers, tmp_path: Path
) -> None:
    """Appended in one go, checked, and folded: the ledgers are those of the facts."""
    with _take(year, tmp_path / "shop.bows") as log:
        report = check_log(log)
        void = voided_entries(
            (row[2], decode_many([row])[0].entries)  # type: ignore[attr-defined]
            for row in log.corrections()
        )
        folder = Folder(
            zone=harbour["shop"]["zone"],
            decode=decode_many,
            bodies=read_bodies,
            voided=void,
        )
        for chunk in log.rows():
            folder.feed(chunk)

    assert report.faults == ()
    assert fingerprint(folder.ledgers) == fingerprint(led)
    assert broken(folder.ledgers) == []
    assert len(folder.ledgers.late) > 60


def test_entry_numbers_in_corrections_are_those_of_the_log(
    year: Season, facts: list[tuple[int, Fact]], tmp_path: Path
) -> None:
    """The n-th entry told is entry n of an empty log."""
    with _take(year, tmp_path / "shop.bows") as log:
        head = log.head()

    assert (head.entry, head.seq) == (len(year.entries), len(facts))
