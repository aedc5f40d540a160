"""The bench hours, a lane for each day: pure geometry."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from planner.views.due import BenchDay, BenchSegment
from planner.views.pictures import (
    FREE,
    WIDTH,
    Tick,
    Weave,
    order_weaves,
    room,
    round_step,
)


@dataclass(frozen=True, slots=True)
class BenchPart:
    """A stretch of a bench day in the picture."""

    x: float
    width: float
    weave: Weave | None
    """None where nothing is planned."""
    label: str
    """The order's code; empty where it would not fit."""
    late: bool


@dataclass(frozen=True, slots=True)
class BenchRow:
    """One bench day in the picture."""

    y: float
    label: str
    planned: float
    """Width of the hours the day has."""
    parts: tuple[BenchPart, ...]
    due: str
    """Codes due that day, as many as fit."""
    note: str
    """Written along the lane of a day without hours."""
    week: bool
    """Whether a week begins here."""


@dataclass(frozen=True, slots=True)
class BenchPicture:
    """Bench days under each other, their hours as lanes."""

    width: float
    height: float
    lane_x: float
    lane_width: float
    band: float
    """Height of a lane."""
    due_x: float
    rows: tuple[BenchRow, ...]
    ticks: tuple[Tick, ...]


BENCH_TOP = 26.0
BENCH_ROW = 32.0
BENCH_BAND = 22.0
LANE_X = 96.0
LANE_WIDTH = 468.0
DUE_X = LANE_X + LANE_WIDTH + 30
_DUE_ROOM = WIDTH - DUE_X - 22


def bench_picture(days: Sequence[BenchDay]) -> BenchPicture:
    """Lay the bench days out on a common scale of minutes."""
    minutes = max([60, *(_day_minutes(day) for day in days)])
    scale = LANE_WIDTH / minutes
    weaves = order_weaves(part.order for day in days for part in day.segments)
    rows = tuple(
        BenchRow(
            y=BENCH_TOP + BENCH_ROW * at,
            label=day.day,
            planned=round(day.planned_minutes * scale, 2),
            parts=tuple(
                _bench_part(part, weaves=weaves, scale=scale) for part in day.segments
            ),
            due=as_many_as_fit(day.due, width=_DUE_ROOM),
            note=day.note if not day.planned_minutes else "",
            week=at > 0 and date.fromisoformat(day.day_on).weekday() == 0,
        )
        for at, day in enumerate(days)
    )
    return BenchPicture(
        width=WIDTH,
        height=BENCH_TOP + BENCH_ROW * len(rows) + 4,
        lane_x=LANE_X,
        lane_width=LANE_WIDTH,
        band=BENCH_BAND,
        due_x=DUE_X,
        rows=rows,
        ticks=tuple(_hours(minutes, scale=scale)),
    )


def _day_minutes(day: BenchDay) -> int:
    ends = (part.start_minute + part.minutes for part in day.segments)
    return max([day.planned_minutes, *ends])


def _bench_part(
    part: BenchSegment, *, weaves: dict[str, Weave], scale: float
) -> BenchPart:
    width = part.minutes * scale
    fits = part.order != FREE and room(part.order) <= width
    return BenchPart(
        x=round(LANE_X + part.start_minute * scale, 2),
        width=round(width, 2),
        weave=weaves.get(part.order),
        label=part.order if fits else "",
        late=part.late,
    )


def _hours(minutes: int, *, scale: float) -> Iterator[Tick]:
    step = 60 * round_step(minutes / 60 / 8)
    for at in range(0, minutes + 1, step):
        yield Tick(round(LANE_X + at * scale, 2), f"{at // 60} h")


def as_many_as_fit(codes: Sequence[str], *, width: float) -> str:
    """List codes until the width is full, then say how many are left out."""
    for shown in range(len(codes), 0, -1):
        left = len(codes) - shown
        text = ", ".join(codes[:shown]) + (f" +{left}" if left else "")
        if room(text) <= width:
            return text
    return f"{len(codes)} due" if codes else ""
