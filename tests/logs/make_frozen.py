"""
How the frozen logs in this folder were made; run once at each released format.

Run: ``python tests/logs/make_frozen.py`` from the project's root.  A frozen log is
never made anew: it stands for the logs out there that this very code wrote.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random

from planner.events import KINDS
from planner.events.base import Entry, Event, Fact
from planner.events.bench import BowsFinished, RibbonCut
from planner.events.catalogue import ColourNamed, Part, PatternRevised, RibbonNamed
from planner.events.fields import Amount, Code, Count, PartUse
from planner.events.restock import SpoolReceived
from planner.events.shop import ShopSetUp
from planner.events.spool import SpoolRead
from planner.log.codec import Registry
from planner.log.store import Log

INCH = 25_400_000
HERE = Path(__file__).parent
START = datetime(2026, 5, 4, 18, 0, tzinfo=UTC)


class FirstBowsSold(Event):
    """A sale as the first logs kept it: one kind."""

    kind = "bows-sold"

    made: Code
    count: Count
    taken: Amount
    place: Code


def history() -> list[Event]:
    """Give a small invented history: 6 bows cut, made, 4 of them sold, a reading."""
    kind = "classic-4in:navy-1.5in"
    return [
        ShopSetUp(name="Frozen", zone="America/Halifax", currency="CAD", units="us",
                  paper="letter"),
        ColourNamed(colour="navy", name="navy", hex="#1f2a5a", family="blue"),
        RibbonNamed(ribbon="navy-1.5in", colour="navy", width=INCH * 3 // 2,
                    material="grosgrain"),
        PatternRevised(pattern="classic-4in", revision=1, name="classic 4 in",
                       size=4 * INCH, width=INCH * 3 // 2,
                       parts=(Part(role="body", length=32 * INCH),)),
        SpoolReceived(spool="S1", ribbon="navy-1.5in", length=50 * 36 * INCH,
                      lot="lot 7", paid=1450),
        RibbonCut(bundle="C1", spool="S1", role="body", length=32 * INCH, count=6,
                  for_kind=kind, revision=1),
        BowsFinished(batch="B1", made=kind, revision=1, count=6,
                     parts=(PartUse(role="body", length=32 * INCH, count=6,
                                    bundle="C1", spool="S1"),)),
        FirstBowsSold(made=kind, count=3, taken=2400, place="home"),
        FirstBowsSold(made=kind, count=1, taken=800, place="home"),
        SpoolRead(spool="S1", left=44 * 36 * INCH),
    ]  # fmt: skip


def main() -> None:
    """Write the log of format 1."""
    chance = Random(1)
    kinds = {**{kind: KINDS[kind] for kind in KINDS}, "bows-sold": FirstBowsSold}
    log = Log.create(HERE / "format-1.bows", using=Registry(kinds=kinds, upcasters={}))
    for index, event in enumerate(history()):
        moment = START + timedelta(hours=index)
        log.append(
            Entry((Fact(event, moment.isoformat()),)), expected=None, recorded=moment,
            rand=chance.randbytes,
        )  # fmt: skip
    log.close()


if __name__ == "__main__":
    main()
