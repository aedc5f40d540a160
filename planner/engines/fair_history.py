"""
What past fairs tell of each kind: bows sold, for how long, and what sold out.

A kind that wasn't brought tells nothing.  One that sold out at a known hour counts up
to that hour; one that sold out unseen (nothing came back) only says that at least so
many were wanted.  Sales not typed count at the middle of what they can be; sales with
the colour not noticed are shared over what is missing of that pattern.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from planner.ledgers.bows import UNNOTICED
from planner.ledgers.fairs import Fair, past_fairs
from planner.ledgers.state import Ledgers
from planner.plans.fair import KindSeen

HALF_LIFE = 365
"""Days after which a fair counts half: tastes change from year to year."""
USUAL_CROWD = 3
"""The crowd class that exposure is reckoned by."""


@dataclass(frozen=True, slots=True)
class Told:
    """
    What one fair told of one kind it was brought to.

    `open_share` is the part of the fair it was on the table; `hidden` says that it
    sold out unseen; `unlogged` is the part of `sold` that wasn't typed.
    """

    brought: int
    sold: float
    unlogged: float
    open_share: float
    sold_out: bool
    hidden: bool


@dataclass(frozen=True, slots=True)
class FairTold:
    """
    One settled fair: its hours and crowd, its weight, and what it told by kind.

    `crowd_told` is false where the usual crowd stands for want of a word. `outs` are
    the day and hour of each kind that sold out, the hour None if not noted;
    `in_sets` the bows typed as sold in sets, by set and kind.
    """

    code: str
    hours: float
    crowd: int
    weight: float
    kinds: Mapping[str, Told]
    unnoticed: int
    indoor: bool
    day: str
    outs: Mapping[str, tuple[str, str | None]] = field(default_factory=dict)
    in_sets: Mapping[str, Mapping[str, int]] = field(default_factory=dict)
    crowd_told: bool = False


def fairs_told(led: Ledgers, fair: Fair) -> list[FairTold]:
    """Read every settled fair before this one, the oldest first."""
    past = (f for f in past_fairs(led) if f.code != fair.code and f.open_minutes)
    ahead = date.fromisoformat(fair.first_day)
    return [fair_told(one, ahead) for one in past if one.first_day <= fair.first_day]


def crowd_of(fair: Fair) -> int:
    """Give the crowd class, as it turned out if she told."""
    return fair.crowd_told or fair.crowd


def tells_crowd(fair: Fair) -> bool:
    """Say whether she told the crowd: how it turned out, or that it isn't the usual."""
    return fair.crowd_told is not None or fair.crowd != USUAL_CROWD


def fair_told(fair: Fair, ahead: date) -> FairTold:
    """Read what one fair told, its weight as seen from a day ahead of it."""
    age = (ahead - date.fromisoformat(fair.last_day)).days
    unnoticed = {k: n for k, n in fair.sold.items() if k.endswith(UNNOTICED) and n > 0}
    kinds = kinds_told(fair)
    return FairTold(
        code=fair.code,
        hours=fair.open_minutes / 60,
        crowd=crowd_of(fair),
        weight=float(0.5 ** (max(age, 0) / HALF_LIFE)),
        kinds=kinds,
        unnoticed=sum(unnoticed.values()),
        indoor=fair.indoor,
        day=fair.first_day,
        outs={k: _out(fair, k) for k, row in kinds.items() if row.sold_out},
        in_sets=fair.in_sets,
        crowd_told=tells_crowd(fair),
    )


def _out(fair: Fair, kind: str) -> tuple[str, str | None]:
    """Give when a kind sold out, as told; else the last day, its hour not noted."""
    told = ((day, hour) for one, day, hour in fair.sold_out if one == kind)
    return next(told, (fair.last_day, None))


def kinds_told(fair: Fair) -> dict[str, Told]:
    """Say what a settled fair told of each kind brought to it."""
    brought = _brought(fair)
    sold = {k: float(max(fair.sold.get(k, 0), 0)) for k in brought}
    more = _untyped(fair, brought, sold)
    return {
        kind: _told(fair, kind, n, sold[kind] + more[kind], more[kind])
        for kind, n in brought.items()
    }


