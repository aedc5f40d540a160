"""
Over-cut allowed for in a cutting list, so that a spool planned to its end isn't short.

Parts take more ribbon than told, those still to cut and those cut since a spool was
last read; the books take off what was told.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from planner.engines.overcut import over_cut
from planner.engines.stretches import since_read
from planner.ledgers.shop import shop
from planner.ledgers.state import Ledgers
from planner.plans.cutting import Allowance, Run, Want
from planner.plans.measure import Estimate
from planner.values.units import NM_PER_INCH

STEPS = {"us": NM_PER_INCH // 16, "metric": 1_000_000}
"""What an allowance is rounded up to (nm): 1/16 in, or 1 mm."""
OFF_A_RUN = {"us": NM_PER_INCH, "metric": 10_000_000}
"""What is likely gone off a run is rounded up to (nm): an inch, or a centimetre."""


def allowance(led: Ledgers) -> Allowance:
    """
    Give the most that over-cut comes to on average, at the upper end of its interval.

    Roles that the readings can't tell from one another get that of all parts together.
    """
    found = over_cut(led)
    if found.mean is None:
        return Allowance(why=found.why)
    step = STEPS[shop(led).units]
    roles = found.parts if found.roles_apart else {}
    return Allowance(
        {role: _most(one, step) for role, one in roles.items()},
        _most(found.mean, step), 0.5 + found.level / 2, sum(found.counts.values()),
    )  # fmt: skip


def _most(one: Estimate, step: int) -> int:
    return max(_up(one.high, step), 0)


def _up(nm: float, step: int) -> int:
    return -int(-nm // step) * step


def with_over(wants: Iterable[Want], allowed: Allowance) -> list[Want]:
    """Give wants whose parts take what they are told to measure, and their over-cut."""
    return [
        replace(want, parts=tuple(
            replace(part, length=part.told + over, over=over)
            for part in want.parts
            for over in (allowed.of(part.role),)
        ))
        for want in wants
    ]  # fmt: skip


def as_likely(led: Ledgers, runs: Iterable[Run], allowed: Allowance) -> list[Run]:
    """Give runs less what over-cut has taken of them since their spools were read."""
    step = OFF_A_RUN[shop(led).units]
    return [_as_likely(led, run, allowed, step) for run in runs]


def _as_likely(led: Ledgers, run: Run, allowed: Allowance, step: int) -> Run:
    if run.nth > 1:  # The loose end is what was cut from.
        return run
    parts = since_read(led, run.spool)
    taken = sum(allowed.of(role) * count for role, count in parts.items())
    gone = min(_up(taken, step), run.length)
    return replace(run, length=run.length - gone, gone=gone)
