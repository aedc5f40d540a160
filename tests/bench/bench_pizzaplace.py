"""
Back-test the pooled plan on a year of a pizza shop's sales; prints, asserts nothing.

Run `python tests/bench/bench_pizzaplace.py [TRIALS] [SEED] [--tune] [--at-end]`.  Data:
pizzaplace, in the package great-tables, which it downloads to a folder that is thrown
away.  90 kinds (name and size), days as fairs, price 1, cost 0.35, salvage 0.15.
Whatever was tuned was tuned on days of the first half of the year (`--tune`); scored
are days of the second.  "pooled" knows of a day no more than the others do; "told" also
knows its weekday, as she knows a fair's crowd beforehand: how busy such days were in
the first half; "Poisson told" is the Poisson newsvendor's quantity with the same
knowledge.  A later day is drawn evenly among those with n before it; with `--at-end` it
is the last of n + 1 drawn, at n = 10 mostly one of the last twenty days of the year.
"""

from __future__ import annotations

import csv
import io
import sys
from collections import Counter
from collections.abc import Iterable
from datetime import date

import numpy as np
from backtest import (
    RATIO,
    Sales,
    Trial,
    by_law,
    by_poisson,
    censored,
    clairvoyant,
    fetched,
    history,
    profit,
    report,
    score,
    trials,
)
from scipy import special

from planner.engines.pooling import History, pool

MEMBER = "great_tables/data/05-pizzaplace.csv"
RARE = 50
"""A kind sold less often than this in the year is left out (one is)."""
BROUGHT = 0.75
"""Stock-outs are imposed by bringing a Poisson number with this share of the mean."""


def sales(raw: bytes) -> Sales:
    """Count bows of each kind a day."""
    rows = list(csv.DictReader(io.StringIO(raw.decode())))
    sold = Counter((r["name"], r["size"]) for r in rows)
    kinds = sorted(kind for kind, count in sold.items() if count >= RARE)
    days = sorted({r["date"] for r in rows})
    by_day = Counter((r["date"], r["name"], r["size"]) for r in rows)
    counts = np.array([[by_day[day, *kind] for kind in kinds] for day in days])
    first = date.fromisoformat(days[0])
    weekday = np.array([date.fromisoformat(day).weekday() for day in days])
    return Sales(
        counts=counts.astype(float),
        colour=np.unique([name for name, _ in kinds], return_inverse=True)[1],
        size=np.unique([size for _, size in kinds], return_inverse=True)[1],
        season=np.array([(date.fromisoformat(d) - first).days for d in days]),
        crowd=_crowds(counts.sum(axis=1), weekday),
    )


def _crowds(totals: np.ndarray, weekday: np.ndarray) -> np.ndarray:
    """Give each day the mean of its weekday in the first half, about their mean."""
    half = totals.size // 2
    sums = np.bincount(weekday[:half], weights=totals[:half])
    each = sums / np.bincount(weekday[:half])
    return np.asarray((each / each.mean())[weekday])


def truth(shop: Sales, half: range, count: int, seed: int) -> float:
    """Give the share of one who knows the half's true means and no more."""
    mean = shop.counts[half].mean(axis=0)
    most = np.arange(100.0)[:, None]
    bring = np.argmax(special.pdtr(most, mean[None, :]) >= RATIO, axis=0)
    asked = [shop.counts[t.ahead] for t in trials(half, n=3, count=count, seed=seed)]
    return float(np.mean([profit(bring, a) / clairvoyant(a) for a in asked]))


def spread_known(shop: Sales, other: range, every: Iterable[Trial]) -> str:
    """Say what knowing the other half's rates, but not whose they are, would give."""
    rates, most = shop.counts[other].mean(axis=0), np.arange(100.0)[:, None]
    below, gaps, best = special.pdtr(most, rates[None, :]), [], []
    for trial in every:
        past, asked = history(shop, trial), shop.counts[trial.ahead]
        mean = len(past.sold) * rates[:, None]
        logs = special.xlogy(past.sold.sum(axis=0)[None, :], mean) - mean
        bring = np.argmax(below @ special.softmax(logs, axis=0) >= RATIO, axis=0)
        gaps.append(profit(bring, asked) - profit(by_poisson(past), asked))
        best.append(clairvoyant(asked))
    return f"   spread of rates known - Poisson: {np.mean(gaps) / np.mean(best):+.4f}"


def sold_out(shop: Sales, half: range, *, n: int, count: int, seed: int) -> None:
    """Impose stock-outs and print bias and profit against the fit to whole counts."""
    rng, rows = np.random.default_rng((seed, n, 1)), []
    usual = BROUGHT * shop.counts[half].mean(axis=0)
    for trial in trials(half, n=n, count=count, seed=seed):
        whole, asked = history(shop, trial), shop.counts[trial.ahead]
        cut = censored(whole, usual=usual, rng=rng)
        rows.append(_biases(whole, cut, asked))
    out, bias, naive, seen, gap = np.mean(rows, axis=0)
    half_gap = 1.96 * np.std([r[-1] for r in rows], ddof=1) / np.sqrt(count)
    print(
        f"n = {n}, stock-outs on {out:.2f} of kind-days: bias of the total rate "
        f"{bias:+.3f} (naive {naive:+.3f}; whole counts {seen:+.3f}); profit share "
        f"{gap:+.4f} +-{half_gap:.4f} against the fit to whole counts"
    )


def _biases(whole: History, cut: History, asked: np.ndarray) -> tuple[float, ...]:
    full, hidden = pool(whole), pool(cut)
    total = whole.sold.mean(axis=0).sum()
    rate, known = ((p.a / p.b).sum() for p in (hidden, full))
    gap = profit(by_law(hidden), asked) - profit(by_law(full), asked)
    return (
        cut.sold_out.mean(), rate / total - 1,
        cut.sold.mean(axis=0).sum() / total - 1, known / total - 1,
        gap / clairvoyant(asked),
    )  # fmt: skip


def main(
    count: int, seed: int, *, first_half: bool = False, at_end: bool = False
) -> None:
    """Print all figures for n = 3, 6, 10 past days."""
    shop = sales(fetched("great-tables", MEMBER))
    middle = shop.counts.shape[0] // 2
    halves = range(middle), range(middle, shop.counts.shape[0])
    half, other = halves if first_half else halves[::-1]
    print(f"{shop.counts.shape[1]} kinds, seed {seed}, true means "
          f"{truth(shop, half, count, seed):.4f}")  # fmt: skip
    for n in (3, 6, 10):
        drawn = [*trials(half, n=n, count=count, seed=seed, at_end=at_end)]
        report(score(shop, iter(drawn)), n=n)
        print(spread_known(shop, other, drawn))
    for n in (3, 6):
        sold_out(shop, half, n=n, count=max(count // 4, 20), seed=seed)


if __name__ == "__main__":
    told = [int(word) for word in sys.argv[1:] if word.isdecimal()]
    flags = {"first_half": "--tune" in sys.argv, "at_end": "--at-end" in sys.argv}
    main(*(told + [1000, 1][len(told) :]), **flags)