def _brought(fair: Fair) -> dict[str, int]:
    """Give what was packed, or what was sold and came back if that is more."""
    seen = {k for k in (*fair.packed, *fair.sold) if not k.endswith(UNNOTICED)}
    least = {k: max(fair.sold.get(k, 0), 0) + fair.back.get(k, 0) for k in seen}
    brought = {k: max(fair.packed.get(k, 0), least[k]) for k in seen}
    return {k: n for k, n in sorted(brought.items()) if n > 0}


def _untyped(
    fair: Fair, brought: Mapping[str, int], sold: Mapping[str, float]
) -> dict[str, float]:
    """Give the sales that no typed sale names by kind, as bows that may be halves."""
    gone = {k: _gone(fair, k, n) - sold[k] for k, n in brought.items()}
    room = {k: max(n, 0.0) for k, n in gone.items()}
    more = dict.fromkeys(brought, 0.0)
    for kind, count in _without_colour(fair).items():
        _share(kind, count, room, more)
    for kind, least, most in fair.unlogged:
        if kind in more:
            more[kind] += min((least + most) / 2, room[kind] - more[kind])
        else:
            _share(kind, (least + most) / 2, room, more)
    return more


def _gone(fair: Fair, kind: str, brought: int) -> float:
    """Give what is no longer there; all of it could be, where it wasn't counted."""
    return float(brought - fair.back.get(kind, 0))


def _without_colour(fair: Fair) -> dict[str, float]:
    sold = fair.sold.items()
    return {k: float(n) for k, n in sold if k.endswith(UNNOTICED) and n > 0}


def _share(
    kind: str, count: float, room: Mapping[str, float], more: dict[str, float]
) -> None:
    """Share sales of a pattern over its kinds by how many of each are missing."""
    pattern = kind.partition(":")[0]
    kinds = (k for k in more if k.partition(":")[0] == pattern)
    free = {k: room[k] - more[k] for k in kinds}
    total = sum(free.values())
    for one, missing in free.items():
        if total > 0:
            more[one] += missing * min(count / total, 1.0)


def _told(fair: Fair, kind: str, brought: int, sold: float, unlogged: float) -> Told:
    seen_out = next((out for out in fair.sold_out if out[0] == kind), None)
    back = fair.back.get(kind)
    # Sales alone, with nothing packed on record, don't say that all of it went.
    packed = fair.packed.get(kind, 0) > 0
    gone = packed and (back == 0 or (back is None and sold >= brought))
    gone = gone or (seen_out is not None and not back)
    share = _open_share(fair, seen_out) if seen_out and gone else None
    return Told(
        brought=brought,
        sold=sold,
        unlogged=unlogged,
        open_share=1.0 if share is None else share,
        sold_out=gone,
        hidden=gone and share is None,
    )


def _open_share(fair: Fair, out: tuple[str, str, str | None]) -> float | None:
    """Give the share of the opening hours before a kind went; None without an hour."""
    _, day, hour = out
    if hour is None:
        return None
    passed = 0
    for on, opens, closes in fair.days:
        until = closes if on < day else min(max(hour, opens), closes)
        if on <= day:
            passed += _minute(until) - _minute(opens)
    # A kind that went within minutes still was on the table for some time.
    return min(max(passed / fair.open_minutes, 0.02), 1.0)


def _minute(clock: str) -> int:
    return int(clock[:2]) * 60 + int(clock[3:5])


def seen_of(told: Sequence[FairTold], kind: str, guessed: int | None) -> KindSeen:
    """Sum up what past fairs told of one kind."""
    rows = [fair.kinds[kind] for fair in told if kind in fair.kinds]
    return KindSeen(
        brought=len(rows),
        sold_out=sum(row.sold_out for row in rows),
        sold=sum(row.sold for row in rows),
        guessed=guessed,
        outs=tuple(one.outs[kind] for one in reversed(told) if kind in one.outs),
    )
