"""Build the fair plan's view: the matrix, what to make first, what it rests on."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from planner.ledgers.catalogue import Catalogue, catalogue
from planner.ledgers.fairs import fairs
from planner.ledgers.shop import shop
from planner.ledgers.state import Ledgers
from planner.ledgers.stock import stock
from planner.plans.fair import FairPlan as Plan
from planner.plans.fair import KindPlan, SetPlan, Turn
from planner.values.days import short_day
from planner.values.daywords import spoken
from planner.views import naming
from planner.views.common import Colour, Oddity, Size
from planner.views.fair_limits import about, buy, limit, worth_a_line
from planner.views.fair_plan import (
    FairCell,
    FairPlan,
    FairSet,
    FairTotal,
    MakeNext,
)
from planner.views.fair_reasons import out_words, why, why_set
from planner.views.fair_words import rests_on
from planner.views.foot import foot

NAMED = 4
"""How many kinds to top up by are named in the answer."""
Days = Sequence[tuple[str, str, str]]
"""Days of a fair with the hours it opens and closes."""


def build(
    led: Ledgers,
    plan: Plan,
    *,
    today: date,
    made: str,
    as_of: str = "",
    known_on: str | None = None,
) -> FairPlan:
    """Give a plan ready to be shown in the shop's units and currency."""
    cat, fair = catalogue(led), fairs(led)[plan.fair]
    coming = [k for k in plan.kinds if k.bring]
    days = fair.days[plan.basis.days_over :]
    sizes = naming.sizes_of(cat, (k.kind for k in coming))
    colours = naming.colours_of(cat, (k.kind for k in coming))
    cells = _in_order([_cell(cat, k) for k in coming], sizes, colours)
    return FairPlan(
        shop=naming.shop_view(led),
        foot=foot(led, as_of=as_of or today.isoformat(), known_on=known_on, made=made),
        fair=fair.name, when_on=days[0][0], when=_when(days),
        days_left=(date.fromisoformat(days[0][0]) - today).days,
        short=_short(cat, plan, days), sizes=sizes, colours=colours, cells=cells,
        size_totals=tuple(_total(s.key, (c for c in cells if c.size == s.key))
                          for s in sizes),
        colour_totals=tuple(_total(x.key, (c for c in cells if c.colour == x.key))
                            for x in colours),
        sets=tuple(_set(led, cat, x) for x in plan.sets if x.bring),
        **_sums(cells), on_stall=sum(c.stall for c in cells),
        days_over=plan.basis.days_over,
        sold=round(plan.sold, 2), sold_shown=_sold(plan),
        takings_minor=plan.takings, takings=naming.money(led, plan.takings),
        profit_minor=plan.profit, profit=naming.money(led, plan.profit),
        fee_minor=plan.fee, fee=naming.money(led, plan.fee),
        materials_minor=plan.materials, materials=naming.money(led, plan.materials),
        limits=tuple(limit(led, cat, x) for x in worth_a_line(plan.limits)),
        buys=tuple(buy(led, cat, x) for x in plan.buys),
        make_next=tuple(_turn(led, cat, plan, x) for x in plan.turns),
        rests_on=rests_on(led, plan, fair), odd=tuple(_odd(led, cat, plan)),
    )  # fmt: skip


def _when(days: Days) -> str:
    return "; ".join(
        f"{spoken(date.fromisoformat(day))}, {opens} to {closes}"
        for day, opens, closes in days
    )


def _short(cat: Catalogue, plan: Plan, days: Days) -> str:
    """Say the answer in one sentence."""
    if plan.basis.days_over:
        return _for_the_rest(cat, plan, days)
    count = sum(n for _, n in plan.bring)
    if not count and (least := plan.basis.at_least) > 1:
        return f"No kind is worth bringing {least} of: ask for fewer on show at least."
    if not count:
        return "Nothing is worth bringing as things stand."
    said = f"Bring {naming.bows(count)}"
    if not plan.make:
        return f"{said}; all of them are ready."
    ready = count - plan.make
    time = naming.minutes(sum(turn.minutes for turn in plan.turns))
    first = naming.typed(cat, plan.turns[0].kind)
    have = f"{ready:,} ready, " if ready else ""
    return f"{said}: {have}{plan.make:,} to make in about {time}, {first} first."


def _for_the_rest(cat: Catalogue, plan: Plan, days: Days) -> str:
    """Say what the days left want beyond what is on the stall."""
    there = sum(k.stall for k in plan.kinds)
    more = {k.kind: k.bring - k.stall for k in plan.kinds if k.bring > k.stall}
    said = f"For {short_day(date.fromisoformat(days[0][0]))}: {there:,} are there"
    if not more:
        return f"{said}, and nothing more is worth bringing."
    most = sorted(more, key=lambda k: -more[k])[:NAMED]
    named = ", ".join(f"{more[k]} {naming.typed(cat, k)}" for k in most)
    rest = sum(more.values()) - sum(more[k] for k in most)
    named += f" and {naming.others(rest)}" if rest else ""
    make = f"; {plan.make:,} of them still to make" if plan.make else ""
    return f"{said}; bring {sum(more.values()):,} more: {named}{make}."


