"""Orders of an invented season: who asks for what, and how it is kept or not."""

from __future__ import annotations

from datetime import date, timedelta
from random import Random

from planner.events import orders, plans, shop
from planner.events.base import Event, Kept, PrivateText
from planner.events.fields import KindCount, LineItem
from planner.scenario.bench import sit_for
from planner.scenario.chance import happens, pick
from planner.scenario.maker import EVENING, Maker, Order
from planner.scenario.opening import pair_code, ribbon_named
from planner.scenario.process import EndingOrder
from planner.scenario.world import HOME

GIVES_UP = 6
"""Days an order may be overdue for want of ribbon."""
RARE = 4
"""Orders are numbered; the first few never change, fall through or get lost."""


def plan_orders(maker: Maker) -> None:
    """Spread the year's orders over its days, and set those that end it."""
    p, rng = maker.process.orders, maker.dice("orders")
    days = (maker.last - maker.first).days
    count = round(p.a_year * days / 364)
    span = range(4, max(days - p.quiet_days, 5))
    fates = _fates(maker, count, rng)
    for index, offset in enumerate(sorted(rng.choices(span, k=count))):
        maker.plans[maker.first + timedelta(offset)].append(("order", fates[index]))
    for ending in maker.process.ending:
        day = maker.last - timedelta(ending.days_before)
        maker.plans[day].append(("ending", ending))


