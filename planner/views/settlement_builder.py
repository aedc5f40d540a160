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
        sets=tuple(f"{n} {naming.typed(cat, code)}" for code, n in made.sets),
        days=tuple(_day(led, one) for one in made.days),
        **_money(led, made), weather=fair.weather, note=fair.note,
        score=_score(made), rests_on=tuple(_rests_on(led, fair, made)),
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
            "typed; what is too many may be counted under another kind's name, or "
            "packed without being typed."
        )
    if made.missing:
        return (
            f"{said}; of {made.missing:,} missing {_untyped(made)} may have been sold "
            "without being typed."
        )
    if made.too_many:
        return f"{said}. {_more_than_brought(made.too_many, made.kinds)}."
    return f"{said}; none is missing."


def _more_than_brought(count: int, kinds: Iterable[KindSettled]) -> str:
    """Say in which way more of some kinds went than were brought."""
    over = [one for one in kinds if one.missing < 0]
    verb = "was" if count == 1 else "were"
    ways = {
        f"{verb} sold": any(one.sold for one in over),
        f"{verb} given": any(one.gone for one in over),
        "came back": any(one.back for one in over),
    }
    named = " or ".join(way for way, some in ways.items() if some)
    return (
        f"{count:,} more {named} than were brought: perhaps packed without being typed"
    )


def _named(cat: Catalogue, made: Settlement, sign: int) -> str:
    """Name kinds with most missing (or too many), and how many bows of others."""
    rows = [(sign * one.missing, one.kind) for one in made.kinds]
    rows = sorted((row for row in rows if row[0] > 0), reverse=True)
    named = [f"{n} {naming.typed(cat, kind)}" for n, kind in rows[:NAMED]]
    rest = sum(n for n, _ in rows[NAMED:])
    return ", ".join([*named, *([naming.others(rest)] if rest else [])])


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
        yet = f", yet {one.back} came back" if one.back > 0 else ""
        yield f"sold out {short_day(date.fromisoformat(day))}{at}{yet}"
    if not one.out and one.brought and one.back == 0 and not one.missing:
        yield "sold out, nobody noted when"
    if one.missing < 0:
        yield _more_than_brought(-one.missing, [one])
    if one.missing > 0:
        count = f"{one.most}" if one.least == one.most else f"{one.least} to {one.most}"
        yield f"{count} of {one.missing} missing may have been sold without being typed"


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
    hours = f"{one.opens} to {one.closes}" if one.opens else "no day announced"
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


def _score(made: Settlement) -> SettledScore | None:
    score = made.score
    if score is None or not score.kinds:
        return None
    said = said_of(score)
    return SettledScore(
        total=total_said(score), compared=len(score.compared),
        words=score_words(score, said["loss"], said["last_loss"], first=made.first),
        **said,
    )  # fmt: skip


def score_words(
    score: FairScore, own: float | None, last: float | None, *, first: bool = False
) -> str:
    """Say how good what was said beforehand was, against the same as last time."""
    before = "A first guess" if first else "The fairs before it"
    whose = "The plan accepted" if score.told == "accepted" else before
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
        f"{said} By kind it was {own:.2f} bows off; as many as last time "
        f"would have been {last:.2f} off: "
        f"{better}."
    )


def _rests_on(led: Ledgers, fair: Fair, made: Settlement) -> Iterator[str]:
    for day in made.days:
        if not day.opens:
            yield (
                f"{short_day(date.fromisoformat(day.day))} is no day announced of "
                f"{fair.name}; its money is among the takings."
            )
    left = [day.day for day in made.days if day.opens and day.counted is None]
    if left:
        yield (
            "Not every day's takings were counted, so they don't bound the sales that "
            "were not typed: bows fair close 212.50 "
            f"--fair {fair.code} --day {left[0]}."
        )
    else:
        over = sum((day.counted or 0) - day.typed for day in made.days)
        if over > 0:
            yield (
                f"The takings are {naming.money(led, over)} over the typed sales: "
                "that bounds what was sold without being typed, kind by kind."
            )
        if made.beyond:
            yield (
                f"{naming.money(led, made.beyond)} of that can't be explained by "
                "missing bows, had all of them been sold."
            )
    if made.total("most"):
        one = max(made.kinds, key=lambda kind: kind.most)
        yield (
            "Sure of some of them? Type: bows fair unlogged "
            f"{fair.code} {one.most} {naming.typed(catalogue(led), one.kind)}. Until "
            "then they stay not yet explained; the next plan counts them at the middle "
            "of their range."
        )
    if made.materials is not None:
        yield "Materials are those of the bows typed as sold; your hours are not in it."
    if made.score is not None and made.score.told == "worked out":
        whence = "what was known before" if made.first else "the fairs before it"
        yield (
            "No figures were kept with a plan for it, so what would have been said "
            f"is worked out now from {whence}. To have them kept: bows fair accept."
        )
    if made.score is not None and made.score.compared:
        yield (
            "Bows off are measured against all that was thought likely, not the middle "
            "alone: a narrow range that held counts for more than a wide one. For a "
            "single figure it is how far off that was."
        )
