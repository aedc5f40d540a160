"""
What to make for a fair, and in which order: the most worth an hour at the bench first.

Gains fall from bow to bow, so stopping early loses the least; but within an hour and a
half's work bows of one pattern come together, as they share a set-up.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from planner.engines.fair_choice import Choice
from planner.engines.fair_good import BATCH, Good, SetGood
from planner.engines.fair_program import gains_of
from planner.ledgers.catalogue import catalogue
from planner.ledgers.state import Ledgers
from planner.ledgers.stock import spool_to_cut
from planner.plans.fair import Turn

SITTING = 90
"""Minutes at the bench within which the order of turns follows the set-ups."""


@dataclass(frozen=True, slots=True)
class _Batch:
    """Some of the new bows of a good, and what each adds, her time not yet paid."""

    good: Good
    gains: tuple[float, ...]

    @property
    def a_minute(self) -> float:
        return sum(self.gains) / (len(self.gains) * max(self.good.minutes, 1e-9))


def turns_of(
    led: Ledgers, goods: Sequence[Good], sets: Sequence[SetGood], choice: Choice
) -> list[Turn]:
    """Put the new bows in turns, by what they add for a minute at the bench."""
    batches = [
        _Batch(good, tuple(gains[i : i + BATCH]))
        for at, good in enumerate(goods)
        for gains in [sorted(_gains(goods, sets, choice, at), reverse=True)]
        for i in range(0, len(gains), BATCH)
    ]
    left: dict[str, int] = {s: led.ribbon.balance(s)["left"] for s in led.spools}
    best_first = sorted(batches, key=lambda b: (-b.a_minute, b.good.kind))
    return _joined(_turn(led, batch, left) for batch in _by_sitting(best_first))


def _gains(
    goods: Sequence[Good], sets: Sequence[SetGood], choice: Choice, at: int
) -> Iterator[float]:
    """Give what each new bow of a good adds, singly or in a set, her time not paid."""
    good, taken = goods[at], choice.taken[at]
    alone = gains_of(good.item(()), choice.quantities[at])
    yield from (float(gain) + good.time for gain in alone[good.have :])
    in_sets = [
        gain / one.bows - good.cost
        for one, count in zip(sets, choice.sets, strict=True)
        for gain in gains_of(one.item(goods, ()).item, count).tolist()
        for _ in range(dict(one.members).get(at, 0))
    ]
    # Those at hand go where they add most: what is left to make is the rest.
    yield from sorted(in_sets, reverse=True)[taken:]


def _joined(turns: Iterable[Turn]) -> list[Turn]:
    """Make one of turns of the same kind from the same spools that follow another."""
    found: list[Turn] = []
    for turn in turns:
        last = found[-1] if found else None
        if last and (last.kind, last.spools) == (turn.kind, turn.spools):
            found[-1] = replace(
                last, count=last.count + turn.count,
                minutes=last.minutes + turn.minutes, gain=last.gain + turn.gain,
            )  # fmt: skip
        else:
            found.append(turn)
    return found


def _by_sitting(batches: Iterable[_Batch]) -> list[_Batch]:
    """Bring batches of one pattern together within each sitting's worth of work."""
    place: dict[tuple[int, str], int] = {}
    keyed = []
    passed = 0.0
    for batch in batches:
        sitting = int(passed // SITTING)
        pattern = sitting, batch.good.kind.partition(":")[0]
        keyed.append((sitting, place.setdefault(pattern, len(place)), batch))
        passed += len(batch.gains) * batch.good.minutes
    return [batch for _, _, batch in sorted(keyed, key=lambda row: row[:2])]


def _turn(led: Ledgers, batch: _Batch, left: dict[str, int]) -> Turn:
    count = len(batch.gains)
    needs = catalogue(led).ribbon_needs(batch.good.kind)
    found = (_spool(led, code, nm * count, left) for code, nm in needs.items())
    return Turn(
        kind=batch.good.kind, count=count,
        minutes=round(len(batch.gains) * batch.good.minutes),
        gain=round(sum(batch.gains)), spools=tuple(s for s in found if s),
    )  # fmt: skip


def _spool(led: Ledgers, ribbon: str, need: int, left: dict[str, int]) -> str | None:
    """Take ribbon in thought from the spool she would cut next."""
    for spool in spool_to_cut(led, ribbon, need):
        if left.get(spool.spool, 0) >= need:
            left[spool.spool] -= need
            return spool.spool
    return None
