"""
Her pace: a law of the minutes a bow of each pattern takes, learned from sittings.

One regression on the log of seconds a bow, for all patterns together:

    log seconds = pace of the pattern + practice x log(bows made) + noise

Her stated minutes are the prior of each pattern's pace, and how far all of them are
off together is learned too. The noise of an observation of n bows has the variance
spread**2 x (1 + within / n): what differs between sittings and what differs from bow
to bow within one are kept apart, `within` being their ratio, chosen by the evidence.
Practice is the unit curve (Crawford) with a number of bows she had made before the
records began, and it stops counting beyond a plateau.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from planner.engines.forecast import Floats, Normals, log_evidence, normals
from planner.engines.sittings import Seen, made_so_far, observations
from planner.ledgers.catalogue import Catalogue, catalogue
from planner.ledgers.state import Ledgers

GUESS = 480.0
"""Seconds a bow where nothing at all is known, of any pattern."""
SPREAD, SURE = 0.22, 3.0
"""Spread between sittings expected beforehand, and how sure that is (shape)."""
TOGETHER, EACH, UNTOLD = 2.5, 0.5, 8.0
"""Variances of the stated minutes' error, all together and each; of a mere guess."""
PRACTICE, PRACTICE_VARIANCE = -0.05, 0.04
"""Expected exponent of the practice curve: a doubling takes off 3 %."""
EARLIER, PLATEAU = 10, 600
"""Bows she had made before her records began; bows after which practice is over."""
LEAST_LEFT = math.log(0.7)
"""Practice within one plan never takes off more than 30 %."""
HALF = 30
"""An observation counts half as much as one that came so many later."""
NEWEST = 90
"""Observations of a pattern looked at."""
WITHIN = (0.25, 0.5, 1.0, 2.0, 4.0, 8.0, 16.0, 32.0)
"""Ratios of the variance within a sitting (a bow) to that between sittings, tried."""
USUAL_WITHIN, WITHIN_SPREAD = 3.0, 1.0
"""Where that ratio is expected, and the spread of its log."""
BOUND = 1.5
"""Draws of logs are capped at so much off the middle: a log-t has no mean."""
SLIP = 2.5
"""Observations further off than so many spreads are pulled in: slips of the pen."""
LEAST_SPREAD = 0.1
"""Robust spread taken at least when looking for slips."""


@dataclass(frozen=True, slots=True)
class Pace:
    """
    What is known of the seconds a bow takes, of all patterns together.

    `law` has a coefficient for each of `patterns` (log seconds as of now) and one for
    practice; `within` is the ratio told above; `made` are bows so far and `sittings`
    observations, by pattern.
    """

    patterns: tuple[str, ...]
    law: Normals
    within: float
    made: Mapping[str, int]
    sittings: Mapping[str, int]

    def row(self, pattern: str, ahead: float = 0.0) -> Floats:
        """Give the regression's row for bows of a pattern, `ahead` bows from now."""
        row = np.zeros(len(self.patterns) + 1)
        row[self.patterns.index(pattern)] = 1.0
        now = self.made.get(pattern, 0)
        row[-1] = practice(now + ahead) - practice(now)
        return row

    def median(self, pattern: str) -> float:
        """Give the median seconds a bow."""
        return math.exp(float(self.row(pattern) @ self.law.mean))

    def quantile(self, pattern: str, chance: float, *, bows: int) -> float:
        """Give a quantile of the seconds a bow of a batch of so many."""
        weight = 1 / (1 + self.within / bows)
        return math.exp(self.law.quantile(self.row(pattern), chance, weight=weight))


def practice(bows: float) -> float:
    """Give the log of bows made, from those before the records up to the plateau."""
    return math.log(min(max(bows, 0.0), PLATEAU) + EARLIER)


def pace(led: Ledgers) -> Pace:
    """Learn the pace of every pattern, read once."""
    known = led.memo.get("pace")
    if known is None:
        known = led.memo["pace"] = _learn(led)
    assert isinstance(known, Pace)
    return known


