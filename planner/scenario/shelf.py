"""The shelf at home in an invented season: sales, gifts, counts, the boutique."""

from __future__ import annotations

from datetime import date, timedelta

from planner.events import bench, bows, notes, selling
from planner.scenario.chance import happens, pick, poisson
from planner.scenario.maker import EVENING, Maker
from planner.scenario.world import HOME


def plan_shelf(maker: Maker) -> None:
    """Spread the small things of a year over its days, and the regular ones."""
    h, losses, rng = maker.process.habits, maker.process.losses, maker.dice("plans")
    days = (maker.last - maker.first).days
    for what, a_year in (
        ("home sale", h.home_sales_a_year), ("gift", h.gifts_a_year),
        ("note", h.notes_a_year), ("gone", losses.home_a_year),
        ("write off", losses.written_off_a_year),
    ):  # fmt: skip
        for _ in range(round(a_year * days / 364)):
            when = maker.first + timedelta(rng.randint(3, days - 1))
            maker.plans[when].append((what, None))
    _plan_regular(maker, days)


def _plan_regular(maker: Maker, days: int) -> None:
    b = maker.process.boutique
    step = maker.process.habits.count_every_weeks * 7
    for offset in range(step - 9, days - 4, step):
        maker.plans[maker.first + timedelta(offset)].append(("count", None))
    first = max(days - b.begins_weeks_before * 7, 10)
    for number, offset in enumerate(range(first, days - 5, b.every_weeks * 7)):
        maker.plans[maker.first + timedelta(offset)].append(("boutique", number))
    for weeks in maker.process.wholesale.weeks_before:
        maker.plans[maker.weeks_ago(weeks)].append(("wholesale", None))


def _some_kind(maker: Maker, matter: str) -> str | None:
    free = {k: float(n) for k in maker.kinds if (n := maker.free(k)) > 0}
    return pick(maker.dice(matter), free) if free else None


def home_sale(maker: Maker, day: date) -> None:
    """Sell a bow or two at the door."""
    rng, kind = maker.dice("shelf"), _some_kind(maker, "shelf")
    if kind is None:
        return
    count = min(rng.choice((1, 1, 2)), maker.free(kind))
    maker.world.put(HOME, kind, -count)
    if not happens(rng, maker.process.habits.sale_typed):
        maker.world.unlike(kind, "sold, not typed", -count)
        return
    taken = count * maker.price(kind, "retail", day)
    event = selling.BowsSold(bows=((kind, count),), taken=taken, place=HOME)
    if happens(rng, 0.5):
        maker.small(event, day=day)
    else:
        maker.write(event, day=day, minute=rng.randint(10 * 60, 17 * 60))


def gift(maker: Maker, day: date) -> None:
    """Give a bow away."""
    rng, kind = maker.dice("shelf"), _some_kind(maker, "shelf")
    if kind is not None:
        maker.world.put(HOME, kind, -1)
        event = bows.BowsGiven.model_validate(
            {"bows": ((kind, 1),),
             "how": rng.choice(("gift", "gift", "prize", "sample", "own use"))}
        )  # fmt: skip
        about = True if happens(rng, 0.2) else None
        maker.small(event.model_copy(update={"about": about}), day=day)


def write_off(maker: Maker, day: date) -> None:
    """Write a faded or torn bow off."""
    rng, kind = maker.dice("shelf"), _some_kind(maker, "shelf")
    if kind is not None:
        maker.world.put(HOME, kind, -1)
        why = rng.choice(("faded in the window", "bad clip", "frayed"))
        maker.small(bows.BowsWrittenOff(bows=((kind, 1),), why=why), day=day)


def go_missing(maker: Maker, day: date) -> None:
    """Let a bow vanish at home; now and then one turns up again and is typed."""
    rng, kind = maker.dice("losses"), _some_kind(maker, "losses")
    if kind is None:
        return
    maker.world.put(HOME, kind, -1)
    maker.world.unlike(kind, "gone at home", -1)
    if happens(rng, maker.process.losses.found_again):
        maker.plans[day + timedelta(rng.randint(5, 25))].append(("found", kind))


def turn_up(maker: Maker, day: date, kind: str) -> None:
    """Let a vanished bow turn up."""
    maker.world.put(HOME, kind, 1)
    maker.small(bows.BowsFound(bows=((kind, 1),)), day=day)


def write_note(maker: Maker, day: date) -> None:
    """Write a note about nothing in particular."""
    text = maker.dice("shelf").choice(maker.process.notes)
    maker.write(notes.NoteWritten(text=text), day=day, minute=EVENING + 16)


