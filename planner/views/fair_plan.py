"""The fair plan: what to bring, what to make first, and what it rests on."""

from __future__ import annotations

from typing import ClassVar

from planner.views.common import Colour, Oddity, Report, Size, Swatch, View


class FairCell(View):
    """What the plan says of one size in one colour."""

    size: str
    """Key of the size."""
    colour: str
    """Key of the colour."""
    kind: str
    """The kind as she types it."""
    bring: int
    """Bows to have on the stall."""
    have: int
    """Of those, finished and free already."""
    make: int
    """Of those, still to be made."""
    stall: int = 0
    """Of those, on the stall already."""
    in_sets: int = 0
    """Of those to bring, the bows made up into sets."""
    sell_out: float
    """Chance that all of them sell, 0 to 1."""
    sell_out_shown: str
    """The same, ready to show."""
    left_over: float
    """Bows expected back."""
    left_over_shown: str
    """The same, ready to show."""
    own_weight: float
    """Share of the kind's own history in its forecast, 0 to 1; the rest is lent."""
    sold_out_on: tuple[str, ...] = ()
    """When it sold out before, in words, the newest first."""
    why: str
    """What the forecast rests on: own history against its neighbours."""
    behind: str = ""
    """The command that names the entries behind those finished; empty for none."""


class FairTotal(View):
    """A sum over a row or a column of the matrix."""

    key: str
    """Key of the size or the colour."""
    bring: int
    """Bows to have on the stall."""
    have: int
    """Of those, finished and free already."""
    make: int
    """Of those, still to be made."""


class FairSet(View):
    """Sets of several bows to bring; their bows are among those of the kinds."""

    code: str
    """The set's code."""
    name: str
    """The set as she types it."""
    swatches: tuple[Swatch, ...]
    """Its colours."""
    holds: str
    """The bows of one, in words."""
    bring: int
    """Sets to make up and bring."""
    bows: int
    """Bows in all of them."""
    price_minor: int
    """Price of a set, minor units."""
    price: str
    """The same, ready to show."""
    sold: float
    """Sets expected to sell."""
    sold_shown: str
    """The same, ready to show."""
    sell_out: float
    """Chance that all of them sell, 0 to 1."""
    sell_out_shown: str
    """The same, ready to show."""
    left_over: float
    """Sets expected back."""
    left_over_shown: str
    """The same, ready to show."""
    why: str
    """What the number of buyers rests on."""


class FairLimit(View):
    """Something there isn't endless of, needed against available."""

    name: str
    """What is limited."""
    needed: str
    """What the plan takes, ready to show."""
    available: str
    """What there is, ready to show."""
    needed_amount: int
    """What the plan takes, in `unit`."""
    available_amount: int
    """What there is, in `unit`."""
    unit: str
    """Minutes, nanometres, bows or minor units of the currency."""
    binds: bool
    """Whether the plan stops at it."""
    worth: str = ""
    """What one more unit would be worth, in words; empty if not worked out."""


class FairBuy(View):
    """Whole spools of one ribbon to buy for the fair."""

    ribbon: str
    """Width and colour, as she calls the ribbon."""
    swatch: Swatch
    """Its colour."""
    spools: int
    """How many."""
    length_nm: int
    """Length of one, nanometres."""
    length: str
    """The same, ready to show."""
    cost_minor: int
    """What they cost together, minor units."""
    cost: str
    """The same, ready to show."""
    gain_minor: int
    """What all spools to buy add together to the profit, minor units."""
    gain: str
    """The same, ready to show."""


class MakeNext(View):
    """One turn at the bench for the fair, most worth making first."""

    kind: str
    """The kind as she types it."""
    count: int
    """Bows to make."""
    minutes: int
    """Bench minutes at median, set-up included."""
    time: str
    """The same, ready to show."""
    swatches: tuple[Swatch, ...] = ()
    """Its ribbons, lead colour first."""
    from_spool: str = ""
    """The spool to cut from, if known."""
    why: str = ""
    """Why it comes here."""


class FairPlan(Report):
    """What to bring to one fair."""

    schema_name: ClassVar[str] = "spool-to-stall/fair-plan/1"
    title: ClassVar[str] = "Fair plan"
    template: ClassVar[str] = "fair_plan.html.j2"

    fair: str
    """The fair's name."""
    when_on: str
    """ISO day it opens."""
    when: str
    """Its days and hours in words."""
    days_left: int
    """Days until it opens."""
    short: str
    """The answer in one sentence."""
    sizes: tuple[Size, ...] = ()
    """The columns, smallest first."""
    colours: tuple[Colour, ...] = ()
    """The rows, families together."""
    cells: tuple[FairCell, ...] = ()
    """Only the kinds worth a word; a cell left out stays at home."""
    size_totals: tuple[FairTotal, ...] = ()
    """One for each size, in their order."""
    colour_totals: tuple[FairTotal, ...] = ()
    """One for each colour, in their order."""
    sets: tuple[FairSet, ...] = ()
    """Sets to make up of the bows that come, where any pays."""
    bring: int
    """All bows to have on the stall; the packing list sums to it."""
    have: int
    """Of those, finished and free already."""
    make: int
    """Of those, still to be made."""
    on_stall: int = 0
    """Of those, on the stall already."""
    days_over: int = 0
    """Days of the fair that are over; the plan is for those left."""
    sold: float
    """Bows expected to sell."""
    sold_shown: str
    """The same, ready to show, with its range."""
    takings_minor: int
    """Expected takings, minor units."""
    takings: str
    """The same, ready to show."""
    profit_minor: int
    """Expected takings less fee and what the bows still cost, minor units."""
    profit: str
    """The same, ready to show."""
    fee_minor: int
    """What the stall costs, minor units."""
    fee: str
    """The same, ready to show."""
    materials_minor: int
    """Ribbon and supplies of the bows still to be made, minor units."""
    materials: str
    """The same, ready to show."""
    limits: tuple[FairLimit, ...] = ()
    """Bench minutes, ribbon, table space and cash."""
    buys: tuple[FairBuy, ...] = ()
    """Whole spools to buy, where she lets the plan buy."""
    make_next: tuple[MakeNext, ...] = ()
    """What to make, the first first."""
    rests_on: tuple[str, ...] = ()
    """What data it rests on, how sure it is, what would change it."""
    odd: tuple[Oddity, ...] = ()
    """What is odd about the stock it counts on."""