def stated_seconds(cat: Catalogue) -> dict[str, float]:
    """Give the seconds she stated; for patterns without, the middle of the others."""
    told = {code: float(p.seconds) for code, p in cat.patterns.items() if p.seconds}
    rising = sorted(told.values())
    middle = rising[len(rising) // 2] if rising else GUESS
    return {code: told.get(code, middle) for code in cat.patterns}


def _learn(led: Ledgers) -> Pace:
    cat = catalogue(led)
    stated = stated_seconds(cat)
    told = {code for code, pattern in cat.patterns.items() if pattern.seconds}
    known = led.worked_out("pace", lambda: _looked_at(led, stated))
    seen = {code: [Seen(*one) for one in all_] for code, all_ in known["seen"].items()}
    return learn(stated, told, seen, known["made"])


def _looked_at(led: Ledgers, stated: Mapping[str, float]) -> dict[str, Any]:
    """Give the newest observations and the bows made, by pattern, as plain values."""
    seen = {code: all_[-NEWEST:] for code, all_ in observations(led, stated).items()}
    return {"seen": seen, "made": made_so_far(led)}


def learn(
    stated: Mapping[str, float],
    told: set[str],
    seen: Mapping[str, Sequence[Seen]],
    made: Mapping[str, int],
) -> Pace:
    """
    Learn from observations by pattern, the oldest first.

    stated: seconds a bow, `told` being those she really stated; made: bows so far.
    """
    patterns = tuple(stated)
    prior = _prior(stated, told)
    sittings = {code: len(seen.get(code, ())) for code in patterns}
    if not any(sittings.values()):
        return Pace(patterns, prior, USUAL_WITHIN, made, sittings)
    x, y, bows, count = _table(patterns, seen, made)
    y = _without_slips(x, y, told, patterns)
    tried = [(_fit(prior, x, y, bows, count, ratio), ratio) for ratio in WITHIN]
    (_, law), within = max(tried, key=lambda one: one[0][0] + _usual(one[1]))
    return Pace(patterns, law, within, made, sittings)


def _prior(stated: Mapping[str, float], told: set[str]) -> Normals:
    own = [EACH if code in told else UNTOLD for code in stated]
    size = len(own)
    variance = np.zeros((size + 1, size + 1))
    variance[:size, :size] = TOGETHER + np.diag(own)
    variance[-1, -1] = PRACTICE_VARIANCE
    mean = [*(math.log(seconds) for seconds in stated.values()), PRACTICE]
    return normals(mean, variance, spread=SPREAD, shape=SURE)


def _table(
    patterns: tuple[str, ...], seen: Mapping[str, Sequence[Seen]],
    made: Mapping[str, int],
) -> tuple[Floats, Floats, Floats, Floats]:  # fmt: skip
    """Lay the observations out: rows x, logs y, bows, and what each counts for."""
    rows, logs, bows, counts = [], [], [], []
    for at, code in enumerate(patterns):
        now = practice(made.get(code, 0))
        for age, one in enumerate(reversed(seen.get(code, ()))):
            row = np.zeros(len(patterns) + 1)
            row[at], row[-1] = 1.0, practice(one.before) - now
            rows.append(row)
            logs.append(math.log(one.seconds))
            bows.append(one.bows)
            counts.append(one.count * 0.5 ** (age / HALF))
    return np.array(rows), np.array(logs), np.array(bows), np.array(counts)


def _without_slips(
    x: Floats, y: Floats, told: set[str], patterns: tuple[str, ...]
) -> Floats:
    """Pull in what lies far off the middle of its pattern, where three or more are."""
    pulled = y.copy()
    for at in range(len(patterns)):
        own = x[:, at] > 0
        if own.sum() >= 3:
            middle = float(np.median(y[own]))
            spread = max(1.4826 * float(np.median(abs(y[own] - middle))), LEAST_SPREAD)
            pulled[own] = np.clip(
                y[own], middle - SLIP * spread, middle + SLIP * spread
            )
    return pulled


def _fit(
    prior: Normals, x: Floats, y: Floats, bows: Floats, count: Floats, ratio: float
) -> tuple[float, Normals]:
    weight = 1 / (1 + ratio / bows)
    law = prior.given(x, y, weight=weight, count=count)
    return log_evidence(prior, law, float((count * np.log(weight)).sum())), law


def _usual(ratio: float) -> float:
    return -((math.log(ratio / USUAL_WITHIN) / WITHIN_SPREAD) ** 2) / 2
