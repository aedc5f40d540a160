"""Rules of ribbon and supplies coming in, being read, and leaving."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Literal, NamedTuple

from planner.errors import Absurd, Unknown
from planner.events.base import Event
from planner.events.restock import (
    RestockCancelled,
    RestockOrdered,
    RibbonAwaited,
    SpoolReceived,
    SupplyAwaited,
    SupplyFound,
    SupplyLost,
    SupplyReceived,
    SupplySentBack,
)
from planner.events.spool import (
    EndKept,
    EndScrapped,
    JoinFound,
    RibbonCameBack,
    RibbonScrapped,
    RibbonSent,
    SpoolFoundPartUsed,
    SpoolRead,
    SpoolSetAside,
    SpoolWoundInTwo,
)
from planner.ledgers import ribbon as r
from planner.ledgers.catalogue import catalogue
from planner.ledgers.restocks import on_the_way
from planner.ledgers.state import Ledgers
from planner.rules.base import Proposal, next_code, plural, proposal
from planner.rules.bench import length_or_nothing, length_words
from planner.rules.held import held_when_read, read_words, untouched
from planner.rules.stock import over_units
from planner.values.daywords import spoken
from planner.values.moments import When
from planner.values.money import share_out
from planner.values.units import NM_PER_YARD, odd_put_up


class Ordered(NamedTuple):
    """A line of a restock: spools of a ribbon (nm on the label), or supply units."""

    what: str
    ribbon: bool
    length: int
    number: int
    price: int


def ordered(
    led: Ledgers, *, supplier: str, lines: Sequence[Ordered], expected: str,
    latest: str, freight: int, discount: int, when: When,
) -> Proposal:  # fmt: skip
    """Propose a restock on the way, expected between two days."""
    if latest < expected:
        raise Absurd(
            f"The latest day, {_day(latest)}, lies before the expected one, "
            f"{_day(expected)}.",
            instead="--latest DAY   (or leave it out)",
        )
    for line in lines:
        if line.ribbon:
            check_label(led, line.length)
    code = next_code(led, "R")
    event = RestockOrdered(
        restock=code, supplier=supplier, expected=expected, latest=latest,
        freight=freight, discount=discount,
        ribbons=tuple(
            RibbonAwaited(
                ribbon=x.what, length=x.length, spools=x.number, price=x.price
            )
            for x in lines if x.ribbon
        ),
        supplies=tuple(
            SupplyAwaited(supply=x.what, units=x.number, price=x.price)
            for x in lines if not x.ribbon
        ),
    )  # fmt: skip
    till = f" to {_day(latest)}" if latest > expected else ""
    came = f"expected {_day(expected)}{till}"
    said = [f"restock {code} on the way from {supplier}, {came}"]
    said += [f"  {number} × {name}" for name, number in _together(led, lines)]
    return proposal([event], when, *said, warnings=_odd(lines))


def _together(led: Ledgers, lines: Sequence[Ordered]) -> list[tuple[str, int]]:
    """Add up the lines of one thing: spools may differ by a cent in price."""
    found: dict[tuple[str, bool, int], int] = {}
    for x in lines:
        key = x.what, x.ribbon, x.length
        found[key] = found.get(key, 0) + x.number
    return [(_thing(led, what, rib), n) for (what, rib, _), n in found.items()]


def _day(iso: str) -> str:
    return spoken(date.fromisoformat(iso))


def _thing(led: Ledgers, code: str, is_ribbon: bool) -> str:
    cat = catalogue(led)
    return cat.ribbon_name(code) if is_ribbon else cat.supplies[code].name


def _odd(lines: Sequence[Ordered]) -> list[str]:
    found = (odd_put_up(x.length) for x in lines if x.ribbon)
    return [warning for warning in found if warning]


def restock_in(led: Ledgers, *, restock: str, lot: str | None, when: When) -> Proposal:
    """Propose that all that was still on the way of a restock came in."""
    page = led.page("restocks", restock)
    due = [item for item in on_the_way(led) if item.restock == restock]
    if not due:
        raise Unknown(
            f"Nothing of {restock} is on the way any more.",
            instead="bows in navy 100yd   (a delivery nobody told of)",
        )
    ordered_event = page[0].event
    pieces = [
        (item, index)
        for item in due
        for index in range(item.count if item.ribbon else 1)
    ]
    weights = [item.price for item, _ in pieces]
    shares = share_out(_still_to_pay(led, restock, ordered_event), weights)
    events: list[Event] = []
    said: list[str] = []
    made_spools = made_lots = 0
    for (item, _), paid in zip(pieces, shares, strict=True):
        if item.ribbon:
            code = next_code(led, "S", more=made_spools)
            made_spools += 1
            events.append(
                SpoolReceived(
                    spool=code, ribbon=item.what, length=item.length, paid=paid,
                    supplier=ordered_event.supplier, lot=lot or f"delivery {restock}",
                    restock=restock,
                )
            )  # fmt: skip
            said.append(f"spool {code}: {catalogue(led).ribbon_name(item.what)}")
        else:
            code = next_code(led, "L", more=made_lots)
            made_lots += 1
            events.append(
                SupplyReceived(
                    lot=code, supply=item.what, units=item.count, paid=paid,
                    supplier=ordered_event.supplier, restock=restock,
                )
            )  # fmt: skip
            name = catalogue(led).supplies[item.what].name
            said.append(f"lot {code}: {item.count} {name}")
    return proposal(events, when, *said)


def _still_to_pay(led: Ledgers, restock: str, e: RestockOrdered) -> int:
    """Give what a restock costs with freight and discount, less what came in of it."""
    price = sum(x.price * x.spools for x in e.ribbons) + sum(
        x.price for x in e.supplies
    )
    paid = sum(came.paid for came in led.arrived.get(restock, ()))
    return max(price + e.freight - e.discount - paid, 0)


def restock_cancelled(led: Ledgers, *, restock: str, why: str, when: When) -> Proposal:
    """Propose that what is still on the way of a restock won't come."""
    event = RestockCancelled(restock=restock, why=why)
    return proposal([event], when, f"restock {restock}: the rest won't come")


