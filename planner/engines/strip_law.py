"""
Bring the pieces of a spool's strip to the account, to the nanometre.

Walking the cuts gives each stretch as it was cut.  Later entries move parts of it on
(trimmings measured, ends scrapped, bows taken apart), bring some back, or find more on
the spool than the book said; which stretch they touched no entry says, so the newest of
the account they came from is taken.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from planner.ledgers import ribbon as r
from planner.plans.story import Piece

_CUT = (r.ENDS, r.BOWS, r.BUNDLE, r.TRIMMED)
"""Accounts whose ribbon may have moved on to another one of them, or to scrap."""


def settle(pieces: Iterable[Piece], accounts: Mapping[str, int]) -> tuple[Piece, ...]:
    """
    Give pieces whose lengths sum to each account (nm), none below nothing.

    An account below nothing has no piece; the strip is longer by as much.
    """
    made = [piece for piece in pieces if piece.length > 0]
    over = _less(_held(made), _wanted(accounts))
    lack = {name: -nm for name, nm in over.items() if nm < 0}
    over = {name: nm for name, nm in over.items() if nm > 0}
    for name in lack:
        for source in _sources(name, over):
            take = min(over[source], lack[name])
            made = _moved(made, source, name, take)
            over[source] -= take
            lack[name] -= take
    for source, nm in over.items():
        made = _moved(made, source, None, nm)
    more = [Piece(name, nm, 0, 0, why=_why(name))
            for name, nm in lack.items() if nm]  # fmt: skip
    at = next((n for n, x in enumerate(made) if x.account == r.LEFT), len(made))
    return (*made[:at], *more, *made[at:])


def _name(account: str) -> str:
    """Pool the bundles: which one holds a part the piece itself says."""
    return r.BUNDLE if account.startswith(r.BUNDLE) else account


def _why(name: str) -> str:
    return name.partition(":")[2]


def _held(pieces: Iterable[Piece]) -> dict[str, int]:
    held: dict[str, int] = {}
    for piece in pieces:
        name = _name(piece.account)
        held[name] = held.get(name, 0) + piece.length
    return held


def _wanted(accounts: Mapping[str, int]) -> dict[str, int]:
    wanted: dict[str, int] = {}
    for account, nm in accounts.items():
        wanted[_name(account)] = wanted.get(_name(account), 0) + nm
    return {name: max(nm, 0) for name, nm in wanted.items()}


def _less(held: Mapping[str, int], wanted: Mapping[str, int]) -> dict[str, int]:
    names = dict.fromkeys((*held, *wanted))
    return {name: held.get(name, 0) - wanted.get(name, 0) for name in names}


def _sources(name: str, over: Mapping[str, int]) -> list[str]:
    """Give what an account may have been filled from, the likeliest first."""
    if name not in _CUT and not name.startswith(r.SCRAPPED):
        return []
    scraps = [source for source in over if source.startswith(r.SCRAPPED)]
    return [source for source in (*_CUT, *scraps) if source in over and source != name]


def _moved(
    pieces: list[Piece], source: str, target: str | None, nm: int
) -> list[Piece]:
    """Take a length off an account's newest pieces and give it to another, or none."""
    made: list[Piece] = []
    for piece in reversed(pieces):
        take = min(piece.length, nm) if _name(piece.account) == source else 0
        nm -= take
        made += reversed(list(_split(piece, target, take)))
    return made[::-1]


def _split(piece: Piece, target: str | None, take: int) -> Iterator[Piece]:
    # Trimmed off a part, the part is still one; else whole parts go along.
    whole = target != r.TRIMMED
    gone = piece.parts * take // piece.length if take and whole else 0
    if piece.length > take:
        yield replace(piece, length=piece.length - take, parts=piece.parts - gone)
    if take and target is not None:
        links = piece.gone if target == r.BOWS else ()
        yield replace(
            piece, account=target, length=take, parts=gone, why=_why(target), gone=links
        )
