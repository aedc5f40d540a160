"""A small invented shop for fair plans: sizes by colours, past fairs as told."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from planner.events.base import Event, Fact
from planner.events.bows import BowsOpening
from planner.events.catalogue import (
    ColourNamed,
    Part,
    PatternRevised,
    RibbonNamed,
    Step,
)
from planner.events.fair import (
    FairAnnounced,
    FairDay,
    FairPacked,
    FairSettled,
    FairSoldOut,
)
from planner.events.restock import SpoolReceived
from planner.events.selling import BowsSold
from planner.events.shop import BenchHoursSet, BenchStretch, PriceSet, ShopSetUp
from planner.fold import fold_facts
from planner.ledgers.bows import stall
from planner.ledgers.fairs import Fair, fair_of
from planner.ledgers.state import Ledgers

ZONE = "America/New_York"
INCH = 25_400_000
YARD = 36 * INCH
TODAY = date(2026, 11, 25)
"""A Wednesday; the fair ahead is on the Saturday after it."""
AHEAD = "F99"
PART = 25 * INCH
"""Ribbon of one bow."""


def set_up(
    sizes: Sequence[str] = ("2in", "4in"),
    colours: Sequence[str] = ("navy", "red"),
    *,
    prices: Mapping[str, int] | None = None,
    seconds: int = 600,
    spools: Mapping[str, int] | None = None,
    paid: int = 1_440,
) -> list[Event]:
    """
    Open a shop: one ribbon a colour serves all sizes, one part a bow.

    prices: by size (8.00 unless told); seconds: at the bench a bow, no set-up;
    spools: yards a ribbon (100 each unless told), `paid` minor units for 100.
    """
    yards = dict.fromkeys(colours, 100) if spools is None else spools
    shop = ShopSetUp(
        name="Knot Quay", zone=ZONE, currency="USD", units="us", paper="letter"
    )
    return [
        shop,
        *(ColourNamed(colour=c, name=c, hex="#1f2a5a", family=c) for c in colours),
        *(
            RibbonNamed(ribbon=c, colour=c, width=INCH, material="grosgrain")
            for c in colours
        ),
        *(_pattern(size, seconds) for size in sizes),
        *(
            PriceSet(what=size, channel="fair", price=(prices or {}).get(size, 800))
            for size in sizes
        ),
        *(
            SpoolReceived(
                spool=f"S{n}",
                ribbon=c,
                length=yards[c] * YARD,
                paid=paid * yards[c] // 100,
                lot="L1",
            )
            for n, c in enumerate(yards, start=1)
        ),
    ]


def _pattern(size: str, seconds: int) -> PatternRevised:
    inches = int(size.removesuffix("in"))
    return PatternRevised(
        pattern=size, revision=1, name=size, size=inches * INCH, width=INCH,
        parts=(Part(role="body", length=PART),), supplies=(),
        steps=(Step(name="tie", seconds=seconds),),
    )  # fmt: skip


def hours(start: str = "18:00", end: str = "20:00") -> BenchHoursSet:
    """Let her work every evening."""
    rule = BenchStretch(rule="FREQ=DAILY", start=start, end=end, first="2026-01-01")
    return BenchHoursSet(words="daily", rules=(rule,))


def fair(code: str = AHEAD, day: str = "2026-11-28", **told: object) -> FairAnnounced:
    """Announce a fair of six hours on one day."""
    days = (FairDay(day=day, opens="10:00", closes="16:00"),)
    return FairAnnounced(fair=code, name=f"Fair {code}", days=days, **told)  # type: ignore[arg-type]


def past(
    code: str,
    day: str,
    packed: Mapping[str, int],
    sold: Mapping[str, int],
    *,
    out: Mapping[str, str | None] | None = None,
    unlogged: Sequence[tuple[str, int, int]] = (),
    back: Mapping[str, int] | None = None,
    **told: object,
) -> list[Fact]:
    """Tell a whole past fair; what came back is what wasn't sold, unless told."""
    came = back or {k: n - sold.get(k, 0) for k, n in packed.items()}
    made = BowsOpening(bows=tuple(packed.items()))
    events: list[Event] = [
        made,
        fair(code, day, **told),
        FairPacked(fair=code, bows=tuple(packed.items())),
        *(
            BowsSold(bows=((k, n),), taken=0, place=stall(code), fair=code)
            for k, n in sold.items()
            if n
        ),
        *(
            FairSoldOut(fair=code, made=k, day=day, at=at)
            for k, at in (out or {}).items()
        ),
        FairSettled(fair=code, back=tuple(came.items()), unlogged=tuple(unlogged)),
    ]
    return [Fact(event, day) for event in events]


def told(*given: Event | Fact | Sequence[Event | Fact]) -> Ledgers:
    """Fold what was told; a bare event happened on 1 November."""
    flat: list[Event | Fact] = []
    for one in given:
        flat += [one] if isinstance(one, Event | Fact) else list(one)
    facts = [x if isinstance(x, Fact) else Fact(x, "2026-11-01") for x in flat]
    return fold_facts(list(enumerate(facts, start=1)), zone=ZONE)


def ahead(led: Ledgers, code: str = AHEAD) -> Fair:
    """Give the coming fair."""
    return fair_of(led, code)
