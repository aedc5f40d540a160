"""The first day of a season: the shop set up, its catalogue, prices and old stock."""

from __future__ import annotations

from datetime import date
from random import Random

from planner.events import bows, catalogue, restock, shop, spool
from planner.events.base import Event
from planner.events.bows import DisplayKept
from planner.scenario.chance import happens, poisson
from planner.scenario.maker import Maker
from planner.scenario.process import PatternSpec, RibbonSpec, inches
from planner.scenario.spools import new_spool, read_on_arrival
from planner.scenario.world import HOME, Lot
from planner.values.units import NM_PER_YARD

MORNING = 9 * 60


def begin(maker: Maker) -> None:
    """Set the shop up and enter what there is on the first day."""
    if maker.told_catalogue:
        _set_up(maker)
        _name_things(maker)
        _prices(maker)
    _spools(maker)
    _supplies(maker)
    _bows(maker)


def _say(maker: Maker, *events: Event) -> None:
    if events:
        maker.write(*events, day=maker.first, typed=(maker.first, MORNING))


def bench_rules(maker: Maker) -> tuple[shop.BenchStretch, ...]:
    """Give her usual bench hours, from the first day on."""
    return tuple(
        shop.BenchStretch(rule=r.rule, start=r.start, end=r.end,
                          first=maker.first.isoformat())
        for r in maker.process.bench.rules
    )  # fmt: skip


def _set_up(maker: Maker) -> None:
    s, bench = maker.process.shop, maker.process.bench
    _say(maker, shop.ShopSetUp(name=s.name, zone=s.zone, currency=s.currency,
                               units=s.units, paper=s.paper))  # fmt: skip
    _say(maker, shop.BenchHoursSet(words=bench.words, rules=bench_rules(maker)))
    _say(maker, shop.WageSet(an_hour=s.wage))
    _say(maker, shop.FeesSet(basis_points=s.fee_basis_points, fixed=s.fee_fixed))


def _name_things(maker: Maker) -> None:
    p = maker.process
    for c in p.colours:
        _say(maker, catalogue.ColourNamed(colour=c.colour, name=c.name, hex=c.hex,
                                          family=c.family))  # fmt: skip
    for r in p.ribbons:
        _say(maker, ribbon_named(r))
    for s in p.supplies:
        _say(maker, catalogue.SupplyNamed(supply=s.supply, name=s.name,
                                          yields=s.yields))  # fmt: skip
    for made in p.patterns:
        _say(maker, pattern_revised(maker, made))
    _colourways(maker)
    _pairs(maker)


def ribbon_named(r: RibbonSpec) -> catalogue.RibbonNamed:
    """Name a ribbon."""
    return catalogue.RibbonNamed(
        ribbon=r.code, colour=r.colour, width=inches(r.width_in), material=r.material,
        finish=r.finish,
    )  # fmt: skip


def pattern_revised(maker: Maker, made: PatternSpec) -> catalogue.PatternRevised:
    """Tell a pattern's present revision, with the parts as she cuts them now."""
    parts = tuple(
        catalogue.Part(role=role, length=length, count=count)
        for role, (length, count) in maker.cuts[made.pattern].items()
    )
    needs = [made.clip, "card", "thread", "glue"] + ["stiffener"] * made.stiffened
    return catalogue.PatternRevised(
        pattern=made.pattern, revision=maker.revisions[made.pattern], name=made.name,
        size=inches(made.size_in), width=inches(made.width_in), parts=parts,
        supplies=tuple(catalogue.SupplyNeed(supply=s) for s in needs),
        steps=tuple(
            catalogue.Step(name=n, seconds=s, optional=o) for n, s, o in made.steps
        ),
        set_up=made.set_up, setting=made.setting,
    )  # fmt: skip


def _colourways(maker: Maker) -> None:
    for c in maker.process.two_colours:
        lead, top = maker.colourways[c.code]
        roles = (("*", lead), ("top", top))
        named = catalogue.ColourwayNamed(
            colourway=c.code, name=c.name, lead=c.lead, ribbons=roles
        )
        _say(maker, named)


def pair_code(kind: str) -> str:
    """Name a pair of a kind: ``pair-classic-3in-navy-0.875in``."""
    return "pair-" + kind.replace(":", "-")


