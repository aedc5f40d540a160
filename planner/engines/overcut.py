"""
How much longer parts are really cut than meant, from spools that were read.

Between two fixings of a spool, what went beyond the book is: over-cut of each part cut,
less the label's error where the stretch begins at the label, plus an end thrown away.
A cut never entered adds a lump of its own length.  So each stretch is a mixture (see
`lumps`), fitted by its likelihood, with the stated guesses as a prior.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from typing import TYPE_CHECKING, Any

from planner.engines.lumps import BEGIN, WORTH, Lumps, Told, lumps, sizes_of, weigh
from planner.engines.stretches import known_labels, stretches
from planner.ledgers.state import Ledgers
from planner.plans.measure import Bulk, Estimate, OverCut, Stretch
from planner.values.units import NM_PER_INCH

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[Any]

LEVEL = 0.9
"""Level of every interval."""
ROLE_SPREAD = 0.3 * NM_PER_INCH
"""How far the roles' over-cuts are taken to lie from their mean (nm)."""
LOT_SPREAD = 0.012
"""How far a lot's labels are taken to be off (share): a stated guess."""
LEAST = 5
"""Stretches below which nothing is said."""
PRIOR = 6.0
"""Observations' worth of trust in the stated spreads of readings."""
NAMED = 0.9
"""Certainty of a lump from which it is named."""
TOLD_APART = 2.5
"""Spread of the mean, labels free to labels fixed, up to which they are told apart."""
_STARTS = (0.0, 0.15, 0.3, 0.5, 0.8, 1.2)


@dataclass(frozen=True)
class _Design:
    """
    The stretches as arrays, in inches; label readings as rows of their own.

    Columns: the mean over-cut, each role's distance from it, each lot's label error
    in hundredths.  `penalty` is the stated precision of each column.
    """

    x: Array
    y: Array
    spread: Array
    kinds: Lumps
    penalty: Array
    roles: tuple[str, ...]
    lots: tuple[str, ...]


@dataclass(frozen=True)
class _Fit:
    beta: Array
    told: Told
    scale: float
    cov: Array
    dof: float
    fit: float


def over_cut(led: Ledgers, *, level: float = LEVEL) -> OverCut:
    """
    Give over-cut by role with its interval, and each lot's label error apart from it.

    Lengths in nm a part, label errors as shares of the label.
    """
    found = tuple(stretches(led))
    counts: Counter[str] = Counter()
    for one in found:
        counts.update(dict(one.parts))
    if len(found) < LEAST:
        why = (
            f"only {len(found)} stretches of spools were read; it takes {LEAST}: read "
            "what is left on a few spools (bows read)"
        )
        return OverCut(level, {}, None, dict(counts), {}, (), found, False, False, why)
    sizes = sizes_of(led.bundles.values())
    design = _design(found, known_labels(led), sizes)
    fit = max((_fit(design, start) for start in _STARTS), key=lambda f: f.fit)
    return _told(design, fit, found, counts, level)


def _design(
    found: Sequence[Stretch], labels: dict[str, list[tuple[float, float]]],
    sizes: Sequence[int],
) -> _Design:  # fmt: skip
    import numpy as np

    roles = tuple(sorted({role for s in found for role, _ in s.parts}))
    lots = tuple(sorted({s.lot for s in found if s.label} | set(labels)))
    rows = [_row(s, roles, lots) for s in found]
    y = [(s.excess - s.expected) / NM_PER_INCH for s in found]
    spread = [s.spread / NM_PER_INCH for s in found]
    cuts = [float(s.cuts) for s in found]
    for lot, reads in labels.items():
        for error, off in reads:
            # A label read is a row of its own, told in hundredths of the label.
            rows.append([0.0] * (1 + len(roles)) + [float(k == lot) for k in lots])
            y.append(100 * error)
            spread.append(100 * off)
            cuts.append(0.0)
    penalty = [0.0, *[(NM_PER_INCH / ROLE_SPREAD) ** 2] * len(roles)]
    penalty += [(0.01 / LOT_SPREAD) ** 2] * len(lots)
    return _Design(
        np.array(rows), np.array(y), np.array(spread),
        lumps([nm / NM_PER_INCH for nm in sizes], cuts), np.array(penalty), roles, lots,
    )  # fmt: skip


