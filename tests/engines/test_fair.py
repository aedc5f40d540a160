"""The fair plan: against enumeration, against planted demand, and what it respects."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from scipy import integrate, stats

from planner.engines.fair import plan_fair
from planner.engines.fair_good import WEAR
from planner.engines.fair_salvage import CERTAIN
from planner.engines.fair_shelf import shares_worked
from planner.engines.habits import worked
from planner.errors import Unknown
from planner.events.base import Fact
from planner.events.bench import BowsFinished, BowsSpoiled
from planner.events.bows import BowsOpening
from planner.events.catalogue import Retired, SetNamed
from planner.events.fair import CrowdTold, FairPlanAccepted
from planner.events.fields import LineItem
from planner.events.orders import OrderReady, OrderTaken
from planner.events.shop import PriceSet, SettingChanged, WageSet

from .fair_toys import (
    AHEAD,
    PART,
    TODAY,
    YARD,
    ahead,
    fair,
    hours,
    past,
    set_up,
    told,
)

NAVY, RED, SMALL = "4in:navy", "4in:red", "2in:navy"
COST = 1_440 * PART / (100 * YARD)
"""Ribbon of one bow: 14.40 for 144 bows, 10 minor units each (FACTS' yield)."""
BEGUN = integrate.quad(lambda p: stats.beta(0.7, 30).pdf(p) / (1 - p), 0, 1)[0]
"""Bows begun for one that comes out well, before any was spoiled: by quadrature."""
EACH = 10 * BEGUN
"""Bench minutes of one bow."""


def plan(led, **asked):
    return plan_fair(led, ahead(led), today=TODAY, **asked)


def of(found, kind):
    return next(k for k in found.kinds if k.kind == kind)


def order(kind, count, due, code="O1"):
    line = LineItem(line=1, what=kind, count=count, price=900, kinds=((kind, 1),))
    return OrderTaken(order=code, lines=(line,), due=due)


def some_history():
    return [
        *past("F1", "2026-05-02", {NAVY: 8, RED: 6, SMALL: 6}, {NAVY: 8, RED: 2}),
        *past("F2", "2026-08-01", {NAVY: 8, RED: 6}, {NAVY: 7, RED: 3}),
        *past("F3", "2026-10-03", {NAVY: 10, RED: 4}, {NAVY: 9, RED: 4}),
    ]


def gone(*kinds):
    """Take all bows off the shelf, so that every bow has to be made."""
    from planner.events.bows import StockCounted

    return Fact(StockCounted(place="home", counts=(), whole=True), "2026-11-10")


# --- against enumeration ---------------------------------------------------------


def new_bow(kind):
    """Materials, and the work at a quarter of the price: no wage was told."""
    return kind.cost + kind.price / 4


def worth(kind, law, bring, free, salvage, later):
    """
    Add up profit over every demand there can be, by scipy's own negative binomial.

    The j-th bow left over, brought or not, is worth its salvage in part for certain
    and for the rest by the chance that the fairs `later` ask for j.
    """

    def chance(mean, shape):
        return stats.nbinom(shape, shape / (shape + mean))

    asked = np.arange(400)
    sold = np.minimum(asked, bring)
    after = chance(law.mean * later, law.shape * max(later, 1.0)).sf(asked)
    left = np.append(0.0, np.cumsum(salvage * (CERTAIN + (1 - CERTAIN) * after)))
    spent = new_bow(kind) * max(bring - free, 0) + WEAR * kind.price * bring
    profit = kind.price * sold + left[max(bring, free) - sold] - spent
    return float(chance(law.mean, law.shape).pmf(asked) @ profit)


@pytest.mark.parametrize("least", [0, 2, 4])
@pytest.mark.parametrize("minutes", [40, 75, 130, 1_000])
def test_small_plans_are_the_best_of_all_there_are(minutes, least):
    from planner.engines.fair_forecast import forecast

    sizes = {"2in": 500, "4in": 800}
    led = told(
        set_up(prices=sizes), fair(), some_history(), gone(),
        Fact(BowsOpening(bows=((NAVY, 2), (RED, 3))), "2026-11-20"),
    )  # fmt: skip
    found = plan(led, hours_minutes=minutes, at_least=least)
    laws = forecast(led, ahead(led), tuple(k.kind for k in found.kinds), price=600)
    free, later = {NAVY: 2, RED: 3}, found.basis.later
    assert later == pytest.approx(3 * 90 / 365)

    def total(counts):
        return sum(
            worth(k, laws.law(k.kind), n, free.get(k.kind, 0), 0.4 * new_bow(k), later)
            for k, n in zip(found.kinds, counts, strict=True)
        )

    def fits(counts):
        made = sum(
            max(n - free.get(k.kind, 0), 0)
            for k, n in zip(found.kinds, counts, strict=True)
        )
        return EACH * made <= minutes and all(n == 0 or n >= least for n in counts)

    top = [max(k.bring, 2) + 3 for k in found.kinds]
    best = max(filter(fits, itertools.product(*(range(n) for n in top))), key=total)

    assert total([k.bring for k in found.kinds]) == pytest.approx(total(best))
    assert sum(k.make for k in found.kinds) * EACH <= minutes


# --- with little to go by ----------------------------------------------------------


def test_a_first_fair_rests_on_her_guess_and_its_range_is_wide():
    led = told(set_up(), fair(guess_total=40))

    found = plan(led)

    assert found.basis.source == "guess"
    assert sum(k.wanted for k in found.kinds) == pytest.approx(40, rel=0.02)
    assert found.sold_low < 15 < 33 < found.sold_high


def test_without_even_a_guess_takings_are_four_and_a_half_times_the_fee():
    led = told(set_up(), fair(fee=6_000))

    found = plan(led)

    assert found.basis.source == "rule of thumb"
    assert sum(k.wanted * k.price for k in found.kinds) == pytest.approx(
        4.5 * 6_000, rel=0.02
    )


def test_a_guess_of_one_kind_leaves_the_others_possible_but_smaller():
    led = told(set_up(), fair(guess=((NAVY, 12),)))

    found = plan(led)

    assert of(found, NAVY).wanted > 1.9 * of(found, RED).wanted > 0


def test_a_kind_guessed_at_none_stays_at_home():
    led = told(set_up(), fair(guess=((NAVY, 12), (RED, 0))))

    assert RED not in [k.kind for k in plan(led).kinds]


def test_more_sold_than_guessed_moves_the_forecast_from_the_guess():
    quiet = told(set_up(), fair(guess_total=8))
    seen = told(set_up(), fair(guess_total=8), some_history())

    assert of(plan(seen), NAVY).wanted > 2 * of(plan(quiet), NAVY).wanted


def test_nothing_with_a_price_is_refused_with_what_to_type():
    led = told([e for e in set_up() if not isinstance(e, PriceSet)], fair())

    with pytest.raises(Unknown, match="No kind has a price"):
        plan(led)


# --- what past fairs hide ----------------------------------------------------------


def test_a_kind_that_always_sold_out_is_expected_to_sell_more_than_it_did():
    led = told(
        set_up(), fair(),
        past("F1", "2026-05-02", {NAVY: 4, RED: 9}, {NAVY: 4, RED: 4}),
        past("F2", "2026-08-01", {NAVY: 4, RED: 9}, {NAVY: 4, RED: 4}),
        past("F3", "2026-10-03", {NAVY: 4, RED: 9}, {NAVY: 4, RED: 4}),
    )  # fmt: skip
    found = plan(led)

    assert of(found, NAVY).wanted > 5
    assert of(found, NAVY).bring > of(found, RED).bring


def test_selling_out_early_says_more_than_selling_out_unseen():
    def wanted(at):
        led = told(
            set_up(), fair(),
            past("F1", "2026-05-02", {NAVY: 4, RED: 9}, {NAVY: 4, RED: 4},
                 out={NAVY: at}),
            past("F2", "2026-08-01", {NAVY: 4, RED: 9}, {NAVY: 4, RED: 4},
                 out={NAVY: at}),
        )  # fmt: skip
        return of(plan(led), NAVY).wanted

    assert wanted("11:00") > wanted(None) > wanted("16:00")


def test_a_kind_never_brought_is_brought_for_its_size_and_colour():
    led = told(
        set_up(), fair(), some_history(),
        Fact(BowsOpening(bows=(("2in:red", 1),)), "2026-11-02"),
    )  # fmt: skip
    found = of(plan(led), "2in:red")

    assert found.seen.brought == 0
    assert found.wanted > 0
    assert found.bring > 0


def test_a_packed_fair_is_expected_to_ask_for_more_than_a_quiet_one():
    def total(crowd):
        led = told(set_up(), fair(crowd=crowd), some_history())
        return sum(k.wanted for k in plan(led).kinds)

    assert total(5) == pytest.approx(5 * total(1), rel=0.1)


def test_a_word_on_past_crowds_narrows_what_a_fair_may_ask_for():
    """The same sales; where a usual crowd is her word, fewer of them are luck."""
    word = Fact(CrowdTold(fair="F1", crowd=3), "2026-05-02")
    untold, known = (
        plan(told(set_up(), fair(), some_history(), *more)) for more in ((), (word,))
    )

    assert untold.basis.crowd_untold == "F3"
    assert not known.basis.crowd_untold
    assert known.sold == pytest.approx(untold.sold, rel=0.05)
    few, many = (plan_.sold_high - plan_.sold_low for plan_ in (known, untold))
    assert few < many


def test_a_number_on_show_that_no_kind_is_worth_brings_nothing():
    led = told(set_up(), fair(), some_history())

    assert plan(led, at_least=90).bring == ()
    assert plan(led, at_least=100_000).bring == ()


# --- limits ------------------------------------------------------------------------


def test_fewer_bench_hours_make_fewer_bows_and_less_money():
    led = told(set_up(), fair(), some_history(), gone())
    plans = [plan(led, hours_minutes=m) for m in (0, 60, 120, 2_000)]

    assert [p.make for p in plans][:3] == [0, 5, 11]
    assert plans[3].make > 11
    profits = [p.profit for p in plans]
    assert profits == sorted(profits)


def test_one_more_hour_is_worth_what_planning_with_it_gives():
    led = told(set_up(), fair(), some_history(), gone())
    less, more = (plan(led, hours_minutes=m) for m in (60, 120))
    (bench,) = (x for x in less.limits if x.what == "bench")

    assert bench.binds
    assert bench.worth is not None
    # What is left may sell later, which this reckons by a flat share: hence "about".
    assert bench.worth == pytest.approx(value(more) - value(less), rel=0.03)


def value(found):
    """What the choice looks at: salvage of what is left, work and wear reckoned in."""
    return sum(
        k.price * k.sold + 0.4 * new_bow(k) * k.left
        - new_bow(k) * k.make - WEAR * k.price * k.bring
        for k in found.kinds
    )  # fmt: skip


ALL_HOURS = SettingChanged(name="bench sureness", value="0")
"""Count on all the bench hours, whatever her record of working them."""


def test_evenings_until_the_fair_are_the_limit_and_orders_come_first():
    free = told(set_up(), ALL_HOURS, hours(), fair(), some_history(), gone())
    busy = told(
        set_up(), ALL_HOURS, hours(), fair(), some_history(), gone(),
        Fact(order(RED, 9, "2026-11-27"), "2026-11-20"),
    )  # fmt: skip

    def bench(led):
        return next(x.available for x in plan(led).limits if x.what == "bench")

    assert (bench(free), bench(busy)) == (3 * 120, 3 * 120 - round(9 * EACH))


def test_an_order_due_long_after_takes_only_the_hours_it_lacks_afterwards():
    def bench(due):
        led = told(
            set_up(), ALL_HOURS, hours(), fair(), some_history(), gone(),
            Fact(order(RED, 30, due), "2026-11-20"),
        )  # fmt: skip
        return next(x.available for x in plan(led).limits if x.what == "bench")

    # 307 minutes of work; two evenings (29, 30 Nov) come before 1 December.
    assert bench("2026-12-01") == 360 - (round(30 * EACH) - 240)
    assert bench("2026-12-12") == 360


def test_bench_minutes_are_there_as_often_as_stated():
    """
    Other weeks drawn from her habits and luck reach them in that share of cases.

    In each so many bows are begun, one after the other, as come out well; a minute is
    worth what it is to an expected bow.
    """
    rng = np.random.default_rng(11)
    led = told(set_up(), hours(), fair(), some_history(), gone())
    usual = worked(led, TODAY)
    weeks = 120 * shares_worked(usual, rng, 3, 20_000).sum(axis=0)
    well = round(float(weeks.mean()) / 2 / 10)
    lost = rng.negative_binomial(well, 1 - rng.beta(0.7, 30, size=(2, 20_000)))
    weeks *= 2 * well * BEGUN / (2 * well + lost.sum(axis=0))

    def bench(sure):
        changed = SettingChanged(name="bench sureness", value=str(sure))
        led = told(set_up(), changed, hours(), fair(), some_history(), gone())
        return next(x.available for x in plan(led).limits if x.what == "bench")

    found = [bench(sure) for sure in (50, 80, 95)]
    met = [float((weeks >= minutes).mean()) for minutes in found]
    assert met == pytest.approx([0.5, 0.8, 0.95], abs=0.02)


def test_minutes_she_named_are_taken_at_her_word():
    led = told(set_up(), hours(), fair(), some_history(), gone())

    assert plan(led, hours_minutes=130).limits[0].available == 130


def test_without_bench_hours_two_a_day_are_taken_and_it_says_so():
    found = plan(told(set_up(), fair(), some_history(), gone()))

    assert "bench hours" in found.basis.untold
    assert [x.what for x in found.limits] == ["bench", "ribbon", "ribbon"]
    assert found.limits[0].available == 120 * days_to_the_fair()


def days_to_the_fair():
    return (date.fromisoformat(ahead(told(set_up(), fair())).first_day) - TODAY).days


def test_a_fair_of_today_has_no_bench_hours_before_it():
    led = told(set_up(), fair(guess_total=40))
    first = date.fromisoformat(ahead(led).first_day)
    found = plan_fair(led, ahead(led), today=first)

    assert sum(k.make for k in found.kinds) == 0


def test_her_wage_keeps_the_plan_sensible():
    free = told(set_up(), fair(), some_history(), gone())
    paid = told(set_up(), fair(), some_history(), gone(), WageSet(an_hour=2_400))

    # Ten minutes at 24.00 an hour are 4.00, half of the price and not a quarter.
    assert plan(paid).make < 0.8 * plan(free).make


def test_ribbon_that_is_not_there_is_not_cut():
    led = told(set_up(spools={"navy": 100, "red": 1}), fair(), some_history(), gone())
    found = plan(led)

    assert sum(k.make for k in found.kinds if k.kind.endswith(":red")) == 1
    (red,) = (x for x in found.limits if x.code == "red")
    assert (red.needed, red.available) == (pytest.approx(PART * BEGUN, abs=1), YARD)
    assert red.binds


def test_a_small_table_takes_the_bows_that_earn_most():
    led = told(
        set_up(prices={"2in": 300, "4in": 900}), fair(), some_history(),
        Fact(BowsOpening(bows=((SMALL, 9), (NAVY, 9))), "2026-11-20"),
    )  # fmt: skip
    found = plan(led, table=6)

    assert sum(n for _, n in found.bring) == 6
    assert of(found, SMALL).bring == 0


def test_materials_stay_within_what_she_will_spend():
    led = told(set_up(), fair(), some_history(), gone())

    assert plan(led, spend=50).make == 4
    assert plan(led, spend=52).make == 5


def test_kinds_come_with_so_many_or_not_at_all():
    led = told(set_up(), fair(), some_history(), gone())
    found = plan(led, at_least=4, hours_minutes=130)

    assert all(k.bring == 0 or k.bring >= 4 for k in found.kinds)
    assert 8 <= found.make <= 13
    assert sum(turn.count for turn in found.turns) == found.make
    assert found.basis.gap == 0


# --- bows there are ----------------------------------------------------------------


def test_bows_there_are_come_before_new_ones_are_made():
    led = told(
        set_up(), fair(), some_history(), gone(),
        Fact(BowsOpening(bows=((NAVY, 3), (RED, 30))), "2026-11-20"),
    )  # fmt: skip
    found = plan(led)

    assert (of(found, RED).make, of(found, NAVY).have) == (0, 3)
    assert all(k.have + k.make == k.bring for k in found.kinds)
    # Of thirty red ones only as many as may sell: 13 of 18 sold at three fairs.
    assert 6 <= of(found, RED).bring < 30


def test_bows_set_aside_for_an_order_stay_at_home():
    led = told(
        set_up(), fair(), some_history(), gone(),
        Fact(BowsOpening(bows=((NAVY, 5),)), "2026-11-20"),
        Fact(order(NAVY, 4, "2026-12-20"), "2026-11-21"),
        Fact(OrderReady(order="O1"), "2026-11-22"),
    )  # fmt: skip

    assert of(plan(led, hours_minutes=0), NAVY).have == 1


def test_an_open_order_due_soon_gets_the_bows_there_are():
    led = told(
        set_up(), fair(), some_history(), gone(),
        Fact(BowsOpening(bows=((NAVY, 5),)), "2026-11-20"),
        Fact(order(NAVY, 4, "2026-11-30"), "2026-11-21"),
        Fact(order(NAVY, 4, "2026-12-30", "O2"), "2026-11-21"),
    )  # fmt: skip

    assert of(plan(led, hours_minutes=0), NAVY).have == 1


def test_a_plan_accepted_for_this_fair_does_not_take_its_bows_from_it():
    told_before = [
        *set_up(), fair(), *some_history(), gone(),
        Fact(BowsOpening(bows=((NAVY, 5),)), "2026-11-20"),
    ]  # fmt: skip
    accepted = Fact(
        FairPlanAccepted(fair=AHEAD, bring=((NAVY, 5),), head=""), "2026-11-24"
    )

    assert of(plan(told(told_before, accepted)), NAVY).have == 5


def test_what_is_no_longer_made_is_sold_off_and_not_made():
    led = told(
        set_up(), fair(), some_history(), gone(),
        Fact(BowsOpening(bows=((RED, 2),)), "2026-11-20"), Retired(what="red"),
    )  # fmt: skip
    found = of(plan(led), RED)

    assert (found.have, found.make) == (2, 0)


# --- what to make first -----------------------------------------------------------


def test_turns_add_up_to_what_is_to_be_made_and_start_with_what_adds_most():
    led = told(
        set_up(prices={"2in": 300, "4in": 900}), fair(), some_history(), gone()
    )  # fmt: skip
    found = plan(led, hours_minutes=200)
    made = {k.kind: k.make for k in found.kinds if k.make}
    counted = dict.fromkeys(made, 0)
    for turn in found.turns:
        counted[turn.kind] += turn.count

    assert counted == made
    assert sum(t.minutes for t in found.turns) <= 200
    assert found.turns[0].kind.startswith("4in")
    assert found.turns[0].spools in (("S1",), ("S2",))


# --- the whole ----------------------------------------------------------------------


def test_figures_of_the_whole_are_the_sums_of_the_kinds():
    led = told(set_up(), fair(fee=3_000), some_history(), gone())
    found = plan(led)

    assert found.sold == pytest.approx(sum(k.sold for k in found.kinds))
    assert found.takings == round(sum(k.sold * k.price for k in found.kinds))
    assert found.materials == round(COST * BEGUN * found.make)
    assert found.profit == found.takings - 3_000 - found.materials
    assert found.sold_low <= found.sold <= found.sold_high
    assert all(k.sold + k.left == pytest.approx(k.bring) for k in found.kinds)


def test_the_same_ledgers_and_seed_give_the_same_plan():
    led = told(set_up(), fair(), some_history())
    again = told(set_up(), fair(), some_history())

    assert plan(led) == plan(again)
    assert plan(led, seed=7) != plan(led)
    assert undrawn(plan(led, seed=7)) == undrawn(plan(led))


def undrawn(found):
    """Leave out what is found by drawing fairs by chance."""
    drawn = dict.fromkeys(("sold_low", "sold_high", "takings_low", "takings_high"), 0)
    kinds = tuple(replace(kind, spread=None) for kind in found.kinds)
    return replace(found, **drawn, sold_spread=None, kinds=kinds)


# --- planted demand ---------------------------------------------------------------

SIZES, COLOURS = ("2in", "4in", "6in"), ("navy", "red", "mint", "rose")
PRICES = {"2in": 450, "4in": 800, "6in": 1_200}
KINDS = [f"{s}:{c}" for s in SIZES for c in COLOURS]
SHOCK, BENCH = 9.0, 300


def planted(seed):
    """Give true bows an hour by kind, and six past fairs of a maker going by feel."""
    rng = np.random.default_rng(seed)
    size = np.exp(rng.normal(0, 0.5, len(SIZES)))
    colour = np.exp(rng.normal(0, 0.5, len(COLOURS)))
    rate = np.outer(size, colour).ravel() * np.exp(rng.normal(0, 0.25, len(KINDS)))
    rate *= rng.uniform(3.5, 7.0) / rate.sum()
    facts, bring = [], np.full(len(KINDS), 3)
    for f in range(6):
        wanted = rng.poisson(rate * 6 * rng.gamma(SHOCK, 1 / SHOCK))
        packed = {k: int(n) for k, n in zip(KINDS, bring, strict=True) if n}
        sold = {k: int(min(w, n)) for k, w, n in zip(KINDS, wanted, bring, strict=True)}
        facts += past(f"F{f}", f"2026-0{f + 3}-07", packed, sold)
        bring = np.clip(bring + np.sign(wanted - bring + 0.5).astype(int), 1, 9)
    return rate, facts, dict(zip(KINDS, bring.tolist(), strict=True))


def true_profit(bring, rate):
    """Expected takings less materials of all bows under the planted law."""
    total = 0.0
    for kind, r in zip(KINDS, rate, strict=True):
        n = bring.get(kind, 0)
        p = SHOCK / (SHOCK + 6 * r)
        sold = float((1 - stats.nbinom.cdf(np.arange(n), SHOCK, p)).sum())
        total += PRICES[kind.split(":")[0]] * sold - COST * n
    return total


def clairvoyant(rate, bows):
    """Bring the bows that add most, one by one: all take the same minutes."""
    steps = []
    for kind, r in zip(KINDS, rate, strict=True):
        p = SHOCK / (SHOCK + 6 * r)
        chance = 1 - stats.nbinom.cdf(np.arange(bows), SHOCK, p)
        gains = PRICES[kind.split(":")[0]] * chance - COST
        steps += [(gain, kind) for gain in gains if gain > 0]
    best = sorted(steps, reverse=True)[:bows]
    return {kind: sum(k == kind for _, k in best) for kind in KINDS}


def same_as_last_time(bring, bows):
    """Bring what she would bring by feel, cut evenly to what can be made."""
    total = sum(bring.values())
    return {k: math.floor(n * min(bows / total, 1)) for k, n in bring.items()}


def test_plans_come_near_the_clairvoyant_and_beat_the_same_as_last_time():
    """40 invented shops, each with six past fairs and five hours at the bench."""
    shares, beaten = [], []
    for seed in range(40):
        rate, facts, usual = planted(seed)
        led = told(set_up(SIZES, COLOURS, prices=PRICES), fair(), facts, gone())
        found = dict(plan(led, hours_minutes=BENCH).bring)
        best = true_profit(clairvoyant(rate, BENCH // 10), rate)
        got = true_profit(found, rate)
        shares.append(got / best)
        beaten.append(got - true_profit(same_as_last_time(usual, BENCH // 10), rate))

    assert np.mean(shares) > 0.95
    assert min(shares) > 0.85
    assert max(shares) <= 1 + 1e-9
    # Better on average by far more than chance would have it (paired, two-sided).
    assert np.mean(beaten) > 3 * np.std(beaten, ddof=1) / math.sqrt(len(beaten))


# --- bows spoiled on the way -------------------------------------------------------


def test_spoiled_bows_cost_ribbon_money_and_minutes():
    """
    As many as it takes, one after the other, by the chance her record leaves open.

    Ten of fifty 4in were spoiled, which the whole shop's share draws to the middle.
    """
    made = [
        Fact(BowsFinished(batch="B1", made=NAVY, count=40, revision=1), "2026-04-01"),
        Fact(BowsSpoiled(made=NAVY, count=10, revision=1), "2026-04-01"),
    ]
    led = told(set_up(), fair(), some_history(), made, gone())
    found = plan(led, hours_minutes=120)
    navy, red = of(found, NAVY), of(found, RED)

    share = (0.7 + 10) / (0.7 + 30 + 50)
    rng = np.random.default_rng(3)
    chance = rng.beta(40 * share + 10, 40 * (1 - share) + 40, 400_000)
    begun = float(rng.geometric(1 - chance).mean())
    assert navy.spoiled == pytest.approx(begun - 1, rel=0.01)
    assert navy.cost == red.cost == pytest.approx(COST * begun, rel=0.01)
    assert navy.minutes == pytest.approx(10 * begun, rel=0.01)
    limits = {(x.what, x.code): x.needed for x in found.limits}
    each = {k.kind: k.make * (1 + k.spoiled) for k in found.kinds}
    assert limits["bench", ""] == pytest.approx(10 * sum(each.values()), abs=1)
    assert limits["ribbon", "red"] == pytest.approx(
        PART * sum(each[k] for k in each if k.endswith("red")), rel=1e-6
    )
    assert found.spoiled == pytest.approx(sum(each.values()) - found.make)
    assert found.materials == pytest.approx(COST * sum(each.values()), abs=1)


# --- sets ---------------------------------------------------------------------------


def test_a_kind_sold_only_in_pairs_comes_in_pairs():
    """Half as many pairs are wanted as bows; each is one choice, made and priced."""
    pair = [
        SetNamed(set="navy-pair", name="Pair of navy", kinds=(("4in:navy", 2),)),
        PriceSet(what="navy-pair", channel="fair", price=1_500),
    ]
    shop = [e for e in set_up() if not (e.kind == "price-set" and e.what == "4in")]
    led = told(shop, pair, fair(), some_history(), gone(),
               Fact(BowsOpening(bows=((NAVY, 3),)), "2026-11-20"))  # fmt: skip
    found = plan(led, hours_minutes=200)
    navy = of(found, NAVY)

    assert (navy.bring % 2, navy.have, navy.price) == (0, 3, 750)
    assert [(x.bows, 2 * x.bring, x.price) for x in found.sets] == [
        (((NAVY, 2),), navy.bring, 1_500)
    ]
    assert navy.in_sets == navy.bring
    assert navy.bring > 2
    assert navy.sold + navy.left == pytest.approx(navy.bring)
    assert found.basis.unpriced == (RED,)
    turns = [turn for turn in found.turns if turn.kind == NAVY]
    assert sum(turn.count for turn in turns) == navy.make
    assert sum(turn.minutes for turn in turns) == pytest.approx(EACH * navy.make, abs=1)
