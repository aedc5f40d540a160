"""Each order's chance against a simulation in plain Python, one draw at a time."""

from __future__ import annotations

import math
from datetime import date, timedelta
from random import Random

import numpy as np
import pytest

from planner.engines.draws import DRAWS, Draws
from planner.engines.due import due_dates
from planner.engines.habits import spoilage, worked
from planner.engines.odds import odds
from planner.engines.pace import BOUND, pace
from planner.engines.work import draft, look_ahead
from planner.events.base import Fact
from planner.events.bench import BowsFinished, BowsSpoiled, SittingLogged
from planner.events.bows import BowsOpening
from planner.fold import fold_facts

from .due_toys import (
    GLUED,
    HOURS,
    NAVY,
    NOW,
    RED,
    SHOP,
    TODAY,
    ZONE,
    at,
    on_the_way,
    order,
    spool,
    told,
)


def lived(seed):
    """Tell of a shop with some sittings, some spoiled bows and open orders."""
    luck, facts = Random(seed), [Fact(e, "2026-10-01") for e in (*SHOP, HOURS)]
    day = date(2026, 10, 2)
    for n in range(luck.randint(0, 30)):
        day += timedelta(days=1)
        kind, count = luck.choice((NAVY, RED, GLUED)), luck.randint(2, 10)
        minutes = round(20 + count * 11 * math.exp(luck.gauss(0, 0.2)))
        planned = SittingLogged(sitting=f"T{n}", minutes=minutes, planned=120)
        made = BowsFinished(
            batch=f"B{n}", made=kind, revision=1, count=count, sitting=f"T{n}"
        )
        facts += [Fact(planned, day.isoformat()), Fact(made, day.isoformat())]
        if luck.random() < 0.2:
            lost = BowsSpoiled(made=kind, revision=1, count=1, sitting=f"T{n}")
            facts.append(Fact(lost, day.isoformat()))
    for n in range(1, luck.randint(2, 5)):
        due = (TODAY + timedelta(days=luck.randint(1, 8))).isoformat()
        kinds = {luck.choice((NAVY, RED, GLUED)): luck.randint(2, 14)}
        facts.append(Fact(order(f"O{n}", due, kinds), "2026-11-20"))
    return fold_facts(list(enumerate(facts, 1)), zone=ZONE)


class Plain:
    """The same laws, drawn and worked through one by one."""

    def __init__(self, led, seed, ahead=None):
        self.luck = Random(seed)
        self.ahead = ahead or look_ahead(led, now=NOW, today=TODAY)
        self.plan = draft(self.ahead)
        self.pace, self.usual = pace(led), worked(led, TODAY)
        self.spoiled = spoilage(led)
        self.root = np.linalg.cholesky(np.linalg.inv(self.pace.law.precision)).tolist()
        self.rows = {
            t.job.key: self.pace.row(t.kind.partition(":")[0], t.bows / 2).tolist()
            for t in self.plan.tasks
        }

    def normal_law(self, law, root):
        spread = math.sqrt(law.rate / self.luck.gammavariate(law.shape, 1))
        steps = [self.luck.gauss(0, 1) for _ in law.mean]
        means = [
            m + spread * sum(r * z for r, z in zip(row, steps, strict=True))
            for m, row in zip(law.mean, root, strict=True)
        ]
        return means, spread

    def minutes(self, task, means, spread, spoils):
        code = task.kind.partition(":")[0]
        row = self.rows[task.job.key]
        lost = made = 0
        while made < task.bows:
            if self.luck.random() < spoils[code]:
                lost += 1
            else:
                made += 1
        log = sum(m * x for m, x in zip(means, row, strict=True))
        log += spread * math.sqrt(self.pace.within / task.bows) * self.luck.gauss(0, 1)
        return task.set_up + (task.bows + lost) * math.exp(log) / 60

    def once(self):
        means, spread = self.normal_law(self.pace.law, self.root)
        law = self.usual.log_share
        share, wide = self.normal_law(law, [[1 / math.sqrt(law.precision[0, 0])]])
        first = self.luck.betavariate(
            self.usual.after_worked.yes, self.usual.after_worked.no
        )
        again = self.luck.betavariate(
            self.usual.after_missed.yes, self.usual.after_missed.no
        )
        spoils = {
            c: self.luck.betavariate(x.yes, x.no) for c, x in self.spoiled.items()
        }
        tasks = sorted(self.plan.tasks, key=lambda t: t.job.off_bench)
        left = [self.minutes(t, means, spread, spoils) for t in tasks]
        off = {t.job.key: math.inf for t in tasks}
        missed, turn = self.usual.missed_last, 0
        for begin, end in self.ahead.clock.line.windows:
            kept = math.exp(
                min(
                    max(share[0] + wide * self.luck.gauss(0, 1), math.log(0.1)),
                    math.log(1.5),
                )
            )
            slow = math.exp(min(max(spread * self.luck.gauss(0, 1), -BOUND), BOUND))
            missed = self.luck.random() < (again if missed else first)
            rate, clock = kept / slow, begin
            while not missed and turn < len(tasks) and clock < end:
                done = min(left[turn], (end - clock) * rate)
                left[turn] -= done
                clock += done / rate
                if left[turn] > 1e-9:
                    break
                off[tasks[turn].job.key] = clock
                turn += 1
        return off

    def chances(self, times):
        met = dict.fromkeys((w.order.code for w in self.plan.works), 0)
        for _ in range(times):
            off = self.once()
            for work in self.plan.works:
                late = any(off[t.job.key] > t.job.off_bench + 1e-6 for t in work.tasks)
                met[work.order.code] += not late
        return {code: count / times for code, count in met.items()}