def _row(s: Stretch, roles: Sequence[str], lots: Sequence[str]) -> list[float]:
    parts = dict(s.parts)
    row = [float(sum(parts.values())), *(float(parts.get(role, 0)) for role in roles)]
    hundredth = s.label / NM_PER_INCH / 100
    return row + [-hundredth if s.label and k == s.lot else 0.0 for k in lots]


def _fit(d: _Design, start: float) -> _Fit:
    """Climb to the most likely figures from one beginning; 40 rounds at most."""
    import numpy as np

    beta = np.zeros(d.x.shape[1])
    beta[0] = start
    rate, scale, last = BEGIN, 1.0, -np.inf
    for _ in range(40):
        beta, told, fit = _step(d, beta, rate, scale)
        rate = _rate(d, told)
        scale = _scale(d, beta, told)
        if abs(fit - last) < 1e-5:
            break
        last = fit
    information = _information(d, beta, rate, scale)
    cov = np.linalg.pinv(d.x.T @ (d.x * information[:, None]) + _prior(d))
    told = _weighed(d, beta, rate, scale)
    swing = _swing(d, beta, rate, scale)
    cov = cov + np.outer(swing, swing)
    return _Fit(beta, told, scale, cov, _dof(d, told), _posterior(d, beta, told))


def _weighed(d: _Design, beta: Array, rate: float, scale: float) -> Told:
    return weigh(d.kinds, d.y - d.x @ beta, d.spread * scale, rate)


def _prior(d: _Design) -> Array:
    import numpy as np

    made: Array = np.diag(d.penalty + 1e-9)
    return made


def _posterior(d: _Design, beta: Array, told: Told) -> float:
    return float(told.logged.sum() - 0.5 * (d.penalty * beta**2).sum())


def _step(
    d: _Design, beta: Array, rate: float, scale: float
) -> tuple[Array, Told, float]:
    """Take one scoring step, halved until it climbs."""
    import numpy as np

    told = _weighed(d, beta, rate, scale)
    fit = _posterior(d, beta, told)
    score = d.x.T @ -told.slope - d.penalty * beta
    weight = np.maximum(told.clean, 0.05) / (d.spread * scale) ** 2
    move = np.linalg.solve(d.x.T @ (d.x * weight[:, None]) + _prior(d), score)
    for _ in range(8):
        tried = _weighed(d, beta + move, rate, scale)
        better = _posterior(d, beta + move, tried)
        if better >= fit:
            return beta + move, tried, better
        move = move / 2
    return beta, told, fit


def _rate(d: _Design, told: Told) -> float:
    """Give the share of cuts never entered, the stated guess worth some cuts."""
    cuts = float(d.kinds.cuts.sum())
    return (float(told.missing.sum()) + WORTH * BEGIN) / (cuts + WORTH)


def _swing(d: _Design, beta: Array, rate: float, scale: float) -> Array:
    """Say how far figures go with the share of cuts never entered, itself unsure."""
    cuts = float(d.kinds.cuts.sum()) + WORTH
    off = sqrt((rate * cuts + 1) / cuts**2)
    ends = []
    for tried in (max(rate - off, rate / 10), rate + off):
        moved = beta
        for _ in range(4):
            moved, _, _ = _step(d, moved, tried, scale)
        ends.append(moved)
    made: Array = (ends[1] - ends[0]) / 2
    return made


def _scale(d: _Design, beta: Array, told: Told) -> float:
    """Give what the stated spreads are to be multiplied by, within a half and two."""
    z = (d.y - d.x @ beta) / d.spread
    squares = float((told.clean * z**2).sum())
    return min(max(sqrt((PRIOR + squares) / _dof(d, told)), 0.5), 2.0)


