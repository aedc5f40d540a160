"""
Due days and sittings as iCalendar (RFC 5545), written by the icalendar library.

An event of whole days ends on the day after its last, which is not part of it; one at
an hour is given in UTC, so that no zone has to be described.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from planner.views.bench_sheet import BenchSheet, BenchSitting
from planner.views.due import DueDates, DueOrder

if TYPE_CHECKING:
    from icalendar import Event

MADE_BY = "-//Spool to Stall//bows//EN"
CALENDAR = b"BEGIN:VCALENDAR\r\n"
"""How such a file begins."""


def calendar_bytes(
    dues: DueDates, sheet: BenchSheet | None, *, zone: ZoneInfo, stamp: datetime
) -> tuple[bytes, int]:
    """Give the calendar as a file's bytes, and how many events it holds."""
    from icalendar import Calendar

    made = Calendar()
    made.add("prodid", MADE_BY)
    made.add("version", "2.0")
    made.add("x-wr-calname", dues.shop.name)
    events = list(_events(dues, sheet, zone, stamp.astimezone(UTC)))
    for event in events:
        made.add_component(event)
    return bytes(made.to_ical()), len(events)


def _events(
    dues: DueDates, sheet: BenchSheet | None, zone: ZoneInfo, stamp: datetime
) -> Iterator[Event]:
    for order in dues.orders:
        if order.due_on:
            yield _due(order, zone, stamp)
    for sitting in sheet.sittings if sheet else ():
        if sitting.steps:
            yield _sitting(sitting, zone, stamp)


def _due(order: DueOrder, zone: ZoneInfo, stamp: datetime) -> Event:
    what = ", ".join(f"{line.count} {line.kind}" for line in order.lines)
    event = _event(f"due-{order.code}", f"{order.code} due: {what}", stamp)
    day, hour = date.fromisoformat(order.due_on), _hour(order)
    if hour:
        moment = datetime.combine(day, hour.time(), zone).astimezone(UTC)
        event.add("dtstart", moment)  # without an end it is that moment alone
    else:
        event.add("dtstart", day)
        event.add("dtend", day + timedelta(days=1))
    said = [f"It stands: {order.state}", f"work left: {order.work}"]
    if order.chance_shown:
        said.append(f"chance of being in time: {order.chance_shown}")
    if order.waits_for:
        said.append(f"waits for {order.waits_for}")
    event.add("description", "; ".join(said) + ".")
    event.add("transp", "TRANSPARENT")
    return event


def _hour(order: DueOrder) -> datetime | None:
    """Read the hour off the due words (`Wed 25 Nov, 17:00`), if there is one."""
    for word in order.due.split(", ")[1:]:
        if len(word) == 5 and word[2] == ":":
            return datetime.strptime(word, "%H:%M")
    return None


def _sitting(sitting: BenchSitting, zone: ZoneInfo, stamp: datetime) -> Event:
    start, end = (
        _at(sitting.day_on, word, zone) for word in sitting.hours.split(" to ")
    )
    orders = ", ".join(dict.fromkeys(step.order for step in sitting.steps))
    event = _event(f"bench-{start:%Y%m%dT%H%M}", f"At the bench: {orders}", stamp)
    event.add("dtstart", start.astimezone(UTC))
    event.add(
        "dtend", (end if end > start else end + timedelta(days=1)).astimezone(UTC)
    )
    event.add(
        "description",
        "\n".join(
            f"{x.start} {x.bows} of {x.of} {x.kind} for {x.order}"
            for x in sitting.steps
        ),
    )
    return event


def _at(day: str, clock: str, zone: ZoneInfo) -> datetime:
    return datetime.fromisoformat(f"{day}T{clock}").replace(tzinfo=zone)


def _event(key: str, summary: str, stamp: datetime) -> Event:
    from icalendar import Event

    event = Event()
    event.add("uid", f"{key}@spool-to-stall")
    event.add("dtstamp", stamp)
    event.add("summary", summary)
    return event
