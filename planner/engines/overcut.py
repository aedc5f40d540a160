"""
How much longer parts are really cut than meant, from spools that were read.

Between two fixings of a spool, what went beyond the book is: over-cut of each part cut,
less the label's error where the stretch begins at the label, plus an end thrown away.
A bundle never entered adds a lump.  So each stretch is a mixture: clean, or with a lump
of up to so many parts in it; the memberships are weighed by expectation and
maximisation, whatever the number of lumps.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from typing import TYPE_CHECKING, Any

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
LUMP = 30
"""Parts that a bundle never entered may have held at most."""
LIKELY = 0.35, 0.06
"""Shares of stretches with a lump missing, and with one too many, to begin with."""
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
    lump: Array
    penalty: Array
    roles: tuple[str, ...]
    lots: tuple[str, ...]


@dataclass(frozen=True)
class _Fit:
    beta: Array
    clean: Array
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
    design = _design(found, known_labels(led))
    fit = _best(design)
    return _told(design, fit, found, counts, level)


def _design(
    found: Sequence[Stretch], labels: dict[str, list[tuple[float, float]]]
) -> _Design:
    import numpy as np

    roles = tuple(sorted({role for s in found for role, _ in s.parts}))
    lots = tuple(sorted({s.lot for s in found if s.label} | set(labels)))
    rows = [_row(s, roles, lots) for s in found]
    y = [(s.excess - s.expected) / NM_PER_INCH for s in found]
    spread = [s.spread / NM_PER_INCH for s in found]
    lump = [max(s.longest, NM_PER_INCH) * LUMP / NM_PER_INCH for s in found]
    for lot, reads in labels.items():
        for error, off in reads:
            # A label read is a row of its own, told in hundredths of the label.
            rows.append([0.0] * (1 + len(roles)) + [float(k == lot) for k in lots])
            y.append(100 * error)
            spread.append(100 * off)
            lump.append(0.0)
    penalty = [0.0, *[(NM_PER_INCH / ROLE_SPREAD) ** 2] * len(roles)]
    penalty += [(0.01 / LOT_SPREAD) ** 2] * len(lots)
    return _Design(
        np.array(rows), np.array(y), np.array(spread), np.array(lump),
        np.array(penalty), roles, lots,
    )  # fmt: skip


def _row(s: Stretch, roles: Sequence[str], lots: Sequence[str]) -> list[float]:
    parts = dict(s.parts)
    row = [float(sum(parts.values())), *(float(parts.get(role, 0)) for role in roles)]
    hundredth = s.label / NM_PER_INCH / 100
    return row + [-hundredth if s.label and k == s.lot else 0.0 for k in lots]


def _best(design: _Design) -> _Fit:
    """Start from several over-cuts; keep the fit that explains most."""
    return max((_fit(design, start) for start in _STARTS), key=lambda f: f.fit)


def _fit(d: _Design, start: float) -> _Fit:
    """Weigh clean against lumped, then fit what is clean; 60 rounds at most."""
    import numpy as np

    beta = np.zeros(d.x.shape[1])
    beta[0] = start
    shares, scale = LIKELY, 1.0
    last = -np.inf
    for _ in range(60):
        clean, more, less, total = _weigh(d, beta, shares, scale)
        logged = np.log(np.maximum(total, 1e-300)).sum()
        fit = float(logged - 0.5 * (d.penalty * beta**2).sum())
        beta = _solve(d, clean, scale)
        z = (d.y - d.x @ beta) / d.spread
        # The stated spreads count as so many observations, so that few don't overfit.
        free = max(clean.sum() - _used(d, clean, scale), 0.0)
        scale = sqrt((PRIOR + float((clean * z**2).sum())) / (PRIOR + free))
        scale = min(max(scale, 0.5), 2.0)
        shares = _shares(d, more, less)
        if abs(fit - last) < 1e-7:
            break
        last = fit
    information = _information(d, beta, shares, scale)
    cov = np.linalg.pinv(information)
    dof = PRIOR + max(clean.sum() - _used(d, clean, scale), 0.0)
    return _Fit(beta, clean, scale, cov, dof, fit)


def _weigh(
    d: _Design, beta: Array, shares: tuple[float, float], scale: float
) -> tuple[Array, Array, Array, Array]:
    """Give each row's chances: clean, a lump missing, one too many; and the density."""
    import numpy as np
    from scipy.special import ndtr

    s = d.spread * scale
    r = d.y - d.x @ beta
    normal = np.exp(-0.5 * (r / s) ** 2) / (s * sqrt(2 * np.pi))
    lumped = d.lump > 0
    size = np.where(lumped, d.lump, 1.0)
    up = np.where(lumped, (ndtr(r / s) - ndtr((r - size) / s)) / size, 0.0)
    down = np.where(lumped, (ndtr(-r / s) - ndtr((-r - size) / s)) / size, 0.0)
    more = np.where(lumped, shares[0], 0.0) * up
    less = np.where(lumped, shares[1], 0.0) * down
    clean = (1 - np.where(lumped, sum(shares), 0.0)) * normal
    # A label far off its lot is told by wide tails, not by a lump.
    stray = np.where(lumped, 0.0, 0.05 * np.exp(-0.5 * (r / s / 5) ** 2) / (5 * s))
    total = clean + more + less + stray
    safe = np.maximum(total, 1e-300)
    return clean / safe, more / safe, less / safe, total


def _shares(d: _Design, more: Array, less: Array) -> tuple[float, float]:
    """Give how many stretches hold a lump, the beginning's guess worth ten of them."""
    count = float((d.lump > 0).sum()) + 10.0
    up = (float(more.sum()) + 10 * LIKELY[0]) / count
    down = (float(less.sum()) + 10 * LIKELY[1]) / count
    return min(up, 0.8), min(down, 0.15)


def _solve(d: _Design, clean: Array, scale: float) -> Array:
    import numpy as np

    w = clean / (d.spread * scale) ** 2
    normal = d.x.T @ (d.x * w[:, None]) + np.diag(d.penalty + 1e-9)
    solved: Array = np.linalg.solve(normal, d.x.T @ (w * d.y))
    return solved


def _used(d: _Design, clean: Array, scale: float) -> float:
    """Give the degrees of freedom that the fit used up."""
    import numpy as np

    w = clean / (d.spread * scale) ** 2
    data = d.x.T @ (d.x * w[:, None])
    normal = data + np.diag(d.penalty + 1e-9)
    return float(np.trace(np.linalg.solve(normal, data)))


def _information(
    d: _Design, beta: Array, shares: tuple[float, float], scale: float
) -> Array:
    """
    Give the observed information, memberships being unsure (Louis 1982).

    A row whose membership is open tells less; none tells less than nothing.
    """
    import numpy as np

    clean, *_ = _weigh(d, beta, shares, scale)
    s2 = (d.spread * scale) ** 2
    r2 = (d.y - d.x @ beta) ** 2
    each = clean / s2 - clean * (1 - clean) * r2 / s2**2
    each = np.maximum(each, 0.0)
    made: Array = d.x.T @ (d.x * each[:, None]) + np.diag(d.penalty + 1e-9)
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

    w = fit.clean / (d.spread * fit.scale) ** 2
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
        if beyond[n] > 0 and fit.clean[n] < 1 - NAMED
    ]  # fmt: skip
    return sorted(named, key=lambda b: -b.length)
