"""Several who write at one shop: who waits, who looks again, what is acknowledged."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from random import Random

import pytest
from freezegun import freeze_time

from planner.commands.session import Session
from planner.errors import Busy, LogTrouble
from planner.ledgers.state import Ledgers
from planner.log.check import check_log
from planner.log.store import Log
from planner.rules import stock as rules
from planner.rules.base import Proposal
from planner.values.moments import When
from tests.commands.conftest import DAY
from tests.commands.small_shop import put

Rule = Callable[[Ledgers], Proposal]
NAVY = "classic-4in:navy"


@pytest.fixture(name="shop")
def _shop(tmp_path: Path) -> Path:
    return put(tmp_path)


def _found(count: int) -> Rule:
    return lambda led: rules.found(
        led, bows=[(NAVY, count)], place="home", when=When("2026-05-13")
    )


def test_a_rule_that_is_always_too_late_keeps_the_others_waiting_at_last(
    shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Another window writes at each of its looks, until it has to wait."""
    session, other = Session(shop), Session(shop)
    looks: list[str] = []
    dice = Random(9)

    def rule(led: Ledgers) -> Proposal:
        with Log.open(shop, patience=0.01) as window:
            try:
                window.append(
                    _found(len(looks) + 20)(other.ledgers()).entry, expected=None,
                    recorded=datetime(2026, 5, 13, 12, tzinfo=UTC), rand=dice.randbytes,
                )  # fmt: skip
                looks.append("written between")
            except Busy:
                looks.append("had to wait")
        return _found(3)(led)

    with freeze_time(DAY, tick=True):
        session.write(rule)

    assert looks == ["written between"] * 3 + ["had to wait"]
    assert session.last is not None
    assert f"entry {session.last.entry} written" in capsys.readouterr().err
    assert check_log(session.log).whole
    session.close()
    other.close()


def test_nothing_is_said_to_be_written_before_it_is(
    shop: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where the disk fails at the very end, she is told no entry's number."""
    session = Session(shop)
    before = session.log.head()
    give_up = session.log._give_up

    class Failing:
        def __init__(self, db: object) -> None:
            self.db = db

        def execute(self, sql: str, *rest: object) -> object:
            if sql == "COMMIT":
                raise OSError(5, "Input/output error")
            return self.db.execute(sql, *rest)  # type: ignore[attr-defined]

        def __getattr__(self, name: str) -> object:
            return getattr(self.db, name)

    monkeypatch.setattr(session.log, "db", Failing(session.log.db))
    with freeze_time(DAY), pytest.raises(LogTrouble, match="Input/output error"):
        session.write(_found(3))

    give_up()
    assert "written" not in capsys.readouterr().err
    assert session.last is None
    with Log.open(shop, readonly=True) as log:
        assert log.head() == before
    session.close()
