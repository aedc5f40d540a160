"""Rule of the cut typed after its batch: its parts, and the spool they came from."""

from __future__ import annotations

from collections.abc import Sequence

from planner.errors import Unknown
from planner.events.base import Event
from planner.events.bench import BatchPartsTold, RibbonCut
from planner.events.fields import PartUse
from planner.ledgers.catalogue import catalogue
from planner.ledgers.state import Batch, Ledgers, PartRow
from planner.rules.base import Proposal, next_code, proposal
from planner.rules.bench import cut_short, cut_words, draw, spool_for
from planner.values.moments import When


def cut_late(led: Ledgers, *, batch: str, spool: str | None = None) -> Proposal:
    """
    Propose the cut behind a batch that was typed without one, at the batch's own time.

    Raises:
        Unknown: when the batch's cuts are all on record.
    """
    made_then = led.batches[batch]
    unknown = [p for p in led.parts_of(batch) if p[3] is None and p[4] is None]
    if not unknown:
        raise Unknown(f"All cuts of {batch} are on record.", instead="bows cut 12 KIND")
    events: list[Event] = []
    said, when = [], When(made_then.happened)
    warnings: list[str] = []
    drawn: dict[str, int] = {}
    for index, (ribbon, need, (role, length, count)) in enumerate(
        _late_parts(led, made_then.kind, unknown)
    ):
        source = spool_for(led, ribbon, need, spool)
        bundle = next_code(led, "C", more=index)
        pair = _late_pair(made_then, bundle, source.spool, (role, length, count))
        events += pair
        before = draw(drawn, source, length * count)
        said.append(cut_words(led, pair[0], before, when))
        warnings += cut_short(led, source.spool, length * count, before, when)
    return proposal(events, when, *said, warnings=warnings)


def _late_parts(
    led: Ledgers, kind: str, unknown: Sequence[PartRow]
) -> list[tuple[str, int, tuple[str, int, int]]]:
    """Give each part with its ribbon, and the length all parts want of that (nm)."""
    way = catalogue(led).colourway_of(kind)
    needed: dict[str, int] = {}
    parts = [(way.ribbon_for(p[0]) if way else "", p[:3]) for p in unknown]
    for ribbon, (_, length, count) in parts:
        needed[ribbon] = needed.get(ribbon, 0) + length * count
    return [(ribbon, needed[ribbon], part) for ribbon, part in parts]


def _late_pair(
    batch: Batch, bundle: str, spool: str, part: tuple[str, int, int]
) -> tuple[RibbonCut, BatchPartsTold]:
    role, length, count = part
    return (
        RibbonCut(
            bundle=bundle, spool=spool, role=role, length=length, count=count,
            for_kind=batch.kind, revision=batch.revision,
        ),
        BatchPartsTold(
            batch=batch.code,
            parts=(PartUse(role=role, length=length, count=count, bundle=bundle,
                           spool=spool),),
        ),
    )  # fmt: skip
