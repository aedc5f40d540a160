"""
How the two times of an event are written: `recorded` and `happened`.

Source: RFC 3339, section 5.6; `recorded` always in UTC to the millisecond, so that
its texts sort as the moments do.
"""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta

_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", re.ASCII)
_CLOCK = r"T[0-9]{2}:[0-9]{2}:[0-9]{2}"
_MOMENT = re.compile(
    _DAY.pattern + _CLOCK + r"(\.[0-9]{1,6})?(Z|[+-][0-9]{2}:[0-9]{2})", re.ASCII
)
_RECORDED = re.compile(_DAY.pattern + _CLOCK + r"\.[0-9]{3}Z", re.ASCII)
_START = datetime(1970, 1, 1, tzinfo=UTC)


def recorded_text(moment: datetime) -> str:
    """
    Write the moment of recording as RFC 3339 in UTC, cut to the millisecond.

    Raises ValueError when the moment has no zone.
    """
    if moment.utcoffset() is None:
        raise ValueError("the moment of recording needs a zone")
    text = (
        moment.astimezone(UTC).replace(tzinfo=None).isoformat(timespec="milliseconds")
    )
    return f"{text}Z"


def milliseconds(moment: datetime) -> int:
    """Count whole milliseconds since 1970 (UTC)."""
    return (moment - _START) // timedelta(milliseconds=1)


def is_recorded(text: str) -> bool:
    """Say whether a text is a moment as `recorded_text` writes it."""
    return _RECORDED.fullmatch(text) is not None and _exists(text)


def is_happened(text: str) -> bool:
    """Say whether a text is a day, or a date-time with its offset."""
    if _DAY.fullmatch(text):
        return _exists_day(text)
    return _MOMENT.fullmatch(text) is not None and _exists(text)


def _exists(text: str) -> bool:
    try:
        datetime.fromisoformat(text)
    except ValueError:
        return False
    return True


def _exists_day(text: str) -> bool:
    try:
        date.fromisoformat(text)
    except ValueError:
        return False
    return True
