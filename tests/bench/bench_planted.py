"""
Measure the fair's engine on planted shops; prints, asserts nothing.

Run `PYTHONPATH=. python tests/bench/bench_planted.py [SHOPS] [SEED]`.  Two sorts of
shops, half of each: full tables at which nothing sells out (colour effects, shock,
regret by the number of past fairs), and short ones at which kinds sell out at known
hours (the share that turns to another colour).  Coverage is of intervals at 90 %.
"""

from __future__ import annotations

import sys

import numpy as np
from scipy import special

from planner.engines.counts import at_most
from planner.engines.pooling import History, Pooled, pool, settle
from planner.engines.pooling_effects import effects_of
from planner.engines.pooling_fit import (
    fair_terms,
    first_state,
    model_of,
    rates_of,
)
from planner.engines.pooling_grid import (
    SHAPES,
    SHOCK_CENTRE,
    SHOCK_SPREAD,
    fair_worths,
)
from planner.engines.substitution import Stalls, fit_substitution
from tests.engines.planted_fairs import HOURS, Planted, plant

FAIRS = (0, 1, 3, 6, 10)
RATIO, PRICE, COST, SALVAGE = (1 - 0.35) / (1 - 0.15), 1.0, 0.35, 0.15
MOST = np.arange(200.0)[:, None]
COMING = 20
"""Coming fairs that a plan is played on."""
SHOCKS = 0.7
"""Spread of the log of the planted shocks about 8."""


def _past(shop: Planted, fairs: int) -> History:
    """Give the first fairs of a shop, with the hours its kinds sold out."""
    cut = HOURS * shop.gone[:fairs]
    hidden = np.zeros(cut.shape, bool)
    return History(shop.sold[:fairs], cut, hidden, shop.size, shop.colour)


def known(shop: Planted, fairs: int) -> Pooled:
    """Fit to the first fairs of a shop, or to a guess of half to twice its truth."""
    guess = None
    if not fairs:
        rng = np.random.default_rng(int(shop.sold.sum()))
        guess = float(shop.rates.sum() * np.exp(rng.normal(0, 0.35)))
    return pool(_past(shop, fairs), guess=guess)


def bring(mean: np.ndarray, shape: np.ndarray | float) -> np.ndarray:
    """Give the newsvendor's quantities."""
    return np.argmax(at_most(MOST, mean=mean, shape=shape) >= RATIO, axis=0)


def regret(shop: Planted, fairs: int, rng: np.random.Generator) -> float:
    """Give the share of the profit lost against one who knows rates and shock."""
    fitted = known(shop, fairs)
    own, common = 1 / fitted.a, 1 / fitted.shock_ahead
    mean = HOURS * fitted.a / fitted.b
    ours = bring(mean, 1 / (own + common + own * common))
    best = bring(HOURS * shop.rates, shop.shock)
    factors = rng.gamma(shop.shock, 1 / shop.shock, (COMING, 1))
    asked = rng.poisson(factors * HOURS * shop.rates)
    return 1 - _profit(ours, asked) / _profit(best, asked)


def _profit(brought: np.ndarray, asked: np.ndarray) -> float:
    sold = np.minimum(brought, asked)
    return float((PRICE * sold + SALVAGE * (brought - sold) - COST * brought).sum())


def effects(shop: Planted) -> tuple[float, float, float, float, float]:
    """
    Give coverage at 90 % of the colours' effects and of the shock, and more of both.

    That is: of the colours also correlation and slope against the planted effects, and
    the log of how far the fitted shock is from the planted one.
    """
    model = model_of(_past(shop, len(shop.sold)), None)
    state = settle(model, first_state(model))
    rates = rates_of(model, state)
    found = effects_of(model.history)[1]
    planted, seen = np.exp(shop.effects), np.log(found.times)
    inside = float(np.mean((found.low <= planted) & (planted <= found.high)))
    low, high = _shock_between(fair_terms(model.history, rates))
    slope = float(np.polyfit(shop.effects, seen, 1)[0])
    alike = float(np.corrcoef(seen, shop.effects)[0, 1])
    away = float(np.log(state.shock / shop.shock))
    return inside, float(low <= shop.shock <= high), alike, slope, away


def _shock_between(terms: np.ndarray) -> tuple[float, float]:
    """Give the middle nine tenths of what fairs and weak prior leave of the shock."""
    away = (np.log(SHAPES / SHOCK_CENTRE) / SHOCK_SPREAD) ** 2 / 2
    below = np.cumsum(special.softmax(fair_worths(terms) - away))
    low, high = (int(np.argmax(below >= q)) for q in (0.05, 0.95))
    return float(SHAPES[max(low - 1, 0)]), float(SHAPES[high])


def rates_inside(shop: Planted, fitted: Pooled) -> float:
    """Give the share of kinds whose rate is within its middle nine tenths."""
    low, high = _rates(fitted)
    return float(np.mean((shop.rates >= low) & (shop.rates <= high)))


def _rates(fitted: Pooled) -> tuple[np.ndarray, np.ndarray]:
    # The level of all together is not known better than the fairs' factors average.
    level = 1 / fitted.shock_ahead - 1 / fitted.shock
    shape = 1 / (1 / fitted.a + max(level, 0.0))
    mean = fitted.a / fitted.b
    low, high = (special.gammaincinv(shape, q) / shape for q in (0.05, 0.95))
    return mean * low, mean * high


def turned(shop: Planted) -> tuple[float, bool]:
    """Give the fitted share of a short shop, and whether its interval holds."""
    whole = np.full(shop.sold.shape, HOURS)
    told = History(
        shop.sold, whole * shop.gone, np.zeros(whole.shape, bool), shop.size,
        shop.colour, brought=shop.brought.astype(float),
    )  # fmt: skip
    pooled = pool(told)
    found = fit_substitution(
        Stalls(
            sold=shop.sold, exposure=whole, gone=shop.gone, family=shop.family,
            prior_mean=pooled.mean_of_neighbours, prior_shape=pooled.kappa,
            shock=pooled.shock,
        )
    )  # fmt: skip
    return found.share, found.low <= shop.share <= found.high


def main(shops: int, seed: int) -> None:
    """Print coverage, recovery and regret."""
    fulls, shorts, lost = [], [], []
    for number in range(shops // 2):
        rng = np.random.default_rng((seed, number))
        shock = 8 * float(np.exp(rng.normal(0, SHOCKS)))
        shop = plant(rng, ample=True, shock=shock)
        fulls.append((rates_inside(shop, known(shop, 10)), *effects(shop)))
        lost.append([regret(shop, fairs, rng) for fairs in FAIRS])
        shorts.append(turned(plant(rng, share=0.3)))
    inside, colours, shocks, alike, slope, away = np.mean(fulls, axis=0)
    print(
        f"{shops} shops, seed {seed}, ten fairs.  Inside 90 %: rates {inside:.3f}, "
        f"colours {colours:.3f}, shock {shocks:.3f}.  Colours' correlation "
        f"{alike:.3f}, slope {slope:.2f}; shock's log off by {away:+.2f} in the mean"
    )
    share, hit = np.mean(shorts, axis=0)
    print(f"share that turns, planted 0.30: mean {share:.3f}, inside 90 % {hit:.3f}")
    for fairs, gone in zip(FAIRS, np.array(lost).T, strict=True):
        half = 1.96 * gone.std(ddof=1) / np.sqrt(gone.size)
        print(f"   {fairs} past fairs: regret {gone.mean():.3f} +-{half:.3f}")


if __name__ == "__main__":
    told = [int(word) for word in sys.argv[1:3]]
    main(*(told + [2000, 1][len(told) :]))
