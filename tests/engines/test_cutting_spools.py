"""Parts from part-used spools: one order of what is kept low, proved level by level."""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Iterator
from random import Random

import pytest

from planner.engines.cutting import plan_cuts
from planner.engines.cutting_dealing import check
from planner.engines.cutting_runs import Question, in_turn, scores
from planner.plans.cutting import (
    Cut,
    CuttingPlan,
    Level,
    Part,
    Run,
    RunCuts,
    Want,
)

Share = tuple[int, ...]


def least(wants: list[Want], runs: list[Run], usable: int) -> tuple[int, ...]:
    """The best score, by giving every part of every set to every run in turn."""
    ways = [list(_ways(want, runs)) for want in wants for _ in range(want.sets)]
    orders = [want.order for want in wants for _ in range(want.sets)]
    return min(
        score
        for choice in itertools.product(*ways)
        if (score := _score(choice, orders, runs, usable)) is not None
    )


def _ways(want: Want, runs: list[Run]) -> Iterator[dict[int, int] | None]:
    """Each way of cutting one set from runs of one lot: length taken by run."""
    yield None
    parts = [part.length for part in want.parts for _ in range(part.count)]
    seen = set()
    for lot in {run.lot for run in runs}:
        mine = [i for i, run in enumerate(runs) if run.lot == lot]
        for places in itertools.product(mine, repeat=len(parts)):
            taken: Counter[int] = Counter()
            for place, length in zip(places, parts, strict=True):
                taken[place] += length
            key = tuple(sorted(taken.items()))
            if key not in seen:
                seen.add(key)
                yield dict(taken)


def _score(
    choice: tuple[dict[int, int] | None, ...],
    orders: list[str | None],
    runs: list[Run],
    usable: int,
) -> tuple[int, ...] | None:
    filled = [0] * len(runs)
    lots: dict[str, set[str]] = {}
    for taken, order in zip(choice, orders, strict=True):
        for run, length in (taken or {}).items():
            filled[run] += length
            if order is not None:
                lots.setdefault(order, set()).add(runs[run].lot)
    if any(x > run.length - run.slack for x, run in zip(filled, runs, strict=True)):
        return None
    cut = [(x, run) for x, run in zip(filled, runs, strict=True) if x]
    spools = {run.spool: run.begun for _, run in cut}
    rests = [run.length - x for x, run in cut]
    return (
        sum(taken is None for taken in choice),
        sum(len(mine) - 1 for mine in lots.values()),
        list(spools.values()).count(False),
        sum(rest for rest in rests if rest < usable),
        list(spools.values()).count(True),
    )


def toy(seed: int) -> tuple[list[Want], list[Run], int]:
    """Four or five sets, three or four runs, two lots, an order or two."""
    chance = Random(seed)
    wants = []
    for _ in range(chance.randint(1, 3)):
        parts = tuple(
            Part(role, chance.randint(2, 9) * chance.choice([1, 3]))
            for role in ("loops", "tails")[: chance.randint(1, 2)]
        )
        order = chance.choice(["O1", "O1", "O2", None])
        wants.append(Want("navy", parts, chance.randint(1, 2), order))
    runs = [
        Run("S1", "navy", "L1", chance.randint(8, 40), slack=chance.choice([0, 0, 3])),
        Run("S2", "navy", chance.choice(["L1", "L2"]), chance.randint(8, 40)),
        Run("S3", "navy", "L2", 45, begun=False),
    ]
    if chance.random() < 0.5:
        runs.append(Run("S2", "navy", runs[1].lot, chance.randint(5, 20), nth=2))
    return wants, runs, chance.choice([3, 6, 12])


@pytest.mark.parametrize("seed", range(60))
def test_small_plans_are_the_best_of_all_there_are(seed: int) -> None:
    """Against every way of cutting every set, in the one order of levels."""
    wants, runs, usable = toy(seed)

    plan = plan_cuts(wants, runs, usable=usable, seconds=20)

    best = least(wants, runs, usable)
    assert tuple(level.value for level in plan.levels) == best
    assert all(level.bound <= level.value for level in plan.levels)
    assert plan.proved


