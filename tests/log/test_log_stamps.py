"""The two times of an event: how they are written and which are well formed."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone

import pytest

from planner.log.stamps import is_happened, is_recorded, milliseconds, recorded_text

_EAST = timezone(timedelta(hours=5, minutes=30))


def test_the_moment_of_recording_is_written_in_utc_to_the_millisecond() -> None:
    moment = datetime(2026, 11, 26, 1, 45, 9, 123_987, tzinfo=_EAST)

    assert recorded_text(moment) == "2026-11-25T20:15:09.123Z"
    assert is_recorded(recorded_text(moment))


def test_milliseconds_count_from_1970() -> None:
    """Second method: the published UUIDv7 of RFC 9562 names this moment."""
    assert milliseconds(datetime(2022, 2, 22, 19, 22, 22, tzinfo=UTC)) == 1645557742000


def test_a_moment_without_a_zone_is_a_fault_of_the_caller() -> None:
    with pytest.raises(ValueError, match="zone"):
        recorded_text(datetime(2026, 11, 25))


@pytest.mark.parametrize(
    "text",
    [
        "2026-11-25",
        "2024-02-29",
        "2026-11-25T20:15:00-05:00",
        "2026-11-25T20:15:00Z",
        "2026-11-25T20:15:00.5+13:45",
    ],
)
def test_a_day_and_a_moment_with_its_offset_are_well_formed(text: str) -> None:
    assert is_happened(text)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "2026-02-29",
        "2026-11-25T20:15:00",
        "2026-11-25 20:15:00Z",
        "2026-11-25T25:15:00Z",
        "2026-11-25T20:15Z",
        "20261125",
        "2026-W48-3",
        "2026-11-25\n",
        "٢٠٢٦-١١-٢٥",
        "25.11.2026",
    ],
)
def test_any_other_text_is_no_time_of_happening(text: str) -> None:
    assert not is_happened(text)


@pytest.mark.parametrize(
    "text",
    ["2026-11-25", "2026-11-25T20:15:09Z", "2026-11-25T20:15:09.123+00:00", "x" * 24],
)
def test_recorded_has_one_form_only(text: str) -> None:
    assert not is_recorded(text)
