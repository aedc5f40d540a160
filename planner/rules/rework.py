"""Rules of parts and bows after the fact: scrapped, recut, counted, reworked, apart."""

from __future__ import annotations

from collections.abc import Sequence

from planner.errors import Absurd, Unknown
from planner.events.bench import (
    BowsReworked,
    BowsTakenApart,
    PartsCounted,
    PartsRecut,
    PartsScrapped,
    TrimmingsMeasured,
)
from planner.events.fields import PartUse
from planner.ledgers import ribbon as r
from planner.ledgers.bows import HOME
from planner.ledgers.catalogue import catalogue
from planner.ledgers.state import Bundle, Ledgers
from planner.ledgers.stock import waiting
from planner.rules.base import Proposal, next_code, plural, proposal, signed
from planner.rules.bench import length_or_nothing, length_words, over_place
from planner.rules.held import held_when_read, read_words
from planner.values.moments import When


def scrapped(
    led: Ledgers, *, bundle: str, count: int, why: str, when: When
) -> Proposal:
    """Propose parts of a bundle scrapped."""
    b = led.bundles[bundle]
    held = waiting(led, b)
    event = PartsScrapped(
        bundle=bundle, spool=b.spool, role=b.role, length=b.length, count=count, why=why
    )
    odd = _over_bundle(led, b, count, when)
    then = held if odd and count <= held else max(held - count, 0)
    said = f"bundle {bundle}: {plural(count, 'part')} scrapped ({why}): {held} → {then}"
    return proposal([event], when, said, warnings=odd)


def _over_bundle(led: Ledgers, b: Bundle, count: int, when: When) -> list[str]:
    bundle, held = b.code, waiting(led, b)
    account = r.BUNDLE + bundle
    read = read_words(led, led.ribbon, b.spool, account, when, name=bundle)
    if read or count <= held:
        return read
    return [
        f"that is {count - max(held, 0)} more than the records have in {bundle}; "
        "entered as not yet explained"
    ]


def recut(
    led: Ledgers, *, bundle: str, count: int, length: int, when: When
) -> Proposal:
    """Propose parts of a bundle cut down to a shorter length."""
    b = led.bundles[bundle]
    if length >= b.length:
        raise Unknown(
            f"{bundle} is cut at {length_words(led, b.length)}; a recut is shorter.",
            instead=f"bows recut {count} {bundle} LENGTH",
        )
    onto = next_code(led, "C")
    event = PartsRecut(
        bundle=bundle, spool=b.spool, role=b.role, onto=onto, old_length=b.length,
        new_length=length, count=count,
    )  # fmt: skip
    said = (
        f"{plural(count, 'part')} of {bundle} recut to {length_words(led, length)} as "
        f"bundle {onto}"
    )
    return proposal([event], when, said, warnings=_over_bundle(led, b, count, when))


def parts_counted(led: Ledgers, *, bundle: str, count: int, when: When) -> Proposal:
    """Propose a count of the parts waiting in a bundle."""
    b = led.bundles[bundle]
    account = r.BUNDLE + bundle
    left = held_when_read(
        led, led.ribbon, b.spool, account, when, reads="parts-counted"
    )
    held = max(left, 0) // b.length
    event = PartsCounted(
        bundle=bundle, spool=b.spool, role=b.role, length=b.length, count=count
    )
    warnings = []
    if count != held:
        warnings.append(
            f"the records had {held}; {signed(count - held)} goes to not yet explained"
        )
    said = f"bundle {bundle} counted: {plural(count, 'part')}"
    return proposal([event], when, said, warnings=warnings)


def reworked(
    led: Ledgers, *, was: str, became: str, bows: int, when: When, place: str = HOME
) -> Proposal:
    """
    Propose finished bows turned into another kind.

    Raises:
        Absurd: when both kinds are the same.
    """
    cat = catalogue(led)
    if was == became:
        raise Absurd(
            f"{cat.kind_name(was)} to {cat.kind_name(was)} changes nothing.",
            instead="bows rework 2 4in navy to 4in red",
        )
    batch = next_code(led, "B")
    event = BowsReworked(was=was, became=became, batch=batch, count=bows, place=place)
    said = (
        f"batch {batch}: {plural(bows, 'bow')} reworked, {cat.kind_name(was)} → "
        f"{cat.kind_name(became)}"
    )
    return proposal(
        [event], when, said, warnings=over_place(led, was, place, bows, when)
    )


def apart(
    led: Ledgers, *, kind: str, bows: int, when: When, place: str = HOME,
    batch: str | None = None,
) -> Proposal:  # fmt: skip
    """Propose finished bows taken apart; the ribbon of a named batch is scrapped."""
    parts: tuple[PartUse, ...] = ()
    if batch is not None:
        from_batch = led.batches[batch]
        parts = tuple(
            PartUse(role=role, length=length, count=n * bows // from_batch.count,
                    bundle=bundle, spool=spool)
            for role, length, n, bundle, spool in from_batch.parts
            if spool is not None and n * bows // from_batch.count > 0
        )  # fmt: skip
    event = BowsTakenApart(
        made=kind, count=bows, place=place, batch=batch, scrapped=parts
    )
    said = f"{plural(bows, 'bow')} taken apart, {catalogue(led).kind_name(kind)}"
    odd = [*_other_batch(led, batch, kind), *over_place(led, kind, place, bows, when)]
    return proposal([event], when, said, warnings=odd)


def _other_batch(led: Ledgers, batch: str | None, kind: str) -> list[str]:
    if batch is None or led.batches[batch].kind == kind:
        return []
    other = catalogue(led).kind_name(led.batches[batch].kind)
    return [f"{batch} is a batch of {other}; if the label was misread: bows undo"]


def trimmings(
    led: Ledgers, *, spool: str, role: str, each: Sequence[int], total: int | None,
    short: int, when: When, batch: str | None = None,
) -> Proposal:  # fmt: skip
    """Propose trimmings measured: single lengths, or one length for all together."""
    length = total if total is not None else sum(each)
    event = TrimmingsMeasured(
        spool=spool,
        role=role,
        length=length,
        batch=batch,
        each=tuple(each),
        short=short,
    )
    said = f"trimmings of {role} parts from {spool}: {length_words(led, length)}"
    in_bows = led.ribbon.balance(spool)[r.BOWS]
    warnings = []
    if length > in_bows:
        warnings.append(
            f"the records have {length_or_nothing(led, in_bows)} of {spool} in bows"
        )
    return proposal([event], when, said, warnings=warnings)