def check_label(led: Ledgers, length: int) -> None:
    """
    Refuse a label's length (nm) that is rather the ribbon's width.

    Raises:
        Absurd: below one yard.
    """
    if length < NM_PER_YARD:
        raise Absurd(
            f"A whole spool with {length_words(led, length)} on its label can't be "
            "meant.",
            instead="bows in navy 1.5in 100yd   (the width, then the length)",
        )


def spool_in(
    led: Ledgers, *, ribbon: str, length: int, spools: int, paid: int, supplier: str,
    lot: str | None, when: When,
) -> Proposal:  # fmt: skip
    """Propose whole spools that came in, the price shared over them exactly."""
    check_label(led, length)
    shares = share_out(paid, [1] * spools)
    events: list[Event] = []
    codes = [next_code(led, "S", more=i) for i in range(spools)]
    for code, share in zip(codes, shares, strict=True):
        events.append(
            SpoolReceived(
                spool=code, ribbon=ribbon, length=length, paid=share, supplier=supplier,
                lot=lot or f"delivery of {when.text[:10]}",
            )
        )  # fmt: skip
    name = catalogue(led).ribbon_name(ribbon)
    label = length_words(led, length)
    said = f"{', '.join(codes)}: {name}, {label} on the label"
    odd = odd_put_up(length)
    return proposal(events, when, said, warnings=[odd] if odd else [])


def spool_found(
    led: Ledgers, *, ribbon: str, length: int, label: int | None, when: When,
    lot: str | None,
) -> Proposal:  # fmt: skip
    """Propose a part-used spool she already had; the length is her estimate."""
    code = next_code(led, "S")
    event = SpoolFoundPartUsed(
        spool=code, ribbon=ribbon, length=length, label=label,
        lot=lot or f"had on {when.text[:10]}",
    )  # fmt: skip
    name = catalogue(led).ribbon_name(ribbon)
    said = f"spool {code}: {name}, part-used, about {length_words(led, length)} on it"
    return proposal([event], when, said)


def spool_read(
    led: Ledgers, *, spool: str, left: int,
    how: Literal["measured", "weighed", "judged", "ran out"], when: When,
) -> Proposal:  # fmt: skip
    """Propose a reading of a spool; what it changes is said and kept."""
    book = held_when_read(led, led.ribbon, spool, r.LEFT, when, reads="spool-read")
    said = (
        f"{spool} {how}: {length_words(led, left) if left else 'nothing'} left "
        f"(the book said {length_words(led, book) if book else 'nothing'})"
    )
    warnings = []
    if left != book and untouched(led, spool, when):
        warnings.append(
            f"read before its first cut: {length_words(led, abs(left - book))} "
            f"{'more' if left > book else 'less'} than its label"
        )
    elif left != book:
        warnings.append(
            f"{length_words(led, left - book)} against the book goes to not yet "
            "explained"
        )
    label = led.spools[spool].label
    if left > label and left != book:
        warnings.append(
            f"that is more than the {length_words(led, label)} on its label; if it was "
            "another: bows undo"
        )
    event = SpoolRead(spool=spool, left=left, how=how)
    return proposal([event], when, said, warnings=warnings)


def join_found(led: Ledgers, *, spool: str, left: int | None, when: When) -> Proposal:
    """Propose a join found while cutting."""
    event = JoinFound(spool=spool, left=left)
    behind = f", {length_words(led, left)} behind it" if left else ""
    return proposal([event], when, f"{spool}: a join found{behind}")


