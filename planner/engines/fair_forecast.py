"""
How many bows of each kind a coming fair may ask for.

Rates an hour at a usual crowd are pooled over size and colour (`engines.pooling`); a
fair's exposure is what its hours, crowd, season and roof make of it
(`engines.fair_exposure`).  Her guess is a weak prior; with neither, a rule of thumb
stands in.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from planner.engines.counts import CountLaw, Floats
from planner.engines.fair_exposure import (
    USUAL,
    Powers,
    exposure,
    exposure_of,
    fit_powers,
    told_traits,
)
from planner.engines.fair_history import FairTold, fairs_told, seen_of, tells_crowd
from planner.engines.fair_second import carried_on
from planner.engines.fair_turning import learn_turning
from planner.engines.pooling import History, Pooled, pool
from planner.engines.pooling_effects import effects_of
from planner.engines.substitution import Substitution
from planner.ledgers.catalogue import Catalogue, catalogue
from planner.ledgers.fairs import Fair
from planner.ledgers.state import Ledgers
from planner.plans.fair import ColourEffect, KindSeen, Source

FEE_TIMES = 4.5
"""Takings as a multiple of the fee where nothing is known: they are said to be 2 to 10
times (a rule of thumb), and this is their geometric middle."""
BOWS_AN_HOUR = 5.0
"""Sales an hour at a usual crowd where there isn't even a fee to go by."""
SURE = 0.9
"""Confidence of what is said of single colours."""
MINUTES_A_SALE = 2.0
"""No stall sells faster than this, whatever the fee."""


@dataclass(frozen=True, slots=True)
class Forecast:
    """
    Laws of demand for kinds at a fair, with what they rest on.

    `turn` is the share of those whose colour was gone that took another of its family.
    """

    kinds: tuple[str, ...]
    pooled: Pooled
    exposure: float
    told: tuple[FairTold, ...]
    seen: Mapping[str, KindSeen]
    powers: Powers
    source: Source
    guessed_total: float | None
    turn: Substitution
    colours: tuple[ColourEffect, ...] = ()

    def law(self, kind: str) -> CountLaw:
        """Give the law of one kind's demand."""
        return self.pooled.law(self.kinds.index(kind), self.exposure)

    def own(self, kind: str) -> float:
        """Give the weight of a kind's own history."""
        return float(self.pooled.own[self.kinds.index(kind)])

    def lent(self, kind: str) -> float:
        """Give the wishes for a kind that its size and colour alone would say."""
        at = self.kinds.index(kind)
        return float(self.pooled.mean_of_neighbours[at]) * self.exposure

    def draws(self, kinds: Sequence[str], *, size: int, seed: int) -> Floats:
        """Draw joint demands of some kinds, shape (size, kinds)."""
        at = [self.kinds.index(kind) for kind in kinds]
        rng = np.random.default_rng(seed)
        every = self.pooled.draws(self.exposure, size=size, rng=rng)
        return np.asarray(every[:, at], dtype=np.float64)


def forecast(
    led: Ledgers, fair: Fair, kinds: Sequence[str], *, price: float,
    so_far: FairTold | None = None,
) -> Forecast:  # fmt: skip
    """
    Forecast the demand for kinds at a fair; `price` is a usual one (minor units).

    Kinds seen at past fairs but not asked for still inform the others.
    so_far: what the days of this fair told that are over; `fair` is the rest of it.
    """
    cat, told = catalogue(led), tuple(fairs_told(led, fair))
    told = (*told, so_far) if so_far else told
    past = (k for one in told for k in one.kinds)
    every = tuple(dict.fromkeys([*kinds, *(k for k in past if _known(cat, k))]))
    sold = any(row.sold > 0 for one in told for row in one.kinds.values())
    guess = her_guess(fair, every)
    source: Source = "history and guess" if guess else "history"
    if not sold:
        source = "guess" if guess else "rule of thumb"
        guess = guess or dict.fromkeys(every, rule_of_thumb(fair, price) / len(every))
    pooled, powers = _fit(cat, every, told if sold else (), fair, guess)
    turn, own = learn_turning(cat, every, told, powers, pooled)
    if turn.low > 0:
        pooled = _pool(cat, every, told, fair, guess, powers, own=own)
    times, pooled = carried_on(pooled, so_far) if so_far and sold else (1.0, pooled)
    return Forecast(
        kinds=every, pooled=pooled, exposure=times * exposure(fair, powers), told=told,
        seen={k: seen_of(told, k, fair.guess.get(k)) for k in every},
        powers=powers, source=source, turn=turn,
        guessed_total=None if source == "history" else sum((guess or {}).values()),
        colours=_colours(cat, every, told, fair, guess, powers) if sold else (),
    )  # fmt: skip


def _known(cat: Catalogue, kind: str) -> bool:
    pattern, way = cat.split(kind)
    return pattern in cat.patterns and way in cat.colourways


def rule_of_thumb(fair: Fair, price: float) -> float:
    """Give the bows sold at a fair of which nothing is known."""
    most = max(fair.open_minutes, 60) / MINUTES_A_SALE
    if fair.fee and price > 0:
        return min(FEE_TIMES * fair.fee / price, most)
    return min(BOWS_AN_HOUR * exposure(fair, USUAL), most)


