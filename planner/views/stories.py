"""All spools together: which ribbons lose most, and where."""

from __future__ import annotations

from typing import ClassVar

from planner.views.common import Oddity, Report, Swatch, View
from planner.views.story import Account


class AccountSum(View):
    """What all spools of a ribbon have in one account."""

    account: Account
    """Which account."""
    length_nm: int
    """Length in it, nanometres; below zero where entries are missing."""
    length: str
    """The same, ready to show."""


class RibbonLoss(View):
    """All spools of one ribbon."""

    ribbon: str
    """Colour, width, material, as she calls it."""
    swatch: Swatch
    """Its colour."""
    spools: tuple[str, ...]
    """Their codes, the one that lost most first."""
    opening_nm: int
    """Length they began with, nanometres."""
    opening: str
    """The same, ready to show."""
    used_nm: int
    """Length no longer on them, nanometres."""
    used: str
    """The same, ready to show."""
    lost_nm: int
    """Trimmed, scrapped and not yet explained, nanometres."""
    lost: str
    """The same, ready to show."""
    lost_share: float
    """Its part of what was used."""
    lost_share_shown: str
    """The same, ready to show."""
    accounts: tuple[AccountSum, ...]
    """Where it all is; the sums and the opening agree."""
    worst: str
    """Where most of the loss is, in words."""


class SpoolLoss(View):
    """One spool, in one line."""

    code: str
    """Its short code."""
    ribbon: str
    """Its ribbon."""
    lot: str
    """Dye lot, or the delivery standing in for it."""
    joins: int
    """Joins found."""
    lost_nm: int
    """Trimmed, scrapped and not yet explained, nanometres."""
    lost: str
    """The same, ready to show."""
    unexplained_nm: int
    """Not yet explained alone, nanometres, signed."""
    unexplained: str
    """The same, ready to show."""
    label_check: str
    """What can be said of its label."""
    bulk: str
    """A loss too big for over-cut: what, and between which days; empty for none."""


class OverCutLine(View):
    """How much longer one part is really cut than meant."""

    role: str
    """The part, or `all parts`."""
    parts: int
    """Parts cut that it rests on."""
    each_nm: int
    """The figure, nanometres a part."""
    each: str
    """The same, ready to show."""
    low_nm: int
    """Lower end of its interval, nanometres."""
    high_nm: int
    """Upper end."""
    interval: str
    """The same, ready to show."""


class LotLine(View):
    """A lot's labels: what over-cut leaves for them, and what reading them tells."""

    lot: str
    """The lot."""
    ribbon: str
    """Its ribbon."""
    spools: int
    """Spools read before their first cut."""
    mean_nm: int | None
    """Mean error of those, nanometres, below zero short; None where none was read."""
    mean: str
    """The same, ready to show."""
    likely_share: float | None = None
    """What the labels are likely off by, told apart from over-cut; None: can't tell."""
    low_share: float | None = None
    """Lower end of its interval."""
    high_share: float | None = None
    """Upper end."""
    likely: str = ""
    """The figure, ready to show."""
    interval: str = ""
    """Its interval, ready to show."""
    verdict: str
    """What the rule says."""


class Stories(Report):
    """Where the ribbon of all spools went."""

    schema_name: ClassVar[str] = "spool-to-stall/stories/2"
    title: ClassVar[str] = "All spools"
    template: ClassVar[str] = "stories.html.j2"

    short: str
    """The answer in one sentence."""
    ribbons: tuple[RibbonLoss, ...]
    """By ribbon, the one that lost most first."""
    spools: tuple[SpoolLoss, ...]
    """By spool, the one that lost most first."""
    over_cut: tuple[OverCutLine, ...]
    """Over-cut by part, all parts together first; empty when too little was read."""
    level_shown: str
    """Level of the intervals, ready to show."""
    over_cut_note: str
    """What can't be told, and why."""
    rule: str
    """The tolerance for labels that was used, by name."""
    lots: tuple[LotLine, ...]
    """Lots whose labels something is known of."""
    lots_note: str
    """From how many spools a lot is judged."""
    odd: tuple[Oddity, ...] = ()
    """Bulk losses, with what to type about them."""
