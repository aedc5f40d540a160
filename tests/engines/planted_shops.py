"""Shops with planted over-cut, short labels and bundles never entered."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from random import Random

from planner.engines.overcut import over_cut
from planner.events.base import Event, Fact
from planner.events.bench import RibbonCut
from planner.events.catalogue import RibbonNamed
from planner.events.restock import SpoolReceived
from planner.events.shop import ShopSetUp
from planner.events.spool import EndKept, SpoolRead
from planner.fold import fold_facts
from planner.ledgers.state import Ledgers
from planner.plans.measure import OverCut

INCH = 25_400_000
YARD = 36 * INCH
CUTS = {"body": (20, 32), "knot": (5, 7)}
"""Lengths cut, in inches."""
KEPT = 9 * INCH


@dataclass
class Planted:
    """A shop's ledgers, and what is true of it (nm; shares for labels)."""

    led: Ledgers
    over: dict[str, float]
    came: dict[str, int]
    read_first: set[str]
    missing: dict[str, int] = field(default_factory=dict)

    @cached_property
    def found(self) -> OverCut:
        """What the engine makes of it, reckoned once."""
        return over_cut(self.led)


@dataclass
class _Spool:
    code: str
    left: int
    base: int
    events: list[tuple[Event, str]] = field(default_factory=list)


def plant(
    seed: int,
    *,
    spools: int = 24,
    missing_share: float = 0.03,
    read_share: float = 0.3,
    midway: float = 0.12,
) -> Planted:
    """
    Plant one shop.

    `missing_share` is the share of bundles never entered, `read_share` of spools read
    before their first cut, `midway` of cuts after which a spool is read.
    """
    rng = Random(f"planted {seed}")
    over = {"body": rng.uniform(0.1, 0.9) * INCH, "knot": rng.uniform(0.0, 0.4) * INCH}
    care = rng.uniform(0.8, 1.25)
    lots = {f"L{n}": _lot_error(rng) for n in range(max(spools // 3, 3))}
    made = Planted(Ledgers(), over, {}, set())
    told: list[tuple[Event, str]] = [*_opening()]
    codes = iter(range(1, 100_000))
    for number in range(1, spools + 1):
        shares = missing_share, read_share, midway
        told += _live(rng, made, f"S{number}", lots, care, shares, codes)
    facts = [(n, Fact(event, day)) for n, (event, day) in enumerate(told, start=1)]
    made.led = fold_facts(facts, zone="UTC")
    return made


def _lot_error(rng: Random) -> float:
    short = rng.uniform(0.022, 0.04) if rng.random() < 0.2 else 0.0
    return rng.gauss(0.0, 0.006) - short


def _opening() -> Iterator[tuple[Event, str]]:
    yield (
        ShopSetUp(name="Reed", zone="UTC", currency="USD", units="us", paper="letter"),
        "2026-01-01",
    )
    yield (
        RibbonNamed(ribbon="navy", colour="navy", width=38_100_000, material="satin"),
        "2026-01-01",
    )


def _live(
    rng: Random, made: Planted, code: str, lots: dict[str, float], care: float,
    shares: tuple[float, float, float], codes: Iterator[int],
) -> list[tuple[Event, str]]:  # fmt: skip
    missing_share, read_share, midway = shares
    lot = rng.choice(sorted(lots))
    label = rng.choice([50, 100]) * YARD
    came = round(label * (1 + lots[lot] + rng.gauss(0, 0.003)))
    made.came[code] = came
    days = iter(f"2026-{m:02}-{d:02}T12:00:00+00:00" for m in range(1, 13)
                for d in range(1, 29))  # fmt: skip
    event = SpoolReceived(spool=code, ribbon="navy", length=label, lot=lot)
    told: list[tuple[Event, str]] = [(event, next(days))]
    left = came
    if rng.random() < read_share:
        made.read_first.add(code)
        told.append((_read(rng, code, left, care), next(days)))
    until = rng.uniform(0.0, 0.7) * came if rng.random() < 0.6 else 0.0
    while left > until:
        for role, (least, most) in CUTS.items():
            length = rng.randint(least, most) * INCH
            count = rng.choice([2, 4, 6, 6, 8, 12, 12, 15])
            cut = 0
            while cut < count and left >= length:
                piece = length + max(round(rng.gauss(1, 0.35) * made.over[role]), 0)
                left -= min(piece, left)
                cut += 1
            if not cut:
                continue
            if rng.random() < missing_share:
                made.missing[code] = made.missing.get(code, 0) + cut * length
                continue
            told.append((RibbonCut(bundle=f"C{next(codes)}", spool=code, role=role,
                                   length=length, count=cut), next(days)))  # fmt: skip
        if left < 20 * INCH:
            break
        if rng.random() < midway:
            told.append((_read(rng, code, left, care), next(days)))
    told += _end(rng, code, left, care, days)
    return told


def _read(rng: Random, code: str, left: int, care: float) -> SpoolRead:
    weighed = rng.random() < 0.6
    error = care * (0.008 if weighed else 0.002)
    shown = round(left * (1 + rng.gauss(0, error)) / (9 * INCH)) * 9 * INCH
    how = "weighed" if weighed else "measured"
    return SpoolRead.model_validate({"spool": code, "left": max(shown, 0), "how": how})


def _end(
    rng: Random, code: str, left: int, care: float, days: Iterator[str]
) -> list[tuple[Event, str]]:
    if left >= 20 * INCH:
        return (
            [(_read(rng, code, left, care), next(days))] if rng.random() < 0.7 else []
        )
    told: list[tuple[Event, str]] = []
    if left >= KEPT:
        told.append((EndKept(spool=code, length=left), next(days)))
    told.append((SpoolRead(spool=code, left=0, how="ran out"), next(days)))
    return told
