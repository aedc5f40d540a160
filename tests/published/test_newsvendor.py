"""One item and one chance to bring it: figures from textbooks and packages.

Sources stand beside each case. "Read in print" means the figures were read there (or
in a package that prints them); "from memory" that they were recalled and recomputed.
Continuous quantities are compared rounded, as they were printed.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from planner.engines.counts import CountLaw, Rate, fit_shape
from planner.engines.demands import (
    Discrete,
    LogNormal,
    Lomax,
    Normal,
    TruncatedNormal,
    Uniform,
    standard_loss,
)
from planner.engines.newsvendor import (
    best_quantity,
    critical_ratio,
    mismatch_cost,
    outcome,
    scarf_quantity,
)


def test_normal_demand_by_costs_gives_the_printed_level_and_costs():
    """Snyder & Shen, Fundamentals of Supply Chain Theory 2e, examples 4.1 and 4.3
    and problem 4.1, as shipped in stockpyl 1.0.2; read in print."""
    small, large = Normal(50, 8), Normal(900, 60)
    best = small.quantile(0.7 / 0.88), large.quantile(79 / 122)
    costs = [mismatch_cost(small, q, over=0.18, under=0.7) for q in (best[0], 60, 40)]
    large_costs = [
        mismatch_cost(large, q, over=43, under=79) for q in (best[1], 1040, 922)
    ]

    assert best == pytest.approx((56.60395592743389, 922.7214038234755), abs=1e-6)
    assert costs == pytest.approx(
        [1.997605193176645, 2.156131552870387, 7.356131552870388], abs=1e-6
    )
    assert large_costs == pytest.approx(
        [2718.196781782411, 6044.298415188692, 2718.393552026199], abs=1e-5
    )


def test_normal_demand_by_price_gives_the_printed_quantity_and_profit():
    """Snyder & Shen 2e, example 4.2 (stockpyl 1.0.2), read in print; sales and
    leftover are an own case."""
    best = best_quantity(Normal(50, 8), price=1, cost=0.3, salvage=0.12)
    result = outcome(Normal(50, 8), best, price=1, cost=0.3, salvage=0.12)

    assert best == pytest.approx(56.60395592743389, abs=1e-9)
    assert result.profit == pytest.approx(33.002394806823354, abs=1e-9)
    assert (result.sold, result.left) == pytest.approx((49.0808033, 7.5231527))


def test_poisson_demand_gives_the_smallest_level_that_reaches_the_ratio():
    """Snyder & Shen 2e, example 4.7 without its fixed cost, and the docstring with
    mean 50 (stockpyl 1.0.2); read in print."""
    cases = [(CountLaw(6), 1, 4), (CountLaw(50), 0.18, 0.7)]
    best = [law.quantile(under / (under + over)) for law, over, under in cases]
    costs = [
        mismatch_cost(law, q, over=over, under=under)
        for (law, over, under), q in zip(cases, best, strict=True)
    ]

    assert best == [8, 56]
    assert costs == pytest.approx([3.570106945770946, 1.797235211809178], abs=1e-9)
    at_five = mismatch_cost(CountLaw(6), 5, over=1, under=4)
    assert at_five == pytest.approx(6.590296024616343, abs=1e-9)


def test_lognormal_demand_by_costs_gives_the_printed_level():
    """Snyder & Shen 2e, problem 4.8(b) (stockpyl 1.0.2), read in print."""
    law = LogNormal(6, 0.3)
    best = law.quantile(0.1765 / 1.1765)
    costs = [mismatch_cost(law, q, over=1, under=0.1765) for q in (best, 350)]

    assert best == pytest.approx(295.6266448071368, abs=1e-5)
    assert costs == pytest.approx([29.44254358213529, 34.588836685654854], abs=1e-5)


def test_a_second_order_at_a_premium_is_worth_what_the_wetsuit_case_says():
    """Cachon & Terwiesch, Matching Supply with Demand 3e, the wetsuit case, as printed
    in the tests of NewsvendorModel.jl; read in print. The first order of two only
    weighs the premium against what is lost on a wetsuit left over."""
    law = Normal(3192, 1181)
    once = outcome(law, 4186, price=190, cost=110, salvage=90)
    first_ratio = critical_ratio(price=110 + 22, cost=110, salvage=90)
    first = outcome(law, 3263, price=190, cost=110, salvage=90)

    assert critical_ratio(price=190, cost=110, salvage=90) == pytest.approx(0.8)
    assert round(law.quantile(0.8)) == 4186
    assert (once.profit, once.sold, once.lost, once.left) == pytest.approx(
        (222296.5, 3060.16, 131.84, 1125.84), abs=0.05
    )
    assert round(law.quantile(first_ratio)) == 3263
    assert first.lost == pytest.approx(436.502002733936, abs=1e-6)
    assert first.profit == pytest.approx(210289.7997266064, abs=1e-6)
    total = first.profit + (190 - 110 - 22) * first.lost
    assert total == pytest.approx(235606.9158851747, abs=1e-6)


def test_chances_and_profit_of_the_book_buyer_are_as_printed():
    """Cachon & Terwiesch 3e, the book case (NewsvendorModel.jl), read in print."""
    law = Normal(200, 80)
    chances = (1 - law.cdf(400), law.cdf(100), law.cdf(240) - law.cdf(160))
    profit = outcome(law, 300, price=20, cost=12, salvage=8).profit

    assert chances == pytest.approx(
        (0.006209665325776159, 0.10564977366685525, 0.38292492254802624), abs=1e-8
    )
    assert round(best_quantity(law, price=20, cost=12, salvage=8)) == 234
    assert law.quantile(0.95) == pytest.approx(331.58829015611775, abs=1e-8)
    assert profit == pytest.approx(1151.4366064267651, abs=1e-8)


PONY = Discrete(
    tuple(range(5000, 80000, 5000)),
    (
        *(0.0181, 0.0733, 0.1467, 0.1954, 0.1954, 0.1563, 0.1042, 0.0595, 0.0298),
        *(0.0132, 0.0053, 0.0019, 0.0006, 0.0002, 0.0001),
    ),
)


def test_listed_demand_takes_the_smallest_value_that_reaches_the_ratio():
    """Cachon & Terwiesch 3e, the costume case with a table of chances
    (NewsvendorModel.jl), read in print."""
    spread = math.sqrt(np.dot(np.square(PONY.values), PONY.chances) - PONY.mean**2)
    at_fifty = outcome(PONY, 50000, price=12, cost=6, salvage=2.5)
    worst = scarf_quantity(mean=PONY.mean, sd=spread, price=12, cost=6, salvage=2.5)

    assert best_quantity(PONY, price=12, cost=6, salvage=2.5) == 30000
    assert PONY.quantile(0.9) == 40000
    assert (at_fifty.left, at_fifty.sold) == pytest.approx((25061.0, 24939.0), abs=1e-6)
    at_all = outcome(PONY, 75000, price=12, cost=6, salvage=2.5)
    assert at_all.profit == pytest.approx(-25000.0, abs=1e-6)
    assert worst == pytest.approx(27726.15473567755, abs=1e-6)


def test_lognormal_demand_by_mean_and_sd_gives_the_printed_quantity():
    """Cachon & Terwiesch 3e, the lognormal case (NewsvendorModel.jl), read in print;
    that package's own test says 1111 because it passes the variance as sigma."""
    law = LogNormal.of(mean=1000, sd=600)
    result = outcome(law, 1129, price=121, cost=72, salvage=50)

    assert (law.mu, law.sigma**2) == pytest.approx(
        (6.754012929108157, 0.30748469974796055), abs=1e-12
    )
    assert round(best_quantity(law, price=121, cost=72, salvage=50)) == 1129
    assert result.profit == pytest.approx(33850.63, abs=0.05)
    assert (result.sold, result.lost, result.left) == pytest.approx(
        (826.6, 173.4, 302.4), abs=0.05
    )