def _pairs(maker: Maker) -> None:
    names = {c.colour: c.name for c in maker.process.colours}
    for pair in maker.process.pairs:
        made = maker.patterns[pair.pattern]
        for colour in pair.colours:
            kind = f"{pair.pattern}:{colour}-{made.width_in:g}in"
            code, name = pair_code(kind), f"Pair of {made.name} {names[colour]}"
            _say(maker, catalogue.SetNamed(set=code, name=name, kinds=((kind, 2),)))
            _price(maker, code, "retail", pair.price)
            _price(maker, code, "fair", pair.price)


def _price(maker: Maker, what: str, channel: str, price: int) -> None:
    _say(
        maker,
        shop.PriceSet.model_validate(
            {"what": what, "channel": channel, "price": price}
        ),
    )


def _prices(maker: Maker) -> None:
    for made in maker.process.patterns:
        _price(maker, made.pattern, "retail", made.retail)
        _price(maker, made.pattern, "fair", made.fair)
        _price(maker, made.pattern, "wholesale", made.wholesale)


def _spools(maker: Maker) -> None:
    for r in maker.process.ribbons:
        if r.opening == "whole":
            _whole(maker, r)
        elif r.opening == "part":
            _part_used(maker, r)


def _whole(maker: Maker, r: RibbonSpec) -> None:
    made = new_spool(maker, r, lot=f"before-{maker.first.year}")
    event = restock.SpoolReceived(
        spool=made.code, ribbon=r.code, length=made.label, paid=r.price, lot=made.lot,
        supplier=maker.process.suppliers.ribbon[0],
    )  # fmt: skip
    # With its hour, so that a reading of the same morning comes after it.
    maker.write(event, day=maker.first, minute=MORNING)
    read_on_arrival(maker, made, maker.first, MORNING)


def _part_used(maker: Maker, r: RibbonSpec) -> None:
    rng = maker.dice("opening")
    made = new_spool(maker, r, lot=f"old-{r.code}")
    made.left = round(made.left * rng.uniform(0.35, 0.7))
    guess = max(round(made.left * rng.uniform(0.9, 1.08) / NM_PER_YARD), 1)
    # She guessed: from here on the truth is what is there, the label her guess.
    made.causes["label"] = made.left - guess * NM_PER_YARD
    made.came, made.begun = made.left, True
    label, made.label = made.label, guess * NM_PER_YARD
    _say(maker, spool.SpoolFoundPartUsed(
        spool=made.code, ribbon=r.code, length=made.label, label=label,
        paid=r.price // 2, lot=made.lot,
    ))  # fmt: skip


def _supplies(maker: Maker) -> None:
    for s in maker.process.supplies:
        code, units = maker.codes.next("L"), max(s.pack * 2 // 3, 1)
        maker.world.add_lot(Lot(code, s.supply, units))
        _say(maker, restock.SupplyFound(lot=code, supply=s.supply, units=units,
                                        paid=s.price * 2 // 3))  # fmt: skip


def _bows(maker: Maker) -> None:
    rng = maker.dice("opening")
    held = {kind: n for kind in maker.kinds if (n := _opening_count(maker, kind, rng))}
    if held:
        for kind, count in held.items():
            maker.world.put(HOME, kind, count)
        _say(maker, bows.BowsOpening(bows=tuple(held.items())))
    if maker.told_catalogue:
        made = maker.kinds[-1]
        _say(maker, DisplayKept(made=made, count=1))


def _opening_count(maker: Maker, kind: str, rng: Random) -> int:
    share = maker.process.thumb.opening_share
    ribbon = maker.ribbon(kind, "body")
    if not maker.world.left(ribbon) or not happens(rng, share):
        return 0
    return poisson(rng, maker.pattern(kind).appeal * 2.2)


def revise(maker: Maker, day: date) -> None:
    """Let one pattern's part become shorter from this day on."""
    change = maker.process.revision
    made = maker.patterns[change.pattern]
    _, count = maker.cuts[change.pattern][change.role]
    maker.cuts[change.pattern][change.role] = (inches(change.inches), count)
    maker.revisions[change.pattern] += 1
    maker.write(pattern_revised(maker, made), day=day)


def raise_prices(maker: Maker, day: date) -> None:
    """Let one pattern's prices go up."""
    d = maker.process.dearer
    for channel, price in (("retail", d.retail), ("fair", d.fair),
                           ("wholesale", d.wholesale)):  # fmt: skip
        event = shop.PriceSet.model_validate(
            {"what": d.pattern, "channel": channel, "price": price}
        )
        maker.write(event, day=day)
