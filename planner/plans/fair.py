"""The fair plan as a value: what to bring, what to make first, what it rests on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, NamedTuple

Source = Literal["history", "history and guess", "guess", "rule of thumb"]
"""Where the forecast's level comes from."""


Quantiles = tuple[int, int, int, int, int]
"""Bows not exceeded so many times in a hundred, for each of LEVELS."""
LEVELS = (5, 25, 50, 75, 95)
"""What is kept of a law to score it by, in hundredths."""


@dataclass(frozen=True, slots=True)
class KindSeen:
    """
    What past fairs told of a kind: how often brought, sold out, and bows sold.

    `guessed` are the bows she guessed for it, if she did; `outs` the day and hour
    (None: nobody noted it) of each sell-out, the newest first.
    """

    brought: int = 0
    sold_out: int = 0
    sold: float = 0.0
    guessed: int | None = None
    outs: tuple[tuple[str, str | None], ...] = ()


@dataclass(frozen=True, slots=True)
class KindPlan:
    """
    What the plan says of one kind.

    `bring` = `have` + `make` bows, `in_sets` of them in sets, `stall` of them on the
    stall already; `wanted` are the bows expected to be asked for, `wanted_in_sets` of
    them in sets; `sold` and `left` what is expected of those brought, sets included;
    `sell_out` is P(all single bows sell, or all sets where none come singly);
    `takings` are those of the single bows sold, minor units; `spread` are quantiles of
    the wishes; `lent` are the wishes that its size and colour alone would say.
    `price` and `cost` (materials of a new bow) are minor units, `minutes` those of
    one bow with its share of the set-up, `spoiled` the bows spoiled for one that comes
    out well: in both, what those take is reckoned in; `own` is the weight of its own
    history.
    """

    kind: str
    bring: int
    have: int
    make: int
    wanted: float
    sold: float
    left: float
    sell_out: float
    price: int
    cost: float
    minutes: float
    own: float
    seen: KindSeen
    stall: int = 0
    spread: Quantiles | None = None
    lent: float = 0.0
    spoiled: float = 0.0
    in_sets: int = 0
    wanted_in_sets: float = 0.0
    takings: float = 0.0


@dataclass(frozen=True, slots=True)
class SetPlan:
    """
    What the plan says of sets of several bows, in sets.

    `bows` are those of one set by kind, counted in what the kinds bring; `wanted`,
    `sold`, `left`, `sell_out` and `seen` as of a kind, `seen.brought` the fairs where
    enough of its kinds were brought to sell one; `price` of a set, minor units; `own`
    the weight of its own sales.
    """

    set: str
    bows: tuple[tuple[str, int], ...]
    bring: int
    wanted: float
    sold: float
    left: float
    sell_out: float
    price: int
    own: float
    seen: KindSeen


@dataclass(frozen=True, slots=True)
class More:
    """
    What one step more of a limit would bring, found by choosing again.

    `step` is in the limit's unit, `worth` expected profit in minor units, `bring` by
    how many bows kinds would change; `price` of a spool more, minor units, if known.
    """

    step: int
    worth: int
    bring: tuple[tuple[str, int], ...]
    price: int | None = None


@dataclass(frozen=True, slots=True)
class Buy:
    """
    Spools of a ribbon to buy: how many, of what length (nm) and price (minor units).

    `gain` is what all that is to be bought adds together to the expected profit, less
    what is lost on ribbon left of it.
    """

    ribbon: str
    spools: int
    length: int
    price: int
    gain: int = 0


@dataclass(frozen=True, slots=True)
class Limit:
    """
    Something there isn't endless of, needed against available.

    `what` is bench (minutes), ribbon (nm), supply (bows it does for), table (bows) or
    spend (minor units), `code` the ribbon or supply.  `worth` is the expected profit
    (minor units) that one more `step` would add, None where the plan doesn't stop;
    `more` says what would be brought then.
    """

    what: Literal["bench", "ribbon", "supply", "table", "spend"]
    code: str
    needed: int
    available: int
    binds: bool
    step: int
    worth: int | None = None
    more: tuple[More, ...] = ()


@dataclass(frozen=True, slots=True)
class Turn:
    """
    Bows of one kind to make in one go, the most worth making first.

    `gain` is what the turn adds to the expected profit, minor units; `spools` are the
    spools to cut from, as far as the records have enough.
    """

    kind: str
    count: int
    minutes: int
    gain: int
    spools: tuple[str, ...] = ()

    @property
    def an_hour(self) -> float:
        """Expected profit an hour at the bench, minor units."""
        return 60 * self.gain / max(self.minutes, 1)