def count_home(maker: Maker, day: date) -> None:
    """Count the shelf through, and the supplies."""
    held = maker.world.bows.get(HOME, {})
    counts = tuple((kind, held.get(kind, 0)) for kind in maker.kinds if held.get(kind))
    minute = EVENING + 34
    maker.write(
        bows.StockCounted(place=HOME, counts=counts, whole=True), day=day, minute=minute
    )
    lots = tuple(
        (lot.code, lot.left) for lots in maker.world.lots.values() for lot in lots
        if lot.left
    )  # fmt: skip
    maker.write(bows.SupplyCounted(counts=lots), day=day, minute=minute + 12)
    _count_parts(maker, day, minute + 18)


def _count_parts(maker: Maker, day: date, minute: float) -> None:
    """Count the parts in a bundle or two."""
    live = [b for found in maker.world.bundles.values() for b in found if b.told]
    rng = maker.dice("reading")
    for made in rng.sample(live, min(2, len(live))):
        event = bench.PartsCounted(
            bundle=made.code, spool=str(made.told), role=made.role, length=made.length,
            count=made.count,
        )  # fmt: skip
        if maker.behind <= day:
            maker.write(event, day=day, minute=minute)


def to_boutique(maker: Maker, day: date, number: int) -> None:
    """Bring bows to the boutique; from the second time with its statement."""
    b = maker.process.boutique
    if number == 0:
        noted = selling.BoutiqueNoted(place=b.place, name=b.name,
                                      basis_points=b.basis_points)  # fmt: skip
        maker.write(noted, day=day, minute=10 * 60)
    else:
        _statement(maker, day)
    _consign(maker, day)


def _statement(maker: Maker, day: date) -> None:
    b, rng = maker.process.boutique, maker.dice("boutique")
    sold: dict[str, int] = {}
    for _ in range(poisson(rng, b.sells_a_week * b.every_weeks)):
        held = {k: float(n) for k, n in maker.world.bows.get(b.place, {}).items()}
        if held:
            kind = pick(rng, held)
            sold[kind] = sold.get(kind, 0) + 1
            maker.world.put(b.place, kind, -1)
    _lose_there(maker)
    gross = sum(n * maker.price(k, "retail", day) for k, n in sold.items())
    commission = (gross * b.basis_points + 5_000) // 10_000
    event = selling.BoutiqueStatement(
        place=b.place, sold=tuple(sold.items()), gross=gross, commission=commission,
        paid=gross - commission,
    )  # fmt: skip
    maker.write(event, day=day, minute=10 * 60)
    if happens(rng, 0.4):
        _count_there(maker, day)


def _lose_there(maker: Maker) -> None:
    b, rng = maker.process.boutique, maker.dice("losses")
    for kind, count in list(maker.world.bows.get(b.place, {}).items()):
        gone = min(poisson(rng, count * b.loss), count)
        if gone:
            maker.world.put(b.place, kind, -gone)
            maker.world.unlike(kind, "gone at the boutique", -gone)


def _count_there(maker: Maker, day: date) -> None:
    place = maker.process.boutique.place
    held = tuple(maker.world.bows.get(place, {}).items())
    event = bows.StockCounted(place=place, counts=held, whole=True)
    maker.write(event, day=day, minute=10 * 60 + 20)


def _consign(maker: Maker, day: date) -> None:
    b = maker.process.boutique
    there = sum(maker.world.bows.get(b.place, {}).values())
    moved: dict[str, int] = {}
    fit = [k for k in maker.kinds if k.partition(":")[0] in b.patterns]
    for kind in sorted(fit, key=lambda k: -maker.free(k)):
        room = b.bows - there - sum(moved.values())
        take = min(max(maker.free(kind) // 2, 0), 3, room)
        if take > 0:
            moved[kind] = take
    for kind, count in moved.items():
        maker.world.put(HOME, kind, -count)
        maker.world.put(b.place, kind, count)
    if moved:
        event = bows.BowsMoved(bows=tuple(moved.items()), source=HOME, to=b.place)
        maker.write(event, day=day, minute=10 * 60 + 25)


def sell_wholesale(maker: Maker, day: date) -> None:
    """Sell a box of bows outright at wholesale prices."""
    w, sold = maker.process.wholesale, {}
    left = w.bows
    for kind in sorted(maker.kinds, key=lambda k: -maker.free(k)):
        take = min(max(maker.free(kind) - 1, 0), 4, left)
        if take > 0:
            sold[kind] = take
            left -= take
    if sold:
        for kind, count in sold.items():
            maker.world.put(HOME, kind, -count)
        taken = sum(n * maker.price(k, "wholesale", day) for k, n in sold.items())
        event = selling.WholesaleSold(
            bows=tuple(sold.items()), taken=taken, buyer=w.buyer
        )
        maker.write(event, day=day, minute=14 * 60)
