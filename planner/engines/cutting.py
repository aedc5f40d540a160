"""
Cutting ribbon to the last inch: lengths from rolls, parts from part-used spools.

All plans are checked in whole nanometres before they are given; bounds hold, or are
nothing.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace
from random import Random

from planner.engines.cutting_bounds import Clock, Demand, Pattern, Watch, simple_bound
from planner.engines.cutting_columns import Pool, in_parts
from planner.engines.cutting_dealing import check, dealt, uncut
from planner.engines.cutting_fits import best_fit, first_fit
from planner.engines.cutting_levels import by_levels
from planner.engines.cutting_program import MOST_STEPS
from planner.engines.cutting_runs import Placed, Question, Scores, scores
from planner.engines.cutting_search import dive, from_pool, quick
from planner.plans.cutting import (
    Cut,
    CuttingPlan,
    Level,
    Packing,
    Run,
    RunCuts,
    Want,
    What,
)

STEPS = 100_000
"""A roll of more steps than this is packed on a coarser measure."""
DIVES_BEFORE = 3
"""Dives before whole numbers of all patterns made so far are tried."""
LEVELS: tuple[What, ...] = (
    "uncut", "lots", "new spools", "unusable end", "part spools",
)  # fmt: skip


def pack(
    wanted: Mapping[int, int],
    room: int,
    *,
    seconds: float = 10.0,
    clock: Clock | None = None,
) -> Packing:
    """
    Cut `wanted` (count by length) from as few rolls of length `room` as can be found.

    Lengths are whole numbers of one unit.  Works until the plan is proved best or
    `seconds` are over; without a clock the seconds are counted in rounds of work.
    Raises ValueError for a length that is no length or longer than the roll.
    """
    demand = Demand.of(wanted, room)
    watch = Watch(seconds, clock)
    steps = demand.in_steps()
    fine = steps.tighter(STEPS)
    bound = simple_bound(steps)
    plan = min(first_fit(demand), best_fit(demand), key=len)
    pool = Pool()
    if len(plan) > bound:
        plan = min(plan, quick(fine), key=len)
    if len(plan) > bound:
        pool.add(plan if fine == steps else quick(fine))
        coarse = steps.coarser(STEPS)
        inner = pool if coarse == fine else Pool()
        bound = max(bound, in_parts(coarse, inner, watch, enough=len(plan)).bound)
        plan = _fewer(fine, plan, pool, watch, bound)
    return _packing(demand, plan, bound)


def _fewer(
    demand: Demand, plan: list[Pattern], pool: Pool, watch: Watch, bound: int
) -> list[Pattern]:
    """Look for plans of fewer rolls until none can be, or time is out."""
    chance = Random(1)
    for turn in range(1_000_000):
        if len(plan) <= bound or not watch.left():
            break
        if turn == DIVES_BEFORE:
            found = from_pool(demand, pool, watch, at_least=bound)
        else:
            found = dive(demand, pool, watch, below=len(plan), chance=chance)
        plan = found if found and len(found) < len(plan) else plan
        watch.tick()
    return plan


def _packing(demand: Demand, plan: Sequence[Pattern], bound: int) -> Packing:
    """Check a plan in whole numbers and tell it by lengths."""
    cut = tuple(map(sum, zip(*plan, strict=True)))
    if any(demand.filled(roll) > demand.room for roll in plan) or (
        plan and cut != demand.counts
    ):
        raise ArithmeticError("a plan was made that can't be cut")
    times = Counter(plan)
    rolls = sorted(times.items(), key=lambda pair: (-pair[1], pair[0]))
    told = tuple((n, _told(demand, roll)) for roll, n in rolls)
    return Packing(len(plan), bound, told)


def _told(demand: Demand, roll: Pattern) -> tuple[int, ...]:
    return tuple(x for x, n in zip(demand.lengths, roll, strict=True) for _ in range(n))


def plan_cuts(
    wants: Sequence[Want],
    runs: Sequence[Run],
    *,
    usable: int,
    seconds: float = 3.0,
    clock: Clock | None = None,
) -> CuttingPlan:
    """
    Say what to cut from which run, in the order of `plans.cutting.What`.

    usable: the shortest end (nm) worth keeping.  Each level is kept as low as those
    before it allow, and bounded.  Raises ValueError for a length that is no length.
    """
    _check_lengths(wants, runs)
    watch = Watch(seconds, clock)
    ribbons = list(dict.fromkeys(want.ribbon for want in wants if want.sets))
    values, bounds = [0] * len(LEVELS), [0] * len(LEVELS)
    cuts: dict[Run, tuple[Cut, ...]] = {}
    for left, ribbon in enumerate(ribbons):
        share = Watch(watch.left() / (len(ribbons) - left), clock)
        found, worth, low = _one_ribbon(wants, runs, ribbon, usable, share)
        watch.tick()
        cuts |= found
        values = [a + b for a, b in zip(values, worth, strict=True)]
        bounds = [a + b for a, b in zip(bounds, low, strict=True)]
    told = zip(LEVELS, values, bounds, strict=True)
    plan = CuttingPlan(
        tuple(wants),
        tuple(RunCuts(run, cuts[run]) for run in runs if cuts.get(run)),
        (),
        tuple(Level(what, value, bound) for what, value, bound in told),
        usable,
    )
    plan = replace(plan, uncut=uncut(plan))
    check(plan)
    return plan


def _check_lengths(wants: Sequence[Want], runs: Sequence[Run]) -> None:
    parts = [part for want in wants for part in want.parts]
    if any(part.length < 1 or part.count < 1 for part in parts):
        raise ValueError("a part's length and count start at 1")
    if any(want.sets < 0 or not want.parts for want in wants):
        raise ValueError("sets start at 0, and have parts")
    if any(run.slack < 0 for run in runs) or len(set(runs)) < len(runs):
        raise ValueError("slack starts at 0, and each run is told once")


def _one_ribbon(
    wants: Sequence[Want], runs: Sequence[Run], ribbon: str, usable: int, watch: Watch
) -> tuple[dict[Run, tuple[Cut, ...]], Scores, Scores]:
    """Plan the cuts of one ribbon: (cuts by run, what they are worth, bounds)."""
    places = [i for i, w in enumerate(wants) if w.ribbon == ribbon and w.sets]
    mine = tuple(wants[i] for i in places)
    fit = tuple(run for run in runs if run.ribbon == ribbon and run.free)
    exact = Question(mine, fit, usable)
    if not fit:
        nothing: Scores = (sum(want.sets for want in mine), 0, 0, 0, 0)
        return {}, nothing, nothing
    question = _measured(exact)
    plan, _, bounds = by_levels(question, watch)
    cuts = dealt(question, plan)
    worth = scores(exact, Placed(plan.sets, _lengths(fit, cuts)))
    told = {
        run: tuple(replace(cut, want=places[cut.want]) for cut in done)
        for run, done in cuts.items()
    }
    return told, worth, _never_above(bounds, worth)


def _measured(question: Question) -> Question:
    """Round parts up to a grain where steps would be too fine to count in."""
    longest = max(run.free for run in question.runs)
    if longest // question.step <= MOST_STEPS:
        return question
    return replace(question, grain=-(-longest // MOST_STEPS))


def _lengths(
    runs: Sequence[Run], cuts: Mapping[Run, tuple[Cut, ...]]
) -> dict[tuple[int, int], int]:
    """Give the true lengths cut from each run, by count."""
    found: Counter[tuple[int, int]] = Counter()
    for i, run in enumerate(runs):
        for cut in cuts[run]:
            found[i, cut.length] += cut.count
    return dict(found)


def _never_above(bounds: Scores, worth: Scores) -> Scores:
    """Keep bounds under what a plan has: rounding lengths up can only cost."""
    low = [min(a, b) for a, b in zip(bounds, worth, strict=True)]
    return low[0], low[1], low[2], low[3], low[4]