class ColourEffect(NamedTuple):
    """
    How many times as often a colour is asked for as the usual colour is.

    `low` and `high` hold it nine times out of ten.
    """

    colour: str
    times: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Basis:
    """
    What the plan rests on.

    `fairs`, `sold`: settled fairs looked at, and bows sold there; `unlogged`: of
    those, sales not typed, taken at the middle of their range; `unnoticed`: sold
    with the colour not noticed and shared out.  `factors` are what the crowd, the
    hours (beyond proportion), the open air and the season do to it; `half_life` the
    days after which a fair counts half.  `kinds` were considered,
    `never_brought` of them had never been at a fair.  `untold` names what is missing:
    bench hours (a guess stands in), spools and table (no limit then); `unpriced` are
    kinds left out for want of a price, `cost_guessed` how many kinds' materials had
    none.
    `crowd_untold` is the last past fair, where she told the crowd of none.
    `days_over` of this fair were looked at like a fair of their own; their takings say
    that `untyped` bows are gone which the records still have on the stall.
    Of the `planned_minutes` at the bench `sure_minutes` are worked with a chance of
    `sure`; bows left over may sell at `later` fairs expected in the season after.
    `at_least` bows of a kind come, or none. `sets_left` sets with a price don't pay to
    make up beforehand.
    `gap` is by how much (minor units) the choice may fall short of the best there is;
    where some turn to another colour, on `drawn` fairs drawn for it.
    `turn` is the share of those whose colour is gone that surely take another of its
    family: no larger one is reckoned with.  `colours` are what leading colours do.
    """

    source: Source
    fairs: int = 0
    sold: float = 0.0
    unlogged: float = 0.0
    unnoticed: int = 0
    sold_out: int = 0
    turn: float = 0.0
    factors: tuple[tuple[str, float], ...] = ()
    half_life: int = 0
    kinds: int = 0
    never_brought: int = 0
    guessed_total: float | None = None
    planned_minutes: int = 0
    sure_minutes: int = 0
    sure: float = 0.0
    later: float = 0.0
    order_minutes: int = 0
    awaited: tuple[str, ...] = ()
    untold: tuple[str, ...] = ()
    unpriced: tuple[str, ...] = ()
    cost_guessed: int = 0
    gap: int = 0
    drawn: int = 0
    sets_left: int = 0
    days_over: int = 0
    untyped: float = 0.0
    crowd_untold: str = ""
    at_least: int = 0
    colours: tuple[ColourEffect, ...] = ()


@dataclass(frozen=True, slots=True)
class FairPlan:
    """
    What to bring to one fair, and what that is expected to give.

    `sold` is the expected number sold, within `sold_low`..`sold_high` nine times out
    of ten (kinds rise and fall together); `takings` minor units likewise; `profit` is
    takings less the fee and the materials of the bows still to be made;
    `sold_spread` are quantiles of the bows sold.  `head` is
    the log's head it rests on, hex.
    """

    fair: str
    today: str
    head: str
    kinds: tuple[KindPlan, ...]
    limits: tuple[Limit, ...]
    turns: tuple[Turn, ...]
    sold: float
    sold_low: int
    sold_high: int
    takings: int
    takings_low: int
    takings_high: int
    fee: int
    materials: int
    basis: Basis
    sold_spread: Quantiles | None = None
    buys: tuple[Buy, ...] = ()
    sets: tuple[SetPlan, ...] = ()

    @property
    def profit(self) -> int:
        """Expected takings less fee and materials still to be used, minor units."""
        return self.takings - self.fee - self.materials

    @property
    def bring(self) -> tuple[tuple[str, int], ...]:
        """The packing list: kinds and bows, none left out that should come."""
        return tuple((k.kind, k.bring) for k in self.kinds if k.bring)

    def to_pack(self, packed: Mapping[str, int]) -> dict[str, int]:
        """
        Give what is to have been packed in all, by kind.

        Once days of the fair are over that is what was packed and what comes on top.
        """
        if not self.basis.days_over:
            return dict(self.bring)
        more = {k.kind: k.bring - k.stall for k in self.kinds if k.bring > k.stall}
        return {k: packed.get(k, 0) + more.get(k, 0) for k in {**packed, **more}}

    @property
    def expected(self) -> tuple[tuple[str, int], ...]:
        """Expected wishes by kind in thousandths of a bow, kept for scoring."""
        return tuple((k.kind, round(1000 * k.wanted)) for k in self.kinds if k.bring)

    @property
    def spread(self) -> tuple[tuple[str, Quantiles], ...]:
        """Quantiles of the wishes for each kind that comes, kept for scoring."""
        return tuple((k.kind, k.spread) for k in self.kinds if k.bring and k.spread)

    @property
    def make(self) -> int:
        """Bows still to be made."""
        return sum(k.make for k in self.kinds)

    @property
    def spoiled(self) -> float:
        """Bows expected to be spoiled while those are made."""
        return sum(k.make * k.spoiled for k in self.kinds)
