"""The spool as one long strip, folded into rows: pure geometry."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from planner.views.pictures import ACCOUNT_WEAVES, WIDTH, Tick, Weave, room, round_step
from planner.views.story import StripPiece


@dataclass(frozen=True, slots=True)
class Block:
    """Neighbouring pieces drawn as one; `first` and `last` count from 1."""

    first: int
    last: int
    account: str
    start_nm: int
    length_nm: int
    joined: bool = False

    @property
    def label(self) -> str:
        """The rows of the table that tell of it."""
        return (
            str(self.first) if self.first == self.last else f"{self.first}–{self.last}"
        )


@dataclass(frozen=True, slots=True)
class StripPart:
    """As much of a block as one row holds."""

    x: float
    width: float
    weave: Weave
    label: str
    """Empty where it would not fit, or stands on a longer part of the block."""
    begins: bool
    """Whether the block begins here rather than in the row above."""
    ends: bool
    """Whether the block ends here rather than in the row below."""
    joined: bool
    """Whether a join was found where it ends."""


@dataclass(frozen=True, slots=True)
class StripRow:
    """One row of the strip."""

    y: float
    length: float
    parts: tuple[StripPart, ...]
    ticks: tuple[Tick, ...]


@dataclass(frozen=True, slots=True)
class StripPicture:
    """A spool drawn as one long strip, folded into rows."""

    width: float
    height: float
    band: float
    """Height of the ribbon in each row."""
    rows: tuple[StripRow, ...]


STRIP_BAND = 30.0
STRIP_ROW = 62.0
STRIP_MARGIN = 8.0
LEAST = 26.0
"""Pieces narrower than this are drawn together with narrow neighbours."""
_ROWS = 4


def blocks(pieces: Sequence[StripPiece], *, least_nm: int) -> tuple[Block, ...]:
    """Draw together narrow neighbours until each group is wide enough to be seen."""
    return tuple(_block(group) for group in _groups(pieces, least_nm=least_nm))


_Numbered = tuple[int, int, StripPiece]


def _groups(
    pieces: Sequence[StripPiece], *, least_nm: int
) -> Iterator[list[_Numbered]]:
    group: list[_Numbered] = []
    start = 0
    for number, piece in enumerate(pieces, start=1):
        width = sum(member.length_nm for _, _, member in group)
        if group and (piece.length_nm >= least_nm or width >= least_nm):
            yield group
            group = []
        group.append((number, start, piece))
        start += piece.length_nm
    if group:
        yield group


def _block(group: list[_Numbered]) -> Block:
    accounts = {piece.account for _, _, piece in group}
    return Block(
        first=group[0][0],
        last=group[-1][0],
        account=accounts.pop() if len(accounts) == 1 else "several",
        start_nm=group[0][1],
        length_nm=sum(piece.length_nm for _, _, piece in group),
        joined=group[-1][2].join_after,
    )


def strip_picture(
    pieces: Sequence[StripPiece], *, unit: str, unit_nm: int
) -> StripPicture:
    """Fold a spool into rows of a round number of units."""
    total = sum(piece.length_nm for piece in pieces)
    row_units = round_step(total / unit_nm / _ROWS)
    row_nm = row_units * unit_nm
    scale = (WIDTH - 2 * STRIP_MARGIN) / row_nm
    drawn = blocks(pieces, least_nm=round(LEAST / scale))
    count = max(1, math.ceil(total / row_nm))
    rows = tuple(
        StripRow(
            y=20 + STRIP_ROW * at,
            length=round((min(total, row_nm * (at + 1)) - row_nm * at) * scale, 2),
            parts=tuple(_parts(drawn, row=at, row_nm=row_nm, scale=scale)),
            ticks=tuple(_ticks(at, row_units=row_units, unit=unit)),
        )
        for at in range(count)
    )
    return StripPicture(WIDTH, 20 + STRIP_ROW * count, STRIP_BAND, rows)


def _parts(
    drawn: Iterable[Block], *, row: int, row_nm: int, scale: float
) -> Iterator[StripPart]:
    for block in drawn:
        longest = max(_spans(block, row_nm=row_nm), key=lambda span: span[2] - span[1])
        for at, begin, end in _spans(block, row_nm=row_nm):
            if at != row:
                continue
            width = (end - begin) * scale
            shown = (at, begin, end) == longest and room(block.label) - 2 <= width
            yield StripPart(
                x=round(STRIP_MARGIN + (begin - row * row_nm) * scale, 2),
                width=round(width, 2),
                weave=ACCOUNT_WEAVES[block.account],
                label=block.label if shown else "",
                begins=begin == block.start_nm,
                ends=end == block.start_nm + block.length_nm,
                joined=block.joined and end == block.start_nm + block.length_nm,
            )


def _spans(block: Block, *, row_nm: int) -> list[tuple[int, int, int]]:
    """Give (row, begin, end) for every row the block reaches into."""
    end = block.start_nm + block.length_nm
    last = max(block.start_nm, end - 1) // row_nm
    return [
        (row, max(block.start_nm, row * row_nm), min(end, (row + 1) * row_nm))
        for row in range(block.start_nm // row_nm, last + 1)
    ]


def _ticks(row: int, *, row_units: int, unit: str) -> Iterator[Tick]:
    step = round_step(row_units / 5)
    for units in range(0, row_units + 1, step):
        x = STRIP_MARGIN + (WIDTH - 2 * STRIP_MARGIN) * units / row_units
        at = row * row_units + units
        yield Tick(round(x, 2), f"{at} {unit}" if units == 0 else str(at))