NEWSSTAND = [
    *(15, 19, 9, 12, 9, 22, 4, 7, 8, 11, 14, 11, 6, 11, 9, 18, 10, 0, 14, 12, 8, 9),
    *(5, 4, 4, 17, 18, 14, 15, 8, 6, 7, 12, 15, 15, 19, 9, 10, 9, 16, 8, 11, 11, 18),
    *(15, 17, 19, 14, 14, 17, 13, 12),
]


def test_a_year_of_newsstand_sales_gives_the_printed_fit_and_quantity():
    """Nahmias & Olsen, Production and Operations Analysis 7e, the newsstand case
    (NewsvendorModel.jl), read in print. The sample sd by n - 1 and by n differ; the
    printed profit goes with n - 1."""
    law = Normal(float(np.mean(NEWSSTAND)), float(np.std(NEWSSTAND, ddof=1)))
    result = outcome(law, 15, price=75, cost=25, salvage=10)

    assert (law.mean, law.sd, float(np.std(NEWSSTAND))) == pytest.approx(
        (11.73076923076923, 4.740792457192357, 4.694986624931324), abs=1e-12
    )
    assert round(best_quantity(law, price=75, cost=25, salvage=10)) == 15
    assert result.profit == pytest.approx(492.69, abs=0.005)
    assert (result.sold, result.lost, result.left) == pytest.approx(
        (11.04, 0.69, 3.96), abs=0.005
    )