def test_a_plan_is_a_list_to_cut_from_with_what_is_left() -> None:
    """Run by run, want after want, the longest part first, the remainder running."""
    bow = (Part("loops", 20), Part("tails", 10))
    wants = [Want("navy", bow, 2, "O1"), Want("red", (Part("loops", 15),), 3)]
    runs = [Run("S1", "navy", "L1", 100), Run("S2", "red", "L1", 45)]

    plan = plan_cuts(wants, runs, usable=12)

    assert plan.runs == (
        RunCuts(runs[0], (Cut(0, "loops", 20, 2, 60), Cut(0, "tails", 10, 2, 40))),
        RunCuts(runs[1], (Cut(1, "loops", 15, 3, 0),)),
    )
    assert plan.runs[0].left == 40
    assert (plan.uncut, plan.cut, plan.gap) == ((), 105, 0.0)
    assert plan.levels[-1] == Level("part spools", 2, 2)


def test_a_pair_never_mixes_dye_lots_even_at_the_cost_of_a_new_spool() -> None:
    """Two ends of other lots would do by length; a pair must match."""
    pair = Want("navy", (Part("loops", 20, 2),), 1)
    runs = [Run("S1", "navy", "L1", 20), Run("S2", "navy", "L2", 20),
            Run("S3", "navy", "L3", 100, begun=False)]  # fmt: skip

    plan = plan_cuts([pair], runs, usable=5)

    assert [cuts.run.spool for cuts in plan.runs] == ["S3"]
    assert plan.levels[2] == Level("new spools", 1, 1)


def test_an_order_keeps_to_one_lot_before_a_new_spool_is_saved() -> None:
    """Two bows of an order could come from two part spools, but then they'd differ."""
    two = Want("navy", (Part("loops", 20),), 2, "O1")
    loose = Want("navy", (Part("loops", 20),), 2)
    runs = [Run("S1", "navy", "L1", 20), Run("S2", "navy", "L2", 20),
            Run("S3", "navy", "L3", 100, begun=False)]  # fmt: skip

    ordered = plan_cuts([two], runs, usable=5)
    ahead = plan_cuts([loose], runs, usable=5)

    assert [cuts.run.spool for cuts in ordered.runs] == ["S3"]
    assert [cuts.run.spool for cuts in ahead.runs] == ["S1", "S2"]


def test_what_no_ribbon_is_left_for_is_said() -> None:
    """Three bows of 20 from 45: one stays uncut, and more from no run is possible."""
    wants = [Want("navy", (Part("loops", 20),), 3, "O1")]

    plan = plan_cuts(wants, [Run("S1", "navy", "L1", 45)], usable=10)
    none = plan_cuts(wants, [Run("S1", "red", "L1", 45)], usable=10)

    assert plan.uncut == ((0, 1),)
    assert plan.levels[0] == Level("uncut", 1, 1)
    assert (none.runs, none.uncut) == ((), ((0, 3),))
    assert none.proved


def test_a_join_not_yet_found_keeps_its_slack_free() -> None:
    """A run of 60 with slack for a part of 20 gives two, not three."""
    wants = [Want("navy", (Part("loops", 20),), 3)]

    plan = plan_cuts(wants, [Run("S1", "navy", "L1", 60, slack=20)], usable=10)

    assert plan.uncut == ((0, 1),)
    assert plan.runs[0].left == 20


def test_a_run_ten_nanometres_short_is_not_cut_too_far() -> None:
    """What a float would let pass is refused in whole nanometres."""
    part = 914_400_000
    wants = [Want("navy", (Part("loops", part),), 100)]

    exact = plan_cuts(wants, [Run("S1", "navy", "L1", 100 * part)], usable=1)
    short = plan_cuts(wants, [Run("S1", "navy", "L1", 100 * part - 10)], usable=1)

    assert exact.uncut == ()
    assert short.uncut == ((0, 1),)


