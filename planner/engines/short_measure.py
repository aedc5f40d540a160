"""
Labels against a published tolerance: each spool for itself, and the lot.

Only a spool that was read before its first cut can be called short; one that ran out
gives an interval, and only if every cut of it was entered.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import fsum, sqrt

from planner.engines.uncut import may_have_been_cut
from planner.errors import Refusal
from planner.ledgers import ribbon as r
from planner.ledgers.shop import DEFAULTS, setting
from planner.ledgers.state import Ledgers
from planner.ledgers.timeline import OPENING, UNEXPLAINED, Row
from planner.plans.measure import LotCheck, LotTest, Measured, SpoolCheck, Verdict
from planner.values.units import parse_length

SETTING = "short measure rule"
KEPT = "end worth keeping"
LEAST = 12
"""Spools of a lot below which the errors are shown and nothing is concluded."""
CONFIDENCE = 0.975
"""One-sided level of the factors printed in NIST Handbook 133."""
_STEP = re.compile(r"(\d+(?:[.,]\d+)?)\s*%\s*(?:up to|to)?\s*(\d[^,;]*|above)?$")


@dataclass(frozen=True, slots=True)
class Rule:
    """
    A tolerance by labelled length: (up to nm, share), the last one without an end.

    `name` is the text it was read from, so that a report can name it.
    """

    name: str
    steps: tuple[tuple[int | None, Fraction], ...]

    def tolerance(self, label: int) -> int:
        """Give the most a spool of this label (nm) may be short by, in whole nm."""
        for most, share in self.steps:
            if most is None or label <= most:
                return int(label * share)
        return int(label * self.steps[-1][1])


def read_rule(text: str) -> Rule | None:
    """
    Read a rule such as ``NIST HB 133: 1.5 % to 48 yd, 2 % above`` or ``3 %``.

    What stands before a colon is its name.  None when it can't be read.
    """
    steps: list[tuple[int | None, Fraction]] = []
    for piece in re.split(r"[;,]\s+", text.rpartition(":")[2].strip()):
        found = _STEP.fullmatch(piece.strip())
        if found is None:
            return None
        share = Fraction(found[1].replace(",", ".")) / 100
        most = found[2]
        try:
            end = None if most in (None, "above") else parse_length(most)
        except Refusal:
            return None
        steps.append((end, share))
    return Rule(text, tuple(steps)) if steps else None


def rule_of(led: Ledgers) -> Rule:
    """Give the rule that the setting names; the default where it can't be read."""
    told = read_rule(setting(led, SETTING))
    rule = told or read_rule(DEFAULTS[SETTING])
    assert rule is not None
    return rule


def lot_factor(count: int) -> float:
    """
    Give what s is multiplied by for a lot's limit: t(0.975, n - 1) / sqrt(n).

    The sample correction factor of NIST Handbook 133.
    """
    from scipy.special import stdtrit

    return float(stdtrit(count - 1, CONFIDENCE)) / sqrt(count)


def lot_test(
    errors: Sequence[int], *, tolerances: Sequence[int], least: int = LEAST
) -> LotTest:
    """
    Judge the errors (read less label, nm) of a lot's spools.

    A single error beyond its tolerance fails the lot; else a mean of 0 or more passes
    it; else it passes when s t(0.975, n-1)/sqrt(n) exceeds the shortfall of the mean
    (NIST Handbook 133).  Fewer than `least` spools are only shown.
    """
    count = len(errors)
    mean = fsum(errors) / count
    sd = sqrt(fsum((e - mean) ** 2 for e in errors) / (count - 1)) if count > 1 else 0.0
    if count < max(least, 2):
        return LotTest(tuple(errors), mean, sd, 0.0, None, "only shown")
    factor = lot_factor(count)
    limit = factor * sd
    return LotTest(
        tuple(errors), mean, sd, factor, limit,
        _verdict(errors, tolerances, mean, limit),
    )  # fmt: skip


