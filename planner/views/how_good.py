"""How good promises and fair plans were: what was stated against what came."""

from __future__ import annotations

from typing import ClassVar

from planner.views.common import Report, View
from planner.views.fair_said import FairSaid


class PromiseKept(View):
    """One promise and what came of it."""

    order: str
    """The order's code."""
    made_on: str
    """ISO day it was made."""
    due_on: str
    """ISO day that was promised."""
    due: str
    """The same in words."""
    chance: float
    """Chance that was stated, 0 to 1."""
    chance_shown: str
    """The same, ready to show."""
    finished_on: str
    """ISO day its bows were ready; empty while they aren't."""
    finished: str
    """The same in words."""
    came: str
    """What came of it: in time, late, or open."""
    plain_on: str = ""
    """ISO day that stated minutes and full hours would have named; empty for none."""
    plain: str = ""
    """The same in words."""


class ChanceGroup(View):
    """Promises of about one chance."""

    chances: str
    """The range of chances, ready to show."""
    count: int
    """How many promises."""
    told: float
    """Their mean chance, 0 to 1."""
    told_shown: str
    """The same, ready to show."""
    came: float
    """Share of them that was met, 0 to 1."""
    came_shown: str
    """The same, ready to show."""
    low: float
    """Lower end of where that share lies in truth, four times in five."""
    high: float
    """Upper end of it."""


class FairKept(FairSaid):
    """One settled fair and what was said of it beforehand."""

    code: str
    """The fair's code."""
    fair: str
    """The fair's name."""
    said: str
    """Bows to be sold in all, with the range of nine in ten."""
    losses: str
    """Both losses, ready to show."""


class BenchKept(View):
    """One day of a bench plan that was accepted and is over."""

    day_on: str
    """ISO day its sittings began on."""
    day: str
    """The same in words."""
    planned: int
    """Bows that were to be finished."""
    made: int
    """Bows of those that were finished that day, kind by kind."""
    minutes: int
    """Bench minutes that were planned."""
    minutes_shown: str
    """The same, ready to show."""
    worked: int | None
    """Bench minutes that were told; None where none were."""
    worked_shown: str
    """The same, ready to show."""


class HowGoodReport(Report):
    """Promises scored."""

    schema_name: ClassVar[str] = "spool-to-stall/how-good/1"
    title: ClassVar[str] = "How good were the promises?"
    template: ClassVar[str] = "how_good.html.j2"

    short: str
    """The answer in a sentence or two."""
    scored: int
    """Promises that are decided."""
    met: int
    """Of those, met."""
    brier: float | None
    """Mean squared error of the chances, 0 for perfect; None without any."""
    brier_shown: str
    """The same, ready to show."""
    plain_brier: float | None
    """The same of stated minutes and full hours, on `compared` promises."""
    plain_shown: str
    """Both, on the promises they can be compared on, ready to show."""
    compared: int
    """Promises that stated minutes and full hours were worked out for."""
    within: str
    """Finishes between early and late, which four in five ought to be."""
    by_late: str
    """Finishes by the late day, which nine in ten ought to be."""
    days_off: str
    """Mean pinball loss of the early, likely and late days; empty without any."""
    groups: tuple[ChanceGroup, ...] = ()
    """Promises by chance stated, in fixed groups."""
    promises: tuple[PromiseKept, ...] = ()
    """Every promise, the newest first."""
    fairs: tuple[FairKept, ...] = ()
    """Settled fairs with what was said of them beforehand, the newest first."""
    fairs_short: str = ""
    """What they say together, in a sentence; empty without any."""
    benches: tuple[BenchKept, ...] = ()
    """Days of accepted bench plans that are over, the newest first."""
    benches_short: str = ""
    """What they say together, in a sentence; empty without any."""
    rests_on: tuple[str, ...] = ()
    """What it rests on, and how sure it is."""
