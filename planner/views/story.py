"""The spool story: where every inch of one spool went."""

from __future__ import annotations

from typing import ClassVar, Literal

from planner.views.common import Oddity, Report, Swatch, View

Account = Literal[
    "opening",
    "left",
    "ends",
    "bundles",
    "bows",
    "trimmed",
    "scrapped",
    "sent out",
    "not yet explained",
]
"""The accounts of a spool, in the order the table tells them."""

How = Literal["known", "inferred"]
"""Whether an entry says so, or it was worked out first in, first out."""


class AccountLine(View):
    """One account of the spool; all but the opening sum to the opening."""

    account: Account
    """Which account."""
    label: str
    """What it is called, with the reason for what was scrapped."""
    length_nm: int
    """Length in it, nanometres; below zero when entries are missing."""
    length: str
    """The same, ready to show."""
    share: float
    """Its part of the opening, 0 to 1; below zero when the length is."""
    share_shown: str
    """The same, ready to show."""
    note: str = ""
    """What to know about it."""


class StripPiece(View):
    """A piece of the spool, in the order it was cut."""

    account: Account
    """Where it is now."""
    label: str
    """What became of it, in short (`12 × 4in navy`)."""
    length_nm: int
    """Its length, nanometres; never below zero."""
    length: str
    """The same, ready to show."""
    how: How = "known"
    """Whether an entry says so."""
    entry: int | None = None
    """Number of the entry that cut it; None for what is left or unexplained."""
    day_on: str = ""
    """ISO day it was cut."""
    day: str = ""
    """The same in words."""
    went_to: str = ""
    """Through bundle and batch to an order, a person, a fair."""
    join_after: bool = False
    """Whether a join was found where it ends."""


class StoryEvent(View):
    """One thing that happened to the spool."""

    entry: int
    """Its entry's number."""
    happened_on: str
    """ISO day, or date-time, it happened."""
    happened: str
    """The same in words."""
    what: str
    """What happened, in a sentence."""
    change_nm: int
    """What it did to the length left on the spool, nanometres, signed."""
    change: str
    """The same, ready to show; empty for nothing."""
    left_nm: int
    """Book figure left after it, nanometres."""
    left: str
    """The same, ready to show."""
    how: How = "known"
    """Whether an entry says so."""
    recorded: str = ""
    """When it was typed, in words; only for late ones."""
    late: bool = False
    """Whether it was typed after the day it tells of."""
    corrects: int | None = None
    """The entry it corrects."""
    corrected_by: int | None = None
    """The entry that corrects it: it no longer counts."""


class SpoolStory(Report):
    """The whole account of one spool."""

    schema_name: ClassVar[str] = "spool-to-stall/story/1"
    title: ClassVar[str] = "Spool story"
    template: ClassVar[str] = "story.html.j2"

    code: str
    """The spool's short code."""
    why: str = ""
    """The command that names the entries behind what is left on it."""
    ribbon: str
    """Width, colour, material, as she calls the ribbon."""
    swatch: Swatch
    """Its colour."""
    supplier: str
    """Who sold it."""
    lot: str
    """Dye lot, or the delivery standing in for it."""
    received_on: str
    """ISO day it came."""
    received: str
    """The same in words."""
    label_nm: int
    """Labelled length, nanometres."""
    label: str
    """The same, ready to show."""
    opening_nm: int
    """Length the account begins with, nanometres."""
    opening: str
    """The same, ready to show, with where it comes from."""
    left_nm: int
    """Book figure left on it, nanometres."""
    left: str
    """The same, ready to show."""
    unexplained_nm: int
    """Signed length not yet explained, nanometres."""
    unexplained: str
    """The same, ready to show."""
    short: str
    """The story in one sentence."""
    used_up: bool = False
    """Whether she said it is finished."""
    unit: str = "yd"
    """Unit of the picture's ruler."""
    unit_nm: int = 914_400_000
    """The same, nanometres."""
    runs: str = ""
    """Its joined lengths in words, as far as found."""
    accounts: tuple[AccountLine, ...]
    """The account, opening first."""
    strip: tuple[StripPiece, ...] = ()
    """The spool as one strip, first cut first, what is left last."""
    events: tuple[StoryEvent, ...] = ()
    """What happened, by day."""
    label_check: str = ""
    """What can be said of the labelled length, and by which tolerance."""
    odd: tuple[Oddity, ...] = ()
    """What is odd, with what to type about it."""
