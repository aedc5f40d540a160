"""
How much longer parts are really cut than meant, from spools that were read.

Between two fixings of a spool, what went beyond the book is: over-cut of each part cut,
less the label's error where the stretch begins at the label, plus an end thrown away.
A cut never entered adds a lump of its own length (see `lumps`), and the labels of all
lots may be off together.  What the readings leave possible is drawn from (see
`overcut_draws`), the stated guesses being its prior; an interval holds its level's
share of the draws.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from math import sqrt
from typing import TYPE_CHECKING, Any

from planner.engines.lumps import lumps, sizes_of
from planner.engines.overcut_draws import ROLE_SPREAD, Design, Draws, draw
from planner.engines.stretches import known_labels, stretches
from planner.ledgers.state import Ledgers
from planner.plans.measure import Bulk, Estimate, OverCut, Stretch
from planner.values.units import NM_PER_INCH

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[Any]

LEVEL = 0.9
"""Level of every interval."""
LEAST = 5
"""Stretches below which nothing is said."""
NAMED = 0.9
"""Certainty of a lump from which it is named."""
TOLD_APART = 2.5
"""Spread of the mean, labels free to labels fixed, up to which they are told apart."""


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
            f"it is learnt from spools cut from and then read (bows read S7 31yd); "
            f"that takes {LEAST} readings, and so far there "
            f"{'is' if len(found) == 1 else 'are'} {len(found)}"
        )
        return OverCut(level, {}, None, dict(counts), {}, (), found, False, False, why)
    sizes = sizes_of(led.bundles.values())
    design = _design(found, known_labels(led), sizes)
    return _told(design, draw(design), found, counts, level)


def _design(
    found: Sequence[Stretch], labels: dict[str, list[tuple[float, float]]],
    sizes: Sequence[int],
) -> Design:  # fmt: skip
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
    kinds = lumps([nm / NM_PER_INCH for nm in sizes], cuts)
    return Design(np.array(rows), np.array(y), np.array(spread), kinds, roles, lots)


def _row(s: Stretch, roles: Sequence[str], lots: Sequence[str]) -> list[float]:
    parts = dict(s.parts)
    row = [float(sum(parts.values())), *(float(parts.get(role, 0)) for role in roles)]
    hundredth = s.label / NM_PER_INCH / 100
    return row + [-hundredth if s.label and k == s.lot else 0.0 for k in lots]


def _told(
    d: Design, drawn: Draws, found: Sequence[Stretch], counts: Counter[str],
    level: float,
) -> OverCut:  # fmt: skip
    mean = drawn.beta[:, 0]
    each = {role: drawn.beta[:, 1 + n] for n, role in enumerate(d.roles)}
    total = sum(counts.values())
    mix = mean + sum(counts[role] / total * off for role, off in each.items())
    apart, why = _apart(d, drawn, [1.0, *(counts[k] / total for k in d.roles)])
    return OverCut(
        level,
        {role: _estimate(mean + off, level, NM_PER_INCH) for role, off in each.items()},
        _estimate(mix, level, NM_PER_INCH), dict(counts),
        {lot: _estimate(drawn.beta[:, d.at + n], level, 0.01)
         for n, lot in enumerate(d.lots)},
        tuple(_bulk(d, drawn, found)), tuple(found), apart, _roles_apart(d, drawn), why,
    )  # fmt: skip


def _estimate(draws: Array, level: float, unit: float) -> Estimate:
    import numpy as np

    low, high = np.quantile(draws, (0.5 - level / 2, 0.5 + level / 2))
    return Estimate(float(draws.mean()) * unit, float(low) * unit, float(high) * unit)


def _apart(d: Design, drawn: Draws, mix: Sequence[float]) -> tuple[bool, str]:
    """Say whether the data tell over-cut from label error, or only the stated guess."""
    import numpy as np

    pick = np.array([*mix, *[0.0] * len(d.lots)])
    weighed = d.x.T * (drawn.clean / d.spread**2 / drawn.scale.mean())
    lot = np.arange(len(pick)) >= d.at

    def spread(labels: float) -> float:
        prior = np.where(lot, labels, [1e-9, *[ROLE_SPREAD**-2] * (len(pick) - 1)])
        return sqrt(float(pick @ np.linalg.solve(weighed @ d.x + np.diag(prior), pick)))

    if spread(1e-6) <= TOLD_APART * spread(1e9):
        return True, ""
    return False, (
        "over-cut and the labels' error can't be told apart by these readings: both "
        "take more the more of a spool is used; read a few spools before their first "
        "cut, or twice on the way"
    )


def _roles_apart(d: Design, drawn: Draws) -> bool:
    """Say whether the data narrow each role's distance from the mean at all."""
    spreads = drawn.beta[:, 1 : d.at].var(axis=0)
    return len(d.roles) < 2 or bool((spreads < 0.5 * ROLE_SPREAD**2).all())


def _bulk(d: Design, drawn: Draws, found: Sequence[Stretch]) -> list[Bulk]:
    """Name the stretches that lost more than over-cut and label can account for."""
    beyond = (d.y - d.x @ drawn.beta.mean(axis=0))[: len(found)]
    scale = sqrt(float(drawn.scale.mean()))
    named = [
        Bulk(
            s.spool, float(beyond[n]) * NM_PER_INCH, s.first, s.last,
            float(beyond[n]) / (float(d.spread[n]) * scale),
        )
        for n, s in enumerate(found)
        if drawn.missing[n] > NAMED
    ]  # fmt: skip
    return sorted(named, key=lambda b: -b.length)
