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

from planner.engines.counts import at_most
from planner.engines.pooling import History, Pooled, pool
from planner.engines.substitution import Stalls, fit_substitution
from tests.engines.planted_fairs import HOURS, Planted, plant

FAIRS = (0, 1, 3, 6, 10)
RATIO, PRICE, COST, SALVAGE = (1 - 0.35) / (1 - 0.15), 1.0, 0.35, 0.15
MOST = np.arange(200.0)[:, None]
COMING = 20
"""Coming fairs that a plan is played on."""


def known(shop: Planted, fairs: int, *, whole: np.ndarray) -> Pooled:
    """Fit to the first fairs of a shop, or to a guess of half to twice its truth."""
    guess = None
    if not fairs:
        rng = np.random.default_rng(int(shop.sold.sum()))
        total = shop.rates.sum() * np.exp(rng.normal(0, 0.35))
        guess = float(total)
    cut = (whole * shop.gone)[:fairs]
    past = History(
        shop.sold[:fairs], cut, np.zeros(cut.shape, bool), shop.size, shop.colour
    )
    return pool(past, guess=guess)


def bring(mean: np.ndarray, shape: np.ndarray | float) -> np.ndarray:
    """Give the newsvendor's quantities."""
    return np.argmax(at_most(MOST, mean=mean, shape=shape) >= RATIO, axis=0)


def regret(shop: Planted, fairs: int, rng: np.random.Generator) -> float:
    """Give the share of the profit lost against one who knows rates and shock."""
    fitted = known(shop, fairs, whole=np.full(shop.sold.shape, HOURS))
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


def effects(shop: Planted, fitted: Pooled) -> tuple[float, float, float]:
    """
    Give coverage of the kinds' rates at 90 %, and the colours' correlation and slope.

    The colours' factors are the fitted means over sizes; their truth the same means
    of the true rates.
    """
    low, high = _rates(fitted)
    inside = float(np.mean((shop.rates >= low) & (shop.rates <= high)))
    seen, true = (_colours(shop, x) for x in (fitted.a / fitted.b, shop.rates))
    fit = np.polyfit(true, seen, 1)
    return inside, float(np.corrcoef(seen, true)[0, 1]), float(fit[0])


def _rates(fitted: Pooled) -> tuple[np.ndarray, np.ndarray]:
    from scipy import special

    # The level of all together is not known better than the fairs' factors average.
    level = 1 / fitted.shock_ahead - 1 / fitted.shock
    shape = 1 / (1 / fitted.a + max(level, 0.0))
    mean = fitted.a / fitted.b
    low, high = (special.gammaincinv(shape, q) / shape for q in (0.05, 0.95))
    return mean * low, mean * high


def _colours(shop: Planted, rates: np.ndarray) -> np.ndarray:
    logs = np.array([np.log(rates[shop.colour == c]).mean() for c in range(6)])
    return logs - logs.mean()


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
        shop = plant(rng, ample=True)
        fitted = known(shop, 10, whole=np.full(shop.sold.shape, HOURS))
        fulls.append((*effects(shop, fitted), fitted.shock))
        lost.append([regret(shop, fairs, rng) for fairs in FAIRS])
        shorts.append(turned(plant(rng, share=0.3)))
    inside, alike, slope, _ = np.mean(fulls, axis=0)
    shock = np.quantile([row[3] for row in fulls], [0.1, 0.5, 0.9])
    print(
        f"{shops} shops, seed {seed}, ten fairs: rates inside 90 % {inside:.3f}; "
        f"colours' correlation {alike:.3f}, slope {slope:.2f}; shock, planted 8, "
        f"tenth, half and nine tenths of fits {shock.round(1).tolist()}"
    )
    share, hit = np.mean(shorts, axis=0)
    print(f"share that turns, planted 0.30: mean {share:.3f}, inside 90 % {hit:.3f}")
    for fairs, gone in zip(FAIRS, np.array(lost).T, strict=True):
        half = 1.96 * gone.std(ddof=1) / np.sqrt(gone.size)
        print(f"   {fairs} past fairs: regret {gone.mean():.3f} +-{half:.3f}")


if __name__ == "__main__":
    told = [int(word) for word in sys.argv[1:3]]
    main(*(told + [2000, 1][len(told) :]))