@pytest.mark.parametrize("seed", range(12))
def test_chances_are_those_of_a_plain_simulation(seed):
    """Random shops with all their ribbon here; within four standard errors."""
    led, times = lived(seed), 3000
    plain = Plain(led, seed).chances(times)
    found = odds(
        Draws(look_ahead(led, now=NOW, today=TODAY)),
        draft(look_ahead(led, now=NOW, today=TODAY)),
    )

    for code, chance in plain.items():
        error = math.sqrt(0.25 / times + 0.25 / DRAWS)
        assert found[code].chance == pytest.approx(chance, abs=4 * error)


def chance(*events, **how):
    made = due_dates(told(*events, **how), now=NOW, today=TODAY, draws=DRAWS)
    return {one.code: one.chance for one in made.orders}


def test_the_same_question_has_the_same_answer():
    one = order("O1", "2026-11-25", {NAVY: 9})
    assert chance(one) == chance(one)


def test_what_is_ready_is_in_time_unless_its_day_has_gone_by():
    here = BowsOpening(bows=((NAVY, 9),))
    assert chance(here, order("O1", "2026-11-25", {NAVY: 9})) == {"O1": 1.0}
    assert chance(here, order("O1", "2026-11-20", {NAVY: 9})) == {"O1": 0.0}


def test_an_order_of_another_that_comes_later_changes_nothing():
    """Common random numbers: what goes before is drawn alike in both plans."""
    first = order("O1", "2026-11-25", {NAVY: 9})
    with_more = chance(first, order("O2", "2026-11-29", {RED: 30}))
    assert with_more["O1"] == chance(first)["O1"]


def test_more_work_before_it_never_makes_an_order_surer():
    last = order("O9", "2026-11-27", {NAVY: 9})
    found = [
        chance(last, *(order(f"O{n}", "2026-11-25", {RED: 7}) for n in range(1, more)))
        for more in (1, 2, 3, 4)
    ]
    steps = [one["O9"] for one in found]
    assert steps == sorted(steps, reverse=True)
    assert steps[0] > steps[-1]


def test_what_waits_for_a_restock_is_only_as_sure_as_that():
    shop = tuple(e for e in SHOP if getattr(e, "spool", "") != "S1")
    late = on_the_way("R1", "navy", 50, "2026-11-25", "2026-11-28")
    order_ = order("O1", "2026-11-27", {NAVY: 2})
    here, waits = chance(order_)["O1"], chance(order_, late, shop=shop)["O1"]
    assert here > 0.95
    assert 0.2 < waits < here - 0.1


def test_bows_that_spoil_cost_ribbon_as_well_as_time():
    """Ten bows, ribbon for just ten: any that spoils can't be made again."""
    shop = tuple(e for e in SHOP if getattr(e, "spool", "") != "S1")
    order_ = order("O1", "2026-12-12", {NAVY: 10})
    just, more = (
        chance(order_, spool("S9", "navy", yards), shop=shop)["O1"]
        for yards in (10, 20)
    )
    whole = spoilage(told(shop=shop))["bow"].of(10)
    assert more > 0.99
    # All ten come out well with the beta-binomial's chance.
    assert just == pytest.approx(more * whole[0], abs=0.03)


def test_early_likely_and_late_are_moments_of_her_bench_hours():
    made = due_dates(told(order("O1", "2026-11-26", {NAVY: 12})), now=NOW, today=TODAY,
                     draws=DRAWS).orders[0]  # fmt: skip
    assert at(23, "20:00") < made.early <= made.likely <= made.late
    assert {moment.hour for moment in (made.early, made.likely, made.late)} <= {
        20,
        21,
        22,
    }