def _verdict(
    errors: Sequence[int], tolerances: Sequence[int], mean: float, limit: float
) -> Verdict:
    if any(-e > most for e, most in zip(errors, tolerances, strict=True)):
        return "fails: one is too short"
    return "passes" if mean >= 0 or limit > -mean else "fails: short on average"


def measured(
    led: Ledgers, over: Mapping[str, tuple[float, float]] | None = None
) -> Measured:
    """
    Judge every label that can be judged.

    `over` is the interval of over-cut by role (nm a part), for spools that ran out.
    """
    rule = rule_of(led)
    checks = [
        check
        for spool in led.spools
        if (check := check_spool(led, spool, rule=rule, over=over)) is not None
    ]
    return Measured(rule.name, tuple(checks), tuple(_lots(led, checks)), LEAST)


def check_spool(
    led: Ledgers, spool: str, *, rule: Rule | None = None,
    over: Mapping[str, tuple[float, float]] | None = None,
) -> SpoolCheck | None:  # fmt: skip
    """Say what a spool held against its label; None where nothing can be said."""
    base = led.spools[spool]
    tolerance = (rule or rule_of(led)).tolerance(base.label)
    read = read_first(led, spool)
    if base.part_used:
        return None
    if read is not None:
        return SpoolCheck(spool, base.lot, base.label, read, read, tolerance, True)
    held = _ran_out(led, spool, list(led.ribbon.items[spool].rows()), over or {})
    if held is None:
        return None
    return SpoolCheck(spool, base.lot, base.label, *held, tolerance, False)


def read_first(led: Ledgers, spool: str) -> int | None:
    """
    Give the reading (nm) taken before anything left the spool, if there was one.

    None also where bows had been made by then whose cut is on no record and may have
    been off it.
    """
    read = None
    for row in led.ribbon.items[spool].rows():
        if row.source != OPENING:
            break
        if row.reading is not None:
            read = row
    if read is None or may_have_been_cut(led, spool, (read.when, read.seq)):
        return None
    return read.reading


def _ran_out(
    led: Ledgers, spool: str, rows: Sequence[Row],
    over: Mapping[str, tuple[float, float]],
) -> tuple[int, int] | None:  # fmt: skip
    """Give between what a spool that ran out held, if every cut of it was entered."""
    last = [x for x in rows if x.reading is not None and x.target == r.LEFT]
    if len(last) != 1 or last[0].reading != 0:
        return None
    booked, low, high, longest = 0, 0.0, 0.0, 0
    for row in rows:
        if row.seq == last[0].seq:
            break
        if row.target == r.LEFT and row.source != OPENING:
            booked -= row.amount
        elif row.source == r.LEFT and row.target != UNEXPLAINED:
            booked += row.amount
            bundle = led.bundles.get(row.target.removeprefix(r.BUNDLE))
            if bundle is not None and row.target.startswith(r.BUNDLE):
                least, most = over.get(bundle.role, (0.0, 0.0))
                low += bundle.count * least
                high += bundle.count * most
                longest = max(longest, bundle.length)
    end = min(longest, int(setting(led, KEPT)))
    return booked + max(round(low), 0), booked + max(round(high), 0) + end


def _lots(led: Ledgers, checks: Sequence[SpoolCheck]) -> list[LotCheck]:
    by_lot: dict[tuple[str, str], list[SpoolCheck]] = defaultdict(list)
    for check in checks:
        if check.sure:
            # A delivery that stands in for a lot may hold several ribbons.
            by_lot[check.lot, led.spools[check.spool].ribbon].append(check)
    return [_lot(led, lot, found) for (lot, _), found in by_lot.items()]


def _lot(led: Ledgers, lot: str, found: Sequence[SpoolCheck]) -> LotCheck:
    first = led.spools[found[0].spool]
    test = lot_test(
        [c.low - c.label for c in found], tolerances=[c.tolerance for c in found]
    )
    return LotCheck(
        lot, first.ribbon, first.supplier, tuple(c.spool for c in found), test
    )