def test_lengths_without_a_common_measure_are_still_cut() -> None:
    """Primes of nanometres: a plan all the same, no bound that isn't proved."""
    wants = [
        Want("navy", (Part("loops", 520_700_003), Part("tails", 177_800_009)), 9, "O1"),
        Want("navy", (Part("loops", 812_800_019),), 5),
    ]
    runs = [
        Run("S1", "navy", "L1", 9_000_000_001),
        Run("S2", "navy", "L1", 3_000_000_007),
    ]

    plan = plan_cuts(wants, runs, usable=300_000_000, seconds=2)

    assert plan.uncut == ()
    assert all(level.bound <= level.value for level in plan.levels)


def shop(seed: int) -> tuple[list[Want], list[Run], int]:
    """Some 120 parts of a dozen orders, nine part-used spools of three lots."""
    chance = Random(seed)
    half = 12_700_000
    bows = [((41, 1), (19, 1)), ((64, 1),), ((30, 1), (25, 1), (7, 1)), ((22, 2),)]
    wants = [
        Want(
            "navy",
            tuple(Part(f"part{i}", x * half, n) for i, (x, n) in enumerate(bow)),
            chance.randint(1, 8),
            f"O{order // 2}" if order % 5 else None,
        )
        for order in range(16)
        for bow in [chance.choice(bows)]
    ]
    runs = [
        Run(f"S{i}", "navy", f"L{i % 3}", chance.randint(200, 1200) * half // 4)
        for i in range(9)
    ]
    runs += [Run(f"N{i}", "navy", f"L{i}", 7200 * half, begun=False) for i in range(3)]
    return wants, runs, 36 * half


@pytest.mark.parametrize("seed", range(4))
def test_a_plan_is_never_worse_than_longest_first(seed: int) -> None:
    """On shops of some size: not above a plain first fit, nor below a bound."""
    wants, runs, usable = shop(seed)
    plain = scores(q := Question(tuple(wants), tuple(runs), usable), in_turn(q))

    plan = plan_cuts(wants, runs, usable=usable, seconds=2)

    assert tuple(level.value for level in plan.levels) <= plain
    assert all(level.bound <= level.value for level in plan.levels)


def test_a_plan_that_does_not_add_up_is_never_shown() -> None:
    """The last look in whole nanometres finds each kind of mistake."""
    wants = (Want("navy", (Part("loops", 20), Part("tails", 5)), 1),)
    run, other = Run("S1", "navy", "L1", 40), Run("S2", "navy", "L2", 40)
    loops = Cut(0, "loops", 20, 1, 20)
    wrong = {
        "add up": [RunCuts(run, (loops, Cut(0, "tails", 5, 1, 14)))],
        "too long": [RunCuts(Run("S1", "navy", "L1", 40, slack=20),
                             (loops, Cut(0, "tails", 5, 1, 15)))],
        "mixes": [RunCuts(run, (loops,)), RunCuts(other, (Cut(0, "tails", 5, 1, 35),))],
        "forgets": [],
    }  # fmt: skip

    for said, runs in wrong.items():
        with pytest.raises(ArithmeticError, match=said):
            check(CuttingPlan(wants, tuple(runs), (), (), 10))


@pytest.mark.parametrize(
    ("wants", "runs"),
    [
        ([Want("navy", (Part("loops", 0),), 1)], []),
        ([Want("navy", (Part("loops", 5, 0),), 1)], []),
        ([Want("navy", (), 1)], []),
        ([Want("navy", (Part("loops", 5),), -1)], []),
        ([], [Run("S1", "navy", "L1", 5, slack=-1)]),
        ([], [Run("S1", "navy", "L1", 5)] * 2),
    ],
)
def test_what_is_no_length_or_no_set_is_refused(
    wants: list[Want], runs: list[Run]
) -> None:
    """Lengths and counts start at one, slack at none; a run is told once."""
    with pytest.raises(ValueError, match=r"start|told"):
        plan_cuts(wants, runs, usable=1)
