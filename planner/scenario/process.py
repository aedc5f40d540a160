"""
The parameters of an invented season: what a scenario file holds, checked.

Each class is one block of the file; scenarios/README.md says what each figure does.
Lengths are inches or yards as the file gives them, amounts minor units, chances shares
of one.  Event bodies never see these: they are the process, not the record.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal

from planner.events.base import Value
from planner.scenario.process_selling import BoutiqueSpec, Habits, Span, WholesaleSpec
from planner.values.units import NM_PER_64TH


def inches(length: float) -> int:
    """Turn inches into whole nanometres, to the nearest 64th."""
    return round(length * 64) * NM_PER_64TH


class ShopFacts(Value):
    """The invented shop."""

    name: str
    maker: str
    town: str
    zone: str
    currency: str
    units: Literal["us", "metric"]
    paper: Literal["letter", "a4"]
    wage: int
    fee_basis_points: int
    fee_fixed: int


class ColourSpec(Value):
    """A colour; `appeal` is how well it really sells against the usual one."""

    colour: str
    name: str
    hex: str
    family: str
    appeal: float


class RibbonSpec(Value):
    """A ribbon she carries; `opening` says how its first spool comes in."""

    colour: str
    width_in: float
    yards: int
    price: int
    opening: Literal["whole", "part", "none"] = "none"
    material: str = "grosgrain"
    finish: Literal["dyed", "printed", "foil", "glitter"] = "dyed"

    @property
    def code(self) -> str:
        """The ribbon's code, such as ``navy-1.5in``."""
        return f"{self.colour}-{self.width_in:g}in"


class SupplySpec(Value):
    """A supply, bought in packs; `broken` is the share that breaks unseen."""

    supply: str
    name: str
    yields: int
    pack: int
    price: int
    broken: float


class PatternSpec(Value):
    """A pattern; `minutes` is the true median a bow once she is practised."""

    pattern: str
    name: str
    size_in: float
    width_in: float
    parts: tuple[tuple[str, float, int], ...]
    clip: str
    steps: tuple[tuple[str, int, bool], ...]
    set_up: int
    setting: int
    colours: tuple[str, ...]
    appeal: float
    minutes: float
    spoil: float
    retail: int
    fair: int
    wholesale: int
    stiffened: bool = False

    @property
    def kinds(self) -> tuple[str, ...]:
        """The kinds she makes of it."""
        return tuple(f"{self.pattern}:{c}-{self.width_in:g}in" for c in self.colours)


class TwoColourSpec(Value):
    """A colourway of two ribbons: the lead, and another for the top layer."""

    colourway: str
    name: str
    lead: str
    top: str
    width_in: float

    @property
    def code(self) -> str:
        """The colourway's code, such as ``navy-sail-1.5in``."""
        return f"{self.colourway}-{self.width_in:g}in"


class PairSpec(Value):
    """Pairs sold as sets, of one pattern in some colours."""

    pattern: str
    colours: tuple[str, ...]
    price: int


class Suppliers(Value):
    """Whom she buys from."""

    ribbon: tuple[str, ...]
    supplies: str


class Revision(Value):
    """One pattern's part becomes shorter."""

    pattern: str
    role: str
    inches: float
    weeks_before: int


class Dearer(Value):
    """One pattern's prices go up."""

    pattern: str
    retail: int
    fair: int
    wholesale: int
    weeks_before: int


class HoursSpec(Value):
    """One stretch of bench hours."""

    rule: str
    start: str
    end: str
    weekdays: tuple[int, ...]


class BenchSpec(Value):
    """How she works; spreads are standard deviations of logarithms."""

    words: str
    rules: tuple[HoursSpec, ...]
    attend: float
    share: float
    share_spread: float
    away_weeks_before: tuple[int, ...]
    batch: int
    idle_weeks: float
    idle_attend: float
    idle_stock: float
    least_batch: Span
    cut_ahead: float
    between: float
    within: float
    learning: float
    made_before: int
    floor: float