def _dof(d: _Design, told: Told) -> float:
    """Count the degrees of freedom left: the stated spreads count for a few."""
    import numpy as np

    w = told.clean / d.spread**2
    data = d.x.T @ (d.x * w[:, None])
    used = float(np.trace(np.linalg.solve(data + _prior(d), data)))
    return PRIOR + max(float(told.clean.sum()) - used, 0.0)


def _information(d: _Design, beta: Array, rate: float, scale: float) -> Array:
    """
    Give what each row tells of its remainder: minus the curve of its log density.

    A row whose membership is open tells less; none tells less than nothing.
    """
    import numpy as np

    r, s = d.y - d.x @ beta, d.spread * scale
    step = s * 0.05
    rise = weigh(d.kinds, r + step, s, rate).slope
    fall = weigh(d.kinds, r - step, s, rate).slope
    made: Array = np.maximum((fall - rise) / (2 * step), 0.0)
    return made


def _told(
    d: _Design, fit: _Fit, found: Sequence[Stretch], counts: Counter[str], level: float
) -> OverCut:
    import numpy as np
    from scipy.special import stdtrit

    t = float(stdtrit(fit.dof, 0.5 + level / 2))

    def estimate(pick: Array, unit: float) -> Estimate:
        value = float(pick @ fit.beta)
        off = t * sqrt(max(float(pick @ fit.cov @ pick), 0.0))
        return Estimate(value * unit, (value - off) * unit, (value + off) * unit)

    one = np.eye(d.x.shape[1])
    at = 1 + len(d.roles)
    parts = {
        role: estimate(one[0] + one[1 + n], NM_PER_INCH)
        for n, role in enumerate(d.roles)
    }
    total = sum(counts.values())
    mix = one[0] + sum(counts[k] / total * one[1 + n] for n, k in enumerate(d.roles))
    label = {lot: estimate(one[at + n], 0.01) for n, lot in enumerate(d.lots)}
    apart, why = _apart(d, fit, mix)
    return OverCut(
        level, parts, estimate(mix, NM_PER_INCH), dict(counts), label,
        tuple(_bulk(d, fit, found)), tuple(found), apart, _roles_apart(d, fit), why,
    )  # fmt: skip


def _apart(d: _Design, fit: _Fit, mix: Array) -> tuple[bool, str]:
    """Say whether the data tell over-cut from label error, or only the stated guess."""
    import numpy as np

    w = fit.told.clean / (d.spread * fit.scale) ** 2
    data = d.x.T @ (d.x * w[:, None])
    at = 1 + len(d.roles)
    free, fixed = d.penalty + 1e-9, d.penalty + 1e-9
    free = np.where(np.arange(len(free)) >= at, 1e-6, free)
    fixed = np.where(np.arange(len(fixed)) >= at, 1e9, fixed)

    def spread(penalty: Array) -> float:
        return sqrt(float(mix @ np.linalg.solve(data + np.diag(penalty), mix)))

    if spread(free) <= TOLD_APART * spread(fixed):
        return True, ""
    return False, (
        "over-cut and the labels' error can't be told apart by these readings: both "
        "take more the more of a spool is used; read a few spools before their first "
        "cut, or twice on the way"
    )


def _roles_apart(d: _Design, fit: _Fit) -> bool:
    """Say whether the data narrow each role's distance from the mean at all."""
    stated = (ROLE_SPREAD / NM_PER_INCH) ** 2
    at = range(1, 1 + len(d.roles))
    return len(d.roles) < 2 or all(fit.cov[n, n] < 0.5 * stated for n in at)


def _bulk(d: _Design, fit: _Fit, found: Sequence[Stretch]) -> list[Bulk]:
    """Name the stretches that lost more than over-cut and label can account for."""
    beyond = (d.y - d.x @ fit.beta)[: len(found)]
    named = [
        Bulk(
            s.spool, float(beyond[n]) * NM_PER_INCH, s.first, s.last,
            float(beyond[n]) / (float(d.spread[n]) * fit.scale),
        )
        for n, s in enumerate(found)
        if fit.told.above[n] > NAMED
    ]  # fmt: skip
    return sorted(named, key=lambda b: -b.length)
