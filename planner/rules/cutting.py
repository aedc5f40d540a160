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
from planner.rules.base import Proposal, next_code, plural, proposal
from planner.rules.bench import length_words
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
    return proposal(events, when, *_said(led, events), warnings=_over(led, bundles))


def _bundles(plan: CuttingPlan, spools: Sequence[str]) -> dict[Bundled, int]:
    found: dict[Bundled, int] = {}
    for run in plan.runs:
        for cut in run.cuts if run.run.spool in spools or not spools else ():
            kind = plan.wants[cut.want].kind
            key = Bundled(run.run.spool, cut.role, cut.length, kind)
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


def _said(led: Ledgers, events: Sequence[Event]) -> list[str]:
    """Say each bundle with what is then left on its spool."""
    cat, said = catalogue(led), []
    left: dict[str, int] = {}
    for event in events:
        if isinstance(event, RibbonCut):
            before = left.get(event.spool, led.ribbon.balance(event.spool)[LEFT])
            left[event.spool] = before - event.length * event.count
            name = cat.ribbon_name(led.spools[event.spool].ribbon)
            said.append(
                f"bundle {event.bundle}: {plural(event.count, f'{event.role} part')} "
                f"of {length_words(led, event.length)} from {event.spool} ({name}): "
                f"{length_words(led, before)} → "
                f"{length_words(led, left[event.spool])} left"
            )
    return said


def _over(led: Ledgers, bundles: dict[Bundled, int]) -> list[str]:
    """Say where more was cut than the records have."""
    cut: dict[str, int] = {}
    for one, count in bundles.items():
        cut[one.spool] = cut.get(one.spool, 0) + one.length * count
    held = {spool: max(led.ribbon.balance(spool)[LEFT], 0) for spool in cut}
    return [
        f"that is {length_words(led, length - held[spool])} more than the records "
        f"have on {spool}; entered as not yet explained"
        for spool, length in cut.items() if length > held[spool]
    ]  # fmt: skip