class RibbonTruth(Value):
    """What ribbon really does: over-cut, label errors, joins, trimmings."""

    over_cut_in: dict[str, float]
    over_cut_spread: float
    trim_in: float
    trim_spread_in: float
    too_short: float
    lot_error: float
    short_lot: float
    short_by: float
    spool_error: float
    join: float
    read_on_arrival: float
    keep_end_in: float


class Losses(Value):
    """What goes missing."""

    stall: float
    home_a_year: float
    found_again: float
    written_off_a_year: float
    miscut: float
    flaw: float


class Demand(Value):
    """What buyers want; `season` gives factors by family and month."""

    bows_per_open_hour: float
    crowd_power: float
    shock: float
    two_wanted: float
    to_same_family: float
    to_other_size: float
    season: dict[str, dict[str, float]]


class FairSpec(Value):
    """A past fair, on the last Saturday that many weeks before the last day."""

    name: str
    weeks_before: int
    days: int
    opens: str
    closes: str
    fee: int
    crowd: int
    indoor: bool
    table_ft: float
    off_at: str | None = None
    planned: bool = False


class ComingFair(Value):
    """The fair ahead; on its `eve` she means to work besides her usual hours."""

    name: str
    days_ahead: int
    opens: str
    closes: str
    fee: int
    crowd: int
    indoor: bool
    table_ft: float
    announced_days_before: int
    eve: tuple[str, str]


class Thumb(Value):
    """Her rule of thumb for what to bring."""

    total_an_hour: float
    bring: float
    last_counts: float
    sold_out_bump: float
    most_spare: int
    opening_share: float


class OrdersSpec(Value):
    """How orders come."""

    a_year: int
    asked: float
    lapsed: int
    called_off: int
    rush: float
    stock: float
    lead_days: Span
    quiet_days: int
    posted: float
    changed: int
    noted: float
    promised: float
    returned: int
    lost_in_post: int
    counts: tuple[int, ...]
    lines: tuple[int, ...]


class EndingOrder(Value):
    """An order that is unfinished when the season ends; lines are kind, n, pairs."""

    days_before: int
    due_in: int
    lines: tuple[tuple[str, int, bool], ...]
    state: Literal["ready", "ribbon", "open", "asked", "rush"]
    hour: str | None = None
    in_parts: bool = False


class WaitingRibbon(Value):
    """The ribbon on its way when the season ends."""

    colour: str
    width_in: float
    yards: int
    price: int
    expected_in: int
    latest_in: int


class RestockSpec(Value):
    """When ribbon is bought, and how it comes."""

    weeks_before: tuple[int, ...]
    spools: tuple[int, ...]
    days: Span
    freight: int
    in_two: tuple[int, ...]
    cancelled_weeks_before: int


class Process(Value):
    """A whole scenario file."""

    invented: str
    shop: ShopFacts
    colours: tuple[ColourSpec, ...]
    ribbons: tuple[RibbonSpec, ...]
    supplies: tuple[SupplySpec, ...]
    patterns: tuple[PatternSpec, ...]
    two_colours: tuple[TwoColourSpec, ...]
    pairs: tuple[PairSpec, ...]
    suppliers: Suppliers
    revision: Revision
    dearer: Dearer
    bench: BenchSpec
    ribbon_truth: RibbonTruth
    losses: Losses
    demand: Demand
    fairs: tuple[FairSpec, ...]
    coming: ComingFair
    thumb: Thumb
    orders: OrdersSpec
    ending: tuple[EndingOrder, ...]
    waiting_ribbon: WaitingRibbon
    restocks: RestockSpec
    boutique: BoutiqueSpec
    wholesale: WholesaleSpec
    habits: Habits
    people: tuple[str, ...]
    streets: tuple[str, ...]
    order_notes: tuple[str, ...]
    notes: tuple[str, ...]


def read_process(parameters: Mapping[str, Any]) -> Process:
    """Check a scenario file's figures; raises ValueError naming what is wrong."""
    return Process.model_validate(dict(parameters))