def wound(led: Ledgers, *, spool: str, length: int, when: When) -> Proposal:
    """Propose ribbon wound from a spool onto a new one."""
    code = next_code(led, "S")
    event = SpoolWoundInTwo(spool=spool, onto=code, length=length)
    said = f"{length_words(led, length)} wound from {spool} onto {code}"
    return proposal([event], when, said, warnings=_over(led, spool, length, when))


def _over(
    led: Ledgers, spool: str, length: int, when: When, account: str = r.LEFT
) -> list[str]:
    read = read_words(led, led.ribbon, spool, account, when, name=spool)
    held = led.ribbon.balance(spool)[account]
    if read or length <= held:
        return read
    return [
        f"that is {length_words(led, length - held)} more than the records have on "
        f"{spool}; entered as not yet explained"
    ]


def end_kept(led: Ledgers, *, spool: str, length: int, when: When) -> Proposal:
    """Propose a remnant cut off and kept."""
    event = EndKept(spool=spool, length=length)
    said = f"an end of {length_words(led, length)} kept from {spool}"
    return proposal([event], when, said, warnings=_over(led, spool, length, when))


def end_scrapped(
    led: Ledgers, *, spool: str, length: int, why: str, when: When
) -> Proposal:
    """Propose a kept end cut up or thrown out."""
    event = EndScrapped(spool=spool, length=length, why=why)
    said = f"a kept end of {spool}, {length_words(led, length)}, scrapped ({why})"
    odd = _over(led, spool, length, when, r.ENDS)
    return proposal([event], when, said, warnings=odd)


def ribbon_scrapped(
    led: Ledgers, *, spool: str, length: int, why: str, when: When
) -> Proposal:
    """Propose ribbon scrapped off a spool: a flaw, a mis-cut, a join, a sample."""
    event = RibbonScrapped(spool=spool, length=length, why=why)
    said = f"{length_words(led, length)} of {spool} scrapped ({why})"
    return proposal([event], when, said, warnings=_over(led, spool, length, when))


def ribbon_sent(
    led: Ledgers, *, spool: str, length: int,
    how: Literal["given", "sold", "lent", "returned"], amount: int, when: When,
) -> Proposal:  # fmt: skip
    """Propose ribbon that left the shop."""
    event = RibbonSent(spool=spool, length=length, how=how, amount=amount)
    said = f"{length_words(led, length)} of {spool} {how}"
    return proposal([event], when, said, warnings=_over(led, spool, length, when))


def ribbon_back(led: Ledgers, *, spool: str, length: int, when: When) -> Proposal:
    """Propose lent ribbon that came back."""
    event = RibbonCameBack(spool=spool, length=length)
    said = f"{length_words(led, length)} came back to {spool}"
    lent, odd = led.ribbon.balance(spool)["sent:lent"], []
    if length > max(lent, 0):
        odd = [
            f"the records have {length_or_nothing(led, lent)} of {spool} as lent; the "
            "rest is entered as not yet explained"
        ]
    return proposal([event], when, said, warnings=odd)


def set_aside(
    led: Ledgers, *, spool: str, aside: bool, why: str, when: When
) -> Proposal:
    """Propose that a spool is not to be cut for now, or may be cut again."""
    event = SpoolSetAside(spool=spool, aside=aside, why=why)
    said = f"{spool} is {'set aside' if aside else 'to be cut again'}"
    return proposal([event], when, said)


def supply_in(
    led: Ledgers, *, supply: str, units: int, paid: int, supplier: str, when: When,
    opening: bool = False,
) -> Proposal:  # fmt: skip
    """Propose units of a supply that came in, or that she already had."""
    lot = next_code(led, "L")
    event: Event = (
        SupplyFound(lot=lot, supply=supply, units=units, paid=paid)
        if opening
        else SupplyReceived(
            lot=lot, supply=supply, units=units, paid=paid, supplier=supplier
        )
    )
    name = catalogue(led).supplies[supply].name
    verb = "had already" if opening else "in"
    return proposal([event], when, f"lot {lot}: {units:,} {name} {verb}")


def supply_out(
    led: Ledgers, *, lot: str, units: int, back: bool, refund: int, why: str, when: When
) -> Proposal:
    """Propose units of a supply lot lost, or sent back."""
    event: Event = (
        SupplySentBack(lot=lot, units=units, refund=refund)
        if back
        else SupplyLost(lot=lot, units=units, why=why)
    )
    said = f"lot {lot}: {plural(units, 'unit')} {'sent back' if back else 'lost'}"
    odd = over_units(units, led.supplies.balance(lot)["left"], f"of {lot}")
    return proposal([event], when, said, warnings=odd)