def _fates(maker: Maker, count: int, rng: Random) -> list[str]:
    p = maker.process.orders
    years = max(count // max(p.a_year, 1), 1)
    fates = (
        ["lapsed"] * p.lapsed + ["called off"] * p.called_off + ["changed"] * p.changed
        + ["returned"] * p.returned + ["lost in post"] * p.lost_in_post
    ) * years  # fmt: skip
    plain = count - len(fates) - RARE
    mixed = fates + [""] * max(plain, 0)
    rng.shuffle(mixed)
    return ([""] * RARE + mixed)[:count]


def order_comes(maker: Maker, day: date, fate: str) -> None:
    """Let somebody ask for bows, and most of the time order them."""
    p, rng = maker.process.orders, maker.dice("orders")
    order = Order(maker.codes.next("O"), _person(maker, day), _lines(maker, day), day)
    _set_need(order)
    rush = happens(rng, p.rush)
    order.due = _due(maker, day, rush)
    asked = fate == "lapsed" or happens(rng, p.asked)
    if asked:
        _ask(maker, order, day)
    if fate != "lapsed":
        _take(maker, order, day + timedelta(asked), fate, rush=rush)


def _due(maker: Maker, day: date, rush: bool) -> date:
    p, rng = maker.process.orders, maker.dice("orders")
    lead = rng.randint(2, 4) if rush else rng.randint(*p.lead_days)
    return min(day + timedelta(lead), maker.last - timedelta(3))


def _person(maker: Maker, day: date) -> str:
    rng = maker.dice("people")
    names = maker.process.people
    if maker.people and happens(rng, 0.4):
        return rng.choice(list(maker.people))
    name = names[len(maker.people) % len(names)]
    code = maker.codes.next("P")
    maker.people[code] = name
    _note_person(maker, code, name, day)
    return code


def _note_person(maker: Maker, code: str, name: str, day: date) -> None:
    rng = maker.dice("people")
    kept = [_private(maker, code, "name", name)]
    if happens(rng, 0.3):
        street = rng.choice(maker.process.streets)
        kept.append(_private(maker, code, "address", f"{rng.randint(1, 60)} {street}"))
    event = shop.PersonNoted(person=code, kept=tuple(_kept(text) for text in kept))
    maker.write(event, day=day, minute=8 * 60 + 5, private=tuple(kept))


def _private(maker: Maker, person: str, name: str, text: str) -> PrivateText:
    from planner.log.people import new_private

    return new_private(person, name, text, maker.dice("salt").randbytes)


def _kept(text: PrivateText) -> Kept:
    return Kept(key=text.key, seal=text.seal)


def _minute(maker: Maker) -> int:
    return maker.dice("orders").randint(8 * 60 + 20, 18 * 60)


def _lines(maker: Maker, day: date) -> tuple[LineItem, ...]:
    p, rng = maker.process.orders, maker.dice("orders")
    weights = {k: maker.appeal(k, day) for k in maker.kinds if maker.can_offer(k)}
    lines = []
    for number in range(1, rng.choice(p.lines) + 1):
        kind = pick(rng, weights)
        lines.append(_line(maker, day, number, kind, rng.choice(p.counts)))
    return tuple(lines)


def _line(
    maker: Maker, day: date, number: int, kind: str, count: int, pair: bool = False
) -> LineItem:
    pairs = maker.pair_prices
    if kind in pairs and count % 2 == 0 and (pair or count <= 4):
        return LineItem(line=number, what=pair_code(kind), count=count // 2,
                        price=pairs[kind], kinds=((kind, 2),))  # fmt: skip
    price = maker.price(kind, "retail", day)
    return LineItem(line=number, what=kind, count=count, price=price,
                    kinds=((kind, 1),))  # fmt: skip


def _set_need(order: Order) -> None:
    order.need = {}
    for line in order.lines:
        for kind, each in line.kinds:
            order.need[kind] = order.need.get(kind, 0) + each * line.count


def _ask(maker: Maker, order: Order, day: date) -> None:
    event = orders.OrderAsked(
        order=order.code, person=order.person, lines=order.lines,
        due=order.due.isoformat(), expires=(day + timedelta(7)).isoformat(),
    )  # fmt: skip
    maker.write(event, day=day, minute=_minute(maker))


def _take(maker: Maker, order: Order, day: date, fate: str, *, rush: bool) -> None:
    p, rng = maker.process.orders, maker.dice("orders")
    order.posted = fate == "lost in post" or happens(rng, p.posted)
    private = _order_note(maker, order)
    minute = _minute(maker)
    event = orders.OrderTaken(
        order=order.code, person=order.person, lines=order.lines,
        due=order.due.isoformat(), weight=3 if rush and happens(rng, 0.4) else 1,
        rush=rush, post_days=3 if order.posted else 0,
        note=_kept(private[0]) if private else None,
    )  # fmt: skip
    maker.write(event, day=day, minute=minute, private=private)
    maker.orders.append(order)
    _deposit(maker, order, day, minute + 6)
    _from_stock(maker, order, day, minute + 8)
    _promise(maker, order, day, minute + 9)
    if fate:
        maker.plans[day + timedelta(rng.randint(1, 2))].append((fate, order))


def _order_note(maker: Maker, order: Order) -> tuple[PrivateText, ...]:
    rng = maker.dice("people")
    if order.person is None or not happens(rng, maker.process.orders.noted):
        return ()
    text = rng.choice(maker.process.order_notes)
    return (_private(maker, order.person, "note", text),)


def _deposit(maker: Maker, order: Order, day: date, minute: int) -> None:
    if order.total >= 4000:
        order.paid = order.total // 2
        event = orders.OrderPaid(order=order.code, amount=order.paid, how="card")
        maker.write(event, day=day, minute=minute)


def _from_stock(maker: Maker, order: Order, day: date, minute: int) -> None:
    """Set finished bows aside for an order, when she thinks of it."""
    if not happens(maker.dice("orders"), maker.process.orders.stock):
        return
    claimed = {k: min(maker.free(k), n) for k, n in order.lacking().items()}
    claimed = {k: n for k, n in claimed.items() if n > 0}
    if claimed:
        order.have = dict(claimed)
        event = orders.BowsReserved(claimant=order.code, bows=tuple(claimed.items()))
        maker.write(event, day=day, minute=minute)


def _promise(maker: Maker, order: Order, day: date, minute: int) -> None:
    rng = maker.dice("promises")
    if happens(rng, maker.process.orders.promised):
        likely = order.due - timedelta(rng.randint(1, 4))
        event = plans.PromiseMade(
            order=order.code, due=order.due.isoformat(),
            chance=rng.randint(800, 985) * 1000, head="",
            early=(likely - timedelta(1)).isoformat(), likely=likely.isoformat(),
            late=(likely + timedelta(2)).isoformat(),
        )  # fmt: skip
        maker.write(event, day=day, minute=minute)


def order_turns(maker: Maker, day: date, fate: str, order: Order) -> None:
    """Let an order be changed or called off on its way."""
    if order.state != "open":
        return
    if fate == "changed":
        _change(maker, order, day)
    elif fate == "called off":
        _call_off(maker, order, day)
    else:
        order.pick_up = order.due
        maker.plans[order.due + timedelta(8)].append((f"after {fate}", order))


def _change(maker: Maker, order: Order, day: date) -> None:
    first = order.lines[0]
    more = first.model_copy(update={"count": first.count + 2})
    order.lines = (more, *order.lines[1:])
    order.due = min(order.due + timedelta(2), maker.last - timedelta(3))
    _set_need(order)
    event = orders.OrderChanged(
        order=order.code, lines=order.lines, due=order.due.isoformat(),
        post_days=3 if order.posted else 0,
    )  # fmt: skip
    maker.write(event, day=day, minute=_minute(maker))


def _call_off(
    maker: Maker, order: Order, day: date, *, why: str = "the customer rang"
) -> None:
    minute = _minute(maker)
    order.state, order.have = "called off", {}
    maker.write(
        orders.OrderCalledOff(order=order.code, why=why),
        day=day, minute=minute,
    )  # fmt: skip
    if order.paid:
        back = orders.OrderRefunded(order=order.code, amount=order.paid, how="card")
        maker.write(back, day=day, minute=minute + 5)
    maker.orders.remove(order)


def hand_over(maker: Maker, day: date) -> None:
    """Tell which orders are ready, and hand over those that are fetched today."""
    for order in list(maker.orders):
        if order.state != "open" or order.held:
            continue
        if order.lacking():
            _give_up(maker, order, day)
            continue
        if order.pick_up is None or not order.told_ready:
            _ready(maker, order, day)
        elif day >= order.pick_up:
            _hand_over(maker, order, day)


def _give_up(maker: Maker, order: Order, day: date) -> None:
    """Call an overdue order off when its ribbon can't be had."""
    overdue = (day - order.due).days > GIVES_UP and order.due < maker.last
    if overdue and not all(maker.can_cut(kind) for kind in order.lacking()):
        _call_off(maker, order, day, why="no ribbon to be had in time")


def _ready(maker: Maker, order: Order, day: date) -> None:
    rng = maker.dice("orders")
    order.told_ready = True
    wait = day + timedelta(rng.randint(1, 3))
    soonest = order.due - timedelta(rng.randint(0, 2) + 3 * order.posted)
    order.pick_up = order.pick_up or max(wait, soonest)
    if happens(rng, 0.6) or order.due > maker.last:
        maker.write(orders.OrderReady(order=order.code), day=day, minute=EVENING + 8)


def _hand_over(maker: Maker, order: Order, day: date) -> None:
    minute = maker.dice("orders").randint(15 * 60, 18 * 60)
    bows = _out(maker, order)
    over = orders.OrderHandedOver(
        order=order.code, bows=bows, earned=order.total, by_post=order.posted
    )
    _pay_rest(maker, order, day, minute)
    maker.write(over, day=day, minute=minute + 3, typed=(day, minute + 5))
    order.state = "handed over"
    maker.orders.remove(order)


def _out(maker: Maker, order: Order) -> tuple[KindCount, ...]:
    for kind, count in order.need.items():
        maker.world.put(HOME, kind, -count)
    return tuple(order.need.items())


def _pay_rest(maker: Maker, order: Order, day: date, minute: int) -> None:
    rest = order.total - order.paid
    if rest > 0:
        rng = maker.dice("orders")
        event = orders.OrderPaid.model_validate(
            {"order": order.code, "amount": rest,
             "how": rng.choice(("cash", "cash", "card", "bank"))}
        )  # fmt: skip
        maker.write(event, day=day, minute=minute)


def after_all(maker: Maker, day: date, fate: str, order: Order) -> None:
    """Let a parcel be lost or a bow come back after it was handed over."""
    if order.state != "handed over":
        return
    kind = next(iter(order.need))
    price = maker.price(kind, "retail", day)
    if fate == "after lost in post":
        _lost(maker, order, day)
    else:
        maker.world.put(HOME, kind, 1)
        maker.write(
            orders.OrderReturned(order=order.code, made=kind, count=1,
                                 refund_owed=price),
            orders.OrderRefunded(order=order.code, amount=price),
            day=day, minute=_minute(maker),
        )  # fmt: skip


def _lost(maker: Maker, order: Order, day: date) -> None:
    owed = order.total
    bows = tuple(order.need.items())
    maker.write(
        orders.OrderLostInPost(order=order.code, bows=bows, refund_owed=owed),
        orders.OrderRefunded(order=order.code, amount=owed, how="bank"),
        orders.OrderCalledOff(order=order.code, why="lost in the post, money back"),
        day=day, minute=_minute(maker),
    )  # fmt: skip


def ending_comes(maker: Maker, day: date, spec: EndingOrder) -> None:
    """Take one of the orders that are unfinished on the last day."""
    if spec.state == "ribbon":
        _name_waiting_ribbon(maker, day)
    lines = tuple(
        _line(maker, day, at, _ending_kind(maker, kind, spec), count, pair)
        for at, (kind, count, pair) in enumerate(spec.lines, start=1)
    )
    person = _person(maker, day) if maker.last != day else _regular(maker)
    order = Order(maker.codes.next("O"), person, lines,
                  maker.last + timedelta(spec.due_in))  # fmt: skip
    _set_need(order)
    order.pick_up = order.due
    if spec.state == "asked":
        _ask(maker, order, day)
    else:
        _take_ending(maker, order, day, spec)


def _ending_kind(maker: Maker, short: str, spec: EndingOrder) -> str:
    """Give a kind as the file names it, or one like it that she can make in time."""
    kind = maker.full_kind(short)
    if spec.state != "ready" or maker.can_offer(kind):
        return kind
    like = [k for k in maker.pattern(kind).kinds if k != kind]
    return max(like, key=lambda k: maker.world.left(maker.ribbon(k, "body")))


def _regular(maker: Maker) -> str:
    return next(iter(maker.people))


def _take_ending(maker: Maker, order: Order, day: date, spec: EndingOrder) -> None:
    order.held = spec.state in ("open", "ribbon", "rush")
    event = orders.OrderTaken(
        order=order.code, person=order.person, lines=order.lines,
        due=order.due.isoformat(), hour=spec.hour, rush=spec.state == "rush",
        weight=2 if spec.state == "rush" else 1, in_parts=spec.in_parts,
    )  # fmt: skip
    minute = 7 * 60 + 20 if day == maker.last else _minute(maker)
    maker.write(event, day=day, minute=minute)
    maker.orders.append(order)
    _deposit(maker, order, day, minute + 4)


def _name_waiting_ribbon(maker: Maker, day: date) -> None:
    spec = maker.waited_for()
    maker.write(ribbon_named(spec), day=day, minute=8 * 60)


def make_ready(maker: Maker, day: date) -> None:
    """See to it that the order to be ready on the last day is."""
    for order in maker.orders:
        if order.state == "open" and not order.held and order.due > maker.last:
            sit_for(maker, day, order)
            _finish(maker, order, day)


def _finish(maker: Maker, order: Order, day: date) -> None:
    for kind, count in order.lacking().items():
        extra = min(maker.free(kind), count)
        order.have[kind] = order.have.get(kind, 0) + max(extra, 0)
    if not order.told_ready and not order.lacking():
        order.told_ready = True
        ready: Event = orders.OrderReady(order=order.code)
        maker.write(ready, day=day, minute=EVENING + 10)
