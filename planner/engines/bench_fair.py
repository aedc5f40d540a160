"""What accepted fair plans still lack, and its place at the bench among the orders."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from datetime import date
from typing import NamedTuple

from planner.engines.at_hand import Share
from planner.engines.bench_clock import deadline
from planner.engines.materials import needs_of
from planner.engines.minutes import median_minutes
from planner.engines.sequence import Job
from planner.engines.work import Ahead, Draft, Task
from planner.ledgers.bows import HOME, PLACE
from planner.ledgers.catalogue import catalogue
from planner.ledgers.fairs import Fair, coming_fairs
from planner.ledgers.state import Ledgers

APART = 1e-3
"""Minutes between the dues of a fair's kinds, so that the first wanted come first."""


class Lack(NamedTuple):
    """Bows of a kind that an accepted plan brings and that are still to be made."""

    fair: Fair
    kind: str
    make: int


def fair_lacks(led: Ledgers, share: Share, today: str) -> Iterator[Lack]:
    """Walk what accepted plans lack beyond the bows no order takes, by fair."""
    given = Counter[str]()
    for kinds in share.at_hand.values():
        given.update(dict(kinds))
    home = Counter({k: led.bows.balance(k)[PLACE + HOME] for k in led.bows.items})
    free = home - given
    for fair in coming_fairs(led, today):
        for kind, count in (fair.plan or {}).items():
            lack = max(count - fair.packed.get(kind, 0), 0)
            taken = min(lack, free[kind])
            free[kind] -= taken
            if lack > taken:
                yield Lack(fair, kind, lack - taken)


def fair_tasks(ahead: Ahead, made: Draft, today: date) -> list[Task]:
    """
    Give the tasks of accepted fair plans that can be done, to be ready on the eve.

    Ribbon and supplies are what the orders leave.  Of one fair the kinds come first
    that are the likeliest to be asked for beyond what is there of them.
    """
    stock = made.stock.copy()
    known = catalogue(ahead.led).patterns
    lacks = [
        lack for lack in fair_lacks(ahead.led, made.share, today.isoformat())
        if lack.kind.partition(":")[0] in known
    ]  # fmt: skip
    lacks.sort(key=lambda lack: (lack.fair.first_day, -_wanted(lack)))
    tasks: list[Task] = []
    for rank, lack in enumerate(lacks):
        minutes = median_minutes(ahead.led, lack.kind)
        sets = ahead.setting(minutes)
        due = APART * (rank - len(lacks)) + sets + deadline(
            ahead.clock, due=date.fromisoformat(lack.fair.first_day), hour=None,
            post_days=0, setting=sets, whole_day=False,
        )  # fmt: skip
        set_up = minutes.set_up_minutes
        needs = needs_of(catalogue(ahead.led), lack.kind)
        for bows, since in stock.slices(needs, lack.make):
            if math.isfinite(since):
                work = minutes.bench(bows) - minutes.set_up_minutes + set_up
                key = f"{lack.fair.code} {lack.kind} {len(tasks)}"
                job = Job(key, work, due, since, 1.0, sets)
                tasks.append(Task(lack.fair.code, lack.kind, bows, job, set_up))
                set_up = 0
    return tasks


def _wanted(lack: Lack) -> float:
    """Give how likely more is asked for than is there, by the figures of the plan."""
    there = (lack.fair.plan or {}).get(lack.kind, 0) - lack.make
    spread = lack.fair.spread.get(lack.kind, ())
    return sum(bows > there for bows in spread) / max(len(spread), 1)
