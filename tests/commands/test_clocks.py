"""Clocks put forward and back, leap days, year ends, wrong clocks, other zones."""

from __future__ import annotations

import json
import shlex
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, tzinfo
from pathlib import Path
from unittest.mock import patch

import pytest
from freezegun import freeze_time

from planner.commands import session
from planner.log.store import Log
from tests.commands.conftest import Typed
from tests.fuzz.typing import type_line, whole

OPEN = (
    "open --name Tern --zone America/Halifax --currency CAD --sizes 4in "
    "--colours 'navy, red' --price 8.00"
)


@contextmanager
def at(moment: str) -> Iterator[None]:
    """Let the computer's clock say a moment, in UTC."""
    with freeze_time(moment, tick=False):
        yield


class _Still(datetime):
    """The clock that `at` would give, but with its second 1:30 told from its first."""

    said = datetime(2026, 11, 1, tzinfo=UTC)

    @classmethod
    def now(cls, tz: tzinfo | None = None) -> datetime:
        return cls.said.astimezone(tz)


@contextmanager
def at_truly(moment: str) -> Iterator[None]:
    """Let the clock say a moment; freezegun's datetimes forget which 1:30 they are."""
    with patch.object(session, "datetime", _Still):
        _Still.said = datetime.fromisoformat(f"{moment}+00:00")
        yield


def opened(typed: Typed, moment: str) -> None:
    with at(moment):
        assert typed(OPEN).code == 0


def dates(shop: Path) -> list[str]:
    """Give when the events after the opening happened, as the log keeps it."""
    with Log.open(shop, readonly=True) as log:
        rows = [row for chunk in log.rows() for row in chunk]
    return [row[5] for row in rows if row[2] > 1]


def home(typed: Typed, *words: str) -> int:
    """Give how many red bows are at home."""
    said = typed(["why", "4in red", "--json", *words])
    if "has no entries yet" in said.err:
        return 0
    assert said.code == 0, said.err
    return int(dict(json.loads(said.out)["accounts"]).get("at:home", 0))


@pytest.fixture(name="file")
def _file(tmp_path: Path) -> Path:
    return tmp_path / "shop" / "shop.bows"


# In Halifax 2026 the clocks skip 2:00-3:00 on 8 March (at 6:00 UTC), and on 1 November
# 1:00-2:00 comes twice (the second time from 5:00 UTC).


def test_entries_around_the_skipped_hour_stand_in_their_true_order(
    typed: Typed, file: Path
) -> None:
    """A second before and after, an hour apart on the clock; the count is between."""
    opened(typed, "2026-03-07 12:00:00")
    with at("2026-03-08 05:59:58"):
        typed("have 5 4in red")
    with at("2026-03-08 05:59:59"):
        typed("count 3 4in red")
    with at("2026-03-08 06:00:01"):
        typed("sold 1 4in red")
        left = home(typed)

    assert dates(file) == [
        "2026-03-08T01:59:58-04:00", "2026-03-08T01:59:59-04:00",
        "2026-03-08T03:00:01-03:00",
    ]  # fmt: skip
    assert left == 2
    assert whole(file) == []


def test_an_hour_that_never_was_is_refused(typed: Typed, file: Path) -> None:
    """And what the refusal says to type is taken."""
    opened(typed, "2026-03-07 12:00:00")
    with at("2026-03-09 12:00:00"):
        before = file.read_bytes()
        said = typed("have 5 4in red --on '8 mar 2:30'")
        untouched = file.read_bytes() == before
        instead = typed("have 5 4in red --on '2026-03-08 3:30'")

    assert (said.code, untouched) == (2, True)
    assert "The clocks skip 02:30" in said.err
    assert '"2026-03-08 03:30"' in said.err
    assert instead.code == 0
    assert dates(file) == ["2026-03-08T03:30:00-03:00"]


