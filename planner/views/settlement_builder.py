"""Build the settlement's view."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date

from planner.ledgers.catalogue import Catalogue, catalogue
from planner.ledgers.fairs import Fair, fairs
from planner.ledgers.state import Ledgers
from planner.plans.fair_scored import FairScore
from planner.plans.settlement import DaySettled, KindSettled, Settlement
from planner.values.days import short_day
from planner.values.daywords import spoken
from planner.views import naming
from planner.views.fair_said import came, said_of, total_said
from planner.views.foot import foot
from planner.views.settlement import (
    FairSettlement,
    SettledDay,
    SettledKind,
    SettledScore,
    SettledTotal,
)

NAMED = 3
"""How many kinds missing, or too many, are named in the answer."""


def build(
    led: Ledgers, made: Settlement, *, today: date, written: str, as_of: str = "",
    known_on: str | None = None,
) -> FairSettlement:  # fmt: skip
    """Show where every bow of a fair went."""
    cat, fair = catalogue(led), fairs(led)[made.fair]
    kinds = [row.kind for row in made.kinds]
    sizes, colours = naming.sizes_of(cat, kinds), naming.colours_of(cat, kinds)
    column = {size.key: n for n, size in enumerate(sizes)}
    row = {colour.key: n for n, colour in enumerate(colours)}
    cells = sorted(
        (_kind(cat, one) for one in made.kinds),
        key=lambda c: (column[c.size], row[c.colour]),
    )
    return FairSettlement(
        shop=naming.shop_view(led),
        foot=foot(led, as_of=as_of or today.isoformat(), known_on=known_on,
                  made=written),
        code=fair.code, fair=fair.name, when=_when(fair), short=_short(cat, fair, made),
        sizes=sizes, colours=colours, cells=tuple(cells),
        size_totals=tuple(_total(s.key, (c for c in cells if c.size == s.key))
                          for s in sizes),
        colour_totals=tuple(_total(x.key, (c for c in cells if c.colour == x.key))
                            for x in colours),
        brought=made.total("brought"), sold=made.sold, gone=made.total("gone"),
        back=made.total("back"), missing=made.missing,
        too_many=made.too_many, untyped=_untyped(made),
        unnoticed=tuple(_unnoticed(cat, made)),
        days=tuple(_day(led, one) for one in made.days),
        **_money(led, made), weather=fair.weather, note=fair.note,
        score=_score(made.score), rests_on=tuple(_rests_on(led, fair, made)),
    )  # fmt: skip


def _when(fair: Fair) -> str:
    return "; ".join(
        f"{spoken(date.fromisoformat(day))}, {opens} to {closes}"
        for day, opens, closes in fair.days
    )


def _untyped(made: Settlement) -> str:
    least, most = made.untyped
    return f"{most}" if least == most else f"{least} to {most}"


def _short(cat: Catalogue, fair: Fair, made: Settlement) -> str:
    said = (
        f"{fair.name}: {naming.bows(made.total('brought'))} brought, {made.sold:,} "
        f"typed as sold, {made.total('back'):,} came back"
    )
    if made.missing and made.too_many:
        return (
            f"{said}; {_named(cat, made, 1)} missing and {_named(cat, made, -1)} too "
            f"many. Of the missing {_untyped(made)} may have been sold without being "
            "typed; what is too many may be counted under another kind's name."
        )
    if made.missing:
        return (
            f"{said}; of {made.missing:,} missing {_untyped(made)} may have been sold "
            "without being typed."
        )
    if made.too_many:
        return f"{said}: {made.too_many:,} more than the records brought."
    return f"{said}; none is missing."


def _named(cat: Catalogue, made: Settlement, sign: int) -> str:
    """Name kinds with most missing (or too many), and how many bows of others."""
    rows = [(sign * one.missing, one.kind) for one in made.kinds]
    rows = sorted((row for row in rows if row[0] > 0), reverse=True)
    named = [f"{n} {naming.typed(cat, kind)}" for n, kind in rows[:NAMED]]
    others = sum(n for n, _ in rows[NAMED:])
    return ", ".join([*named, *([f"{others} others"] if others else [])])


def _kind(cat: Catalogue, one: KindSettled) -> SettledKind:
    size, colour = naming.cell_of(cat, one.kind)
    return SettledKind(
        size=size, colour=colour, kind=naming.typed(cat, one.kind),
        swatches=naming.swatches_of_kind(cat, one.kind), planned=one.planned,
        brought=one.brought, sold=one.sold, gone=one.gone, back=one.back,
        missing=one.missing, least=one.least, most=one.most,
        note="; ".join(_notes(one)),
    )  # fmt: skip


def _notes(one: KindSettled) -> Iterator[str]:
    for day, hour in one.out[:1]:
        at = f" at {hour}" if hour else ""
        yield f"sold out {short_day(date.fromisoformat(day))}{at}"
    if not one.out and one.brought and one.back == 0 and not one.missing:
        yield "sold out, nobody noted when"
    if one.missing < 0:
        yield f"{-one.missing} more came back than the records had"
    if one.missing > 0:
        if one.least == one.most:
            yield f"{one.most} of {one.missing} missing sold without being typed"
        else:
            yield f"{one.least} to {one.most} of {one.missing} missing may have sold"


def _total(key: str, cells: Iterable[SettledKind]) -> SettledTotal:
    listed = list(cells)
    return SettledTotal(
        key=key, brought=sum(c.brought for c in listed),
        sold=sum(c.sold for c in listed), back=sum(c.back for c in listed),
    )  # fmt: skip


def _unnoticed(cat: Catalogue, made: Settlement) -> Iterator[str]:
    for pattern, count in made.unnoticed:
        name = cat.patterns[pattern].name if pattern in cat.patterns else pattern
        yield f"{count} {name}"


def _day(led: Ledgers, one: DaySettled) -> SettledDay:
    more = None if one.counted is None else one.counted - one.typed
    hours = f"{one.opens} to {one.closes}"
    return SettledDay(
        day_on=one.day, day=f"{short_day(date.fromisoformat(one.day))}, {hours}",
        float_minor=one.float_, float_shown=naming.money(led, one.float_),
        typed_minor=one.typed, typed=naming.money(led, one.typed),
        counted_minor=one.counted, counted=_counted(led, one),
        more_minor=more, more=_more(led, more),
    )  # fmt: skip


def _counted(led: Ledgers, one: DaySettled) -> str:
    if one.counted is None:
        return "not counted"
    said = naming.money(led, one.counted)
    return (
        said if one.card is None else f"{said}, {naming.money(led, one.card)} by card"
    )


def _more(led: Ledgers, more: int | None) -> str:
    if more is None:
        return ""
    if not more:
        return "as typed"
    way = "over" if more > 0 else "under"
    return f"{naming.money(led, abs(more))} {way} the typed sales"


def _money(led: Ledgers, made: Settlement) -> dict[str, int | str | None]:
    left = made.takings - made.costs - (made.materials or 0)
    unknown = made.materials is None
    return {
        "takings_minor": made.takings, "takings": naming.money(led, made.takings),
        "costs_minor": made.costs, "costs": naming.money(led, made.costs),
        "materials_minor": made.materials,
        "materials": "not known" if unknown else naming.money(led, made.materials or 0),
        "left_minor": left, "left": naming.money(led, left),
    }  # fmt: skip


def _score(score: FairScore | None) -> SettledScore | None:
    if score is None or not score.kinds:
        return None
    said = said_of(score)
    return SettledScore(
        total=total_said(score), compared=len(score.compared),
        words=score_words(score, said["loss"], said["last_loss"]), **said,
    )  # fmt: skip


def score_words(score: FairScore, own: float | None, last: float | None) -> str:
    """Say how good what was said beforehand was, against the same as last time."""
    whose = "The plan accepted" if score.told == "accepted" else "The fairs before it"
    spread, verdict = score.total.spread, score.total_within
    said = (
        f"{whose} said {spread[2]:,} sold ({spread[0]:,} to {spread[-1]:,} nine times "
        f"in ten). Sold: {came(score)}"
    )
    if verdict is None:
        said += "; whether that is in the range can't be told."
    else:
        said += "." if verdict else ", outside that range."
    if not score.typed:
        return said + " With no sale typed nothing can be said of the kinds."
    if own is None or last is None:
        return said + " No kind was at an earlier fair to compare with."
    better = "better" if own < last else "no better"
    return (
        f"{said} By kind it was {own:.2f} bows off, as many as last time {last:.2f}: "
        f"{better}."
    )


def _rests_on(led: Ledgers, fair: Fair, made: Settlement) -> Iterator[str]:
    counted = [day for day in made.days if day.counted is not None]
    if len(counted) < len(made.days):
        yield (
            "Not every day's takings were counted, so they don't bound the sales that "
            f"were not typed: bows fair close 212.50 --fair {fair.code} --day sat."
        )
    else:
        over = sum((day.counted or 0) - day.typed for day in made.days)
        if over > 0:
            yield (
                f"The takings are {naming.money(led, over)} over the typed sales: "
                "that bounds what was sold without being typed, kind by kind."
            )
    if made.total("most"):
        yield (
            "Sure of some of them? Type: bows fair unlogged "
            f"{fair.code} 2 4in navy. Until then they stay not yet explained; the "
            "next plan counts them at the middle of their range."
        )
    if made.materials is not None:
        yield "Materials are those of the bows typed as sold; your hours are not in it."
    if made.score is not None and made.score.told == "worked out":
        yield (
            "No figures were kept with a plan for it, so what would have been said "
            "is worked out now from the fairs before it. To have them kept: "
            "bows fair accept."
        )
    if made.score is not None:
        yield (
            "Bows off: the CRPS, as five quantiles give it; for a single figure it is "
            "how far off that was."
        )
