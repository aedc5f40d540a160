"""What is dated on a day still to come, and stands in today's figures all the same."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime
from zoneinfo import ZoneInfo

from planner.ledgers.bows import PLACE
from planner.ledgers.catalogue import catalogue
from planner.ledgers.state import Ledgers
from planner.ledgers.timeline import Row
from planner.rules.base import signed
from planner.values.daywords import short_day
from planner.values.moments import end_of_day
from planner.views import naming
from planner.views.common import Oddity


def dated_ahead(led: Ledgers, today: date) -> Iterable[Oddity]:
    """Name the kinds whose bows came or went on a later day than today."""
    zone, cat = ZoneInfo(led.zone), catalogue(led)
    end = end_of_day(today, zone)
    for kind, line in led.bows.items.items():
        if line.current().newest <= end:
            continue
        rows = [row for row in line.rows() if end < row.when]
        change = sum(map(_change, rows))
        if not change:
            continue
        first = datetime.fromtimestamp(rows[0].when // 1_000_000, zone).date()
        now = sum(led.bows.balance(kind).under(PLACE).values()) - change
        yield Oddity(
            about=cat.kind_name(kind), instead=f"bows why {naming.typed(cat, kind)}",
            what=f"{signed(change)} dated ahead ({short_day(first)}) is in these "
            f"figures; without it there are {now:,}",
        )  # fmt: skip


def _change(row: Row) -> int:
    """Give what a line does to the bows at all places together."""
    came = row.amount if row.target.startswith(PLACE) else 0
    return came - (row.amount if row.source.startswith(PLACE) else 0)