def _sold(plan: Plan) -> str:
    return f"{plan.sold:.0f} ({plan.sold_low:,} to {plan.sold_high:,})"


def _in_order(
    cells: Sequence[FairCell], sizes: Sequence[Size], colours: Sequence[Colour]
) -> tuple[FairCell, ...]:
    """Put cells in the order she packs: size by size, colours in their families."""
    column = {size.key: n for n, size in enumerate(sizes)}
    row = {colour.key: n for n, colour in enumerate(colours)}
    return tuple(sorted(cells, key=lambda c: (column[c.size], row[c.colour])))


def _cell(cat: Catalogue, kind: KindPlan) -> FairCell:
    size, colour = naming.cell_of(cat, kind.kind)
    return FairCell(
        size=size, colour=colour, kind=naming.typed(cat, kind.kind), bring=kind.bring,
        have=kind.have, make=kind.make, stall=kind.stall, in_sets=kind.in_sets,
        sell_out=round(kind.sell_out, 4), sell_out_shown=_per_cent(kind.sell_out),
        left_over=round(kind.left, 2), left_over_shown=f"{kind.left:.1f}",
        own_weight=round(kind.own, 4),
        sold_out_on=tuple(out_words(x) for x in kind.seen.outs), why=why(kind),
        behind=f"bows why {naming.typed(cat, kind.kind)}" if kind.have else "",
    )  # fmt: skip


def _set(led: Ledgers, cat: Catalogue, one: SetPlan) -> FairSet:
    return FairSet(
        code=one.set, name=naming.typed(cat, one.set),
        swatches=naming.swatches_of_kind(cat, one.set),
        holds=", ".join(f"{n} × {naming.typed(cat, k)}" for k, n in one.bows),
        bring=one.bring, bows=one.bring * sum(n for _, n in one.bows),
        price_minor=one.price, price=naming.money(led, one.price),
        sold=round(one.sold, 2), sold_shown=f"{one.sold:.1f}",
        sell_out=round(one.sell_out, 4), sell_out_shown=_per_cent(one.sell_out),
        left_over=round(one.left, 2), left_over_shown=f"{one.left:.1f}",
        why=why_set(one),
    )  # fmt: skip


def _per_cent(share: float) -> str:
    """Say a chance without ever calling it certain."""
    whole = round(100 * share)
    if whole == 0 and share > 0:
        return "under 1 %"
    return "over 99 %" if whole == 100 and share < 1 else f"{whole} %"


def _sums(cells: Iterable[FairCell]) -> dict[str, int]:
    listed = list(cells)
    return {n: sum(getattr(c, n) for c in listed) for n in ("bring", "have", "make")}


def _total(key: str, cells: Iterable[FairCell]) -> FairTotal:
    return FairTotal(key=key, **_sums(cells))


def _turn(led: Ledgers, cat: Catalogue, plan: Plan, turn: Turn) -> MakeNext:
    return MakeNext(
        kind=naming.typed(cat, turn.kind), count=turn.count, minutes=turn.minutes,
        time=naming.minutes(turn.minutes),
        swatches=naming.swatches_of_kind(cat, turn.kind),
        from_spool=", ".join(turn.spools), why=_why_here(led, plan, turn),
    )  # fmt: skip


def _why_here(led: Ledgers, plan: Plan, turn: Turn) -> str:
    wage = shop(led).wage
    said = f"adds about {about(led, turn.gain)}, {about(led, round(turn.an_hour))}"
    said += " an hour"
    if wage and turn.an_hour < wage:
        said += f", less than the {about(led, wage)} you want"
    kind = next(k for k in plan.kinds if k.kind == turn.kind)
    out = kind.seen.sold_out
    return (
        said if not out else f"{said}; sold out at {out} of {kind.seen.brought} fairs"
    )


def _odd(led: Ledgers, cat: Catalogue, plan: Plan) -> Iterable[Oddity]:
    """Say what is odd about the stock and the prices it counts on."""
    held = stock(led)
    for kind in plan.kinds:
        missing = held[kind.kind].missing if kind.kind in held else {}
        name = naming.typed(cat, kind.kind)
        if missing:
            short = sum(missing.values())
            what = f"an entry is missing: {short} more went than the records had"
            yield Oddity(about=name, what=what, instead=f"bows count 0 {name}")
    if plan.basis.unpriced:
        first = naming.typed(cat, plan.basis.unpriced[0])
        yield Oddity(
            about=f"{len(plan.basis.unpriced)} without a price",
            what=f"left out of the plan, such as {first}",
            instead=f"bows price 9.50 {first} --list fair",
        )
