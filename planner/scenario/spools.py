"""Spools in an invented season: how they really come, are cut, read and run out."""

from __future__ import annotations

from datetime import date
from random import Random

from planner.events import bench, spool
from planner.events.base import Event
from planner.scenario.chance import happens, times
from planner.scenario.maker import EVENING, Maker
from planner.scenario.process import RibbonSpec, inches
from planner.scenario.world import Bundle, Spool
from planner.values.units import NM_PER_INCH, NM_PER_YARD

QUARTER = NM_PER_INCH // 4


def new_spool(maker: Maker, r: RibbonSpec, *, lot: str) -> Spool:
    """Put a spool on the shelf whose true length is not quite its label's."""
    rng, truth = maker.dice("spools"), maker.process.ribbon_truth
    label = r.yards * NM_PER_YARD
    came = round(label * (1 + _lot_error(maker, lot) + rng.gauss(0, truth.spool_error)))
    made = Spool(maker.codes.next("S"), r.code, label, came, came, lot)
    if happens(rng, truth.join):
        made.join = round(came * rng.uniform(0.15, 0.85))
    maker.world.add_spool(made)
    return made


def _lot_error(maker: Maker, lot: str) -> float:
    # A lot errs as one: drawn anew from its own name for each of its spools.
    rng, truth = Random(f"{maker.seed}/lot {lot}"), maker.process.ribbon_truth
    short = truth.short_by if happens(rng, truth.short_lot) else 0.0
    return rng.gauss(0.0, truth.lot_error) - short


def rounded(length: int, step: int) -> int:
    """Round a true length to what her tape shows."""
    return round(length / step) * step


def read_on_arrival(maker: Maker, made: Spool, day: date, minute: float) -> None:
    """Measure a whole spool before its first cut, when she takes the trouble."""
    share = maker.process.ribbon_truth.read_on_arrival
    if happens(maker.dice("reading"), share):
        event = spool.SpoolRead(spool=made.code, left=rounded(made.left, 6 * QUARTER))
        maker.write(event, day=day, minute=minute + 20, typed=(day, minute + 22))


def read(maker: Maker, made: Spool, day: date) -> None:
    """Weigh or measure what is left on a spool, with her scale's error."""
    rng = maker.dice("reading")
    weighed = happens(rng, 0.6)
    error = times(rng, 0.008 if weighed else 0.002)
    left = max(rounded(round(made.left * error), 9 * NM_PER_INCH), 0)
    how = "weighed" if weighed else "measured"
    event = spool.SpoolRead.model_validate(
        {"spool": made.code, "left": left, "how": how}
    )
    maker.write(event, day=day, minute=EVENING + 30)


def cut(
    maker: Maker, ribbon: str, role: str, length: int, count: int, *, typed: bool
) -> tuple[list[Bundle], list[Event]]:
    """
    Cut parts for one role from as many spools as it takes.

    Returns the bundles and the events she would type; nothing typed where the cut
    isn't put on record.
    """
    bundles: list[Bundle] = []
    events: list[Event] = []
    while count > 0 and (taken := maker.world.to_cut(ribbon, length)) is not None:
        got, wasted = maker.world.cut(
            taken, maker.over, maker.dice("cutting"), role, length, count
        )
        events += _join(taken, wasted, typed=typed)
        if got:
            bundles.append(_bundle(maker, taken, role, length, got, typed))
        count -= got
    return bundles, events


def _bundle(
    maker: Maker, taken: Spool, role: str, length: int, count: int, typed: bool
) -> Bundle:
    code = maker.codes.next("C") if typed else ""
    told = taken.code if typed else None
    made = Bundle(code, taken, told, role, length, count, count)
    maker.world.add_bundle(made)
    return made


def _join(taken: Spool, wasted: int, *, typed: bool) -> list[Event]:
    if not wasted:
        return []
    if not typed:
        taken.causes["join not typed"] -= wasted
        return []
    told = max(rounded(wasted, QUARTER), QUARTER)
    taken.causes["join measured"] += told - wasted
    return [
        spool.JoinFound(spool=taken.code),
        spool.RibbonScrapped(spool=taken.code, length=told, why="join"),
    ]


def cut_event(
    made: Bundle, *, kind: str | None, revision: int | None, sitting: str | None
) -> Event:
    """Tell of a bundle cut."""
    return bench.RibbonCut(
        bundle=made.code, spool=made.told or made.spool.code, role=made.role,
        length=made.length, count=made.count, for_kind=kind, revision=revision,
        sitting=sitting,
    )  # fmt: skip


def finish_off(maker: Maker, taken: Spool, shortest: int) -> list[Event]:
    """
    Put an all but empty spool away: keep its end or throw it out.

    Thrown ends are not typed; the reading "ran out" is.
    """
    if taken.empty or taken.left >= shortest:
        return []
    taken.empty = True
    events: list[Event] = []
    if taken.left >= inches(maker.process.ribbon_truth.keep_end_in):
        events = _keep_end(maker, taken)
    else:
        taken.causes["end thrown away"] -= taken.left
        taken.left = 0
    return [*events, spool.SpoolRead(spool=taken.code, left=0, how="ran out")]


def _keep_end(maker: Maker, taken: Spool) -> list[Event]:
    told = rounded(taken.left, QUARTER)
    taken.ends, taken.left = taken.left, 0
    return [spool.EndKept(spool=taken.code, length=told)]