def test_entries_in_the_doubled_hour_stand_in_their_true_order(tmp_path: Path) -> None:
    """1:30 comes twice: what was typed the second time is later, also to a count."""
    for moment, line in (
        ("2026-10-31 12:00:00", OPEN),
        ("2026-11-01 04:30:00", "have 5 4in red"),
        ("2026-11-01 05:15:00", "count 3 4in red"),
        ("2026-11-01 05:30:00", "sold 1 4in red"),
        ("2026-11-01 05:30:00", "why '4in red' --json"),
    ):
        with at_truly(moment):
            said = type_line(shlex.split(line), tmp_path)
            assert said.code == 0, said.err

    file = tmp_path / "shop" / "shop.bows"
    assert dates(file) == [
        "2026-11-01T01:30:00-03:00", "2026-11-01T01:15:00-04:00",
        "2026-11-01T01:30:00-04:00",
    ]  # fmt: skip
    assert dict(json.loads(said.out)["accounts"])["at:home"] == "2"
    assert whole(file) == []


def test_an_hour_that_came_twice_is_asked_and_either_is_taken(
    typed: Typed, file: Path
) -> None:
    """Typed from the refusal, the two are an hour apart; a count lies between."""
    opened(typed, "2026-10-31 12:00:00")
    with at("2026-11-02 12:00:00"):
        said = typed("have 5 4in red --on '1 nov 1:30'")
        stamps = said.err.split('"')[-4::2]
        typed(f"sold 1 4in red --on {stamps[1]}")
        typed(f"have 5 4in red --on {stamps[0]}")
        typed("count 3 4in red --on 2026-11-01T05:15:00+00:00")
        left = home(typed)

    assert said.code == 2
    assert stamps == ["2026-11-01T01:30:00-03:00", "2026-11-01T01:30:00-04:00"]
    assert left == 2


def test_a_day_of_23_or_25_hours_ends_at_its_own_midnight(
    typed: Typed, file: Path
) -> None:
    """What happened in its last hour belongs to it, and to no other."""
    opened(typed, "2026-03-07 12:00:00")
    with at("2026-11-03 12:00:00"):
        for line in (
            "have 5 4in red --on '8 mar 23:30'", "sold 1 4in red --on '1 nov 23:30'",
            "sold 2 4in red --on '2 nov 0:30'",
        ):  # fmt: skip
            assert typed(line).code == 0
        ends = [home(typed, "--as-of", day) for day in ("2026-03-08", "2026-11-01")]
        before = home(typed, "--as-of", "2026-03-07")

    assert (before, *ends) == (0, 5, 4)


def test_bench_hours_across_the_change_are_as_long_as_they_are(typed: Typed) -> None:
    """Sunday 1:00 to 4:00 is two hours in March and four in November."""
    opened(typed, "2026-03-01 12:00:00")
    worked = {}
    for day in ("2026-03-07", "2026-06-06", "2026-10-31"):
        with at(f"{day} 12:00:00"):
            typed("hours sun 1:00-4:00")
            typed("order take '60 4in red' --due 'in 20 days' --new --for Maren")
            said = typed("bench --days 2 --json")
            sittings = json.loads(said.out)["sittings"]
            worked[day[5:7]] = [one["minutes"] for one in sittings]

    assert worked == {"03": [120], "06": [180], "10": [240]}


def test_a_leap_day_is_a_day_like_any_other(typed: Typed, file: Path) -> None:
    """It can be today, yesterday, due, and asked about; elsewhere it is refused."""
    opened(typed, "2028-02-28 12:00:00")
    with at("2028-02-29 12:00:00"):
        assert typed("have 5 4in red --on yesterday").code == 0
        assert typed("sold 1 4in red").code == 0
        order = typed("order take '2 4in red' --due 'fri 29 feb 2036'")
        refused = typed("order take '2 4in red' --due '29 feb 2029'")
    with at("2028-03-01 12:00:00"):
        assert typed("sold 1 4in red --on yesterday").code == 0
        assert typed("sold 1 4in red --on '29 feb'").code == 0
        known = [home(typed, "--as-of", f"2028-02-{day}") for day in (28, 29)]
        wrong = typed("sold 1 4in red --on '29 feb 2027'")

    assert [day[:10] for day in dates(file)][:2] == ["2028-02-28", "2028-02-29"]
    assert [day[:10] for day in dates(file)][-2:] == ["2028-02-29"] * 2
    assert known == [5, 2]
    assert (order.code, refused.code, wrong.code) == (0, 2, 2)
    assert "February 2029 has 28 days" in refused.err


