"""
The physical world of an invented season: real ribbon, parts, bows and supplies.

Nothing here is typed.  Whatever moves here and differs from what she will type is
noted as a *cause*, so that a test can explain every difference between her records
and the truth.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from random import Random

HOME = "home"


def _causes() -> defaultdict[str, int]:
    return defaultdict(int)


@dataclass(slots=True, eq=False)
class Spool:
    """A spool; `left` is its true ribbon, `join` the length behind a hidden join."""

    code: str
    ribbon: str
    label: int
    came: int
    left: int
    lot: str
    join: int = 0
    begun: bool = False
    empty: bool = False
    ends: int = 0
    parts: int = 0
    causes: defaultdict[str, int] = field(default_factory=_causes)


@dataclass(slots=True, eq=False)
class Bundle:
    """
    Parts waiting; `told` is the spool her records name, None if never typed.

    `count` parts are there and `book` in her records.
    """

    code: str
    spool: Spool
    told: str | None
    role: str
    length: int
    count: int
    book: int


@dataclass(frozen=True, slots=True)
class Use:
    """Parts taken for bows: `book` of the `count` stand in a bundle of hers."""

    bundle: Bundle
    count: int
    book: int


@dataclass(slots=True, eq=False)
class Lot:
    """A lot of a supply: what is really left."""

    code: str
    supply: str
    left: int
    part: float = 0.0


@dataclass(frozen=True, slots=True)
class OverCut:
    """How much longer parts are really cut than meant, nm by role."""

    mean: dict[str, int]
    spread: float

    def draw(self, rng: Random, role: str) -> int:
        """Draw one part's excess."""
        mean = self.mean.get(role, 0)
        return max(round(rng.gauss(mean, mean * self.spread)), 0)


class World:
    """Everything that is really there."""

    def __init__(self) -> None:
        """Begin with empty shelves."""
        self.spools: dict[str, list[Spool]] = {}
        self.all_spools: dict[str, Spool] = {}
        self.bundles: dict[str, list[Bundle]] = {}
        self.bows: dict[str, dict[str, int]] = {}
        self.bow_causes: dict[str, defaultdict[str, int]] = defaultdict(_causes)
        self.lots: dict[str, list[Lot]] = {}
        self.used: dict[str, float] = defaultdict(float)

    def add_spool(self, spool: Spool) -> None:
        """Put a spool on the shelf."""
        self.spools.setdefault(spool.ribbon, []).append(spool)
        self.all_spools[spool.code] = spool
        spool.causes["label"] += spool.came - spool.label

    def left(self, ribbon: str) -> int:
        """Give the true length of a ribbon left on spools, nm."""
        return sum(spool.left for spool in self.spools.get(ribbon, ()))

    def to_cut(self, ribbon: str, length: int) -> Spool | None:
        """Give the spool she takes: one begun before a whole one, the oldest first."""
        fit = [s for s in self.spools.get(ribbon, ()) if s.left >= length]
        return min(fit, key=lambda s: not s.begun, default=None)

    def cut(
        self, spool: Spool, over: OverCut, rng: Random, role: str, length: int, n: int
    ) -> tuple[int, int]:
        """
        Cut up to `n` parts off a spool.

        Returns how many parts there are, and the ribbon (nm) lost at a join met.
        """
        made, wasted, excess = 0, 0, 0
        spool.begun = True
        while made < n:
            piece = length + over.draw(rng, role)
            if 0 < spool.join < spool.left < spool.join + piece:
                wasted += spool.left - spool.join
                spool.left, spool.join = spool.join, 0
            if spool.left < length:
                break
            piece = min(piece, spool.left)
            spool.left -= piece
            excess += piece - length
            made += 1
        spool.causes["over-cut"] -= excess
        self.used[spool.ribbon] += made * length
        return made, wasted

    def add_bundle(self, bundle: Bundle) -> None:
        """Let parts wait."""
        key = f"{bundle.spool.ribbon}/{bundle.role}/{bundle.length}"
        self.bundles.setdefault(key, []).append(bundle)
        bundle.spool.parts += bundle.count * bundle.length

    def waiting(self, ribbon: str, role: str, length: int) -> list[Bundle]:
        """Give the bundles with parts of this sort, oldest first."""
        key = f"{ribbon}/{role}/{length}"
        live = [b for b in self.bundles.get(key, ()) if b.count]
        self.bundles[key] = live
        return live

    def take(self, ribbon: str, role: str, length: int, count: int) -> list[Use]:
        """Take waiting parts; what her records don't have of them becomes a cause."""
        uses: list[Use] = []
        for bundle in self.waiting(ribbon, role, length):
            n = min(count, bundle.count)
            if n:
                uses.append(self._use(bundle, n))
                count -= n
        return uses

    def take_from(self, bundle: Bundle, count: int) -> Use:
        """Take parts out of one bundle."""
        return self._use(bundle, min(count, bundle.count))

    def _use(self, bundle: Bundle, n: int) -> Use:
        book = n if bundle.told else 0
        bundle.count -= n
        bundle.book -= book
        bundle.spool.parts -= n * bundle.length
        bundle.spool.causes[self.cause(bundle)] -= n * bundle.length
        if bundle.told:
            told = self.all_spools[bundle.told]
            told.causes[self.cause(bundle)] += n * bundle.length
        return Use(bundle, n, book)

    @staticmethod
    def cause(bundle: Bundle) -> str:
        """Name why parts of a bundle are not in her records as they really were."""
        return "cut not typed" if bundle.told is None else "another spool typed"

    def count_at(self, place: str, kind: str) -> int:
        """Count the bows of a kind really at a place."""
        return self.bows.get(place, {}).get(kind, 0)

    def put(self, place: str, kind: str, count: int) -> None:
        """Put bows at a place, or take them away (below zero)."""
        held = self.bows.setdefault(place, {})
        held[kind] = held.get(kind, 0) + count
        if not held[kind]:
            del held[kind]

    def unlike(self, kind: str, cause: str, more: int) -> None:
        """Note that the truth has so many more bows of a kind than typed movements."""
        self.bow_causes[kind][cause] += more

    def add_lot(self, lot: Lot) -> None:
        """Put a lot of a supply on the shelf."""
        self.lots.setdefault(lot.supply, []).append(lot)

    def use_units(self, supply: str, units: int) -> list[tuple[str, int]]:
        """Take whole units, the oldest lot first; returns what she types per lot."""
        typed: list[tuple[str, int]] = []
        for lot in self.lots.get(supply, ()):
            n = min(units, lot.left)
            if n > 0:
                lot.left -= n
                units -= n
                typed.append((lot.code, n))
        return typed

    def break_units(self, supply: str, units: int) -> None:
        """Lose units unseen."""
        self.use_units(supply, units)

    def units_left(self, supply: str) -> int:
        """Count the units of a supply really left."""
        return sum(lot.left for lot in self.lots.get(supply, ()))

    def add_use(self, supply: str, share: float) -> int:
        """Use part of a unit; returns how many whole units that finished."""
        lots = self.lots.get(supply)
        if not lots:
            return 0
        lots[0].part += share
        whole = int(lots[0].part)
        lots[0].part -= whole
        return whole
