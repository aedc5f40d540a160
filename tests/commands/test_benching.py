"""The bench sheet and the calendar file, as she types them and others read them."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime

import html5lib
import pytest
from freezegun import freeze_time
from icalendar import Calendar

from planner.commands import main
from tests.commands.conftest import Typed

COMMANDS = {"bench": "benching:bench", "calendar": "benching:calendar"}


@pytest.fixture(name="busy")
def _busy(small: Typed, monkeypatch: pytest.MonkeyPatch) -> Typed:
    for name, target in COMMANDS.items():
        monkeypatch.setitem(main.WHERE, name, target)
    assert small("order take 9 4in navy --due '22 may' --for 'Maren Oak'").code == 0
    assert small("order take 2 4in red --due '20 may 16:00'").code == 0
    many = "4 3in navy, 4 4in navy, 4 5in navy, 2 3in red, 2 5in red, 3 3in white"
    assert small(f"order take {many} --due '29 may'").code == 0
    return small


def events(busy: Typed, tmp_path, *, options: str = "") -> dict[str, object]:
    file = tmp_path / "bows.ics"
    said = busy(f"calendar {file} {options}")
    assert said.code == 0, said.err
    made = Calendar.from_ical(file.read_bytes())
    return {str(event["uid"]): event for event in made.walk("VEVENT")}


def test_the_sheet_says_what_to_make_next_with_its_cautions(busy: Typed) -> None:
    view = json.loads(busy("bench --json").out)

    steps = [step for sitting in view["sittings"] for step in sitting["steps"]]
    assert steps[0]["order"] == "O2" or steps[0]["order"] == "O1"
    assert any("burn" in line for line in view["cautions"])
    assert "Maren" not in json.dumps(view)


def test_the_sheet_is_a_page_to_print(busy: Typed, tmp_path) -> None:
    said = busy(f"bench --page {tmp_path / 'bench.html'}")

    assert said.code == 0, said.err
    text = (tmp_path / "bench.html").read_text("utf-8")
    html5lib.HTMLParser(strict=True).parse(text)
    assert "Take care" in text
    assert "☐" in text


def test_a_due_day_is_a_whole_day_that_ends_where_the_next_begins(
    busy: Typed, tmp_path
) -> None:
    """RFC 5545, 3.6.1: DTEND is not part of the event."""
    event = events(busy, tmp_path)["due-O1@spool-to-stall"]

    assert (event["dtstart"].dt, event["dtend"].dt) == (
        date(2026, 5, 22), date(2026, 5, 23),
    )  # fmt: skip


def test_a_due_hour_is_a_moment_in_utc(busy: Typed, tmp_path) -> None:
    event = events(busy, tmp_path)["due-O2@spool-to-stall"]

    # Halifax keeps summer time in May: three hours behind.
    assert event["dtstart"].dt == datetime(2026, 5, 20, 19, 0, tzinfo=UTC)
    assert "dtend" not in event


def test_sittings_are_events_from_begin_to_end(busy: Typed, tmp_path) -> None:
    found = events(busy, tmp_path)
    sittings = [e for uid, e in found.items() if uid.startswith("bench-")]

    first = min(sittings, key=lambda e: e["dtstart"].dt)
    assert first["dtstart"].dt == datetime(2026, 5, 13, 23, 0, tzinfo=UTC)
    assert first["dtend"].dt == datetime(2026, 5, 14, 1, 0, tzinfo=UTC)
    assert not [
        uid for uid in events(busy, tmp_path, options="--only-dues")
        if uid.startswith("bench-")
    ]  # fmt: skip


def test_long_lines_are_folded_and_read_back_whole(busy: Typed, tmp_path) -> None:
    """RFC 5545, 3.1: no line longer than 75 octets, ends by CR LF."""
    event = events(busy, tmp_path)["due-O3@spool-to-stall"]
    raw = (tmp_path / "bows.ics").read_bytes()

    lines = raw.split(b"\r\n")
    assert max(map(len, lines)) <= 75
    assert b"\n" not in raw.replace(b"\r\n", b"")
    assert any(line.startswith(b" ") for line in lines)
    assert str(event["summary"]).startswith(
        "O3 due: 4 3in navy, 4 4in navy, 4 5in navy"
    )


def test_nobody_is_named_in_it(busy: Typed, tmp_path) -> None:
    events(busy, tmp_path)

    assert b"Maren" not in (tmp_path / "bows.ics").read_bytes()


def test_the_same_shop_gives_the_same_identities(busy: Typed, tmp_path) -> None:
    assert events(busy, tmp_path).keys() == events(busy, tmp_path).keys()


def test_an_accepted_plan_is_set_against_what_was_made(
    busy: Typed, monkeypatch: pytest.MonkeyPatch, tmp_path
) -> None:
    monkeypatch.setitem(main.WHERE, "how-good", "scoring:how_good")
    tried, said = busy("bench --accept --dry-run"), busy("bench --accept")
    assert said.code == 0, said.err
    assert "bows planned in" in tried.out
    assert "bows planned in" in said.out
    assert json.loads(busy("how-good --json").out)["benches"] == []

    sitting = json.loads(busy("bench --json").out)["sittings"][0]
    step = sitting["steps"][0]
    assert busy(f"made {step['bows']} {step['kind']} 45min").code == 0
    with freeze_time("2026-05-14 12:00:00", ignore=["hypothesis"]):
        said = busy(f"how-good --page {tmp_path / 'good.html'}")
        (day,) = json.loads(busy("how-good --json").out)["benches"]

    assert day == {
        "day_on": "2026-05-13", "day": "Wed 13 May", "made": step["bows"],
        "worked": 45,
        "planned": sum(step["bows"] for step in sitting["steps"]),
        "minutes": day["minutes"], "minutes_shown": day["minutes_shown"],
        "worked_shown": "45 min",
    }  # fmt: skip
    assert (
        f"{day['made']} of {day['planned']} bows that accepted bench plans named"
        in said.out
    )
    assert "planned and made" in (tmp_path / "good.html").read_text("utf-8")


def test_with_nothing_to_make_no_plan_is_kept(
    small: Typed, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(main.WHERE, "bench", "benching:bench")

    said = small("bench --accept")

    assert (said.code, "No bow for an order" in said.err) == (2, True)
