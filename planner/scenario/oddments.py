"""The rare things of a year: lent ribbon, flaws, reworked bows, corrections of hers."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date, timedelta

from planner.events import bench, bows, notes, orders, restock, selling, shop, spool
from planner.events.fields import PartUse
from planner.scenario.maker import EVENING, Maker
from planner.scenario.process import inches
from planner.scenario.spools import QUARTER, cut, cut_event, rounded
from planner.scenario.world import HOME, Spool
from planner.values.units import NM_PER_YARD

LATE = EVENING + 18


def plan_oddments(maker: Maker) -> None:
    """Give each rare thing its weeks."""
    years = max(((maker.last - maker.first).days + 1) // 364, 1)
    for year in range(years):
        for what, weeks in _WEEKS.items():
            for week in weeks:
                day = maker.weeks_ago(week + 52 * year) + timedelta(week % 6)
                maker.plans[day].append(("oddment", what))


def oddment(maker: Maker, day: date, what: str) -> None:
    """Let one rare thing happen."""
    _HAPPEN[what](maker, day)


def _begun(maker: Maker, least_yards: int = 4) -> list[Spool]:
    least = least_yards * NM_PER_YARD
    return [
        s for spools in maker.world.spools.values() for s in spools
        if s.begun and not s.empty and s.left > least
    ]  # fmt: skip


def _one_begun(maker: Maker) -> Spool | None:
    found = _begun(maker)
    return maker.dice("oddments").choice(found) if found else None


def _wind_in_two(maker: Maker, day: date) -> None:
    found = max(_begun(maker), key=lambda s: s.left, default=None)
    if found is None:
        return
    length = rounded(found.left * 2 // 5, NM_PER_YARD)
    code = maker.codes.next("S")
    onto = Spool(code, found.ribbon, length, length, length, found.lot, begun=True)
    found.left -= length
    # What she winds off lies outside; a join, if any, stays with the longer part.
    found.join = min(found.join, found.left - 1)
    maker.world.add_spool(onto)
    event = spool.SpoolWoundInTwo(spool=found.code, onto=code, length=length)
    maker.write(event, day=day, minute=LATE)


def _lend(maker: Maker, day: date) -> None:
    found = _one_begun(maker)
    if found is not None:
        length = 2 * NM_PER_YARD
        found.left -= length
        sent = spool.RibbonSent(spool=found.code, length=length, how="lent",
                                note="to the sewing circle")  # fmt: skip
        maker.write(sent, day=day, minute=LATE)
        maker.plans[day + timedelta(17)].append(("came back", (found, length // 2)))


def come_back(maker: Maker, day: date, back: tuple[Spool, int]) -> None:
    """Let lent ribbon come back, less what was used of it."""
    found, length = back
    found.left += length
    found.empty = False
    event = spool.RibbonCameBack(spool=found.code, length=length)
    maker.small(event, day=day)


def _give_ribbon(maker: Maker, day: date) -> None:
    found = _one_begun(maker)
    if found is not None:
        found.left -= NM_PER_YARD
        event = spool.RibbonSent(spool=found.code, length=NM_PER_YARD, how="given")
        maker.small(event, day=day)


def _flaw(maker: Maker, day: date) -> None:
    found = _one_begun(maker)
    if found is not None:
        length = inches(maker.dice("oddments").uniform(6, 22))
        told = max(rounded(length, 4 * QUARTER), 4 * QUARTER)
        found.left -= length
        found.causes["flaw measured"] += told - length
        event = spool.RibbonScrapped(spool=found.code, length=told, why="flaw")
        maker.write(event, day=day, minute=LATE)


def _set_aside(maker: Maker, day: date) -> None:
    found = _one_begun(maker)
    if found is not None:
        code, later = found.code, day + timedelta(9)
        aside = spool.SpoolSetAside(spool=code, why="colour looks off")
        maker.write(aside, day=day, minute=LATE)
        again = spool.SpoolSetAside(spool=code, why="fine in daylight", aside=False)
        maker.write(again, day=later, minute=LATE)


def _scrap_end(maker: Maker, day: date) -> None:
    for found in maker.world.all_spools.values():
        if found.ends:
            told = max(rounded(found.ends, QUARTER), QUARTER)
            found.causes["end measured"] += told - found.ends
            found.ends = 0
            event = spool.EndScrapped(spool=found.code, length=told, why="too short")
            maker.write(event, day=day, minute=LATE)
            return


def _take_apart(maker: Maker, day: date) -> None:
    kind = max(maker.kinds, key=maker.free)
    if maker.free(kind) > 1:
        maker.world.put(HOME, kind, -1)
        event = bench.BowsTakenApart(made=kind, count=1)
        maker.write(event, day=day, minute=LATE)


def _rework(maker: Maker, day: date) -> None:
    """Add tails to a bow that has none; the tails come straight off a spool."""
    pairs = [
        (k, k.replace("classic-4in", "tails-4.25in")) for k in maker.kinds
        if k.startswith("classic-4in:") and maker.free(k) > 0
    ]  # fmt: skip
    pairs = [(was, became) for was, became in pairs if became in maker.kinds]
    length, _ = maker.cuts["tails-4.25in"]["tails"]
    for was, became in pairs[:1]:
        ribbon = maker.ribbon(became, "tails")
        bundles, _ = cut(maker, ribbon, "tails", length, 1, typed=False)
        for made in bundles:
            use = maker.world.take_from(made, 1)
            told = use.bundle.spool
            told.causes[maker.world.cause(made)] += length
            part = PartUse(role="tails", length=length, count=1, spool=told.code)
            _tell_rework(maker, day, was, became, part)


def _tell_rework(maker: Maker, day: date, was: str, became: str, part: PartUse) -> None:
    maker.world.put(HOME, was, -1)
    maker.world.put(HOME, became, 1)
    event = bench.BowsReworked(
        was=was, became=became, batch=maker.codes.next("B"), count=1, parts=(part,)
    )
    maker.write(event, day=day, minute=LATE)


def _recut(maker: Maker, day: date) -> None:
    """Cut parts of a length no longer used down to the one that is."""
    change = maker.process.revision
    length, _ = maker.cuts[change.pattern][change.role]
    for made in [b for found in maker.world.bundles.values() for b in found]:
        old = made.role == change.role and length < made.length <= length + inches(1.5)
        if old and made.told and made.count and made.told == made.spool.code:
            _recut_bundle(maker, day, made.code, length)
            return


def _recut_bundle(maker: Maker, day: date, code: str, length: int) -> None:
    made = next(
        b for found in maker.world.bundles.values() for b in found if b.code == code
    )
    count, old = made.count, made.length
    use = maker.world.take_from(made, count)
    onto = type(made)(maker.codes.next("C"), made.spool, made.told, made.role, length,
                      count, count)  # fmt: skip
    maker.world.add_bundle(onto)
    event = bench.PartsRecut(
        bundle=use.bundle.code, spool=str(made.told), role=made.role, onto=onto.code,
        old_length=old, new_length=length, count=count,
    )  # fmt: skip
    maker.write(event, day=day, minute=LATE)


def _cut_old_length(maker: Maker, day: date) -> None:
    """Cut a few bodies ahead in the length that is soon given up."""
    change = maker.process.revision
    kind = maker.patterns[change.pattern].kinds[0]
    length, _ = maker.cuts[change.pattern][change.role]
    bundles, met = cut(
        maker, maker.ribbon(kind, change.role), change.role, length, 4, typed=True
    )
    events = [cut_event(b, kind=None, revision=None, sitting=None) for b in bundles]
    maker.write(*events, *met, day=day, minute=LATE)


def _undo(maker: Maker, day: date) -> None:
    """Type a sale twice and take the second back at once."""
    kind = max(maker.kinds, key=maker.free)
    if maker.free(kind) < 1:
        return
    maker.world.put(HOME, kind, -1)
    price = maker.price(kind, "retail", day)
    sale = selling.BowsSold(bows=((kind, 1),), taken=price, place=HOME)
    maker.write(sale, day=day, minute=LATE)
    again = maker.write(sale, day=day, minute=LATE, typed=(day, LATE + 3))
    maker.take_back(again, day, LATE + 5)


def _change_of_mind(maker: Maker, day: date) -> None:
    """Take back a gift that was right after all, and then that correction."""
    kind = max(maker.kinds, key=maker.free)
    if maker.free(kind) < 1:
        return
    maker.world.put(HOME, kind, -1)
    gift = maker.write(bows.BowsGiven(bows=((kind, 1),)), day=day, minute=LATE)
    first = maker.take_back(gift, day + timedelta(1), LATE, why="thought it was kept")
    maker.take_back(first, day + timedelta(2), LATE, why="it was given after all")


def _brought_back(maker: Maker, day: date) -> None:
    rng = maker.dice("oddments")
    kind = rng.choice(maker.kinds)
    maker.world.put(HOME, kind, 1)
    price = maker.price(kind, "retail", day)
    event = selling.SaleTakenBack(bows=((kind, 1),), returned=price, place=HOME)
    maker.small(event, day=day)


def _lose(maker: Maker, day: date) -> None:
    kind = max(maker.kinds, key=maker.free)
    if maker.free(kind) > 0:
        maker.world.put(HOME, kind, -1)
        event = bows.BowsLost(bows=((kind, 1),), why="dropped off the quay")
        maker.small(event, day=day)


def _lose_clips(maker: Maker, day: date) -> None:
    for lot, units in maker.world.use_units("clip-short", 6):
        event = restock.SupplyLost(lot=lot, units=units, why="rusted")
        maker.small(event, day=day)


def _postage(maker: Maker, day: date) -> None:
    amount = maker.dice("oddments").randint(9, 24) * 50
    maker.small(selling.CostPaid(what="postage", amount=amount), day=day)


def _tool(maker: Maker, day: date) -> None:
    maker.small(selling.CostPaid(what="tools", amount=3450, note="hot tool"), day=day)


def _claim(maker: Maker, day: date) -> None:
    """Give up a claim that was set aside for nobody: moves nothing."""
    for order in maker.orders:
        if order.state == "open" and not order.have and not order.held:
            bows_none = orders.BowsReserved(claimant=order.code, bows=())
            maker.write(bows_none, day=day, minute=LATE)
            return


def _say_cost(maker: Maker, day: date) -> None:
    event = shop.CostShareSet(what="thread", price=2)
    maker.write(event, day=day, minute=LATE)


def _about_lot(maker: Maker, day: date) -> None:
    found = _one_begun(maker)
    if found is not None:
        text = "This lot frays at the edge; seal it twice."
        event = notes.NoteWritten(about_what=found.code, text=text)
        maker.write(event, day=day, minute=LATE)


_HAPPEN: Mapping[str, Callable[[Maker, date], None]] = {
    "wind in two": _wind_in_two, "lend": _lend, "give ribbon": _give_ribbon,
    "flaw": _flaw, "set aside": _set_aside, "scrap end": _scrap_end,
    "take apart": _take_apart, "rework": _rework, "recut": _recut,
    "cut old length": _cut_old_length, "undo": _undo,
    "change of mind": _change_of_mind, "brought back": _brought_back, "lose": _lose,
    "lose clips": _lose_clips, "postage": _postage, "tool": _tool, "claim": _claim,
    "say cost": _say_cost, "about a lot": _about_lot,
}  # fmt: skip

_WEEKS: Mapping[str, tuple[int, ...]] = {
    "wind in two": (21,), "lend": (36,), "give ribbon": (44, 15),
    "flaw": (41, 28, 17, 9),
    "set aside": (11,), "scrap end": (20, 6), "take apart": (27, 8), "rework": (22, 10),
    "cut old length": (27,), "recut": (25,), "undo": (40, 23, 14),
    "change of mind": (16,), "brought back": (35, 19), "lose": (30, 13),
    "lose clips": (18,), "postage": (45, 38, 29, 20, 12, 5), "tool": (34,),
    "claim": (33,), "say cost": (47,), "about a lot": (26,),
}  # fmt: skip
"""Weeks before the last day (of each year) in which each rare thing happens."""