def her_guess(fair: Fair, kinds: Sequence[str]) -> dict[str, float]:
    """
    Spread her guess over kinds: her word on a kind, on a pattern, on the whole.

    What she didn't guess is left out, unless she guessed the whole.
    """
    guess = {k: float(fair.guess[k]) for k in kinds if fair.guess.get(k, 0) > 0}
    for code, count in fair.guess.items():
        if ":" not in code:
            own = [k for k in kinds if k.partition(":")[0] == code]
            _spread(guess, own, count - sum(guess.get(k, 0.0) for k in own))
    if fair.guess_total:
        _spread(guess, kinds, fair.guess_total - sum(guess.values()))
    return guess


def _spread(guess: dict[str, float], kinds: Sequence[str], rest: float) -> None:
    """Spread what is left of a guess evenly over the kinds not yet guessed."""
    free = [k for k in kinds if k not in guess]
    for kind in free:
        if rest > 0:
            guess[kind] = rest / len(free)


def _fit(
    cat: Catalogue,
    kinds: Sequence[str],
    told: Sequence[FairTold],
    fair: Fair,
    guess: Mapping[str, float],
) -> tuple[Pooled, Powers]:
    """Pool with fairs taken as usual, fit the powers to that, and pool again."""
    pooled = _pool(cat, kinds, told, fair, guess, USUAL)
    powers = fit_powers(told, pooled, USUAL)
    if powers == USUAL:
        return pooled, USUAL
    return _pool(cat, kinds, told, fair, guess, powers), powers


def _pool(
    cat: Catalogue,
    kinds: Sequence[str],
    told: Sequence[FairTold],
    fair: Fair,
    guess: Mapping[str, float],
    powers: Powers,
    own: Floats | None = None,
) -> Pooled:
    """Pool; `own` are the sales without those to buyers of other kinds, where known."""
    history = _history(cat, kinds, told, fair, powers)
    if own is not None:
        history = replace(history, sold=np.where(own > 0, own, history.sold))
    return pool(history, guess=_guessed_rates(history, kinds, fair, guess, powers))


def _guessed_rates(
    history: History, kinds: Sequence[str], fair: Fair, guess: Mapping[str, float],
    powers: Powers,
) -> Floats | None:  # fmt: skip
    """Give the rates that a guess of bows at a fair stands for, all kinds."""
    if not guess:
        return None
    rates = {k: n / exposure(fair, powers) for k, n in guess.items()}
    if len(rates) < len(kinds):
        rates = {**_not_guessed(history, kinds, rates), **rates}
    return np.array([rates[k] for k in kinds])


def _colours(
    cat: Catalogue, kinds: Sequence[str], told: Sequence[FairTold], fair: Fair,
    guess: Mapping[str, float], powers: Powers,
) -> tuple[ColourEffect, ...]:  # fmt: skip
    """Say what past fairs tell of single colours, by leading colour."""
    history = _history(cat, kinds, told, fair, powers)
    guessed = _guessed_rates(history, kinds, fair, guess, powers)
    found = effects_of(history, guess=guessed, confidence=SURE)[1]
    codes = dict.fromkeys(cat.lead(k) for k in kinds)
    each = zip(codes, found.times, found.low, found.high, strict=True)
    return tuple(ColourEffect(code, *map(float, row)) for code, *row in each)


def _not_guessed(
    history: History, kinds: Sequence[str], rates: Mapping[str, float]
) -> dict[str, float]:
    """
    Stand in for the kinds she left out of a guess.

    Past fairs say what their size and colour sell; without any, half of what the
    least of those she guessed would, since she didn't think of them.
    """
    if (history.told & (history.sold > 0)).any():
        usual = pool(history).mean_of_neighbours
        return dict(zip(kinds, usual.tolist(), strict=True))
    return dict.fromkeys(kinds, min(rates.values()) / 2)


def _history(
    cat: Catalogue, kinds: Sequence[str], told: Sequence[FairTold], fair: Fair,
    powers: Powers,
) -> History:  # fmt: skip
    shape = (len(told), len(kinds))
    sold, exposed, brought = np.zeros(shape), np.zeros(shape), np.zeros(shape)
    hidden = np.zeros(shape, dtype=bool)
    at = {kind: n for n, kind in enumerate(kinds)}
    for f, one in enumerate(told):
        whole = exposure_of(told_traits(one), powers)
        for kind, row in one.kinds.items():
            if kind in at:
                k = at[kind]
                sold[f, k], hidden[f, k] = row.sold, row.hidden
                brought[f, k] = row.brought
                exposed[f, k] = whole * row.open_share
    return History(
        sold=sold, exposure=exposed, sold_out=hidden,
        size=_numbers([cat.split(k)[0] for k in kinds]),
        colour=_numbers([cat.lead(k) for k in kinds]),
        recency=np.array([one.weight for one in told]), brought=brought,
        crowds_known=crowds_known(told, fair),
    )  # fmt: skip


def crowds_known(told: Sequence[FairTold], fair: Fair) -> bool:
    """Say whether she tells crowds at all; then one not told is a usual one."""
    return tells_crowd(fair) or any(one.crowd_told for one in told)


def _numbers(names: Sequence[str]) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
    known = {name: n for n, name in enumerate(dict.fromkeys(names))}
    return np.array([known[name] for name in names], dtype=np.int64)


def usual_price(prices: Mapping[str, float]) -> float:
    """Give the middle of some prices (geometric mean), 0 for none."""
    real = [math.log(p) for p in prices.values() if p > 0]
    return math.exp(sum(real) / len(real)) if real else 0.0
