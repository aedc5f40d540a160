"""A fold of its own, for commands that look at what isn't in the log yet."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from planner.errors import NoShop
from planner.fold import Folder, voided_entries
from planner.log.bodies import read_bodies
from planner.log.chain import Head
from planner.log.codec import decode_many, parse
from planner.log.store import Log

_VERSION = 14
"""Where a UUID's version stands: 8 marks the events of a take-in."""


@dataclass(frozen=True, slots=True)
class Folded:
    """
    A log folded: the folder, the head it stands on, what the shop is called.

    `taken_in` gives the entry of every event that was taken in, by id; `days` the day
    of each such entry.
    """

    folder: Folder
    head: Head
    shop: str
    zone: ZoneInfo
    taken_in: Mapping[str, int]
    days: Mapping[int, str]


def fold_log(log: Log, *, without: frozenset[int] = frozenset()) -> Folded:
    """Fold a log, perhaps without some entries, into ledgers of one's own."""
    first = log.row(1)
    if first is None or first[3] != "shop-set-up":
        raise NoShop("This shop was never set up.", instead="bows open")
    zone = parse(first[7])["zone"]
    pairs = [(row[2], parse(row[7])["entries"]) for row in log.corrections()]
    voided = voided_entries(pairs) | without
    folder = Folder(zone=zone, decode=decode_many, bodies=read_bodies, voided=voided)
    taken: dict[str, int] = {}
    days: dict[int, str] = {}
    for rows in log.rows():
        folder.feed(rows)
        for row in rows:
            if row[1][_VERSION] == "8":
                taken[row[1]] = row[2]
                days[row[2]] = row[5][:10]
    led = folder.ledgers
    head = Head(led.head_seq, led.head_entry, led.head_hash)
    return Folded(folder, head, first[1], ZoneInfo(zone), taken, days)
