"""Build a sheet of batch labels, with the square code worked out as a path."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from planner.ledgers.catalogue import catalogue
from planner.ledgers.shop import setting, shop
from planner.ledgers.state import Ledgers
from planner.values.daywords import spoken
from planner.views import naming
from planner.views.foot import foot
from planner.views.labels import LabelSheet

PLACE = "place of making"
"""The setting that says where the bows are made."""
QUIET = 4
"""Modules left light around a square code (ISO/IEC 18004)."""
CAUTIONS = (
    "What a label has to say differs by place and by what the bow counts as, and "
    "changes; ask your local law and a licensed adviser before you sell.",
    "In the United States a children's product carries a mark, as far as practicable, "
    "from which maker, place, date and batch can be found out; no one layout is asked "
    "for. These records are what the batch code leads to: keep them.",
    "A label that comes off is a small part; fix it where a small child can't get it.",
)


def build(
    led: Ledgers, batch: str, *, count: int, today: date, made: str
) -> LabelSheet:
    """Lay out labels of a batch: maker, place, date, batch, and a square code."""
    cat, one = catalogue(led), led.batches[batch]
    maker, place = shop(led).name, setting(led, PLACE)
    day = one.happened[:10]
    lines = (maker, place, f"made {day}", f"batch {batch}")
    text = "\n".join(line for line in lines if line)
    size, path = code(text)
    return LabelSheet(
        shop=naming.shop_view(led), batch=batch, kind=cat.kind_name(one.kind),
        foot=foot(led, as_of=today.isoformat(), known_on=None, made=made),
        swatches=naming.swatches_of_kind(cat, one.kind), count=count, maker=maker,
        place=place, made_on=day, made=spoken(date.fromisoformat(day)), code_text=text,
        code_size=size, code_path=path,
        missing=() if place else (f'where they are made: bows setting "{PLACE}" TOWN',),
        cautions=CAUTIONS,
    )  # fmt: skip


def code(text: str) -> tuple[int, str]:
    """Give a square code's width in modules and its dark modules as an SVG path."""
    import segno

    rows = [list(row) for row in segno.make(text, error="m", micro=False).matrix]
    path = "".join(
        f"M{x + QUIET},{y + QUIET}h{width}v1h-{width}z"
        for y, row in enumerate(rows)
        for x, width in _runs(row)
    )
    return len(rows) + 2 * QUIET, path


def _runs(row: Sequence[int]) -> Iterator[tuple[int, int]]:
    """Walk the stretches of dark modules in a row: where, how wide."""
    begin = None
    for x, dark in enumerate([*row, 0]):
        if dark and begin is None:
            begin = x
        elif not dark and begin is not None:
            yield begin, x - begin
            begin = None