def test_a_low_ratio_brings_less_than_the_mean():
    """The worked example of an encyclopedia, normal(50, 20), as printed in the README
    of NewsvendorModel.jl; read in print."""
    result = outcome(Normal(50, 20), 39, price=7, cost=5)

    assert round(best_quantity(Normal(50, 20), price=7, cost=5)) == 39
    assert (result.profit, result.left) == pytest.approx(
        (52.40715617998893, 3.656120545715868), abs=1e-6
    )
    assert (result.sold, result.lost) == pytest.approx((35.34, 14.66), abs=0.005)


def test_binomial_demand_gives_the_printed_quantity_profit_and_cautious_rule():
    """NewsvendorModel.jl tests (binomial 2000, 0.02), read in print."""
    logs = [
        math.lgamma(2001) - math.lgamma(n + 1) - math.lgamma(2001 - n)
        + n * math.log(0.02) + (2000 - n) * math.log(0.98)
        for n in range(201)
    ]  # fmt: skip
    law = Discrete(tuple(range(201)), tuple(math.exp(x) for x in logs))
    best = best_quantity(law, price=45, cost=28, salvage=27)
    cautious = scarf_quantity(
        mean=40, sd=math.sqrt(40 * 0.98), price=45, cost=28, salvage=27
    )

    assert best == 50
    profit = outcome(law, best, price=45, cost=28, salvage=27).profit
    assert profit == pytest.approx(666.8822263692309, abs=1e-7)
    assert cautious == pytest.approx(52.14810563784474, abs=1e-7)


def test_truncated_normal_and_uniform_demand_give_the_printed_quantities():
    """NewsvendorModel.jl tests, read in print; the truncated one is conditioned on
    0..180, not clipped to it."""
    law = TruncatedNormal(90, 30, 0, 180)

    assert best_quantity(law, price=5, cost=1) == pytest.approx(
        115.16195141374729, abs=1e-8
    )
    assert best_quantity(Uniform(0, 60), price=5.5, cost=4) == pytest.approx(
        16.363636363636363, abs=1e-8
    )


def test_short_textbook_cases_from_memory_give_their_printed_quantities():
    """From memory, recomputed: shirts for a bowl game and a newspaper stand (Chase,
    Jacobs, Aquilano), uniform and normal demand (Stevenson), shoes (Anderson, Sweeney,
    Williams), exponential demand (Hillier & Lieberman)."""
    ratio = critical_ratio(price=45, cost=20, salvage=9)

    assert Normal(2400, 350).quantile(10 / 15) == pytest.approx(2551, abs=0.5)
    assert Normal(0, 1).quantile(0.6) == pytest.approx(0.253, abs=5e-4)
    assert best_quantity(Normal(90, 10), price=0.5, cost=0.2) == pytest.approx(
        93, abs=0.5
    )
    assert Uniform(300, 500).quantile(0.6 / 0.8) == pytest.approx(450)
    assert Normal(200, 10).quantile(0.6 / 0.8) == pytest.approx(206.75, abs=0.01)
    assert Uniform(350, 650).quantile(20 / 30) == pytest.approx(550)
    assert ratio == pytest.approx(0.69444, abs=5e-6)
    assert Lomax(10000).quantile(ratio) == pytest.approx(11856, abs=0.5)


@pytest.mark.parametrize(
    ("z", "printed"),
    [
        (0, 0.3989), (0.26, 0.2824), (0.5, 0.1978), (0.85, 0.11), (1, 0.0833),
        (1.5, 0.0293), (2, 0.0085), (-0.5, 0.6978), (-1, 1.0833),
    ],
)  # fmt: skip
def test_the_standard_loss_table_is_met_to_its_last_figure(z, printed):
    """Appendices of Cachon & Terwiesch and of Nahmias, from memory."""
    assert standard_loss(z) == pytest.approx(printed, abs=6e-5)


def test_of_four_likely_demands_the_second_is_brought():
    """Hillier & Lieberman's newsboy; statement read in print, answer by counting."""
    law = Discrete((15, 16, 17, 18), (0.4, 0.2, 0.3, 0.1))
    profits = [
        outcome(law, q, price=2.5, cost=1.5, salvage=0.5).profit for q in law.values
    ]

    assert best_quantity(law, price=2.5, cost=1.5, salvage=0.5) == 16
    assert profits == pytest.approx([15.0, 15.2, 15.0, 14.2], abs=1e-9)


