"""The rule of naming a batch: whose bows they were that left in some entry."""

from __future__ import annotations

from collections.abc import Callable, Collection

from planner.errors import Unknown
from planner.events.bows import BatchNamed
from planner.ledgers.bows import PLACE
from planner.ledgers.catalogue import catalogue
from planner.ledgers.state import Batch, Ledgers
from planner.ledgers.timeline import Row
from planner.rules.base import Proposal, plural, proposal
from planner.values.moments import When


def batch_named(
    led: Ledgers, *, batch: str, count: int, seqs: Collection[int] | None,
    entry_of: Callable[[int], int], when: When,
) -> Proposal:  # fmt: skip
    """
    Propose that bows which left in an entry came from a batch.

    `seqs` are the events of that entry; None for the last that any of them left in.

    Raises:
        Unknown: when no bows of the batch's kind left then.
    """
    made = led.batches[batch]
    row = _left_in(led, made, seqs)
    entry = entry_of(row.seq)
    event = BatchNamed(batch=batch, entry=entry, seq=row.seq, count=count)
    name = catalogue(led).kind_name(made.kind)
    said = f"{plural(count, 'bow')} of entry {entry} ({name}) came from batch {batch}"
    return proposal([event], when, said, warnings=_odd(led, made, row, entry, count))


def _left_in(led: Ledgers, made: Batch, seqs: Collection[int] | None) -> Row:
    rows = [
        row for row in led.bows.items[made.kind].rows()
        if row.reading is None and row.source.startswith(PLACE)
        and not row.target.startswith(PLACE) and (seqs is None or row.seq in seqs)
    ]  # fmt: skip
    if not rows:
        name = catalogue(led).kind_name(made.kind)
        then = "so far" if seqs is None else "in that entry"
        raise Unknown(
            f"No {name} left {then}, and that is what {made.code} was.",
            instead=f"bows name-batch 2 {made.code} --entry N   (see: bows entries)",
        )
    return max(rows, key=lambda row: row.seq)


def _odd(led: Ledgers, made: Batch, row: Row, entry: int, count: int) -> list[str]:
    named = [(batch, n) for batch, _, n, seq in led.batch_out if seq == row.seq]
    free = row.amount - sum(n for _, n in named)
    left = made.count - sum(n for batch, _, n, _ in led.batch_out if batch == made.code)
    odd = []
    if count > max(free, 0):
        odd.append(
            f"entry {entry} took out {row.amount:,}, of which "
            f"{plural(max(free, 0), 'bow')} had no batch named yet"
        )
    if count > max(left, 0):
        odd.append(f"{made.code} was {made.count:,}; {max(left, 0):,} not named yet")
    return odd
