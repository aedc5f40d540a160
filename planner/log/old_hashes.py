"""
Hashes that events had before their log was rescued, so that old reports still answer.

Where an event is lost, those after it are chained anew; what hash each had before is
kept at the end of the rescued log.  From those hashes and the events themselves the
old chain is reckoned once more: whoever changed an event would have to change it too.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from planner.log.chain import GENESIS, Row, event_hash

KIND = "log-rescued"
Rows = Callable[[int, int], Sequence[Row]]
"""Reads the events from one seq to another."""

_CHUNK = 1000


@dataclass(slots=True)
class Rescued:
    """What one rescue kept: old hashes (hex, '' where unknown) and the lost, by seq."""

    hashes: dict[int, str] = field(default_factory=dict)
    lost: set[int] = field(default_factory=set)

    def add(self, body: Mapping[str, Any]) -> None:
        """Take the body of an event of such a rescue."""
        self.hashes.update(enumerate(body["hashes"], start=body["first"]))
        self.lost.update(body.get("lost", ()))


def misfits(rescues: Sequence[Rescued], rows: Rows) -> Iterator[int]:
    """
    Give the events that don't fit the hash they are said to have had.

    `rescues` are the oldest first.
    """
    lost = {seq for one in rescues for seq in one.lost}
    for place, one in enumerate(rescues):
        first, last = min(one.hashes), max(one.hashes)
        prev = _hash_at(first - 1, rescues[place + 1 :], rows)
        for at in range(first, last + 1, _CHUNK):
            for row in rows(at, min(at + _CHUNK - 1, last)):
                then = event_hash(*row[:8], bytes.fromhex(prev)).hex()
                if row[0] not in lost and then != one.hashes.get(row[0]):
                    yield row[0]
                prev = one.hashes.get(row[0], "")


def _hash_at(seq: int, newer: Sequence[Rescued], rows: Rows) -> str:
    """Give the hash an event had after a rescue, or has still."""
    for one in newer:
        if seq in one.hashes:
            return one.hashes[seq]
    return rows(seq, seq)[0][9].hex() if seq else GENESIS.hex()


def anchored(rescues: Sequence[Rescued], digits: str) -> int | None:
    """Give the event whose hash was printed before a rescue, if there is one."""
    for one in reversed(rescues):
        for seq, told in one.hashes.items():
            if told and told.startswith(digits):
                return seq
    return None
