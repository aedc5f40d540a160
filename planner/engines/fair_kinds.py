"""
Which kinds are thought of for a fair.

Those she has made, and those she guessed for; a colour or a pattern new to the shelf
is thought of in the company it could be made in, where there is ribbon for it.  A shop
that hasn't sold at a fair yet thinks of every kind of its catalogue: what is asked for
doesn't hang on the spools she happens to have.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping

from planner.ledgers.catalogue import Catalogue, SetUnit, catalogue
from planner.ledgers.fairs import Fair
from planner.ledgers.state import Ledgers
from planner.ledgers.stock import ribbon_left


def kinds_for(led: Ledgers, fair: Fair, free: Mapping[str, int]) -> list[str]:
    """List the kinds to think of, without those guessed as none at all."""
    cat = catalogue(led)
    made = [k for k in led.bows.items if _whole(cat, k)]
    guessed = [k for k in fair.guess if _whole(cat, k)]
    new = _new(led, cat, made) if led.fair_sales else cat.kinds()
    every = dict.fromkeys([*made, *guessed, *new])
    return [k for k in every if not _left_out(cat, fair, k, free)]


def sets_for(cat: Catalogue, fair: Fair, kinds: Collection[str]) -> list[SetUnit]:
    """List the sets of these kinds that have a price, without those guessed as none."""
    return [
        one for code, one in cat.sets.items()
        if cat.price(code, "fair") and code not in cat.retired
        and fair.guess.get(code, 1) and all(k in kinds for k, _ in one.kinds)
    ]  # fmt: skip


def _whole(cat: Catalogue, kind: str) -> bool:
    pattern, way = cat.split(kind)
    return pattern in cat.patterns and way in cat.colourways


def _left_out(cat: Catalogue, fair: Fair, kind: str, free: Mapping[str, int]) -> bool:
    pattern, way = cat.split(kind)
    if fair.guess.get(kind, fair.guess.get(pattern, 1)) == 0:
        return True
    return bool(cat.retired.intersection((pattern, way))) and not free.get(kind)


def _new(led: Ledgers, cat: Catalogue, made: list[str]) -> Iterator[str]:
    """Walk the kinds of a colour or a pattern she hasn't made anything of yet."""
    held = ribbon_left(led)
    patterns = {cat.split(k)[0]: set[bool]() for k in made}
    ways = {cat.split(k)[1] for k in made}
    for kind in made:
        patterns[cat.split(kind)[0]].add(_mixed(cat, kind))
    for kind in cat.kinds():
        pattern, way = cat.split(kind)
        if led.spools and not _to_cut(cat, kind, held):
            continue
        fresh_colour = way not in ways and _mixed(cat, kind) in patterns.get(
            pattern, ()
        )
        if fresh_colour or pattern not in patterns:
            yield kind


def _mixed(cat: Catalogue, kind: str) -> bool:
    """Say whether a kind takes more than one ribbon: few patterns suit both."""
    return len(cat.ribbon_needs(kind)) > 1


def _to_cut(cat: Catalogue, kind: str, held: Mapping[str, int]) -> bool:
    needs = cat.ribbon_needs(kind).items()
    return all(held.get(code, 0) >= nm for code, nm in needs)