def test_the_year_ends_when_the_shop_s_day_does(typed: Typed, file: Path) -> None:
    """Half past eleven on New Year's Eve is next year in UTC, and not yet here."""
    opened(typed, "2026-12-30 12:00:00")
    with at("2027-01-01 03:30:00"):
        typed("have 5 4in red")
        soon = typed("order take '2 4in red' --due '3 jan'")
        typed("sold 1 4in red --on '30 dec'")
    with at("2027-01-01 04:30:00"):
        typed("sold 1 4in red")
        typed("sold 1 4in red --on '31 dec'")
        old = home(typed, "--as-of", "2026-12-31")
        told = home(typed, "--known-on", "2026-12-31")
        new = home(typed)

    assert [day[:10] for day in dates(file)] == [
        "2026-12-31", "2026-12-31", "2026-12-30", "2027-01-01", "2026-12-31",
    ]  # fmt: skip
    assert "Sun 3 Jan 2027" in soon.out
    assert (old, told, new) == (3, 4, 2)


def test_a_clock_set_back_breaks_nothing(typed: Typed, file: Path) -> None:
    """The chain holds, and what was typed then counts as known from the latest moment
    before it, so that nothing is known on a day when it had not been typed."""
    opened(typed, "2026-05-13 12:00:00")
    with at("2026-05-13 13:00:00"):
        typed("have 5 4in red --on '9 may'")
    with at("2026-05-10 13:00:00"):
        back = typed("sold 1 4in red")
        again = typed("sold 1 4in red")
        undone = typed("undo")
    with at("2026-05-14 13:00:00"):
        known = home(typed, "--known-on", "2026-05-13")
        now = home(typed)
        check = typed("check")

    assert (back.code, again.code, undone.code, check.code) == (0, 0, 0, 0)
    assert (known, now) == (4, 4)
    assert "Each is as it was written." in check.out
    assert whole(file) == []


def test_an_entry_dated_in_another_zone_falls_on_the_shop_s_day(
    typed: Typed, file: Path
) -> None:
    """Half past eleven in the evening out west is half past three tomorrow at home."""
    opened(typed, "2026-05-10 12:00:00")
    with at("2026-05-13 12:00:00"):
        typed("have 5 4in red --on '11 may'")
        typed("sold 1 4in red --on 2026-05-11T23:30:00-07:00")
        typed("sold 1 4in red --on 2026-05-12T12:30:00+14:00")
        days = [home(typed, "--as-of", f"2026-05-{day}") for day in (11, 12)]

    assert dates(file)[1:] == [
        "2026-05-11T23:30:00-07:00", "2026-05-12T12:30:00+14:00",
    ]  # fmt: skip
    # The second is 19:30 on the 11th at home.
    assert days == [4, 3]


@pytest.mark.skipif(not hasattr(time, "tzset"), reason="only POSIX has a zone to set")
def test_the_computer_s_own_zone_changes_nothing(
    typed: Typed, file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On a journey the shop's day stays the shop's."""
    opened(typed, "2026-05-10 12:00:00")
    told = []
    for zone in ("UTC", "Pacific/Kiritimati", "Pacific/Pago_Pago"):
        monkeypatch.setenv("TZ", zone)
        time.tzset()
        try:
            with at("2026-05-13 02:00:00"):
                typed("have 1 4in red")
                told.append(typed("stock").out)
        finally:
            monkeypatch.delenv("TZ")
            time.tzset()

    assert {day[:10] for day in dates(file)} == {"2026-05-12"}
    assert len({words.replace(str(n), "n") for n, words in enumerate(told, 1)}) == 1