def test_an_unknown_exponential_rate_brings_more_than_a_known_one():
    """Closed form b((1 - ratio)**(-1/a) - 1), equal to scipy.stats.lomax (own case,
    two methods agree)."""
    from scipy import stats

    law = Lomax(37, 5)

    assert law.quantile(0.75) == pytest.approx(11.821792698597086, abs=1e-9)
    assert law.quantile(0.75) == pytest.approx(stats.lomax.ppf(0.75, 5, scale=37))
    assert law.mean == pytest.approx(stats.lomax.mean(5, scale=37))


def test_a_fitted_count_of_mites_gives_quantities_losses_and_profit():
    """Bliss & Fisher's red mites fitted by maximum likelihood; own case: summation,
    the gamma-Poisson integral and the closed form agree."""
    counts = np.repeat(range(9), [70, 38, 17, 10, 9, 3, 2, 1, 0])
    law = CountLaw(1.1466666667, 1.02459239)
    best = [law.quantile(r) for r in (0.5, 0.8, 0.9, 0.95)]

    fitted = (float(counts.mean()), fit_shape(counts))
    assert fitted == pytest.approx((law.mean, law.shape), abs=1e-7)
    assert best == [1, 2, 3, 4]
    assert law.cdf(best) == pytest.approx(
        [0.713918989, 0.847926221, 0.919277109, 0.957189994], abs=1e-8
    )
    assert law.lost(best) == pytest.approx(
        [0.609919854, 0.323838843, 0.171765064, 0.091042173], abs=1e-8
    )
    assert law.left(best) == pytest.approx(
        [0.463253188, 1.177172177, 2.025098398, 2.944375507], abs=1e-8
    )
    profit = outcome(law, 2, price=10, cost=2).profit
    assert profit == pytest.approx(4.228278233, abs=1e-8)


def test_expected_shortage_of_poisson_demand_matches_its_table():
    """Poisson mean 4.5 (own case, two methods agree)."""
    table = [
        4.5,
        3.51111,
        2.57221,
        1.74579,
        1.08808,
        0.62019,
        0.32312,
        0.15417,
        0.06758,
    ]

    assert CountLaw(4.5).lost(range(9)) == pytest.approx(table, abs=1e-5)


STOCK = "stockpyl isn't installed: it is asked in tests only, pip install stockpyl"


@pytest.mark.parametrize("seed", range(6))
def test_a_package_for_stock_finds_the_same_levels_and_costs(seed):
    """stockpyl 1.0.2 as a second method on random Poisson cases."""
    newsvendor = pytest.importorskip("stockpyl.newsvendor", reason=STOCK)
    rng = np.random.default_rng(seed)
    over, under, mean = rng.uniform(0.1, 1), rng.uniform(0.5, 3), rng.uniform(0.5, 40)
    level, cost = newsvendor.newsvendor_poisson(over, under, mean)
    law = CountLaw(mean)

    assert law.quantile(under / (over + under)) == level
    assert mismatch_cost(law, level, over=over, under=under) == pytest.approx(cost)


@pytest.mark.parametrize("seed", range(6))
def test_a_package_for_stock_agrees_on_counts_that_spread_more_than_poisson(seed):
    """stockpyl's rule for a listed demand, given a negative binomial's chances."""
    newsvendor = pytest.importorskip("stockpyl.newsvendor", reason=STOCK)
    rng = np.random.default_rng(100 + seed)
    over, under = rng.uniform(0.1, 1), rng.uniform(0.5, 3)
    law = CountLaw(rng.uniform(0.5, 12), rng.uniform(0.5, 20))
    chances = {n: float(law.pmf(n)) for n in range(law.quantile(1 - 1e-12) + 1)}
    level, cost = newsvendor.newsvendor_discrete(over, under, demand_pmf=chances)

    assert law.quantile(under / (over + under)) == level
    assert mismatch_cost(law, level, over=over, under=under) == pytest.approx(
        cost, abs=1e-6
    )


def test_a_package_for_stock_agrees_on_normal_demand():
    """stockpyl's normal newsvendor, level and cost."""
    newsvendor = pytest.importorskip("stockpyl.newsvendor", reason=STOCK)
    level, cost = newsvendor.newsvendor_normal(0.4, 1.9, 31.0, 7.5)
    demand = Normal(31.0, 7.5)

    assert demand.quantile(1.9 / 2.3) == pytest.approx(level)
    assert mismatch_cost(demand, level, over=0.4, under=1.9) == pytest.approx(cost)


def test_a_posterior_rate_predicts_a_quantity_through_its_own_spread():
    """Own case by conjugacy: 8 bows in 12 hours on Rate(2, 4), 8 hours ahead."""
    law = Rate(2, 4).seen([5, 3], [4, 8]).over(8)

    assert law.quantile(0.75) == 7
