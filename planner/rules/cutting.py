"""Rules of the cutting list: the cuts entered at one go, all or by spool."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from planner.errors import Unknown
from planner.events.base import Event
from planner.events.bench import RibbonCut
from planner.events.plans import CuttingPlanAccepted
from planner.ledgers.catalogue import catalogue
from planner.ledgers.ribbon import LEFT
from planner.ledgers.state import Ledgers
from planner.plans.cutting import CuttingPlan
from planner.rules.base import Proposal, next_code, proposal
from planner.rules.bench import cut_short, cut_words
from planner.values.moments import When


class Bundled(NamedTuple):
    """Parts of a list that make one bundle."""

    spool: str
    role: str
    length: int
    kind: str | None


def done(
    led: Ledgers, *, plan: CuttingPlan, head: str, when: When,
    spools: Sequence[str] = (),
) -> Proposal:  # fmt: skip
    """
    Propose the cuts of a list as they were made: one bundle a spool, part and kind.

    `head` is the log's head that the list was made from; `spools` are those cut, all
    if none is named.

    Raises:
        Unknown: when the list has nothing to cut from them.
    """
    bundles = _bundles(plan, spools)
    if not bundles:
        raise Unknown("The list has no such cuts.", instead="bows cutting")
    events: list[Event] = [_accepted(bundles, head)]
    events += [
        _cut(led, next_code(led, "C", more=n), one, count)
        for n, (one, count) in enumerate(bundles.items())
    ]
    return proposal(events, when, *_said(led, events, when),
                    warnings=_over(led, bundles, when))  # fmt: skip


def _bundles(plan: CuttingPlan, spools: Sequence[str]) -> dict[Bundled, int]:
    found: dict[Bundled, int] = {}
    for run in plan.runs:
        for cut in run.cuts if run.run.spool in spools or not spools else ():
            kind = plan.wants[cut.want].kind
            key = Bundled(run.run.spool, cut.role, cut.told, kind)
            found[key] = found.get(key, 0) + cut.count
    return found


def _accepted(bundles: dict[Bundled, int], head: str) -> CuttingPlanAccepted:
    """Keep what of the list was cut, to be scored; a list may be cut spool by spool."""
    cuts: dict[tuple[str, str, int], int] = {}
    for one, count in bundles.items():
        key = one.spool, one.role, one.length
        cuts[key] = cuts.get(key, 0) + count
    return CuttingPlanAccepted(
        head=head, cuts=tuple((*key, count) for key, count in cuts.items())
    )


def _cut(led: Ledgers, bundle: str, one: Bundled, count: int) -> RibbonCut:
    revision = catalogue(led).pattern_of(one.kind).revision if one.kind else None
    return RibbonCut(
        bundle=bundle, spool=one.spool, role=one.role, length=one.length, count=count,
        for_kind=one.kind, revision=revision,
    )  # fmt: skip


def _said(led: Ledgers, events: Sequence[Event], when: When) -> list[str]:
    """Say each bundle with what is then left on its spool."""
    said = []
    left: dict[str, int] = {}
    for event in events:
        if isinstance(event, RibbonCut):
            before = left.get(event.spool, led.ribbon.balance(event.spool)[LEFT])
            left[event.spool] = before - event.length * event.count
            said.append(cut_words(led, event, before, when))
    return said


def _over(led: Ledgers, bundles: dict[Bundled, int], when: When) -> list[str]:
    """Say where more was cut than the records have."""
    cut: dict[str, int] = {}
    for one, count in bundles.items():
        cut[one.spool] = cut.get(one.spool, 0) + one.length * count
    return [
        words
        for spool, length in cut.items()
        for words in cut_short(
            led, spool, length, led.ribbon.balance(spool)[LEFT], when
        )
    ]
